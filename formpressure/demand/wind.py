"""Wind pressure on a form from the wind speed of the local code, and the speed of a pressure.

p = 0.00256 Kz Kzt Kd V^2 G Cf, psf from mph. Every choice is to the high side: the speed is not
reduced for the short time a form stands, and a speed of a strength-level map is not taken back to
allowable stress (0.6). Kz holds up to 15 ft above open ground, Kzt for level ground: on a hill, on
a roof, over water or higher than that, the plan states the pressure itself. So it does within one
form height of a free end, where the edge of the wind makes Cf larger.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod, sqrt

from formpressure.capacity.spans import inch_pound, own_units
from formpressure.records import Clause, Label
from formpressure.units import at_most

LECTURES = "University of Florida temporary-structures lectures (D. Allen)"
ASCE = "ASCE 7, Minimum Design Loads for Buildings and Other Structures"


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor of the pressure and where it is from."""

    symbol: str
    value: float
    clause: Clause


def _quoted(says: str) -> Clause:
    return Clause(ASCE, f"as used in {LECTURES}", says, Label.QUOTED)


FACTORS = (
    Factor("0.00256", 0.00256, _quoted("velocity pressure in psf from mph")),
    Factor("Kz", 0.85, _quoted("exposure near grade")),
    Factor("Kzt", 1.0, Clause(ASCE, "topographic factor", "level ground", Label.MEMORY)),
    Factor("Kd", 0.85, _quoted("directionality")),
    Factor("G", 0.85, _quoted("gust")),
    Factor("Cf", 1.75, _quoted("free-standing wall, about 1.75")),
)
HIGHEST_FT = 15.0  # Kz 0.85 holds up to it: ASCE 7, exposure C, lowest row, MEMORY
# How far the whole chain of steps is known: no better than its weakest factor.
LABEL = Label.MEMORY if Label.MEMORY in {f.clause.label for f in FACTORS} else Label.QUOTED


def pressure_at(speed: float) -> float:
    """Wind pressure in psf at a speed in mph.

    >>> round(pressure_at(90.0), 1)
    22.3
    """
    return prod(f.value for f in FACTORS) * speed**2


def speed_at(pressure: float) -> float:
    """Speed in mph at which the wind pressure is `pressure`, psf."""
    return sqrt(pressure / prod(f.value for f in FACTORS))


def covers(height: float, system: str) -> bool:
    """Whether the factors hold for a form of that height, in ft or m."""
    return bool(at_most(inch_pound("height", height, system), HIGHEST_FT))


def wind_pressure(speed: float, system: str) -> float:
    """Wind pressure at a speed, both in the units of `system`. The formula is in psf and mph."""
    psf = pressure_at(inch_pound("wind_speed", speed, system))
    return own_units("pressure", psf, system)


def wind_speed(pressure: float, system: str) -> float:
    """Speed at a wind pressure, both in the units of `system`: `wind_pressure` the other way."""
    mph = speed_at(inch_pound("pressure", pressure, system))
    return own_units("wind_speed", mph, system)
