"""Shear and bending moment along one member, from its load and its supports, by statics alone.

Signs: shear is pull below less load below; its running integral is the moment. A moment is positive
where the outer face (away from the concrete) is in tension: bulging between two ties.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from formpressure.statics.load import Array, LineLoad, end_values


@dataclass(frozen=True, slots=True, eq=False)
class SectionForces:
    """Shear and moment of a member; every field has the cases as its leading axes."""

    moment: Array  # (..., nodes)
    shear_below: Array  # (..., nodes) just below each node
    shear_above: Array  # (..., nodes) just above each node
    peak_moment: Array  # (...) the moment largest in size anywhere, with its sign
    peak_moment_at: Array  # (...) its height
    peak_shear: Array  # (...) the shear largest in size anywhere, with its sign


def section_forces(load: LineLoad, nodes: Array, pulls: Array) -> SectionForces:
    """Shear and moment of a member with free ends under `load`, held by `pulls` at its nodes.

    `nodes`: rising heights (nodes,), first and last the ends of the member; `pulls` (..., nodes),
    for every case: force of each node's support, positive against the load. Between two cuts (nodes
    and load points) load, shear and moment are polynomials of degree 1, 2, 3, and the moment peaks
    at a cut or where the shear is zero. Source: statics, dV/dy = -p, dM/dy = V.
    """
    cases = pulls.shape[:-1]
    nodes = np.broadcast_to(nodes, (*cases, nodes.shape[-1]))
    points = np.clip(load.y, nodes[..., :1], nodes[..., -1:])
    points = np.broadcast_to(points, (*cases, points.shape[-1]))
    cuts = np.sort(np.concatenate([nodes, points], axis=-1), axis=-1)
    a, b = cuts[..., :-1], cuts[..., 1:]
    h = b - a
    pa, pb = end_values(load, a, b)

    below = (nodes[..., None, :] <= cuts[..., :, None]) @ pulls[..., None]
    loaded = _running(h * (pa + pb) / 2.0)
    shear = below[..., 0] - loaded  # just above each cut
    start = shear[..., :-1]
    moment = _running(start * h - h * h * (2.0 * pa + pb) / 6.0)

    end = start - h * (pa + pb) / 2.0

    slope = (pb - pa) / np.where(h > 0.0, h, 1.0)
    turns = _where_zero(start, pa, slope, h)
    at_turns = moment[..., :-1] + turns * (start - turns * (pa / 2.0 + turns * slope / 6.0))
    everywhere = np.concatenate([moment, *at_turns], axis=-1)
    heights = np.concatenate([cuts, *(a + turns)], axis=-1)
    shears = np.concatenate([start, end], axis=-1)

    node = (cuts[..., None, :] < nodes[..., :, None]).sum(-1)  # the cut that is this node
    above = np.take_along_axis(shear, node, axis=-1)
    return SectionForces(
        moment=np.take_along_axis(moment, node, axis=-1),
        shear_below=above - pulls,
        shear_above=above,
        peak_moment=_largest(everywhere, everywhere),
        peak_moment_at=_largest(everywhere, heights),
        peak_shear=_largest(shears, shears),
    )


def _running(steps: Array) -> Array:
    """Sum of the steps so far, beginning with 0."""
    return np.concatenate([np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)], axis=-1)


def _largest(size: Array, value: Array) -> Array:
    place = np.argmax(np.abs(size), axis=-1)[..., None]
    return np.take_along_axis(value, place, axis=-1)[..., 0]


def _where_zero(shear: Array, p: Array, slope: Array, h: Array) -> Array:
    """Both places t in (0, h) where shear - p t - slope t**2 / 2 is zero, else 0; (2, ...).

    The roots in the form that loses no digits: Press et al., Numerical Recipes, section 5.6.
    """
    with np.errstate(all="ignore"):
        root = np.sqrt(p * p + 2.0 * slope * shear)
        q = (p + np.copysign(root, p)) / 2.0
        places = np.stack([-2.0 * q / slope, shear / q])
    return np.where((places > 0.0) & (places < h), places, 0.0)
