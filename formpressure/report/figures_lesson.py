"""Drawings of the lesson: the push, one tie's piece of form, a tie forgotten, and the stills.

A crew should read them without an axis: levels stand where they are on the wall, numbers beside
what they belong to. Marks differ by shape and fill, never by hue alone; the same lesson gives the
same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from formpressure.demand.frames import BOUNDS
from formpressure.records import Amount
from formpressure.report.drawing import (
    BLANK,
    CLOSEST,
    DARK,
    LIGHT,
    apart,
    canvas,
    number,
    style,
    svg_of,
)
from formpressure.report.words import Shown, say, unit_word
from formpressure.statics.hinged import Floats
from formpressure.study import Study
from formpressure.teaching import Lesson
from formpressure.units import terms

MOST_STILLS = 12
BREAKS = "////"  # hatch of a tie that breaks in this round
CONCRETE = "#e6e6e6"
LIMITS_APART = 0.28  # of the widest load, from which both limits find room for their numbers


def head(lesson: Lesson, language: str) -> str:
    """The push of the wet concrete on the form, an arrow for each step of depth."""
    rows, system = lesson.verdict.case.rows, lesson.system
    depth = lesson.depths
    push, top = lesson.wet.pressure(depth), rows.top
    with style():
        drawn, (axes,) = canvas(1, height=_height(1.3 + 0.27 * len(depth)))
        _wall(axes, lesson, -0.22 * push[-1])
        axes.fill([0, push[-1], 0], [top, rows.start, rows.start], facecolor=LIGHT)
        axes.plot([0, push[-1]], [top, rows.start], "-", color=DARK, linewidth=2.4)
        kept = apart(top - depth, len(depth) - 1, _gap(axes, lesson, 1.1))
        for i in kept:
            _arrow(axes, 0.0, push[i], top - depth[i])
            at = 1.36 * push[-1]
            axes.text(at, top - depth[i], number("pressure", push[i], system, "up"), ha="right",
                      va="center")  # fmt: skip
            axes.text(1.95 * push[-1], top - depth[i],
                      number("load", float(lesson.on_plate(depth[i])), system, "up"), ha="right",
                      va="center", fontweight="bold")  # fmt: skip
        titles = [(1.36, "column_push", "pressure"), (1.95, "column_plate", "load")]
        for place, name, term in titles:
            text = f"{say('lesson', name, language)}\n{unit(lesson, term, language)}"
            axes.text(place * push[-1], top + 0.02 * lesson.height, text, ha="right", va="bottom")
        _bare(axes, lesson, (-0.24 * push[-1], 1.98 * push[-1]))
        _levels(axes, lesson, [rows.start, top], language)
        return svg_of(drawn)


def stiff(lesson: Lesson, language: str) -> str:
    """The push once the lower part has stiffened, and what it would be without."""
    assert lesson.stiff is not None
    rows, system, top = lesson.verdict.case.rows, lesson.system, lesson.verdict.case.rows.top
    peak, full = float(lesson.stiff.p_max), float(lesson.wet.p_max)
    knee = max(top - float(lesson.stiff.liquid_depth), rows.start)
    with style():
        drawn, (axes,) = canvas(1)
        _wall(axes, lesson, -0.22 * full)
        axes.fill([0, peak, peak, 0], [top, knee, rows.start, rows.start], facecolor=LIGHT)
        axes.fill([peak, full, peak], [knee, rows.start, rows.start], facecolor="white",
                  edgecolor="black", hatch="..", linewidth=0)  # fmt: skip
        axes.plot([0, full], [top, rows.start], "--", color="black", linewidth=1.2)
        axes.plot([0, peak, peak], [top, knee, rows.start], "-", color=DARK, linewidth=2.4)
        for y in np.linspace(rows.start + 0.04 * lesson.height, top, 9)[:-1]:
            _arrow(axes, 0.0, float(lesson.stiff.pressure(top - y)), y)
        axes.text(1.06 * full, (top + knee) / 2.0, say("lesson", "still_liquid", language),
                  va="center")  # fmt: skip
        axes.plot([1.02 * full] * 2, [knee, top], "-", color="black", linewidth=1.6, marker="_")
        if knee > rows.start:
            axes.text(1.06 * full, (rows.start + knee) / 2.0, say("lesson", "stiffened", language),
                      va="center")  # fmt: skip
            axes.plot([1.02 * full] * 2, [rows.start, knee], "-", color="black", linewidth=1.6,
                      marker="_")  # fmt: skip
        _bare(axes, lesson, (-0.24 * full, 1.6 * full))
        _levels(axes, lesson, [rows.start, top], language)
        label = told(lesson, "height", knee, language, "down")
        if rows.start < knee < top:
            axes.text(-0.02 * full, knee, label, ha="right", va="center", bbox=BLANK)
        ends = sorted({peak, full})
        axes.set_xticks(ends, [number("pressure", p, system, "up") for p in ends])
        axes.set_xlabel(unit(lesson, "pressure", language), loc="left")
        return svg_of(drawn)


def trials(lesson: Lesson, language: str) -> str:
    """The most loaded tie with one thing changed at a time."""
    system, usable = lesson.system, lesson.verdict.case.tie.usable
    found = lesson.trials[::-1]
    facts = {
        "degrees": colder_by(lesson, language),
        "rate": told(lesson, "rate", lesson.rate, language),
    }
    widest = max(usable, *(t.load for t in found))
    with style():
        drawn, (axes,) = canvas(1, height=0.8 + 0.5 * len(found))
        y = np.arange(len(found))
        axes.barh(y, [t.load for t in found], 0.6, edgecolor="black", linewidth=1.0,
                  color=[LIGHT if t.passes else "white" for t in found],
                  hatch=["" if t.passes else BREAKS for t in found])  # fmt: skip
        axes.axvline(usable, color="black", linestyle="-.", linewidth=1.4)
        for i, t in enumerate(found):
            text = ("" if t.passes else "✗ ") + number("load", t.load, system, "up")
            axes.text(t.load + 0.02 * widest, i, text, va="center", bbox=BLANK,
                      fontweight="normal" if t.passes else "bold")  # fmt: skip
        axes.set_xlim(0, 1.3 * widest)
        axes.set_xticks([usable], [number("load", usable, system, "down")])
        axes.set_xlabel(f"{say('lesson', 'axis_tie', language)}, {unit(lesson, 'load', language)}")
        axes.set_yticks(y, [say("lesson", f"trial_{t.name}", language, **facts)
                            for t in found])  # fmt: skip
        axes.tick_params(axis="y", length=0)
        return svg_of(drawn)


def piece(lesson: Lesson, language: str) -> str:
    """The front of the form: the piece that the most loaded tie holds, half-way to all sides."""
    rows, hand = lesson.verdict.case.rows, lesson.hand
    low, high = hand.tributary[0].low, hand.tributary[-1].high
    with style():
        drawn, (axes,) = canvas(1, height=_height(1.2 + 0.3 * len(rows.heights)))
        axes.fill([0.8, 2.4, 2.4, 0.8], [low, low, high, high], facecolor="white", hatch="///",
                  edgecolor=DARK, linewidth=2.0)  # fmt: skip
        for y in rows.heights:
            axes.plot([0, 1.6, 3.2], [y] * 3, "o", color="black", markerfacecolor="white",
                      markersize=8)  # fmt: skip
        axes.plot([1.6], [hand.height], "s", color="black", markersize=12)
        axes.vlines([-0.6, 3.8], rows.start, rows.top, colors="black", linewidth=0.8,
                    linestyles=":")  # fmt: skip
        axes.hlines([rows.start, rows.top], -0.6, 3.8, colors="black", linewidth=[2.4, 1.2])
        _bare(axes, lesson, (-0.7, 3.9))
        axes.text(2.48, (low + high) / 2.0, told(lesson, "height", high - low, language),
                  va="center", bbox=BLANK, fontweight="bold")  # fmt: skip
        axes.set_xticks([1.6], [f"|← {told(lesson, 'spacing', rows.width, language)} →|"])
        kept = apart(rows.heights, int(np.flatnonzero(rows.heights == hand.height)[0]),
                     _gap(axes, lesson, 0.6))  # fmt: skip
        _levels(axes, lesson, [float(rows.heights[i]) for i in kept], language)
        return svg_of(drawn)


def forgotten(lesson: Lesson, language: str) -> str:
    """Every tie of the line before and after one was forgotten."""
    assert lesson.forgotten is not None
    assert lesson.study is not None
    found, study, system = lesson.forgotten, lesson.study, lesson.system
    count, y = len(found.before), np.arange(len(found.before))
    widest = max(float(np.max(found.after)), study.line.capacity)
    changed = np.abs(found.after - found.before) > 1e-9 * widest
    with style():
        drawn, (axes,) = canvas(1, height=_height(1.4 + 0.45 * count))
        axes.barh(y + 0.2, found.before, 0.34, color="white", edgecolor="black",
                  label=say("lesson", "before", language))  # fmt: skip
        axes.barh(y - 0.2, np.where(y == found.tie, 0.0, found.after), 0.34, color=DARK,
                  edgecolor="black", label=say("lesson", "after", language))  # fmt: skip
        axes.plot([0.03 * widest], [found.tie - 0.2], "x", color="black", markersize=11,
                  markeredgewidth=2.6)  # fmt: skip
        axes.axvline(study.line.capacity, color="black", linestyle=":", linewidth=1.4)
        for i in np.flatnonzero(changed):
            axes.text(found.before[i] + 0.02 * widest, i + 0.2, _up(found.before[i], system),
                      va="center", bbox=BLANK)  # fmt: skip
            if i != found.tie:
                axes.text(found.after[i] + 0.02 * widest, i - 0.2, _up(found.after[i], system),
                          va="center", bbox=BLANK, fontweight="bold")  # fmt: skip
        axes.set_xlim(0, 1.25 * widest)
        axes.set_ylim(-0.6, count - 0.4)
        _load_axis(axes, lesson, language, study.line.capacity)
        axes.set_yticks(y, [told(lesson, "height", h, language) for h in study.line.heights])
        axes.tick_params(axis="y", length=0)
        axes.figure.legend(loc="outside upper center", ncol=2, frameon=False)
        return svg_of(drawn)


@dataclass(frozen=True, slots=True)
class Still:
    """One picture of the unzipping: which round (0: all ties in), the forces and what is gone."""

    round: int
    force: Floats
    gone: Any
    breaks: Any
    lost: bool


def stills(study: Study) -> list[Still]:
    """All ties in, then every round of the unzipping that runs further, the last always."""
    bound = study.furthest
    run = study.unzipping[bound]
    before = study.line.removals[study.line.models.index(BOUNDS[bound])].before
    nothing = np.zeros(len(before), bool)
    made = [Still(0, before, nothing, before > study.breaking, False)]
    for i, (force, gone) in enumerate(zip(run.force, run.gone, strict=True), 1):
        lost = bool(np.isnan(force).any())
        made.append(Still(i, np.where(gone | lost, 0.0, force), gone,
                          np.zeros(len(force), bool) if lost else force > study.breaking,
                          lost))  # fmt: skip
    return made if len(made) <= MOST_STILLS else [*made[: MOST_STILLS - 1], made[-1]]


def still_pictures(lesson: Lesson, language: str) -> Iterator[tuple[Still, str]]:
    """Every still with its drawing, all of one size and scale."""
    assert lesson.study is not None
    shown = stills(lesson.study)
    widest = max(lesson.study.breaking, *(float(s.force.max()) for s in shown))
    for still in shown:
        with style():
            drawn, (axes,) = canvas(1, height=_height(1.2 + 0.3 * len(still.force)))
            _draw_still(axes, lesson, still, widest, language)
            yield still, svg_of(drawn)


def _draw_still(axes: Any, lesson: Lesson, still: Still, widest: float, language: str) -> None:
    """The wall cut across: ties through it, and outside the form the load that each holds."""
    study, rows, system = lesson.study, lesson.verdict.case.rows, lesson.system
    assert study is not None
    heights, inner = study.line.heights, -0.42 * widest
    axes.fill([inner, 0, 0, inner], [rows.start, rows.start, rows.top, rows.top],
              facecolor=CONCRETE)  # fmt: skip
    axes.vlines([inner, 0], rows.start, rows.top, colors="black", linewidth=3.0)
    axes.hlines([rows.start], 1.2 * inner, 1.35 * widest, colors="black", linewidth=1.0)
    tall = 0.55 * float(np.diff(heights).min())
    for limit, stroke in ((study.line.capacity, ":"), (study.breaking, "-.")):
        axes.axvline(limit, color="black", linestyle=stroke, linewidth=1.2)
    away = still.gone | still.lost
    inside = ~away
    axes.hlines(heights[inside], inner, 0, colors="black", linewidth=1.6)
    axes.plot(np.full(int(away.sum()), inner / 2.0), heights[away], "x", color="black",
              markersize=10, markeredgewidth=2.4)  # fmt: skip
    axes.barh(heights[inside], still.force[inside], tall, edgecolor="black", linewidth=1.0,
              color=["white" if b else DARK for b in still.breaks[inside]],
              hatch=[BREAKS if b else "" for b in still.breaks[inside]])  # fmt: skip
    labelled = [int(i) for i in np.flatnonzero(inside & (still.force > 0.0))]
    if labelled:
        most = max(labelled, key=lambda i: (bool(still.breaks[i]), still.force[i]))
        places = heights[labelled]
        for k in apart(places, labelled.index(most), _gap(axes, lesson, 1.2)):
            i = labelled[k]
            text = ("✗ " if still.breaks[i] else "") + _up(still.force[i], system)
            axes.text(still.force[i] + 0.03 * widest, heights[i], text, va="center", fontsize=11,
                      bbox=BLANK, fontweight="bold" if still.breaks[i] else "normal")  # fmt: skip
    name = "still_lost" if still.lost else "still_round" if still.round else "still_all"
    axes.set_title(say("lesson", name, language, round=still.round), loc="left", fontsize=12,
                   fontweight="bold")  # fmt: skip
    _bare(axes, lesson, (1.2 * inner, 1.45 * widest))
    kept = apart(heights, 0, _gap(axes, lesson, 1.2))
    _levels(axes, lesson, [float(heights[i]) for i in kept], language)
    limits = [study.line.capacity, study.breaking]
    if limits[1] - limits[0] < LIMITS_APART * widest:
        limits = limits[1:]
    axes.set_xticks(limits, [number("load", x, system, "down") for x in limits])
    axes.set_xlabel(f"{say('lesson', 'axis_tie', language)}, {unit(lesson, 'load', language)}")


def corner(lesson: Lesson, language: str) -> str:
    """An outside corner from above: what pulls its joint open, and the filler beside it."""
    assert lesson.corner is not None
    c = lesson.corner
    t, first, leg, fill = c.thickness, c.first_tie, c.leg, c.filler
    long = max(2.6 * fill, 1.6 * (first + t))
    with style():
        drawn, (axes,) = canvas(1, height=4.6)
        axes.fill([0, long, long, t, t, 0], [0, 0, t, t, long, long], facecolor=CONCRETE)
        axes.plot([long, 0, 0], [0, 0, long], "-", color="black", linewidth=3.0)  # outside
        axes.plot([long, t, t], [t, t, long], "-", color="black", linewidth=3.0)  # inside
        axes.plot(
            [fill, t, t], [t, t, fill], "-", color=DARK, linewidth=7.0, solid_capstyle="butt"
        )  # the inside corner piece
        axes.fill([0, fill, fill, 0], [-0.35 * t, -0.35 * t, 0, 0], facecolor="white",
                  edgecolor="black", hatch=BREAKS, linewidth=1.4)  # fmt: skip
        axes.vlines([fill], -0.35 * t, t, colors="black", linestyles=":", linewidth=1.4)
        axes.vlines([first], -0.12 * t, 1.12 * t, colors="black", linewidth=1.6, linestyles="--")
        for x in np.linspace(1.25 * t, long, 6)[:-1]:
            _push(axes, (x, 0.5 * t), (x, 0.08 * t))
            _push(axes, (0.5 * t, x), (0.08 * t, x))
        axes.plot([0], [0], "s", color="black", markersize=11, markerfacecolor="white",
                  markeredgewidth=2.4)  # fmt: skip
        _note(axes, say("lesson", "mark_pull", language), (0, -0.1 * t), (-0.3 * t, -1.2 * t))
        _note(axes, say("lesson", "mark_filler", language), (0.7 * fill, -0.3 * t),
              (1.05 * fill, -0.7 * t))  # fmt: skip
        _note(axes, say("lesson", "mark_tie", language), (first, 1.12 * t),
              (first + 0.35 * t, 1.55 * t))  # fmt: skip
        _note(axes, say("lesson", "mark_piece", language), (t, t + 0.7 * leg),
              (1.5 * t, 2.25 * t))  # fmt: skip
        axes.text(long, t / 2.0, f" {told(lesson, 'thickness', t, language)}", va="center",
                  fontweight="bold")  # fmt: skip
        axes.set_xlim(-0.5 * t, 1.25 * long)
        axes.set_ylim(-1.6 * t, long)
        axes.set_aspect("equal")
        axes.set_axis_off()
        return svg_of(drawn)


def _wall(axes: Any, lesson: Lesson, left: float) -> None:
    """The concrete beside its form, cut across."""
    rows = lesson.verdict.case.rows
    axes.fill([left, 0, 0, left], [rows.start, rows.start, rows.top, rows.top],
              facecolor=CONCRETE)  # fmt: skip
    axes.vlines([0], rows.start, rows.top, colors="black", linewidth=3.0)


def _note(axes: Any, text: str, at: tuple[float, float], place: tuple[float, float]) -> None:
    """A word with a line to what it names."""
    axes.annotate(text, at, place, arrowprops={"arrowstyle": "-", "linewidth": 1.0}, va="center",
                  bbox=BLANK)  # fmt: skip


def _arrow(axes: Any, start: float, end: float, y: float) -> None:
    if end > start:
        _push(axes, (start, y), (end, y))


def _push(axes: Any, start: tuple[float, float], end: tuple[float, float]) -> None:
    axes.annotate("", end, start, arrowprops={
        "arrowstyle": "-|>", "color": DARK, "linewidth": 1.4, "shrinkA": 0.0, "shrinkB": 0.0,
    })  # fmt: skip


def _bare(axes: Any, lesson: Lesson, across: tuple[float, float]) -> None:
    """No frame: the picture is the wall."""
    rows = lesson.verdict.case.rows
    axes.set_xlim(*across)
    axes.set_ylim(rows.start - 0.03 * lesson.height, rows.top + 0.03 * lesson.height)
    axes.spines[:].set_visible(False)
    axes.set_xticks([])
    axes.tick_params(length=0)


def _levels(axes: Any, lesson: Lesson, levels: list[float], language: str) -> None:
    axes.set_yticks(levels, [told(lesson, "height", y, language) for y in levels])


def _load_axis(axes: Any, lesson: Lesson, language: str, limit: float) -> None:
    axes.set_xticks([limit], [number("load", limit, lesson.system, "down")])
    axes.set_xlabel(f"{say('lesson', 'axis_tie', language)}, {unit(lesson, 'load', language)}")


def colder_by(lesson: Lesson, language: str) -> str:
    """How much colder the cold trial is; nothing where there is none."""
    return (
        "" if lesson.colder_by is None else told(lesson, "temperature", lesson.colder_by, language)
    )


def _up(bare: float, system: str) -> str:
    return number("load", float(bare), system, "up")


def unit(lesson: Lesson, term: str, language: str) -> str:
    """The unit of a term as reports write it."""
    return unit_word(terms()[term].unit[lesson.system], language)


def told(lesson: Lesson, term: str, bare: Any, language: str, how: str = "") -> str:
    """A bare number of the lesson with its unit, rounded `how` it is shown."""
    return format(Shown(Amount(term, float(bare), lesson.system), language), how)


def _gap(axes: Any, lesson: Lesson, margin: float) -> float:
    """Height of wall that one line of letters takes."""
    room: float = axes.figure.get_figheight() - margin
    return CLOSEST * lesson.height / room


def _height(inches: float) -> float:
    height: float = np.clip(inches, 3.0, 6.0)
    return height
