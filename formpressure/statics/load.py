"""Loads along a line: piecewise linear, integrated exactly.

On one straight piece of a load every integrand met here is a polynomial of degree four or less, so
the three-point Gauss-Legendre rule (exact to degree five) leaves rounding only. Source of the rule:
Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 25.4.30 and table 25.4, n = 3.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from formpressure.errors import Refusal

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Places = NDArray[np.intp]

GAUSS = np.sqrt(0.6) * np.array([-1.0, 0.0, 1.0])  # places on [-1, 1]
WEIGHT = np.array([5.0, 8.0, 5.0]) / 9.0


@dataclass(frozen=True, slots=True, eq=False)
class LineLoad:
    """Force per unit of length along a line, positive outward (away from the concrete).

    `y`: heights, shape (..., points), never falling along the last axis; a height given twice is
    a step. `p`: the load at those heights, linear between them, zero outside. The two broadcast
    against each other; leading axes are load cases. Raises Refusal.
    """

    y: Array
    p: Array

    def __init__(self, y: ArrayLike, p: ArrayLike) -> None:
        heights, loads = np.broadcast_arrays(np.asarray(y, float), np.asarray(p, float))
        if heights.ndim == 0 or heights.shape[-1] < 2:
            raise Refusal("a line load needs two points or more", "Give y and p as lists")
        if not (np.isfinite(heights).all() and np.isfinite(loads).all()):
            raise Refusal("a line load has a point that is no number", "Use finite y and p")
        if (heights[..., 1:] < heights[..., :-1]).any():
            raise Refusal("the heights of a line load fall", "Order its points upwards")
        object.__setattr__(self, "y", heights)
        object.__setattr__(self, "p", loads)

    @property
    def cases(self) -> tuple[int, ...]:
        """Shape of the leading axes: () for a single case."""
        return self.y.shape[:-1]


def straight_pieces(load: LineLoad) -> Iterator[tuple[Array, Array, Array, Array]]:
    """Each straight piece of the load as (y0, y1, p0, slope), shape (..., 1), lowest first."""
    for j in range(load.y.shape[-1] - 1):
        y0, y1, p0, p1 = (v[..., i, None] for v in (load.y, load.p) for i in (j, j + 1))
        length = np.where(y1 > y0, y1 - y0, 1.0)  # a step has no length and no weight
        yield y0, y1, p0, (p1 - p0) / length


def gauss_points(load: LineLoad, a: ArrayLike, b: ArrayLike) -> Iterator[tuple[Array, Array]]:
    """Heights and the force that each stands for, (..., intervals), three on each straight piece.

    `a`, `b`: ends of the intervals, shape (..., intervals). The sum of force times any cubic of the
    height is the exact integral of load times cubic over each interval.
    """
    for y0, y1, p0, slope in straight_pieces(load):
        low = np.maximum(a, y0)
        half = np.maximum(np.minimum(b, y1) - low, 0.0) / 2.0
        for place, weight in zip(GAUSS, WEIGHT, strict=True):
            s = low + half * (1.0 + place)
            yield s, half * weight * (p0 + slope * (s - y0))


def force_between(load: LineLoad, a: ArrayLike, b: ArrayLike) -> Array:
    """Exact force of the load from `a` to `b`, shape (..., intervals)."""
    return np.asarray(sum(force for _, force in gauss_points(load, a, b)))


def moment_between(
    load: LineLoad, a: ArrayLike, b: ArrayLike, about: ArrayLike, power: int = 1
) -> Array:
    """Exact integral of p (s - about)**power from `a` to `b`; `power` 3 at most."""
    about = np.asarray(about, float)
    points = gauss_points(load, a, b)
    return np.asarray(sum(force * (s - about) ** power for s, force in points))


def end_values(load: LineLoad, a: Array, b: Array) -> tuple[Array, Array]:
    """Load just above `a` and just below `b`, for intervals with no point of the load inside."""
    middle = (a + b) / 2.0
    at_a, at_b = np.zeros(()), np.zeros(())
    for y0, y1, p0, slope in straight_pieces(load):
        inside = (middle > y0) & (middle < y1)
        at_a = at_a + np.where(inside, p0 + slope * (a - y0), 0.0)
        at_b = at_b + np.where(inside, p0 + slope * (b - y0), 0.0)
    return at_a, at_b


def nodal_forces(load: LineLoad, nodes: ArrayLike) -> Array:
    """Forces and moments at the nodes that do the same work as the load, (..., nodes, 2).

    `nodes`: rising heights, shape (..., nodes), ends of Euler-Bernoulli elements. With the cubic
    shape functions these are the fixed-end reactions reversed, and the displacements of a frame
    loaded with them are exact at its nodes. Source: statics; shape functions from Przemieniecki,
    Theory of Matrix Structural Analysis (1968), chapter 5. A load that reaches beyond the nodes is
    refused: part of it would be lost. Raises Refusal.
    """
    nodes = np.asarray(nodes, float)
    _refuse_beyond(load, nodes)
    a, h = nodes[..., :-1], np.diff(nodes)
    cases = np.broadcast_shapes(load.cases, nodes.shape[:-1])
    out = np.zeros((*cases, nodes.shape[-1], 2))
    for s, force in gauss_points(load, a, nodes[..., 1:]):
        x = (s - a) / h
        far, turn = x * x * (3.0 - 2.0 * x), h * x * (1.0 - x)
        out[..., :-1, 0] += force * (1.0 - far)
        out[..., :-1, 1] += force * turn * (1.0 - x)
        out[..., 1:, 0] += force * far
        out[..., 1:, 1] -= force * turn * x
    return out


def _refuse_beyond(load: LineLoad, nodes: Array) -> None:
    low, high = nodes[..., :1], nodes[..., -1:]
    slack = 1e-9 * (high - low)
    y0, y1 = load.y[..., :-1], load.y[..., 1:]
    loaded = ((load.p[..., :-1] != 0.0) | (load.p[..., 1:] != 0.0)) & (y1 > y0)
    if (loaded & ((y0 < low - slack) | (y1 > high + slack))).any():
        raise Refusal("the load reaches beyond the member", "Cut it off at the member's ends")
