"""Drying of the open top: water that evaporates from fresh concrete.

One equation in three published coats: with exact constants, with rounded ones, and in inch-pound
units. It holds for open tops, not for formed faces.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from formpressure.errors import Refusal
from formpressure.job.estimate import Estimate, amount, one, positive, quantity
from formpressure.records import Clause, Label
from formpressure.units import at_most

UNO = "P. Uno, ACI Materials Journal 95-M34, 1998"
HEIGHT = Clause(UNO, "wind", "measured 0.5 m above the surface", Label.MEMORY)
TRIGGER = Clause(
    "ACI 305R, Hot Weather Concreting", "plastic shrinkage", "precautions from 0.20 lb/ft2/h",
    Label.MEMORY,
)  # fmt: skip
SCATTER = Clause("Hover, ACI SP-338", "uncertainty", "plus or minus 40 %", Label.READ)
TRIGGER_US = 0.20  # lb/ft2/h, TRIGGER
PART = 0.4  # SCATTER
EXPONENT = 2.5
LOWEST = {"US": 0.0, "SI": -17.0}  # F and C: below, the equation raises a negative number


def exact(concrete: float, air: float, humidity: float, wind: float) -> float:
    """E = 5.275 [(Tc + 17.778)^2.5 - r (Ta + 17.778)^2.5] (V + 4.0234) 1e-6: kg/m2/h, C, km/h."""
    drive = (concrete + 17.778) ** EXPONENT - humidity * (air + 17.778) ** EXPONENT
    return float(5.275e-6 * drive * (wind + 4.0234))


def rounded(concrete: float, air: float, humidity: float, wind: float) -> float:
    """E = 5 [(Tc + 18)^2.5 - r (Ta + 18)^2.5] (V + 4) 1e-6: kg/m2/h, C, km/h. About 4.5 % lower."""
    drive = (concrete + 18.0) ** EXPONENT - humidity * (air + 18.0) ** EXPONENT
    return float(5.0e-6 * drive * (wind + 4.0))


def inch_pound(concrete: float, air: float, humidity: float, wind: float) -> float:
    """E = (Tc^2.5 - r Ta^2.5) (1 + 0.4 V) 1e-6: lb/ft2/h, F, mph."""
    drive = concrete**EXPONENT - humidity * air**EXPONENT
    return float(1.0e-6 * drive * (1.0 + 0.4 * wind))


@dataclass(frozen=True, slots=True)
class Form:
    """One published coat of the equation, the units it takes, and where it is from."""

    equation: Callable[[float, float, float, float], float]
    system: str
    clause: Clause


FORMS = {
    "exact": Form(exact, "SI", Clause(
        "a weather-instrument maker's note on the equation of Uno and Menzel", "equation",
        "with exactly converted constants", Label.READ)),
    "rounded": Form(rounded, "SI", Clause(
        UNO, "equation, as quoted on a reference page", "with rounded constants", Label.QUOTED)),
    "inch-pound": Form(inch_pound, "US", Clause(
        "ACI 305R, Hot Weather Concreting", "evaporation", "inch-pound equation", Label.MEMORY)),
}  # fmt: skip


def evaporation(
    *, concrete: Any, air: Any, humidity: Any, wind: Any, form: str = "exact", system: str = "US"
) -> Estimate:
    """Evaporation from an open top: temperatures of concrete and air, humidity "50 %", wind.

    The notes tell the scatter, and when it is, or within the scatter may be, over the trigger. The
    trigger and the inch-pound form are from memory, confirm against the document.
    """
    if form not in FORMS:
        raise Refusal("not one of its choices", f"Use {', '.join(FORMS)}", key="form", value=form)
    own = FORMS[form].system
    found = FORMS[form].equation(
        _warm("concrete", "temperature", concrete, own), _warm("air", "air_temperature", air, own),
        _share(humidity), positive("wind", "wind_at_surface", wind, own),
    )  # fmt: skip
    clauses = (FORMS[form].clause, HEIGHT, SCATTER, TRIGGER)
    if found <= 0.0:
        nothing = quantity("evaporation", 0.0, own, system)
        return Estimate(nothing, clauses, ("no_evaporation",))
    facts = {
        "low": amount("evaporation", (1.0 - PART) * found, own, system),
        "high": amount("evaporation", (1.0 + PART) * found, own, system),
        "trigger": amount("evaporation", TRIGGER_US, "US", system),
    }
    notes = ["evaporation_rough"]
    limit = facts["trigger"].bare
    value = quantity("evaporation", found, own, system)
    if at_most(limit, value.magnitude):
        notes.append("evaporation_over")
    elif at_most(limit, facts["high"].bare):
        notes.append("evaporation_may_be_over")
    return Estimate(value, clauses, tuple(notes), facts)


def _warm(key: str, term: str, value: Any, system: str) -> float:
    bare = one(key, term, value, system)
    if bare < LOWEST[system]:
        raise Refusal(
            "colder than the equation can take", "It has no answer in such cold", key=key,
            value=str(value),
        )  # fmt: skip
    return bare


def _share(humidity: Any) -> float:
    percent = positive("humidity", "humidity", humidity)
    if percent > 100.0:
        raise Refusal("over 100 %", "Check the number", key="humidity", value=str(humidity))
    return percent / 100.0
