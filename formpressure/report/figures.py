"""Drawings: pressure beside the rows of ties, and allowed rate against temperature.

Numbers are rounded as everywhere in reports: demands up, what is allowed down. The same verdict
gives the same bytes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.records import Amount
from formpressure.report.drawing import (
    BLANK,
    CLOSEST,
    DARK,
    LIGHT,
    apart,
    axis_label,
    canvas,
    number,
    spread,
    style,
    svg_of,
)
from formpressure.report.parts import Block, figure, paragraphs, rate_word, write
from formpressure.report.words import say
from formpressure.study import Study
from formpressure.table import Rates
from formpressure.units import at_most
from formpressure.verdict import Verdict

STROKES: tuple[Any, ...] = ("-", "--", ":")
HEIGHT = 2.9  # inches, of the axes
PANEL_IN_VIEW = 1.7  # times full liquid head; a rating beyond it would squeeze the drawing


def pressure(verdict: Verdict, language: str = "en") -> Block:
    """Pressure over the height, and at the level of each row what one of its ties carries."""
    with style():
        drawn, (left, right) = canvas(ncols=2, sharey=True)
        _draw_pressure(left, verdict, language)
        _draw_ties(right, verdict, language)
        svg = svg_of(drawn)
    facts = _pressure_facts(verdict, language)
    alt = say("figure", "pressure_alt", language, **facts)
    if verdict.case.panel is not None:
        usable = Amount("pressure", verdict.case.panel.usable, verdict.case.rule.system)
        alt += " " + say("figure", "panel_alt", language, capacity=usable)
    return figure(svg, alt, say("figure", "pressure_caption", language, **facts))


def rates(table: Rates, language: str = "en") -> Block:
    """Largest rate against temperature of the concrete, one line for each mix; the table drawn."""
    case, system = table.case, table.case.rule.system
    facts = {
        "coldest": write("temperature", table.temperatures[0], system),
        "warmest": write("temperature", table.temperatures[-1], system),
        "low": rate_word(table.shown[0, 0], system, language),
        "high": rate_word(table.shown[-1, 0], system, language),
        "worst": rate_word(table.shown[0, -1], system, language),
    }
    alt = say("figure", "rates_alt", language, **facts)
    if not np.any((table.shown > 0.0) & np.isfinite(table.shown)):
        return paragraphs(alt)
    planned = case.bare.concrete.temperature
    if planned is not None and case.rate is not None:
        alt += " " + say(
            "figure", "rates_alt_plan", language,
            rate=Amount("rate", case.rate, system),
            temperature=Amount("temperature", planned, system),
        )  # fmt: skip
    with style():
        drawn, (axes,) = canvas(ncols=1)
        _draw_rates(axes, table, language)
        svg = svg_of(drawn)
    return figure(svg, alt, say("figure", "rates_caption", language))


def _draw_pressure(axes: Any, verdict: Verdict, language: str) -> None:
    case, system = verdict.case, verdict.case.rule.system
    start, top = case.rows.start, case.rows.top
    p, head = float(verdict.envelope.p_max), float(verdict.full.p_max)
    knee = max(top - float(verdict.envelope.liquid_depth), start)
    widest = head
    if case.panel is not None and case.panel.usable <= PANEL_IN_VIEW * head:
        widest = max(head, case.panel.usable)
        axes.axvline(case.panel.usable, color="black", linestyle=":", linewidth=1.6)
        label = say("figure", "panel_label", language,
                    pressure=number("pressure", case.panel.usable, system, "down"))  # fmt: skip
        axes.text(case.panel.usable, start, f" {label} ", rotation=90, ha="right", va="bottom",
                  bbox=BLANK)  # fmt: skip
    axes.fill([0, p, p, 0], [top, knee, start, start], facecolor=LIGHT, edgecolor="none")
    if p < head:
        axes.plot([0, head], [top, start], "--", color="black", linewidth=1.2)
        label = say(
            "figure", "head_label", language, pressure=number("pressure", head, system, "up")
        )
        slope = np.degrees(np.arctan2(start - top, head))  # the label lies along its line
        axes.text(0.07 * head, top - 0.03 * (top - start), label, va="bottom", bbox=BLANK,
                  rotation=slope, rotation_mode="anchor", transform_rotates_text=True)  # fmt: skip
    axes.plot([0, p, p], [top, knee, start], "-", color=DARK, linewidth=2.4)
    axes.text(0.5 * p, start + 0.05 * (top - start), number("pressure", p, system, "up"),
              ha="center", color=DARK, fontweight="bold")  # fmt: skip
    axes.set_xlim(0, 1.08 * widest)
    axes.set_ylim(min(0.0, start), 1.02 * max(top, float(case.rows.heights.max())))
    axes.set_xticks([0, _round_tick(widest)])
    axes.xaxis.set_major_formatter("{x:,.4g}")
    axes.set_xlabel(axis_label("pressure_axis", "pressure", system, language))
    axes.set_ylabel(say("figure", "height_axis", language))
    if start > 0.0:
        axes.axhspan(0.0, start, facecolor="none", edgecolor="black", hatch="//", linewidth=0)
        axes.axhline(start, color="black", linewidth=0.8)


def _draw_ties(axes: Any, verdict: Verdict, language: str) -> None:
    """One bar for each row at its level, its number in a column beside the bars."""
    case, ties, system = verdict.case, verdict.ties, verdict.case.rule.system
    usable, loads = case.tie.usable, ties.load
    labelled = apart(ties.heights, ties.worst, CLOSEST * axes.get_ylim()[1] / HEIGHT)
    widest = max(float(loads.max()), usable)
    axes.hlines(ties.heights, 0, loads, colors=DARK, linewidth=5)
    axes.axvline(usable, color="black", linestyle="-.", linewidth=1.4)
    for i in labelled:
        over = not at_most(loads[i], usable)
        text = ("✗ " if over else "") + number("load", loads[i], system, "up")
        text = text if case.rows.loaded[i] else "–"
        weight = "bold" if over or i == ties.worst else "normal"
        axes.text(1.7 * widest, ties.heights[i], text, va="center", ha="right", fontweight=weight)
    axes.set_xlim(0, 1.7 * widest)
    axes.set_xticks([usable], [number("load", usable, system, "down")])
    axes.set_xlabel(axis_label("load_axis", "load", system, language))
    axes.set_yticks([ties.heights[i] for i in labelled],
                    [write("height", ties.heights[i], system) for i in labelled])  # fmt: skip


def _draw_rates(axes: Any, table: Rates, language: str) -> None:
    case, system = table.case, table.case.rule.system
    warm = table.temperatures
    shown = np.where(np.isfinite(table.shown), table.shown, np.nan)  # any rate has no line
    top = 1.3 * max(float(np.nanmax(shown)), case.rate or 0.0)
    step = float(warm[1] - warm[0])
    x = np.append(warm, warm[-1] + step / 2.0)  # the last row holds on for warmer concrete
    ends = []
    for j in range(len(table.mixes)):
        y = np.append(shown[:, j], shown[-1, j])
        axes.plot(x, y, STROKES[j % len(STROKES)], color=DARK if j == 0 else "black",
                  linewidth=2.4 if j == 0 else 1.6, drawstyle="steps-post")  # fmt: skip
        ends.append(float(y[-1]))
    axes.set_xlim(warm[0], x[-1] + 0.62 * (x[-1] - warm[0]))
    axes.set_ylim(0, top)
    for j, level in enumerate(spread(ends, top * CLOSEST / HEIGHT)):
        name = say("mix", table.mixes[j], language)
        axes.text(x[-1] + 0.02 * (x[-1] - warm[0]), level, name, va="center")
    axes.set_xlabel(axis_label("temperature_axis", "temperature", system, language), x=0.31)
    axes.set_ylabel(axis_label("rate_axis", "rate", system, language))
    axes.set_xticks([t for t in warm if t % (20.0 if system == "US" else 10.0) == 0.0])
    axes.yaxis.get_major_locator().set_params(nbins=5, integer=True)
    planned = case.bare.concrete.temperature
    if planned is None or not warm[0] <= planned <= x[-1]:
        return
    axes.axvline(planned, color="black", linewidth=0.8)
    label = say(
        "figure", "planned_label", language, temperature=Amount("temperature", planned, system)
    )
    axes.text(planned + 0.01 * (x[-1] - warm[0]), top, label, va="top", bbox=BLANK)
    if case.rate is not None:
        axes.plot([planned], [case.rate], "o", color="black", markersize=8)
        axes.annotate(write("rate", case.rate, system), (planned, case.rate), (7, -15),
                      textcoords="offset points", bbox=BLANK)  # fmt: skip


def _pressure_facts(verdict: Verdict, language: str) -> dict[str, Any]:
    case, ties, system = verdict.case, verdict.ties, verdict.case.rule.system
    worst, envelope = ties.worst, verdict.envelope
    depth = min(float(envelope.liquid_depth), case.rows.top - case.rows.start)
    return {
        "judged": judged_at(verdict, language),
        "pressure": Amount("pressure", float(envelope.p_max), system),
        "head": Amount("pressure", float(verdict.full.p_max), system),
        "depth": Amount("height", depth, system),
        "top": Amount("height", case.rows.top, system),
        "load": Amount("load", float(ties.load[worst]), system),
        "row": Amount("height", float(ties.heights[worst]), system),
        "capacity": Amount("load", case.tie.usable, system),
    }


def judged_at(judged: Verdict | Study, language: str = "en") -> str:
    """At which rate, or at full liquid head, the judged pressure stands."""
    rate = judged.envelope.given["rate"]
    if rate is None:
        return say("figure", "judged_full", language)
    amount = Amount("rate", rate, judged.case.rule.system)
    return say("figure", "judged_rate", language, rate=amount)


def _round_tick(value: float) -> float:
    """One round number near the end of an axis."""
    size = 10.0 ** np.floor(np.log10(value))
    return float(np.floor(value / size * 2.0) * size / 2.0)
