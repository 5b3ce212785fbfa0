"""From the layout to the mechanics: where tie lines stand, in bare numbers, and what each holds."""

from __future__ import annotations

import numpy as np

from formpressure.demand.ties import TieRows, stretch_widths, tie_rows
from formpressure.errors import Refusal
from formpressure.job.layout import Layout
from formpressure.plan import Plan
from formpressure.statics.hinged import Floats
from formpressure.units import across
from formpressure.wall_path import Side


def find_layout(plan: Plan) -> Layout | None:
    """The layout of a plan that has one. Raises Refusal where it cannot be laid out."""
    if plan.layout is None:
        return None
    try:
        from formpressure.job.layout_solve import layout_of  # the solver only for such plans
    except ModuleNotFoundError as missing:
        cure = 'Install it: python -m pip install "formpressure[frames]"'
        raise Refusal(f"needs {missing.name}", cure, file=plan.file, key="layout") from None
    return layout_of(plan)


def unit_of(layout: Layout, system: str) -> float:
    """A foot or metre of the layout in the lengths of `system`."""
    return float(across("length", 1.0, layout.path.system, system))


def tie_width(layout: Layout, side: Side, system: str) -> tuple[Floats, Floats]:
    """Places of all that holds the form of a side, and the width of form on each; bare.

    Places count from where the form turns the first corner, which holds it as well.
    """
    supports, reach = layout.supports(side)
    if len(supports) < 2:
        cure = "Give layout.end_ties, or narrower panels"
        raise Refusal("fewer than two tie lines hold this side", cure, key="layout.sides",
                      value=side.name)  # fmt: skip
    unit = unit_of(layout, system)
    places = np.array([float(place) for place in supports]) * unit
    return places, stretch_widths(places, float(reach) * unit)


def rows_above(rows: TieRows, bottom: float) -> TieRows | None:
    """The same rows over a footing that stands `bottom` higher: panels and clips start there.

    None of their loads is over that of the same row at the deepest footing, which the verdict
    looks at: there the rising surface stood as high over the row, too, and no load of both models
    falls when the surface rises further.
    None where the step is below this placement; the joint then takes its place.
    """
    return None if bottom <= rows.start else tie_rows(
        tuple(y + bottom for y in rows.heights), bottom, rows.top, rows.width
    )  # fmt: skip
