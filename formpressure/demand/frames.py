"""Ties of one line held by a continuous rail: the third model, and what a missing tie does.

No stiffness of generic ties is published, so results are bounded: ties rigid beside the rail
(a continuous beam on fixed supports) and the rail rigid beside the ties (it stays straight). Real
forms lie between. Ties only pull. Source: statics.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from formpressure.demand.ties import TieRows, tie_loads
from formpressure.envelope import Envelope
from formpressure.statics.hinged import Floats
from formpressure.statics.load import LineLoad
from formpressure.statics.missing import Removals, remove_each, remove_each_hinged
from formpressure.statics.rail import Rail, rail_response, solve_rail
from formpressure.statics.unzip import Unzipping, run_unzipping

LEVELS = 60  # surface levels tried while it rises, besides the rows themselves
TIES_ABOVE = 3  # above the surface that the rail is followed; those higher do nothing
SOFT = 1e-5  # stiffness of a tie over EI / height**3 of its rail: the rail stays straight
BOUNDS = ("rigid ties", "straight rail")


@dataclass(frozen=True, slots=True)
class ContinuousLoads:
    """Largest load of one tie in every row over a rising surface, at both bounds.

    Arrays of shape (bounds, rows): `load`, and `surface`, the level at which it occurs.
    """

    load: Floats
    surface: Floats

    @property
    def largest(self) -> Floats:
        """The larger of both bounds, one a row."""
        larger: Floats = self.load.max(axis=0)
        return larger


MOST_SPANS = 12  # beyond which the factor of a wale no longer changes


def third_model(rows: TieRows, envelope: Envelope, studs: bool, wale_spans: int | None) -> Floats:
    """Load of one tie in every row where studs or wales run on past the ties; 0 where not loaded.

    `wale_spans` is the number of spans of the wales, None for a form without. Where the length of
    the wall is not known two spans are the worst.
    """
    vertical = tie_loads(rows, envelope).load
    if studs:
        vertical = np.maximum(vertical, continuous_loads(rows, envelope).largest)
    factor = 1.0
    if wale_spans is not None:
        factor = wale_factor(min(max(wale_spans, 2), MOST_SPANS))
    loads: Floats = vertical * factor
    return loads


@dataclass(frozen=True, slots=True)
class MissingTies:
    """One line of ties with the form full, each tie gone in turn, by three models.

    `models` names them: hinged, where the beam passes the missing tie and spans double, and the two
    bounds of a continuous rail. `removals` are in the same order; rows as in `heights`.
    """

    heights: Floats
    models: tuple[str, ...]
    removals: tuple[Removals, ...]
    capacity: float

    @property
    def worst(self) -> int:
        """The worst tie to forget: it loses the line in most models, then asks most of another."""
        shares = np.array([r.share(self.capacity) for r in self.removals])
        lost = np.isinf(shares)
        most = np.where(lost, 0.0, shares).max(axis=0)
        lowest_first = -np.arange(len(most))
        return int(np.lexsort((lowest_first, most, lost.sum(axis=0)))[-1])


def rail_of(rows: TieRows, bound: str, count: int | None = None) -> Rail:
    """The rail of one tie line, its EI only matters beside the ties; up to the top of the form, or
    as far as the lowest `count` ties."""
    ties = rows.heights[rows.loaded]
    top = rows.top if count is None or count == len(ties) else ties[count]
    height = rows.top - rows.start
    stiffness = np.inf if bound == "rigid ties" else SOFT / height**3
    return Rail(rows.start, top, ties[:count], EI=1.0, stiffness=stiffness)


def line_load(rows: TieRows, envelope: Envelope, surface: Floats | float) -> LineLoad:
    """Load on the widest tie line with the surface at one level or at many (cases)."""
    level = np.asarray(surface, dtype=float)[..., None]
    corner = np.clip(level - envelope.liquid_depth, rows.start, None)
    bottom, highest = np.full_like(level, rows.start), np.full_like(level, rows.top)
    y = np.concatenate([bottom, corner, level, highest], axis=-1)
    p = rows.width * envelope.pressure(level - y)
    return LineLoad(y, p)


def continuous_loads(rows: TieRows, envelope: Envelope) -> ContinuousLoads:
    """The third model of the verdict: every row while the surface rises, at both bounds.

    With the surface low, all load is below the lowest tie and the rail would swing out at its foot:
    such levels are for the check of the base. A rail that ties do not hold even when it is full,
    such as one with a single row, has an infinite load.
    """
    at = np.flatnonzero(rows.loaded)
    load = np.zeros((len(BOUNDS), len(rows.heights)))
    surface = np.full_like(load, rows.top)
    if len(at) < 2:
        load[:, at] = np.inf
        return ContinuousLoads(load, surface)
    ties = rows.heights[at]
    levels = np.unique(np.append(np.linspace(rows.start, rows.top, LEVELS)[1:], ties))
    below = np.searchsorted(ties, levels)
    for i, bound in enumerate(BOUNDS):
        for count in np.unique(below):
            some = levels[below == count]
            held_by = min(count + TIES_ABOVE, len(ties))
            rail = rail_of(rows, bound, held_by)
            found = solve_rail(rail, line_load(rows, envelope, some))
            lost = np.inf if some[-1] == rows.top else 0.0
            force = np.where(found.held[:, None], found.tie_force, lost)
            for tie in range(held_by):
                level = int(force[:, tie].argmax())
                if force[level, tie] > load[i, at[tie]]:
                    load[i, at[tie]], surface[i, at[tie]] = force[level, tie], some[level]
    return ContinuousLoads(load, surface)


def wale_factor(spans: int) -> float:
    """Largest tie load of a wale that runs on over `spans` equal spans, over that of simple spans.

    Ties rigid, evenly loaded: 1.25 for two spans, 1.10 for three, 1.143 for four (statics).
    """
    places = np.arange(spans + 1, dtype=float)
    even = LineLoad([0.0, float(spans)], [1.0, 1.0])
    found = solve_rail(Rail(0.0, float(spans), places, EI=1.0), even)
    return float(found.tie_force.max())


def missing_ties(rows: TieRows, envelope: Envelope, capacity: float) -> MissingTies:
    """Every tie of a line gone in turn, the form full. Sudden loss can exceed these numbers."""
    full = line_load(rows, envelope, rows.top)
    ties = rows.heights[rows.loaded]
    hinged = remove_each_hinged(full, rows.start, rows.top, ties, jointed=False)
    rails = [remove_each(rail_response(rail_of(rows, b), full)) for b in BOUNDS]
    return MissingTies(ties, ("hinged", *BOUNDS), (hinged, *rails), capacity)


def unzip(rows: TieRows, envelope: Envelope, breaking: float, gone: int, bound: str) -> Unzipping:
    """One tie gone, then whatever passes its breaking load, until it holds or the line is gone.

    That it holds is never a pass.
    """
    full = line_load(rows, envelope, rows.top)
    response = rail_response(rail_of(rows, bound), full)
    mask = np.arange(response.value.size) == gone
    return run_unzipping(response, breaking, mask)
