"""Drawings of how close a plan is, and of a research model and measurements set beside it."""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.beside import GROWTHS, UNIT_WEIGHT, Beside, Compared, beside_measured, beside_plan
from formpressure.records import Amount
from formpressure.report.blocks_research import whole
from formpressure.report.blocks_spread import peak_facts
from formpressure.report.drawing import (
    BLANK,
    DARK,
    LIGHT,
    axis_label,
    canvas,
    number,
    style,
    svg_of,
)
from formpressure.report.figures import judged_at
from formpressure.report.parts import Block, figure, paragraphs
from formpressure.report.words import Shown, say
from formpressure.spread import InputSpread
from formpressure.verdict import Verdict

BARS = 40  # about so many, over the pressures that occur
STROKES: tuple[Any, ...] = ("--", "-.", ":")
SPREAD, RESEARCH = "spread_report", "research_report"


def peaks(found: InputSpread, language: str = "en") -> Block:
    """Drawn pours counted by their largest pressure, and what the form carries."""
    if not found.counted:
        return paragraphs(say(SPREAD, "no_peaks", language))
    facts, limit = peak_facts(found), found.verdict.limit.pressure
    system = found.verdict.case.rule.system
    with style():
        drawn, (axes,) = canvas(ncols=1)
        _draw_peaks(axes, found, language)
        svg = svg_of(drawn)
    carries = say(SPREAD, "any_pressure", language)
    if np.isfinite(limit):
        carries = format(Shown(Amount("pressure", limit, system)), "down")
    alt = say(SPREAD, "peaks_alt", language, limit=carries, **facts)
    return figure(svg, alt, say(SPREAD, "peaks_caption", language, counted=facts["counted"]))


def model(verdict: Verdict, language: str = "en") -> Block:
    """The research model over the height at three rates of stiffening, beside what is judged."""
    found = beside_plan(verdict)
    if found is None:
        return paragraphs(say(RESEARCH, "not_enough", language))
    system = verdict.case.rule.system
    with style():
        drawn, (axes,) = canvas(ncols=1)
        _draw_model(axes, found, language)
        svg = svg_of(drawn)
    tops = [Shown(Amount("pressure", float(c.max()), system)) for c in found.curves]
    alt = say(
        RESEARCH, "model_alt", language,
        pressure=Amount("pressure", float(found.judged.max()), system),
        head=Amount("pressure", float(found.full.max()), system),
        peaks=", ".join(format(t, "up") for t in tops),
        growths=", ".join(f"{a:g}" for a in GROWTHS),
    )  # fmt: skip
    caption = say(RESEARCH, "model_caption", language, judged=judged_at(verdict, language))
    return figure(svg, alt, caption)


def measured(language: str = "en") -> Block:
    """The measured pressures as shares of liquid head, beside what the models give for them."""
    found = beside_measured()
    with style():
        drawn, (axes,) = canvas(ncols=1, height=1.2 + 1.1 * len(found))
        _draw_measured(axes, found, language)
        svg = svg_of(drawn)
    shares = ", ".join(f"{c.measured.id} {whole(c.share)}" for c in found)
    models = " ".join(
        say(RESEARCH, "model_share", language, id=c.measured.id,
            low=whole(min(c.by_model)), high=whole(max(c.by_model)))
        for c in found if c.by_model
    )  # fmt: skip
    alt = say(RESEARCH, "measured_alt", language, shares=shares, models=models)
    caption = say(RESEARCH, "measured_caption", language, pressures=len(found),
                  unit_weight=UNIT_WEIGHT)  # fmt: skip
    return figure(svg, alt, caption)


def _draw_peaks(axes: Any, found: InputSpread, language: str) -> None:
    system, limit = found.verdict.case.rule.system, found.verdict.limit.pressure
    used = np.flatnonzero(found.peaks)
    together = max(1, int(np.ceil((used[-1] - used[0] + 1) / BARS)))
    counts = np.add.reduceat(found.peaks, np.arange(0, len(found.peaks), together))
    width = found.step * together
    at = np.flatnonzero(counts)
    axes.bar((at + 0.5) * width, counts[at], width=width, facecolor=LIGHT, edgecolor=DARK,
             linewidth=0.8)  # fmt: skip
    top = 1.25 * float(counts.max())
    low, high = float(at[0]) * width, float(at[-1] + 1) * width
    if np.isfinite(limit):
        high = max(high, limit)
        axes.axvline(limit, color="black", linestyle="-.", linewidth=1.6)
        label = say(SPREAD, "carries", language, pressure=Amount("pressure", limit, system))
        right = limit > (low + high) / 2.0
        axes.text(limit, 0.98 * top, f" {label} ", va="top", ha="right" if right else "left",
                  bbox=BLANK)  # fmt: skip
    axes.set_xlim(low - 0.03 * (high - low), high + 0.03 * (high - low))
    axes.set_ylim(0, top)
    axes.set_xlabel(axis_label("pressure_axis", "pressure", system, language))
    axes.set_ylabel(say(SPREAD, "pours_axis", language))
    axes.xaxis.get_major_locator().set_params(nbins=5)
    axes.yaxis.get_major_locator().set_params(nbins=4, integer=True)
    axes.yaxis.set_major_formatter("{x:,.0f}")


def _draw_model(axes: Any, found: Beside, language: str) -> None:
    case, system = found.verdict.case, found.verdict.case.rule.system
    levels = case.rows.top - found.depths
    axes.fill_betweenx(levels, 0, found.judged, facecolor=LIGHT, edgecolor="none")
    axes.plot(found.judged, levels, "-", color=DARK, linewidth=2.6)
    axes.plot(found.full, levels, "-", color="black", linewidth=0.9)
    ends = [float(found.judged[-1]), float(found.full[-1])]
    names = [say(RESEARCH, "judged", language, document=str(case.rule.document)),
             say(RESEARCH, "head", language)]  # fmt: skip
    for curve, growth, stroke in zip(found.curves, GROWTHS, STROKES, strict=True):
        axes.plot(curve, levels, stroke, color="black", linewidth=1.6)
        ends.append(float(curve[-1]))
        names.append(say(RESEARCH, "by_growth", language, growth=growth))
    strokes = ["-", "-", *STROKES]
    handles = [
        axes.plot([], [], stroke, color=DARK if i == 0 else "black",
                  linewidth=(2.6, 0.9, 1.6, 1.6, 1.6)[i])[0]
        for i, stroke in enumerate(strokes)
    ]  # fmt: skip
    texts = [f"{name} {number('pressure', end, system, 'up')}"
             for name, end in zip(names, ends, strict=True)]  # fmt: skip
    axes.legend(handles, texts, loc="upper right", fontsize=10, frameon=False)
    axes.set_xlim(0, 1.6 * ends[1])
    axes.set_ylim(min(0.0, case.rows.start), 1.02 * case.rows.top)
    axes.set_xticks([0, ends[1]], ["0", number("pressure", ends[1], system, "up")])
    axes.set_xlabel(axis_label("pressure_axis", "pressure", system, language))
    axes.set_ylabel(axis_label("height_axis", "height", system, language))


def _draw_measured(axes: Any, found: tuple[Compared, ...], language: str) -> None:
    for i, c in enumerate(reversed(found)):
        axes.plot([c.by_document], [i], "|", color="black", markersize=22, markeredgewidth=2)
        axes.plot([c.share], [i], "o", color=DARK, markersize=11)
        axes.text(c.share, i + 0.2, f"{say(RESEARCH, 'measured', language)} "
                  f"{whole(c.share)}", ha="center", va="bottom")  # fmt: skip
        axes.text(c.by_document - 0.02, i + 0.2, say(RESEARCH, "by_document", language), ha="right",
                  va="bottom", bbox=BLANK)  # fmt: skip
        if c.by_model is None:
            axes.text(0.68, i - 0.12, say(RESEARCH, "no_inputs", language), ha="center", va="top")
            continue
        axes.plot([min(c.by_model), max(c.by_model)], [i, i], "-", color="black", linewidth=5,
                  solid_capstyle="butt")  # fmt: skip
        name = say(RESEARCH, "by_model", language, least=GROWTHS[0], most=GROWTHS[-1])
        axes.text(max(c.by_model), i - 0.15, name, ha="right", va="top")
    axes.set_yticks(range(len(found)), [c.measured.id for c in reversed(found)])
    axes.set_ylim(-0.6, len(found) - 0.2)
    axes.set_xlim(0, 1.05)
    axes.xaxis.set_major_formatter(lambda x, _: f"{100 * x:.0f} %")
    axes.set_xlabel(say(RESEARCH, "share_axis", language))
