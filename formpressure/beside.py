"""A research model and measurements set beside what the documents say: shown, never a verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure.research.measured import Measured, measured_pressures
from formpressure.research.ovarlez_roussel_2006 import held, ovarlez_roussel
from formpressure.rule import RULES
from formpressure.units import across, read
from formpressure.verdict import Verdict

Floats = NDArray[np.float64]
GROWTHS = (0.1, 0.2, 0.5)  # Pa/s: both limits of the classes, and one between
POINTS = 61
# Neither text states the unit weight. This one is ours, to compare; liquid head goes with it.
UNIT_WEIGHT = "145 pcf"


@dataclass(frozen=True, slots=True)
class Beside:
    """The research model beside the pressure that is judged, over depth; bare, in plan units.

    `curves` is (growths, depths), by `GROWTHS`. `full` is liquid head.
    """

    verdict: Verdict
    depths: Floats
    judged: Floats
    full: Floats
    curves: Floats


@dataclass(frozen=True, slots=True)
class Compared:
    """One measured pressure as a share of liquid head, beside the shares that models give.

    `by_document` is ACI 347R-14, which asks for full liquid head with self-consolidating concrete;
    `by_model` of each of `GROWTHS`, None where the text does not state what the model needs.
    """

    measured: Measured
    share: float
    by_document: float
    by_model: tuple[float, ...] | None


def beside_plan(verdict: Verdict) -> Beside | None:
    """The model with the plan's height, thickness, rate and unit weight; None where one is blank.

    The model knows nothing of temperature, cement or slump; it is for concrete that is not
    vibrated. No plan gives the growth of the yield stress, so three are shown.
    """
    case, system = verdict.case, verdict.case.rule.system
    thickness, rate = case.bare.delivery.thickness, case.rate
    if thickness is None or rate is None:
        return None
    depths = np.linspace(0.0, case.rows.top - case.rows.start, POINTS)
    z, e, r, w = (
        across(term, bare, system, "SI")
        for term, bare in (("depth", depths), ("thickness", thickness), ("rate", rate),
                           ("unit_weight", case.given["unit_weight"]))
    )  # fmt: skip
    curves = np.array([across("pressure", held(z, w, e, r, a), "SI", system) for a in GROWTHS])
    return Beside(verdict, depths, verdict.envelope.pressure(depths),
                  verdict.full.pressure(depths), curves)  # fmt: skip


def beside_measured() -> tuple[Compared, ...]:
    """Every measured pressure whose share of liquid head is known."""
    return tuple(_compared(m) for m in measured_pressures() if m.pressure is not None)


def _compared(found: Measured) -> Compared:
    share = found.share_of_head(UNIT_WEIGHT)
    weight, height = read("unit_weight", UNIT_WEIGHT), found.height
    head = found.liquid_head if height is None else weight * height
    asked = RULES["aci347r_2014"](
        height=(head / weight).to("ft"), unit_weight=weight, self_consolidating=True
    )
    shares: list[float] | None = None
    if None not in (height, found.rate, found.thickness):
        model: dict[str, Any] = {
            "height": height, "thickness": found.thickness, "rate": found.rate,
            "unit_weight": weight,
        }  # fmt: skip
        shares = [ovarlez_roussel(**model, growth=f"{a} Pa/s").share for a in GROWTHS]
    by_document = float((asked.peak / head).m_as(""))
    return Compared(found, share, by_document, None if shares is None else tuple(shares))
