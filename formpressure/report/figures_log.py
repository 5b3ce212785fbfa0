"""Drawings of a pour log: levels against the clock, and the greatest rise against what is allowed.

They differ by stroke and shape, never by hue alone; the same log gives the same bytes.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from formpressure.progress import Progress
from formpressure.records import Amount
from formpressure.report.drawing import DARK, LIGHT, axis_label, canvas, style, svg_of
from formpressure.report.log_text import clock
from formpressure.report.parts import Block, figure, write
from formpressure.report.words import Shown, say
from formpressure.rise import HOUR
from formpressure.standing import Place, State
from formpressure.units import terms

SHAPES = {State.ON_PLAN: "o", State.HOLD: "s", State.STOP: "X", State.NOT_KNOWN: "$?$"}
STEPS = (15.0, 30.0, 60.0, 120.0, 240.0, 480.0)
MOST_TICKS = 6


def levels(progress: Progress, place: Place, language: str = "en") -> Block:
    """The level of one place: read, planned, and where it may have been between."""
    system, planned = progress.system, _planned(progress, place)
    with style():
        drawn, (axes,) = canvas(ncols=1)
        known = [(place.times[0], place.bottom), *zip(place.times, place.levels, strict=True)]
        for (start, low), (end, high) in pairwise(known):
            axes.fill([start, end, end, start], [low, low, high, high], facecolor=LIGHT,
                      edgecolor="#888888", linewidth=0.5)  # fmt: skip
        if planned is not None:
            axes.plot(*planned, "--", color="black", linewidth=1.4)
        axes.plot(place.times, place.levels, "o", color=DARK, markersize=5)
        axes.axhline(place.top, color="black", linestyle=":", linewidth=1.2)
        _clock_axis(axes, progress, language)
        axes.set_ylim(min(0.0, place.bottom), 1.12 * max(place.top, *place.levels))
        axes.text(0.02, place.top, write("height", place.top, system), va="bottom",
                  transform=axes.get_yaxis_transform())  # fmt: skip
        axes.set_ylabel(axis_label("height_axis", "height", system, language))
        svg = svg_of(drawn)
    alt = say(
        "log", "place_alt", language, place=place.name, count=len(place.times),
        first=write("height", place.levels[0], system), start=clock(place.times[0]),
        last=write("height", place.levels[-1], system), end=clock(place.times[-1]),
        top=write("height", place.top, system),
    )  # fmt: skip
    name = "place_caption"
    if planned is None:
        name = "place_caption_only"
    else:
        level = float(np.interp(place.times[-1], *planned))
        alt += " " + say("log", "place_alt_planned", language, end=clock(place.times[-1]),
                         level=Shown(Amount("height", level, system)))  # fmt: skip
    return figure(svg, alt, say("log", name, language, place=place.name))


def rises(progress: Progress, language: str = "en") -> Block:
    """The greatest rise so far at every line, with what was allowed there and how it stood."""
    system, hour = progress.system, progress.windows[0]
    seen = [(line, found) for line, found in progress.lines if found.hour is not None]
    times = np.array([found.time for _, found in seen])
    most = np.array([found.hour.most for _, found in seen if found.hour is not None])
    allowed = np.array([
        0.0 if found.most is None else found.most.rate * hour / HOUR for _, found in seen
    ])  # fmt: skip
    if progress.verdict.free or progress.verdict.doubtful:
        allowed = np.full(len(allowed), np.nan)
    allowed = np.where(np.isfinite(allowed), allowed, np.nan)  # any rate has no line
    minutes = Amount("duration", hour, system)
    with style():
        drawn, (axes,) = canvas(ncols=1)
        axes.step(times, most, where="post", color=DARK, linewidth=2.0)
        axes.step(times, allowed, where="post", color="black", linestyle="-.", linewidth=1.4)
        for state, shape in SHAPES.items():
            here = np.array([found.state is state for _, found in seen])
            axes.plot(times[here], most[here], linestyle="none", marker=shape, markersize=8,
                      markerfacecolor="white", markeredgecolor="black")  # fmt: skip
        _clock_axis(axes, progress, language)
        top = float(np.nanmax([most.max(), *allowed]))
        axes.set_ylim(0.0, 1.35 * max(top, 0.1))
        legend = [say("state", state, language, until="").strip() for state in SHAPES]
        handles = [axes.plot([], [], linestyle="none", marker=m, markersize=8, color="black",
                             markerfacecolor="white")[0] for m in SHAPES.values()]  # fmt: skip
        axes.legend(handles, [name.removesuffix(" UNTIL") for name in legend], ncols=2,
                    loc="upper left", fontsize=10, frameon=False, handletextpad=0.2)  # fmt: skip
        unit = terms()["height"].unit[system]
        axes.set_ylabel(say("log", "rise_axis", language, unit=unit))
        svg = svg_of(drawn)
    last = progress.now.hour
    assert last is not None
    shown = say("log", "allowed_doubt" if progress.verdict.doubtful else "allowed_any", language)
    if np.isfinite(allowed[-1]):
        shown = f"{Shown(Amount('height', float(allowed[-1]), system)):down}"
    alt = say("log", "rise_alt", language, minutes=minutes, place=last.place, allowed=shown,
              rise=Amount("height", last.most, system))  # fmt: skip
    return figure(svg, alt, say("log", "rise_caption", language, minutes=minutes))


def _planned(progress: Progress, place: Place) -> Any:
    """Times and levels as planned from when the first truck really started; None without trucks."""
    pour = progress.verdict.case.pour
    begun = [truck.started for truck in progress.trucks if truck.planned is not None]
    if pour is None or not begun:
        return None
    index = [p.name for p in progress.places].index(place.name)
    first = min(start for start in begun if start is not None)
    return pour.times[index] + first, pour.levels[index]


def _clock_axis(axes: Any, progress: Progress, language: str) -> None:
    times = [line.time for line, _ in progress.lines]
    first, last = min(times), max(times)
    step = next((s for s in STEPS if (last - first) / s <= MOST_TICKS), STEPS[-1])
    ticks = np.arange(np.ceil(first / step), np.floor(last / step) + 1.0) * step
    axes.set_xticks(ticks, [clock(t) for t in ticks])
    room = max(5.0, 0.03 * (last - first))
    axes.set_xlim(first - room, last + room)
    axes.set_xlabel(say("log", "clock_axis", language))
