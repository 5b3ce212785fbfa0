"""A pour as its log tells it, line after line: what is known, and what that allows.

Between two readings all the rise comes at its worst instant; the coldest and wettest concrete so
far counts for the rest (OWN).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.dispatch import most_of
from formpressure.gaps import Most
from formpressure.job.pour_log import Line
from formpressure.pour import HALF_HOUR
from formpressure.readings import greatest, least
from formpressure.records import Amount
from formpressure.replan import Replan, too_big
from formpressure.rise import HOUR
from formpressure.standing import Place, Reason, State, Truck, key_of, places_of
from formpressure.units import TOLERANCE, at_most
from formpressure.verdict import Verdict


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
        self.most = self.most_by({})
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

    def take(self, line: Line) -> None:
        """Learn from the next line in the order of time."""
        self.seen = True
        if line.alarm:
            self.halt("alarm", {"line": line.number, "word": line.alarm})
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
                    facts = {"place": place.name, "level": self.amount("height", line.level),
                             "top": self.amount("height", place.top)}  # fmt: skip
                    self.halt("above_top", facts)

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
        most = self.most_by(self.worse())
        if most != self.most:
            begin = line.time if truck is None or truck.started is None else truck.started
            self.most, self.since = most, begin
            self.big = self._big()
            self._judge()

    def worse(self) -> dict[str, Any]:
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
            most = None if self.verdict.free else self.most
            rises = self.replan.rises(time - self.zero)
            for place, rise in zip(self.places.values(), rises, strict=True):
                place.begun |= rise > TOLERANCE  # by the plan this truck goes here too
            self.replan.came(time - self.zero, most, self.since - self.zero)
        else:
            self.told.append(("extra_truck", {"truck": truck.name,
                                              "count": len(self.replan.planned)}))  # fmt: skip

    def most_by(self, changed: dict[str, Any]) -> Most | None:
        """What the form allows, as on the card; in the half-hour never more than in the hour."""
        case = self.case
        most = None if self.verdict.doubtful else most_of(case, self.verdict.carries, changed)
        stated = case.rate if case.filling is None else None
        if most is None or most.rate == np.inf:
            return most
        rate = most.rate if stated is None else min(most.rate, stated)
        return Most(rate, min(most.rise, rate * self.windows[0] / HOUR))

    def limits(self) -> list[tuple[float, float]]:
        """Windows and the most that may rise in each."""
        if self.verdict.free or self.most is None or self.most.rate == np.inf:
            return []
        hour, half = self.windows
        return [(hour, self.most.rate * hour / HOUR), (half, self.most.rise)]

    def _big(self) -> bool:
        filling = self.case.filling
        if filling is None or self.verdict.free or self.most is None or self.most.rate == np.inf:
            return False
        return too_big(filling, self.most)

    def _judge(self) -> None:
        """STOP, from here on, where more can have risen than is allowed."""
        limits = self.limits()
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
            "place": place.name, "minutes": self.amount("duration", window),
            "rise": self.amount("height", rise), "allowed": self.amount("height", most),
        }  # fmt: skip
        self.halt("over", facts)

    def halt(self, note: str, facts: dict[str, Any]) -> None:
        """The first reason to stop stays until somebody says to start again."""
        self.stop = self.stop or Reason(State.STOP, note, facts)

    def amount(self, term: str, bare: float) -> Amount:
        return Amount(term, float(bare), self.system)

    @property
    def next_truck(self) -> int | None:
        """The number of the next truck of the plan; None where none is followed."""
        return len(self.replan.starts) + 1 if self.replan and self.replan.more else None
