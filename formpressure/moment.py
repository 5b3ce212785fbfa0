"""How a watched pour stands at one moment: the worst that holds, and when more may come.

The order is STOP, NOT KNOWN, HOLD, ON PLAN. A reading older than 15 min tells nothing of now (OWN).
"""

from __future__ import annotations

from typing import Any

from formpressure.allowed import LAYER
from formpressure.job.pour_log import Line
from formpressure.replan import Replan
from formpressure.standing import Local, Place, Reason, Standing, State, Truck
from formpressure.units import TOLERANCE
from formpressure.verdict import NO_GO
from formpressure.watch import Watch

STALE = 15.0  # minutes after which a reading tells nothing of now


def standing(watch: Watch, time: float, trucks: int) -> Standing:
    """How it stands, with the starts of so many of the trucks still to come."""
    starts, hold = _next(watch, time, trucks)
    reason = _stops(watch) or _doubts(watch, time) or hold
    full = all(place.full for place in watch.places.values())
    well = Reason(State.ON_PLAN, "full" if full else "on_plan", {})
    return _with(watch, time, reason or well, starts)


def unknown(watch: Watch, line: Line) -> Standing:
    """A line that is not judged, since its time is still to come."""
    return _with(watch, line.time, Reason(State.NOT_KNOWN, "later", {"line": line.number}), ())


def _with(watch: Watch, time: float, reason: Reason, starts: tuple[float, ...]) -> Standing:
    hour, half = (_greatest(watch, window) for window in watch.windows)
    return Standing(time, reason, hour, half, watch.most, watch.coldest, watch.wettest, starts)


def _greatest(watch: Watch, window: float) -> Local | None:
    found = [Local(p.name, *p.readings.most_rise(window)) for p in _read_places(watch)]
    return max(found, key=lambda local: local.most, default=None)


def _read_places(watch: Watch) -> list[Place]:
    return [place for place in watch.places.values() if place.times]


def _stops(watch: Watch) -> Reason | None:
    for line in (*watch.later, *([watch.half] if watch.half else [])):
        if line.alarm:
            watch.halt("alarm", {"line": line.number, "word": line.alarm})
    if watch.stop is not None:
        return watch.stop
    if watch.verdict.word == NO_GO:
        return Reason(State.STOP, "no_go", {})
    if watch.verdict.free or watch.verdict.doubtful:
        return None
    if watch.most is None:
        for term, bare in watch.worse().items():
            if watch.most_by({term: bare}) is None:
                facts = {term: watch.amount(term, bare)}
                return Reason(State.STOP, f"no_rate_{term}", facts)
        return Reason(State.STOP, "no_rate", {})
    return Reason(State.STOP, "too_big", {}) if watch.big else None


def _doubts(watch: Watch, time: float) -> Reason | None:
    def doubt(note: str, **facts: Any) -> Reason:
        return Reason(State.NOT_KNOWN, note, facts)

    if watch.verdict.doubtful:
        return doubt("doubtful")
    if watch.half is not None:
        return doubt("half", line=watch.half.number)
    if watch.unread:
        return doubt("unread", line=watch.unread[0].number)
    if watch.later:
        return doubt("later", line=watch.later[0].number)
    if not watch.seen:
        return doubt("no_lines")
    for line, names in watch.open:
        if names:
            return doubt("lost_level", line=line.number, places=", ".join(sorted(names)))
    if not _read_places(watch):
        return doubt("no_level")
    for place in watch.places.values():
        if not place.begun or place.full:
            continue
        if not place.times:
            return doubt("no_reading", place=place.name)
        if time - place.times[-1] > STALE:
            return doubt("stale", place=place.name, minutes=int(time - place.times[-1]))
        if place.levels[-1] < place.highest - TOLERANCE:
            return doubt("falls", place=place.name,
                         level=watch.amount("height", place.levels[-1]),
                         before=watch.amount("height", place.highest))  # fmt: skip
    return None if watch.verdict.free else _unmeasured(watch)


def _unmeasured(watch: Watch) -> Reason | None:
    for line, column in watch.missed:
        return Reason(State.NOT_KNOWN, f"lost_{column}", {"line": line.number})
    started = _started(watch)
    for truck in started:
        if truck.temperature is None:
            return Reason(State.NOT_KNOWN, "no_temperature", {"truck": truck.name})
        if truck.slump is None:
            return Reason(State.NOT_KNOWN, "no_slump", {"truck": truck.name})
    if watch.coldest is None or watch.wettest is None:
        return Reason(State.NOT_KNOWN, "not_measured", {})
    risen = any(place.highest > place.bottom for place in watch.places.values())
    return Reason(State.NOT_KNOWN, "no_truck", {}) if risen and not started else None


def _started(watch: Watch) -> list[Truck]:
    return [truck for truck in watch.trucks.values() if truck.started is not None]


def _next(watch: Watch, time: float, trucks: int) -> tuple[tuple[float, ...], Reason | None]:
    """The earliest next starts, and HOLD where the first of them is not yet."""
    if not watch.limits() or watch.big or all(p.full for p in watch.places.values()):
        return (), None
    if watch.replan is None or not watch.replan.more:
        return _next_layer(watch, time)
    if not watch.replan.starts:
        return (), None
    came, starts = watch.replan, list[float]()
    ahead = Replan(came.filling, list(came.starts))
    since = watch.since - watch.zero
    while ahead.more and len(starts) < trucks:
        minute = ahead.next_planned(time - watch.zero)
        minute = ahead.earliest(minute, watch.most, since)
        if not starts:
            minute = _by_readings(watch, ahead, minute)
        ahead.starts.append(minute)
        starts.append(watch.zero + minute)
    last = watch.zero + came.starts[-1]
    if time < last:
        return tuple(starts), _hold(last, len(came.starts), "hold_early")
    truck = sorted(_started(watch), key=lambda truck: truck.started or 0.0)[-1]
    done = truck.emptied or time >= last + came.filling.discharge
    if starts and done and time < starts[0]:
        return tuple(starts), _hold(starts[0], len(came.starts) + 1, "hold_next")
    return tuple(starts), None


def _hold(until: float, truck: int, note: str) -> Reason:
    return Reason(State.HOLD, note, {"truck": truck}, until)


def _by_readings(watch: Watch, ahead: Replan, minute: float) -> float:
    """The same start, or later: its whole rise may come at once, as between two readings."""
    found = minute
    rises = ahead.rises(minute)
    for place, rise in zip(watch.places.values(), rises, strict=True):
        rise = min(rise, max(0.0, place.top - place.highest))
        if rise > TOLERANCE:
            first = place.readings.first_start(rise, watch.limits(), watch.zero + minute)
            found = found if first is None else max(found, first - watch.zero)
    return found


def _next_layer(watch: Watch, time: float) -> tuple[tuple[float, ...], Reason | None]:
    """Without trucks that could be followed: one layer more, wherever it may go first."""
    found = []
    for place in (p for p in watch.places.values() if not p.full):
        room = place.top - place.highest
        for part in (1.0, 0.5, 0.25):
            rise = min(room, LAYER[watch.system] * part)
            first = place.readings.first_start(rise, watch.limits(), time)
            if first is not None:
                found.append((first, place.name, rise))
                break
    if not found:
        return (), Reason(State.NOT_KNOWN, "no_layer", {})
    first, name, rise = min(found)
    wait = {at: start for start, at, _ in found if start > time}
    layer = watch.amount("height", rise)
    facts = {"place": name, "layer": layer, "others": ", ".join(wait)}
    if time < first:
        return (first,), Reason(State.HOLD, "hold_layer", facts, first)
    until = max(wait.values(), default=time)
    return (first,), Reason(State.ON_PLAN, "layer_elsewhere", facts, until) if wait else None
