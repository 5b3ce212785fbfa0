"""A second opinion on CIRIA Report 108 and DIN 18218, without looking at `formpressure`.

Plain floats in m, kN, kPa, C, m/h and h; forward only: rates are found by trying. Statics of the
rows come from metric_opinion.py. Both sides state the same constants, nearly all of them from
memory (MEMORY below), so this finds slips of code, never a wrong constant.
"""

import math
from dataclasses import dataclass

import metric_opinion as metric
from metric_opinion import celsius, measure, optional
from opinion import over

# CIRIA Report 108, 1985. Equation, C1 of walls: QUOTED in a thesis section on SCC form pressure
# (Eq. 1). All else MEMORY.
PURE = ("CEM I", "I", "II", "III", "V", "ordinary Portland", "rapid-hardening Portland")
MIXED = ("low-heat Portland", "Portland blast-furnace", "IV")
C2 = {"pure": 0.30, "mixed": 0.45, "much": 0.60}
SECTION = {"wall": 1.0, "column": 1.5}
WIDEST_COLUMN = 2.0
COLD, WARM = 5.0, 30.0
# DIN 18218:2010-01. SCC: READ, Concrete International 32(6), 2010, Eq. (1). All else MEMORY.
DIN = {
    "F1": (5, 21, 25, (1.0, 1.15, 1.45), 0.03), "F2": (10, 19, 25, (1.0, 1.25, 1.80), 0.053),
    "F3": (14, 18, 25, (1.0, 1.40, 2.15), 0.077), "F4": (17, 17, 25, (1.0, 1.70, 3.10), 0.14),
    "F5": (30, 25, 30, None, None), "F6": (38, 25, 30, None, None),
    "SCC": (0.26, 1.0, 30, None, None),
}  # fmt: skip
FLOW = (340, 410, 480, 550, 620, 700)  # mm, F1 to F6; DIN 1045-2, QUOTED in an encyclopaedia
SHORTEST, LONGEST, FASTEST, TALLEST, LEAN = 5.0, 20.0, 7.0, 10.0, 5.0
PARTIAL = 1.5
LIQUID = 0.5  # h: what went in meanwhile is liquid. OWN
INF = math.inf


@dataclass(frozen=True)
class Job:
    """What a plan says, in metric units; None = it does not say."""

    start: float
    top: float
    form: float | None
    ties: tuple
    width: float
    stated: float
    basis: str
    panels: tuple | None  # stated, basis
    slope: float
    temperature: float | None
    wet: str | None  # class
    flows: bool
    setting: tuple | None  # hours, C
    mix: tuple  # cement, retarder, fly ash, slag
    poker: tuple  # kind, depth
    sides: tuple
    all_long: bool
    lean: float | None  # degrees, both faces together
    tight: bool | None
    base: bool
    rise: float | None

    @property
    def height(self):
        return self.top - self.start


@dataclass(frozen=True)
class Held:
    """What metric_opinion.held_pressure and row_loads look at."""

    ties: tuple
    start: float
    top: float
    height: float
    slope: float
    width: float
    capacity: float
    panels: float | None
    model: object = None


def read(plan):
    wall, ties, concrete = plan["wall"], plan["ties"], plan["concrete"]
    delivery, form = plan["delivery"], plan["form"]
    top = measure(wall["height"], metric.LENGTHS)
    tall = optional(wall, "form_height", metric.LENGTHS)
    if tall is not None and wall.get("overfilling_prevented") is not True:
        top = tall
    start = optional(wall, "placed_from", metric.LENGTHS) or 0.0
    rows = sorted(measure(x, metric.LENGTHS) for x in ties["heights"])
    mix, poker = concrete.get("mix", {}), concrete.get("vibration", {})
    setting = concrete.get("setting")
    wet = concrete.get("consistency")
    if "flow" in concrete:
        spread = float(concrete["flow"].split()[0])
        wet = next((f"F{n}" for n, most in enumerate(FLOW, 1) if spread <= most), "SCC")
    if concrete.get("self_consolidating") is True:
        wet = "SCC"
    stated = concrete.get("self_consolidating")
    if stated is None:
        stated = wet == "SCC" if wet else "slump" not in concrete
    slopes = form.get("batter_and_ledges")
    lean = 0.0 if slopes == "none" else None
    if isinstance(slopes, dict):
        run = measure(slopes["run"], metric.LENGTHS)
        lean = math.degrees(math.atan2(run, measure(wall["height"], metric.LENGTHS)))
    panels = form.get("panels")
    return Job(
        start=start,
        top=top,
        form=None if tall is None else tall - start,
        ties=tuple(t for t in rows if over(t, start) and over(top, t)),
        width=metric.line_width(ties),
        stated=measure(ties["load"], metric.FORCES),
        basis=ties["basis"],
        panels=panels and (measure(panels["pressure"], metric.PRESSURES), panels["basis"]),
        slope=float(concrete["unit_weight"].split()[0]) if "unit_weight" in concrete else 25.0,
        temperature=celsius(concrete["temperature"]) if "temperature" in concrete else None,
        wet=wet,
        flows=stated,
        setting=setting and (float(setting["time"].split()[0]), celsius(setting["temperature"])),
        mix=(mix.get("cement"), mix.get("retarder"), share(mix, "fly_ash"), share(mix, "slag")),
        poker=(poker.get("kind"), optional(poker, "depth", metric.LENGTHS)),
        sides=tuple(
            measure(delivery[k], metric.LENGTHS) for k in ("length", "thickness") if k in delivery
        ),
        all_long=wall.get("short_pieces") is False,
        lean=lean,
        tight=form.get("tight_face"),
        base=delivery.get("method") == "pump from base",
        rise=optional(delivery, "fastest_rise", metric.RATES),
    )


def share(mix, key):
    return float(mix[key].split()[0]) if key in mix else None


# ---------------------------------------------------------------- pressure


def silent(job, name, R):
    """Has the document nothing to say of this pour, but for full liquid head of our own choice?"""
    T = job.temperature
    if name == "CIRIA":
        blank = job.form is None or T is None or job.poker[0] is None
        return blank or over(COLD, T) or over(T, WARM)
    kind, depth = job.poker
    if job.wet is None or job.setting is None or T is None or kind is None:
        return True
    if job.tight is not True or job.lean is None or over(job.lean, LEAN):
        return True
    if over(job.height, TALLEST) or over(job.setting[0], LONGEST):
        return True
    if job.wet in ("F1", "F2", "F3", "F4") and R is not None and over(R, FASTEST):
        return True
    if job.base:
        return False
    pokes = kind in ("none", "rodding") if job.wet == "SCC" else kind == "internal"
    if not pokes:
        return False
    if kind == "internal" and depth is None:
        return True
    deep = kind == "internal" and over(depth * job.slope, DIN[job.wet][2])
    return not deep and over(job.setting[1], T)


def by_document(job, name, R):
    """Largest pressure at a rate (inf: straight up)."""
    head = job.slope * job.height
    if R == INF or silent(job, name, R) or job.base:
        return head
    return min(head, ciria(job, R) if name == "CIRIA" else din(job, R))


def ciria(job, R):
    if job.flows or job.poker[0] != "internal":
        return INF
    whole = max(job.form, job.height)
    wall = job.all_long and len(job.sides) == 2
    if len(job.sides) == 2 and not over(max(job.sides), WIDEST_COLUMN):
        wall = False
    fluid = SECTION["wall" if wall else "column"] * math.sqrt(R)
    if fluid > whole:
        return INF
    K = (36 / (job.temperature + 16)) ** 2
    return job.slope * (fluid + mix(job) * K * math.sqrt(whole - fluid))


def mix(job):
    cement, retarder, ash, slag = job.mix
    if ash is None or slag is None or not over(1, ash / 40 + slag / 70):
        return C2["much"]
    row = "pure" if cement in PURE else "mixed" if cement in MIXED else "much"
    if row == "pure" and (ash > 0 or slag > 0):
        row = "mixed"
    if row == "much":
        return C2["much"]
    return C2[row] if retarder is False else C2["mixed" if row == "pure" else "much"]


def din(job, R):
    kind, depth = job.poker
    if kind != "internal" and job.wet != "SCC":
        return INF
    if kind not in ("none", "rodding") and job.wet == "SCC":
        return INF
    a, b, least, table, each = DIN[job.wet]
    if kind == "internal" and over(depth * job.slope, least):
        return INF
    hours = max(job.setting[0], SHORTEST)
    if job.wet == "SCC":
        p = (b + a * R * hours) * job.slope
    elif table is None:
        p = (b + a * R * hours / 5) * job.slope / 25
    else:
        middle = (hours - 5) / 5 if hours <= 10 else (hours - 10) / 10
        low, high = table[:2] if hours <= 10 else table[1:]
        K1 = max(low + (high - low) * middle, 1 + each * (hours - 5))
        p = (a * R + b) * K1 * job.slope / 25
    return max(p, least)


def pressure(job, name, R):
    """The document's, or our own bound of what is still liquid, whichever is higher."""
    head = job.slope * job.height
    if R == INF:
        return head
    return max(by_document(job, name, R), min(head, job.slope * R * LIQUID))


# ---------------------------------------------------------------- strength and rate


def usable(stated, basis, name):
    """None where the document cannot use it."""
    if basis == "design resistance":
        return stated / PARTIAL if name == "DIN" else None
    return metric.opinion.rating(stated, basis)


def held(job, name):
    """What metric_opinion needs; None where a rating cannot be used."""
    capacity = usable(job.stated, job.basis, name)
    panels = job.panels and usable(*job.panels, name)
    if capacity is None or (job.panels and panels is None):
        return None
    return Held(job.ties, job.start, job.top, job.height, job.slope, job.width, capacity, panels)


def allowed_rate(job, name, most=None):
    """Largest rate for which no pressure passes `most` (blank: what form and ties hold), with all
    lower ones; inf = straight up, 0 = none."""
    most = metric.held_pressure(held(job, name)) if most is None else most
    if not over(job.slope * job.height, most):
        return INF
    fixed = silent(job, name, None)

    def passes(R):
        if fixed or silent(job, name, R):
            return False
        return not over(pressure(job, name, R), most)

    low = 0.0
    for high in (1e-9, *(k / 5 for k in range(1, 200)), 1e3, 1e6):
        if not passes(high):
            return metric.halve(passes, low, high) if low else 0.0
        low = high
    raise ValueError("no tried rate fails")
