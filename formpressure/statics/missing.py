"""What the other ties take when one is gone, for every tie in turn.

For members that run on past the ties everything follows from one table of how the ties answer each
other (`pull.TieResponse`, from `rail_response` or `wall_response`). With tie t let go until its own
force F_t is gone, tie s carries

    F'_s = F_s - effect[t, s] F_t / effect[t, t],

which in terms of the flexibility X of the whole structure at the ties and their springs k is
F_s + k_s X_st F_t / (1 - k_t X_tt). Source: statics; the rank-one update of Sherman and Morrison,
Adjustment of an inverse matrix corresponding to a change in one element of a given matrix, Annals
of Mathematical Statistics 21 (1950) 124-127. Several at once: `pull.settle` with all of them gone.

Finding that the rest holds is never a permission to leave a tie out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from formpressure.errors import Refusal
from formpressure.statics.load import Array, LineLoad, Mask, force_between, moment_between
from formpressure.statics.pull import LET_GO, ROUNDING, TieResponse, settle


@dataclass(frozen=True, slots=True, eq=False)
class Removals:
    """Tie forces with every single tie gone in turn.

    `before` (ties,): forces with all of them; `after` (ties, ties): row t with tie t gone. `held`
    (ties,): False where what is left without the tie cannot balance the load, a mechanism: the
    line is lost and its row is NaN.
    """

    before: Array
    after: Array
    held: Mask

    def growth(self) -> Array:
        """Force after over force before, (ties, ties); NaN for ties that carried nothing."""
        return self.after / np.where(self.before > 0.0, self.before, np.nan)

    def share(self, capacity: ArrayLike) -> Array:
        """For each tie gone, the greatest force over `capacity` (ties,) in any other; inf if lost.

        Where `capacity` is what breaks a tie, 1 or more means that another tie breaks.
        """
        greatest = (self.after / np.asarray(capacity)).max(axis=1)
        return np.where(self.held, greatest, np.inf)

    def worst(self, capacity: ArrayLike) -> int:
        """The worst tie to forget: the first of those with the greatest `share`."""
        return int(np.argmax(self.share(capacity)))


def remove_each(response: TieResponse) -> Removals:
    """Every single tie gone in turn, from one factorisation.

    Where a removal makes another tie let go as well, or pull for the first time, that case is
    settled by itself.
    """
    value, effect = response.value, response.effect
    own = np.diagonal(effect)
    frees = response.present & response.taut
    holds = (own > LET_GO) & (np.count_nonzero(frees) > response.needed)
    after = effect * np.where(frees & holds, -value / np.where(holds, own, 1.0), 0.0)[:, None]
    after += value
    np.fill_diagonal(after, 0.0)
    noise = ROUNDING * float(np.abs(value).max(initial=0.0))
    alone = (after.min(axis=1) < -noise) | (frees & ~holds)
    after[:, ~frees] = 0.0
    np.maximum(after, 0.0, out=after)

    held = np.ones(value.size, bool)
    for tie in np.flatnonzero(alone):
        found = settle(response, np.arange(value.size) == tie)
        after[tie], held[tie] = found.force, found.held
    return Removals(settle(response).force, after, held)


def simple_spans(load: LineLoad, bottom: float, top: float, heights: ArrayLike) -> Array:
    """Forces of ties with a hinge in the member at every tie, (..., ties): simple beams.

    The lowest and the highest beam overhang to `bottom` and `top`. A force below zero would have to
    push. Two ties or more. Raises Refusal. Source: statics, moments about the ends of each beam.
    """
    ties = np.asarray(heights, float)
    if ties.size < 2:
        raise Refusal("a chain of beams needs two ties", "Give two heights or more")
    low, high = ties[:-1].copy(), ties[1:].copy()
    low[0], high[-1] = bottom, top
    force = force_between(load, low, high)
    upper = moment_between(load, low, high, about=ties[:-1]) / np.diff(ties)
    pulls = np.zeros((*load.cases, ties.size))
    pulls[..., :-1] = force - upper
    pulls[..., 1:] += upper
    return pulls


def remove_each_hinged(
    load: LineLoad, bottom: float, top: float, heights: ArrayLike, jointed: ArrayLike = True
) -> Removals:
    """Every single tie gone in turn from a chain of simple beams, one load case.

    `jointed` (ties,): True where two beams meet at the tie. Gone there, the hinge hangs free: a
    mechanism, and the line is lost. False where one beam passes the tie, so that it spans double.
    An end beam turns about the next tie, so without an end tie the line is always lost; so it is
    where a tie would have to push.
    """
    ties = np.asarray(heights)
    lost = np.broadcast_to(np.asarray(jointed, bool), ties.shape).copy()
    lost[[0, -1]] = True
    before = simple_spans(load, bottom, top, ties)
    after = np.full((ties.size, ties.size), np.nan)
    for tie in np.flatnonzero(~lost):
        others = np.arange(ties.size) != tie
        found = simple_spans(load, bottom, top, ties[others])
        lost[tie] = bool((found < -ROUNDING * np.abs(found).max()).any())
        if not lost[tie]:
            after[tie, tie], after[tie, others] = 0.0, found
    return Removals(before, after, ~lost)
