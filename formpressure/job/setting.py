"""Concrete and time: setting at another temperature, equivalent age, hours warm enough.

All are estimates beside tests of the mix itself. An estimate never sets a minimum rate: the forms
limit how fast, and a joint that would set too soon is a reason to change the plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp
from typing import Any

from formpressure.errors import OutOfRange, Refusal
from formpressure.job.estimate import Estimate, one, positive, quantity
from formpressure.records import Clause, Label, Range
from formpressure.units import at_most, leave

ARRHENIUS = Clause(
    "ASTM C1074", "equivalent age", "rate by Arrhenius with an activation of 5,000 K", Label.MEMORY
)
TRADE = Clause(
    "a concrete trade magazine, October 2020, title not recorded", "finishing time",
    "20 F colder doubles it, 20 F warmer halves it", Label.READ,
)  # fmt: skip
FACTOR = Clause(
    "a published summary of ASTM C1074", "temperature-time factor",
    "degrees over the datum times hours; steps below it count zero", Label.READ,
)  # fmt: skip
DATUM = Clause(
    "ASTM C1074", "datum", "0 C for Type I without admixtures; -10 C in older use", Label.MEMORY
)
REFERENCE = Clause("ASTM C1074", "reference temperature", "20 or 23 C", Label.MEMORY)
FROZEN = Clause("formpressure", "own choice", "hours below 0 C add no age", Label.OWN)
WARM_HOURS = Clause(
    "ACI 347R-94, as quoted by Concrete Construction magazine",
    'Q&A "Stripping wall forms during cold weather"',
    "hours of air above 50 F add up, together or not; colder hours do not count", Label.QUOTED,
)  # fmt: skip
SETTING_RANGE = Range(
    "temperature", 40.0, 100.0,
    Clause("formpressure", "own choice", "setting is carried over between 40 and 100 F only",
           Label.OWN),
)  # fmt: skip

ACTIVATION = 5000.0  # K, activation energy over the gas constant, ARRHENIUS
KELVIN = 273.15  # K at 0 C
DOUBLING = 20.0  # F, TRADE
MINUTES = 60.0  # in an hour

Steps = Iterable[tuple[Any, Any]]  # (length of time, temperature), quantities or text


def age_factor(temperature: float, reference: float) -> float:
    """exp[-Q (1/T - 1/Ts)] with Q = 5,000 K: age gained for each hour. C in, used as kelvin.

    From memory, confirm against the document.

    >>> round(age_factor(10.0, 20.0), 3)
    0.548
    """
    return exp(-ACTIVATION * (1.0 / (temperature + KELVIN) - 1.0 / (reference + KELVIN)))


def trade_factor(temperature: float, other: float) -> float:
    """How many times as long at `temperature` as at `other`, both F: doubles for 20 F colder."""
    return float(2.0 ** ((other - temperature) / DOUBLING))


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting time carried to another temperature in two published ways."""

    arrhenius: Estimate
    trade: Estimate

    @property
    def shorter(self) -> Estimate:
        """For joints between layers. It never sets a minimum rate."""
        return min(self.arrhenius, self.trade, key=_minutes)

    @property
    def longer(self) -> Estimate:
        """For pressure, which stays on as long as the concrete has not set."""
        return max(self.arrhenius, self.trade, key=_minutes)


def _minutes(estimate: Estimate) -> float:
    return float(estimate.value.m_as("min"))


def setting_time(known: Any, *, at: Any, now: Any) -> Setting:
    """The setting time `known` "at" one temperature of the concrete, carried to another, "now".

    `known` is measured or stated, initial or final set: the answer is for the same one. It is an
    estimate, and an estimate never sets a minimum rate. Raises OutOfRange outside 40 to 100 F, a
    range of our own.
    """
    minutes = positive("known", "duration", known)
    if minutes == 0.0:
        raise Refusal("no setting time", "Give the time measured or stated", key="known")
    before_F, after_F = _carried("at", at), _carried("now", now)
    before_C = one("at", "temperature", at, "SI")
    after_C = one("now", "temperature", now, "SI")
    notes = ("setting_rough",)
    by_arrhenius = leave("duration", minutes / age_factor(after_C, before_C))
    by_trade = leave("duration", minutes * trade_factor(after_F, before_F))
    return Setting(
        Estimate(by_arrhenius, (ARRHENIUS, SETTING_RANGE.clause), notes),
        Estimate(by_trade, (TRADE, SETTING_RANGE.clause), notes),
    )


def _carried(key: str, value: Any) -> float:
    bare = one(key, "temperature", value)
    low, high = SETTING_RANGE.least, SETTING_RANGE.most
    if not (at_most(low, bare) and at_most(bare, high)):
        raise OutOfRange(
            f"outside {low:g} to {high:g} F, where setting is carried over",
            f"Test the mix at that temperature ({SETTING_RANGE.clause})",
            key=key, value=str(value),
        )  # fmt: skip
    return bare


def equivalent_age(steps: Steps, *, reference: Any) -> Estimate:
    """Age at `reference`, 20 or 23 C by document, that steps of concrete temperature amount to.

    te = sum of `age_factor` times each length of time. From memory, confirm against the document.
    Steps below freezing add nothing, our own choice, and a note tells it.
    """
    known = one("reference", "temperature", reference, "SI")
    entered = _steps(steps, "temperature", "SI")
    frozen = any(t < 0.0 < minutes for minutes, t in entered)
    age = sum((m * age_factor(t, known) for m, t in entered if t >= 0.0), 0.0)
    more = ("frozen_hours",) if frozen else ()
    clauses = (ARRHENIUS, REFERENCE, *((FROZEN,) if frozen else ()))
    return Estimate(leave("duration", age), clauses, ("not_strength", *more))


def temperature_time(steps: Steps, *, datum: Any = "0 C", system: str = "US") -> Estimate:
    """M = sum of (T - T0) times hours, for steps of concrete temperature; below the datum zero.

    The datum is from memory, confirm against the document.

    >>> temperature_time([("12 h", "20 C"), ("12 h", "10 C")], system="SI").value.magnitude
    360.0
    """
    base = one("datum", "temperature", datum, "SI")
    entered = _steps(steps, "temperature", "SI")
    total = sum((max(t - base, 0.0) * minutes / MINUTES for minutes, t in entered), 0.0)
    value = quantity("temperature_time", total, "SI", system)
    return Estimate(value, (FACTOR, DATUM), ("not_strength",))


def hours_above(log: Steps, threshold: Any = "50 F") -> Estimate:
    """Time of a log of air temperatures that was warmer than `threshold`, together or not.

    It says nothing of how much is needed, and counts only where no strength is specified.

    >>> hours_above([("10 h", "52 F"), ("8 h", "45 F"), ("3 h", "55 F")]).value.m_as("h")
    13.0
    """
    limit = one("threshold", "air_temperature", threshold)
    entered = _steps(log, "air_temperature", "US")
    total = sum((minutes for minutes, t in entered if not at_most(t, limit)), 0.0)
    return Estimate(leave("duration", total), (WARM_HOURS,), ("hours_not_strength",))


def _steps(steps: Steps, term: str, system: str) -> list[tuple[float, float]]:
    """(minutes, bare temperature) of each step."""
    return [
        (positive(f"step {i}", "duration", time), one(f"step {i}", term, temperature, system))
        for i, (time, temperature) in enumerate(steps, 1)
    ]
