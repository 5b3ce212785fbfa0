"""A wall of rails, wales and pull-only ties, solved whole.

Signs as for one rail: loads, deflections and pulls positive outward, outward and in tension.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from formpressure.errors import Refusal
from formpressure.statics.grillage import (
    Wall,
    assembled,
    factor,
    tie_flexibility,
    unknowns,
)
from formpressure.statics.load import Array, LineLoad, Mask, nodal_forces
from formpressure.statics.pull import ROUNDING, Settled, TieResponse, settle
from formpressure.statics.rail import beam_stiffness
from formpressure.statics.section import SectionForces, section_forces

ROUNDS = 60  # of flipping ties together before they are settled one by one
MOST_TIES = 3600  # whose effect on each other is kept: 100 MB


@dataclass(frozen=True, slots=True, eq=False)
class WallResult:
    """A solved wall; the load's cases, if any, are the leading axes of every array.

    `held` (...): False where ties that only pull cannot balance the load; the numbers of that case
    are NaN. `tie_force` (..., lines, ties), 0 for a slack tie; `opening`: slack left before it
    would pull; `base_force` (..., lines), positive pulling inward. `deflection`, `slope` (upwards)
    (..., lines, nodes); `wale_slope` (along the wall) (..., lines, wales).
    """

    wall: Wall
    load: LineLoad
    held: Mask
    tie_force: Array
    opening: Array
    base_force: Array
    deflection: Array
    slope: Array
    wale_slope: Array

    def rail_sections(self) -> SectionForces:
        """Shear and moment along every rail; cases (..., lines)."""
        nodes = self.wall.nodes
        bent = beam_stiffness(np.diff(nodes))
        moved = np.stack([self.deflection, self.slope], axis=-1)
        ends = np.concatenate([moved[..., :-1, :], moved[..., 1:, :]], axis=-1)
        resisted = self.wall.EI[:, None, None] * np.einsum("eab,...eb->...ea", bent, ends)
        pulls = nodal_forces(self.load, nodes)[..., 0] + np.zeros_like(self.deflection)
        pulls[..., :-1] -= resisted[..., 0]
        pulls[..., 1:] -= resisted[..., 2]
        return section_forces(self.load, nodes, pulls)

    def wale_moments(self) -> Array:
        """Moment at both ends of each bay of each wale, (..., lines - 1, wales, 2).

        Positive with the outer face in tension. Between rails a wale is unloaded, so it has no
        greater moment than at these ends. Source: statics, M = -EI w''.
        """
        at = unknowns(self.wall)
        h = np.diff(self.wall.lines)[:, None]
        w, turn = self.deflection[..., np.isin(at.deflection, at.wale)], self.wale_slope
        rise = np.diff(w, axis=-2) / h
        near, far = turn[..., :-1, :], turn[..., 1:, :]
        first, last = 6.0 * rise - 4.0 * near - 2.0 * far, 2.0 * near + 4.0 * far - 6.0 * rise
        return -(self.wall.EI_wales / h)[..., None] * np.stack([first, last], axis=-1)


def solve_wall(wall: Wall, load: LineLoad, gone: Mask | None = None) -> WallResult:
    """Solve a wall; ties in `gone` (lines, ties) are not there.

    `load`: the load on each rail, force per height. One for all rails, or cases of shape (lines,)
    or (..., lines). All cases share one factorisation as long as every tie pulls.
    """
    at = unknowns(wall)
    shape = np.broadcast_shapes(load.cases, wall.lines.shape)
    right = _forces(wall, load, shape)
    there = wall.stiffness > 0.0 if gone is None else (wall.stiffness > 0.0) & ~gone
    moved = _solved(wall, right, there)
    taut = np.broadcast_to(there, (len(right), *there.shape)).copy()
    for case in np.flatnonzero((_rightly_taut(wall, moved, taut, there) != taut).any(axis=(1, 2))):
        moved[case], taut[case] = _settle(wall, right[case], moved[case], there)

    hanging = wall.gap - moved[..., at.tie]
    none = np.where(np.isnan(hanging), np.nan, 0.0)
    force = np.where(taut, np.maximum(-wall.stiffness * hanging, 0.0), none)
    opening = np.where(taut, none, hanging)

    def cases(values: Array) -> Array:
        return values.reshape(*shape, *values.shape[2:])

    return WallResult(
        wall=wall,
        load=load,
        held=np.asarray(np.isfinite(moved).all(axis=(1, 2)).reshape(shape[:-1])),
        tie_force=cases(force),
        opening=cases(opening),
        base_force=cases(wall.base * moved[..., 0]),
        deflection=cases(moved[..., at.deflection]),
        slope=cases(moved[..., at.slope]),
        wale_slope=cases(moved[..., at.wale_slope]),
    )


def wall_response(wall: Wall, load: LineLoad) -> TieResponse:
    """How each tie of a wall under one load answers when another lets go, ties line by line.

    The reference is the wall in balance. What is kept grows with the square of the ties, so a long
    wall is looked at through a window. Raises Refusal.
    """
    if wall.stiffness.size > MOST_TIES:
        raise Refusal(
            f"more than {MOST_TIES} ties at once", "Look at a part of the wall: wall.window(i, j)"
        )
    there = wall.stiffness > 0.0
    shape = np.broadcast_shapes(load.cases, wall.lines.shape)
    if len(shape) > 1:
        raise Refusal("a tie response is for one load case", "Give a load with cases (lines,)")
    right = _forces(wall, load, shape)
    moved, taut = _settle(wall, right[0], _solved(wall, right, there)[0], there)
    if not np.isfinite(moved).all():
        raise Refusal("the ties do not hold the wall", "Give enough ties, or a base")
    return _response(wall, moved, taut)


def settled_wall(wall: Wall, load: LineLoad, gone: Mask) -> Settled:
    """The ties of a wall under one load, solved afresh with `gone` (places,) not there."""
    found = solve_wall(wall, load, gone.reshape(wall.stiffness.shape))
    return Settled(found.tie_force.ravel(), found.opening.ravel(), bool(found.held))


def _forces(wall: Wall, load: LineLoad, shape: tuple[int, ...]) -> Array:
    """Forces at the unknowns, (cases, lines, size)."""
    at, forces = unknowns(wall), nodal_forces(load, wall.nodes)
    right = np.zeros((*shape, at.size))
    right[..., at.deflection], right[..., at.slope] = forces[..., 0], forces[..., 1]
    return right.reshape(-1, *right.shape[-2:])


def _solved(wall: Wall, right: Array, taut: Mask) -> Array:
    """Displacements (cases, lines, size) with the given ties taut; NaN if they do not hold."""
    found = factor(assembled(wall, taut))
    if not found.stands:
        return np.full_like(right, np.nan)
    drawn = right.copy()
    drawn[..., unknowns(wall).tie] += np.where(taut, wall.stiffness * wall.gap, 0.0)
    return found.solve(drawn)


def _rightly_taut(wall: Wall, moved: Array, taut: Mask, there: Mask) -> Mask:
    """Which ties should be taut, judged by this solution."""
    stretched = wall.stiffness * (moved[..., unknowns(wall).tie] - wall.gap)
    noise = ROUNDING * np.where(taut, np.abs(stretched), 0.0).max(axis=(-2, -1), keepdims=True)
    right: Mask = there & ((stretched > noise) | (taut & (stretched >= -noise)))
    return right


def _settle(wall: Wall, right: Array, moved: Array, there: Mask) -> tuple[Array, Mask]:
    """Displacements of one case and which ties are taut, from the solution with all of them taut.

    Ties that are wrong are flipped together, which nearly always ends in a few rounds; where it
    does not, or leaves something unheld on the way, the pivoting of `settle` decides.
    """
    taut, trial = there, moved
    for _ in range(ROUNDS):
        if not np.isfinite(trial).all():
            break
        better = _rightly_taut(wall, trial, taut, there)
        if (better == taut).all():
            return trial, taut
        taut = better
        trial = _solved(wall, right[None], taut)[0]
    if not np.isfinite(moved).all() or wall.stiffness.size > MOST_TIES:
        return np.full_like(moved, np.nan), there
    found = settle(_response(wall, moved, there), ~there.ravel())
    if not found.held:
        return np.full_like(moved, np.nan), there
    taut = there & (found.opening.reshape(there.shape) == 0.0)
    return _solved(wall, right[None], taut)[0], taut


def _response(wall: Wall, moved: Array, taut: Mask) -> TieResponse:
    """The table of `TieResponse` from the flexibility X with these ties taut.

    Push a taut tie's anchor in by one unit: force k goes onto the members inward. Pull a slack tie
    by one unit: force 1, and it stretches by 1/k. Either moves the place of every tie by -X times
    the force; a taut one's pull follows with its k, a slack one's opening grows.
    """
    pulls, spring = taut.ravel(), wall.stiffness.ravel()
    present = spring > 0.0
    unit = float(spring.max())
    stretched = moved[:, unknowns(wall).tie].ravel() - wall.gap.ravel()
    effect = tie_flexibility(wall, taut)
    effect *= (np.where(pulls, spring / unit, 1.0) * present)[:, None]
    effect *= np.where(pulls, -spring, unit) * present
    relative = np.where(present, spring / unit, 1.0)
    effect[np.diag_indices_from(effect)] += np.where(pulls, relative, present / relative)
    value = np.where(pulls, spring, -unit) * stretched * present
    return TieResponse(value, effect, pulls, present, unit, needed=1)
