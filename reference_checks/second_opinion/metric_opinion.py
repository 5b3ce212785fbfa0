"""A second opinion on metric plans, rate table and margins, without looking at `formpressure`.

Everything is kept in m, kN, kPa, kg/m3, C and m/h, whatever the plan is written in. The inch-pound
set of constants gets the same wall in ft, pcf, F and in. Pressure, load, pass or fail are computed
forward; rates, temperatures, slumps and minutes are found by trying. Statics of the rows, the table
of chemistry and the constants come from opinion.py; labels and "347R" as there.
"""

import functools
import math
import re
from dataclasses import dataclass, replace
from itertools import pairwise
from types import SimpleNamespace

import opinion
from opinion import SAME, SI, US, over

SETS = {"SI": SI, "US": US}
G = 9.80665  # m/s2. Definition
FOOT = 0.3048  # m. Definition
POUND = 0.45359237 * G / 1000  # kN. Definition
PSF = POUND / FOOT**2  # kPa
PCF = 0.45359237 / FOOT**3  # kg/m3
LENGTHS = {"m": 1, "cm": 0.01, "mm": 0.001, "ft": FOOT, "'": FOOT, "in": FOOT / 12, '"': FOOT / 12}
FORCES = {"kN": 1, "N": 0.001, "lb": POUND, "kip": 1000 * POUND}
PRESSURES = {"kPa": 1, "psf": PSF}
WEIGHTS = {"kg/m3": 1, "kN/m3": 1000 / G, "pcf": PCF}
RATES = {"m/h": 1, "ft/h": FOOT, "in/h": FOOT / 12}
MINUTES = {"min": 1, "h": 60}
COLD, WARM = (40 - 32) / 1.8, (100 - 32) / 1.8  # C; outside them full liquid head. OWN
# The unit of a plan's answers and its display step; one layer of concrete, 1 ft or 0.5 m. OWN
UNIT = {"SI": 1.0, "US": FOOT}
STEP = {"SI": 0.1, "US": 0.5}
LAYER = {"SI": 0.5, "US": 1.0}
NUMBER = r"(\d+(?:\.\d+)?)"
PAIR = rf"""{NUMBER}\s*(k?[A-Za-z]+(?:/[a-z]+3?)?|'|")"""


def measure(text, units):
    """Sum of the number-unit pairs of a text: "8'-6\\"" is 2.5908 m. Refuses all else."""
    found = re.findall(PAIR, text)
    if not found or re.sub(PAIR, "", text).strip(" -"):
        raise ValueError(f"cannot read {text!r}")
    return sum(float(n) * units[u] for n, u in found)


def celsius(text):
    number, unit = re.fullmatch(rf"{NUMBER} ([CF])", text).groups()
    return float(number) if unit == "C" else (float(number) - 32) / 1.8


def optional(table, key, units):
    return measure(table[key], units) if key in table else None


@dataclass(frozen=True)
class Job:
    """What the plan says, in metric units. None = the plan does not say."""

    own: str  # the set of constants the plan names
    start: float
    top: float
    ties: tuple
    width: float
    capacity: float  # kN
    rho: float  # kg/m3
    surge: float
    calm: bool  # but for the temperature: nothing stated or blank that leaves only liquid head
    temperature: float | None
    slump: float | None  # m
    depth: float | None
    Cc: float
    sides: tuple
    all_long: bool
    rise: float | None  # m/h
    panels: float | None  # kPa
    layer_time: float  # min
    model: object = (
        None  # of the tie loads, beside the tributary areas; None is `opinion.no_relief`
    )
    either: bool = True  # any limit with the wall on different sides, not the equation alone
    edge: bool = False  # a rate within 1e-7 of a limit counts as on different sides of it

    @property
    def height(self):
        """Of the placement: the lift placed, not the finished wall. 347R, MEMORY."""
        return self.top - self.start

    @property
    def slope(self):
        """kPa per m of depth, pump surge in it (25 %: 347R, MEMORY)."""
        return self.surge * self.rho * G / 1000

    @property
    def tame(self):
        """May the pressure be less than full liquid head? 40 to 100 F: OWN."""
        T = self.temperature
        return self.calm and T is not None and not over(COLD, T) and not over(T, WARM)


def read(plan):
    """Plan (a dict of texts) to `Job`. Blanks as in opinion.py; unit weight 2400 kg/m3 in SI plans
    and 150 pcf in US plans (OWN), one layer in 10 min (OWN)."""
    wall, ties, concrete = plan["wall"], plan["ties"], plan.get("concrete", {})
    delivery, panels = plan.get("delivery", {}), plan.get("form", {}).get("panels")
    vibration = concrete.get("vibration", {})
    top = measure(wall["height"], LENGTHS)
    if "form_height" in wall and wall.get("overfilling_prevented") is not True:
        top = max(top, measure(wall["form_height"], LENGTHS))
    start = optional(wall, "placed_from", LENGTHS) or 0.0
    rows = sorted(measure(x, LENGTHS) for x in ties["heights"])
    base = delivery.get("method") == "pump from base"
    blank_weight = 2400.0 if plan["units"] == "SI" else 150 * PCF
    carried = panels and opinion.rating(measure(panels["pressure"], PRESSURES), panels["basis"])
    return Job(
        own=plan["units"],
        start=start,
        top=top,
        ties=tuple(t for t in rows if over(t, start) and over(top, t)),
        width=line_width(ties),
        capacity=opinion.rating(measure(ties["load"], FORCES), ties["basis"]),
        rho=optional(concrete, "unit_weight", WEIGHTS) or blank_weight,
        surge=1.25 if base else 1.0,
        calm=not base
        and vibration.get("kind") == "internal"
        and "depth" in vibration
        and "slump" in concrete
        and concrete.get("self_consolidating") is not True,
        temperature=celsius(concrete["temperature"]) if "temperature" in concrete else None,
        slump=optional(concrete, "slump", LENGTHS),
        depth=optional(vibration, "depth", LENGTHS),
        Cc=opinion.chemistry(concrete.get("mix", {})),
        sides=tuple(
            measure(delivery[k], LENGTHS) for k in ("length", "thickness") if k in delivery
        ),
        all_long=wall.get("short_pieces") is False,
        rise=optional(delivery, "fastest_rise", RATES),
        panels=carried,
        layer_time=optional(delivery, "layer_time", MINUTES) or 10.0,
    )


def line_width(ties):
    """As opinion.line_width: half-way on both sides (READ), an end line its whole gap (OWN)."""
    if "joints" not in ties:
        return measure(ties["spacing"], LENGTHS)
    x = sorted(measure(t, LENGTHS) for t in ties["joints"])
    gaps = [b - a for a, b in pairwise(x)]
    first = (x[0] + gaps[0]) ** 2 / 2 / gaps[0]
    return max([first, gaps[0], gaps[-1], *((a + b) / 2 for a, b in pairwise(gaps))])


# ---------------------------------------------------------------- pressure


def by_set(job, R, name):
    """(equation, sides of the limits, kPa) at rate R in m/h by the set of constants `name`.

    ACI 347-04 section 2.2.2 as in opinion.by_set: every SI constant MEMORY."""
    s, metric = SETS[name], name == "SI"
    m, kgm3, kPa = (1.0, 1.0, 1.0) if metric else (1 / FOOT, 1 / PCF, 1 / PSF)
    head = job.rho * G / 1000 * job.height
    plan_sides = SimpleNamespace(sides=[x * m for x in job.sides], all_long=job.all_long)
    sides = [opinion.kind(plan_sides, s.side)]
    if not job.tame:
        return "head", sides, job.surge * head
    mm = 1000.0 if metric else 12 / FOOT
    wet, deep = over(job.slump * mm, s.slump), over(job.depth * m, s.depth)
    tall = over(job.height * m, s.tall)
    slow, fast = over(s.slow, R * m), over(R * m, s.fast)
    sides += [wet, deep, tall, slow, fast]
    column = sides[0] == "column"
    if wet or deep or math.isinf(R) or (fast and not column):
        return "head", sides, head
    T = (job.temperature if metric else job.temperature * 1.8 + 32) + s.zero
    b = s.base + s.per_rate_b * R * m / T
    c = s.base + s.fixed_c / T + s.per_rate_c * R * m / T
    if column or (slow and not tall):
        equation, p = "b", b
    else:
        equation, p = ("c", c) if sides[0] == "wall" else ("b and c", max(b, c))
    Cw = opinion.weight_coefficient(job.rho * kgm3, s)
    p = max(Cw * job.Cc * p, s.minimum * Cw)  # minimum first, then the cap
    return equation, sides, min(p / kPa, head)


def pressure(job, R):
    """Largest pressure, kPa, of rate R (m/h; inf = straight up) and of every lower rate, which a
    fastest rise includes; and not less than what rises in half an hour, still liquid (both OWN)."""
    if math.isinf(R):
        return pressure_at(job, R)
    rates = [R] + [x * (1 - 4e-9) for x in LIMITS if x <= R]
    liquid = min(job.slope * R * 0.5, job.slope * job.height)
    return max(liquid, *(pressure_at(job, r) for r in rates))


def pressure_at(job, R):
    """Largest pressure at rate R, kPa: by the plan's own set, or by the higher of both where the
    two sets put the wall on different sides of a limit (OWN)."""
    own, other = SETS if job.own == "SI" else reversed(SETS)
    equation, sides, p = by_set(job, R, own)
    equation2, sides2, q = by_set(job, R, other)
    alike = sides == sides2 if job.either else equation == equation2
    if job.edge and any(abs(R - x) <= 1e-7 * x for x in LIMITS):
        alike = False
    return p if alike else max(p, q)


# ---------------------------------------------------------------- loads


def row_loads(job, peak):
    """Largest (tributary, other model) load in kN of every row, over all surface levels."""
    found = (
        opinion.worst_levels(m, job.ties, job.start, job.top, job.slope, peak)
        for m in (opinion.tributary, job.model or opinion.no_relief)
    )
    return [(job.width * a, job.width * b) for a, b in zip(*found, strict=True)]


def holds(job, peak, slack=SAME):
    """Do panels, if rated, and all rows carry a diagram with this largest pressure?"""
    if not job.ties or (job.panels is not None and peak > job.panels * (1 + slack)):
        return False
    most, t = job.capacity / job.width * (1 + slack), job.ties
    for model in (opinion.tributary, job.model or opinion.no_relief):
        for n, levels in enumerate(pairwise([*t, job.top]), start=1):  # a quick look first
            for s in levels:
                if max(model(t[:n], job.start, s, job.slope, peak)) > most:
                    return False
        if max(opinion.worst_levels(model, t, job.start, job.top, job.slope, peak)) > most:
            return False
    return True


def carries(job, R, slack=SAME):
    """The whole way for one rate (m/h; inf = straight up): pressure, loads, limits."""
    return holds(job, pressure(job, R), slack)


def halve(passes, low, high):
    """Between `low`, which passes, and `high`, which does not: the last that passes."""
    for _ in range(32):
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low


@functools.lru_cache(maxsize=8)
def held_pressure(job):
    """Largest peak (kPa) held with all lower ones, stepping up and halving; inf = full head holds.
    Loads depend on the concrete through this peak alone, so it is found once for each plan."""
    head, low = job.slope * job.height, 0.0
    for k in range(1, 9):
        if not holds(job, head * k / 8):
            return halve(lambda peak: holds(job, peak), low, head * k / 8)
        low = head * k / 8
    return math.inf


# Rates tried: every 0.1 m/h to 5 m/h, both sides of every limit, then every m/h for columns.
LIMITS = (SI.slow, SI.fast, US.slow * FOOT, US.fast * FOOT)
TRIED = sorted(
    [1e-9, *(k / 10 for k in range(1, 51)), *range(6, 99)]
    + [x * f for x in LIMITS for f in (1 - 1e-8, 1, 1 + 1e-8)]
)


def allowed_rate(job, held=None):
    """The largest rate (m/h) that passes with all lower ones; inf = straight up, 0 = none."""
    held = held or held_pressure(job)

    def passes(R):
        return not over(pressure(job, R), held)

    if math.isinf(held):
        return held
    low = 0.0
    for high in TRIED:
        if not passes(high):
            return halve(passes, low, high) if low else 0.0
        low = high
    raise ValueError("no tried rate fails")


def table(job, temperatures, chemistry):
    """Allowed rate (m/h) for every temperature (C) and Cc."""
    held = held_pressure(job)
    return [
        [allowed_rate(replace(job, temperature=T, Cc=Cc), held) for Cc in chemistry]
        for T in temperatures
    ]


# ---------------------------------------------------------------- minutes


def most_in_an_hour(layer, takes, apart):
    """Most rise in any 60 min if a layer, placed evenly in `takes` min, starts every `apart`."""

    def level(t):
        done, part = divmod(t, apart)
        return layer * (done + min(1.0, part / takes))

    corners = [k * apart + x for k in range(int(60 / apart) + 3) for x in (0, takes)]
    starts = corners + [c - 60 for c in corners if c >= 60] + [k / 4 for k in range(4 * 61)]
    return max(level(s + 60) - level(s) for s in starts)


@functools.lru_cache
def minutes(layer, takes, shown):
    """Fewest whole minutes from start to start with no 60 minutes over `shown`. None: no pause
    makes a layer placed that fast fit."""
    if shown <= 0 or math.isinf(shown) or over(layer * min(1.0, 60 / takes), shown):
        return None
    apart = math.ceil(takes * (1 - SAME))
    while over(most_in_an_hour(layer, takes, max(apart, takes)), shown):
        apart += 1
    return apart


# ---------------------------------------------------------------- margins


def margin(passes, good, bad, stated):
    """From `stated` to the first that fails on the way from `good` to `bad`, by 80 steps and
    halving; to `bad` if nothing fails. Negative = fails already, the way back. None = no way back:
    not even `good` passes, or `stated` lies beyond it, where nothing does."""
    last, reach = good, abs(bad - good)
    beyond = over(abs(stated - bad), reach) and abs(stated - good) < abs(stated - bad)
    if beyond or not passes(good):
        return None
    for k in range(1, 81):
        here = good + (bad - good) * k / 80
        if not passes(here):
            last = halve(passes, last, here)
            break
        last = here
    return abs(last - good) - abs(stated - good)


def margins(job):
    """(rate m/h, temperature C, slump m). None where full liquid head passes or no rate is stated.
    Temperatures from 100 down to 40 F, slumps from 0 to 12 in (the range of the cone)."""
    held = held_pressure(job)
    if job.rise is None or math.isinf(held):
        return None, None, None

    rates = [*(R for R in TRIED if job.rise > R), job.rise]  # a slower hour must pass as well

    def passes(**changes):
        here = replace(job, **changes)
        return not any(over(pressure(here, R), held) for R in rates)

    colder = wetter = None
    if job.temperature is not None:
        colder = margin(lambda T: passes(temperature=T), WARM, COLD, job.temperature)
    if job.slump is not None:
        wetter = margin(lambda s: passes(slump=s), 0.0, FOOT, job.slump)
    return allowed_rate(job) - job.rise, colder, wetter


# ---------------------------------------------------------------- comparing

TOLERANCE = 1e-6  # relative
SLOW = 0.1  # m/h: rates under it are the difference of two pressures, so 1e-6 of this. OWN


def allows_more(a, b, scale=0.0):
    """a above b by more than the tolerance, of `scale` at least; None = nothing is allowed."""
    return a is not None and (b is None or a > b + TOLERANCE * max(abs(b), scale))


def same(a, b, scale=0.0):
    return not allows_more(a, b, scale) and not allows_more(b, a, scale)
