"""CIRIA Report 108, 1985 (C. A. Clear, T. A. Harrison): pressure on walls and columns; SI only.

    p = D (C1 sqrt(R) + C2 K sqrt(H - C1 sqrt(R))),  K = (36/(T + 16))^2,  never over D h

D unit weight, R rate, T temperature of the concrete at placing, H height of the form, h height of
the pour. Where C1 sqrt(R) > H: D h. The equation, C1 of walls and the span of C2 were seen quoted
in a thesis section on form pressure of self-compacting concrete (Eq. 1; author and institution
not shown). K, C1 of columns, the rows of C2, 2 m and 5 to 30 C are from memory; confirm them
against the document.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.envelope import Number
from formpressure.pressure._ciria108_steps import steps
from formpressure.records import Clause, Document, Label, Range
from formpressure.rule import Mix, mix_and_worse, pressure_rule
from formpressure.units import TOLERANCE, at_most

DOCUMENT = Document("CIRIA", "Report 108", "Concrete pressure on formwork", 1985)
# Index of each clause in CLAUSES.
HEAD, EQUATION, FAST, VIBRATED, FLOWING, UNKNOWN, FROM_BASE = range(7)
C1 = {"wall": 1.0, "column": 1.5, "larger": 1.5}  # 1.5 never gives less, see `equation`
COLUMN_SIDE = 2.0  # m: a column has both sides under it; at it, the larger C1 counts (our reading)
# Cements without additions, by the report's names; ASTM Types I to III and V and EN 197 CEM I
# are put beside them by us (OWN reading). Any other name counts at the worst.
PLAIN_CEMENTS = (
    "ordinary portland", "opc", "rapid-hardening portland", "rhpc", "sulfate-resisting portland",
    "srpc", "cem i", "i", "ii", "iii", "i/ii", "v",
)  # fmt: skip
BLENDED_CEMENTS = (
    "low-heat portland", "lhpc", "portland blast-furnace", "pbfc", "portland pfa", "ppfac", "iv",
)  # fmt: skip


def _clause(says: str, label: Label = Label.MEMORY, place: str = "equation and table") -> Clause:
    return Clause(str(DOCUMENT), place, says, label)


CLAUSES = (
    _clause("never over full liquid head D h", Label.QUOTED),
    _clause("the equation with C1, C2 and K (K, C2 and C1 of columns from memory)"),
    _clause("C1 sqrt(R) over the height of the form: full liquid head"),
    _clause("not vibrated internally: full liquid head", place="scope"),
    _clause("self-compacting: full liquid head", place="scope"),
    _clause("an input of the equation is not known: full liquid head", Label.OWN),
    _clause("pumped from the base: full liquid head", place="scope"),
)


def temperature_factor(temperature: Number) -> Number:
    """K of the report, temperature of the concrete in C. From memory."""
    return (36.0 / (temperature + 16.0)) ** 2


def mix_coefficient(
    cement: str | None, retarder: bool | None, fly_ash: float | None, slag: float | None
) -> float:
    """C2. What is not known counts at its worst; shares are in percent of the binder. From memory.

    The report's rows end under 40 % fly ash and under 70 % slag; at these values the higher row is
    taken, and a blend of both counts by the sum of its parts of the limits (our own reading).
    """
    if fly_ash is None or slag is None or fly_ash / 40.0 + slag / 70.0 >= 1.0 - TOLERANCE:
        return 0.60
    name = "" if cement is None else " ".join(cement.casefold().split()).removesuffix(" cement")
    retarded = 0.15 if retarder is None or retarder else 0.0
    if name in BLENDED_CEMENTS or (name in PLAIN_CEMENTS and fly_ash + slag > 0.0):
        return 0.45 + retarded
    return 0.30 + retarded if name in PLAIN_CEMENTS else 0.60


def is_column(*sides: float) -> bool:
    """True when both plan sides are under 2 m, or one is just that."""
    return bool(at_most(max(sides), COLUMN_SIDE))


def mixes(
    chemistry: float | None = None, cement: str | None = None, retarder: bool | None = None,
    fly_ash: float | None = None, slag: float | None = None, **_: Any,
) -> tuple[Mix, ...]:  # fmt: skip
    """The mix as planned, and the rows of C2 that are worse."""
    c2 = mix_coefficient(cement, retarder, fly_ash, slag) if chemistry is None else chemistry
    return mix_and_worse(c2, (0.45, 0.60))


def equation(
    height: Number, form_height: Number, unit_weight: Number, rate: Number, C1: float, c: Number
) -> tuple[Number, Number]:
    """Pressure and branch for c = C2 K; capped, so it never falls as R or C1 grow.

    It passes D H just where H - a < c^2 (a = C1 sqrt(R)), and up to there it rises with a.
    """
    H, head = np.maximum(form_height, height), unit_weight * height  # a pour stands in its form
    a = C1 * np.sqrt(rate)
    p = unit_weight * (a + c * np.sqrt(np.maximum(H - a, 0.0)))
    fast = a > H
    branch = np.where(fast, FAST, np.where(p >= head, HEAD, EQUATION))
    return np.where(fast, head, np.minimum(p, head)), branch


def allowed_rate(
    pressure: Number, height: Number, unit_weight: Number, form_height: Number | None = None,
    temperature: Number | None = None, cement: str | None = None, retarder: bool | None = None,
    fly_ash: float | None = None, slag: float | None = None, element: str = "larger",
    vibration: str | None = None, self_consolidating: bool = False, from_base: bool = False,
    chemistry: Number | None = None,
) -> tuple[Number, Number]:  # fmt: skip
    """The equation turned round: x = (c + sqrt(c^2 + 4 (H - p/D)))/2, R = ((H - x^2)/C1)^2.

    Zero where p is exceeded at every rate: as R falls, the pressure falls to D c sqrt(H) only.
    """
    passes = at_most(unit_weight * height, pressure)
    liquid = _liquid(form_height, temperature, vibration, self_consolidating, from_base)
    if liquid is not None:
        return np.where(passes, np.inf, 0.0)[()], np.where(passes, HEAD, liquid)[()]
    assert form_height is not None
    assert temperature is not None
    c2 = mix_coefficient(cement, retarder, fly_ash, slag) if chemistry is None else chemistry
    c, H = c2 * temperature_factor(temperature), np.maximum(form_height, height)
    x = (c + np.sqrt(c * c + 4.0 * np.maximum(H - pressure / unit_weight, 0.0))) / 2.0
    rate = (np.maximum(H - x * x, 0.0) / C1[element]) ** 2
    return np.where(passes, np.inf, rate)[()], np.where(passes, HEAD, EQUATION)[()]


def _liquid(
    form_height: Number | None, temperature: Number | None, vibration: str | None,
    self_consolidating: bool, from_base: bool,
) -> int | None:  # fmt: skip
    """The clause that asks for full liquid head before any rate is looked at, else None."""
    if from_base:
        return FROM_BASE
    if self_consolidating:
        return FLOWING
    if vibration is not None and vibration != "internal":
        return VIBRATED
    return UNKNOWN if form_height is None or temperature is None or vibration is None else None


@pressure_rule(
    document=DOCUMENT,
    system="SI",
    clauses=CLAUSES,
    inverse=allowed_rate,
    ranges=(Range("temperature", 5.0, 30.0, _clause("concrete of 5 to 30 C", place="scope")),),
    is_column=is_column,
    mixes=mixes,
    mix_symbol="C2",
    symbols="ciria108",
    steps=steps,
    needs=("form_height", "temperature", "vibration"),
    usual_weight="25 kN/m3",
)
def ciria108_1985(
    height: Number,
    unit_weight: Number,
    rate: Number | None = None,
    form_height: Number | None = None,
    temperature: Number | None = None,
    cement: str | None = None,
    retarder: bool | None = None,
    fly_ash: float | None = None,
    slag: float | None = None,
    element: str = "larger",
    vibration: str | None = None,
    self_consolidating: bool = False,
    from_base: bool = False,
    chemistry: Number | None = None,
) -> tuple[Number, Number, dict[str, Number]]:
    """Largest pressure, the branch that governed, and the coefficients; kN/m3, m, m/h, C, kPa.

    `height` is h, `form_height` H. `chemistry` gives C2 outright, in place of the mix.
    """
    liquid = _liquid(form_height, temperature, vibration, self_consolidating, from_base)
    head = unit_weight * height
    if liquid is not None or rate is None:
        place = UNKNOWN if liquid is None else liquid
        return head, np.full(np.shape(head), place), {}
    assert form_height is not None
    assert temperature is not None
    c2 = mix_coefficient(cement, retarder, fly_ash, slag) if chemistry is None else chemistry
    K = temperature_factor(temperature)
    p, branch = equation(height, form_height, unit_weight, rate, C1[element], c2 * K)
    return p, branch, {"C1": C1[element], "C2": c2, "K": K}
