"""The kernel and the numbers of DIN 18218:2010-01, pressure on vertical forms by consistency class.

    F1 to F4   p = (a v + b) K1 gamma/25         not under 25 kPa
    F5, F6     p = (25 + a v K1) gamma/25        not under 30 kPa
    SCC        p = (1.0 m + 0.26 v tE) gamma     not under 30 kPa

v rate, tE measured setting time, gamma unit weight; never over gamma h. The SCC equation was read
in Concrete International 32(6), June 2010, "DIN Standard on Formwork Pressures Updated", Eq. (1).
All other numbers and conditions are from memory; confirm them against the document.

Not shipped: the corrections for temperature, of which we are not sure. So the concrete must be no
colder than where its setting time was measured, else full liquid head (OWN); warmer earns nothing.
"""

from __future__ import annotations

import numpy as np

from formpressure.envelope import Number
from formpressure.records import Clause, Document, Label
from formpressure.units import at_most, below

DOCUMENT = Document("DIN", "18218:2010-01", "Fresh concrete pressure on vertical formwork", 2010)
# Index of each clause in CLAUSES.
HEAD, MINIMUM, EQUATION, SCC, FAST, COLD, VIBRATED, DEEP, UNKNOWN, FROM_BASE = range(10)
NORMAL = 25.0  # kN/m3, the unit weight that the numbers of F1 to F6 are for
GAMMA_F = 1.5  # partial factor on the pressure, to be compared with design resistances
STIFF = {"F1": (5.0, 21.0), "F2": (10.0, 19.0), "F3": (14.0, 18.0), "F4": (17.0, 17.0)}  # a, b
SOFT = {"F5": 30.0, "F6": 38.0}  # a; the tabulated 33 of SCC is the rounding of 0.26 x 5 x 25
LEAST = {**dict.fromkeys(STIFF, 25.0), **dict.fromkeys((*SOFT, "SCC"), 30.0)}  # kPa
SHORTEST, LONGEST = 5.0, 20.0  # h: setting times covered; a shorter one earns nothing
FASTEST = 7.0  # m/h, F1 to F4
NODES = (5.0, 10.0, 20.0)
K1_TABLE = {
    "F1": (1.0, 1.15, 1.45), "F2": (1.0, 1.25, 1.80), "F3": (1.0, 1.40, 2.15),
    "F4": (1.0, 1.70, 3.10),
}  # fmt: skip
K1_SLOPE = {"F1": 0.03, "F2": 0.053, "F3": 0.077, "F4": 0.14}  # for each hour over 5


def clause(says: str, label: Label = Label.MEMORY, place: str = "pressure by class") -> Clause:
    return Clause(str(DOCUMENT), place, says, label)


CLAUSES = (
    clause("never over full liquid head, 25 kN/m3 for normal concrete", Label.QUOTED),
    clause("not less than the minimum, 25 kPa for F1 to F4, 30 kPa for F5, F6 and SCC"),
    clause("the equation of the class with K1, by unit weight over 25 kN/m3"),
    clause("(1.0 m + 0.26 v tE) gamma", Label.READ, "Concrete International 32(6), 2010, Eq. (1)"),
    clause("F1 to F4 up to 7 m/h", place="conditions"),
    clause("colder than where the setting time was measured: full liquid head, since the "
            "corrections are not held here", Label.OWN),
    clause("not vibrated internally, or SCC vibrated: full liquid head", place="conditions"),
    clause("vibrated deeper than the liquid depth hs of the slowest pour: full liquid head",
            place="conditions"),
    clause("an input of the equations is not known, such as a measured setting time: full "
            "liquid head", Label.OWN),
    clause("filled from below: full liquid head", place="conditions"),
)  # fmt: skip
PARTIAL = clause("partial factor 1.5 on the pressure, against design resistances",
                 place="design value (section 4.2)")  # fmt: skip


def setting_factor(consistency: str, setting_time: Number) -> Number:
    """K1 of a class: for F1 to F4 the larger of the table, linear between its hours, and of the
    linear form. Both are from memory and up to 0.015 apart; we cannot tell which governs where, so
    neither is ever undercut. F5, F6 and SCC: tE/5.
    """
    t = np.maximum(setting_time, SHORTEST)
    if consistency not in STIFF:
        return t / SHORTEST
    table = np.interp(t, NODES, K1_TABLE[consistency])  # over 20 h the range refuses
    return np.maximum(table, 1.0 + K1_SLOPE[consistency] * (t - SHORTEST))


def line(consistency: str, setting_time: Number) -> tuple[Number, Number]:
    """Pressure of a class as slope x rate + constant, kPa, at 25 kN/m3."""
    if consistency == "SCC":
        return 0.26 * np.maximum(setting_time, SHORTEST) * NORMAL, 1.0 * NORMAL
    K1 = setting_factor(consistency, setting_time)
    if consistency in SOFT:
        return SOFT[consistency] * K1, NORMAL
    a, b = STIFF[consistency]
    return a * K1, b * K1


def unset_height(rate: Number, setting_time: Number) -> Number:
    """hE = v tE: height of concrete that has not set yet; lower concrete adds no more pressure."""
    return rate * setting_time


def liquid_whatever_the_rate(
    unit_weight: Number, consistency: str | None, setting_time: Number | None,
    setting_temperature: Number | None, temperature: Number | None, vibration: str | None,
    vibration_depth: Number | None, plumb: bool | None, tight_face: bool | None, from_base: bool,
) -> Number:  # fmt: skip
    """The clause that asks for full liquid head before any rate is looked at, else -1.

    Vibration must reach no deeper than hs = p/gamma. A pour may slow down, so the hs of the
    slowest one counts, that of the minimum: 25/gamma, about 1 m, or 30/gamma (our reading).
    """
    if from_base:
        return FROM_BASE
    if consistency is not None and vibration is not None:
        wanted = ("none", "rodding") if consistency == "SCC" else ("internal",)
        if vibration not in wanted:
            return VIBRATED
    needed = (consistency, setting_time, setting_temperature, temperature, vibration, plumb,
              tight_face)  # fmt: skip
    if any(value is None for value in needed) or consistency is None:
        return UNKNOWN
    found: Number = np.where(below(temperature, setting_temperature), COLD, -1)
    if vibration == "internal":
        if vibration_depth is None:
            return UNKNOWN
        shallow = at_most(vibration_depth * unit_weight, LEAST[consistency])
        found = np.where(shallow, found, DEEP)
    return found


def allowed_rate(
    pressure: Number, height: Number, unit_weight: Number, consistency: str | None = None,
    setting_time: Number | None = None, setting_temperature: Number | None = None,
    temperature: Number | None = None, vibration: str | None = None,
    vibration_depth: Number | None = None, plumb: bool | None = None,
    tight_face: bool | None = None, from_base: bool = False,
) -> tuple[Number, Number]:  # fmt: skip
    """v = (25 p/gamma - constant)/slope of the class, at most 7 m/h for F1 to F4."""
    passes = at_most(unit_weight * height, pressure)
    liquid = liquid_whatever_the_rate(
        unit_weight, consistency, setting_time, setting_temperature, temperature, vibration,
        vibration_depth, plumb, tight_face, from_base,
    )  # fmt: skip
    rate: Number = 0.0
    branch: Number = liquid
    if np.any(np.equal(liquid, -1)):
        assert consistency is not None
        slope, constant = line(consistency, setting_time)
        rate = np.maximum((pressure * NORMAL / unit_weight - constant) / slope, 0.0)
        low = below(pressure, LEAST[consistency])
        rate = np.where(low, 0.0, rate)
        own = np.where(low, MINIMUM, SCC if consistency == "SCC" else EQUATION)
        if consistency in STIFF:
            rate, own = np.minimum(rate, FASTEST), np.where(rate > FASTEST, FAST, own)
        rate, branch = (
            np.where(np.equal(liquid, -1), rate, 0.0),
            np.where(np.equal(liquid, -1), own, liquid),
        )
    return np.where(passes, np.inf, rate)[()], np.where(passes, HEAD, branch)[()]


def pressure(
    height: Number,
    unit_weight: Number,
    rate: Number | None = None,
    consistency: str | None = None,
    setting_time: Number | None = None,
    setting_temperature: Number | None = None,
    temperature: Number | None = None,
    vibration: str | None = None,
    vibration_depth: Number | None = None,
    plumb: bool | None = None,
    tight_face: bool | None = None,
    from_base: bool = False,
) -> tuple[Number, Number, dict[str, Number]]:
    """Largest characteristic pressure, the branch that governed, and K1; kN/m3, m, m/h, h, C, kPa.

    `setting_temperature` is where the setting time was measured; `plumb` and `tight_face` are
    conditions of the document. Minimum before the cap of full liquid head, which wins.
    """
    head = unit_weight * height
    liquid = liquid_whatever_the_rate(
        unit_weight, consistency, setting_time, setting_temperature, temperature, vibration,
        vibration_depth, plumb, tight_face, from_base,
    )  # fmt: skip
    liquid = np.where(np.equal(liquid, -1), UNKNOWN, liquid) if rate is None else liquid
    if not np.any(np.equal(liquid, -1)):
        shape = np.broadcast_shapes(np.shape(head), np.shape(liquid))
        return np.broadcast_to(head, shape), np.broadcast_to(liquid, shape), {}
    assert consistency is not None
    slope, constant = line(consistency, setting_time)
    p = (slope * rate + constant) * (unit_weight / NORMAL)
    least = LEAST[consistency]
    branch: Number = SCC if consistency == "SCC" else EQUATION
    p, branch = np.maximum(p, least), np.where(p < least, MINIMUM, branch)
    p, branch = np.minimum(p, head), np.where(p >= head, HEAD, branch)
    free = np.equal(liquid, -1)
    K1 = setting_factor(consistency, setting_time)
    return np.where(free, p, head), np.where(free, branch, liquid), {"K1": K1}
