"""A second opinion on the ties: slow, plain, and written without looking at `formpressure`.

From a plan (a dict, as `tomllib` reads it, US units) to: the largest load on every row of ties,
the capacity of a tie, full liquid head yes or no, and the allowed rate of placement. Everything is
found forward: pressure, load, pass or fail. Rates are found by trying. No formula is inverted.

Labels: READ = seen in the source's own text; QUOTED = seen in another text; MEMORY = from memory,
confirm against the document; OWN = our own statics or our own choice. "347R" below is ACI 347R-14
section 4.2.2, with the same rules in ACI 347-04 section 2.2.2.
"""

import functools
import itertools
import math
import re
from dataclasses import dataclass

SAME = 1e-9  # two numbers closer than this (relative) are the same number. OWN
FEET = {"ft": 1.0, "'": 1.0, "in": 1 / 12, '"': 1 / 12}
POUNDS = {"lb": 1.0, "lbf": 1.0, "kip": 1000.0}


def over(value, limit):
    """True if `value` is above `limit` by more than rounding."""
    return value > limit * (1 + SAME)


def number(text, units):
    """Sum of the number-unit pairs of a text: "8'-6\\"" is 8.5 with FEET. Refuses all else."""
    pairs = re.findall(r"""(\d+(?:\.\d+)?)\s*([A-Za-z%/]+|'|")""", text)
    if not pairs or re.sub(r"""(\d+(?:\.\d+)?)\s*([A-Za-z%/]+|'|")|[-\s]""", "", text):
        raise ValueError(f"cannot read {text!r}")
    return sum(float(n) * units[u] for n, u in pairs)


def optional(table, key, units):
    return number(table[key], units) if key in table else None


@dataclass
class Wall:
    """What the plan says, in ft, lb, psf, pcf, F. None = the plan does not say."""

    start: float  # lowest fresh concrete above the footing
    top: float  # highest level the concrete can reach
    ties: list  # heights of the rows that count, from the bottom up
    width: float  # of wall carried by the governing line of ties
    capacity: float  # of one tie, lb
    w: float
    surge: float  # factor on liquid head
    calm: bool  # nothing stated, or left blank, that leaves only liquid head in both sets of units
    temperature: float | None
    slump: float | None  # ft
    depth: float | None  # of vibration, ft
    Cc: float
    sides: tuple  # plan dimensions that are known, ft
    all_long: bool  # no short pieces between openings or at returns
    rise: float | None  # fastest rise the plan states, ft/h
    panels: float | None  # pressure they may carry, psf
    second_model: object = None  # beside the tributary areas; None is `hinged`
    always_both: bool = False  # the higher of both sets even where they take the same equation
    half_hour: bool = False  # never under the head of what rises in half an hour. OWN

    @property
    def h(self):
        """Placement height: the lift placed, not the finished wall. 347R, MEMORY."""
        return self.top - self.start


# ---------------------------------------------------------------- the plan


def read(plan):
    """Plan dict to `Wall`. Readings of blanks are OWN: the worst published value."""
    wall, ties, concrete = plan["wall"], plan["ties"], plan.get("concrete", {})
    delivery, panels = plan.get("delivery", {}), plan.get("form", {}).get("panels")
    top = number(wall["height"], FEET)
    if "form_height" in wall and wall.get("overfilling_prevented") is not True:
        top = max(top, number(wall["form_height"], FEET))  # head to the top of the form. OWN
    start = optional(wall, "placed_from", FEET) or 0.0
    rows = sorted(number(x, FEET) for x in ties["heights"])
    rating_of_panels = None
    if panels:
        rating_of_panels = rating(number(panels["pressure"], {"psf": 1.0}), panels["basis"])
    return Wall(
        start=start,
        top=top,
        ties=[t for t in rows if over(t, start) and over(top, t)],
        width=line_width(ties),
        capacity=rating(number(ties["load"], POUNDS), ties["basis"]),
        w=optional(concrete, "unit_weight", {"pcf": 1.0}) or 150.0,
        # pumped from the base: 25 % for surge, 347R, MEMORY
        surge=1.25 if delivery.get("method") == "pump from base" else 1.0,
        calm=calm(concrete, delivery),
        temperature=optional(concrete, "temperature", {"F": 1.0, "degF": 1.0}),
        slump=optional(concrete, "slump", FEET),
        depth=optional(concrete.get("vibration", {}), "depth", FEET),
        Cc=chemistry(concrete.get("mix", {})),
        sides=tuple(number(delivery[k], FEET) for k in ("length", "thickness") if k in delivery),
        all_long=wall.get("short_pieces") is False,
        rise=optional(delivery, "fastest_rise", {"ft/h": 1.0}),
        panels=rating_of_panels,
    )


def rating(stated, basis):
    """Tie factor 2.0 on breaking: 347R Table 4.4, QUOTED in Concrete Construction, "Safety factor
    for form ties", which also converts a 1.5:1 rating by 0.75 (READ). A higher factor than 2 is not
    given back (OWN). Panels by the same rule (OWN)."""
    if basis.startswith("breaking"):
        return stated / 2
    factor = float(re.fullmatch(r"working \w+ at ([\d.]+):1", basis).group(1))
    return min(stated, stated * factor / 2)


def line_width(ties):
    """Half-way to the next line on both sides (READ: tributary area, lecture notes, University of
    Florida, week 7). An end line takes its whole one gap, and the first one
    at least what a beam to the second line, overhanging to the end, puts on it (OWN, statics). The
    widest governs."""
    if "joints" not in ties:
        return number(ties["spacing"], FEET)
    x = sorted(number(t, FEET) for t in ties["joints"])
    gaps = [b - a for a, b in pairs(x)]
    middle = [(a + b) / 2 for a, b in pairs(gaps)]
    first = (x[0] + gaps[0]) * (x[0] + gaps[0]) / 2 / gaps[0]
    return max([first, gaps[0], gaps[-1], *middle])


def calm(concrete, delivery):
    """False = full liquid head only: self-consolidating concrete, pumping from the base (347R,
    MEMORY); any other vibration than internal, anything not stated, concrete outside 40 to 100 F
    (OWN)."""
    vibration = concrete.get("vibration", {})
    if vibration.get("kind") != "internal" or "depth" not in vibration or "slump" not in concrete:
        return False
    if concrete.get("self_consolidating") is True or delivery.get("method") == "pump from base":
        return False
    T = optional(concrete, "temperature", {"F": 1.0, "degF": 1.0})
    return T is not None and not over(40.0, T) and not over(T, 100.0)


def chemistry(mix):
    """Cc, ACI 347-04 Table 2.2, MEMORY. Slag and fly ash together count by their sum of shares, a
    blend exactly at the limit takes 1.4, and every blank takes the larger value (OWN)."""
    retarded = mix.get("retarder") is not False
    if "fly_ash" not in mix or "slag" not in mix:
        return 1.4
    ash, slag = number(mix["fly_ash"], {"%": 1.0}), number(mix["slag"], {"%": 1.0})
    if not over(1.0, ash / 40 + slag / 70):
        return 1.4
    if mix.get("cement") in ("I", "II", "III") and ash == 0 and slag == 0:
        return 1.2 if retarded else 1.0
    return 1.4 if retarded else 1.2


# ---------------------------------------------------------------- pressure


@dataclass(frozen=True)
class Set:
    """The constants of one unit system. The document rounds its two sets separately, so one wall
    can meet different equations in them."""

    base: float
    per_rate_b: float
    fixed_c: float
    per_rate_c: float
    zero: float  # added to the temperature
    minimum: float  # psf or kPa
    slow: float  # ft/h or m/h: from here (c)
    fast: float  # above it liquid head
    tall: float  # ft or m: above it (c)
    slump: float  # in or mm
    depth: float  # of vibration, ft or m
    side: float  # ft or m: no plan dimension over it makes a column
    light: float  # pcf or kg/m3
    heavy: float
    reference: float


# (b) and (c), psf: READ in the University of Florida notes, week 7. Minimum 600: READ, textbook
# chapter 12 under its Eq. 12-1. 7 in, 14 ft, 7 and 15 ft/h: READ, Hurd, "Use updated wall pressure
# formulas", Concrete Construction. 4 ft, 6.5 ft and the weights of Table 2.1: MEMORY.
US = Set(150, 9000, 43400, 2800, 0, 600, 7, 15, 14, 7, 4, 6.5, 140, 150, 145)
# All MEMORY, as ACI 347-04 prints them.
SI = Set(7.2, 785, 1156, 244, 17.8, 30, 2.1, 4.5, 4.2, 175, 1.2, 2.0, 2240, 2400, 2320)
METRE = 0.3048  # of a foot. Definition
PSF = 0.3048**2 / 0.45359237 / 9.80665 * 1000  # of a kPa. Definition
DENSITY = 0.45359237 / 0.3048**3  # kg/m3 of a pcf. Definition


def weight_coefficient(w, s):
    """Cw, ACI 347-04 Table 2.1, MEMORY; 1.0 at exactly 140 pcf: READ, published exam answer."""
    if over(s.light, w):
        return max(0.80, 0.5 * (1 + w / s.reference))
    return w / s.reference if over(w, s.heavy) else 1.0


def by_set(wall, R, s):
    """(which equation, pressure in psf) at rate R ft/h by one set of constants."""
    head = wall.w * wall.h  # the cap knows no coefficients: READ, Hurd letter
    foot, inch, w, T = 1.0, 12.0, wall.w, wall.temperature
    if s is SI:
        foot, inch, w, T = METRE, METRE * 1000, w * DENSITY, None if T is None else (T - 32) / 1.8
    element = kind(wall, s.side / foot)
    if not wall.calm or math.isinf(R) or (element != "column" and over(R * foot, s.fast)):
        return "head", wall.surge * head
    if over(wall.slump * inch, s.slump) or over(wall.depth * foot, s.depth):
        return "head", head
    R, T = R * foot, T + s.zero
    b = s.base + s.per_rate_b * R / T  # columns at any R and h: 347R, MEMORY
    c = s.base + s.fixed_c / T + s.per_rate_c * R / T
    high_or_fast = not over(s.slow, R) or over(wall.h * foot, s.tall)
    if element == "column" or not high_or_fast:
        name, p = "b", b
    else:
        name, p = ("c", c) if element == "wall" else ("b and c", max(b, c))
    Cw = weight_coefficient(w, s)
    p = max(Cw * wall.Cc * p, s.minimum * Cw)  # minimum first, times Cw (MEMORY), then the cap
    return name, min(p * PSF if s is SI else p, head)


def kind(wall, side):
    """Column = no plan dimension over 6.5 ft; wall = at least one. 347R, MEMORY. Short pieces, or a
    dimension not stated: the larger of both (OWN)."""
    if len(wall.sides) < 2:
        return "larger"
    if not any(over(x, side) for x in wall.sides):
        return "column"
    return "wall" if wall.all_long else "larger"


def peak_pressure(wall, R):
    """Largest pressure at rate R (ft/h; inf = straight up), psf. The plan's own set; where the
    other set takes another equation for the same wall, the higher of both (OWN)."""
    (name, p), (other, q) = by_set(wall, R, US), by_set(wall, R, SI)
    least = wall.w * min(R / 2, wall.h) if wall.half_hour else 0.0
    return max(p, least) if name == other and not wall.always_both else max(p, q, least)


# ---------------------------------------------------------------- loads on ties


def push(lo, hi, surface, slope, peak):
    """Force (lb/ft of wall) and its moment about level 0 from the pressure between two levels.

    Pressure = slope x depth down to `peak`, then constant (READ: Gardner, Proc. ICE Part 1, 80,
    1986, synopsis). Simpson's rule on each side of the kink: exact, nothing is above a parabola.
    """
    kink = surface - peak / slope
    force = moment = 0.0
    for a, b in ((lo, min(hi, kink)), (max(lo, kink), hi)):
        if b <= a:
            continue
        middle = (a + b) / 2
        for z, share in ((a, 1), (middle, 4), (b, 1)):
            part = share * min(slope * (surface - z), peak) * (b - a) / 6
            force += part
            moment += part * z
    return force, moment


def tributary(t, start, surface, slope, peak):
    """Loads (lb/ft) of the ties `t`, all below the surface, bottom row first: half-way to the
    neighbour, down to the start, up to the surface (READ: Florida notes, week 7)."""
    cuts = [start, *((a + b) / 2 for a, b in pairs(t)), surface]
    return [push(a, b, surface, slope, peak)[0] for a, b in pairs(cuts)]


def hinged(t, start, surface, slope, peak):
    """The same from beams hinged at every tie, the lowest one reaching down to the start, the
    highest one up to the surface; force and moment in balance. One tie alone: the whole load, or
    what stops the form from turning about the start, whichever is more. OWN statics."""
    if len(t) == 1:
        force, moment = push(start, surface, surface, slope, peak)
        return [max(force, (moment - force * start) / (t[0] - start))]
    loads = [0.0] * len(t)
    last = len(t) - 2
    for k, (a, b) in enumerate(pairs(t)):
        lo, hi = start if k == 0 else a, surface if k == last else b
        force, moment = push(lo, hi, surface, slope, peak)
        upper = (moment - force * a) / (b - a)
        loads[k] += force - upper
        loads[k + 1] += upper
    return loads


def no_relief(t, start, surface, slope, peak, end=None):
    """`hinged` up to `end`, but no stretch of pressure takes load off a tie. OWN."""
    end = surface if end is None else end

    def share(lo, hi, zero, one):  # of the pressure lo to hi, growing from 0 at zero to 1 at one
        force, moment = push(lo, hi, surface, slope, peak) if hi > lo else (0.0, 0.0)
        return (moment - force * zero) / (one - zero)

    if len(t) == 1:
        below = push(start, t[0], surface, slope, peak)[0]
        return [below + share(t[0], end, start, t[0])] if t[0] > start else [math.inf]
    loads = [0.0] * len(t)
    for k, (a, b) in enumerate(pairs(t)):
        lo, hi = start if k == 0 else a, end if k == len(t) - 2 else b
        loads[k] += share(lo, min(hi, b), b, a)
        loads[k + 1] += share(max(lo, a), hi, a, b)
    return loads


def pairs(values):
    return list(itertools.pairwise(values))


LEVELS = 16  # surface levels tried between one tie and the next, before the search is refined
GOLD = (math.sqrt(5) - 1) / 2


def largest(f, lo, hi):
    """Largest value of f between two levels by golden section; test_opinion.py tries it."""
    a, b = hi - GOLD * (hi - lo), lo + GOLD * (hi - lo)
    fa, fb = f(a), f(b)
    for _ in range(20):
        if fa < fb:
            lo, a, fa = a, b, fb
            b = lo + GOLD * (hi - lo)
            fb = f(b)
        else:
            hi, b, fb = b, a, fa
            a = hi - GOLD * (hi - lo)
            fa = f(a)
    return max(fa, fb)


def row_loads(wall, peak):
    """Largest (tributary, hinged) load in lb of every counting row, over all surface levels."""
    found = (worst_levels(m, tuple(wall.ties), wall.start, wall.top, wall.surge * wall.w, peak)
             for m in (tributary, wall.second_model or hinged))  # fmt: skip
    return [(wall.width * a, wall.width * b) for a, b in zip(*found, strict=True)]


@functools.lru_cache(maxsize=256)
def worst_levels(model, t, start, top, slope, peak):
    """Largest load (lb/ft) on each row by one model.

    Between two ties the set of ties below the surface stays the same; both ends of each such
    stretch are tried, so "just below a tie" and "just above a tie" are both seen.
    """
    best = [0.0] * len(t)
    for n, (lo, hi) in enumerate(pairs([*t, top]), start=1):
        levels = [lo + k * (hi - lo) / LEVELS for k in range(LEVELS)] + [hi]
        tried = [model(t[:n], start, s, slope, peak) for s in levels]
        for row in range(n):
            values = [loads[row] for loads in tried]
            found = max(values)
            k = values.index(found)
            if 0 < k < LEVELS and 1.01 * found > best[row]:

                def load(s, n=n, row=row):
                    return model(t[:n], start, s, slope, peak)[row]

                found = max(found, largest(load, levels[k - 1], levels[k + 1]))
            best[row] = max(best[row], found)
    return best


# ---------------------------------------------------------------- opinion


def demand(wall, R):
    """Load in lb of the worst row. Nothing between start and top holds the form: no number."""
    return max((max(pair) for pair in row_loads(wall, peak_pressure(wall, R))), default=math.inf)


def carries(wall, R, slack=SAME):
    """Do all rows, and the panels if rated, carry the pressure at rate R (inf = straight up)?"""
    if wall.panels is not None and peak_pressure(wall, R) > wall.panels * (1 + slack):
        return False
    return demand(wall, R) <= wall.capacity * (1 + slack)


BOUNDS = (US.slow, US.fast, SI.slow / METRE, SI.fast / METRE)  # where pressure may jump, either way


def allowed_rate(wall):
    """("any", inf), ("at most", R), ("none", 0): the largest rate that passes with all lower ones.

    Rates are tried upward until one fails; the gap is then halved until nothing is left of it.
    """
    if carries(wall, math.inf):
        return "any", math.inf
    tried = sorted([1e-9, *range(1, 15), *(x * f for x in BOUNDS for f in (1 - 1e-8, 1, 1 + 1e-8))])
    low = 0.0
    for high in itertools.chain(tried, itertools.count(16)):
        if not carries(wall, high):
            break
        low = high
    if low == 0.0:
        return "none", 0.0
    while high - low > 1e-8 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if carries(wall, middle) else (low, middle)
    return "at most", low
