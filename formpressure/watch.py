"""A pour as its log tells it, line after line: what is known, and what that allows."""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.allowed import LAYER
from formpressure.dispatch import most_of
from formpressure.gaps import Most
from formpressure.job.pour_log import Line
from formpressure.pour import HALF_HOUR
from formpressure.readings import greatest, least
from formpressure.records import Amount, Clause, Label
from formpressure.replan import Replan, too_big
from formpressure.rise import HOUR
from formpressure.standing import Local, Place, Reason, Standing, State, Truck, key_of, places_of
from formpressure.units import TOLERANCE, at_most
from formpressure.verdict import NO_GO, Verdict

STALE = 15.0  # minutes after which a reading tells nothing of now
JUDGED = Clause(
    "formpressure", "pour log",
    "between two readings all the rise comes at its worst instant; a reading older than 15 min "
    "tells nothing of now; the coldest and wettest so far counts for the rest", Label.OWN,
)  # fmt: skip


class Watch:
    """What is known after each line, in the order of time."""

    def __init__(self, verdict: Verdict, replaced: frozenset[int]) -> None:
        self.verdict, self.case, self.replaced = verdict, verdict.case, replaced
        self.system, filling = self.case.rule.system, self.case.filling
        self.places, self.trucks = places_of(self.case), dict[str, Truck]()
        self.replan = None if filling is None else Replan(filling)
        self.zero = 0.0  # when the first truck started
        delivery = self.case.bare.delivery
        self.windows = delivery.rate_window or HOUR, delivery.liquid_window or HALF_HOUR
        self.coldest: float | None = None
        self.wettest: float | None = None
        self.most = self._most({})
        self.big = self._big()
        self.since = -np.inf  # only what a window that ends after it holds is judged again
        self.stop: Reason | None = None
        self.unread: list[Line] = []
        self.open: list[tuple[Line, set[str]]] = []  # a level that was lost, and where it may be
        self.missed: list[tuple[Line, str]] = []  # and what could not be read of a load
        self.half: Line | None = None  # these two are told of when all lines are taken
        self.later: tuple[Line, ...] = ()
        self.seen = False
        self.told: list[tuple[str, dict[str, Any]]] = []

    # ------------------------------------------------------------ one line more

    def take(self, line: Line) -> None:
        """Learn from the next line in the order of time."""
        self.seen = True
        if line.alarm:
            self._halt("alarm", {"line": line.number, "word": line.alarm})
        if line.number in self.replaced:
            return
        if line.unread or line.clock is None:
            self.unread.append(line)
            return
        if line.restart:
            self.stop, self.since = None, max(self.since, line.time)
        here = self._here(line)
        for place in here:
            place.begun |= line.level is not None and line.level > place.bottom
        if line.starts_truck:  # where it goes is not known unless the line says so
            for place in here or ([] if line.run else self.places.values()):
                place.begun = True
        self._read(line, here)
        self._judge()
        truck, starts = self._truck(line)
        self._missed(line)
        self._measured(line, truck)
        if truck is not None and starts:
            self._came(truck, line.time)

    def _here(self, line: Line) -> list[Place]:
        """The places that a line is about; the whole run where it gives no number of a place."""
        key = key_of(line.run)
        if key in self.places:
            return [self.places[key]]
        runs = {key_of(p.run) for p in self.places.values()}
        if not key and len(runs) == 1:
            return list(self.places.values())
        found = [p for p in self.places.values() if key_of(p.run) == key]
        if not found and key:
            names = ", ".join(dict.fromkeys(p.run for p in self.places.values()))
            self.told.append(("unknown_run", {"line": line.number, "run": line.run,
                                              "runs": names}))  # fmt: skip
        return found

    def _read(self, line: Line, here: list[Place]) -> None:
        lost = "level" in dict(line.problems)
        if not here and (lost or line.level is not None or line.run):
            lost, here = True, list(self.places.values())
        if lost:
            self.open.append((line, {p.name for p in here if not p.full}))
        elif line.level is not None:
            for place in here:
                place.times.append(line.time)
                place.levels.append(line.level)
                for _, names in self.open:
                    names.discard(place.name)
                if not at_most(line.level, place.top + place.near):
                    facts = {"place": place.name, "level": self._amount("height", line.level),
                             "top": self._amount("height", place.top)}  # fmt: skip
                    self._halt("above_top", facts)

    def _truck(self, line: Line) -> tuple[Truck | None, bool]:
        """The truck that a line names, and whether it starts to discharge here."""
        if not line.truck:
            return None, False
        key = key_of(line.truck)
        truck = self.trucks.setdefault(key, Truck(line.truck))
        if truck.comes_again(line):
            self.trucks[f"{key}\n{len(self.trucks)}"] = self.trucks.pop(key)  # no such name
            truck = self.trucks[key] = Truck(line.truck)
        return truck, truck.learn(line)

    def _missed(self, line: Line) -> None:
        """A temperature or slump that cannot be read is missing until its truck has a good one."""
        for column in ("temperature", "slump"):
            if column in dict(line.problems):
                self.missed.append((line, column))
            elif getattr(line, column) is not None:
                of = key_of(line.truck)
                self.missed = [m for m in self.missed if m[1] != column or key_of(m[0].truck) != of]

    def _measured(self, line: Line, truck: Truck | None) -> None:
        """Concrete that goes in colder or wetter than planned re-rates the rest at once; what a
        truck brings counts from its start, and not before it."""
        cold, wet = line.temperature, line.slump
        if truck is not None:
            truck.temperature = least(truck.temperature, cold)
            truck.slump = greatest(truck.slump, wet)
            if truck.started is None:
                return
            cold, wet = truck.temperature, truck.slump
        before = self.coldest, self.wettest
        self.coldest, self.wettest = least(self.coldest, cold), greatest(self.wettest, wet)
        if (self.coldest, self.wettest) == before:
            return
        most = self._most(self._changed())
        if most != self.most:
            begin = line.time if truck is None or truck.started is None else truck.started
            self.most, self.since = most, begin
            self.big = self._big()
            self._judge()

    def _changed(self) -> dict[str, Any]:
        """The rule's inputs by what was measured, where that is worse than planned."""
        planned, changed = self.case.given, {}
        cold, wet = planned["temperature"], planned["slump"]
        if cold is not None and self.coldest is not None and self.coldest < cold:
            changed["temperature"] = self.coldest
        if wet is not None and self.wettest is not None and self.wettest > wet:
            changed["slump"] = self.wettest
        return changed

    def _came(self, truck: Truck, time: float) -> None:
        if self.replan is None:
            return
        if not self.replan.starts:
            self.zero = time
        if self.replan.more:
            truck.planned = self.zero + self.replan.planned[len(self.replan.starts)]
            most = None if self._free else self.most
            rises = self.replan.rises(time - self.zero)
            for place, rise in zip(self.places.values(), rises, strict=True):
                place.begun |= rise > TOLERANCE  # by the plan this truck goes here too
            self.replan.came(time - self.zero, most, self.since - self.zero)
        else:
            self.told.append(("extra_truck", {"truck": truck.name,
                                              "count": len(self.replan.planned)}))  # fmt: skip

    # ------------------------------------------------------------ what is over

    @property
    def _free(self) -> bool:
        """Full liquid head passes, so that nothing of rate, temperature or slump can matter."""
        return self.verdict.straight_up and not self.verdict.doubtful

    def _most(self, changed: dict[str, Any]) -> Most | None:
        """What the form allows, as on the card; in the half-hour never more than in the hour."""
        case = self.case
        most = None if self.verdict.doubtful else most_of(case, self.verdict.carries, changed)
        stated = case.rate if case.filling is None else None
        if most is None or most.rate == np.inf:
            return most
        rate = most.rate if stated is None else min(most.rate, stated)
        return Most(rate, min(most.rise, rate * self.windows[0] / HOUR))

    def _limits(self) -> list[tuple[float, float]]:
        """Windows and the most that may rise in each."""
        if self._free or self.most is None or self.most.rate == np.inf:
            return []
        hour, half = self.windows
        return [(hour, self.most.rate * hour / HOUR), (half, self.most.rise)]

    def _big(self) -> bool:
        filling = self.case.filling
        if filling is None or self._free or self.most is None or self.most.rate == np.inf:
            return False
        return too_big(filling, self.most)

    def _judge(self) -> None:
        """STOP, from here on, where more can have risen than is allowed."""
        limits = self._limits()
        for place in self.places.values() if limits else ():
            readings = place.readings
            for window, most in limits:
                rise = readings.most_rise(window, self.since)
                if not at_most(rise.most, most):
                    self._over(place, window, rise.most, most)
            fill = readings.shortest(place.top - place.near)
            if fill < self.windows[0] and place.times[-1] > self.since:
                allowed = limits[0][1] * fill / self.windows[0]
                if not at_most(readings.high[-1] - place.bottom, allowed):
                    self._over(place, fill, readings.high[-1] - place.bottom, allowed)

    def _over(self, place: Place, window: float, rise: float, most: float) -> None:
        facts = {
            "place": place.name, "minutes": self._amount("duration", window),
            "rise": self._amount("height", rise), "allowed": self._amount("height", most),
        }  # fmt: skip
        self._halt("over", facts)

    def _halt(self, note: str, facts: dict[str, Any]) -> None:
        """The first reason to stop stays until somebody says to start again."""
        self.stop = self.stop or Reason(State.STOP, note, facts)

    def _amount(self, term: str, bare: float) -> Amount:
        return Amount(term, float(bare), self.system)

    # ------------------------------------------------------------ how it stands

    def standing(self, time: float, trucks: int) -> Standing:
        """How it stands, with the starts of so many of the trucks still to come."""
        starts, hold = self._next(time, trucks)
        reason = self._stops() or self._doubts(time) or hold
        full = all(place.full for place in self.places.values())
        well = Reason(State.ON_PLAN, "full" if full else "on_plan", {})
        return self._with(time, reason or well, starts)

    def unknown(self, line: Line) -> Standing:
        """A line that is not judged, since its time is still to come."""
        return self._with(line.time, Reason(State.NOT_KNOWN, "later", {"line": line.number}), ())

    def _with(self, time: float, reason: Reason, starts: tuple[float, ...]) -> Standing:
        hour, half = (self._greatest(window) for window in self.windows)
        return Standing(time, reason, hour, half, self.most, self.coldest, self.wettest, starts)

    def _greatest(self, window: float) -> Local | None:
        found = [Local(p.name, *p.readings.most_rise(window)) for p in self._read_places()]
        return max(found, key=lambda local: local.most, default=None)

    def _read_places(self) -> list[Place]:
        return [place for place in self.places.values() if place.times]

    def _stops(self) -> Reason | None:
        for line in (*self.later, *([self.half] if self.half else [])):
            if line.alarm:
                self._halt("alarm", {"line": line.number, "word": line.alarm})
        if self.stop is not None:
            return self.stop
        if self.verdict.word == NO_GO:
            return Reason(State.STOP, "no_go", {})
        if self._free or self.verdict.doubtful:
            return None
        if self.most is None:
            for term, bare in self._changed().items():
                if self._most({term: bare}) is None:
                    facts = {term: self._amount(term, bare)}
                    return Reason(State.STOP, f"no_rate_{term}", facts)
            return Reason(State.STOP, "no_rate", {})
        return Reason(State.STOP, "too_big", {}) if self.big else None

    def _doubts(self, time: float) -> Reason | None:
        def doubt(note: str, **facts: Any) -> Reason:
            return Reason(State.NOT_KNOWN, note, facts)

        if self.verdict.doubtful:
            return doubt("doubtful")
        if self.half is not None:
            return doubt("half", line=self.half.number)
        if self.unread:
            return doubt("unread", line=self.unread[0].number)
        if self.later:
            return doubt("later", line=self.later[0].number)
        if not self.seen:
            return doubt("no_lines")
        for line, names in self.open:
            if names:
                return doubt("lost_level", line=line.number, places=", ".join(sorted(names)))
        if not self._read_places():
            return doubt("no_level")
        for place in self.places.values():
            if not place.begun or place.full:
                continue
            if not place.times:
                return doubt("no_reading", place=place.name)
            if time - place.times[-1] > STALE:
                return doubt("stale", place=place.name, minutes=int(time - place.times[-1]))
            if place.levels[-1] < place.highest - TOLERANCE:
                return doubt("falls", place=place.name,
                             level=self._amount("height", place.levels[-1]),
                             before=self._amount("height", place.highest))  # fmt: skip
        return None if self._free else self._unmeasured()

    def _unmeasured(self) -> Reason | None:
        for line, column in self.missed:
            return Reason(State.NOT_KNOWN, f"lost_{column}", {"line": line.number})
        for truck in self.trucks.values():
            if truck.started is not None and truck.temperature is None:
                return Reason(State.NOT_KNOWN, "no_temperature", {"truck": truck.name})
            if truck.started is not None and truck.slump is None:
                return Reason(State.NOT_KNOWN, "no_slump", {"truck": truck.name})
        if self.coldest is None or self.wettest is None:
            return Reason(State.NOT_KNOWN, "not_measured", {})
        risen = any(place.highest > place.bottom for place in self.places.values())
        named = any(truck.started is not None for truck in self.trucks.values())
        return Reason(State.NOT_KNOWN, "no_truck", {}) if risen and not named else None

    # ------------------------------------------------------------ what comes next

    @property
    def next_truck(self) -> int | None:
        """The number of the next truck of the plan; None where none is followed."""
        return len(self.replan.starts) + 1 if self.replan and self.replan.more else None

    def _next(self, time: float, trucks: int) -> tuple[tuple[float, ...], Reason | None]:
        """The earliest next starts, and HOLD where the first of them is not yet."""
        if not self._limits() or self.big or all(p.full for p in self.places.values()):
            return (), None
        if self.replan is None or not self.replan.more:
            return self._next_layer(time)
        if not self.replan.starts:
            return (), None
        came, starts = self.replan, list[float]()
        ahead = Replan(came.filling, list(came.starts))
        since = self.since - self.zero
        while ahead.more and len(starts) < trucks:
            minute = ahead.next_planned(time - self.zero)
            minute = ahead.earliest(minute, self.most, since)
            if not starts:
                minute = self._by_readings(ahead, minute)
            ahead.starts.append(minute)
            starts.append(self.zero + minute)
        last = self.zero + came.starts[-1]
        if time < last:
            return tuple(starts), self._hold(last, len(came.starts), "hold_early")
        started = [truck for truck in self.trucks.values() if truck.started is not None]
        truck = sorted(started, key=lambda truck: truck.started or 0.0)[-1]
        done = truck.emptied or time >= last + came.filling.discharge
        if starts and done and time < starts[0]:
            return tuple(starts), self._hold(starts[0], len(came.starts) + 1, "hold_next")
        return tuple(starts), None

    def _hold(self, until: float, truck: int, note: str) -> Reason:
        return Reason(State.HOLD, note, {"truck": truck}, until)

    def _by_readings(self, ahead: Replan, minute: float) -> float:
        """The same start, or later: its whole rise may come at once, as between two readings."""
        found = minute
        rises = ahead.rises(minute)
        for place, rise in zip(self.places.values(), rises, strict=True):
            rise = min(rise, max(0.0, place.top - place.highest))
            if rise > TOLERANCE:
                first = place.readings.first_start(rise, self._limits(), self.zero + minute)
                found = found if first is None else max(found, first - self.zero)
        return found

    def _next_layer(self, time: float) -> tuple[tuple[float, ...], Reason | None]:
        """Without trucks that could be followed: one layer more, wherever it may go first."""
        found = []
        for place in (p for p in self.places.values() if not p.full):
            room = place.top - place.highest
            for part in (1.0, 0.5, 0.25):
                rise = min(room, LAYER[self.system] * part)
                first = place.readings.first_start(rise, self._limits(), time)
                if first is not None:
                    found.append((first, place.name, rise))
                    break
        if not found:
            return (), Reason(State.NOT_KNOWN, "no_layer", {})
        first, name, rise = min(found)
        wait = {at: start for start, at, _ in found if start > time}
        layer = self._amount("height", rise)
        facts = {"place": name, "layer": layer, "others": ", ".join(wait)}
        if time < first:
            return (first,), Reason(State.HOLD, "hold_layer", facts, first)
        until = max(wait.values(), default=time)
        return (first,), Reason(State.ON_PLAN, "layer_elsewhere", facts, until) if wait else None
