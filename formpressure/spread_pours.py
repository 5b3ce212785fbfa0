"""Many pours of one plan judged at once, each as the verdict judges one.

Every input here has a bad side: faster, colder, heavier and wetter never pass where slower, warmer,
lighter and drier fail. So the pours are sorted into cells; where the worst corner of a cell passes
all in it pass, where the best one fails all fail, and only the others are worked one by one.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure.allowed import allowable_pressure
from formpressure.case import Case
from formpressure.errors import OutOfRange
from formpressure.units import at_most

Floats = NDArray[np.float64]
WITHIN, OVER, DOUBTFUL, OUTSIDE, OPEN = range(5)  # of one pour; OPEN: its cell does not tell
CHUNK = 1 << 14  # pours worked on at once, so that they stay in the cache and memory is flat
CELLS = {1: 2_000, 2: 60_000, 3: 200_000, 4: 400_000}  # by how many inputs vary
POURS_TO_CELL = 20  # more cells cost more than they spare
FINENESS = {"rate": 1.0, "temperature": 0.5, "slump": 1.5, "unit_weight": 0.15}  # of cells
NODES = 49  # unit weights at which the form is judged


@dataclass(frozen=True, slots=True)
class Varied:
    """One input that varies, bare, in the units of the plan."""

    term: str
    middle: float
    width: float  # one standard deviation, or what is possible to either side

    @property
    def worse(self) -> int:
        """The side on which it is worse."""
        return -1 if self.term == "temperature" else 1


@dataclass(frozen=True, slots=True)
class Form:
    """The largest pressure that the form carries, by the unit weight of the concrete.

    It falls with the weight, so between two weights that were judged it lies between their two
    pressures; nothing is interpolated. Without `step` there is one weight.
    """

    start: float
    step: float
    limits: Floats

    @classmethod
    def of(cls, case: Case, weight: Varied | None, reach: float) -> Form:
        if weight is None:
            return cls(0.0, 0.0, np.array([allowable_pressure(case).pressure]))
        ends = weight.middle - reach * weight.width, weight.middle + reach * weight.width
        weights = np.linspace(max(ends[0], weight.middle / 100.0), ends[1], NODES)
        found = [allowable_pressure(_with_weight(case, float(w))).pressure for w in weights]
        limits = np.append(np.minimum.accumulate(found), 0.0)  # heavier still: nothing
        return cls(float(weights[0]), float(weights[1] - weights[0]), limits)

    def carries(self, weight: Any, *, lighter: bool = False) -> Any:
        """At the next heavier weight that was judged, or at the next lighter one."""
        if not self.step:
            return self.limits[0]
        place = np.ceil((weight - self.start) / self.step).astype(np.int64) - lighter
        found = self.limits[np.clip(place, 0, NODES)]
        return np.where(place < 0, np.inf, found) if lighter else found


def _with_weight(case: Case, weight: float) -> Case:
    return dataclasses.replace(case, given={**case.given, "unit_weight": weight})


class Pours:
    """Pours of one plan. What is drawn comes as rows of `units`, one for each varied input: how
    many widths it lies from its middle, up to `reach` to either side, or seldom more."""

    def __init__(self, case: Case, varied: tuple[Varied, ...], reach: float, samples: int) -> None:
        self.case, self.varied, self.reach = case, varied, reach
        weight = next((v for v in varied if v.term == "unit_weight"), None)
        self.form = Form.of(case, weight, reach)
        self.cells = _cells(varied, min(CELLS[len(varied)], samples // POURS_TO_CELL))
        self.ends = [self._ends(v) for v in varied]
        self.answers = self._answers()
        self.table: NDArray[np.int8] | None = None
        self.open: list[Floats] = []  # of cells that do not tell
        self.waiting = 0

    def judge(self, units: Floats) -> tuple[NDArray[np.int8], Floats]:
        """What each pour is, and the largest pressure of those that the document answers for."""
        case, form = self.case, self.form
        drawn = {
            v.term: row * v.width + v.middle for v, row in zip(self.varied, units, strict=True)
        }
        found = np.full(units.shape[1], OUTSIDE, np.int8)
        inside = self._inside(drawn)
        weight = drawn.get("unit_weight", np.full(len(found), case.given["unit_weight"]))
        if not inside.all():
            # The document is not needed where the form carries full liquid head.
            found[~inside & (weight > 0.0) & np.isinf(form.carries(weight))] = WITHIN
            drawn = {term: values[inside] for term, values in drawn.items()}
            weight = weight[inside]
        if not len(weight):
            return found, weight
        rate, rise = self._rates(drawn)
        changed = {term: values for term, values in drawn.items() if term != "rate"}
        peak = np.broadcast_to(case.peaks(rate, rise, changed), weight.shape)
        states = np.where(at_most(peak, form.carries(weight, lighter=True)), DOUBTFUL, OVER)
        found[inside] = np.where(at_most(peak, form.carries(weight)), WITHIN, states)
        return found, peak

    def count(self, units: Floats) -> NDArray[np.int64]:
        """How many are WITHIN, OVER, DOUBTFUL, OUTSIDE; those whose cell does not tell are kept
        until there are enough of them to be worked at once (see `rest`)."""
        if self.table is None:
            return _counted(self.judge(units)[0])
        cell = np.zeros(units.shape[1], np.int64)
        for row, (low, high), cells in zip(units, self.ends, self.cells, strict=True):
            if row.min() < low or row.max() >= high:
                return _counted(self.judge(units)[0])
            place = row - low
            place *= cells / (high - low)
            cell *= cells
            cell += place.astype(np.int64)
        found = self.table[cell]
        self.open.append(units.take(np.flatnonzero(found == OPEN), axis=1))
        counts = np.zeros(4, np.int64)
        counts[WITHIN] = np.count_nonzero(found == WITHIN)
        counts[OVER] = np.count_nonzero(found == OVER)
        self.waiting += len(found) - int(counts.sum())
        return counts + self.rest() if self.waiting >= CHUNK else counts

    def rest(self) -> NDArray[np.int64]:
        """The pours kept back, worked one by one."""
        if not self.open:
            return np.zeros(4, np.int64)
        units = np.concatenate(self.open, axis=1)
        self.open.clear()
        self.waiting = 0
        return _counted(self.judge(units)[0])

    def _inside(self, drawn: dict[str, Floats]) -> Any:
        """Which can be at all, and are in the ranges of the document; nothing is clipped."""
        inside = np.ones(len(next(iter(drawn.values()))), bool)
        for term, values in drawn.items():
            if term != "temperature":
                inside &= values > 0.0
        for limit in self.case.rule.ranges:
            if limit.term in drawn and limit.concerns(self.case.given):
                value = drawn[limit.term]
                inside &= at_most(limit.least, value) & at_most(value, limit.most)
        return inside & self.answers

    def _answers(self) -> bool:
        """Whether the document answers for what does not vary."""
        case = self.case
        judged = {r.term for r in case.rule.ranges} & {v.term for v in self.varied}
        given = {**case.given, "rate": case.rate}
        fixed = {term: value for term, value in given.items() if term not in judged}
        try:
            case.rule.envelope(**fixed)
        except OutOfRange:
            return False
        return True

    def _rates(self, drawn: dict[str, Floats]) -> tuple[Any, Any]:
        """Rate, and rise of what is still liquid: where all goes faster both rise alike."""
        case = self.case
        if case.rate is None or case.rise is None:
            return None, None
        rate = drawn.get("rate", case.rate)
        return rate, rate * (case.rise / case.rate)

    def _ends(self, v: Varied) -> tuple[float, float]:
        """To how many widths the cells go: as far as the document answers."""
        least, most = v.middle - self.reach * v.width, v.middle + self.reach * v.width
        if v.term != "temperature":
            least = max(least, v.middle / 100.0)
        for limit in self.case.rule.ranges:
            if limit.term == v.term and limit.concerns(self.case.given):
                least, most = max(least, limit.least), min(most, limit.most)
        return (least - v.middle) / v.width, (most - v.middle) / v.width

    def sort(self) -> None:
        """Make the table of what all pours of a cell are, from its worst and best corner."""
        if any(low >= high for low, high in self.ends):
            return  # the middle is outside the document: each pour is worked by itself
        ends = zip(self.ends, self.cells, strict=True)
        axes = [np.linspace(low, high, cells + 1) for (low, high), cells in ends]
        found = np.empty([len(axis) for axis in axes], np.int8)
        for start in range(0, found.size, CHUNK):
            stop = min(start + CHUNK, found.size)
            places = np.unravel_index(np.arange(start, stop), found.shape)
            corners = np.stack([axis[place] for axis, place in zip(axes, places, strict=True)])
            found.flat[start:stop] = self.judge(corners)[0]
        up, down = slice(1, None), slice(None, -1)
        worst = found[tuple(up if v.worse > 0 else down for v in self.varied)]
        best = found[tuple(down if v.worse > 0 else up for v in self.varied)]
        cells = np.full(self.cells, OPEN, np.int8)
        cells[worst == WITHIN] = WITHIN
        cells[best == OVER] = OVER
        self.table = cells.ravel()


def _cells(varied: tuple[Varied, ...], most: int) -> list[int]:
    """Into how many cells each input is cut: finer where a step of it changes more pours."""
    shares = [FINENESS[v.term] for v in varied]
    along = (most / np.prod(shares)) ** (1.0 / len(shares))
    return [max(1, int(along * share)) for share in shares]


def _counted(found: NDArray[np.int8]) -> NDArray[np.int64]:
    return np.bincount(found, minlength=4)
