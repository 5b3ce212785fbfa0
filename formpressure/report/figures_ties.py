"""Drawings of tie loads: every row by every model, the front with a tie gone, and unzipping.

Marks differ by shape and fill, never by hue alone. The same study gives the same bytes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from formpressure.demand.explain import LEAST_RISE, MEMBERS, Gone, ModelLoads, model_loads
from formpressure.demand.frames import BOUNDS
from formpressure.records import Amount
from formpressure.report.blocks_ties import (
    carried,
    first_gone,
    lost_models,
    model_word,
    rounds,
    times,
    worst_gone,
)
from formpressure.report.drawing import (
    BLANK,
    CLOSEST,
    DARK,
    LIGHT,
    apart,
    axis_label,
    canvas,
    number,
    style,
    svg_of,
)
from formpressure.report.figures import judged_at
from formpressure.report.parts import Block, figure, write
from formpressure.report.words import say
from formpressure.statics.hinged import Floats
from formpressure.statics.unzip import Unzipping
from formpressure.study import Study
from formpressure.units import at_most
from formpressure.verdict import Verdict

MARKS = {  # of each model: shape, filled or not
    "tributary": ("o", "white"), "hinged": ("s", "black"),
    "rigid ties": ("^", DARK), "straight rail": ("v", "white"), MEMBERS: ("D", DARK),
}  # fmt: skip
TIES = {  # of a tie in the front: shape, fill, size in points
    "within": ("o", "white", 9), "over": ("s", DARK, 9), "breaks": ("D", "black", 10),
    "gone": ("x", "black", 13),
}  # fmt: skip
LOWEST, TALLEST = 3.6, 7.0  # inches, of a drawing
PANEL = (1.5, 2.6)  # inches, of one of several, at least and at most
LINES_SHOWN = 6
MOST_FRAMES = 6


def models(judged: Study | Verdict, language: str = "en") -> Block:
    """The largest load of one tie in each row by each model, beside what it may carry."""
    case = judged.case
    found = model_loads(case.rows, judged.envelope, case.bare)
    rows = np.flatnonzero(case.rows.loaded)
    with style():
        drawn, (axes,) = canvas(ncols=1, height=_height(1.3 + 0.5 * len(rows)))
        _draw_models(axes, judged, found, rows, language)
        svg = svg_of(drawn)
    load, usable = found.load[:, rows], Amount("load", case.tie.usable, case.rule.system)
    worst = int(np.argmax(load.max(axis=0)))
    alt = say(
        "ties_report", "models_alt", language, capacity=usable, rows=len(rows),
        row=Amount("height", float(found.heights[rows[worst]]), case.rule.system),
        over=int((~at_most(load.max(axis=0), usable.bare)).sum()),
        loads=", ".join(
            f"{model_word(m, language)} {carried(x, case.rule.system, language)}"
            for m, x in zip(found.models, load[:, worst], strict=True)
        ),
    )  # fmt: skip
    caption = say("ties_report", "models_caption", language, capacity=usable,
                  judged=judged_at(judged, language))  # fmt: skip
    return figure(svg, alt, caption)


def missing(study: Study, language: str = "en") -> Block:
    """The front of the form with the worst tie gone: marks by load, and how many times its own.

    The whole wall where its lines are coupled, else one line beside unchanged ones.
    """
    gone = worst_gone(study, study.wall is not None)[0]
    front = _front(study, gone)
    with style():
        steps = np.diff(study.line.heights)
        rows = (study.case.rows.top - study.case.rows.start) / float(steps.min())
        drawn, (axes,) = canvas(ncols=1, height=_height(1.6 + 0.3 * rows))
        _draw_front(axes, study, front, gone, language)
        svg = svg_of(drawn)
    facts = _front_facts(study, front, gone, language)
    kind = "wall" if study.wall is not None else "lost" if gone.hit is None else "line"
    alt = say("ties_report", "lost_all_alt" if kind == "lost" else f"{kind}_alt", language, **facts)
    if gone.lost and not gone.lost_by_all:
        alt += " " + say("ties_report", "lost_alt", language, models=facts["models"])
    return figure(svg, alt, say("ties_report", f"{kind}_caption", language, **facts))


def unzipping(study: Study, language: str = "en") -> Block:
    """Still pictures of the unzipping that runs further: first all ties in, then round by round."""
    bound = study.furthest
    run = study.unzipping[bound]
    before = study.line.removals[study.line.models.index(BOUNDS[bound])].before
    count = len(run.force) + 1
    shown = list(range(count)) if count <= MOST_FRAMES else [*range(MOST_FRAMES - 1), count - 1]
    with style():
        stories = -(-len(shown) // 2)
        each = float(np.clip(0.78 + 0.22 * len(before), *PANEL))
        drawn, panels = canvas(2, stories, stories * each, sharex=True, sharey=True)
        for axes, frame in zip(panels, shown, strict=False):
            _draw_frame(axes, study, run, before, frame, language)
        for axes in panels[len(shown) :]:
            axes.set_visible(False)
        for axes in panels[: len(shown)][-2:]:  # the lowest of each column
            axes.tick_params(axis="x", labelbottom=True)
        drawn.supxlabel(
            axis_label("load_axis", "load", study.case.rule.system, language), fontsize=12
        )
        svg = svg_of(drawn)
    caption = say(
        "ties_report", "unzip_caption", language, model=model_word(BOUNDS[bound], language),
        judged=judged_at(study, language), breaking=_load(study, study.breaking),
        capacity=_load(study, study.line.capacity),
    )  # fmt: skip
    if len(shown) < count:
        caption += " " + say("ties_report", "unzip_cut", language, shown=len(shown), count=count)
    alt = say("ties_report", "unzip_alt", language, count=len(shown), row=first_gone(study, run),
              story=" ".join(rounds(study, run, language)))  # fmt: skip
    return figure(svg, alt, caption)


def _draw_models(
    axes: Any, judged: Study | Verdict, found: ModelLoads, rows: Any, language: str
) -> None:
    case, system = judged.case, judged.case.rule.system
    load, usable = found.load[:, rows], case.tie.usable
    held = np.where(np.isfinite(load), load, np.nan)
    widest = max(float(np.nanmax(held)), usable)
    for y in range(0, len(rows), 2):
        axes.axhspan(y - 0.5, y + 0.5, facecolor=LIGHT, edgecolor="none", alpha=0.6)
    for model, loads, step in zip(
        found.models, held, np.linspace(0.32, -0.32, len(held)), strict=True
    ):
        mark, fill = MARKS[model]
        y = np.arange(len(rows)) + step
        axes.hlines(y, 0, loads, colors="black", linewidth=0.6)
        axes.plot(loads, y, mark, color="black", markerfacecolor=fill, markersize=7,
                  label=model_word(model, language), clip_on=False)  # fmt: skip
    axes.axvline(usable, color="black", linestyle="-.", linewidth=1.4)
    for y, most in enumerate(load.max(axis=0)):
        over = not at_most(most, usable)
        text = ("✗ " if over else "") + carried(most, system, language)
        axes.text(1.45 * widest, y, text, va="center", ha="right",
                  fontweight="bold" if over else "normal")  # fmt: skip
    axes.set_xlim(0, 1.45 * widest)
    axes.set_ylim(-0.5, len(rows) - 0.5)
    axes.set_xticks([usable], [number("load", usable, system, "down")])
    axes.set_xlabel(axis_label("load_axis", "load", system, language))
    size = axes.figure.get_figheight()
    kept = apart(np.arange(len(rows)), 0, CLOSEST * len(rows) / (size - 1.3))
    axes.set_yticks(kept, [write("height", found.heights[rows[i]], system) for i in kept])
    axes.tick_params(axis="y", length=0)
    axes.figure.legend(loc="outside upper center", ncol=2, frameon=False, handletextpad=0.2,
                       columnspacing=1.2, borderaxespad=0.1)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Front:
    """The lines in view, (lines, rows): load after over load before, load after, and the columns.

    `first` counts lines from the end of the wall; `whole` is every tie of the study after.
    """

    after: Floats
    growth: Floats
    first: int
    column: int  # in which the tie is gone
    whole: Floats


def _front(study: Study, gone: Gone) -> _Front:
    """The lines around the gone tie; a line alone stands between two as if nothing had happened."""
    rows = len(study.line.heights)
    if study.wall is None:
        every = dict(zip(study.line.models, study.line.removals, strict=True))
        removal = every[gone.model or study.line.models[-1]]
        after, before = removal.after[gone.tie], removal.before
        growth = removal.growth()[gone.tie]
        beside = np.ones(rows)
        return _Front(np.array([before, after, before]), np.array([beside, growth, beside]), -1, 1,
                      after)  # fmt: skip
    removal = study.wall.removals[BOUNDS.index(gone.model or BOUNDS[0])]
    shape = (len(study.wall.lines), rows)
    line = gone.tie // rows
    first = int(np.clip(line - LINES_SHOWN // 2, 0, max(shape[0] - LINES_SHOWN, 0)))
    view = slice(first, first + LINES_SHOWN)
    after, growth = removal.after[gone.tie], removal.growth()[gone.tie]
    return _Front(after.reshape(shape)[view], growth.reshape(shape)[view], first, line - first,
                  after)  # fmt: skip


def _draw_front(axes: Any, study: Study, front: _Front, gone: Gone, language: str) -> None:
    rows, system = study.case.rows, study.case.rule.system
    heights, count = study.line.heights, len(front.after)
    row = gone.tie % len(heights)
    axes.hlines(heights, -0.3, count - 0.3, colors="black", linewidth=0.4)
    axes.vlines(range(count), rows.start, rows.top, colors="black", linewidth=0.8)
    axes.hlines([rows.start, rows.top], -0.45, count - 0.25, colors="black", linewidth=[2.4, 1.2])
    kinds = np.array([[_kind(study, load) for load in line] for line in front.after])
    kinds[front.column, row] = "gone"
    for kind, (mark, fill, size) in TIES.items():
        x, y = np.nonzero(kinds == kind)
        if x.size:
            axes.plot(x, heights[y], mark, color="black", markerfacecolor=fill, markersize=size,
                      markeredgewidth=3 if mark == "x" else 1.2, linestyle="none",
                      label=say("ties_report", f"mark_{kind}", language))  # fmt: skip
    _label_growth(axes, study, front, language)
    if gone.lost:
        name = "lost_mark_all" if gone.lost_by_all else "lost_mark"
        _mark_lost(
            axes, study, front.column,
            say("ties_report", name, language, models=lost_models(gone, language)),
        )  # fmt: skip
    height = rows.top - rows.start
    axes.set_xlim(-0.5, count - 0.2)
    axes.set_ylim(rows.start - 0.03 * height, rows.top + (0.13 if gone.lost else 0.03) * height)
    kept = apart(heights, row, CLOSEST * height / (axes.figure.get_figheight() - 1.6))
    axes.set_yticks(heights[kept], [write("height", heights[i], system) for i in kept])
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    if study.wall is None:
        names = [say("ties_report", n, language) for n in ("line_next", "line_this", "line_next")]
        axes.set_xticks(range(count), names)
    else:
        axes.set_xticks(range(count), [str(front.first + i + 1) for i in range(count)])
        axes.set_xlabel(say("ties_report", "line_axis", language))
    axes.figure.legend(loc="outside upper center", ncol=2, frameon=False, handletextpad=0.2,
                       columnspacing=1.2, borderaxespad=0.1)  # fmt: skip


def _label_growth(axes: Any, study: Study, front: _Front, language: str) -> None:
    """How many times its load a tie carries, beside its mark; labels of a line kept apart."""
    heights, size = study.line.heights, axes.figure.get_figheight() - 1.6
    gap = 0.9 * CLOSEST * (study.case.rows.top - study.case.rows.start) / size
    for x, growth in enumerate(front.growth):
        grown = [i for i in np.argsort(-growth) if growth[i] >= LEAST_RISE]
        if not grown:
            continue
        levels = heights[grown]
        for k in apart(levels, 0, gap):
            axes.annotate(times(growth[grown[k]], language), (x, levels[k]), (8, 0), va="center",
                          textcoords="offset points", fontsize=11, bbox=BLANK,
                          fontweight="bold" if growth[grown[k]] == np.nanmax(front.growth)
                          else "normal")  # fmt: skip


def _mark_lost(axes: Any, study: Study, column: int, text: str) -> None:
    """A broken frame around a line that is lost, with the models by which it is."""
    rows = study.case.rows
    height = rows.top - rows.start
    x = np.array([-0.22, 0.22, 0.22, -0.22, -0.22]) + column
    y = rows.start + height * np.array([-0.02, -0.02, 1.02, 1.02, -0.02])
    axes.plot(x, y, "--", color="black", linewidth=1.6, clip_on=False)
    axes.text(column, rows.top + 0.05 * height, text, ha="center", va="bottom", fontweight="bold")


def _front_facts(study: Study, front: _Front, gone: Gone, language: str) -> dict[str, Any]:
    """Numbers of the front for its words."""
    rows, system = len(study.line.heights), study.case.rule.system
    line, row = divmod(gone.tie, rows)
    hit_line, hit_row = divmod(gone.hit if gone.hit is not None else gone.tie, rows)
    return {
        "judged": judged_at(study, language),
        "row": Amount("height", float(study.line.heights[row]), system), "line": line + 1,
        "hit_row": Amount("height", float(study.line.heights[hit_row]), system),
        "hit_line": hit_line + 1, "shown": len(front.after),
        "lines": 1 if study.wall is None else len(study.wall.lines),
        "load": _load(study, gone.load), "times": times(gone.times, language),
        "least": times(LEAST_RISE, language),
        "capacity": _load(study, study.line.capacity), "breaking": _load(study, study.breaking),
        "over": int((~at_most(front.whole, study.line.capacity)).sum()),
        "breaks": int((front.whole > study.breaking).sum()),
        "model": model_word(gone.model, language) if gone.model else "",
        "models": lost_models(gone, language),
    }  # fmt: skip


def _draw_frame(
    axes: Any, study: Study, run: Unzipping, before: Floats, frame: int, language: str
) -> None:
    """One picture: all ties in, or one round of the unzipping."""
    heights, system = study.line.heights, study.case.rule.system
    force = before if frame == 0 else run.force[frame - 1]
    gone = np.zeros(len(heights), bool) if frame == 0 else run.gone[frame - 1]
    lost = bool(np.isnan(force).any())
    force = np.where(gone | np.isnan(force), 0.0, force)
    breaks = force > study.breaking
    y = np.arange(len(heights))
    axes.barh(y, force, 0.62, color=np.where(breaks, "white", LIGHT), edgecolor="black",
              hatch=["////" if b else "" for b in breaks], linewidth=1.0)  # fmt: skip
    axes.axvline(study.line.capacity, color="black", linestyle=":", linewidth=1.2)
    axes.axvline(study.breaking, color="black", linestyle="-.", linewidth=1.2)
    widest = max(study.breaking, float(np.nanmax([*before, *run.force.flat, 0.0])))
    away = np.flatnonzero(gone | lost)
    axes.plot(np.full(away.size, 0.05 * widest), away, "x", color="black",
              markersize=9 if len(heights) < 10 else 6, markeredgewidth=2.2)  # fmt: skip
    size = axes.figure.get_figheight() / axes.get_gridspec().nrows - 0.78
    gap, most = CLOSEST * len(heights) / size, int(np.argmax(force))
    told: list[int] = [most, *(int(i) for i in np.flatnonzero(breaks) if i != most)]
    for i in [] if lost else [told[k] for k in apart(told, 0, gap)]:
        mark = "✗ " if breaks[i] else ""
        axes.text(force[i] + 0.04 * widest, i, mark + number("load", force[i], system, "up"),
                  va="center", fontsize=11, bbox=BLANK,
                  fontweight="bold" if breaks[i] else "normal")  # fmt: skip
    title = say("ties_report", "frame_round" if frame else "frame_before", language, round=frame)
    if lost:
        title += say("ties_report", "frame_lost", language)
    axes.set_title(title, fontsize=12, loc="left")
    axes.set_xlim(0, 1.5 * widest)
    axes.set_ylim(-0.6, len(heights) - 0.4)
    axes.set_xticks([study.breaking], [number("load", study.breaking, system, "down")])
    kept = apart(y, 0, gap)
    axes.set_yticks(kept, [write("height", heights[i], system) for i in kept])
    axes.tick_params(axis="y", length=0)


def _kind(study: Study, load: float) -> str:
    if np.isnan(load):
        return "gone"
    if load > study.breaking:
        return "breaks"
    return "within" if at_most(load, study.line.capacity) else "over"


def _height(inches: float) -> float:
    return float(np.clip(inches, LOWEST, TALLEST))


def _load(study: Study, bare: float) -> Amount:
    return Amount("load", float(bare), study.case.rule.system)
