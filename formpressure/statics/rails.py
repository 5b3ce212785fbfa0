"""Many rails at once: the model of `rail`, each rail with its own heights, stiffness and load.

All rails go through one banded elimination together, lying along the last axis of every array. The
few whose ties go slack in a less simple way are passed to `rail` one by one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from formpressure.errors import Refusal
from formpressure.statics.load import Array, LineLoad, Mask, Places, nodal_forces
from formpressure.statics.pull import ROUNDING
from formpressure.statics.rail import CLOSEST, Rail, beam_stiffness, solve_rail

REACH = 3  # a degree of freedom meets others this far from it at most
ROUNDS = 6  # of flipping ties together before a rail is passed on


@dataclass(frozen=True, slots=True, eq=False)
class RailsResult:
    """Solved rails; signs and meanings as for one rail.

    `held` (rails,): False where ties that only pull cannot balance the load; the numbers of that
    rail are NaN. `tie_force` (rails, ties), `base_force` (rails,). `nodes`, `deflection`,
    `rotation` (rails, ties + 2): bottom, ties, top.
    """

    held: Mask
    tie_force: Array
    base_force: Array
    nodes: Array
    deflection: Array
    rotation: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Rails:
    """Rails in units of their own, mean distance of the nodes 1 and EI 1, along the last axis.

    At the first node a support pulls and pushes; at the others it pulls only.
    """

    bays: Array  # (nodes - 1, rails)
    stiffness: Array  # (nodes, rails) of the support there, 0 for none
    gap: Array  # (nodes, rails)
    load: Array  # (nodes, 2, rails)

    def take(self, rails: Places) -> _Rails:
        return _Rails(
            self.bays[:, rails], self.stiffness[:, rails], self.gap[:, rails], self.load[..., rails]
        )


def solve_rails(
    bottom: ArrayLike,
    top: ArrayLike,
    heights: ArrayLike,
    EI: ArrayLike,
    stiffness: ArrayLike,
    load: LineLoad,
    gap: ArrayLike = 0.0,
    base: ArrayLike = 0.0,
) -> RailsResult:
    """Solve rails that differ in anything but their number of ties.

    `heights`, `stiffness`, `gap`: (rails, ties) or what broadcasts to it; `bottom`, `top`, `EI`,
    `base`: (rails,) likewise. `load`: one case, or one for each rail. Meanings as in `Rail`, except
    that no tie may be at an end. Raises Refusal.
    """
    whole = [np.atleast_1d(np.asarray(v, float))[:, None] for v in (bottom, top, EI, base)]
    ties = [np.atleast_1d(np.asarray(v, float)) for v in (heights, stiffness, gap)]
    shape = np.broadcast_shapes((*load.cases, 1), *(v.shape for v in whole + ties))
    low, high, bending, hinge = (np.broadcast_to(v, (shape[0], 1)) for v in whole)
    middle, springs, gaps = (np.broadcast_to(v, shape) for v in ties)
    nothing = np.zeros((shape[0], 1))

    nodes = np.concatenate([low, middle, high], axis=1)
    supports = np.concatenate([hinge, springs, nothing], axis=1)
    loose = np.concatenate([nothing, gaps, nothing], axis=1)
    _refuse(nodes, bending, springs, hinge, loose)

    length = (high - low)[:, 0] / (nodes.shape[1] - 1)
    unit = bending[:, 0] / length**3
    forces = np.moveaxis(nodal_forces(load, nodes), 0, -1) / np.stack([length**0, length])
    scaled = (np.diff(nodes).T / length, supports.T / unit, loose.T * unit, forces)
    moved, pull, settled = _settle(_Rails(*(np.ascontiguousarray(v) for v in scaled)))
    held = settled.copy()
    deflection, rotation = moved[:, 0] / unit, moved[:, 1] / (unit * length)
    for i in np.flatnonzero(~settled):
        ends, EI_i, base_i = (nodes[i, 0], nodes[i, -1]), bending[i, 0], hinge[i, 0]
        rail = Rail(ends[0], ends[1], middle[i], EI_i, springs[i], gaps[i], base_i)
        one = solve_rail(rail, LineLoad(load.y[i], load.p[i]) if load.cases else load)
        held[i], pull[0, i], pull[1:-1, i] = one.held, one.base_force, one.tie_force
        deflection[:, i], rotation[:, i] = one.deflection, one.rotation
    return RailsResult(held, pull[1:-1].T, pull[0], nodes, deflection.T, rotation.T)


def _refuse(nodes: Array, EI: Array, ties: Array, base: Array, gap: Array) -> None:
    if not (np.diff(nodes) >= CLOSEST * (nodes[:, -1:] - nodes[:, :1])).all():
        raise Refusal("ties or ends of a rail meet or are not in order", "Give rising heights")
    if not ((EI > 0.0) & np.isfinite(EI)).all():
        raise Refusal("a rail needs a bending stiffness", "Give EI above 0")
    if not ((ties > 0.0).all() and (base >= 0.0).all()):
        raise Refusal("a tie has no stiffness", "Give force per length above 0, or inf")
    if not ((gap >= 0.0) & np.isfinite(gap)).all():
        raise Refusal("a gap is below 0 or not a number", "Give how far a tie hangs loose")


def _settle(rails: _Rails) -> tuple[Array, Array, Mask]:
    """Displacements, pulls, and which rails came to rest with every tie rightly taut or slack."""
    nodes, count = rails.stiffness.shape
    moved, pull = np.empty((nodes, 2, count)), np.empty((nodes, count))
    settled = np.zeros(count, bool)
    taut = rails.stiffness > 0.0
    left = np.flatnonzero(taut.sum(axis=0) > 1)  # on one support a rail turns
    for _ in range(ROUNDS):
        if left.size == 0:
            break
        part, now = rails.take(left), taut[:, left]
        moved[..., left], pull[:, left] = found = _solve(part, now)
        better = _pulling(part, now, *found)
        done = (better == now).all(axis=0)
        settled[left[done]] = True
        taut[:, left] = better
        left = left[~done & (better.sum(axis=0) > 1)]
    return moved, pull, settled


def _pulling(rails: _Rails, taut: Mask, moved: Array, pull: Array) -> Mask:
    """Which supports should be taut, judged by this solution; the first node's always stays."""
    noise = ROUNDING * np.abs(pull).max(axis=0)
    there = rails.stiffness > 0.0
    spring = there / (1.0 + 1.0 / np.where(there, rails.stiffness, 1.0))  # a rigid tie counts as 1
    keeps: Mask = np.where(taut, pull >= -noise, spring * (moved[:, 0] - rails.gap) > noise)
    keeps[0] = there[0]
    return keeps


def _solve(rails: _Rails, taut: Mask) -> tuple[Array, Array]:
    """Displacements (nodes, 2, rails) and pulls (nodes, rails) with the given supports taut.

    The row of a rigid support, K u + k u = f + k gap with k infinite, is divided by k: u = gap.
    """
    nodes, count = taut.shape
    elements = beam_stiffness(rails.bays)
    band = np.zeros((nodes, 2, 2 * REACH + 1, count))
    for a in range(4):
        for b in range(4):
            rows = band[a // 2 : nodes - 1 + a // 2, a % 2, REACH + b - a]
            rows += elements[..., a, b]
    spring = np.where(taut, rails.stiffness, 0.0)
    rigid = np.isinf(spring)
    weight = np.where(rigid, 1.0, spring)
    moved = rails.load.copy()
    if rigid.any():
        band[:, 0] *= ~rigid[:, None]
        moved[:, 0] *= ~rigid
    band[:, 0, REACH] += weight
    moved[:, 0] += weight * rails.gap

    size = 2 * nodes
    _eliminate(band.reshape(size, -1, count), moved.reshape(size, count))
    pull = weight * (moved[:, 0] - rails.gap)
    if rigid.any():  # a rigid support takes what the member does not
        ends = np.concatenate([moved[:-1], moved[1:]], axis=1)
        resisted = np.einsum("erab,ebr->ear", elements[..., ::2, :], ends)
        rest = rails.load[:, 0].copy()
        rest[:-1] -= resisted[:, 0]
        rest[1:] -= resisted[:, 1]
        pull = np.where(rigid, rest, pull)
    return moved, pull


def _eliminate(band: Array, right: Array) -> None:
    """Gauss without exchange of rows, in place: `right` (size, rails) becomes the solution.

    `band` (size, 2 REACH + 1, rails) holds row i's column j at REACH + j - i. Before its rows were
    scaled the matrix was symmetric and positive definite, so no exchange is needed. Source: Golub
    and Van Loan, Matrix Computations, 3rd ed. (1996), sections 4.2 and 4.3.
    """
    size = len(right)
    for j in range(size):
        for i in range(j + 1, min(j + REACH + 1, size)):
            at = REACH + j - i
            ratio = band[i, at] / band[j, REACH]
            band[i, at + 1 : at + 1 + REACH] -= ratio * band[j, REACH + 1 :]
            right[i] -= ratio * right[j]
    for i in range(size - 1, -1, -1):
        for j in range(i + 1, min(i + REACH + 1, size)):
            right[i] -= band[i, REACH + j - i] * right[j]
        right[i] /= band[i, REACH]
