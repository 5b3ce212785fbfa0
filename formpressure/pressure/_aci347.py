"""The kernel and the two sets of numbers that ACI 347-04 and ACI 347R-14 share.

Symbols as in the documents: R rate of placement, T temperature of the concrete, w unit weight,
h placement height, Cw unit-weight coefficient, Cc chemistry coefficient.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from formpressure.envelope import Envelope, Number
from formpressure.records import Clause, Document, Label, Range, Step
from formpressure.rule import Mix, Rule, mix_and_worse, pressure_rule
from formpressure.units import GRAVITY, TOLERANCE, at_most, below

# Index of each clause in the tuple that `clauses` makes.
HEAD, MINIMUM, EQUATION_B, EQUATION_C, FAST, WET, VIBRATED, FLOWING, UNKNOWN, FROM_BASE = range(10)
SURGE = 1.25  # pumped from the base: liquid head and at least 25 % more
PLAIN_CEMENTS = ("I", "II", "III", "I/II")


@dataclass(frozen=True, slots=True)
class Constants:
    """The numbers of one unit system. ACI rounds each system on its own; never convert them."""

    base: float  # first term of both equations
    rate_b: float  # factor of R/T in equation (b)
    constant_c: float  # factor of 1/T in equation (c)
    rate_c: float  # factor of R/T in equation (c)
    zero: float  # added to T
    minimum: float  # least pressure, to be multiplied by Cw
    slow: float  # under this rate a wall up to `tall` takes equation (b)
    fast: float  # over this rate a wall takes full liquid head
    tall: float  # placement height up to which (b) may serve a wall
    slump: float  # over this slump: full liquid head
    vibration_depth: float  # internal vibration deeper than this: full liquid head
    column_side: float  # no plan side over this: a column
    light: float  # unit weight, as the document weighs it, where Cw = 1 begins
    heavy: float  # and ends
    reference: float  # unit weight for which w / reference = 1
    weigh: float  # our unit weight -> the one the document uses for Cw


# From memory unless a clause below says otherwise; confirm against the document. Seen quoted: the
# brackets of both inch-pound equations (S. W. Nunnally, Construction Methods and Management, ch.
# 12, Eq. 12-1 and 12-2); 14 ft, 7 and 15 ft/h, 7 in (M. K. Hurd, letter "Use updated wall pressure
# formulas", Concrete Construction).
INCH_POUND = Constants(
    base=150.0, rate_b=9000.0, constant_c=43400.0, rate_c=2800.0, zero=0.0, minimum=600.0,
    slow=7.0, fast=15.0, tall=14.0, slump=7.0, vibration_depth=4.0, column_side=6.5,
    light=140.0, heavy=150.0, reference=145.0, weigh=1.0,
)  # fmt: skip
SI = Constants(
    base=7.2, rate_b=785.0, constant_c=1156.0, rate_c=244.0, zero=17.8, minimum=30.0,
    slow=2.1, fast=4.5, tall=4.2, slump=175.0, vibration_depth=1.2, column_side=2.0,
    light=2240.0, heavy=2400.0, reference=2320.0, weigh=1000.0 / GRAVITY,
)  # fmt: skip
# Temperature of the concrete, F and C: one range of our own, the same in both sets.
OWN_RANGE = {"US": (40.0, 100.0), "SI": (8.0 / 1.8, 68.0 / 1.8)}


def edition(
    name: str,
    document: Document,
    system: str,
    equations: str,
    cw: str,
    cc: str,
    steps: Callable[[Envelope], tuple[Step, ...]],
) -> Rule:
    """The rule of one edition in one unit system; `equations`, `cw` and `cc` are its places."""
    k = INCH_POUND if system == "US" else SI
    named = _clauses(str(document), equations, cw, cc)
    says = "the equations divide by T; we take them for concrete of 40 to 100 F only"
    own = Clause("formpressure", "own limit", says, Label.OWN)
    return pressure_rule(
        name=name,
        document=document,
        system=system,
        clauses=named,
        inverse=partial(allowed_rate, k),
        ranges=(Range("temperature", *OWN_RANGE[system], own),),
        surge=surge,
        is_column=partial(is_column, k),
        side_of_limits=partial(side_of_limits, k),
        rate_limits=(k.slow, k.fast),
        mixes=mixes,
        mix_symbol="Cc",
        symbols="aci347",
        needs=("temperature", "slump", "vibration"),
        steps=steps,
    )(partial(pressure, k))


def _clauses(document: str, equations: str, cw: str, cc: str) -> tuple[Clause, ...]:
    """The clauses in branch order. Brackets were seen quoted, the coefficients never: MEMORY."""
    memory, quoted = Label.MEMORY, Label.QUOTED
    return (
        Clause(document, equations, "never over full liquid head w h", memory),
        Clause(document, equations, f"not less than the minimum ({cw}, {cc})", memory),
        Clause(document, equations, f"equation with R/T, slower walls and columns ({cw}, {cc})",
               memory),
        Clause(document, equations, f"equation with 1/T and R/T, faster or taller walls "
               f"({cw}, {cc})", memory),
        Clause(document, equations, "wall rising over the fastest rate of the equations: full "
               "liquid head", memory),
        Clause(document, equations, "slump over the limit: full liquid head", quoted),
        Clause(document, equations, "vibration deeper than the limit or not internal: full liquid "
               "head", memory),
        Clause(document, equations, "self-consolidating: full liquid head", quoted),
        Clause(document, equations, "an input of the equations is not known: full liquid head",
               Label.OWN),
        Clause(document, "section on pumping", "pumped from the base: full liquid head and at "
               "least 25 % for surge", memory),
    )  # fmt: skip


def unit_weight_coefficient(k: Constants, unit_weight: Number) -> Number:
    """Cw: 0.5 (1 + w/ref), at least 0.80, under `light`; 1.0 up to `heavy`; then w/ref."""
    w = unit_weight * k.weigh
    light = np.maximum(0.5 * (1.0 + w / k.reference), 0.80)
    return np.where(below(w, k.light), light, np.where(at_most(w, k.heavy), 1.0, w / k.reference))


def chemistry_coefficient(
    cement: str | None, retarder: bool | None, fly_ash: float | None, slag: float | None
) -> float:
    """Cc. What is not known counts at its worst; shares are in percent of the binder.

    Exactly 40 % fly ash or 70 % slag is given to neither row by the wording: the higher is taken.
    A blend of both counts by the sum of its parts of those limits (our own reading).
    """
    if fly_ash is None or slag is None or fly_ash / 40.0 + slag / 70.0 >= 1.0 - TOLERANCE:
        return 1.4
    plain = cement in PLAIN_CEMENTS and fly_ash == 0.0 and slag == 0.0
    retarded = retarder is None or retarder
    return (1.2 if retarded else 1.0) if plain else (1.4 if retarded else 1.2)


def _cc(chemistry: Number | None, *mix: Any) -> Number:
    return chemistry_coefficient(*mix) if chemistry is None else chemistry


def mixes(
    chemistry: float | None = None, cement: str | None = None, retarder: bool | None = None,
    fly_ash: float | None = None, slag: float | None = None, **_: Any,
) -> tuple[Mix, ...]:  # fmt: skip
    """The mix as planned, and the rows of the coefficient table that are worse."""
    return mix_and_worse(_cc(chemistry, cement, retarder, fly_ash, slag), (1.2, 1.4))


def side_of_limits(
    k: Constants, height: Number, rate: Number | None = None, slump: Number | None = None,
    vibration_depth: Number | None = None, element: str = "larger", **_: Any,
) -> tuple[Any, ...]:  # fmt: skip
    """On which side of each limit these inputs are; the two unit systems round each their own."""
    return (
        at_most(height, k.tall),
        rate is not None and below(rate, k.slow),
        rate is not None and at_most(rate, k.fast),
        slump is not None and at_most(slump, k.slump),
        vibration_depth is not None and at_most(vibration_depth, k.vibration_depth),
        element == "column",
    )


def is_column(k: Constants, *sides: float) -> bool:
    """True when no plan side is over the limit (the limit itself is still a column)."""
    return bool(at_most(max(sides), k.column_side))


def pressure(
    k: Constants,
    height: Number,
    unit_weight: Number,
    rate: Number | None = None,
    temperature: Number | None = None,
    slump: Number | None = None,
    cement: str | None = None,
    retarder: bool | None = None,
    fly_ash: float | None = None,
    slag: float | None = None,
    element: str = "larger",
    vibration: str | None = None,
    vibration_depth: Number | None = None,
    self_consolidating: bool = False,
    from_base: bool = False,
    chemistry: Number | None = None,
) -> tuple[Number, Number, dict[str, Number]]:
    """Largest pressure, the branch that governed, and the coefficients.

    Order: the minimum first, then the cap of full liquid head, which wins. `element` is "wall",
    "column", or "larger" for the larger of the two where the plan sides do not decide.
    `chemistry` gives Cc outright, in place of the mix.
    """
    head = unit_weight * height
    if from_base:
        return SURGE * head, np.full(np.shape(head), FROM_BASE), {}
    if self_consolidating:
        return head, np.full(np.shape(head), FLOWING), {}
    p, branch, coefficients = head, np.full(np.shape(head), UNKNOWN), {}
    if rate is not None and temperature is not None and slump is not None and vibration is not None:
        cw = unit_weight_coefficient(k, unit_weight)
        cc = _cc(chemistry, cement, retarder, fly_ash, slag)
        p, branch = _equations(k, cw, cc, height, head, rate, temperature, element)
        coefficients = {"Cw": cw, "Cc": cc}
    if vibration == "internal" and vibration_depth is None:
        p, branch = head, np.full(np.shape(head), UNKNOWN)
    elif vibration is not None:
        stirred = vibration != "internal" or ~at_most(vibration_depth, k.vibration_depth)
        p, branch = _head_where(stirred, VIBRATED, head, p, branch)
    if slump is not None:
        p, branch = _head_where(~at_most(slump, k.slump), WET, head, p, branch)
    return p, branch, coefficients


def _head_where(
    condition: Number, clause: int, head: Number, p: Number, branch: Number
) -> tuple[Number, Number]:
    """Full liquid head by `clause` where the condition holds; a scalar is decided once for all."""
    if np.ndim(condition):
        return np.where(condition, head, p), _clause_where(condition, clause, branch)
    return (head, np.full(np.shape(head), clause)) if condition else (p, branch)


def _clause_where(condition: Number, clause: int, branch: Number) -> Number:
    """`clause` where the condition holds; sums of bytes are many times as quick as np.where."""
    return branch + condition * (np.int8(clause) - branch)


def _equations(
    k: Constants,
    cw: Number,
    cc: Number,
    height: Number,
    head: Number,
    rate: Number,
    temperature: Number,
    element: str,
) -> tuple[Number, Number]:
    """Equations (b) and (c) with their minimum, the cap, and the fastest rate of a wall."""
    t = temperature + k.zero
    r_t = rate / t
    c = k.base + k.constant_c / t + k.rate_c * r_t
    b = k.base + k.rate_b * r_t
    if element == "column":
        takes_b = np.bool_(True)
    else:
        takes_b = below(rate, k.slow) & at_most(height, k.tall)
        if element == "larger":
            takes_b = takes_b | (b > c)
    p = np.where(takes_b, b, c) * (cw * cc)
    branch = _clause_where(takes_b, EQUATION_B, np.int8(EQUATION_C))
    least = cw * k.minimum
    p, branch = np.maximum(p, least), _clause_where(p < least, MINIMUM, branch)
    p, branch = np.minimum(p, head), _clause_where(p >= head, HEAD, branch)
    if element != "column":
        p, branch = _head_where(~at_most(rate, k.fast), FAST, head, p, branch)
    return p, branch


def allowed_rate(
    k: Constants,
    pressure: Number,
    height: Number,
    unit_weight: Number,
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
    chemistry: Number | None = None,
) -> tuple[Number, Number]:
    """The largest rate that, with every lower one, keeps the pressure at or under `pressure`.

    Returns (rate, branch): infinity where full liquid head passes, zero where no rate does. Inside
    one height class the pressure rises with R, so each equation is turned round; the two steps
    (R = slow, and R = fast to full liquid head) only ever jump upward.
    """
    head = unit_weight * height * (SURGE if from_base else 1.0)
    passes = at_most(head, pressure)
    liquid = _liquid_whatever_the_rate(
        k, temperature, slump, vibration, vibration_depth, self_consolidating, from_base
    )
    if liquid is not None:
        reason = FROM_BASE if from_base else HEAD
        return np.where(passes, np.inf, 0.0)[()], np.where(passes, reason, liquid)[()]
    assert temperature is not None
    cw = unit_weight_coefficient(k, unit_weight)
    cc = _cc(chemistry, cement, retarder, fly_ash, slag)
    t = temperature + k.zero
    bracket = pressure / (cw * cc) - k.base
    rate_b = bracket * t / k.rate_b
    rate_c = (bracket * t - k.constant_c) / k.rate_c
    rate, branch = _turned_round(k, height, rate_b, rate_c, element)
    low_pressure = below(pressure, cw * k.minimum)
    branch = np.where(low_pressure, MINIMUM, branch)
    rate = np.where(low_pressure | (rate <= 0.0), 0.0, rate)
    return np.where(passes, np.inf, rate)[()], np.where(passes, HEAD, branch)[()]


def _turned_round(
    k: Constants, height: Number, rate_b: Number, rate_c: Number, element: str
) -> tuple[Number, Number]:
    """Largest rate from the rates at which (b) and (c) reach the allowable pressure."""
    if element == "column":
        return rate_b, EQUATION_B
    b_first = (rate_b < rate_c) & (element == "larger")
    rate: Number = np.where(b_first, rate_b, rate_c)
    branch: Number = np.where(b_first, EQUATION_B, EQUATION_C)
    low = at_most(height, k.tall)
    # Between the two, (b) would still pass at the step but (c), which starts there, does not.
    stops = low & below(rate_c, k.slow)
    rate = np.where(stops, k.slow * (1.0 - 4.0 * TOLERANCE), rate)
    branch = np.where(stops, EQUATION_C, branch)
    slower = low & below(rate_b, k.slow)
    rate, branch = np.where(slower, rate_b, rate), np.where(slower, EQUATION_B, branch)
    return np.minimum(rate, k.fast), np.where(rate > k.fast, FAST, branch)


def _liquid_whatever_the_rate(
    k: Constants,
    temperature: float | None,
    slump: float | None,
    vibration: str | None,
    vibration_depth: float | None,
    self_consolidating: bool,
    from_base: bool,
) -> int | None:
    """The clause that asks for full liquid head before any rate is looked at, else None."""
    if from_base:
        return FROM_BASE
    if self_consolidating:
        return FLOWING
    if slump is not None and not at_most(slump, k.slump):
        return WET
    if vibration is None or (vibration == "internal" and vibration_depth is None):
        return UNKNOWN
    if vibration != "internal" or not at_most(vibration_depth, k.vibration_depth):
        return VIBRATED
    return UNKNOWN if temperature is None or slump is None else None


def surge(**given: Any) -> float:
    """How much steeper than liquid head the pressure grows."""
    return SURGE if given["from_base"] else 1.0
