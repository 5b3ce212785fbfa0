"""Random plans, seeded: the same number gives the same plan, on every machine.

Bounds and odd cases are drawn on purpose, far more often than a job would bring them.
"""

import random

BASES = ("working load at 2:1", "working load at 1.5:1", "working load at 1.25:1",
         "working load at 3:1", "breaking load")  # fmt: skip


def random_plan(number):
    """Plan number `number`, as a dict of text values."""
    rng = random.Random(number)
    pick = rng.choice

    def maybe(chance):
        return rng.random() < chance

    inches = pick((96, 120, 102, rng.randrange(30, 168), rng.randrange(168, 300)))
    start = pick((0, 0, 0, 0, rng.randrange(1, max(2, inches // 2))))
    if maybe(0.2):  # a placement of exactly 14 ft, one inch over, under, and about 4.2 m
        inches = start + 168 + pick((0, 0, 1, -1, -2, -3))
    wall = {"height": feet(rng, inches)}
    top = form = inches
    if maybe(0.35):
        extra = pick((0, 1, 6, rng.randrange(1, 48)))
        form += extra
        wall["form_height"] = feet(rng, form)
        if maybe(0.6):
            wall["overfilling_prevented"] = maybe(0.8)
        if wall.get("overfilling_prevented") is not True:
            top = form
    if start:
        wall["placed_from"] = feet(rng, start)
        wall["hardened"] = "field-cured cylinders, tested the day before"
    if maybe(0.7):
        wall["short_pieces"] = maybe(0.2)

    return {
        "units": "US",
        "wall": wall,
        "ties": random_ties(rng, start, top, form),
        **({"concrete": random_concrete(rng)} if maybe(0.95) else {}),
        **({"delivery": random_delivery(rng)} if maybe(0.9) else {}),
        **({"form": {"panels": random_panels(rng)}} if maybe(0.35) else {}),
    }


def random_ties(rng, start, top, form):
    """Rows from one alone to many, some above the concrete, some in the lift below."""
    pick = rng.choice
    step = pick((12, 16, 18, 24, 24, 30, 36, 48))
    first = start + pick((0, 2, 6, 12, 12, 18, 30))
    rows = list(range(first, top, step)) or [first]
    kind = rng.random()
    if kind < 0.05:
        rows = [pick(rows)]  # one row
    elif kind < 0.12:
        rows = rows[-2:]
    elif kind < 0.45:  # uneven
        rows = sorted({min(top - 1, max(start + 1, r + rng.randrange(-5, 6))) for r in rows})
    if rng.random() < 0.3:
        rows += [r for r in (top, top + 3, top + 24) if r <= form]  # at and above the concrete
    if start > 4 and rng.random() < 0.5:
        rows += [start // 2]  # in the lift below
    rows = sorted({r for r in rows if r > 0}) or [start + 6]
    if rng.random() < 0.1:
        rng.shuffle(rows)
    ties = {"heights": [feet(rng, r) for r in rows], "basis": pick(BASES)}
    width = pick((12, 16, 18, 24, 24, 24, 32, 36, 48))
    if rng.random() < 0.3:
        joints = [rng.randrange(1, 12)]
        for _ in range(pick((1, 2, 3, 5, 8))):
            joints.append(joints[-1] + pick((12, 18, 24, 24, 30, 36, 48)))
        ties["joints"] = [f"{x} in" for x in joints]
    else:
        ties["spacing"] = feet(rng, width)
    pounds = pick((2250, 3000, 4500, 6000, rng.randrange(300, 3000), rng.randrange(3000, 25000)))
    if rng.random() < 0.75:  # near what liquid head puts on the worst row: a rate may decide
        rows = sorted(rows)
        gap = max(b - a for a, b in zip([start, *rows], [*rows, max(top, rows[-1])], strict=True))
        pounds = round(150 * (top - start) / 12 * gap / 12 * width / 12 * rng.uniform(0.3, 2.5))
    ties["load"] = f"{pounds} lb"
    if rng.random() < 0.5:
        ties["data_sheet"] = "sheet in the job file"
    if rng.random() < 0.5:
        ties["breaking_of"] = "tie, wedge and clip"
    return ties


def random_concrete(rng):
    """Every key may be missing; values crowd at the bounds of the rule."""
    pick = rng.choice

    def blank():
        return rng.random() < 0.02

    concrete = {}
    if not blank():
        inside = [f"{rng.randrange(40, 101)} F" for _ in range(16)]
        concrete["temperature"] = pick(("40 F", "60 F", "70 F", "100 F", *inside, "39 F", "101 F"))
    if not blank():
        usual = ("3 in", "4.5 in", "5 in", "6.85 in") * 4
        concrete["slump"] = pick((*usual, "6.9 in", "7 in", "7.1 in"))
    if rng.random() < 0.7:
        spread = [rng.randrange(80, 201), rng.randrange(80, 201)]
        concrete["unit_weight"] = f"{pick((150, 140, 139.9, 150.1, 87, *spread))} pcf"
    if rng.random() < 0.15:
        concrete["self_consolidating"] = rng.random() < 0.3
    mix = {}
    if not blank():
        mix["cement"] = pick(("I", "II", "III", "V", "IL"))
    if not blank():
        mix["retarder"] = rng.random() < 0.4
    if not blank():
        mix["fly_ash"] = pick((*["0 %"] * 6, "20 %", "39.9 %", "40 %", "55 %"))
    if not blank():
        mix["slag"] = pick((*["0 %"] * 6, "35 %", "69.9 %", "70 %", "80 %"))
    if mix or rng.random() < 0.5:
        concrete["mix"] = mix
    vibration = {}
    if not blank():
        vibration["kind"] = pick(("internal",) * 36 + ("external", "hammering", "rodding", "none"))
    if not blank():
        vibration["depth"] = pick((*("3 ft", "3'-11\"", "18 in", "3'-6\"") * 4, "4 ft", "49 in"))
    if vibration:
        concrete["vibration"] = vibration
    return concrete


def random_delivery(rng):
    """Length and thickness around 6.5 ft; rates around 7 and 15 ft/h."""
    pick = rng.choice
    delivery = {}
    if rng.random() < 0.5:
        spread = [rng.randrange(1, 60) / 2, rng.randrange(1, 60) / 2]
        rate = pick((7, 15, 6.85, 6.9, 7.1, 15.1, 14.9, 14.7, *spread))
        delivery["fastest_rise"] = f"{rate} ft/h"
    if rng.random() < 0.6:
        delivery["method"] = pick((*("chute", "pump from above", "bucket") * 4, "pump from base"))
    if rng.random() < 0.85:
        long, short = ("160 ft", "40 ft", "40 ft", "22 ft"), ("5 ft", "24 in")
        delivery["length"] = pick((*long, *short, "6.5 ft", "6'-7\"", "6.55 ft"))
    if rng.random() < 0.85:
        delivery["thickness"] = pick(("8 in", "12 in", "18 in", "2 ft", "6.5 ft", "79 in"))
    return delivery


def random_panels(rng):
    """Rated panels, most of them on a data sheet."""
    psf = rng.choice((600, 750, 900, 1000, 1200, rng.randrange(300, 3500)))
    basis = f"working pressure at {rng.choice(('2', '1.5', '3'))}:1"
    panels = {"pressure": f"{psf} psf", "basis": basis}
    if rng.random() < 0.7:
        panels["data_sheet"] = "sheet in the job file"
    return panels


def feet(rng, inches):
    """One length, spelled one of the ways it is spelled on site."""
    whole, rest = divmod(inches, 12)
    ways = [f"{inches} in", f"{whole}'-{rest}\"", f"{whole} ft {rest} in", f"{whole}' {rest}\""]
    if rest == 0:
        ways += [f"{whole} ft", f"{whole}'"]
    if rest % 3 == 0:
        ways += [f"{inches / 12} ft"]
    return rng.choice(ways)


def toml_text(plan):
    """A plan as TOML: text, booleans, counts, lists, tables; nothing else is needed."""
    head = [f"{key} = {value_text(v)}" for key, v in plan.items() if not isinstance(v, dict)]
    for key, table in plan.items():
        if isinstance(table, dict):
            head += ["", f"[{key}]", *(f"{k} = {value_text(v)}" for k, v in table.items())]
    return "\n".join(head) + "\n"


def value_text(value):
    """One value on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, list):
        return "[" + ", ".join(value_text(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {value_text(v)}" for k, v in value.items()) + " }"
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
