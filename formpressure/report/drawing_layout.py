"""Drawings of a layout: both faces of every side in elevation, and the wall in plan.

Kinds of pieces differ by tint, hatch and label, never by hue alone. The same plan gives the same
bytes.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import Any

from formpressure.job.set_out import SetOut, set_out
from formpressure.report.drawing import (
    BLANK,
    DARK,
    LIGHT,
    axis_label,
    canvas,
    png_of,
    style,
)
from formpressure.report.parts import Block, figure
from formpressure.report.text_layout import LayoutWords
from formpressure.tie_schedule import Tie, TieSchedule
from formpressure.wall_path import CHEEK, FRONT, INNER, LEFT, OUTER, RIGHT, Side

PER_PICTURE = {"US": 44.0, "SI": 13.0}  # longest piece of a side in one picture, ft or m
HEIGHT = 3.6  # inches, of one face and its labels
PLAN_WIDEST, PLAN_LEAST = 4.6, 0.9  # inches, its width and its least height
FACES = (OUTER, INNER)


def elevations(schedule: TieSchedule, language: str = "en") -> list[Block]:
    """Both faces of every side, a long side in several pictures."""
    words = LayoutWords(schedule, language)
    return [
        block for found in set_out(schedule.layout) for block in _pictures(schedule, found, words)
    ]


def _pictures(schedule: TieSchedule, found: SetOut, words: LayoutWords) -> list[Block]:
    side = found.side
    first, last = float(side.origin), float(side.reach)
    count = ceil((last - first) / PER_PICTURE[schedule.layout.path.system])
    each = (last - first) / count
    groups = [g for line in found.lines for g in line.groups]
    ties = [tie for tie in schedule.ties if tie.side == side.name]
    widest = max((g.width for g in groups if not g.cut), default=Fraction(0))
    alt = words.say(
        "elevation_alt", name=side.name, length=words.tape(side.length),
        pieces=", ".join(words.group(g) for g in groups),
        places=", ".join(dict.fromkeys(words.tape(tie.place) for tie in ties)),
        rows=len({tie.row for tie in ties}),
    )  # fmt: skip
    caption = words.say("elevation_caption", name=side.name, widest=words.width(widest))
    if any(tie.above for tie in ties):
        caption += " " + words.say("elevation_above")
    if side.holes:
        caption += " " + words.say("elevation_openings")
    blocks = []
    for k in range(count):
        with style():
            drawn, axes = canvas(1, 2, HEIGHT * 2, sharex=True, sharey=True)
            low, high = first + (k - 0.01) * each, first + (k + 1.01) * each
            for face, one in zip(FACES, axes, strict=True):
                one.set_xlim(low, high)
                _draw_face(one, schedule, side, face, widest, words)
                _draw_ties(one, ties)
            system = schedule.layout.path.system
            axes[-1].set_xlabel(axis_label("corner_axis", "length", system, words.language))
            picture = png_of(drawn)
        blocks.append(figure(picture, alt, caption))
    return blocks


def _draw_face(
    axes: Any, schedule: TieSchedule, side: Side, face: str, widest: Fraction, words: LayoutWords
) -> None:
    layout = schedule.layout
    top = float(layout.path.form_top)
    rows = schedule.verdict.case.rows.heights
    between = [float(a + b) / 2.0 for a, b in pairwise(rows)][:3] or [0.5 * top]
    fillers = 0
    for panel in layout.panels():
        if panel.side != side.name or panel.face != face or panel.kind == CHEEK:
            continue
        plain = panel.width == widest and not panel.cut
        _rectangle(
            axes, panel.start, panel.bottom, panel.width, panel.height,
            fill="white" if plain else LIGHT, hatch="////" if panel.cut else None,
            line=2.0 if panel.kind == FRONT else 1.0,
        )  # fmt: skip
        if not plain and panel.course == 1:
            foot = float(panel.bottom)  # labels stand between rows, those of neighbours apart
            level = foot + between[fillers % len(between)]
            middle = float(panel.start + panel.width / 2)
            fillers += 1
            if not axes.get_xlim()[0] < middle < axes.get_xlim()[1]:
                continue
            axes.text(middle, level, words.width(panel.width), rotation=90, ha="center",
                      va="center", bbox=BLANK, zorder=6)  # fmt: skip
    leg = layout.path.leg
    for start in _legs(side, face, leg):
        bottom = side.bottom_at(start)
        _rectangle(axes, start, bottom, leg, layout.path.form_top - bottom, fill="white",
                   hatch="xxxx")  # fmt: skip
    for hole in side.holes:
        _rectangle(axes, hole.at, hole.sill, hole.width, hole.head - hole.sill, fill="none",
                   line=2.0, dashes="--")  # fmt: skip
    axes.set_ylim(-0.03 * top, 1.03 * top)
    system = layout.path.system
    axes.set_ylabel(axis_label("height_axis", "height", system, words.language))
    axes.set_title(words.face(face), loc="left", fontsize=12)


def _legs(side: Side, face: str, leg: Fraction) -> list[Fraction]:
    """Where the legs of inside corner units start on one face."""
    found = []
    inside = LEFT if face == OUTER else RIGHT
    if side.before == inside:
        found.append(side.beside[0] if face == INNER else Fraction(0))
    if side.after == inside:
        found.append(side.length - leg - (side.beside[1] if face == INNER else 0))
    for box in side.boxes:
        if box.face == face:
            found += [box.at - leg, box.at + box.width]
    return found


def _rectangle(
    axes: Any, x: Fraction, y: Fraction, width: Fraction, height: Fraction, *, fill: str,
    hatch: str | None = None, line: float = 1.0, dashes: str = "-",
) -> None:  # fmt: skip
    from matplotlib.patches import Rectangle

    axes.add_patch(Rectangle(
        (float(x), float(y)), float(width), float(height), facecolor=fill, edgecolor="black",
        hatch=hatch, linewidth=line, linestyle=dashes, zorder=3 if fill == "none" else 2,
    ))  # fmt: skip


def _draw_ties(axes: Any, ties: list[Tie]) -> None:
    for above, fill in ((False, DARK), (True, "white")):
        some = [tie for tie in ties if tie.above is above]
        axes.plot([float(t.place) for t in some], [t.row for t in some], "o", color="black",
                  markerfacecolor=fill, markersize=4, zorder=5)  # fmt: skip


def plan_view(schedule: TieSchedule, language: str = "en") -> Block:
    """The wall from above, with the tie lines across it."""
    words, path = LayoutWords(schedule, language), schedule.layout.path
    with style():
        xs, ys = zip(*(frame[:2] for frame in path.frames), strict=True)
        wide, high = float(max(xs) - min(xs)), float(max(ys) - min(ys))
        height = PLAN_WIDEST * min(1.3, high / wide if wide else 1.3)
        drawn, (axes,) = canvas(1, height=max(height + 0.3, PLAN_LEAST))
        for side, frame in zip(path.sides, path.frames, strict=False):
            start, end = side.ends
            corners = frame.at(start, Fraction(0)), frame.at(end, side.thickness)
            (x0, x1), (y0, y1) = (sorted(v) for v in zip(*corners, strict=True))
            _rectangle(axes, x0, y0, x1 - x0, y1 - y0, fill=LIGHT, line=0.0)
            for face, into in ((OUTER, Fraction(0)), (INNER, side.thickness)):
                a, b = _drawn_from(side, face)
                ends = frame.at(a, into), frame.at(b, into)
                axes.plot(*_floats(*ends), color="black", linewidth=1.2, zorder=3)
            for box in side.boxes:
                near = -box.projection if box.face == OUTER else side.thickness
                far = near + box.projection
                corners = frame.at(box.at, near), frame.at(box.at + box.width, far)
                (x0, x1), (y0, y1) = (sorted(v) for v in zip(*corners, strict=True))
                _rectangle(axes, x0, y0, x1 - x0, y1 - y0, fill=LIGHT)
            for line in schedule.layout.tie_lines(side):
                ends = frame.at(line.place, Fraction(0)), frame.at(line.place, side.thickness)
                axes.plot(*_floats(*ends), color=DARK, linewidth=1.0, zorder=4)
            middle = frame.at(side.length / 2, side.thickness * 2)
            turned = 90 if frame.dx == 0 else 0
            inner = {(1, 0): ("center", "top"), (-1, 0): ("center", "bottom"),
                     (0, -1): ("right", "center"), (0, 1): ("left", "center")}  # fmt: skip
            ha, va = inner[frame.dx, frame.dy]
            axes.text(float(middle[0]), float(middle[1]), side.name, ha=ha, va=va, rotation=turned)
        axes.set_aspect("equal")
        axes.set_axis_off()
        picture = png_of(drawn)
    sides = ", ".join(
        words.say("plan_side", name=s.name, length=words.tape(s.length),
                  turn=words.say(f"turn_{s.after}"))
        for s in path.sides
    )  # fmt: skip
    caption = words.say("plan_caption", name=path.sides[0].name)
    return figure(picture, words.say("plan_alt", sides=sides), caption)


def _drawn_from(side: Side, face: str) -> tuple[Fraction, Fraction]:
    """Where one face of the concrete starts and ends along a side."""
    if face == OUTER:
        return Fraction(0), side.length
    start = {RIGHT: side.beside[0], LEFT: -side.beside[0]}.get(side.before, Fraction(0))
    end = {RIGHT: -side.beside[1], LEFT: side.beside[1]}.get(side.after, Fraction(0))
    return start, side.length + end


def _floats(a: tuple[Fraction, Fraction], b: tuple[Fraction, Fraction]) -> tuple[Any, Any]:
    return [float(a[0]), float(b[0])], [float(a[1]), float(b[1])]
