"""Sawn timber in compression along its length: what a brace may carry.

Bare numbers in inches, pounds and psi, the units in which the design values are printed.
"""

from __future__ import annotations

from math import sqrt

from formpressure.records import Clause, Label
from formpressure.units import at_most

LECTURES = "University of Florida temporary-structures lectures (D. Allen)"
FORMULA = Clause(
    "NDS, National Design Specification for Wood Construction", f"column stability, in {LECTURES}",
    "allowable compression Fc* x CP, FcE = 0.822 E'min / (le/d)^2", Label.QUOTED,
)  # fmt: skip
SLENDER = Clause(
    "NDS, National Design Specification for Wood Construction", f"column stability, in {LECTURES}",
    "le/d of a loaded column is at most 50", Label.QUOTED,
)  # fmt: skip
EULER = 0.822  # FORMULA
SAWN = 0.8  # c of sawn lumber, FORMULA
MOST_SLENDER = 50.0  # SLENDER; 75 is for erection alone, without load, and is not used


def slenderness(length: float, least: float) -> float:
    """le/d: length between stays over the least side, both ends pinned (Ke = 1, our own choice)."""
    return length / least


def has_capacity(slender: float) -> bool:
    """Whether le/d is within the limit of a loaded column."""
    return bool(at_most(slender, MOST_SLENDER))


def buckling_stress(E_min: float, slender: float) -> float:
    """FcE, psi: critical buckling stress from the adjusted E'min."""
    return EULER * E_min / slender**2


def stability_factor(Fc_star: float, FcE: float, c: float = SAWN) -> float:
    """CP, from Fc* = Fc with every factor but CP, and FcE.

    >>> round(stability_factor(1750.0, buckling_stress(510000.0, 144 / 3.5)), 4)
    0.1372
    """
    r = FcE / Fc_star
    half = (1.0 + r) / (2.0 * c)
    return half - sqrt(half**2 - r / c)


def allowable_load(
    Fc_star: float, E_min: float, area: float, length: float, least: float
) -> float | None:
    """P = Fc* CP A, lb; None where le/d passes its limit and no load is allowed at all."""
    slender = slenderness(length, least)
    if not has_capacity(slender):
        return None
    return Fc_star * stability_factor(Fc_star, buckling_stress(E_min, slender)) * area
