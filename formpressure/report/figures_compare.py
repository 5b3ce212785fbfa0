"""Drawings of documents side by side: peak against rate, and allowed rate against temperature.

Lines differ by stroke, shown again beside the name at their end, never by hue. A document has no
line where it says nothing. The same comparison gives the same bytes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.comparison import Comparison, Curve, curves
from formpressure.records import Amount
from formpressure.report.blocks_compare import document_name
from formpressure.report.drawing import CLOSEST, DARK, canvas, spread, style, svg_of
from formpressure.report.parts import Block, figure, paragraphs, rate_word, write
from formpressure.report.words import say, unit_word
from formpressure.units import terms

STROKES: tuple[Any, ...] = ("-", "--", ":", "-.", (0, (7, 2, 1, 2, 1, 2)), (0, (1, 4)))
HEIGHT = 2.6  # inches, of each axes
ROOM = 0.95  # of the drawn span, to the right, for the names


def documents(found: Comparison, language: str = "en") -> Block:
    """Peak pressure over rate above, allowed rate over temperature below; one line a document."""
    drawn_of = curves(found)
    if not drawn_of:
        return paragraphs(say("compare", "none_apply", language))
    names = [document_name(by, language).split(" (")[0] for by in found.documents if by.applies]
    planned = _planned(found)
    above_lines = [(c.rates, c.peak) for c in drawn_of]
    below_lines = [(c.temperatures, c.allowed) for c in drawn_of]
    with style():
        drawn, (above, below) = canvas(ncols=1, nrows=2, height=2.0 * (HEIGHT + 0.6))
        _draw(above, above_lines, names, planned["rate"], language)
        _draw(below, below_lines, names, planned["temperature"], language)
        for axes, across, up in (
            (above, ("rate_axis", "rate"), ("peak_axis", "pressure")),
            (below, ("temperature_axis", "temperature"), ("allowed_axis", "rate")),
        ):
            axes.set_xlabel(_label(*across, found, language), x=0.5 / (1.0 + ROOM))
            axes.set_ylabel(_label(*up, found, language))
        svg = svg_of(drawn)
    lines = " ".join(
        _told(found, curve, name, language) for curve, name in zip(drawn_of, names, strict=True)
    )
    alt = say("compare", "alt", language, lines=lines)
    return figure(svg, alt, say("compare", "caption", language))


def _draw(
    axes: Any, lines: list[tuple[Any, Any]], names: list[str], planned: float | None, language: str
) -> None:
    x0, x1 = float(lines[0][0][0]), float(lines[0][0][-1])
    span, ends, told = x1 - x0, [], []
    shown = [np.where(np.isfinite(y), y, np.nan) for _, y in lines]  # any rate has no line
    top = 1.15 * max((float(np.nanmax(y)) for y in shown if not np.isnan(y).all()), default=1.0)
    for k, ((x, _), y) in enumerate(zip(lines, shown, strict=True)):
        if np.isnan(y).all():
            continue
        look = _look(k)
        axes.plot(x, y, **look)
        ends.append(float(y[np.flatnonzero(~np.isnan(y))[-1]]))
        told.append((names[k], look))
    levels = spread(ends, top * CLOSEST / HEIGHT)
    too_high = max([0.0, *(level - 0.97 * top for level in levels)])  # names stay beside the axes
    for (name, look), level in zip(told, [x - too_high for x in levels], strict=True):
        sample = [x1 + 0.04 * span, x1 + 0.16 * span]
        axes.plot(sample, [level, level], clip_on=False, **look)
        axes.text(x1 + 0.19 * span, level, name, va="center")
    axes.set_xlim(0.0 if x0 < 0.1 * x1 else x0, x1 + ROOM * span)
    axes.set_ylim(0.0, top or 1.0)
    ticks = axes.get_xticks()
    axes.set_xticks([t for t in ticks if t <= x1 + 1e-9 and (t >= x0 or t == 0.0)])
    if planned is not None and x0 <= planned <= x1:
        axes.axvline(planned, color="black", linewidth=0.8)
        axes.text(planned, top, f" {say('compare', 'planned_label', language)}", va="top")


def _look(k: int) -> dict[str, Any]:
    """Stroke and weight of one document; the governing one comes first."""
    color, width = (DARK, 2.6) if k == 0 else ("black", 1.6)
    return {"linestyle": STROKES[k % len(STROKES)], "color": color, "linewidth": width}


def _label(name: str, term: str, found: Comparison, language: str) -> str:
    unit = terms()[term].unit[found.plan.units]
    return f"{say('compare', name, language)}, {unit_word(unit, language)}"


def _planned(found: Comparison) -> dict[str, float | None]:
    """Rate and temperature of the plan, in its units."""
    case = found.governing.case
    if case is None:
        return {"rate": None, "temperature": None}
    return {"rate": case.rate, "temperature": case.bare.concrete.temperature}


def _told(found: Comparison, curve: Curve, name: str, language: str) -> str:
    """One line of the drawing in words: the ends of where the document says something."""
    units = found.plan.units
    known = np.flatnonzero(np.isfinite(curve.peak))
    words = []
    if len(known):
        low, high = known[0], known[-1]
        words.append(say(
            "compare", "alt_line", language, document=name,
            low=Amount("pressure", float(curve.peak[low]), units),
            high=Amount("pressure", float(curve.peak[high]), units),
            slow=write("rate", curve.rates[low], units),
            fast=write("rate", curve.rates[high], units),
        ))  # fmt: skip
    for i in np.flatnonzero(~np.isnan(curve.allowed))[[0, -1]] if _any(curve.allowed) else ():
        words.append(say(
            "compare", "alt_allowed", language, document=name,
            rate=rate_word(float(curve.allowed[i]), units, language),
            temperature=write("temperature", curve.temperatures[i], units),
        ))  # fmt: skip
    return " ".join(words)


def _any(values: Any) -> bool:
    return bool((~np.isnan(values)).any())
