"""Drawings for the crew: what a leaning corner does at the far end, and the string line.

The first is no scale drawing, or nothing would be seen, and its caption says so. The same record
gives the same bytes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.job.plumb import FarEnd, Straightening
from formpressure.records import Amount
from formpressure.report.blocks_job import out_word
from formpressure.report.drawing import BLANK, DARK, LIGHT, axis_label, canvas, style, svg_of
from formpressure.report.parts import Block, figure, write
from formpressure.report.words import Shown, say

SLOPE = 0.12  # that a leaning corner is drawn with
RUN = 4.5  # of the drawn row, in heights of a panel
PANELS = 4  # drawn to each height of a panel
MOST_NUMBERS = 9
CLOSEST = 0.07  # of the width: numbers nearer than this would touch


def far_end(found: FarEnd, language: str = "en") -> Block:
    """Front of a row of panels whose corner leans, and its far end off level."""
    facts = {
        "out": Amount("deviation", found.out, found.system),
        "height": Amount("height", found.height, found.system),
        "length": Amount("length", found.length, found.system),
        "off_level": Amount("deviation", found.off_level, found.system),
        "each": Amount("deviation", found.each, found.system),
    }
    with style():
        drawn, (axes,) = canvas(ncols=1, height=2.3)
        _draw_row(axes, found, facts, language)
        svg = svg_of(drawn)
    return figure(svg, say("figure", "far_end_alt", language, **facts),
                  say("figure", "far_end_caption", language, **facts))  # fmt: skip


def _draw_row(axes: Any, found: FarEnd, facts: dict[str, Any], language: str) -> None:
    """In heights of a panel, RUN of them long and SLOPE steep, whatever the row."""
    run = RUN
    angle = np.arcsin(SLOPE if found.out else 0.0)
    along, up = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    outline = np.array([0 * along, run * along, run * along + up, up])
    axes.fill(*outline.T, facecolor=LIGHT, edgecolor=DARK, linewidth=1.8)
    for x in np.linspace(0.0, run, round(run * PANELS) + 1)[1:-1]:
        axes.plot(*np.array([x * along, x * along + up]).T, color=DARK, linewidth=0.8)
    axes.plot([-0.45, run + 0.1], [0.0, 0.0], color="black", linewidth=1.6)  # footing
    axes.plot([0.0, 0.0], [0.0, 1.3], "--", color="black", linewidth=1.2)  # plumb
    axes.plot([0.0, run + 0.1], [1.0, 1.0], ":", color="black", linewidth=1.6)  # level
    climb = float((run * along + up)[1])
    axes.text(-0.1, 1.33, say("figure", "lean_label", language, **facts), va="bottom", ha="left")
    axes.annotate("", (run, climb), (run, 1.0),
                  arrowprops={"arrowstyle": "<->", "shrinkA": 0, "shrinkB": 0})  # fmt: skip
    axes.text(run + 0.1, climb + 0.06, say("figure", "off_level_label", language, **facts),
              ha="right", va="bottom", fontweight="bold")  # fmt: skip
    axes.text(run / 2.0, -0.1, write("length", found.length, found.system), ha="center", va="top")
    axes.set_xlim(-0.5, run + 0.15)
    axes.set_ylim(-0.4, 1.4 + climb - 1.0 + 0.35)
    axes.set_aspect("equal")
    axes.set_axis_off()


def string_line(found: Straightening, language: str = "en") -> Block:
    """Out of line at every station, the tolerance as a band, numbers by the order of work."""
    system, worst = found.plan.units, found.worst
    with style():
        drawn, (axes,) = canvas(ncols=1, height=3.0)
        _draw_line(axes, found, language)
        svg = svg_of(drawn)
    way = out_word(worst, system, language)
    size = f"{Shown(Amount('deviation', abs(worst.out), system)):up}"
    facts = {
        "count": len(found.stations), "at": Amount("position", worst.at, system),
        "out": Amount("deviation", abs(worst.out), system), "over": len(found.order),
        "way": way.removeprefix(size).strip(),
    }  # fmt: skip
    alt = say("figure", "line_alt", language, **facts)
    if found.tolerance is None:
        return figure(svg, alt, say("figure", "line_caption_open", language))
    caption = say("figure", "line_caption", language, tolerance=found.tolerance)
    return figure(svg, alt, caption)


def _draw_line(axes: Any, found: Straightening, language: str) -> None:
    system = found.plan.units
    x = np.array([s.at for s in found.stations])
    y = np.array([s.out for s in found.stations])
    limit = 0.0 if found.tolerance is None else found.tolerance.bare
    width = float(np.ptp(x)) or 1.0
    reach = 1.35 * max(float(np.abs(y).max()), limit) or 1.0
    if limit:
        axes.axhspan(-limit, limit, facecolor=LIGHT, edgecolor="none")
        for side in (-limit, limit):
            axes.axhline(side, color="black", linestyle=":", linewidth=1.2)
    axes.axhline(0.0, color="black", linestyle="--", linewidth=1.2)
    axes.plot(x, y, "-", color=DARK, linewidth=1.8)
    move = set(found.order)
    for i in range(len(x)):
        shape, fill = ("s", DARK) if i in move else ("o", "white")
        axes.plot(x[i], y[i], shape, markersize=8, markerfacecolor=fill, markeredgecolor="black")
    told: list[float] = []
    for n, i in enumerate(found.order[:MOST_NUMBERS], 1):
        if all(abs(x[i] - t) > CLOSEST * width for t in told):
            told.append(float(x[i]))
            side = 1 if y[i] > 0.0 else -1
            axes.annotate(str(n), (x[i], y[i]), (0, 13 * side), textcoords="offset points",
                          ha="center", va="center", fontweight="bold", bbox=BLANK)  # fmt: skip
    axes.set_xlim(x.min() - 0.04 * width, x.max() + 0.04 * width)
    axes.set_ylim(-reach, reach)
    axes.yaxis.get_major_locator().set_params(nbins=5)
    axes.set_xlabel(axis_label("along_axis", "position", system, language))
    axes.set_ylabel(axis_label("out_axis", "deviation", system, language))
