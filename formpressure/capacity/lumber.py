"""Sawn lumber of a form: dressed sizes, and design values adjusted by the factors of NDS.

Forms count as wet. What each factor may touch: CD on Fb, Ft, Fv and Fc only, never on bearing or
E; CF not on Southern Pine, whose table holds it since 2013; Cr on studs, not on wales; CM on Fb
and Fc is spared below a limit. Inches and psi; data and sources in data/lumber.toml.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from formpressure.capacity import spans as span_formulas
from formpressure.capacity.spans import THREE, Spans
from formpressure.records import Clause, Label
from formpressure.tables import Row, Table, load_tables
from formpressure.units import at_most

# Seven days for a form used once. A reused one passes seven days at full load in all: CD is 1.0,
# University of Florida lectures, week 7 (READ). Other texts take 1.25, one only where used once.
ONCE, REUSED = "seven days", "ten years"
BEARING = Clause(
    "NDS, National Design Specification for Wood Construction",
    "3.10, in University of Florida lectures (D. Allen, 2014-20), week 7",
    "compression across the grain: wet, without load duration factor", Label.QUOTED,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lumber:
    """One member, of one piece or more side by side, with its adjusted values in psi.

    `b` is its whole width under load, `d` its depth in the direction of the load, inches.
    """

    b: float
    d: float
    F_b: float
    F_t: float
    F_v: float
    F_c: float  # Fc with every factor but CP
    F_cp: float  # bearing across the grain
    E: float
    E_min: float
    clauses: tuple[Clause, ...]  # where its size, values and factors stand

    @property
    def clause(self) -> Clause:
        """The least sure of its sources: one from memory, else that of its values."""
        return least_sure(self.clauses)

    @property
    def area(self) -> float:
        """Area, in2."""
        return self.b * self.d

    @property
    def modulus(self) -> float:
        """Section modulus S = b d^2 / 6, in3."""
        return self.b * self.d**2 / 6.0

    @property
    def inertia(self) -> float:
        """Moment of inertia I = b d^3 / 12, in4."""
        return self.b * self.d**3 / 12.0


def least_sure(clauses: tuple[Clause, ...]) -> Clause:
    """The first clause that is from memory, else the first."""
    return next((c for c in clauses if c.label is Label.MEMORY), clauses[0])


def _table(name: str) -> Table:
    return load_tables("lumber")[name]


def dressed_size(size: str) -> tuple[float, float]:
    """Thickness and width in inches of a nominal size."""
    row = _table("sizes").find(size=size)
    return float(row["b"]), float(row["d"])


def reference_values(size: str, species: str, grade: str) -> Row:
    """Design values before any factor; Refusal for what is not tabulated."""
    return _table("values").find(species=species, grade=grade, sizes=size)


def duration_factor(load: str) -> float:
    """CD of "permanent", "ten years", "two months", "seven days", "ten minutes" or "impact"."""
    return float(_table("duration").find(load=load)["CD"])


def wet_bending_factor(Fb_CF: float) -> float:
    """CM on Fb; 1.0 where Fb x CF is small enough.

    >>> wet_bending_factor(900 * 1.5), wet_bending_factor(1100)
    (0.85, 1.0)
    """
    row = _table("wet").rows[0]
    return 1.0 if at_most(Fb_CF, row["Fb_spared"]) else float(row["Fb"])


def wet_compression_factor(Fc_CF: float) -> float:
    """CM on Fc; 1.0 where Fc x CF is small enough."""
    row = _table("wet").rows[0]
    return 1.0 if at_most(Fc_CF, row["Fc_spared"]) else float(row["Fc"])


def size_factors(size: str, species: str, grade: str) -> tuple[float, float]:
    """CF on Fb (and Ft) and on Fc; both are in the values of Southern Pine already."""
    if species == "Southern Pine":
        return 1.0, 1.0
    row = _table("size_factor").find(grade=grade, sizes=size)
    return float(row["Fb"]), float(row["Fc"])


def repetitive_factor(spacing: float) -> float:
    """Cr of members joined by sheathing, three or more of them, at a spacing in inches."""
    row = _table("repetitive").rows[0]
    return float(row["Cr"]) if at_most(spacing, row["most_spacing"]) else 1.0


def adjusted_bending(Fb: float, CD: float, CF: float, Cfu: float = 1.0, Cr: float = 1.0) -> float:
    """F'b = Fb CD CM CF Cfu Cr, wet, psi.

    >>> round(adjusted_bending(900, 1.25, 1.5, Cr=1.15), 2)
    1649.53
    """
    return Fb * CD * wet_bending_factor(Fb * CF) * CF * Cfu * Cr


def bearing_value(species: str) -> float:
    """F'c-perp of a species, wet, psi: no load duration factor, no factor for short bearings.

    >>> round(bearing_value("Douglas Fir-Larch"), 2)
    418.75
    """
    row = _table("values").find(species=species, grade="No.2")
    return float(row["Fcp"] * _table("wet").rows[0]["Fcp"])


@cache
def form_lumber(
    size: str, species: str, grade: str, *, pieces: int = 1, load: str = REUSED,
    spacing: float | None = None, flat: bool = False,
) -> Lumber:  # fmt: skip
    """A wet member of a form. `load` names CD; give `spacing`, in inches, only where members are
    joined by sheathing (studs); `flat`: the load comes on the wide face.

    Raises Refusal for a size, species and grade that are not tabulated together.
    """
    thickness, width = dressed_size(size)
    row, wet = reference_values(size, species, grade), _table("wet").rows[0]
    used = [row, _table("sizes").find(size=size), _table("duration").find(load=load), wet]
    if species != "Southern Pine":
        used.append(_table("size_factor").find(grade=grade, sizes=size))
    if flat:
        used.append(_table("flat_use").find(size=size))
    if spacing is not None:
        used.append(_table("repetitive").rows[0])
    CD = duration_factor(load)
    CF, CF_c = size_factors(size, species, grade)
    Cfu = float(_table("flat_use").find(size=size)["Cfu"]) if flat else 1.0
    Cr = repetitive_factor(spacing) if spacing is not None else 1.0
    b, d = (width, thickness) if flat else (thickness, width)
    return Lumber(
        b=pieces * b,
        d=d,
        F_b=adjusted_bending(row["Fb"], CD, CF, Cfu, Cr),
        F_t=row["Ft"] * CD * wet["Ft"] * CF,
        F_v=row["Fv"] * CD * wet["Fv"],
        F_c=row["Fc"] * CD * wet_compression_factor(row["Fc"] * CF_c) * CF_c,
        F_cp=row["Fcp"] * wet["Fcp"],
        E=row["E"] * wet["E"],
        E_min=row["Emin"] * wet["E"],
        clauses=tuple(r.clause for r in used),
    )


def allowed_loads(member: Lumber, span: float, spans: Spans = THREE) -> dict[str, float]:
    """Largest load in lb/ft on a span in inches, by bending, shear and deflection."""
    m = member
    return {
        "bending": span_formulas.load_by_bending(m.F_b, m.modulus, span, spans),
        "shear": span_formulas.load_by_shear(m.F_v, m.b, m.d, span, spans),
        "deflection": span_formulas.load_by_deflection(m.E, m.inertia, span, spans),
    }


def bearing_load(F_cp: float, area: float) -> float:
    """Load in lb that wood may carry across the grain on an area in in2."""
    return F_cp * area
