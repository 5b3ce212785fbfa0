"""What the crew snaps on the footing, side by side from the first corner, and the check at the far
one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from formpressure.job.layout import Filled, Layout
from formpressure.records import Clause, Label
from formpressure.wall_path import INNER, OUTER, RIGHT, RUN, ZERO, Side

FAR_CORNER = Clause(
    "common practice", "set-out of wall forms",
    "wide pieces from the first corner out; at the far one mark the thickness back from the line, "
    "add the leg, the rest is filler", Label.PRACTICE,
)  # fmt: skip


class Group(NamedTuple):
    """Equal pieces one after the other."""

    times: int
    width: Fraction
    courses: tuple[Fraction, ...]
    cut: bool


class Line(NamedTuple):
    """One stretch of a side as the crew sets it."""

    filled: Filled
    groups: tuple[Group, ...]


class FarCorner(NamedTuple):
    """`back` from the line, `leg` more: pieces end at `at`. The widest end at `panels`, and what is
    left is `filler`."""

    back: Fraction
    leg: Fraction
    at: Fraction
    panels: Fraction
    filler: Fraction


@dataclass(frozen=True, slots=True)
class SetOut:
    """One side: its stretches, the joints to snap, and the check at its end."""

    side: Side
    lines: tuple[Line, ...]
    joints: tuple[Fraction, ...]  # opposite on both faces
    one_face: tuple[tuple[str, Fraction], ...]  # joints behind pilasters and in closers
    far: FarCorner


def set_out(layout: Layout) -> tuple[SetOut, ...]:
    """The set-out list of a layout, in the order of its sides."""
    return tuple(_of_side(layout, side) for side in layout.path.sides)


def _of_side(layout: Layout, side: Side) -> SetOut:
    mine = [f for f in layout.filled if f.stretch.side == side.name]
    lines = tuple(Line(f, tuple(_groups(f))) for f in mine)
    both = set(layout.joints(side.name, OUTER)) & set(layout.joints(side.name, INNER))
    one = {
        (face, piece.start)
        for stretch, pieces, _ in mine if stretch.kind != "pilaster side"
        for face in stretch.faces for piece in pieces[1:] if piece.start not in both
    }  # fmt: skip
    first, last = side.set_back(layout.path.leg)
    runs = [p for f in mine if f.stretch.kind == RUN for p in f.pieces]
    widest = max((p.width for p in runs if not p.cut), default=ZERO)
    at = side.length - last
    panels = max((p.end for p in runs if p.width == widest and not p.cut), default=first)
    back = side.beside[1] if side.after == RIGHT else ZERO
    leg = layout.path.leg if last else ZERO
    far = FarCorner(back, leg, at, panels, at - panels)
    joints = tuple(sorted(both | {first, at}))
    return SetOut(side, lines, joints, tuple(sorted(one)), far)


def _groups(filled: Filled) -> Iterator[Group]:
    for (width, courses, cut), same in groupby(filled.pieces, key=lambda p: p[1:]):
        yield Group(len(tuple(same)), width, courses, cut)
