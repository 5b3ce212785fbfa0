"""Ties of one vertical line by their tributary length and by beams hinged at every tie.

Both are sums of load times an influence line that is linear piece by piece, so each is exact.
Positive influence only is counted: an overhang never relieves a tie. With that, and because ties
above the surface are not counted, no load falls when pressure, depth or surface rises, and only
the surface levels just below each tie and at the top can be the worst.
Source: statics.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pieces:
    """Influence lines: on `low` to `high` a unit load at y gives the tie `flat + steep * y`.

    All arrays have the shape (levels of the surface, ties, pieces); `surface` (levels, 1, 1).
    """

    surface: Floats
    low: Floats
    high: Floats
    flat: Floats
    steep: Floats

    def loads(self, slope: float, p_max: float | Floats) -> Floats:
        """Load for each unit of width, shape p_max.shape + (levels, ties).

        Pressure is `slope` times depth below the surface, at most `p_max`.
        """
        cap = np.asarray(p_max)[..., None, None, None]
        force_high, moment_high = _above(self.surface - self.high, slope, cap)
        force_low, moment_low = _above(self.surface - self.low, slope, cap)
        force = force_low - force_high
        first_moment = self.surface * force - (moment_low - moment_high)
        total: Floats = (self.flat * force + self.steep * first_moment).sum(axis=-1)
        return total


def _above(depth: Floats, slope: float, p_max: Floats) -> tuple[Floats, Floats]:
    """Integrals of pressure, and of pressure times depth, from the surface down to `depth`."""
    depth = np.maximum(depth, 0.0)
    liquid = np.minimum(depth, p_max / slope)
    force = slope * liquid**2 / 2.0 + p_max * (depth - liquid)
    moment = slope * liquid**3 / 3.0 + p_max * (depth**2 - liquid**2) / 2.0
    return force, moment


def levels_to_try(start: float, top: float, ties: Floats) -> Floats:
    """Surface levels that can be the worst: just below each tie above the first, and the top."""
    inside = ties[(ties > start) & (ties < top)]
    return np.append(inside[1:], top)


def tributary(start: float, top: float, ties: Floats) -> Pieces:
    """Half-way to the neighbours below the surface, down to `start`, up to the surface."""
    return _pieces(start, top, ties, _tributary_of)


def hinged(start: float, top: float, ties: Floats) -> Pieces:
    """Beams hinged at every tie; the lowest and the highest run on as overhangs."""
    return _pieces(start, top, ties, _hinged_of)


_Piece = tuple[float, float, float, float]  # low, high, flat, steep


def _tributary_of(i: int, t: Floats, start: float, surface: float) -> list[_Piece]:
    low = start if i == 0 else (t[i - 1] + t[i]) / 2.0
    high = surface if i == len(t) - 1 else (t[i] + t[i + 1]) / 2.0
    return [(low, high, 1.0, 0.0)]


def _hinged_of(i: int, t: Floats, start: float, surface: float) -> list[_Piece]:
    if len(t) == 1:  # the whole load, or the moment about the start where that gives more
        return [(start, t[0], 1.0, 0.0), _line(t[0], surface, start, t[0])]
    pieces = []
    if i > 0:  # rises from the tie below to this one; the top tie's beam runs on to the surface
        high = surface if i == len(t) - 1 else t[i]
        pieces.append(_line(t[i - 1], high, t[i - 1], t[i]))
    if i < len(t) - 1:  # falls to the tie above; the lowest beam starts at the start
        low = start if i == 0 else t[i]
        pieces.append(_line(low, t[i + 1], t[i + 1], t[i]))
    return pieces


def _line(low: float, high: float, zero: float, one: float) -> _Piece:
    """The piece from low to high of the straight line that is 0 at `zero` and 1 at `one`."""
    return (low, high, -zero / (one - zero), 1.0 / (one - zero))


def _pieces(start: float, top: float, ties: Floats, of: object) -> Pieces:
    assert callable(of)
    levels = levels_to_try(start, top, ties)
    table = np.zeros((4, len(levels), len(ties), 2))
    for level, surface in enumerate(levels):
        below = np.flatnonzero((ties > start) & (ties < surface))
        for place, tie in enumerate(below):
            for piece, values in enumerate(of(place, ties[below], start, surface)):
                table[:, level, tie, piece] = values
    return Pieces(levels[:, None, None], *table)
