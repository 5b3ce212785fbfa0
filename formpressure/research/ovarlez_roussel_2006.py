"""Ovarlez and Roussel 2006: pressure of concrete that stiffens at rest between the two faces.

A research comparison, never a verdict: it is no rule, and nothing finds it by its name. Source:
G. Ovarlez, N. Roussel, A physical model for the prediction of lateral stress exerted by
self-compacting concrete on formwork, Materials and Structures 39, 2006 (equation from memory,
confirm against the paper; only its abstract was read). What follows from it here is our own, by the
same equilibrium of a slice: docs/research.md derives it.

Symbols: w unit weight, e wall thickness, R rate, A growth of the yield stress at rest (Athix), z
depth below the surface. Bare numbers are in kN/m3, m, m/h, Pa/s, kPa and h.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from formpressure.envelope import Number
from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import enter, leave

EQUATION = Clause(
    "Ovarlez and Roussel 2006", "equation for a wall",
    "friction on both faces grows with the time at rest and takes off liquid head", Label.MEMORY,
)  # fmt: skip
PLATEAU = Clause(
    "formpressure", "own derivation",
    "from the depth where the friction balances the weight the pressure is held, never lowered; "
    "at rest after the last concrete the friction grows on",
    Label.OWN,
)  # fmt: skip
DISTURBED = Clause(
    "formpressure", "own reading",
    "vibration or any other disturbance sets the friction back: full liquid head", Label.OWN,
)  # fmt: skip
HOUR = 3.6  # Pa/s over m/h -> kPa/m


@dataclass(frozen=True, slots=True)
class Thixotropy:
    """One class of concrete by how fast its yield stress grows at rest, Pa/s."""

    name: str
    least: float
    most: float
    clause: Clause


_CLASSES = Clause(
    "N. Roussel, A thixotropy model for fresh fluid concretes, Cement and Concrete Research 36, "
    "2006", "classification (that there is one: its abstract)", "classes by Athix", Label.MEMORY,
)  # fmt: skip
CLASSES = (
    Thixotropy("non-thixotropic", 0.0, 0.1, _CLASSES),
    Thixotropy("thixotropic", 0.1, 0.5, _CLASSES),
    Thixotropy("highly thixotropic", 0.5, np.inf, _CLASSES),
)


def stiffening_class(growth: float) -> Thixotropy:
    """The class of a growth in Pa/s; a limit itself counts as the class below, which stiffens
    less."""
    return next(c for c in CLASSES if growth <= c.most)


def as_printed(
    depth: Number, unit_weight: Number, thickness: Number, rate: Number, growth: Number
) -> Number:
    """The equation as it stands, kPa: w z (1 - z A / (w e R)). Past 2 z* it turns negative."""
    return unit_weight * depth - HOUR * growth / (thickness * rate) * depth**2


def balance_depth(
    unit_weight: Number, thickness: Number, rate: Number, growth: Number, rest: Number = 0.0
) -> Number:
    """z* - R t, m: where the friction has grown to balance the weight of a slice; z* = w e R / 2A.

    Infinity where nothing stiffens; zero where the whole height has come to rest long enough.
    """
    with np.errstate(divide="ignore"):
        start = np.divide(unit_weight * thickness * rate, 2.0 * HOUR * np.asarray(growth, float))
    return np.maximum(start - rate * rest, 0.0)


def held(
    depth: Number, unit_weight: Number, thickness: Number, rate: Number, growth: Number,
    rest: Number = 0.0,
) -> Number:  # fmt: skip
    """Pressure with its plateau, kPa, `rest` hours after the last concrete; never over w z.

    From the balance depth down it is held: there z* gives half the liquid head of that depth.
    """
    balance = balance_depth(unit_weight, thickness, rate, growth, rest)
    depth = np.minimum(np.maximum(depth, 0.0), balance)
    at_rest = 2.0 * HOUR * np.asarray(growth, float) * rest / thickness * depth
    return as_printed(depth, unit_weight, thickness, rate, growth) - at_rest


@dataclass(frozen=True, slots=True)
class Research:
    """What the model gives for one wall; quantities. Never a verdict, never over liquid head."""

    peak: Any  # the largest pressure
    balance: Any  # depth from which it is held; infinite where nothing stiffens
    liquid_head: Any  # of the whole height
    thixotropy: Thixotropy
    clauses: tuple[Clause, ...]

    @property
    def share(self) -> float:
        """Peak over liquid head."""
        return float((self.peak / self.liquid_head).m_as(""))


def ovarlez_roussel(
    *, height: Any, thickness: Any, rate: Any, unit_weight: Any, growth: Any, rest: Any = None,
    disturbed: bool = False,
) -> Research:  # fmt: skip
    """The model for one wall, quantities or text in ("8 m", "0.2 Pa/s"), quantities out.

    `rest` is the time since the last concrete. `disturbed` tells of vibration or anything else that
    stirs the concrete in the form: then full liquid head. Raises Refusal for a bare number, and
    where thickness or rate is nothing.
    """
    h, e, r = enter("height", height, "SI"), enter("thickness", thickness, "SI"), enter(
        "rate", rate, "SI")  # fmt: skip
    w, a = enter("unit_weight", unit_weight, "SI"), enter("stiffening", growth, "SI")
    hours = 0.0 if rest is None else enter("duration", rest, "SI") / 60.0
    for key, value in (("height", h), ("thickness", e), ("rate", r), ("unit_weight", w)):
        if not value > 0.0:
            raise Refusal("nothing, or less", "Give what was measured", key=key, value=value)
    if a < 0.0 or hours < 0.0:
        raise Refusal("less than nothing", "Give what was measured", key="growth or rest")
    head = w * h
    peak = head if disturbed else min(float(held(h, w, e, r, a, hours)), head)
    balance = np.inf if disturbed else float(balance_depth(w, e, r, a, hours))
    clauses = (DISTURBED,) if disturbed else (EQUATION, PLATEAU)
    return Research(
        leave("pressure", peak, "SI"), leave("depth", balance, "SI"), leave("pressure", head, "SI"),
        stiffening_class(a), clauses,
    )  # fmt: skip
