"""The members of a wall: rails side by side and the wales that couple them, as a banded system.

A node has a deflection, a slope up the rail and, at a wale, a slope along the wale; all members are
Euler-Bernoulli beams. Members do not resist twisting (torsion is neglected, so a wale meets a rail
as on a pin); shear deformation is neglected. Counted rail by rail, the unknowns of one rail meet
only those of the rails beside it, so the matrix is a narrow band. Any consistent units.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from formpressure.errors import Refusal
from formpressure.statics.load import Array, Mask, Places
from formpressure.statics.rail import CLOSEST, SAME, beam_stiffness

UNHELD = 1e-9  # of its own stiffness: an unknown left with less is not held by anything
LOWER = [(a, b) for b in range(4) for a in range(b, 4)]  # the lower half of an element's matrix


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """Rails from `bottom` to `top` at places `lines` along the wall, (lines,).

    On every rail ties at rising `heights` (ties,) and wales at `wale_heights` (wales,). `EI`:
    (lines,); `EI_wales`: (lines - 1, wales), bay by bay, 0 where a wale is cut. `stiffness`, `gap`:
    (lines, ties), stiffness 0 where there is no tie; `base` (lines,): of a hinge at the bottom that
    pulls and pushes. All stiffnesses finite: take 1e4 times EI / span**3 for a rigid one. Every
    array may be anything that broadcasts to its shape. Raises Refusal.
    """

    bottom: float
    top: float
    lines: Array
    heights: Array
    EI: Array
    stiffness: Array
    wale_heights: Array
    EI_wales: Array
    gap: Array
    base: Array

    def __init__(
        self,
        bottom: float,
        top: float,
        lines: ArrayLike,
        heights: ArrayLike,
        EI: ArrayLike,
        stiffness: ArrayLike,
        wale_heights: ArrayLike = (),
        EI_wales: ArrayLike = 0.0,
        gap: ArrayLike = 0.0,
        base: ArrayLike = 0.0,
    ) -> None:
        given_at = (lines, heights, wale_heights)
        places, ties, wales = (np.atleast_1d(np.asarray(v, float)) for v in given_at)
        count = places.size
        given = {
            "bottom": float(bottom),
            "top": float(top),
            "lines": places,
            "heights": ties,
            "EI": np.broadcast_to(np.asarray(EI, float), count),
            "stiffness": np.broadcast_to(np.asarray(stiffness, float), (count, ties.size)),
            "wale_heights": wales,
            "EI_wales": np.broadcast_to(np.asarray(EI_wales, float), (count - 1, wales.size)),
            "gap": np.broadcast_to(np.asarray(gap, float), (count, ties.size)),
            "base": np.broadcast_to(np.asarray(base, float), count),
        }
        for name, value in given.items():
            object.__setattr__(self, name, value)
        self._refuse()

    def _refuse(self) -> None:
        if not all(np.isfinite(getattr(self, name)).all() for name in self.__slots__):
            raise Refusal("a wall has a number that is not finite", "Give finite numbers")
        if not (np.diff(self.lines) > 0.0).all():
            raise Refusal("the lines of a wall are not in order", "Give rising places along it")
        reach = SAME * (self.top - self.bottom)
        for heights in (self.heights, self.wale_heights):
            inside = (heights >= self.bottom - reach) & (heights <= self.top + reach)
            if not (inside.all() and (np.diff(heights) > 0.0).all()):
                raise Refusal(
                    "ties or wales are outside the wall or not in order", "Give rising heights"
                )
        if (np.diff(self.nodes) < CLOSEST * (self.top - self.bottom)).any():
            raise Refusal("two heights of a wall almost meet", "Make them one height")
        if not (self.EI > 0.0).all():
            raise Refusal("a rail needs a bending stiffness", "Give EI above 0")
        for least in (self.stiffness, self.EI_wales, self.gap, self.base):
            if not (least >= 0.0).all():
                raise Refusal("a stiffness or a gap is below 0", "Give 0 or more")

    @property
    def nodes(self) -> Array:
        """Heights of the nodes of each rail, rising: ends, ties and wales."""
        every = np.sort(np.concatenate([[self.bottom, self.top], self.heights, self.wale_heights]))
        new = np.append(True, np.diff(every) > SAME * (self.top - self.bottom))
        return np.asarray(every[new])

    def window(self, first: int, last: int) -> Wall:
        """The part of the wall from line `first` up to but without line `last`."""
        part = slice(first, last)
        return replace(
            self,
            lines=self.lines[part],
            EI=self.EI[part],
            stiffness=self.stiffness[part],
            EI_wales=self.EI_wales[first : last - 1],
            gap=self.gap[part],
            base=self.base[part],
        )


@dataclass(frozen=True, slots=True, eq=False)
class Unknowns:
    """Where the unknowns of one rail stand among its `size`."""

    deflection: Places  # (nodes,)
    slope: Places  # (nodes,) up the rail
    wale_slope: Places  # (wales,) along the wall
    tie: Places  # (ties,) those deflections that are at a tie
    wale: Places  # (wales,) those at a wale
    size: int

    @property
    def coupled(self) -> Places:
        """Unknowns that meet those of the rails beside."""
        return np.sort(np.concatenate([self.wale, self.wale_slope]))

    @property
    def reach(self) -> int:
        """How far an unknown meets others, counted over the whole wall."""
        return self.size + 2 if self.wale.size else 5


def unknowns(wall: Wall) -> Unknowns:
    """The order of the unknowns: node by node upwards, deflection, slope, wale's slope."""
    nodes = wall.nodes

    def node_at(heights: Array) -> Places:
        return np.asarray(np.abs(nodes[:, None] - heights).argmin(axis=0))

    each = np.full(nodes.size, 2)
    each[node_at(wall.wale_heights)] = 3
    first = np.cumsum(each) - each
    return Unknowns(
        deflection=first,
        slope=first + 1,
        wale_slope=first[node_at(wall.wale_heights)] + 2,
        tie=first[node_at(wall.heights)],
        wale=first[node_at(wall.wale_heights)],
        size=int(each.sum()),
    )


def assembled(wall: Wall, taut: Mask) -> Array:
    """Stiffness of the wall with the springs of the `taut` ties (lines, ties), written in place.

    Shape (lines, size, reach + 1): [line, b, d] is how unknown b of the line meets the one d later,
    in this line or the next; the lower band, column by column, as LAPACK keeps it.
    """
    at = unknowns(wall)
    band = np.zeros((wall.lines.size, at.size, at.reach + 1))
    rail = beam_stiffness(np.diff(wall.nodes))
    ends = _ends(at.deflection[:-1], at.slope[:-1], at.deflection[1:], at.slope[1:])
    for a, b in LOWER:
        band[:, ends[b], ends[a] - ends[b]] += wall.EI[:, None] * rail[:, a, b]

    wale = beam_stiffness(np.diff(wall.lines))[:, None] * wall.EI_wales[..., None, None]
    here = _ends(at.wale, at.wale_slope, at.wale + at.size, at.wale_slope + at.size)
    for a, b in LOWER:
        column = here[b] - (at.size if b > 1 else 0)
        lines = band[1:] if b > 1 else band[:-1]
        lines[:, column, here[a] - here[b]] += wale[..., a, b]

    band[:, at.tie, 0] += np.where(taut, wall.stiffness, 0.0)
    band[:, 0, 0] += wall.base
    unused = at.wale_slope  # between two cuts a wale's slope means nothing; it stays zero
    band[:, unused, 0] += band[:, unused, 0] == 0.0
    return band


def _ends(*unknown: Places) -> tuple[Places, ...]:
    return unknown


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Cholesky factor of a wall's band; `stands` is False where something in it is not held."""

    lower: Array  # (reach + 1, unknowns)
    stands: bool

    def solve(self, right: Array) -> Array:
        """Displacements (cases, lines, size) under forces of that shape."""
        from scipy.linalg.lapack import dpbtrs  # 140 ms at import, so not before it is needed

        flat = right.reshape(len(right), -1)
        moved, _ = dpbtrs(self.lower, flat.T, lower=1)
        return np.asarray(moved).T.reshape(right.shape)


def factor(band: Array) -> Factor:
    """Factor the band of `assembled`; it is overwritten."""
    from scipy.linalg.lapack import dpbtrf

    columns = band.reshape(-1, band.shape[-1])
    own = columns[:, 0].copy()
    lower, failed = dpbtrf(columns.T, lower=1, overwrite_ab=1)
    stands = failed == 0 and bool((lower[0] ** 2 > UNHELD * own).all())
    return Factor(lower, stands)


def tie_flexibility(wall: Wall, taut: Mask) -> Array:
    """Deflection at each tie's place for a unit force at each, (places, places), line by line.

    The rows and columns of the inverse that belong to ties, by block elimination along the lines:
    with A the blocks of the lines and C those that couple line i + 1 to line i,

        D[0] = A[0],       D[i+1] = A[i+1] - C[i] D[i]^-1 C[i]^T,      L[i] = -D[i]^-1 C[i]^T,
        X[n,n] = D[n]^-1,  X[i,i] = D[i]^-1 + L[i] X[i+1,i+1] L[i]^T,
        X[i,j] = L[i] X[i+1,j] for j > i.

    Source: Meurant, A review on the inverse of symmetric tridiagonal and block tridiagonal
    matrices, SIAM J. Matrix Anal. Appl. 13 (1992) 707-728.
    """
    at, band = unknowns(wall), assembled(wall, taut)
    lines, ties = wall.stiffness.shape
    kept = np.union1d(at.coupled, at.tie)  # the unknowns that matter beyond their own line
    meets, pulls = np.searchsorted(kept, at.coupled), np.searchsorted(kept, at.tie)
    square = np.ix_(meets, meets)
    own, coupling = _blocks(band, at, kept)
    carry = np.empty((lines, kept.size, meets.size))
    for i in range(lines):
        own[i] = np.linalg.inv(own[i])
        if i + 1 < lines:
            carry[i] = -own[i][:, meets] @ coupling[i].T
            own[i + 1][square] += coupling[i] @ carry[i][meets]

    whole = np.empty((lines, ties, lines, ties))
    across = np.empty((kept.size, lines, ties))  # X[i, j], kept rows, columns of ties, j >= i
    here = own[-1]
    for i in range(lines - 1, -1, -1):
        if i + 1 < lines:
            here = own[i] + carry[i] @ here[square] @ carry[i].T
            across[:, i + 1 :] = np.tensordot(carry[i], across[meets, i + 1 :], 1)
        across[:, i] = here[:, pulls]
        whole[i, :, i:] = across[pulls, i:]
        whole[i:, :, i] = np.moveaxis(across[pulls, i:], 0, -1)
    return whole.reshape(lines * ties, -1)


def _blocks(band: Array, at: Unknowns, kept: Places) -> tuple[Array, Array]:
    """Matrix of each line in its `kept` unknowns, and of its coupled ones with the line before.

    The other unknowns of a line, which meet no other line, are eliminated.
    """
    rows, columns = np.tril_indices(at.size)
    near = rows - columns <= at.reach
    rows, columns = rows[near], columns[near]
    full = np.zeros((len(band), at.size, at.size))
    full[:, rows, columns] = full[:, columns, rows] = band[:, columns, rows - columns]
    other = np.setdiff1d(np.arange(at.size), kept)
    cross = full[:, other[:, None], kept]
    answer = np.linalg.solve(full[:, other[:, None], other], cross)
    blocks = full[:, kept[:, None], kept] - np.swapaxes(cross, 1, 2) @ answer

    after, before = at.coupled[:, None], at.coupled
    away = at.size + after - before
    coupling = band[:-1, before, np.minimum(away, at.reach)]
    return blocks, np.where(away <= at.reach, coupling, 0.0)
