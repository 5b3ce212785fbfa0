"""Joints between layers: how long one waits for the next, against how long it still knits.

The other side of the pace: the pressure limits how fast, the joint how slow. Two ways to carry a
setting time to another temperature differ: the shorter counts for joints, the longer for pressure.
An estimate never sets a minimum rate, and no joint ever lets a pour go faster than the forms allow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure.allowed import Limit
from formpressure.case import Case
from formpressure.errors import OutOfRange
from formpressure.gaps import Gaps, Most
from formpressure.job.setting import Setting, setting_time
from formpressure.pour import Rest
from formpressure.records import Clause, Label
from formpressure.rise import LONGEST_WAIT
from formpressure.units import at_most, leave

Floats = NDArray[np.floating[Any]]
SINKS = Clause(
    "Concrete Construction magazine, quoting ACI 309R-87 and -96", "cold joints",
    "no fixed minutes: place while a running vibrator still sinks in under its own weight",
    Label.QUOTED,
)  # fmt: skip
GRID = {"US": np.arange(40.0, 100.5, 1.0), "SI": np.arange(5.0, 37.6, 0.5)}  # of the chart


@dataclass(frozen=True, slots=True)
class Window:
    """How long a layer still knits, bare: `short` for joints, in the `warmest` concrete of the
    plan; `long` for pressure, in its `coldest`.

    `measured` only at the very temperature at which it was; everything else is an estimate.
    """

    short: float
    long: float
    warmest: float
    coldest: float
    measured: bool
    by: str | None
    clauses: tuple[Clause, ...]


@dataclass(frozen=True, slots=True)
class Joints:
    """The longest wait of the pour as planned, and what a measured window makes of it.

    `gap` is the longest from the start of one truck to the start of the next, one at a time, that
    keeps to a measured window, and `rate` the greatest rise in any hour at that gap: the slowest
    that the joints allow. Both are None for an estimate, and where no gap keeps to it.
    """

    rest: Rest | None
    window: Window | None
    gap: int | None = None
    rate: float | None = None

    @property
    def in_time(self) -> bool | None:
        """Whether every layer comes in time as planned; None where no time is known."""
        if self.window is None:
            return None
        return self.rest is None or bool(at_most(self.rest.minutes, self.window.short))

    def fits(self, least: int | None) -> bool | None:
        """Whether some gap keeps to both sides; None unless the window was measured.

        `least` is the smallest gap that the pressure allows.
        """
        if self.window is None or not self.window.measured:
            return None
        return least is not None and self.gap is not None and least <= self.gap


def joints_of(case: Case) -> Joints | None:
    """Joints of the pour as planned; None where the plan does not tell how trucks fill the wall."""
    if case.filling is None or case.pour is None:
        return None
    rest, window = case.pour.longest_rest(), window_of(case)
    if window is None or not window.measured:
        return Joints(rest, window)
    gaps = Gaps(case.filling)
    gap = gaps.longest(window.short)
    return Joints(rest, window, gap, None if gap is None else gaps.at(gap).rate)


def window_of(case: Case) -> Window | None:
    """The window of a plan; None where it states none, or is outside the range to carry it over."""
    stated, coldest = case.bare.concrete.joint_window, case.bare.concrete.temperature
    if stated is None:
        return None
    coldest = stated.temperature if coldest is None else coldest
    warmest = coldest if stated.warmest is None else stated.warmest
    try:
        warm, cold = carried(case, warmest), carried(case, coldest)
    except OutOfRange:
        return None
    same = at_most(warmest, stated.temperature) and at_most(stated.temperature, warmest)
    measured = bool(same) and stated.by is not None
    return Window(
        _minutes(warm.shorter), _minutes(cold.longer), warmest, coldest, measured, stated.by,
        (*warm.arrhenius.clauses[:1], *warm.trade.clauses),
    )  # fmt: skip


def carried(case: Case, temperature: float) -> Setting:
    """The stated time at another temperature, in two ways. Raises OutOfRange as they do."""
    stated = case.plan.concrete.joint_window
    assert stated is not None
    now = leave("temperature", temperature, case.rule.system)
    return setting_time(stated.time, at=stated.temperature, now=now)


def _minutes(estimate: Any) -> float:
    return float(estimate.value.m_as("min"))


@dataclass(frozen=True, slots=True)
class Pace:
    """Both sides over the temperature of the concrete, bare; nan where there is none to give.

    `limit` is the largest rate by the document (infinity for any), `least` the smallest gap that
    the pressure allows. `short` and `long` are the two windows, `most` the longest gap that keeps
    to the shorter, `slowest` the rate at that gap.
    """

    temperatures: Floats
    limit: Floats
    least: Floats
    short: Floats
    long: Floats
    most: Floats
    slowest: Floats

    @property
    def both(self) -> NDArray[np.bool_]:
        """Where some gap keeps to both sides; False where either is not known."""
        found: NDArray[np.bool_] = self.least <= self.most
        return found


def over_temperature(case: Case, limit: Limit) -> Pace | None:
    """Both sides of the pace for a chart; None where the plan does not tell how trucks fill it."""
    if case.filling is None:
        return None
    gaps, warm = Gaps(case.filling), GRID[case.rule.system]
    rates = case.allowed_by_document(limit.pressure, {"temperature": warm}).rate
    limits = np.broadcast_to(np.asarray(rates, dtype=np.float64), warm.shape)
    rise = limit.pressure / case.given["unit_weight"]
    columns = np.full((5, len(warm)), np.nan)
    for i, temperature in enumerate(warm):
        if limits[i] > 0.0:
            least = 0 if limits[i] == np.inf else gaps.least(Most(float(limits[i]), rise))
            columns[0, i] = np.nan if least is None else least
        if case.plan.concrete.joint_window is None:
            continue
        both = carried(case, float(temperature))
        short = _minutes(both.shorter)
        most = gaps.longest(short)
        columns[1:, i] = short, _minutes(both.longer), np.nan, np.nan
        if most is not None:
            columns[3:, i] = most, gaps.at(most).rate
    return Pace(warm, limits, *columns)


def no_end(gap: float) -> bool:
    """Whether a gap only stands for the longest that is looked at."""
    return gap >= LONGEST_WAIT
