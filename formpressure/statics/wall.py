"""A wall of rails, wales and pull-only ties, solved whole.

Signs as for one rail: loads, deflections and pulls positive outward, outward and in tension.
"""

from __future__ import annotations

from collections.abc import Callable
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

ROUNDS = 60  # of solving for the ties stretched before they are settled one by one
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
        moved[case], taut[case] = _settle(wall, right[case], there, moved[case])

    force, opening = _ties(wall, moved, taut)

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
    moved, taut = _settle(wall, right[0], there, _solved(wall, right, there)[0])
    if not np.isfinite(moved).all():
        raise Refusal("the ties do not hold the wall", "Give enough ties, or a base")
    return _response(wall, moved, taut)


def wall_afresh(wall: Wall, load: LineLoad) -> Callable[[Mask], Settled]:
    """A function that solves a wall under one load for ever more ties gone, a mask (places,).

    Each call starts from the state that the one before it left.
    """
    right = _forces(wall, load, wall.lines.shape)
    state: tuple[Array, Mask] | None = None

    def solve(gone: Mask) -> Settled:
        nonlocal state
        there = (wall.stiffness > 0.0) & ~gone.reshape(wall.stiffness.shape)
        found = _newton(wall, right[0], there, *state) if state else None
        if found is not None and found.done:
            state = found.moved, found.taut
        else:
            state = _settle(wall, right[0], there, _solved(wall, right, there)[0])
        force, opening = _ties(wall, *state)
        return Settled(force.ravel(), opening.ravel(), bool(np.isfinite(force).all()))

    return solve


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


def _pull(wall: Wall, moved: Array) -> Array:
    """What each tie would pull if it were a spring both ways, (..., lines, ties)."""
    return np.asarray(wall.stiffness * (moved[..., unknowns(wall).tie] - wall.gap), float)


def _ties(wall: Wall, moved: Array, taut: Mask) -> tuple[Array, Array]:
    """Force and opening of every tie."""
    hanging = wall.gap - moved[..., unknowns(wall).tie]
    none = np.where(np.isnan(hanging), np.nan, 0.0)
    force = np.where(taut, np.maximum(_pull(wall, moved), 0.0), none)
    return force, np.where(taut, none, hanging)


def _rightly_taut(wall: Wall, moved: Array, taut: Mask, there: Mask) -> Mask:
    """Which ties should be taut, judged by the solution with these taut."""
    pull = _pull(wall, moved)
    noise = ROUNDING * np.where(taut, np.abs(pull), 0.0).max(axis=(-2, -1), keepdims=True)
    right: Mask = there & ((pull > noise) | (taut & (pull >= -noise)))
    return right


def _settle(wall: Wall, right: Array, there: Mask, moved: Array) -> tuple[Array, Mask]:
    """Displacements of one case and which ties are taut, of those that are `there`.

    `moved` is the solution with all of them as springs both ways. Where going from there leaves
    what does not hold the wall, the pivoting of `settle` decides.
    """
    found = _newton(wall, right, there, moved, there)
    if found.done or not np.isfinite(found.moved).all() or wall.stiffness.size > MOST_TIES:
        return found.moved if found.done else np.full_like(moved, np.nan), found.taut
    settled = settle(_response(wall, found.moved, found.taut), ~there.ravel())
    if not settled.held:
        return np.full_like(moved, np.nan), there
    taut = there & (settled.opening.reshape(there.shape) == 0.0)
    return _solved(wall, right[None], taut)[0], taut


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """The last solution come to, with the ties `taut` as springs; `done` if none is wrongly so."""

    done: bool
    moved: Array
    taut: Mask


def _newton(wall: Wall, right: Array, there: Mask, moved: Array, taut: Mask) -> _Found:
    """From the solution `moved`, with the ties `taut` as springs both ways, to pull-only ones.

    The energy of members and pull-only springs is convex, and quadratic while no tie changes. So:
    solve with the ties that are stretched now, go towards that solution as far as the energy
    falls, and again, until the ties stretched are those that were solved with. This is Newton's
    method with a line search. `uneven` is the gradient of the energy: pulls less loads.
    """
    at, uneven, last = unknowns(wall).tie, np.zeros_like(moved), _Found(False, moved, taut)
    for _ in range(ROUNDS if np.isfinite(moved).all() else 0):
        pull = _pull(wall, moved)
        stretched = there & (pull > 0.0)
        uneven[:, at] += pull * (stretched * 1.0 - taut)
        taut, target = stretched, _solved(wall, right[None], stretched)[0]
        if not np.isfinite(target).all():
            break
        done = bool((_rightly_taut(wall, target, taut, there) == taut).all())
        last = _Found(done, target, taut)
        if done:
            break
        ahead = target - moved
        fall = -float((uneven * ahead).sum())
        step = _step(pull, _pull(wall, target) - pull, wall.stiffness * there, taut, fall)
        moved, uneven = moved + step * ahead, (1.0 - step) * uneven
    return last


def _step(pull: Array, ahead: Array, stiffness: Array, taut: Mask, fall: float) -> float:
    """How far to go for the least energy, 1 being where it would be if no tie changed.

    `pull` and its change `ahead` for a step of 1; `fall`, the slope of the energy at the start. A
    taut tie that comes to push, or a slack one that is stretched, changes the slope.
    """
    way = np.where(taut, -1.0, 1.0)
    flexible = np.where(stiffness > 0.0, 1.0 / np.where(stiffness > 0.0, stiffness, 1.0), 0.0)

    def slope(t: float) -> float:
        changed = np.maximum(way * (pull + t * ahead), 0.0)
        return (t - 1.0) * fall + float((ahead * flexible * changed).sum())

    low, high = 0.0, 1.0
    while slope(high) < 0.0 and high < 1e6:
        low, high = high, 2.0 * high
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if slope(middle) < 0.0 else (low, middle)
    return high


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
