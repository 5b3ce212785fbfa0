"""Drawings of the pour by trucks: levels against time, and both sides of the pace.

Lines differ by stroke and label, areas by hatch, never by hue alone. The same verdict gives the
same bytes.
"""

from __future__ import annotations

from math import ceil
from typing import Any

import numpy as np

from formpressure.joints import Pace, no_end, over_temperature
from formpressure.pour import Pour
from formpressure.records import Amount
from formpressure.report.drawing import (
    BLANK,
    CLOSEST,
    DARK,
    LIGHT,
    axis_label,
    canvas,
    spread,
    style,
    svg_of,
)
from formpressure.report.parts import Block, figure, paragraphs, rate_word, write
from formpressure.report.words import say
from formpressure.units import TOLERANCE, up
from formpressure.verdict import Verdict

MOST_LINES = 12  # stations drawn; the worst one and the one that waits longest always
TALL = 5.6  # inches, of two panels one above the other
PANEL = 1.9  # inches, of the axes of one of them
BOTH: Any = {"facecolor": LIGHT, "edgecolor": DARK, "hatch": "..", "linewidth": 0}
AIR = 0.62  # of the axis of temperatures, left for the names of the lines


def levels(verdict: Verdict, language: str = "en") -> Block:
    """Level of every place against time as planned, its fastest stretch and its longest wait."""
    case, trucks, joints = verdict.case, verdict.trucks, verdict.joints
    if case.pour is None or trucks is None or joints is None:
        return paragraphs(say("helps", "no_trucks", language))
    pour, worst, rest = case.pour, trucks.worst, joints.rest
    facts: dict[str, Any] = {
        "run": worst.run, "start": int(worst.start + TOLERANCE),
        "end": ceil(worst.end - TOLERANCE), "count": len(pour.stations),
        "rise": Amount("height", worst.rise, case.rule.system),
        "last": ceil(max(float(t[-1]) for t in pour.times) - TOLERANCE),
    }  # fmt: skip
    alt = say("figure", "levels_alt", language, **facts)
    if rest is not None:
        alt += " " + say("figure", "levels_alt_rest", language, run=rest.run,
                         minutes=ceil(rest.minutes - TOLERANCE))  # fmt: skip
    with style():
        drawn, (axes,) = canvas(ncols=1)
        _draw_levels(axes, verdict, pour, language)
        svg = svg_of(drawn)
    return figure(svg, alt, say("figure", "levels_caption", language, **facts))


def pace(verdict: Verdict, language: str = "en") -> Block:
    """Too fast and too slow over the temperature of the concrete, as rate and as gap of trucks."""
    case = verdict.case
    found = over_temperature(case, verdict.limit)
    if found is None or verdict.trucks is None:
        return paragraphs(say("helps", "no_trucks", language))
    alt = " ".join(_pace_alt(verdict, found, language))
    if not np.any(np.isfinite(found.limit) & (found.limit > 0.0)):
        return paragraphs(alt)
    stated = verdict.plan.concrete.joint_window
    caption = say("figure", "pace_caption", language)
    if stated is None:
        caption += " " + say("figure", "pace_no_joints", language)
    else:
        by = "pace_estimated" if stated.by is None else "pace_measured"
        caption += " " + say("figure", by, language)
    with style():
        drawn, (above, below) = canvas(ncols=1, nrows=2, height=TALL, sharex=True)
        _draw_rates(above, verdict, found, language)
        _draw_gaps(below, verdict, found, language)
        svg = svg_of(drawn)
    return figure(svg, alt, caption)


def _draw_levels(axes: Any, verdict: Verdict, pour: Pour, language: str) -> None:
    assert verdict.trucks is not None
    assert verdict.joints is not None
    worst, rest, system = verdict.trucks.worst, verdict.joints.rest, verdict.case.rule.system
    risen = [
        float(np.interp(worst.end, t, y) - np.interp(worst.start, t, y)) * (s.run == worst.run)
        for s, t, y in zip(pour.stations, pour.times, pour.levels, strict=True)
    ]
    fastest = int(np.argmax(risen))
    count = len(pour.stations)
    shown = {int(i) for i in np.linspace(0, count - 1, min(count, MOST_LINES))} - {fastest}
    last = max(float(t[-1]) for t in pour.times)
    axes.axvspan(worst.start, worst.end, facecolor=LIGHT, edgecolor="none")
    for i in sorted(shown):
        axes.plot(pour.times[i], pour.levels[i], "-", color="#7a7a7a", linewidth=0.9)
    axes.plot(pour.times[fastest], pour.levels[fastest], "-", color=DARK, linewidth=2.4)
    low = float(pour.levels[fastest].min())
    top = max(float(y[-1]) for y in pour.levels)
    if rest is not None:
        axes.plot([rest.start, rest.end], [rest.level] * 2, ":", color="black", linewidth=3.4)
        label = say("figure", "waits", language, minutes=ceil(rest.minutes - TOLERANCE))
        axes.text((rest.start + rest.end) / 2.0, rest.level + 0.02 * (top - low), label,
                  ha="center", va="bottom", bbox=BLANK)  # fmt: skip
    rises = say("figure", "rises", language, run=worst.run,
                rise=Amount("height", worst.rise, system))  # fmt: skip
    axes.text((worst.start + worst.end) / 2.0, top + 0.07 * (top - low), rises, ha="center",
              va="bottom", color=DARK, fontweight="bold", clip_on=False)  # fmt: skip
    axes.set_xlim(0, last)
    axes.set_ylim(low, top + 0.2 * (top - low))
    axes.set_xlabel(say("figure", "minutes_axis", language))
    axes.set_ylabel(axis_label("height_axis", "height", system, language))
    axes.xaxis.get_major_locator().set_params(nbins=5, integer=True)
    axes.yaxis.get_major_locator().set_params(nbins=5, integer=True)


def _draw_rates(axes: Any, verdict: Verdict, found: Pace, language: str) -> None:
    case, system = verdict.case, verdict.case.rule.system
    limit = np.where(np.isfinite(found.limit) & (found.limit > 0.0), found.limit, np.nan)
    top = 1.25 * max(float(np.nanmax(limit)), case.rate or 0.0)
    axes.fill_between(found.temperatures, found.slowest, np.fmax(limit, found.slowest),
                      where=found.both, **BOTH)  # fmt: skip
    _two_lines(axes, found, (limit, found.slowest), ("rate_most", "rate_least"), top, language)
    axes.set_ylim(0, top)
    axes.set_ylabel(axis_label("any_hour_axis", "rate", system, language))
    planned = case.bare.concrete.temperature
    if case.rate is not None:
        _mark(axes, planned, case.rate, write("rate", up(case.rate, 0.01), system), top)


def _draw_gaps(axes: Any, verdict: Verdict, found: Pace, language: str) -> None:
    case, system = verdict.case, verdict.case.rule.system
    filling, stated = case.filling, verdict.case.bare.concrete.joint_window
    assert filling is not None
    seen = found.most[~np.isnan(found.most)]
    tallest = [float(np.nanmax(found.least, initial=0.0)), filling.gap, *seen[:1]]
    top = 1.15 * min(max(tallest), 3.0 * max(*tallest[:2], 20.0))
    axes.fill_between(found.temperatures, found.least, np.minimum(found.most, top),
                      where=found.both, **BOTH)  # fmt: skip
    most = np.where(found.most <= top, found.most, np.nan)
    _two_lines(axes, found, (found.least, most), ("gap_least", "gap_most"), top, language)
    axes.set_ylim(0, top)
    axes.set_ylabel(say("figure", "gap_axis", language))
    axes.set_xlabel(axis_label("temperature_axis", "temperature", system, language), x=0.31)
    axes.set_xticks([t for t in found.temperatures if t % (20.0 if system == "US" else 10.0) == 0])
    if filling.at_once == 1:
        label = say("figure", "minutes", language, minutes=f"{filling.gap:g}")
        _mark(axes, case.bare.concrete.temperature, filling.gap, label, top)
    if stated is not None and stated.by is not None:
        at = float(np.interp(stated.temperature, found.temperatures, found.most))
        if at <= top:
            axes.plot([stated.temperature], [at], "D", color="white", markeredgecolor="black",
                      markersize=8)  # fmt: skip


def _two_lines(
    axes: Any, found: Pace, lines: tuple[Any, Any], names: tuple[str, str], top: float,
    language: str,
) -> None:  # fmt: skip
    """Pressure as a full line, joints as a broken one, each named at its warm end."""
    warm = found.temperatures
    strokes: tuple[Any, Any] = ("-", "--")
    ends, told = [], []
    for line, stroke, name in zip(lines, strokes, names, strict=True):
        drawn = np.flatnonzero(~np.isnan(line) & (line <= top))
        if not len(drawn):
            continue
        axes.plot(warm, line, stroke, color=DARK if stroke == "-" else "black", linewidth=2.2)
        ends.append(float(line[drawn[-1]]))
        told.append(say("figure", name, language))
    axes.set_xlim(warm[0], warm[-1] + AIR * (warm[-1] - warm[0]))
    for text, level in zip(told, spread(ends, 2.0 * top * CLOSEST / PANEL), strict=True):
        axes.text(warm[-1] + 0.02 * (warm[-1] - warm[0]), level, text, va="center",
                  linespacing=0.95)  # fmt: skip
    axes.yaxis.get_major_locator().set_params(nbins=5, integer=True)


def _mark(axes: Any, planned: float | None, level: float, label: str, top: float) -> None:
    """The plan as a dot with its number."""
    if planned is None or level > top:
        return
    axes.plot([planned], [level], "o", color="black", markersize=8)
    axes.annotate(label, (planned, level), (8, 6), textcoords="offset points", bbox=BLANK)


def _pace_alt(verdict: Verdict, found: Pace, language: str) -> list[str]:
    """Both ends of the chart, the plan, and where both sides hold."""
    case, system = verdict.case, verdict.case.rule.system
    temperatures = [write("temperature", t, system) for t in found.temperatures]
    lines = [
        say("figure", "pace_alt", language, coldest=temperatures[0], warmest=temperatures[-1],
            low=rate_word(float(found.limit[0]), system, language),
            high=rate_word(float(found.limit[-1]), system, language))
    ]  # fmt: skip
    planned = case.bare.concrete.temperature
    if case.rate is not None and planned is not None:
        facts = {
            "rate": Amount("rate", case.rate, system),
            "temperature": Amount("temperature", planned, system),
        }
        lines.append(say("figure", "rates_alt_plan", language, **facts))
    if verdict.plan.concrete.joint_window is None:
        return lines
    both = np.flatnonzero(found.both)
    if not len(both):
        return [*lines, say("figure", "pace_alt_none", language)]
    ends = [
        (temperatures[i], f"{found.least[i]:g}",
         say("figure", "no_end" if no_end(found.most[i]) else "minutes", language,
             minutes=f"{found.most[i]:g}"))
        for i in (both[0], both[-1])
    ]  # fmt: skip
    (cold, low, high), (warm, least, most) = ends
    name = "pace_alt_both" if len(both) == both[-1] - both[0] + 1 else "pace_alt_parts"
    return [*lines, say("figure", name, language, cold=cold, low=low, high=high, warm=warm,
                        least=least, most=most)]  # fmt: skip
