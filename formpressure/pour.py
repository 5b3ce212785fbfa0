"""Level of the concrete against time while trucks fill a wall, exact, in bare numbers.

The wall is cut into stations: the length that one discharge point is spread over. Passes raise one
station after another, and a pass ends at its mark, so the level of a station is a broken line over
the volume placed. Volume over time is a broken line as well, since concrete flows evenly while a
truck discharges and not at all between. One put into the other is the answer; there is no time
grid. All of it is our own statics of volume (OWN). Lengths, areas and volumes are of one system
(ft, m), times are minutes.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from formpressure.rise import HOUR, worst_window
from formpressure.units import TOLERANCE, whole_up

Floats = NDArray[np.floating[Any]]
HALF_HOUR = 30.0  # minutes; our own: what went in within half an hour is still liquid
LAYERS, RUN_BY_RUN = "round in layers", "run by run"
MOST_PASSES = 4000  # over that the plan is not one of a wall
MOST_TRUCKS = 500


class Opening(NamedTuple):
    """A part of a run without concrete: from sill to head, `width` along the wall."""

    sill: float
    head: float
    width: float


class Run(NamedTuple):
    """One straight piece of wall between two levels."""

    name: str
    length: float
    thickness: float
    bottom: float
    top: float
    openings: tuple[Opening, ...] = ()

    @property
    def volume(self) -> float:
        """All the concrete it takes; each opening counts once."""
        holes = sum(o.width * self.overlap(o) for o in self.openings)
        return (self.length * (self.top - self.bottom) - holes) * self.thickness

    def overlap(self, o: Opening) -> float:
        """Height of an opening that lies in this run."""
        return max(0.0, min(o.head, self.top) - max(o.sill, self.bottom))


class Load(NamedTuple):
    """One truck: when it starts, how long it discharges, how much it brings."""

    start: float
    minutes: float
    volume: float


@dataclass(frozen=True, slots=True)
class Station:
    """A length of wall that fills level, with its plan area between any two edges."""

    run: str
    edges: tuple[float, ...]  # levels, from the bottom to the top
    areas: tuple[float, ...]  # plan area between one edge and the next

    @property
    def volumes(self) -> Floats:
        """Concrete below each edge."""
        parts = np.diff(self.edges) * np.asarray(self.areas)
        return np.concatenate([[0.0], np.cumsum(parts)])


class Pass(NamedTuple):
    """Fill one station up to a mark; nothing where it stands there already."""

    station: int
    mark: float


class Rest(NamedTuple):
    """The time for which one surface lies bare until fresh concrete comes on it."""

    run: str
    start: float
    end: float
    level: float

    @property
    def minutes(self) -> float:
        return self.end - self.start


class Spell(NamedTuple):
    """The stretch of time in which one station rises most."""

    run: str
    start: float
    end: float
    rise: float

    @property
    def rate(self) -> float:
        """Rise for each hour."""
        return self.rise * HOUR / (self.end - self.start)


@dataclass(frozen=True, slots=True)
class Pour:
    """Level against time of every station: a broken line through (times, levels).

    `over` is concrete that found every station full: it is told, never lost.
    """

    stations: tuple[Station, ...]
    times: tuple[Floats, ...]
    levels: tuple[Floats, ...]
    placed: float
    over: float

    def fastest(self, window: float = HOUR) -> Spell:
        """The stretch that makes the rate of placement: any `window` of any station, over the
        whole filling of that station where it is shorter."""
        return max(self._spells(window), key=lambda spell: spell.rate)

    def freshest(self, window: float = HALF_HOUR) -> Spell:
        """The greatest rise of any station within `window`."""
        return max(self._spells(window), key=lambda spell: spell.rise)

    def _spells(self, window: float) -> Iterable[Spell]:
        for station, times, levels in zip(self.stations, self.times, self.levels, strict=True):
            moving = _moving(levels)
            if len(moving):
                first, last = times[moving[0]], times[moving[-1] + 1]
                length = float(min(window, last - first))
                rise, start = worst_window(times, levels, length)
                yield Spell(station.run, start, start + length, rise)
            else:
                yield Spell(station.run, 0.0, window, 0.0)

    def longest_rest(self) -> Rest | None:
        """The longest wait of any station's surface for more; None where all rise in one go."""
        rests = []
        for station, times, levels in zip(self.stations, self.times, self.levels, strict=True):
            moving = _moving(levels)
            if len(moving) > 1:
                starts, ends = times[moving[:-1] + 1], times[moving[1:]]
                k = int(np.argmax(ends - starts))
                level = float(levels[moving[k] + 1])
                rests.append(Rest(station.run, float(starts[k]), float(ends[k]), level))
        found = max(rests, key=lambda rest: rest.minutes, default=None)
        return None if found is None or found.minutes <= 0.0 else found

    def held(self) -> float:
        """Concrete that the stations hold in the end."""
        return float(sum(
            np.interp(levels[-1], s.edges, s.volumes)
            for s, levels in zip(self.stations, self.levels, strict=True)
        ))  # fmt: skip


def _moving(levels: Floats) -> NDArray[np.intp]:
    """Where a level rises. A rise within the tolerance is rounding: it starts no filling, which
    would make it longer and its rate lower than it is, and it ends no wait."""
    return np.flatnonzero(np.diff(levels) > TOLERANCE * (levels[-1] - levels[0]))


def stations_of(run: Run, spread: float) -> list[Station]:
    """A run cut into equal stations no longer than `spread`.

    Where an opening stands along the run is not known, so every station is taken to have it.
    Raises ValueError where that leaves a station no area.
    """
    count = max(1, whole_up(run.length / spread))
    length = run.length / count
    levels = {run.bottom, run.top}
    levels |= {y for o in run.openings for y in o[:2] if run.bottom < y < run.top}
    edges = sorted(levels)
    areas = []
    for low, high in pairwise(edges):
        middle = (low + high) / 2.0
        holes = sum(o.width for o in run.openings if o.sill < middle < o.head)
        areas.append((length - holes) * run.thickness)
    if min(areas) <= 0.0:
        raise ValueError("an opening leaves no wall to spread concrete over")
    return [Station(run.name, tuple(edges), tuple(areas))] * count


def marks(bottom: float, top: float, layer: float) -> list[float]:
    """Where the passes end: every `layer` from the bottom, the last one at the top."""
    count = max(1, whole_up((top - bottom) / layer))
    return [bottom + layer * k for k in range(1, count)] + [top]


def passes_of(
    stations: Sequence[Station], layers: dict[str, float], sequence: str, order: Sequence[str] = ()
) -> list[Pass]:
    """The passes in the order in which they are made; `order` names the run of each in turn."""
    runs: dict[str, list[int]] = {}
    for index, station in enumerate(stations):
        runs.setdefault(station.run, []).append(index)
    plan = {
        run: marks(stations[at[0]].edges[0], stations[at[0]].edges[-1], layers[run])
        for run, at in runs.items()
    }
    if order:
        done = dict.fromkeys(runs, 0)
        turns = []
        for run in order:
            turns.append((run, min(done[run], len(plan[run]) - 1)))
            done[run] += 1
    elif sequence == RUN_BY_RUN:
        turns = [(run, k) for run in runs for k in range(len(plan[run]))]
    else:
        most = max(len(levels) for levels in plan.values())
        turns = [(run, k) for k in range(most) for run in runs if k < len(plan[run])]
    return [Pass(index, plan[run][k]) for run, k in turns for index in runs[run]]


def fill(stations: Sequence[Station], passes: Sequence[Pass], loads: Sequence[Load]) -> Pour:
    """Let the loads fill the stations, pass after pass."""
    grid = np.unique([t for load in loads for t in (load.start, load.start + load.minutes)])
    placed = sum(
        np.interp(grid, [q.start, q.start + q.minutes], [0.0, q.volume]) for q in loads
    )  # fmt: skip
    volume, curves = _levels_by_volume(tuple(stations), tuple(passes))
    times, levels = [], []
    for at, heights in curves:
        inside = (at > placed[0]) & (at < placed[-1])
        moments = np.union1d(grid, np.interp(at[inside], placed, grid))
        times.append(moments)
        found = np.interp(np.interp(moments, grid, placed), at, heights)
        levels.append(np.maximum.accumulate(found))  # rounding must not let a level fall
    total = float(placed[-1])
    return Pour(tuple(stations), tuple(times), tuple(levels), total, max(0.0, total - volume))


@functools.lru_cache(maxsize=16)  # the same for every gap that is asked
def _levels_by_volume(
    stations: tuple[Station, ...], passes: tuple[Pass, ...]
) -> tuple[float, list[tuple[Floats, Floats]]]:
    """All the passes hold, and for each station the broken line of its level over that volume."""
    below = [station.volumes for station in stations]
    points = [([0.0], [station.edges[0]]) for station in stations]
    total = 0.0
    for index, mark in passes:
        edges, (at, heights) = stations[index].edges, points[index]
        level = heights[-1]
        if mark <= level:
            continue
        start = float(np.interp(level, edges, below[index]))
        if total > at[-1]:
            at.append(total)
            heights.append(level)
        for y in [*(e for e in edges if level < e < mark), mark]:
            at.append(total + float(np.interp(y, edges, below[index])) - start)
            heights.append(y)
        total = at[-1]
    return total, [(np.asarray(at), np.asarray(heights)) for at, heights in points]


@dataclass(frozen=True, slots=True)
class Filling:
    """How a plan fills its wall; `pour()` lets it happen, changed fields ask what if.

    `truck` is the volume of one load, `gap` the minutes from the start of one to the start of the
    next, `discharge` the minutes one takes to empty. `at_once` trucks start together. A blank
    `layer` is the rise of one truck over its spread.
    """

    runs: tuple[Run, ...]
    truck: float
    gap: float
    discharge: float
    spread: float
    layer: float | None = None
    sequence: str = LAYERS
    order: tuple[str, ...] = ()
    at_once: int = 1
    rate_window: float = HOUR
    liquid_window: float = HALF_HOUR

    @property
    def volume(self) -> float:
        """All the concrete of the wall, each opening counted once."""
        return sum(run.volume for run in self.runs)

    def stations(self) -> list[Station]:
        return [station for run in self.runs for station in stations_of(run, self.spread)]

    def load_rise(self, run: Run) -> float:
        """Rise of one truck over its spread of a run without openings."""
        return self.truck / (min(self.spread, run.length) * run.thickness)

    def starts(self, count: int) -> list[float]:
        """When each truck starts to discharge, if all come as planned."""
        return [self.gap * (k // self.at_once) for k in range(count)]

    def count(self) -> int:
        """Trucks it takes to fill the stations."""
        return len(self._volumes(self.stations()))

    def pour(self, starts: Sequence[float] | None = None) -> Pour:
        """The whole filling; what the last truck has over stays in it."""
        stations = self.stations()
        layers = {run.name: self.layer or self.load_rise(run) for run in self.runs}
        passes = passes_of(stations, layers, self.sequence, self.order)
        volumes = self._volumes(stations)
        begin = self.starts(len(volumes)) if starts is None else starts
        loads = [
            Load(start, self.discharge * volume / self.truck, volume)
            for start, volume in zip(begin, volumes, strict=True)
        ]
        return fill(stations, passes, loads)

    def _volumes(self, stations: Sequence[Station]) -> list[float]:
        """What each truck discharges: all it has, the last one what is left to fill."""
        total = float(sum(station.volumes[-1] for station in stations))
        count = max(1, whole_up(total / self.truck))
        return [*([self.truck] * (count - 1)), total - self.truck * (count - 1)]
