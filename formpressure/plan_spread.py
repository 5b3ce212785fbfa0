"""The record of the plan that tells how far inputs lie apart: to sample, never for a verdict.

Of `concrete` and `delivery` the plan gives bounds (coldest, wettest, heaviest, fastest); here it
may give what is expected on the day and how far that lies apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.errors import Refusal
from formpressure.keys import OPENS, Measure, key

NORMAL, UNIFORM = "normal", "uniform"
NOT_VARIED = "not varied, and told so"
# Inputs that may vary, in the order in which their numbers are drawn; where the plan states each.
PLACES = {
    "rate": "delivery.fastest_rise", "temperature": "concrete.temperature",
    "unit_weight": "concrete.unit_weight", "slump": "concrete.slump",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    shape: str | None = key(
        "choice", OPENS, "of every spread: `normal`, each width is one standard deviation; or "
        "`uniform`, each width is what is possible to either side", blank="normal",
        choices=(NORMAL, UNIFORM),
    )  # fmt: skip
    rate: Measure | None = key("rate_spread", OPENS, "width of the fastest rise", blank=NOT_VARIED)
    expected_rate: Measure | None = key(
        "rate", OPENS, "fastest rise expected on the day", blank="the fastest rise of the plan"
    )
    temperature: Measure | None = key(
        "temperature_spread", OPENS, "width of the temperature of the concrete", blank=NOT_VARIED
    )
    expected_temperature: Measure | None = key(
        "temperature", OPENS, "temperature expected on the day", blank="that of the plan"
    )
    unit_weight: Measure | None = key(
        "unit_weight_spread", OPENS, "width of the unit weight", blank=NOT_VARIED
    )
    expected_unit_weight: Measure | None = key(
        "unit_weight", OPENS, "unit weight expected on the day", blank="that of the plan"
    )
    slump: Measure | None = key("slump_spread", OPENS, "width of the slump", blank=NOT_VARIED)
    expected_slump: Measure | None = key(
        "slump", OPENS, "slump expected on the day", blank="that of the plan"
    )


def refuse_no_spread(spread: Spread | None, concrete: Any) -> None:
    """What no single key can tell: a spread of nothing, or of what the plan does not give."""
    if spread is None:
        return
    widths = [term for term in PLACES if getattr(spread, term) is not None]
    for term in PLACES:
        expected = f"expected_{term}"
        if getattr(spread, expected) is not None and term not in widths:
            raise Refusal("has no width", f"Add spread.{term}", key=f"spread.{expected}")
    if not widths:
        cure = "Give the width of at least one input, such as spread.temperature"
        raise Refusal("nothing varies", cure, key="spread")
    for term in ("temperature", "slump"):
        if term in widths and getattr(concrete, term) is None:
            cure = f"Add {PLACES[term]}, which the verdict is made of"
            raise Refusal("a spread of what the plan does not give", cure, key=f"spread.{term}")
