"""What wind and work put on the braces of a wall form.

Bare numbers in the units of one system: lengths in ft or m, line loads in plf or kN/m. Braces do
not carry the pressure of the concrete where ties join both faces; ties do.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import atan2, degrees, hypot

from formpressure.records import Clause, Label
from formpressure.units import at_most

MINIMUM = Clause(
    "ACI 347R-14", "bracing of wall forms, quoted in two formwork textbooks (one at sec. 7.2.2, "
    "p. 191)", "at least 15 psf of wind and 100 lb/ft at the top, either way", Label.QUOTED,
)  # fmt: skip
MINIMUM_SI = Clause(
    "ACI 347R-14", "bracing of wall forms, metric set",
    "at least 0.72 kPa of wind and 1.5 kN/m at the top, either way", Label.MEMORY,
)  # fmt: skip
CLAUSE = {"US": MINIMUM, "SI": MINIMUM_SI}
LEAST_WIND = {"US": 15.0, "SI": 0.72}  # psf, kPa: CLAUSE
LEAST_TOP = {"US": 100.0, "SI": 1.5}  # plf, kN/m: CLAUSE
ANGLES = Clause(
    "US Army Engineer School, Subcourse EN5466A, Concrete Engineering, 1992", "p. 3-17",
    "braces stand at 20 to 60 degrees to the ground", Label.READ,
)  # fmt: skip
FLATTEST, STEEPEST = 20.0, 60.0  # degrees: ANGLES


class Source(StrEnum):
    """Where a load on the braces comes from; it sets how long the load is taken to last."""

    WIND = "wind"
    WORK = "work"  # the line load at the top, for people, placing and what leans on the form


@dataclass(frozen=True, slots=True)
class Push:
    """One load on each length of form, either way; all for each unit of length.

    `at_braces` is the horizontal force where the braces meet the form, `at_foot` the size of the
    one left for the foot of the form; wind and work come from either side, so it has no sign.
    """

    source: Source
    top: float  # as a line load at the top of the form
    at_braces: float
    at_foot: float


@dataclass(frozen=True, slots=True)
class Brace:
    """Geometry of one brace: its top at `attached` on the form, its foot `foot` out from it.

    The foot stands level with the footing of the wall; where the ground there is higher the brace
    is flatter and shorter, which is less.
    """

    attached: float
    foot: float
    spacing: float

    @property
    def length(self) -> float:
        return hypot(self.attached, self.foot)

    @property
    def angle(self) -> float:
        """To the ground, degrees."""
        return degrees(atan2(self.attached, self.foot))

    @property
    def angle_is_usual(self) -> bool:
        """Whether the angle is within ANGLES."""
        return bool(at_most(FLATTEST, self.angle) and at_most(self.angle, STEEPEST))

    def axial(self, at_braces: float) -> float:
        """Force along one brace, from the horizontal force on each length of form (statics).

        Push or pull, because wind and work come from either side. Sideways and upward parts at
        the foot make up this same force, so it is the load of its anchor as well.
        """
        return at_braces * self.spacing * self.length / self.foot


def top_load(pressure: float, height: float) -> float:
    """Line load at the top that turns the form over as the wind does: p h / 2 (statics).

    >>> top_load(20.0, 10.0)
    100.0
    """
    return pressure * height / 2.0


def horizontal_at(attached: float, height: float, top: float, start: float = 0.0) -> float:
    """Horizontal force at `attached` that balances `top`, by moments about `start` (statics)."""
    return top * (height - start) / (attached - start)


def wind_push(wind: float, height: float, attached: float, start: float = 0.0) -> Push:
    """Wind of any size on a form that stands free up to `height`.

    Whether the form turns about hardened concrete at `start` or about the footing is not known:
    the larger forces count.
    """
    tops = {base: top_load(wind, height - base) for base in (0.0, start)}
    forces = [horizontal_at(attached, height, top, base) for base, top in tops.items()]
    left = [2.0 * top - force for top, force in zip(tops.values(), forces, strict=True)]
    return Push(Source.WIND, tops[0.0], max(forces), max(map(abs, left)))


def work_push(system: str, height: float, attached: float, start: float = 0.0) -> Push:
    """The least line load at the top, as `wind_push`."""
    top = LEAST_TOP[system]
    force = max(horizontal_at(attached, height, top, base) for base in (0.0, start))
    return Push(Source.WORK, top, force, abs(top - force))


def pushes(
    wind: float, system: str, height: float, attached: float, start: float = 0.0
) -> tuple[Push, Push]:
    """The two loads that every part of the bracing must carry, each on its own."""
    wind = max(wind, LEAST_WIND[system])
    return (
        wind_push(wind, height, attached, start),
        work_push(system, height, attached, start),
    )
