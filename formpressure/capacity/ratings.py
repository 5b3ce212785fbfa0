"""Ratings brought to the factor of 2 that ACI asks of form ties; never more than was stated."""

from __future__ import annotations

import re
from dataclasses import dataclass

from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import TOLERANCE

FACTOR = 2.0
CLAUSE = Clause(
    "ACI 347R-14", "Table 4.4 (ACI 347-04 Table 2.3)",
    "minimum safety factor 2.0 on the ultimate strength of form ties", Label.QUOTED,
)  # fmt: skip
# Factors 1.25, 1.5 and 2 occur in catalogues: Concrete Construction, Q&A "Safety factor for form
# ties" (READ). No document was found that sets a factor for panels; the same 2 is our own choice.
OWN = Clause("formpressure", "own limit", "panel ratings brought to a factor of 2", Label.OWN)
SMALLEST_FACTOR, LARGEST_FACTOR = 1.0, 10.0


@dataclass(frozen=True, slots=True)
class Rating:
    """A stated load or pressure, its basis, and what may be used of it."""

    stated: float
    basis: str
    factor: float  # on breaking; 1 where the stated value is the breaking value itself
    usable: float
    clause: Clause

    @property
    def is_breaking(self) -> bool:
        return self.basis.startswith("breaking")


_WORKING = re.compile(r"working (?:load|pressure) at (\d{1,2}(?:\.\d{1,3})?)\s*(?::|to)\s*1")


def rating(stated: float, basis: str, clause: Clause = CLAUSE) -> Rating:
    """min(stated, stated x factor / 2); a breaking value is halved.

    Raises Refusal when the basis does not tell the factor.

    >>> rating(3000.0, "working load at 1.5:1").usable
    2250.0
    """
    text = " ".join(basis.casefold().split())
    if text in ("breaking load", "breaking pressure"):
        return Rating(stated, text, 1.0, stated / FACTOR, clause)
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
