"""Quantities of a wall: areas, volumes, hours, and counts of members. Any consistent units.

The counting rules are those of US Army Engineer School, Subcourse EN5151 ed. B, Design Forms for a
Concrete Wall, 2006 (READ), step by step; counts are rounded up, spacings down.
"""

from __future__ import annotations

import math

from formpressure.units import TOLERANCE


def whole_up(value: float) -> int:
    """The next whole number, unless the value is whole within the one tolerance."""
    return math.ceil(value * (1.0 - TOLERANCE))


def whole_down(value: float) -> int:
    """The whole number below, unless the value is whole within the one tolerance."""
    return math.floor(value * (1.0 + TOLERANCE))


def plan_area(length: float, thickness: float) -> float:
    """Area of concrete in plan that is raised at once (EN5151 Step 3)."""
    return length * thickness


def volume(length: float, thickness: float, height: float) -> float:
    """Concrete in a plain wall."""
    return plan_area(length, thickness) * height


def filling_hours(height: float, rate: float) -> float:
    """Hours to fill a height at a rate of placement."""
    return height / rate


def mixer_output(capacity: float, batch_minutes: float, mixers: int) -> int:
    """Concrete for each hour from site mixers, rounded up to a whole unit (EN5151 Step 2)."""
    return whole_up(capacity * mixers * 60.0 / batch_minutes)


def stud_count(length: float, spacing: float) -> int:
    """Studs of one face: length over spacing and one more, rounded up (EN5151 Step 15)."""
    return whole_up(length / spacing + 1.0)


def wale_count(height: float, spacing: float) -> int:
    """Wales of one face, the first half a spacing above the bottom (EN5151 Step 16)."""
    return whole_down((height - spacing / 2.0) / spacing) + 1


def tie_count(length: float, spacing: float) -> int:
    """Ties along one wale, rounded up (course text "Construction Cost Estimating", READ)."""
    return whole_up(length / spacing)


def tie_spacing(tie_load: float, wale_load: float) -> int:
    """Whole inches between ties of `tie_load` lb on a wale with `wale_load` lb/ft.

    EN5151 Step 12 puts the breaking load in here without a factor. Put in the usable load.
    """
    return whole_down(12.0 * tie_load / wale_load)


def tie_at_crossing(stud_spacing: float, tie_spacing: float) -> float:
    """Spacing of studs and ties where ties sit at crossings with wales (EN5151 Step 14)."""
    return min(stud_spacing, tie_spacing)
