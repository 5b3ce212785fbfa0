"""Ratings brought to the factor of 2 that ACI asks of form ties; never more than was stated.

A design resistance is divided by the partial factor on the pressure instead, where the pressure
document works with one: resistance >= gamma_F x characteristic load, the load taken bare.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import TOLERANCE

if TYPE_CHECKING:
    from formpressure.rule import Rule

FACTOR = 2.0
CLAUSE = Clause(
    "ACI 347R-14", "Table 4.4 (ACI 347-04 Table 2.3)",
    "minimum safety factor 2.0 on the ultimate strength of form ties", Label.QUOTED,
)  # fmt: skip
# Factors 1.25, 1.5 and 2 occur in catalogues: Concrete Construction, Q&A "Safety factor for form
# ties" (READ). No document was found that sets a factor for panels; the same 2 is our own choice.
OWN = Clause("formpressure", "own limit", "panel ratings brought to a factor of 2", Label.OWN)
DESIGN = "design resistance"
SMALLEST_FACTOR, LARGEST_FACTOR = 1.0, 10.0


@dataclass(frozen=True, slots=True)
class Rating:
    """A stated load or pressure, its basis, and what may be used of it."""

    stated: float
    basis: str
    factor: float  # on breaking; 1 where the stated value is the breaking value itself, or is
    # taken for it (a design resistance)
    usable: float
    clause: Clause

    @property
    def is_breaking(self) -> bool:
        return self.basis.startswith("breaking")

    @property
    def is_design(self) -> bool:
        return self.basis == DESIGN


_WORKING = re.compile(r"working (?:load|pressure) at (\d{1,2}(?:\.\d{1,3})?)\s*(?::|to)\s*1")


def rating(stated: float, basis: str, clause: Clause = CLAUSE, by: Rule | None = None) -> Rating:
    """min(stated, stated x factor / 2); a breaking value is halved; a design resistance is taken
    by a document with partial factors, `by`.

    Raises Refusal when the basis does not tell the factor, or is none that the document takes.

    >>> rating(3000.0, "working load at 1.5:1").usable
    2250.0
    """
    text = " ".join(basis.casefold().split())
    if text in ("breaking load", "breaking pressure"):
        return Rating(stated, text, 1.0, stated / FACTOR, clause)
    if text == DESIGN:
        return _design(stated, basis, by)
    if text == "allowable stress" and clause is OWN:
        return Rating(stated, text, FACTOR, stated, clause)
    found = _WORKING.fullmatch(text)
    if not found or not SMALLEST_FACTOR - TOLERANCE <= float(found[1]) <= LARGEST_FACTOR:
        cure = 'Write "working load at 2:1" with the factor of the sheet, or "breaking load"'
        if clause is OWN:
            cure = 'Write "working pressure at 2:1", "breaking pressure" or "allowable stress"'
        raise Refusal("does not tell the factor on breaking", cure, value=basis)
    factor = float(found[1])
    return Rating(stated, text, factor, min(stated, stated * factor / FACTOR), clause)


def _design(stated: float, basis: str, by: Rule | None) -> Rating:
    if by is None or by.partial_factor is None or by.partial_clause is None:
        who = "this check" if by is None else str(by.document)
        cure = 'Write "working load at 2:1" or "breaking load", or name a document that does'
        raise Refusal(f"{who} does not compare design resistances", cure, value=basis)
    return Rating(stated, DESIGN, 1.0, stated / by.partial_factor, by.partial_clause)
