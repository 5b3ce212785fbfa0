"""Loads on the ties of a placement from its pressure envelope."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from formpressure.envelope import Envelope
from formpressure.statics import hinged
from formpressure.statics.hinged import Floats, Pieces
from formpressure.units import at_most, last_that_passes


@dataclass(frozen=True, slots=True)
class TieRows:
    """The rows of ties of a placement; bare numbers. `width` is that of the widest tie line."""

    heights: Floats
    width: float
    start: float  # hardened concrete or footing
    top: float  # highest level the concrete can reach
    tributary: Pieces
    hinged: Pieces

    @property
    def loaded(self) -> np.ndarray:
        """Which rows this placement loads; those above the concrete may stay empty only where
        the overhang above the last tie is checked."""
        return (self.heights > self.start) & (self.heights < self.top)


@dataclass(frozen=True, slots=True)
class TieLoads:
    """Largest load of one tie in every row over all surface levels; bare arrays, one a row."""

    rows: TieRows
    envelope: Envelope
    tributary: Floats
    hinged: Floats
    surface: Floats  # level of the surface at which `load` occurs

    @property
    def heights(self) -> Floats:
        return self.rows.heights

    @property
    def load(self) -> Floats:
        """The larger of the two statical models, which the verdict takes."""
        return np.maximum(self.tributary, self.hinged)

    @property
    def worst(self) -> int:
        """Index of the row with the largest load."""
        return int(np.argmax(self.load))


def tie_rows(
    heights: tuple[float, ...], start: float, top: float,
    spacing: float | None = None, joints: tuple[float, ...] | None = None,
) -> TieRows:  # fmt: skip
    """Rows of ties at `heights`, tie lines at `spacing` or at uneven `joints`."""
    t = np.sort(np.asarray(heights, dtype=float))
    width = float(spacing) if spacing is not None else float(line_widths(joints or ()).max())
    return TieRows(
        t, width, start, top, hinged.tributary(start, top, t), hinged.hinged(start, top, t)
    )


def line_widths(joints: tuple[float, ...]) -> Floats:
    """Width of form on each tie line: half of both gaps; an end line counts its whole gap.

    The first line also holds the form from the end of the wall to it, as the overhang of a beam to
    the second line (statics). What lies beyond the last line is not told and taken as half a gap.
    """
    places = np.sort(np.asarray(joints, dtype=float))
    gaps = np.diff(places)
    widths: Floats = (np.append(gaps[:1], gaps) + np.append(gaps, gaps[-1:])) / 2.0
    widths[0] = max(widths[0], (places[0] + gaps[0]) ** 2 / (2.0 * gaps[0]))
    return widths


def stretch_widths(places: Floats, length: float) -> Floats:
    """Width of form on each tie line of a stretch of `length`, what runs past both ends told."""
    back: Floats = line_widths(tuple(length - places))[::-1]
    widths: Floats = np.maximum(line_widths(tuple(places)), back)
    return widths


def tie_loads(rows: TieRows, envelope: Envelope) -> TieLoads:
    """Loads by both models, each at its own worst surface level."""
    by_tributary = rows.width * rows.tributary.loads(envelope.slope, envelope.p_max)
    by_hinges = rows.width * rows.hinged.loads(envelope.slope, envelope.p_max)
    at = np.argmax(np.maximum(by_tributary, by_hinges), axis=0)
    surface = rows.tributary.surface[:, 0, 0][at]
    return TieLoads(rows, envelope, by_tributary.max(axis=0), by_hinges.max(axis=0), surface)


def allowable_pressure(rows: TieRows, slope: float, capacity: float) -> float:
    """Largest p_max for which no tie carries more than `capacity`; infinity if none ever does.

    Depends on unit weight, head and ties only, so one root serves every temperature and mix.
    """

    def largest(p_max: float) -> float:
        both = rows.tributary.loads(slope, p_max), rows.hinged.loads(slope, p_max)
        return rows.width * max(float(b.max()) for b in both)

    head = slope * (rows.top - rows.start)
    if at_most(largest(head), capacity):  # as the check of ties has it
        return float("inf")
    return last_that_passes(lambda p_max: largest(p_max) <= capacity, 0.0, head)
