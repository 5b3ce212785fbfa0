"""Unzipping: ties beyond their breaking load are gone, the rest take over, and again.

All ties above their breaking load in one round break together; the members stay elastic and
nothing moves suddenly, though a real tie that snaps strikes its neighbours with more than this.
That it comes to rest is never a permission: it tells how far a first fault would run.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from formpressure.statics.load import Array, Mask
from formpressure.statics.pull import Settled, TieResponse, let_go, settle

REFACTOR = 200  # ties gone beyond which solving afresh is cheaper than the update


@dataclass(frozen=True, slots=True, eq=False)
class Unzipping:
    """The rounds of an unzipping, first to last.

    `force` (rounds, ties): forces in each round, NaN in the last where nothing balances any more;
    `gone` (rounds, ties): ties not there in that round. `line_gone`: True where it ended because
    what was left could not balance the load; False where it ended with no tie above its breaking
    load.
    """

    force: Array
    gone: Mask
    line_gone: bool

    @property
    def broken(self) -> Mask:
        """Ties that broke in the course of it, (ties,), without those gone at the start."""
        return np.asarray(self.gone[-1] & ~self.gone[0])


def run_unzipping(
    response: TieResponse,
    breaking: ArrayLike,
    gone: Mask,
    afresh: Callable[[Mask], Settled] | None = None,
) -> Unzipping:
    """Take out the ties in `gone` (a mask) and whatever breaks after them, to the end.

    `breaking`: load that breaks a tie, one or (ties,). `afresh`, if given, solves the structure
    anew for a mask of gone ties (`wall.wall_afresh`), which is the quicker way once more than
    REFACTOR are out, or where others go slack.
    """
    limit = np.broadcast_to(breaking, response.value.shape)
    out = gone & response.present
    forces, masks = [], []
    while True:
        found = let_go(response, out) if np.count_nonzero(out) <= REFACTOR else None
        if found is None:
            found = settle(response, out) if afresh is None else afresh(out)
        forces.append(found.force)
        masks.append(out)
        breaks = found.force > limit
        if not found.held or not breaks.any():
            return Unzipping(np.array(forces), np.array(masks), not found.held)
        out = out | breaks
