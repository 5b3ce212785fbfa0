"""Nails that do not come through a panel, straightener timbers with their laps, and planks.

Nails in inches; lengths of timbers and planks in any one unit.
"""

from __future__ import annotations

from dataclasses import dataclass

from formpressure.demand.brackets import supports_needed
from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.tables import load_tables
from formpressure.units import TOLERANCE, whole_up

PRACTICE = "common practice, no source"
LAPS = Clause(PRACTICE, "straighteners", "2x4s that lap by half a panel", Label.PRACTICE)
STRAIGHTENER = 1.5  # in, thickness of a 2x4 (PRACTICE: dressed size)
HALF = 0.5  # of a panel, LAPS


def nail_length(penny: int) -> float:
    """Length of a common nail, in. Raises Refusal for a size that is not tabulated."""
    return float(load_tables("nails")["nails"].find(penny=penny)["length"])


def comes_through(penny: int, *thicknesses: float) -> float:
    """How far the point stands out, in, of a nail through layers of wood; under 0 it stays inside.

    >>> comes_through(8, 1.5, 1.125), comes_through(10, 1.5, 1.125)
    (-0.125, 0.375)
    """
    return nail_length(penny) - sum(thicknesses)


def nail_that_stays(*thicknesses: float) -> int:
    """The longest common nail that does not come through, its size in pennies: statics, OWN.

    One as long as the wood is thick does not count. Raises Refusal where every one comes through.
    """
    sizes = [int(row["penny"]) for row in load_tables("nails")["nails"].rows]
    inside = [p for p in sizes if comes_through(p, *thicknesses) < -TOLERANCE]
    if not inside:
        shortest = min(nail_length(p) for p in sizes)
        raise Refusal(
            "every nail of the table comes through", f"The wood must be over {shortest:g} in thick",
            value=f"{sum(thicknesses):g} in",
        )  # fmt: skip
    return max(inside, key=nail_length)


def lapped(length: float, timber: float, lap: float) -> int:
    """Timbers in one line, each lapping the one before by `lap`."""
    return max(1, whole_up((length - lap) / (timber - lap)))


@dataclass(frozen=True, slots=True)
class PlankLine:
    """One line of planks along a run: how many, on how many brackets, and how far those stand.

    Planks meet over a bracket, where each runs its end overhang past the middle.
    """

    planks: int
    brackets: int
    spacing: float
    supports: int  # under one plank


def plank_line(length: float, plank: float, span: float, overhang: float) -> PlankLine:
    """Planks over `length`, brackets at most `span` apart, ends `overhang` past: one unit, ft.

    >>> plank_line(40.0, 16.0, 8.0, 0.5).supports, plank_line(40.0, 8.0, 8.0, 0.5).supports
    (3, 2)
    """
    supports = supports_needed(plank, span, overhang * 12.0)
    step = plank - 2.0 * overhang
    planks = max(1, whole_up((length - 2.0 * overhang) / step))
    return PlankLine(planks, planks * (supports - 1) + 1, step / (supports - 1), supports)
