"""Plywood sheathing of a form, only as tabulated: grade, thickness and way of the face grain.

Form grade class I is printed with seven days of load and wet use inside, so CD never comes on top.
The two group 1 panels are printed for normal duration, one wet, one dry. Inches and psi, for each
foot of width; data and sources in data/plywood.toml.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from formpressure.capacity import spans as span_formulas
from formpressure.capacity.lumber import ONCE, duration_factor, least_sure
from formpressure.capacity.spans import LARGEST, THREE, Spans, deflection_limit
from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.tables import load_tables
from formpressure.units import TOLERANCE

# Deflection span beyond the clear span, for framing 2 in. and 4 in. thick (nominal): R. L. Peurifoy
# and G. D. Oberlender, Formwork for Concrete Structures, 4th ed. (2011), p. 231 (READ).
BEYOND_CLEAR_2, BEYOND_CLEAR_4 = 0.25, 0.625
THICK_FRAMING = 3.5  # a support of 4 in. nominal, dressed
# Deflection by shear: C w t^2 l^2 / (1270 Ee I), C = 120 across, 60 along; l the clear span.
SHEAR_DEFLECTION = Clause(
    "American Plywood Association", "Plywood Design Specification",
    "deflection by shear added to that by bending", Label.MEMORY,
)  # fmt: skip
SHEAR_C = {"across": 120.0, "along": 60.0}
SHEAR_DIVISOR = 1270.0


@dataclass(frozen=True, slots=True)
class Plywood:
    """One panel, its face grain across or along its supports, with its values in psi.

    `E_shear` is 0 where `E` holds an allowance for shear.
    """

    thickness: float
    face_grain: str
    inertia: float
    modulus: float
    IbQ: float
    F_b: float
    F_s: float
    E: float
    E_shear: float
    clauses: tuple[Clause, ...]  # where its stresses, section and rule for deflection stand

    @property
    def clause(self) -> Clause:
        """The least sure of its sources for stress."""
        return least_sure(self.clauses[:2])

    @property
    def deflection_clause(self) -> Clause:
        """Where the rule for its deflection stands."""
        return self.clauses[-1] if self.E_shear else self.clause


@cache
def form_plywood(thickness: float, grade: str, face_grain: str, *, reused: bool) -> Plywood:
    """The panel of a thickness in inches; Refusal for what is not tabulated."""
    tables = load_tables("plywood")
    rows = [
        r for r in tables["sections"].rows if (r["grade"], r["face_grain"]) == (grade, face_grain)
    ]
    found = [r for r in rows if abs(r["thickness"] - thickness) <= TOLERANCE * thickness]
    if not found:
        known = ", ".join(f"{r['nominal']} in" for r in rows)
        cure = f"Use {known}" if rows else "Only face grain across the studs is tabulated here"
        problem = f"not a tabulated thickness of {grade}, face grain {face_grain}"
        raise Refusal(problem, cure, value=f"{thickness:g} in")
    section = found[0]
    stress = tables["stresses"].find(grade=grade, reused=reused)
    CD = 1.0 if reused or stress["duration"] != "normal" else duration_factor(ONCE)
    E_shear = stress.values.get("E_shear", 0.0)
    return Plywood(
        thickness=thickness,
        face_grain=face_grain,
        inertia=section["I"],
        modulus=section["S"],
        IbQ=section["IbQ"],
        F_b=stress["Fb"] * CD,
        F_s=stress["Fs"] * CD,
        E=stress["E"],
        E_shear=E_shear,
        clauses=(stress.clause, section.clause, *([SHEAR_DEFLECTION] if E_shear else [])),
    )


def panel_deflection(
    panel: Plywood, pressure: float, spacing: float, support: float, spans: Spans = THREE
) -> float:
    """Deflection in inches under a pressure in psf between supports `support` inches wide.

    With `E_shear`: bending over the clear span and a little beyond, and shear over the clear span.
    Otherwise bending from centre to centre, where `E` already allows for shear.
    """
    if not panel.E_shear:
        return span_formulas.deflection(panel.E, panel.inertia, pressure, spacing, spans)
    clear = max(spacing - support, 0.0)
    beyond = BEYOND_CLEAR_4 if support >= THICK_FRAMING else BEYOND_CLEAR_2
    bent = span_formulas.deflection(panel.E, panel.inertia, pressure, clear + beyond, spans)
    C = SHEAR_C[panel.face_grain]
    t = panel.thickness
    return bent + C * pressure * t**2 * clear**2 / (SHEAR_DIVISOR * panel.E_shear * panel.inertia)


def allowed_pressures(
    panel: Plywood, spacing: float, support: float, spans: Spans = THREE, largest: float = LARGEST
) -> dict[str, float]:
    """Largest pressure in psf between supports at a spacing and of a width in inches.

    Bending from centre to centre, rolling shear over the clear span, deflection at most l/360 of
    the spacing and `largest`. With l/360 alone (`largest` infinite) the form grade comes out
    within 1.5 %, or half of the 5 psf they step by, of what Peurifoy and Oberlender print after
    APA (Tables 4-13, 9-7).
    """
    p, limit = panel, deflection_limit(spacing, largest)
    return {
        "bending": span_formulas.load_by_bending(p.F_b, p.modulus, spacing, spans),
        "rolling shear": span_formulas.load_by_rolling_shear(
            p.F_s, p.IbQ, spacing - support, spans
        ),
        "deflection": limit / panel_deflection(p, 1.0, spacing, support, spans),
    }
