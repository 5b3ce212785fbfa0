"""The path of a wall in exact numbers: its sides, its corners, and the stretches between them.

All lengths are fractions of a foot or of a metre, so nothing is rounded; turns are square. What a
corner takes from each side is common practice (`CORNERS`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any, NamedTuple

from formpressure import units
from formpressure.errors import Refusal
from formpressure.records import Clause, Label

CORNERS = Clause(
    "common practice", "corners of wall forms",
    "an inside corner unit has its leg each way; an outside corner is closed with thickness and "
    "leg each way, its angle takes no length", Label.PRACTICE,
)  # fmt: skip
RIGHT, LEFT, END = "right", "left", "end"
OUTER, INNER = "outer", "inner"
RUN, CLOSER = "run", "closer"
BACK, FRONT, CHEEK = "pilaster back", "pilaster front", "pilaster side"
FINEST = 10**6  # largest denominator of a length: all of 1/64 in, 0.1 mm and their like
ZERO = Fraction(0)


class Step(NamedTuple):
    """The footing from `at` on stands at `bottom`."""

    at: Fraction
    bottom: Fraction


class Box(NamedTuple):
    """A pilaster on one face."""

    at: Fraction
    width: Fraction
    projection: Fraction
    face: str


class Hole(NamedTuple):
    """An opening in the wall."""

    at: Fraction
    width: Fraction
    sill: Fraction
    head: Fraction


class Stretch(NamedTuple):
    """A straight stretch of form on one face or on both, that pieces must fill exactly.

    `start` is measured along the outside line from the first corner of the side; on the cheek of
    a pilaster from the wall's face. Joints inside a `RUN` are opposite on both faces, so ties pass.
    """

    side: str
    kind: str
    faces: tuple[str, ...]
    start: Fraction
    length: Fraction
    bottom: Fraction


class Level(NamedTuple):
    """A part of a side with its footing at one level, as the concrete sees it."""

    start: Fraction
    end: Fraction
    bottom: Fraction


@dataclass(frozen=True, slots=True)
class Side:
    """One side; `before` and `after` are the turns at its ends, `beside` the thickness there."""

    name: str
    length: Fraction
    thickness: Fraction
    before: str
    after: str
    beside: tuple[Fraction, Fraction]
    bottom: Fraction  # at its start
    steps: tuple[Step, ...]
    boxes: tuple[Box, ...]
    holes: tuple[Hole, ...]

    def set_back(self, leg: Fraction) -> tuple[Fraction, Fraction]:
        """What the corners take at both ends: thickness and leg, or the leg alone."""
        taken = {RIGHT: (leg + self.beside[0], leg + self.beside[1]), LEFT: (leg, leg)}
        none = (ZERO, ZERO)
        return taken.get(self.before, none)[0], taken.get(self.after, none)[1]

    @property
    def ends(self) -> tuple[Fraction, Fraction]:
        """Where its concrete starts and ends; the block of a corner goes with the side before."""
        start = self.beside[0] if self.before == RIGHT else ZERO
        return start, self.length + (self.beside[1] if self.after == LEFT else ZERO)

    @property
    def origin(self) -> Fraction:
        """Where the form turns the first corner: on the inner face of an inside corner."""
        return -self.beside[0] if self.before == LEFT else ZERO

    @property
    def reach(self) -> Fraction:
        """Where the form turns the last corner."""
        return self.length + (self.beside[1] if self.after == LEFT else ZERO)

    @property
    def levels(self) -> tuple[Level, ...]:
        """The side cut at the steps of its footing."""
        start, end = self.ends
        cuts = [start, *(s.at for s in self.steps), end]
        bottoms = [self.bottom, *(s.bottom for s in self.steps)]
        return tuple(Level(a, b, y) for (a, b), y in zip(pairwise(cuts), bottoms, strict=True))

    def bottom_at(self, place: Fraction) -> Fraction:
        """Level of the footing just after a place."""
        return next((s.bottom for s in reversed(self.steps) if s.at <= place), self.bottom)

    def lowest_at(self, place: Fraction) -> Fraction:
        """The lower of the footings on both sides of a place."""
        before = [self.bottom, *(s.bottom for s in self.steps if s.at < place)][-1]
        return min(before, self.bottom_at(place))


class Frame(NamedTuple):
    """The start of a side in plan and the direction it goes; the wall is on its right hand."""

    x: Fraction
    y: Fraction
    dx: int
    dy: int

    def at(self, along: Fraction, into: Fraction) -> tuple[Fraction, Fraction]:
        """A point so far along the outside line and so far into the wall."""
        return self.x + self.dx * along + self.dy * into, self.y + self.dy * along - self.dx * into


@dataclass(frozen=True, slots=True)
class WallPath:
    """The whole wall: `height` is the top of concrete, `form_top` that of the form."""

    system: str
    leg: Fraction
    height: Fraction
    form_top: Fraction
    closed: bool
    end_ties: bool
    sides: tuple[Side, ...]

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Everything that stock must fill, side by side, from the first corner out."""
        return tuple(s for side in self.sides for s in _stretches(side, self.leg))

    @property
    def volume(self) -> Fraction:
        """The concrete, openings out and pilasters in."""
        return sum((self._volume(side) for side in self.sides), ZERO)

    def _volume(self, side: Side) -> Fraction:
        area = sum(((e - s) * (self.height - y) for s, e, y in side.levels), ZERO)
        area -= sum(((hole.head - hole.sill) * hole.width for hole in side.holes), ZERO)
        boxes = (b.width * b.projection * (self.height - side.bottom_at(b.at)) for b in side.boxes)
        return area * side.thickness + sum(boxes, ZERO)

    @property
    def frames(self) -> tuple[Frame, ...]:
        """Where each side starts in plan and where it goes; the last one is where the path ends."""
        x, y, dx, dy, found = ZERO, ZERO, 1, 0, []
        for side in self.sides:
            found.append(Frame(x, y, dx, dy))
            x, y = x + dx * side.length, y + dy * side.length
            dx, dy = {RIGHT: (dy, -dx), LEFT: (-dy, dx)}.get(side.after, (dx, dy))
        return (*found, Frame(x, y, dx, dy))

    @property
    def corners(self) -> tuple[int, int]:
        """How many outside and inside corners turn, seen from the outside of the wall."""
        turns = [side.after for side in self.sides]
        return turns.count(RIGHT), turns.count(LEFT)


def _stretches(side: Side, leg: Fraction) -> Iterator[Stretch]:
    first, last = side.set_back(leg)
    face = {RIGHT: OUTER, LEFT: INNER}
    if side.before in face:
        corner = leg + side.beside[0]
        at = side.origin
        yield Stretch(side.name, CLOSER, (face[side.before],), at, corner, side.bottom)
    cuts = [(first, first), *((s.at, s.at) for s in side.steps), *(
        (b.at - leg, b.at + b.width + leg) for b in side.boxes
    ), (side.length - last, side.length - last)]  # fmt: skip
    for (_, start), (end, _) in pairwise(sorted(cuts)):
        if end > start:
            bottom = side.bottom_at(start)
            yield Stretch(side.name, RUN, (OUTER, INNER), start, end - start, bottom)
    for box in side.boxes:
        bottom, other = side.bottom_at(box.at), INNER if box.face == OUTER else OUTER
        at, width = box.at - leg, box.width + 2 * leg
        yield Stretch(side.name, BACK, (other,), at, width, bottom)
        yield Stretch(side.name, FRONT, (box.face,), box.at, box.width, bottom)
        if box.projection > leg:
            for _ in range(2):
                cheek = box.projection - leg
                yield Stretch(side.name, CHEEK, (box.face,), leg, cheek, bottom)
    if side.after in face:
        corner = leg + side.beside[1]
        at, bottom = side.reach - corner, side.bottom_at(side.length)
        yield Stretch(side.name, CLOSER, (face[side.after],), at, corner, bottom)


def exact(term: str, quantity: Any, system: str, key: str) -> Fraction:
    """A quantity as an exact fraction of the unit of its term in `system`.

    Raises Refusal where it is no fraction that a tape could show.
    """
    bare = float(units.enter(term, quantity, system))
    found = Fraction(bare).limit_denominator(FINEST)
    if abs(float(found) - bare) > units.TOLERANCE:
        raise Refusal("not a length of the tape", "Give it in 1/16 in or mm", key=key, value=bare)
    return found


def tape(length: Fraction, system: str) -> str:
    """A length as on the tape, exact: "3 ft 6-1/2 in" or "1065 mm"."""
    if system == "SI":
        mm = length * 1000
        return f"{mm.numerator} mm" if mm.denominator == 1 else f"{float(mm):.6g} mm"
    inches = length * 12
    whole = inches.numerator // inches.denominator
    part = inches - whole
    if part.denominator > 64:
        return f"{float(inches):.6g} in"
    feet, inch = divmod(whole, 12)
    text = f"{inch}-{part}" if part and inch else f"{part or inch}"
    if not feet:
        return f"{text} in"
    return f"{feet} ft" if text == "0" else f"{feet} ft {text} in"
