"""ACI 347-78, superseded: to read old drawings and tables, never to judge a form. Inch-pound.

    columns, and walls to 7 ft/h   p = 150 + 9000 R/T
    walls, 7 to 10 ft/h            p = 150 + 43400/T + 2800 R/T
    faster walls                   p = w h

Not under 600 psf; never over w h, 2000 psf (walls to 10 ft/h) or 3000 psf (columns): the ceilings
that later editions dropped. Equations, minimum and ceilings were read in a textbook on construction
(ch. 12, pp. 335-336), w h over 10 ft/h in University of Florida lecture notes (Week 7). The
conditions (150 pcf, Type I without admixtures, slump to 4 in, vibration to 4 ft) are from memory.
What the edition that followed changed was not seen, so it is not here.
"""

from __future__ import annotations

import numpy as np

from formpressure.envelope import Number
from formpressure.records import Clause, Document, Label, Range
from formpressure.rule import pressure_rule
from formpressure.units import at_most, below

DOCUMENT = Document(
    "ACI", "347-78", "Recommended Practice for Concrete Formwork", 1978,
    superseded_by="ACI 347R-14",
)  # fmt: skip
HEAD, MINIMUM, EQUATION_B, EQUATION_C, CEILING, FAST, UNKNOWN, FROM_BASE = range(8)
LEAST, SLOW, FASTEST, COLUMN_SIDE = 600.0, 7.0, 10.0, 6.5  # psf, ft/h, ft/h, ft (later editions')
CEILINGS = {"wall": 2000.0, "column": 3000.0, "larger": 3000.0}


def _clause(says: str, label: Label = Label.QUOTED) -> Clause:
    return Clause(f"{DOCUMENT} (superseded)", "wall and column equations", says, label)


CLAUSES = (
    _clause("never over w h"),
    _clause("not less than 600 psf"),
    _clause("150 + 9000 R/T"),
    _clause("150 + 43400/T + 2800 R/T"),
    _clause("ceilings of 2000 psf for walls and 3000 psf for columns"),
    _clause("walls rising faster than 10 ft/h: w h"),
    _clause("an input of the equations is not known: w h", Label.OWN),
    _clause("pumped from the base: not in these equations, w h", Label.OWN),
)
CONDITIONS = _clause("150 pcf, Type I, no admixtures, slump to 4 in, vibration to 4 ft",
                     Label.MEMORY)  # fmt: skip
OWN_RANGE = Clause("formpressure", "own limit", "concrete of 40 to 100 F only", Label.OWN)


def is_column(*sides: float) -> bool:
    """By the later editions' 6.5 ft, since this one's wording was not seen."""
    return bool(at_most(max(sides), COLUMN_SIDE))


def _liquid(rate_free: tuple[object, ...], self_consolidating: bool, from_base: bool) -> int | None:
    if from_base:
        return FROM_BASE
    unknown = self_consolidating or any(value is None for value in rate_free)
    return UNKNOWN if unknown else None


def allowed_rate(
    pressure: Number, height: Number, unit_weight: Number, temperature: Number | None = None,
    slump: float | None = None, cement: str | None = None, retarder: bool | None = None,
    fly_ash: float | None = None, slag: float | None = None, element: str = "larger",
    vibration: str | None = None, vibration_depth: float | None = None,
    self_consolidating: bool = False, from_base: bool = False,
) -> tuple[Number, Number]:  # fmt: skip
    """The equations turned round; the ceiling lets any rate up to the fastest pass."""
    passes = at_most(unit_weight * height, pressure)
    known = (temperature, slump, cement, retarder, fly_ash, slag, vibration, vibration_depth)
    liquid = _liquid(known, self_consolidating, from_base)
    if liquid is not None:
        return np.where(passes, np.inf, 0.0)[()], np.where(passes, HEAD, liquid)[()]
    assert temperature is not None
    rate_b = (pressure - 150.0) * temperature / 9000.0
    rate_c = ((pressure - 150.0) * temperature - 43400.0) / 2800.0
    takes_b = below(rate_b, SLOW) | (element != "wall")
    rate: Number = np.where(takes_b, rate_b, rate_c)
    branch: Number = np.where(takes_b, EQUATION_B, EQUATION_C)
    free = at_most(CEILINGS[element], pressure)
    rate, branch = np.where(free, np.inf, rate), np.where(free, CEILING, branch)
    most = np.inf if element == "column" else FASTEST
    rate, branch = np.minimum(rate, most), np.where(rate > most, FAST, branch)
    low = below(pressure, LEAST)
    rate, branch = np.where(low, 0.0, rate), np.where(low, MINIMUM, branch)
    return np.where(passes, np.inf, rate)[()], np.where(passes, HEAD, branch)[()]


@pressure_rule(
    document=DOCUMENT,
    system="US",
    clauses=CLAUSES,
    inverse=allowed_rate,
    ranges=(
        Range("temperature", 40.0, 100.0, OWN_RANGE),
        Range("unit_weight", 0.0, 150.0, CONDITIONS),
        Range("slump", 0.0, 4.0, CONDITIONS),
        Range("vibration_depth", 0.0, 4.0, CONDITIONS),
        Range("vibration", 0.0, 0.0, CONDITIONS, only=("internal",)),
        Range("cement", 0.0, 0.0, CONDITIONS, only=("I",)),
        Range("retarder", 0.0, 0.0, CONDITIONS, only=(False,)),
        Range("fly_ash", 0.0, 0.0, CONDITIONS),
        Range("slag", 0.0, 0.0, CONDITIONS),
    ),
    is_column=is_column,
    rate_limits=(SLOW, FASTEST),
    needs=("temperature", "slump", "cement", "retarder", "fly_ash", "slag", "vibration",
           "vibration_depth"),
)  # fmt: skip
def aci347_1978(
    height: Number,
    unit_weight: Number,
    rate: Number | None = None,
    temperature: Number | None = None,
    slump: float | None = None,
    cement: str | None = None,
    retarder: bool | None = None,
    fly_ash: float | None = None,
    slag: float | None = None,
    element: str = "larger",
    vibration: str | None = None,
    vibration_depth: float | None = None,
    self_consolidating: bool = False,
    from_base: bool = False,
) -> tuple[Number, Number, dict[str, Number]]:
    """Largest pressure and branch; pcf, ft, ft/h, F, psf. "larger": of wall and column."""
    head = unit_weight * height
    known = (rate, temperature, slump, cement, retarder, fly_ash, slag, vibration, vibration_depth)
    liquid = _liquid(known, self_consolidating, from_base)
    if liquid is not None:
        return head, np.full(np.shape(head), liquid), {}
    assert rate is not None
    assert temperature is not None
    b = 150.0 + 9000.0 * rate / temperature
    c = 150.0 + 43400.0 / temperature + 2800.0 * rate / temperature
    takes_b = at_most(rate, SLOW) | (element != "wall")
    p, branch = np.where(takes_b, b, c), np.where(takes_b, EQUATION_B, EQUATION_C)
    p, branch = np.maximum(p, LEAST), np.where(p < LEAST, MINIMUM, branch)
    top = CEILINGS[element]
    p, branch = np.minimum(p, top), np.where(p > top, CEILING, branch)
    if element != "column":
        fast = ~at_most(rate, FASTEST)
        p, branch = np.where(fast, head, p), np.where(fast, FAST, branch)
    return np.minimum(p, head), np.where(p >= head, HEAD, branch), {}
