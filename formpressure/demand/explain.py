"""Tie loads taken apart for a reader: one tie by hand, every row by every model, each tie gone.

Nothing new is computed of the form: these are the loads of `ties` and `frames`, and their parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from formpressure.demand.frames import BOUNDS, continuous_loads, line_load, third_model
from formpressure.demand.ties import TieRows, tie_loads
from formpressure.envelope import Envelope
from formpressure.plan import Plan
from formpressure.statics.hinged import Floats, Pieces
from formpressure.statics.load import force_between, moment_between
from formpressure.statics.missing import Removals
from formpressure.units import at_most, below

MEMBERS = "members"  # studs and wales as the plan names them
MODELS = ("tributary", "hinged", *BOUNDS, MEMBERS)
LEAST_RISE = 1.05  # of its load before, from which a tie counts as one that takes more


@dataclass(frozen=True, slots=True)
class Part:
    """Part of the form between two heights and what of its load one tie takes.

    `force` on `low` to `high`, its middle at `middle`; `pivot` is the other tie of its beam, about
    which it turns, and None where the tie takes it all. `pressure` is the mean.
    """

    low: float
    high: float
    pressure: float
    force: float
    middle: float
    pivot: float | None
    load: float


@dataclass(frozen=True, slots=True)
class ByHand:
    """The most loaded tie, by both models of the verdict, at the surface that is worst for it."""

    height: float
    width: float
    surface: float
    tributary: tuple[Part, ...]
    hinged: tuple[Part, ...]


def by_hand(rows: TieRows, envelope: Envelope) -> ByHand:
    """The tie that the verdict finds most loaded, to be worked again with paper and pencil."""
    loads = tie_loads(rows, envelope)
    row, surface = loads.worst, float(loads.surface[loads.worst])
    tributary = _parts(rows.tributary, rows, envelope, row, surface)
    hinged = _parts(rows.hinged, rows, envelope, row, surface)
    return ByHand(float(rows.heights[row]), rows.width, surface, tributary, hinged)


def _parts(
    pieces: Pieces, rows: TieRows, envelope: Envelope, row: int, surface: float
) -> tuple[Part, ...]:
    """The pieces of one tie's influence line that carry load, lowest first."""
    level = int(np.flatnonzero(pieces.surface[:, 0, 0] == surface)[0])
    load, found = line_load(rows, envelope, surface), []
    for low, high, flat, steep in zip(
        *(a[level, row] for a in (pieces.low, pieces.high, pieces.flat, pieces.steep)), strict=True
    ):
        if not (high > low and low < surface):
            continue
        top = min(float(high), surface)
        force = float(force_between(load, [low], [top])[0])
        middle = float(moment_between(load, [low], [top], about=0.0)[0]) / force
        pivot = None if steep == 0.0 else float(-flat / steep)
        taken = force * float(flat + steep * middle)
        pressure = force / (rows.width * (top - float(low)))
        found.append(Part(float(low), top, pressure, force, middle, pivot, taken))
    return tuple(sorted(found, key=lambda part: part.low))


@dataclass(frozen=True, slots=True)
class ModelLoads:
    """Largest load of one tie in every row while the surface rises, (models, rows).

    0 in rows that are not loaded, infinity where ties that only pull do not hold the line. Of
    MODELS the last, the third model of the verdict (studs that run on, with what wales that run on
    add), is only there where the form names studs or wales.
    """

    heights: Floats
    load: Floats

    @property
    def models(self) -> tuple[str, ...]:
        return MODELS[: len(self.load)]

    @property
    def third(self) -> Floats | None:
        """The third model of the verdict."""
        return self.load[-1] if MEMBERS in self.models else None


def model_loads(rows: TieRows, envelope: Envelope, bare: Plan) -> ModelLoads:
    """Every row by every model; `bare` is the plan in the units of the rule."""
    simple, bounds = tie_loads(rows, envelope), continuous_loads(rows, envelope).load
    third = third_loads(rows, envelope, bare)
    every = [simple.tributary, simple.hinged, *bounds, *([] if third is None else [third])]
    return ModelLoads(rows.heights, np.array(every))


def third_loads(rows: TieRows, envelope: Envelope, bare: Plan) -> Floats | None:
    """The third model of the verdict, one load a row; None for a form without studs and wales."""
    form, length = bare.form, bare.delivery.length
    if not (form.studs or form.wales):
        return None
    spans = None if form.wales is None else 2 if length is None else int(length / rows.width)
    return third_model(rows, envelope, form.studs is not None, spans)


@dataclass(frozen=True, slots=True)
class Gone:
    """One tie gone, and of the ties whose load then rises the most loaded, by the worst model.

    `tie` and `hit` count as in `Removals`; `hit` is None where none rises by LEAST_RISE. `times` is
    load over its load before, NaN where it carried nothing. `lost` names the models by which the
    line is lost, `lost_by_all` whether those are all.
    """

    tie: int
    lost: tuple[str, ...]
    lost_by_all: bool
    model: str = ""
    hit: int | None = None
    load: float = 0.0
    times: float = np.nan


def each_gone(models: Sequence[str], removals: Sequence[Removals], rows: int) -> list[Gone]:
    """For each of `rows` the worst tie to lose in it, worst first: by how many models lose the
    line, then by the load.

    Ties are counted line by line, in each line from the lowest row up; of ties that are equally bad
    by symmetry the first counts.
    """
    found = []
    for row in range(rows):
        every = [_gone(t, models, removals) for t in range(row, removals[0].held.size, rows)]
        worst = every[0]
        for gone in every[1:]:
            alike = len(gone.lost) == len(worst.lost)
            if (alike and not at_most(gone.load, worst.load)) or len(gone.lost) > len(worst.lost):
                worst = gone
        found.append(worst)
    return sorted(found, key=lambda gone: (-len(gone.lost), -gone.load))


def _gone(tie: int, models: Sequence[str], removals: Sequence[Removals]) -> Gone:
    lost = tuple(m for m, r in zip(models, removals, strict=True) if not r.held[tie])
    worst = Gone(tie, lost, len(lost) == len(models))
    for model, removal in zip(models, removals, strict=True):
        after, before = removal.after[tie], removal.before
        if not removal.held[tie]:
            continue
        rises = np.where(below(LEAST_RISE * before, after), after, 0.0)
        if not at_most(rises.max(), worst.load):
            hit = int(np.flatnonzero(at_most(rises.max(), rises))[0])
            times = float(after[hit] / before[hit]) if before[hit] > 0.0 else np.nan
            worst = replace(worst, model=model, hit=hit, load=float(after[hit]), times=times)
    return worst
