"""Members under uniform load: what a span may carry.

The published handbook formulas: spans l in inches, loads w in lb/ft (psf on a strip 1 ft wide),
stresses in psi, section properties in inches, plywood for each foot of width. SI plans pass the
door `inch_pound` and `own_units` below; nothing else here knows of them.

Sources: R. L. Peurifoy and G. D. Oberlender, Formwork for Concrete Structures, 4th ed. (2011),
pp. 117 and 285 (PO), and University of Florida lectures by D. Allen (2014-20), week 6 (UF): READ
for three or more spans. One and two spans: OWN (statics), as marked.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from math import sqrt

from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import enter, leave

FORMULAS = Clause(
    "R. L. Peurifoy and G. D. Oberlender, Formwork for Concrete Structures, 4th ed., 2011",
    "pp. 117, 285", "spans of uniformly loaded members", Label.READ,
)  # fmt: skip
FLATTEST, LARGEST = 1.0 / 360.0, 1.0 / 16.0  # deflection: of the span, and inches; PO and UF, READ


@dataclass(frozen=True, slots=True)
class Spans:
    """Divisors of the handbook formulas for a number of equal spans.

    Moment w l^2 / moment (in-lb), shear w l / shear (lb), of plywood w l / rolling, deflection
    w l^4 / (deflection E I) (in.).
    """

    moment: float
    shear: float
    rolling: float
    deflection: float


# 1 and 2 spans, OWN (statics): wL2/8; wL/2 and 5wL/8; 5wL4/384EI and (39 + 55 sqrt 33)/65536 of
# wL4/EI, in inches and lb/ft. PO and UF print the same but 2220 for the deflection of 2 spans.
ONE = Spans(96.0, 24.0, 24.0, 4608.0 / 5.0)
TWO = Spans(96.0, 19.2, 19.2, 12.0 * 65536.0 / (39.0 + 55.0 * sqrt(33.0)))
# 3 or more, READ: wL2/10; shear of lumber 5/8 wL (PO) or 0.6wL (UF), rolling shear 0.6wL (UF, APA);
# deflection 1743 (PO) or 1740 (UF). Checks take THREE, the more severe shear. By statics wL2/10 is
# 7 % low for four full spans, more while a tall form is part full; the handbooks take it all the
# same.
THREE = Spans(120.0, 19.2, 20.0, 1743.0)
# Each at its worst, for unequal spans or an unknown number of them. A beam that ties can only pull
# on bends no more than the largest wL2/8 of its spans, and sags no more than simple spans do: OWN.
WORST = Spans(96.0, 19.2, 19.2, 4608.0 / 5.0)


def spans_of(number: int | None) -> Spans:
    """The divisors for a number of equal spans; None where it is not known.

    >>> spans_of(5) == THREE
    True
    """
    if number is None:
        return WORST
    if number < 1:
        raise Refusal("no span at all", "Write 1 or more", value=number)
    return {1: ONE, 2: TWO}.get(number, THREE)


def line_load(pressure: float, spacing: float) -> float:
    """Load on a member, lb/ft, from the pressure in psf on a strip as wide as the spacing, in."""
    return pressure * spacing / 12.0


def load_by_bending(F: float, S: float, span: float, spans: Spans = THREE) -> float:
    """Largest load, lb/ft: 120 F S / l^2 for three or more spans.

    >>> round(load_by_bending(1787.5, 0.412, 9.21), 1)
    1041.9
    """
    return spans.moment * F * S / span**2


def load_by_shear(F: float, b: float, d: float, span: float, spans: Spans = THREE) -> float:
    """Largest load on lumber, lb/ft: 192 F b d / (15 (l - 2d)) for three or more spans.

    The load within d of a support is left out (NDS 3.4.3); infinite where that is the whole load.
    """
    if span <= 2.0 * d:
        return float("inf")
    return spans.shear * 2.0 / 3.0 * F * b * d / (span - 2.0 * d)


def load_by_rolling_shear(F: float, IbQ: float, span: float, spans: Spans = THREE) -> float:
    """Largest load on plywood, psf: 20 F (Ib/Q) / l for three or more spans; infinite where its
    supports leave no clear span."""
    return spans.rolling * F * IbQ / span if span > 0.0 else float("inf")


def deflection(E: float, inertia: float, w: float, span: float, spans: Spans = THREE) -> float:
    """Deflection by bending in inches: w l^4 / (1743 E I) for three or more spans."""
    return w * span**4 / (spans.deflection * E * inertia)


def deflection_limit(span: float, largest: float = LARGEST) -> float:
    """Largest deflection in inches: l/360 and not over 1/16 in."""
    return min(span * FLATTEST, largest)


def load_by_deflection(E: float, inertia: float, span: float, spans: Spans = THREE) -> float:
    """Largest load, lb/ft, within the limit of deflection."""
    return deflection_limit(span) / deflection(E, inertia, 1.0, span, spans)


def allowed_moment(F: float, S: float) -> float:
    """Moment a section may carry, in-lb."""
    return F * S


def allowed_shear(F: float, b: float, d: float) -> float:
    """Shear a rectangle may carry, lb: 2 F b d / 3."""
    return 2.0 / 3.0 * F * b * d


# The door between SI plans and the inch-pound formulas of all capacities of wood.


@functools.cache
def _scale(term: str, system: str) -> float:
    return float(enter(term, leave(term, 1.0, system), "US"))


def inch_pound(term: str, bare: float, system: str) -> float:
    """A bare number of a term in the units of `system` -> in US units (in, ft, lb, psf, plf).

    >>> round(inch_pound("size", 19.05, "SI"), 6)
    0.75
    """
    return bare * _scale(term, system)


def own_units(term: str, bare: float, system: str) -> float:
    """A bare number in US units -> in the units of `system`."""
    return bare / _scale(term, system)
