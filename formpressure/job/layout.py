"""The layout of a wall: which piece stands where, on both faces, and where ties pass through.

One record answers for the set-out, the count, the tie schedule and the drawings. Every length is
an exact fraction of a foot or a metre, whichever system the plan is in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from formpressure.records import Clause, Label
from formpressure.wall_path import BACK, END, RUN, Side, Stretch, WallPath

JOINTS = Clause(
    "common practice", "joints of wall forms",
    "both faces stand opposite each other; a tie in every clip of such a joint below the top of "
    "concrete", Label.PRACTICE,
)  # fmt: skip


class StockLine(NamedTuple):
    """One kind of panel or filler and how many there are."""

    width: Fraction
    height: Fraction
    at_hand: int


class Piece(NamedTuple):
    """One width of form at its place: courses of stock from the bottom up, or cut on the job."""

    start: Fraction
    width: Fraction
    courses: tuple[Fraction, ...]
    cut: bool

    @property
    def end(self) -> Fraction:
        return self.start + self.width


class Filled(NamedTuple):
    """A stretch with its pieces in order; `why` names the sentence that tells the choice."""

    stretch: Stretch
    pieces: tuple[Piece, ...]
    why: str


class Panel(NamedTuple):
    """One panel or filler as the crew sets it. `course` counts from 1 at the bottom."""

    side: str
    face: str
    kind: str  # of its stretch
    course: int
    start: Fraction
    width: Fraction
    bottom: Fraction
    height: Fraction
    cut: bool


class TieLine(NamedTuple):
    """A joint where ties pass, by its place along the outside line of its side."""

    side: str
    place: Fraction
    bottom: Fraction  # of the footing there


@dataclass(frozen=True, slots=True)
class Layout:
    """The pieces of every stretch. `pieces` of both faces, `cuts` among them, and the solver's
    proof: fewer cuts, or as many cuts and fewer pieces, do not exist where `proved`."""

    path: WallPath
    stock: tuple[StockLine, ...]
    filled: tuple[Filled, ...]
    pieces: int
    cuts: int
    bound: float  # no layout has a lower sum of pieces and CUT_WEIGHT for each cut
    proved: bool
    mends: tuple[tuple[int, StockLine], ...]  # more of the stock that would spare cuts

    def panels(self) -> Iterator[Panel]:
        """Every panel, filler and cut piece, face by face and course by course."""
        for (side, kind, faces, _, _, bottom), pieces, _ in self.filled:
            for face in faces:
                for piece in pieces:
                    level = bottom
                    for course, height in enumerate(piece.courses, start=1):
                        yield Panel(side, face, kind, course, piece.start, piece.width, level,
                                    height, piece.cut)  # fmt: skip
                        level += height

    def used(self) -> dict[tuple[Fraction, Fraction], int]:
        """How many of each width and height stand in the wall; cut pieces are not of the stock."""
        return dict(Counter((p.width, p.height) for p in self.panels() if not p.cut))

    def counts(self, side: Side) -> dict[tuple[str, Fraction, Fraction], int]:
        """Pieces of one side, both faces, by kind, width and height, for a loading list.

        The widest stock of the wall is the panel, the rest are fillers. The corner at the end of a
        side counts with it: one inside unit, as wide as its leg, and one outside angle of no width.
        """
        widest = max(line.width for line in self.stock)
        found: Counter[tuple[str, Fraction, Fraction]] = Counter()
        for p in (p for p in self.panels() if p.side == side.name):
            kind = "cut piece" if p.cut else "panel" if p.width == widest else "filler"
            found[kind, p.width, p.height] += 1
        turns = [side.bottom_at(side.length)] * (side.after != END)
        for bottom in [*turns, *(side.bottom_at(b.at) for b in side.boxes for _ in range(2))]:
            height = self.path.form_top - bottom
            found["inside corner", self.path.leg, height] += 1
            found["outside corner", Fraction(0), height] += 1
        return dict(found)

    def joints(self, side: str, face: str) -> tuple[Fraction, ...]:
        """Places of all joints of the straight wall on one face, measured from one corner, behind
        pilasters too, where no ties pass."""
        found = set()
        for stretch, pieces, _ in self.filled:
            if stretch.side != side or stretch.kind not in (RUN, BACK):
                continue
            found |= {stretch.start, stretch.start + stretch.length}
            if face in stretch.faces:
                found |= {p.start for p in pieces}
        return tuple(sorted(found))

    def tie_lines(self, side: Side) -> tuple[TieLine, ...]:
        """Where ties pass through a side, from its first corner out."""
        first, last = side.set_back(self.path.leg)
        places = {first, side.length - last}
        for stretch, pieces, _ in self.filled:
            if stretch.side == side.name and stretch.kind in (RUN, BACK):
                places |= {stretch.start, stretch.start + stretch.length}
            if stretch.side == side.name and stretch.kind == RUN:
                places |= {p.start for p in pieces}
        if not self.path.end_ties:
            ends = ((Fraction(0), side.before), (side.length, side.after))
            places -= {place for place, turn in ends if turn == END}
        return tuple(TieLine(side.name, p, side.lowest_at(p)) for p in sorted(places))

    def supports(self, side: Side) -> tuple[tuple[Fraction, ...], Fraction]:
        """What holds the form of a side: its tie lines, and the corners at its ends.

        Measured from where the form turns the first corner; with them the length to the last. As
        `ties.joints` of a plan they give the same loads.
        """
        held = {line.place - side.origin for line in self.tie_lines(side)}
        reach = side.reach - side.origin
        held |= {place for place, turn in ((Fraction(0), side.before), (reach, side.after))
                 if turn != END}  # fmt: skip
        return tuple(sorted(held)), reach
