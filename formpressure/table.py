"""The rate table: what is allowed at other temperatures of the concrete and with worse mixes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure import case as cases
from formpressure.allowed import LAYER, STEP, allowable_pressure
from formpressure.case import Case
from formpressure.errors import OutOfRange
from formpressure.gaps import Gaps, Most
from formpressure.plan import Plan
from formpressure.rise import minutes_between
from formpressure.units import TOLERANCE, at_most
from formpressure.verdict import check

Floats = NDArray[np.floating[Any]]
TEMPERATURES = {"US": np.arange(40.0, 101.0, 5.0), "SI": np.arange(5.0, 38.0, 2.5)}


@dataclass(frozen=True, slots=True)
class Rates:
    """Allowed rates by temperature of the concrete (rows, colder first) and mix (columns).

    Bare, in the units of the plan: infinity is any rate, zero no rate. Between rows use the colder
    row. `shown` is `allowed` rounded down to the display step; `minutes` are from the start of one
    `layer` to the start of the next, nan where there is none to give. `gaps` are the smallest whole
    minutes from one truck to the next, one at a time, nan where a load must be split or any gap
    will do; None where the plan does not tell how trucks fill the wall.
    """

    case: Case
    temperatures: Floats
    mixes: tuple[str, ...]
    chemistry: tuple[float | None, ...]
    allowed: Floats
    layer: float
    gaps: Floats | None = None

    @property
    def shown(self) -> Floats:
        """Rounded down to the display step; under one step it is no rate."""
        step = STEP[self.case.rule.system]
        rounded: Floats = np.floor(self.allowed / step * (1.0 + TOLERANCE)) * step
        return rounded

    @property
    def minutes(self) -> Floats:
        """Whole minutes for each layer, nan where any rate or no rate is allowed."""
        shown = self.shown
        waits = {rate: self._wait(rate) for rate in np.unique(shown)}
        minutes: Floats = np.vectorize(waits.__getitem__, otypes=[float])(shown)
        return minutes

    def _wait(self, rate: float) -> float:
        if not 0.0 < rate < np.inf:
            return np.nan
        minutes = minutes_between(self.layer, rate, self.case.layer_time)
        return np.nan if minutes is None else float(minutes)


def rates(plan: Plan) -> Rates:
    """The whole table; one structural root serves it all, since it holds for every temperature.

    A plan that does not give slump or vibration allows no rate, unless full liquid head passes.
    Where studs or wales run past the ties no rate brings more than the third model was asked about,
    and none is given while it waits for an engineer. Raises Refusal as `check` does.
    """
    case = cases.set_up(plan)
    temperatures = _temperatures(case)
    mixes = case.rule.mixes(**case.given)
    pressure = allowable_pressure(case).pressure
    if case.bare.form.studs or case.bare.form.wales:
        verdict = check(plan)
        pressure = 0.0 if verdict.doubtful else verdict.carries
    columns = [_column(case, pressure, temperatures, changed) for _, changed in mixes]
    table = np.stack([np.broadcast_to(c, temperatures.shape) for c in columns], axis=1)
    gaps = _gaps(case, pressure, temperatures, [changed for _, changed in mixes])
    chemistry = tuple(changed.get("chemistry") for _, changed in mixes)
    names = tuple(name for name, _ in mixes)
    return Rates(case, temperatures, names, chemistry, table, LAYER[case.rule.system], gaps)


def _gaps(
    case: Case, pressure: float, temperatures: Floats, mixes: list[dict[str, Any]]
) -> Floats | None:
    """Smallest gap of trucks in every cell; each gap is simulated once for them all."""
    if case.filling is None:
        return None
    asked, rise = Gaps(case.filling), pressure / case.given["unit_weight"]
    found: Floats = np.full((len(temperatures), len(mixes)), np.nan)
    for j, changed in enumerate(mixes):
        rates = _column(case, pressure, temperatures, changed, by_document=True)
        for i, rate in enumerate(np.broadcast_to(np.asarray(rates), temperatures.shape)):
            if 0.0 < rate < np.inf:
                gap = asked.least(Most(float(rate), rise))
                found[i, j] = np.nan if gap is None else gap
    return found


def _temperatures(case: Case) -> Floats:
    """The usual rows that stand inside the document's range."""
    rows = TEMPERATURES[case.rule.system]
    for limit in case.rule.ranges:
        if limit.term == "temperature":
            rows = rows[at_most(limit.least, rows) & at_most(rows, limit.most)]
    return rows


def _column(
    case: Case, pressure: float, temperatures: Floats, changed: dict[str, Any], *,
    by_document: bool = False,
) -> Any:  # fmt: skip
    """Allowed rates of one mix, or those of the document alone; outside another range of it there
    is no rate, unless full liquid head passes."""
    asked = case.allowed_by_document if by_document else case.allowed_with
    try:
        return asked(pressure, case.at_temperatures(temperatures, changed)).rate
    except OutOfRange:
        return np.inf if at_most(float(case.liquid_head().p_max), pressure) else 0.0
