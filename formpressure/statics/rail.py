"""One rail: a continuous member of constant EI held by springs that pull only.

Heights run upward from the base, loads and deflections outward, away from the concrete; a tie in
tension pulls back. Shear deformation is neglected. Any consistent units.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from formpressure.errors import Refusal
from formpressure.statics.load import Array, LineLoad, Mask, Places, moment_between, nodal_forces
from formpressure.statics.pull import TieResponse, settle
from formpressure.statics.section import SectionForces, section_forces

SAME = 1e-9  # of the rail's length: heights closer than this are one height
CLOSEST = 1e-4  # of the rail's length: closer nodes would cost digits, so they are refused


@dataclass(frozen=True, slots=True, eq=False)
class Rail:
    """A rail from `bottom` to `top` with ties at rising `heights` (ties,).

    `stiffness` and `gap`, one for all ties or (ties,): force per length, `inf` for a rigid tie; how
    far the rail must move out before the tie pulls. `EI`: bending stiffness. `base`: stiffness of a
    hinge at the bottom that pulls and pushes; `inf` rigid, 0 none. Raises Refusal.
    """

    bottom: float
    top: float
    heights: Array
    EI: float
    stiffness: Array
    gap: Array
    base: float

    def __init__(
        self,
        bottom: float,
        top: float,
        heights: ArrayLike,
        EI: float,
        stiffness: ArrayLike = np.inf,
        gap: ArrayLike = 0.0,
        base: float = 0.0,
    ) -> None:
        ties = np.atleast_1d(np.asarray(heights, float))
        given = {
            "bottom": float(bottom),
            "top": float(top),
            "heights": ties,
            "EI": float(EI),
            "stiffness": np.broadcast_to(np.asarray(stiffness, float), ties.shape),
            "gap": np.broadcast_to(np.asarray(gap, float), ties.shape),
            "base": float(base),
        }
        for name, value in given.items():
            object.__setattr__(self, name, value)
        if not (np.isfinite(EI) and EI > 0.0):
            raise Refusal("a rail needs a bending stiffness", "Give EI above 0", value=EI)
        if not ((self.stiffness > 0.0).all() and self.base >= 0.0):
            raise Refusal("a tie has no stiffness", "Give force per length above 0, or inf")
        if not (np.isfinite(self.gap).all() and (self.gap >= 0.0).all()):
            raise Refusal("a gap is below 0 or not a number", "Give how far a tie hangs loose")
        inside = (ties >= bottom - SAME * (top - bottom)) & (ties <= top + SAME * (top - bottom))
        if not (top > bottom and inside.all() and (np.diff(ties) > 0.0).all()):
            raise Refusal(
                "ties are outside the rail or not in order", "Give rising heights, bottom to top"
            )
        if self.base > 0.0 and (ties <= bottom + SAME * (top - bottom)).any():
            raise Refusal("a tie and the base are at one height", "Give one of the two")
        if (np.diff(self.nodes) < CLOSEST * (top - bottom)).any():
            raise Refusal("two ties, or a tie and an end, almost meet", "Make them one height")

    @property
    def nodes(self) -> Array:
        """Ends and ties, rising."""
        near = SAME * (self.top - self.bottom)
        inner = (self.heights > self.bottom + near) & (self.heights < self.top - near)
        return np.concatenate([[self.bottom], self.heights[inner], [self.top]])

    @property
    def tie_nodes(self) -> Places:
        """Which node each tie is at."""
        return np.asarray(np.abs(self.nodes[:, None] - self.heights).argmin(axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class RailResult:
    """A solved rail; every array has the load's cases as its leading axes.

    `held` (...): False where ties that only pull cannot balance the load: the rail would turn or
    move off, and the numbers of that case are NaN. `tie_force` (..., ties), 0 for a slack tie;
    `opening` (..., ties): slack left before it would pull; `base_force` (...), positive pulling
    inward. `deflection` and `rotation` (..., nodes): outward, and its slope upwards.
    """

    rail: Rail
    load: LineLoad
    held: Mask
    tie_force: Array
    opening: Array
    base_force: Array
    deflection: Array
    rotation: Array

    @property
    def slack(self) -> Mask:
        """Ties that do not pull, (..., ties)."""
        return np.asarray(self.tie_force == 0.0)

    def sections(self) -> SectionForces:
        """Shear and moment at the rail's nodes, and their peaks anywhere."""
        pulls = np.zeros_like(self.deflection)
        pulls[..., self.rail.tie_nodes] = self.tie_force
        pulls[..., 0] += self.base_force
        return section_forces(self.load, self.rail.nodes, pulls)

    def deflection_at(self, heights: ArrayLike) -> Array:
        """Outward deflection at any heights on the rail, exact, (..., heights).

        At t above the node below: w + slope t - (M t^2/2 + V t^3/6 - integral p (y-s)^3/6 ds) / EI.
        Source: statics, EI w'' = -M integrated twice.
        """
        y = np.atleast_1d(heights)
        nodes, at_nodes = self.rail.nodes, self.sections()
        i = np.maximum(np.searchsorted(nodes, y) - 1, 0)
        t = y - nodes[i]
        bent = at_nodes.moment[..., i] * t**2 / 2.0 + at_nodes.shear_above[..., i] * t**3 / 6.0
        bent = bent + moment_between(self.load, nodes[i], y, about=y, power=3) / 6.0
        return self.deflection[..., i] + self.rotation[..., i] * t - bent / self.rail.EI


def solve_rail(rail: Rail, load: LineLoad, gone: Mask | None = None) -> RailResult:
    """Solve all cases of `load` from one factorisation; ties in `gone` (a mask) are not there."""
    nodes, ties = rail.nodes, rail.heights.size
    inverse = _inverse(rail)
    answer = _answer(rail, inverse, load)
    pull = slice(2 * nodes.size, 2 * nodes.size + ties)
    force, opening = answer[:, pull].copy(), np.zeros((len(answer), ties))
    held = np.asarray(np.isfinite(answer).all(axis=1))
    unsettled = held if gone is not None else (force < 0.0).any(axis=1)
    for case in np.flatnonzero(unsettled):
        found = settle(_response(rail, inverse, force[case]), gone)
        held[case], force[case], opening[case] = found.held, found.force, found.opening
    answer -= (opening * rail.EI / _length(rail) ** 3) @ inverse[:, pull].T
    answer[~held], force[~held], opening[~held] = np.nan, np.nan, np.nan

    def cases(values: Array, scale: float = 1.0) -> Array:
        return (values * scale).reshape((*load.cases, *values.shape[1:]))

    length = _length(rail)
    return RailResult(
        rail=rail,
        load=load,
        held=np.asarray(held.reshape(load.cases)),
        tie_force=cases(force),
        opening=cases(opening),
        base_force=cases(answer[:, pull.stop :].sum(axis=1)),
        deflection=cases(answer[:, 0 : pull.start : 2], length**3 / rail.EI),
        rotation=cases(answer[:, 1 : pull.start : 2], length**2 / rail.EI),
    )


def rail_response(rail: Rail, load: LineLoad) -> TieResponse:
    """How each tie of a rail under one load case answers when another lets go."""
    if load.cases:
        raise Refusal("a tie response is for one load case", "Give a load without leading axes")
    if rail.heights.size < _needed(rail):
        raise Refusal("one tie alone cannot hold a rail", "Give two ties, or a tie and a base")
    inverse = _inverse(rail)
    start = 2 * rail.nodes.size
    force = _answer(rail, inverse, load)[0, start : start + rail.heights.size]
    return _response(rail, inverse, force)


# The system solved: frame stiffness K, supports' places E, their compliance c = 1/k, gaps g,
#     [K  E ] [displacement]   [load]
#     [E' -c] [pull        ] = [gap ]
# which takes rigid supports (c = 0) as exactly as springs. It is written with the mean distance of
# the nodes as unit of length and EI as unit of stiffness, so that no digits hang on the units.
# Source: statics; element stiffness from Przemieniecki (1968), see `nodal_forces`.


def _needed(rail: Rail) -> int:
    """Ties without which the rail turns: two supports at two heights hold it."""
    return 1 if rail.base > 0.0 else 2


def _length(rail: Rail) -> float:
    return (rail.top - rail.bottom) / (rail.nodes.size - 1)


def _inverse(rail: Rail) -> Array:
    """Inverse of the system; NaN where the supports are too few."""
    h = np.diff(rail.nodes) / _length(rail)
    supports = rail.tie_nodes
    stiffness = rail.stiffness * _length(rail) ** 3 / rail.EI
    if rail.base > 0.0:
        supports = np.append(supports, 0)
        stiffness = np.append(stiffness, rail.base * _length(rail) ** 3 / rail.EI)
    free = 2 * rail.nodes.size
    system = np.zeros((free + supports.size,) * 2)
    if supports.size < 2:
        return np.full_like(system, np.nan)
    for i, element in enumerate(beam_stiffness(h)):
        system[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += element
    pulls = free + np.arange(supports.size)
    system[2 * supports, pulls] = system[pulls, 2 * supports] = 1.0
    system[pulls, pulls] = -1.0 / stiffness
    return np.asarray(np.linalg.inv(system), float)


def beam_stiffness(h: Array) -> Array:
    """Stiffness of Euler-Bernoulli elements of length `h` and EI = 1, (..., 4, 4).

    Order: deflection and rotation at the lower end, then at the upper.
    Source: Przemieniecki, Theory of Matrix Structural Analysis (1968), chapter 5.
    """
    a, b, c = 12.0 / h**3, 6.0 / h**2, 2.0 / h
    rows = [[a, b, -a, b], [b, 2 * c, -b, c], [-a, -b, a, -b], [b, c, -b, 2 * c]]
    return np.moveaxis(np.array(rows), (0, 1), (-2, -1))


def _answer(rail: Rail, inverse: Array, load: LineLoad) -> Array:
    """Displacements and pulls of all supports, every tie taut, (cases, unknowns), scaled."""
    forces = nodal_forces(load, rail.nodes) / [1.0, _length(rail)]
    right = np.zeros((int(np.prod(load.cases)), len(inverse)))
    free = 2 * rail.nodes.size
    right[:, :free] = forces.reshape(-1, free)
    right[:, free : free + rail.heights.size] = rail.gap * rail.EI / _length(rail) ** 3
    return right @ inverse.T


def _response(rail: Rail, inverse: Array, force: Array) -> TieResponse:
    pull = slice(2 * rail.nodes.size, 2 * rail.nodes.size + rail.heights.size)
    unit = rail.EI / _length(rail) ** 3
    stiffest = 1.0 / (1.0 + unit / float(rail.stiffness.max()))
    everywhere = np.ones(force.size, bool)
    effect = -inverse[pull, pull] / stiffest
    return TieResponse(force, effect, everywhere, everywhere, stiffest * unit, _needed(rail))
