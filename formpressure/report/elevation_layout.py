"""The elevation of a wall with a layout: its sides as they are laid out, on the back of the card.

Joints and ties stand where the layout puts them, each side to its own scale, the side with the
most loaded tie always among those drawn. Seen from the inside, with the first corner at the left.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from formpressure.job.tie_lines import unit_of
from formpressure.report.content import Sentences
from formpressure.report.elevation import CLOSEST, STRIPS, Elevation, Row, Strip, figure_of
from formpressure.tie_schedule import tie_schedule
from formpressure.wall_path import CHEEK, OUTER, ZERO, Side

LONGEST = 14  # letters of a name that fit above its side


class _Stretch(NamedTuple):
    """A side or a part of it, in the layout's unit."""

    side: Side
    low: Fraction
    high: Fraction

    @property
    def length(self) -> Fraction:
        return self.high - self.low


def sides(make: Sentences) -> str:
    """The drawing with its caption, as HTML."""
    return figure_of(_Sides(make))


class _Sides(Elevation):
    def __init__(self, make: Sentences) -> None:
        self.schedule = tie_schedule(make.verdict)
        self.path = self.schedule.layout.path
        self.unit = unit_of(self.schedule.layout, make.system)
        super().__init__(make)

    def _levels(self) -> tuple[np.ndarray, float]:
        levels = {tie.row for tie in self.schedule.ties if tie.row > self.rows.start}
        return np.array(sorted(levels)), self.schedule.worst.row

    def _lines(self) -> tuple[np.ndarray, bool]:
        places = [ties[0].place for ties in self.schedule.by_joint]
        return np.array([float(place) for place in places]), True

    def _governing(self) -> int | None:
        worst = self.schedule.worst
        joints = [(ties[0].side, ties[0].place) for ties in self.schedule.by_joint]
        return joints.index((worst.side, worst.place))

    def _strips(self) -> list[Strip]:
        """The first stretches, and always that of the most loaded tie."""
        self.stretches = [s for side in self.path.sides for s in self._cut(side)]
        worst = self.schedule.worst
        at = next(k for k, s in enumerate(self.stretches)
                  if s.side.name == worst.side and s.low <= worst.place <= s.high)  # fmt: skip
        others = [k for k in range(len(self.stretches)) if k != at]
        return [self._strip(k) for k in sorted([at, *others[: STRIPS - 1]])]

    def _cut(self, side: Side) -> list[_Stretch]:
        """A side, or a side with many joints in equal parts."""
        joints = len(self.schedule.layout.tie_lines(side))
        parts = int(np.ceil(joints * CLOSEST / (self.right - self.left)))
        each = (side.reach - side.origin) / parts
        cuts = [side.origin + k * each for k in range(parts + 1)]
        return [_Stretch(side, low, high) for low, high in pairwise(cuts)]

    def _strip(self, place: int) -> Strip:
        stretch, worst = self.stretches[place], self.schedule.worst
        side, low, high = stretch
        ties = [t for t in self.schedule.ties if t.side == side.name and low <= t.place <= high]
        rows = []
        for level, empty in zip(self.heights, self.empty, strict=True):
            at = [self._x(stretch, tie.place) for tie in ties if tie.row == level]
            if at:
                rows.append(Row(float(level), bool(empty), np.array(at)))
        ringed = self._x(stretch, worst.place) if worst in ties else None
        name = side.name if len(side.name) <= LONGEST else f"{side.name[: LONGEST - 1]}…"
        where = f"{self._tape(low)} – {self._tape(high)}"
        if (low, high) == (side.origin, side.reach):
            where = self._tape(side.length)
        return Strip(f"{name}, {where}", tuple(rows), ringed, place)

    def _tape(self, length: Fraction) -> str:
        return self.make.write("position", float(length) * self.unit)

    def _x(self, stretch: _Stretch, place: Fraction) -> float:
        """A place along a stretch, on paper; what is outside stands at its end."""
        part = (min(max(place, stretch.low), stretch.high) - stretch.low) / stretch.length
        return round(self.left + float(part) * (self.right - self.left), 1)

    def _y(self, level: Fraction) -> float:
        """A level of the layout on paper, not below the placement."""
        return round(self.y(max(float(level) * self.unit, self.rows.start)), 1)

    def wall(self, strip: Strip) -> Iterable[str]:
        """Joints of the forms as thin lines, openings, concrete on its footing with the steps."""
        stretch, foot = self.stretches[strip.place], []
        side, low, high = stretch
        top, surface = self._y(self.path.form_top), self.y(self.concrete)
        levels = side.levels
        edges = [side.origin, *(level.start for level in levels[1:]), side.reach]
        for (start, end), level in zip(pairwise(edges), levels, strict=True):
            left, right, y = self._x(stretch, start), self._x(stretch, end), self._y(level.bottom)
            if left < right:
                yield (f'<rect x="{left:g}" y="{surface:.1f}" width="{right - left:.1f}" '
                       f'height="{y - surface:.1f}" class="wet"/>')  # fmt: skip
                foot.append(f"{left:g} {y + 3.5:g}H{right:g}")
        panels = [p for p in self.schedule.layout.panels()
                  if (p.side, p.face) == (side.name, OUTER) and p.kind != CHEEK]  # fmt: skip
        joints = {(p.start + more, p.bottom) for p in panels for more in (ZERO, p.width)}
        lines = "".join(f"M{self._x(stretch, place):g} {top:g}V{self._y(bottom):g}"
                        for place, bottom in sorted(joints) if low <= place <= high)  # fmt: skip
        yield f'<path class="joint" d="{lines}"/>'
        for hole in (h for h in side.holes if h.at < high and h.at + h.width > low):
            left, right = self._x(stretch, hole.at), self._x(stretch, hole.at + hole.width)
            head, sill = self._y(hole.head), self._y(hole.sill)
            yield f'<path class="hole" d="M{left:g} {head:g}H{right:g}V{sill:g}H{left:g}Z"/>'
        for x, level in ((self.left, levels[0]), (self.right, levels[-1])):
            yield f'<path class="edge" d="M{x:g} {top:g}V{self._y(level.bottom):g}"/>'
        yield f'<path class="top" d="M{self.left:g} {surface:.1f}H{self.right:g}"/>'
        yield f'<path class="foot" d="M{"L".join(foot)}"/>'

    def ringed(self) -> str:
        worst, alike = self.schedule.worst, len(self.schedule.alike)
        facts = {"side": worst.side, "place": self._tape(worst.place),
                 "row": self.make.write("height", worst.row), "count": alike - 1}  # fmt: skip
        return self.make.say("card", "ringed_alike" if alike > 1 else "ringed_tie", **facts)

    def alt(self) -> str:
        listed = "; ".join(strip.heading for strip in self.strips)
        return self.make.say(
            "card", "sides_alt", sides=listed, rows=len(self.heights), lines=len(self.places),
            heights=", ".join(self.make.write("height", y) for y in self.heights),
            ringed=self.ringed(), clips=self.make.clips(),
            top=self.make.write("height", self.concrete),
        )  # fmt: skip

    def caption(self) -> str:
        say = self.make.say
        chalk = say("card", "elevation_left") if self.chalk else ""
        parts = [say("card", "sides_caption", ringed=self.ringed(), chalk=chalk)]
        if any(self.stretches[strip.place].side.holes for strip in self.strips):
            parts.append(say("card", "sides_openings"))
        if len(self.strips) < len(self.stretches):
            parts.append(say("card", "sides_part"))
        if self.empty.any():
            parts.append(say("card", "clips_hollow"))
        return " ".join(parts)
