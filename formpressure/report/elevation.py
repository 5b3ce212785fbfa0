"""The wall from the front as inline SVG: every tie a dot, the governing one ringed, chalk heights.

Drawn by hand, since the card must come fast, stay small and need no library of drawings. One unit
is about one pixel of a phone 320 wide. Strokes take the colour of the page, so dark and grey work.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from itertools import groupby
from typing import NamedTuple

import numpy as np

from formpressure.demand.ties import line_widths
from formpressure.report.content import Sentences
from formpressure.report.drawing import apart
from formpressure.units import TOLERANCE

WIDE = 320.0
LETTERS, LETTER = 12.0, 6.4  # room that a label needs: its height, and the width of one letter
CLOSEST = 3.6  # from one tie line to the next
DOT = 4.0  # wide, where there is room
STRIPS = 3  # a long wall is cut into strips, one above the other
LEAST, TALLEST = 96.0, 330.0  # of one strip, of all together
USUAL_LINES = 11  # where the length of the wall is not known


class Row(NamedTuple):
    """Ties at one level, at their places on paper; `empty` where no concrete stands there."""

    level: float
    empty: bool
    at: np.ndarray


@dataclass(frozen=True, slots=True)
class Strip:
    """One stretch of the wall: its rows of ties, and where on paper the widest tie line stands."""

    heading: str
    rows: tuple[Row, ...]
    ringed: float | None
    place: int = 0  # of a stretch among those that may be drawn

    @property
    def levels(self) -> np.ndarray:
        return np.array([row.level for row in self.rows])


def elevation(make: Sentences) -> str:
    """The drawing with its caption, as HTML."""
    return figure_of(Elevation(make))


def figure_of(drawn: Elevation) -> str:
    parts = "".join(drawn.strip(strip, k) for k, strip in enumerate(drawn.strips))
    tall = drawn.tall * len(drawn.strips)
    alt = escape(drawn.alt(), quote=True)
    return (
        f'<figure><svg viewBox="0 0 {WIDE:g} {tall:.1f}" role="img" aria-label="{alt}">'
        f"{parts}</svg><figcaption>{escape(drawn.caption())}</figcaption></figure>"
    )


class Elevation:
    """Tie lines at their places, or equally far apart where the plan gives a spacing."""

    def __init__(self, make: Sentences) -> None:
        self.make, verdict = make, make.verdict
        self.rows = rows = verdict.case.rows
        self.heights, worst = self._levels()
        self.empty = self.heights >= rows.top
        self.row = int(np.argmin(np.abs(self.heights - worst)))
        self.places, self.told = self._lines()
        self.line = self._governing()
        self.concrete = verdict.case.bare.wall.height
        self.top = max(rows.top, float(self.heights.max())) + 0.03 * (rows.top - rows.start)
        self.chalk = () if make.marks is None else make.marks.levels
        labels = max(len(self.heights), len(self.chalk) + 1, 4)
        self.head = LETTERS * (2.7 if self.empty.any() else 1.7)  # a word over the highest row
        write, marked = make.write, self.chalk or (self.concrete,)
        self.left = 14.0 + LETTER * max(len(write("height", y)) for y in marked)
        self.right = WIDE - 8.0 - LETTER * max(len(write("height", y)) for y in self.heights)
        self.strips = self._strips()
        tallest = max(LEAST, TALLEST / len(self.strips))
        self.height = float(np.clip(labels * LETTERS, LEAST, tallest))
        self.tall = self.height + self.head + 1.4 * LETTERS

    def _levels(self) -> tuple[np.ndarray, float]:
        """Levels of the rows of ties, and of the row that carries most."""
        ties = self.make.verdict.ties
        return self.rows.heights[self.rows.heights > self.rows.start], float(
            ties.heights[ties.worst]
        )

    def _lines(self) -> tuple[np.ndarray, bool]:
        """Places of the tie lines along the wall, and whether the plan tells how many."""
        bare = self.make.case.bare
        if bare.ties.joints is not None:
            return np.sort(np.asarray(bare.ties.joints, dtype=float)), True
        length = bare.delivery.length
        if bare.delivery.runs:
            length = float(sum(run.length for run in bare.delivery.runs))
        if length is None:
            return np.arange(USUAL_LINES) * self.rows.width, False
        count = int(length / self.rows.width * (1.0 + TOLERANCE)) + 1
        return np.arange(count) * self.rows.width, True

    def _governing(self) -> int | None:
        """The widest tie line; None where all are alike."""
        joints = self.make.case.bare.ties.joints
        if joints is None:
            return None
        widths = line_widths(joints)
        alike = bool(np.ptp(widths) <= TOLERANCE * widths.max())
        return None if alike else int(np.argmax(widths))

    def _strips(self) -> list[Strip]:
        """The wall cut so that no two lines touch; the strip of the governing line always shown."""
        count = len(self.places)
        closest = float(np.diff(self.places).min()) if count > 1 else 1.0
        span = float(self.places[-1] - self.places[0]) or 1.0
        room = self.right - self.left - 16.0
        cuts = int(np.ceil(span / closest * CLOSEST / room))
        groups = np.array_split(np.arange(count), min(max(cuts, 1), count))
        shown = groups[:STRIPS]
        if self.line is not None and not any(self.line in g for g in shown):
            shown[-1] = next(g for g in groups if self.line in g)
        strips = []
        for group in shown:
            along = self.places[group] - self.places[group[0]]
            at = np.round(self.left + 8.0 + along / max(float(along[-1]), 1e-9) * room, 1)
            ringed = None if self.line is None or self.line not in group else (
                float(at[self.line - group[0]]))  # fmt: skip
            levels = zip(self.heights, self.empty, strict=True)
            rows = (Row(float(level), bool(empty), at) for level, empty in levels)
            heading = "" if len(group) == count else self.make.say(
                "card", "elevation_lines", first=group[0] + 1, last=group[-1] + 1, count=count
            )  # fmt: skip
            strips.append(Strip(heading, tuple(rows), ringed))
        return strips

    @property
    def shown(self) -> int:
        """Tie lines that are drawn."""
        return sum(len(strip.rows[0].at) for strip in self.strips)

    def y(self, level: float) -> float:
        low, high = self.rows.start, self.top
        return self.head + (high - level) / (high - low) * self.height

    def strip(self, strip: Strip, place: int) -> str:
        return "".join([
            f'<g transform="translate(0 {place * self.tall:.1f})">', *self.wall(strip),
            *self._heads(strip), *self._labels(strip), self.ring(strip), *self._dots(strip), "</g>",
        ])  # fmt: skip

    def wall(self, strip: Strip) -> Iterable[str]:
        """Concrete, footing, and the edges of the form."""
        foot, surface = self.y(self.rows.start), self.y(self.concrete)
        yield from (
            f'<rect x="{self.left:g}" y="{surface:.1f}" width="{self.right - self.left:g}" '
            f'height="{foot - surface:.1f}" class="wet"/>',
            f'<path class="edge" d="M{self.left:g} {self.y(self.top):.1f}V{foot:.1f}'
            f'H{self.right:g}V{self.y(self.top):.1f}"/>',
            f'<path class="top" d="M{self.left:g} {surface:.1f}H{self.right:g}"/>',
            f'<path class="foot" d="M{self.left - 8:g} {foot + 3.5:.1f}H{self.right + 8:g}"/>',
        )

    def _heads(self, strip: Strip) -> Iterable[str]:
        say = self.make.say
        if self.chalk:
            yield _text(self.left - 4, LETTERS, say("card", "elevation_chalk"), "end")
        yield _text(self.right + 4, LETTERS, say("card", "elevation_ties"))
        if strip.heading:
            yield _text((self.left + self.right) / 2, LETTERS, strip.heading, "middle")

    def _labels(self, strip: Strip) -> Iterable[str]:
        """Chalk heights at the left edge, rows of ties at the right, as many as fit."""
        levels = [*self.chalk] or [self.concrete]
        levels = levels[::-1]  # from the top down, so that whole feet are kept
        for k in apart([self.y(v) for v in levels], 0, LETTERS - 0.5):
            yield _text(
                self.left - 8, self.y(levels[k]) + 4, self.make.write("height", levels[k]), "end"
            )
        ticks = "".join(f"M{self.left - 5:g} {self.y(v):.1f}h10" for v in levels)
        yield f'<path class="top" d="{ticks}"/>'
        heights, worst = strip.levels, self.heights[self.row]
        row = int(np.argmin(np.abs(heights - worst)))
        for k in apart([self.y(v) for v in heights], row, LETTERS - 0.5):
            height = self.make.write("height", heights[k])
            heavy = ' font-weight="700"' if heights[k] == worst else ""
            yield _text(self.right + 6, self.y(heights[k]) + 4, height, "start", heavy)

    def ring(self, strip: Strip) -> str:
        """About the whole row that carries most, or about one tie of the widest line."""
        y = self.y(self.heights[self.row])
        if self.line is None:
            return (
                f'<rect class="ring" x="{self.left + 2:g}" y="{y - 5:.1f}" rx="5" '
                f'width="{self.right - self.left - 4:g}" height="10"/>'
            )
        if strip.ringed is None:
            return ""
        return f'<circle class="ring" cx="{strip.ringed:.1f}" cy="{y:.1f}" r="5"/>'

    def _dots(self, strip: Strip) -> Iterable[str]:
        """Each row one line of dashes without length and with round ends, which are dots; the
        gaps are those between the tie lines, so that a wall of many ties stays a small file."""
        closest = min(np.diff(row.at).min(initial=WIDE) for row in strip.rows)
        dot = max(min(DOT, 0.6 * float(closest)), 0.6 * CLOSEST)
        for places, rows in groupby(strip.rows, key=lambda row: tuple(row.at)):
            dashes = " ".join(f"0 {gap:.1f}" for gap in [*np.diff(places), WIDE])
            yield f'<g stroke-dasharray="{dashes}" stroke-linecap="round">'
            for level, empty, at in rows:
                row = f'd="M{at[0]:.1f} {self.y(level):.1f}H{at[-1] + 0.05:.2f}"'
                yield f'<path class="tie" stroke-width="{dot:.1f}" {row}/>'
                if empty:
                    yield f'<path class="gone" stroke-width="{dot / 2:.1f}" {row}/>'
            yield "</g>"
        word = "hollow_empty" if self.make.may_stay_empty() else "hollow_tie"
        for level in (row.level for row in strip.rows if row.empty):
            yield _text((self.left + self.right) / 2, self.y(level) - 4,
                        self.make.say("card", word), "middle")  # fmt: skip

    def ringed(self) -> str:
        row = self.make.write("height", self.heights[self.row])
        if self.line is None:
            return self.make.say("card", "ringed_row", row=row)
        return self.make.say("card", "ringed_line", row=row, line=self.line + 1)

    def alt(self) -> str:
        shown = self.shown
        whole = "elevation_all" if shown == len(self.places) else "elevation_part"
        name = whole if self.told else "elevation_guess"
        return self.make.say(
            "card", "elevation_alt", rows=len(self.heights), lines=len(self.places),
            heights=", ".join(self.make.write("height", y) for y in self.heights),
            width=self.make.say("card", name, shown=shown), ringed=self.ringed(),
            clips=self.make.clips(), top=self.make.write("height", self.concrete),
        )  # fmt: skip

    def caption(self) -> str:
        chalk = self.make.say("card", "elevation_left") if self.chalk else ""
        caption = self.make.say("card", "elevation_caption", ringed=self.ringed(), chalk=chalk)
        shown = self.shown
        if not self.told or shown < len(self.places):
            name = "elevation_part" if self.told else "elevation_guess"
            caption += " " + self.make.say(
                "card", f"{name}_told", shown=shown, count=len(self.places)
            )
        if self.empty.any():
            caption += " " + self.make.say("card", "clips_hollow")
        return caption


def _text(x: float, y: float, words: str, anchor: str = "start", more: str = "") -> str:
    return f'<text x="{x:g}" y="{y:.1f}" text-anchor="{anchor}"{more}>{escape(words)}</text>'
