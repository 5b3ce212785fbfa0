"""Limits and loads of the scaffold brackets that hang on a wall form.

Bare numbers in feet, inches, pounds and psf, the units of the federal rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from formpressure.records import Clause, Label
from formpressure.units import TOLERANCE, at_most

OSHA = "OSHA 29 CFR 1926.451"
APPENDIX = "OSHA 29 CFR 1926 Subpart L Appendix A (non-mandatory)"


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that the rule sets, and where."""

    value: float
    clause: Clause


MOST_SPACING = Limit(
    8.0,  # ft; Pennsylvania, 34 Pa. Code 6.16 (READ), has 4 ft: a plan states a tighter limit
    Clause(APPENDIX, "2(g), in a Minnesota OSHA hazard alert", "brackets at most 8 ft apart",
           Label.QUOTED),
)  # fmt: skip
CREW = Limit(
    2 * 250.0 + 75.0,  # lb
    Clause(APPENDIX, "2(g), in a Minnesota OSHA hazard alert; 250 lb for one worker by ASCE 37-02, "
           "in University of Florida temporary-structures lectures",
           "two people and 75 lb of tools in any 8 ft; all of it may stand over one bracket",
           Label.QUOTED),
)  # fmt: skip
LEAST_OVERHANG = Limit(
    6.0,  # in
    Clause(OSHA, "(b)(4), in a trade article", "a plank runs at least 6 in past the centre of its "
           "last support unless cleated or hooked", Label.QUOTED),
)  # fmt: skip
_PAST = Clause(
    OSHA, "(b)(5), in WAC 296-874-20016 and a trade article", "planks to 10 ft run at most 12 in "
    "past their last support, longer ones at most 18 in", Label.QUOTED,
)  # fmt: skip
MOST_OVERHANG = Limit(12.0, _PAST)  # in, planks to SHORT_PLANK
MOST_OVERHANG_LONG = Limit(18.0, _PAST)  # in, longer planks
SHORT_PLANK = Limit(10.0, _PAST)  # ft
# One trade article of 2025 prints 16 in; the regulation has 18.
LEAST_WIDTH = Limit(
    18.0,  # in
    Clause(OSHA, "(b)(2), in a training text", "platforms at least 18 in wide", Label.QUOTED),
)  # fmt: skip
MOST_SAG = Limit(
    1.0 / 60.0,  # of the span
    Clause(OSHA, "(f)(16), in a reproduction of OSHA answers", "planks sag at most 1/60 of the "
           "span when loaded", Label.QUOTED),
)  # fmt: skip
AXIAL_ONLY = Clause(
    "formpressure", "own limit", "a tie is rated for pull along it; a bracket adds bending and "
    "pull that the tie load here does not hold", Label.OWN,
)  # fmt: skip
RATED = Clause(
    OSHA, "(a)(1)", "a scaffold carries its own weight and four times the intended load without "
    "failure", Label.QUOTED,
)  # fmt: skip

PLANK_TABLE = Clause(
    APPENDIX, "1(b)(i); OSHA interpretation letter, 3 Oct 1985",
    "spans of scaffold planks by load", Label.READ,
)  # fmt: skip
PLANK_SPANS = {  # ft by plank and psf: PLANK_TABLE; 75 psf on nominal planks is blank there
    "2x10 nominal": {25.0: 8.0, 50.0: 6.0},
    "2x10 undressed": {25.0: 10.0, 50.0: 8.0, 75.0: 6.0},
}


def plank_span(plank: str, load: float) -> float | None:
    """Largest span in ft by the table; None where it has no number. Nothing is interpolated.

    >>> plank_span("2x10 nominal", 25.0)
    8.0
    """
    for row, span in PLANK_SPANS[plank].items():
        if abs(load - row) <= TOLERANCE * row:
            return span
    return None


def most_overhang(plank_length: float) -> float:
    """How far a plank of that length, ft, may run past its last support, in."""
    short = at_most(plank_length, SHORT_PLANK.value)
    return (MOST_OVERHANG if short else MOST_OVERHANG_LONG).value


def supports_needed(plank_length: float, span: float, overhang: float) -> int:
    """How many supports one plank needs: spans of at most `span` ft between both overhangs, in.

    >>> supports_needed(16.0, 8.0, 6.0)
    3
    """
    between = plank_length - 2.0 * overhang / 12.0
    return max(2, ceil(between / span - TOLERANCE) + 1)


def bracket_load(load: float, width: float, spacing: float) -> float:
    """Largest intended load on one bracket, lb: the planks half-way to its neighbours, or CREW.

    `load` psf, `width` in, `spacing` ft.
    """
    return max(load * width / 12.0 * spacing, CREW.value)


def allowed_sag(span: float) -> float:
    """Sag of a loaded plank that the rule still takes, in, for a span in ft.

    >>> round(allowed_sag(7.0), 2)
    1.4
    """
    return MOST_SAG.value * span * 12.0
