"""The tie schedule: every tie of a layout with its place, its length and its load.

The load of a tie is that of its row, by the two models of the verdict, for the width of form that
its own line holds. The width is half of both gaps, where corners count as lines because the corner
joint holds the form there; what runs past the last line to an open end counts as an overhang.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from formpressure.demand.ties import tie_loads
from formpressure.job.layout import Layout
from formpressure.job.tie_lines import rows_above, tie_width, unit_of
from formpressure.units import TOLERANCE
from formpressure.verdict import Verdict
from formpressure.wall_path import Side


class Tie(NamedTuple):
    """One tie. Bare numbers of the rule; `place` is exact, in the layout's unit, from the outside
    corner along its side."""

    side: str
    place: Fraction
    row: float  # its level above the deepest footing
    length: Fraction  # between the faces of the concrete, in the layout's unit
    width: float
    load: float
    ratio: float
    above: bool  # at or over the top of concrete: its clip may stay empty once that is checked
    opening: bool  # passes through a buck


@dataclass(frozen=True, slots=True)
class TieSchedule:
    """Every tie, side by side and joint by joint, from the bottom row up."""

    verdict: Verdict
    layout: Layout
    ties: tuple[Tie, ...]

    @property
    def by_joint(self) -> tuple[tuple[Tie, ...], ...]:
        """The ties of every joint, from the bottom up."""
        same = groupby(self.ties, key=lambda tie: (tie.side, tie.place))
        return tuple(tuple(ties) for _, ties in same)

    @property
    def worst(self) -> Tie:
        """The most loaded tie, the first of several alike."""
        return self.alike[0]

    @property
    def alike(self) -> tuple[Tie, ...]:
        """All ties that carry as much as the most loaded one, in order."""
        least = max(tie.load for tie in self.ties) * (1.0 - TOLERANCE)
        return tuple(tie for tie in self.ties if tie.load >= least)


def tie_schedule(verdict: Verdict) -> TieSchedule:
    """The ties of a plan with a layout, at the pressure its verdict judged.

    Raises ValueError for a plan without one.
    """
    layout = verdict.case.layout
    if layout is None:
        raise ValueError("a plan without a layout")
    ties = tuple(tie for side in layout.path.sides for tie in _ties_of(verdict, layout, side))
    return TieSchedule(verdict, layout, ties)


def _ties_of(verdict: Verdict, layout: Layout, side: Side) -> list[Tie]:
    case = verdict.case
    system, capacity = case.rule.system, case.tie.usable
    unit = unit_of(layout, system)
    supports, _ = layout.supports(side)
    widths = dict(zip(supports, tie_width(layout, side, system)[1], strict=True))
    found = []
    for line in layout.tie_lines(side):
        rows = rows_above(case.rows, float(line.bottom) * unit) or case.rows
        loads = tie_loads(rows, verdict.envelope)
        width = float(widths[line.place - side.origin])
        for y, load in zip(rows.heights, loads.load * (width / rows.width), strict=True):
            if y > float(layout.path.form_top) * unit * (1.0 + TOLERANCE):
                continue  # no form there
            found.append(Tie(
                side.name, line.place, float(y), side.thickness, width, float(load),
                float(load) / capacity, bool(y >= rows.top), _in_opening(side, line.place, y, unit),
            ))  # fmt: skip
    return found


def _in_opening(side: Side, place: Fraction, row: float, unit: float) -> bool:
    return any(
        hole.at < place < hole.at + hole.width
        and float(hole.sill) * unit < row < float(hole.head) * unit
        for hole in side.holes
    )
