"""Loads at the ends and odd places of a placement: corners, stops, openings, slopes and the foot.

Source of every function here: statics of the form (label OWN), read together with the envelope of
the pressure document, taken as the same in every direction. Friction on the form, its weight and
that of inserts are not counted. Each load is an integral of the envelope, or one value of it, with
no part that relieves; so none falls when pressure, depth or surface rises, and the highest surface
is the worst unless it says so.
Bare numbers in the unit system of the envelope: heights, lengths and thickness t in ft or m, p in
psf or kPa, loads for each length in plf or kN/m, loads in lb or kN.
"""

from __future__ import annotations

import dataclasses
import functools
from itertools import pairwise

import numpy as np

from formpressure.demand.ties import TieLoads, TieRows, tie_loads, tie_rows
from formpressure.envelope import Envelope
from formpressure.statics.hinged import Pieces
from formpressure.units import TOLERANCE

Levels = tuple[float, ...]


def force(envelope: Envelope, low: float, high: float, surface: float) -> float:
    """Exact integral of the pressure from `low` up to `high`, for each unit of width."""
    return _force_above(envelope, surface - low) - _force_above(envelope, surface - high)


def moment(envelope: Envelope, low: float, high: float, about: float, surface: float) -> float:
    """Exact integral of the pressure times its distance from `about`, an end of low to high."""
    deep, shallow = surface - low, surface - high
    in_depth = _moment_above(envelope, deep) - _moment_above(envelope, shallow)
    return abs((surface - about) * force(envelope, low, high, surface) - in_depth)


def _force_above(envelope: Envelope, depth: float) -> float:
    depth = max(depth, 0.0)
    liquid = min(depth, envelope.liquid_depth)
    return float(envelope.slope * liquid**2 / 2.0 + envelope.p_max * (depth - liquid))


def _moment_above(envelope: Envelope, depth: float) -> float:
    depth = max(depth, 0.0)
    liquid = min(depth, envelope.liquid_depth)
    below = envelope.p_max * (depth**2 - liquid**2) / 2.0
    return float(envelope.slope * liquid**3 / 3.0 + below)


def corner_width(first_tie: float, thickness: float) -> float:
    """Width of pressure that pulls on the joint of an outside corner: (d + t) / 2, at least t.

    Two legs of thickness t meet; d is the distance from the outside corner to the first tie line
    of leg 1. Free body of the end bay of leg 1, for each height: the concrete pushes its outer
    face out with p d, its inner face, shorter by t, with p (d - t). The inner face as a simple
    span gives p (d - t)/2 to the tie, and so much is all that the other end of the same tie can
    hold of the outer face. What is left, p d - p (d - t)/2 = p (d + t)/2, goes to the corner and
    pulls along the outer face of leg 2. A brace could take the p t/2 by which this is more than
    the simple span p d/2; none is counted.
    Check on the whole of leg 2: its inner face is pushed together by p (d - t)/2, so both faces
    carry p (d + t)/2 - p (d - t)/2 = p t, the pressure on the concrete cut across. An inside
    corner carries no pull, so the outer joint never has less than that p t.
    """
    return max((first_tie + thickness) / 2.0, thickness)


def bulkhead_width(thickness: float) -> float:
    """Width of pressure that pulls on one panel joint of a leg that ends at a stop: t / 2.

    Free body from the stop to a cut across the leg, for each height: the concrete pushes the stop
    out with p t; pressure on the two faces is square to the leg, and ties join one face to the
    other, so neither helps. The two faces pull with p t, half each, since the pressure on the stop
    is symmetrical. A kicker against the stop could take it; none is counted.
    """
    return thickness / 2.0


def on_connector(envelope: Envelope, rows: TieRows, width: float, spacing: float) -> float:
    """Load of the most loaded of the connectors `spacing` apart up a joint, on `width` of pressure.

    The pressure grows downward, so the worst is the lowest `spacing` of the placement. It takes
    for granted that the lowest connector is within half a spacing of the foot.
    """
    return width * force(envelope, rows.start, rows.start + spacing, rows.top)


def bulkhead_holds(
    envelope: Envelope, heights: Levels, rows: TieRows, thickness: float
) -> TieLoads:
    """Loads of the levels that hold a stop, which gets p t: like a tie line of width t.

    Both models of the ties are looked at, half-way and hinged. No hold at the foot is counted.
    """
    return tie_loads(_levels(heights, rows.start, rows.top, thickness), envelope)


def kick_out(envelope: Envelope, rows: TieRows) -> float:
    """Load for each length with which one face pushes out at its foot, if the foot is held.

    The pressure from the foot half-way to the first tie. A beam hinged at foot and tie gives less,
    because the pressure never grows upward: with z from the foot and L to the tie,
    int(0..L/2) p - int(0..L) p (1 - z/L) = int(0..L/2) p z/L - int(L/2..L) p (1 - z/L) >= 0.
    """
    first = float(rows.heights[rows.loaded][0])
    return force(envelope, rows.start, (rows.start + first) / 2.0, rows.top)


def buck_uplift(
    envelope: Envelope, rows: TieRows, sill: float, head: float, width: float, thickness: float
) -> float:
    """Upward load under a buck: p at its sill x width x t, with the concrete up to its head.

    It begins as soon as concrete stands above the sill, and grows until the head is reached. Then
    concrete on the head presses down: at full liquid head the difference stays w (head - sill)
    however high the surface, and under a capped envelope it only shrinks. So the surface at the
    head is the worst: the liquid head over the height of the buck, unless the envelope caps it. The
    sill is above the foot of the placement: else there is no concrete under it.
    """
    return float(envelope.pressure(min(head, rows.top) - sill)) * width * thickness


def jamb_struts(
    envelope: Envelope, rows: TieRows, struts: Levels, sill: float, head: float, thickness: float
) -> TieLoads:
    """Loads of the levels of struts between the jambs: like a tie line of width t, sill to head.

    Free body of one jamb, for each height: the concrete pushes it with p t, the struts push back,
    and at their other ends hold the other jamb, pushed as much. That needs concrete equally high
    on both sides; one side higher pushes the whole buck along and is not counted.
    `jamb_rows` tells the struts that count.
    """
    return tie_loads(jamb_rows(struts, sill, head, rows.start, rows.top, thickness), envelope)


def uneven_push(
    envelope: Envelope, rows: TieRows, sill: float, head: float, thickness: float, uneven: float
) -> float:
    """Push along the wall on one buck with the concrete on one side higher by `uneven`.

    Free body of the buck: below the lower surface the pressures of both sides differ by that of
    `uneven` of head; above it by less, taken as much. Source: statics.
    """
    height = max(0.0, min(head, rows.top) - max(sill, rows.start))
    return float(envelope.pressure(uneven)) * thickness * height


@functools.lru_cache(maxsize=32)
def jamb_rows(
    struts: Levels, sill: float, head: float, start: float, top: float, thickness: float
) -> TieRows:
    """The struts between sill and head of this placement, as rows that carry the jamb alone."""
    low = max(sill, start)
    inside = tuple(y for y in struts if low < y < head)
    made = _levels(inside, low, top, thickness)
    return dataclasses.replace(
        made, tributary=_cut_at(made.tributary, head), hinged=_cut_at(made.hinged, head)
    )


def _cut_at(pieces: Pieces, head: float) -> Pieces:
    """The same influence lines without what lies above `head`."""
    low, high = np.minimum(pieces.low, head), np.minimum(pieces.high, head)
    return dataclasses.replace(pieces, low=low, high=high)


@functools.lru_cache(maxsize=64)  # asked for again at every pressure of a search
def _levels(heights: Levels, start: float, top: float, width: float) -> TieRows:
    """Rows at these heights; a level written twice is one level."""
    levels = sorted(heights)
    apart = [y for low, y in pairwise([-1.0, *levels]) if y - low > TOLERANCE * (1.0 + y)]
    return tie_rows(tuple(apart), start, top, spacing=width)


def slope_uplift(envelope: Envelope, rows: TieRows, tangent: float) -> float:
    """Uplift for each length of a face that leans over the concrete: integral of p tan(batter).

    Pressure is square to the face, so its upward part over a height dz is p tan(batter) dz; at
    full liquid head that is the weight of the concrete missing above the slope, 0.5 w h^2 tan.
    """
    return tangent * force(envelope, rows.start, rows.top, rows.top)


def ledge_uplift(envelope: Envelope, rows: TieRows, underside: float, width: float) -> float:
    """Uplift for each length under a ledge or step that closes the form above: p x width.

    A ledge below the foot of the placement is in hardened concrete and lifts nothing.
    """
    if underside < rows.start:
        return 0.0
    return float(envelope.pressure(rows.top - underside)) * width


def overhang_below(rows: TieRows) -> float:
    """Length of form from the foot of the placement to its first tie."""
    return float(rows.heights[rows.loaded][0]) - rows.start


def overhang_above(rows: TieRows) -> float:
    """Length of form from the last tie below the concrete's highest surface up to that surface."""
    return rows.top - float(rows.heights[rows.loaded][-1])


def cantilever_below(envelope: Envelope, rows: TieRows) -> tuple[float, float]:
    """Force and moment at the first tie, for each width, of the form below it; its foot is free."""
    low, tie = rows.start, float(rows.heights[rows.loaded][0])
    return _force_and_moment(envelope, low, tie, tie, rows.top)


def cantilever_above(envelope: Envelope, rows: TieRows) -> tuple[float, float]:
    """Force and moment at the last tie, for each width, of the form above it, filled to the top."""
    tie = float(rows.heights[rows.loaded][-1])
    return _force_and_moment(envelope, tie, rows.top, tie, rows.top)


def _force_and_moment(
    envelope: Envelope, low: float, high: float, about: float, surface: float
) -> tuple[float, float]:
    return force(envelope, low, high, surface), moment(envelope, low, high, about, surface)
