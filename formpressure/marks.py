"""Minutes from mark to mark for the concrete measured: the rule a crew can keep with a watch.

Marks are chalked on the form. The next one is never reached before so many minutes after the last,
at every place that is filled. `rise.minutes_from_mark` proves that this holds however unevenly the
concrete goes in and however long the stops, which no time for a layer or a truck does.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from formpressure.allowed import STEP, truck_rise
from formpressure.case import Case
from formpressure.pour import HALF_HOUR
from formpressure.pour import marks as levels_of
from formpressure.rise import HOUR, minutes_between, minutes_from_mark
from formpressure.table import TEMPERATURES
from formpressure.units import TOLERANCE, down
from formpressure.verdict import Verdict

MARK = {"US": 1.0, "SI": 0.25}  # ft, m: a foot, or the nearest round part of a metre
ROWS = 5  # temperatures about that of the plan


@dataclass(frozen=True, slots=True)
class Row:
    """What counts for concrete of one temperature; bare.

    `minutes` is None where no wait between such marks keeps to the rate. `gap` is from the start of
    one truck to the start of the next with each spread all round, so that it need not wait for the
    marks; None where that is not known or one truck must be split.
    """

    temperature: float
    rate: float
    minutes: int | None
    gap: int | None


@dataclass(frozen=True, slots=True)
class Marks:
    """Marks `step` apart at `levels` above the footing, rows by temperature, colder first.

    `here` is the row of the plan. `held` is the rate of the plan where it holds a row back, which
    the form alone would let go faster. `wait` is after how many minutes without rise a colder row
    may be taken up: then no window holds any of the earlier rise.
    """

    step: float
    levels: tuple[float, ...]
    rows: tuple[Row, ...]
    here: int
    held: float | None
    wait: float

    @property
    def minutes(self) -> int:
        """Minutes from mark to mark at the temperature of the plan."""
        minutes = self.rows[self.here].minutes
        assert minutes is not None  # else there would be no marks
        return minutes


def mark_pace(verdict: Verdict) -> Marks | None:
    """Marks and minutes of a plan; None where any rate or no rate is allowed, or none by marks.

    No row goes over the pressure that the form may carry, nor over a rate the plan states.
    """
    case, planned = verdict.case, verdict.case.bare.concrete.temperature
    kept = rates_kept(verdict)
    if kept is None:
        return None
    temperatures, allowed, stated = kept
    rates = [min(rate, stated) for rate in allowed]
    here = int(np.flatnonzero(temperatures == planned)[0])
    fresh = verdict.carries / case.given["unit_weight"]
    step = _step(case, rates, here, fresh)
    if step is None:
        return None
    rows = tuple(
        _row(case, float(t), rate, fresh, step) for t, rate in zip(temperatures, rates, strict=True)
    )
    held = float(stated) if any(rate > stated for rate in allowed) else None
    levels = levels_of(case.rows.start, case.bare.wall.height, step)
    return Marks(step, tuple(levels), rows, here, held, _windows(case)[0])


def rates_kept(verdict: Verdict) -> tuple[np.ndarray, list[float], float] | None:
    """Temperatures about that of the plan, the rate that the form allows at each, rounded down, and
    the rate that the plan states, infinity where it states none: no row goes over that."""
    case, planned = verdict.case, verdict.case.bare.concrete.temperature
    if verdict.pace is None or planned is None:
        return None
    system = case.rule.system
    temperatures = about(planned, TEMPERATURES[system], *_range(case))
    asked = case.at_temperatures(temperatures, {})
    rate = case.allowed_by_document(verdict.carries, asked).rate
    found = np.broadcast_to(rate, temperatures.shape)
    stated = case.rate if case.filling is None and case.rate is not None else np.inf
    return temperatures, [down(float(rate), STEP[system]) for rate in found], float(stated)


def _step(case: Case, rates: list[float], here: int, fresh: float) -> float | None:
    """Marks as usual, or half as far apart where the usual ones would ask any row for an hour."""
    usual = MARK[case.rule.system]
    whole = [_minutes(case, rate, fresh, usual) for rate in rates]
    if all(minutes is not None and minutes < HOUR for minutes in whole):
        return usual
    return usual / 2.0 if _minutes(case, rates[here], fresh, usual / 2.0) is not None else None


def about(
    planned: float, grid: np.ndarray, least: float = -np.inf, most: float = np.inf
) -> np.ndarray:
    """The planned temperature and its neighbours in the table, two on each side where they fit."""
    inside = np.array(sorted({*grid[(grid >= least) & (grid <= most)], planned}))
    first = int(np.searchsorted(inside, planned)) - ROWS // 2
    first = max(0, min(first, len(inside) - ROWS))
    return inside[first : first + ROWS]


def _range(case: Case) -> tuple[float, float]:
    ends = [(r.least, r.most) for r in case.rule.ranges if r.term == "temperature"]
    return ends[0] if ends else (-np.inf, np.inf)


def _windows(case: Case) -> tuple[float, float]:
    if case.filling is not None:
        return case.filling.rate_window, case.filling.liquid_window
    return HOUR, case.bare.delivery.liquid_window or HALF_HOUR


def _minutes(case: Case, rate: float, fresh: float, step: float) -> int | None:
    """The longest wait that any piece of the wall asks for; each may be of another height.

    A low piece is full sooner, so that its rate is that of a shorter time; so is the wall itself
    where it stops below the top of its form.
    """
    if rate <= 0.0:
        return None
    start, wall = case.rows.start, case.bare.wall.height
    tops = {case.rows.top, wall}
    tops |= {wall if run.height is None else run.height for run in case.bare.delivery.runs}
    heights = {top - start for top in tops}
    found = [minutes_from_mark(h, step, rate, fresh, _windows(case)) for h in heights]
    waits = [minutes for minutes in found if minutes is not None]
    return max(waits) if len(waits) == len(found) else None


def _row(case: Case, temperature: float, rate: float, fresh: float, step: float) -> Row:
    minutes, rise = _minutes(case, rate, fresh, step), truck_rise(case)
    if minutes is None or rise is None or case.filling is not None:
        return Row(temperature, rate, minutes, None)
    spread = minutes_between(rise, rate, case.layer_time)
    by_marks = ceil(rise / step * minutes * (1.0 - TOLERANCE))
    return Row(temperature, rate, minutes, None if spread is None else max(spread, by_marks))
