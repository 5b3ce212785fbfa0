"""Random plans, seeded, with every part of the form stated: the same number, the same plan.

Ratings are drawn around what the part has to carry, so that each check passes and fails often.
"""

import random

from random_plans import feet

RATED = ("working load at 2:1", "working load at 1.5:1", "working load at 3:1", "breaking load")
SHEET = "sheet in the job file"
SPECIES = ("Douglas Fir-Larch", "Hem-Fir", "Spruce-Pine-Fir", "Southern Pine")
CLASS_I = ("15/32 in", "1/2 in", "19/32 in", "5/8 in", "23/32 in", "3/4 in", "7/8 in", "1 in")


class Draw(random.Random):
    """Some ways of drawing a value."""

    def maybe(self, chance):
        return self.random() < chance

    def near(self, value, unit, lo=0.6, hi=2.6):
        """A rating around `value`, in `unit`, and never nothing."""
        return f"{max(1, round(value * self.uniform(lo, hi)))} {unit}"

    def flag(self, table, name, chance, blank=0.15):
        if not self.maybe(blank):
            table[name] = self.maybe(chance)


def random_parts(number):
    """Plan number `number`, as a dict."""
    d = Draw(f"parts {number}")
    built = d.maybe(0.4)  # on the job, in place of rated panels
    # high walls built on the job take the library long: few of them
    inches = d.choice((48, 72, d.randrange(36, 84), d.randrange(36, 84)))
    if d.maybe(0.2 if built else 0.6):
        inches = d.randrange(84, 120 if built and d.maybe(0.85) else 220)
    start = d.choice((0, 0, 0, d.randrange(1, inches // 2)))
    wall, top = {"height": feet(d, inches)}, inches
    rows = random_rows(d, start, top)
    if rows[-1] >= top or d.maybe(0.25):
        form = max(inches, rows[-1]) + d.choice((0, 1, 6, d.randrange(1, 36)))
        wall["form_height"] = feet(d, form)
        wall["overfilling_prevented"] = rows[-1] >= top or d.maybe(0.5)
        if not wall["overfilling_prevented"]:
            top = form
    if start:
        wall["placed_from"] = feet(d, start)
        wall["hardened"] = "field-cured cylinders, tested the day before"
    thickness = d.choice((6, 8, 10, 12, 18))
    delivery = {"length": d.choice(("40 ft", "12 ft"))}
    if not d.maybe(0.03):
        delivery["thickness"] = f"{thickness} in"
    ties, width = {"load": "90000 lb", "basis": "working load at 2:1", "data_sheet": SHEET}, 24
    ties["heights"] = [feet(d, r) for r in rows]
    if d.maybe(0.25):
        gaps = [d.choice((12, 16, 18, 20, 24)) for _ in range(d.randrange(1, 5))]
        ties["joints"] = [f"{6 + sum(gaps[:k])} in" for k in range(len(gaps) + 1)]
        width = max(gaps)
    else:
        width = d.choice((12, 16, 18, 24, 24, d.choice((12, 36, 48))))
        ties["spacing"] = feet(d, width)
    plan = {"units": "US", "wall": wall, "ties": ties, "delivery": delivery}
    head = (top - start) / 12  # ft
    peak = 150 * head
    if d.maybe(0.35):  # a rate, and what the rule needs to use it
        rate = d.randrange(2, 30) / 2
        delivery["fastest_rise"] = f"{rate} ft/h"
        plan["concrete"] = {
            "temperature": f"{d.randrange(40, 101)} F",
            "slump": "5 in",
            "unit_weight": f"{d.choice((150, 140, 120, 155))} pcf",
            "mix": {"cement": "I", "retarder": d.maybe(0.5), "fly_ash": "0 %", "slag": "0 %"},
            "vibration": {"kind": "internal", "depth": "3 ft"},
        }
        peak = min(peak, max(600, 150 + 130 * rate))
    gap = max(b - a for a, b in zip([start, *rows], [*rows, max(top, rows[-1])], strict=True)) / 12
    form = {
        "faces": "tied through",
        **random_form(d, built, peak, gap, width / 12, rows, start, top),
        **random_ends(d, peak, head, thickness / 12, start, top),
        "bracing": random_bracing(d, max(inches, top) / 12),
        "brackets": random_brackets(d),
    }
    foot = peak * (rows[0] - start) / 24
    if start:
        spacing = d.choice((12, 24, 36))
        anchors = {"basis": d.choice(RATED), "spacing": f"{spacing} in"}
        anchors["load"] = d.near(foot * spacing / 12, "lb", 0.6, 3.5)
        d.flag(anchors, "live_load", 0.5)
        form["placement_joint"] = anchors
    else:
        form["base"] = {"hold": d.near(foot, "lb/ft"), "basis": d.choice(RATED)}
    blank = d.choice(("corners", "bulkheads", "openings", "batter_and_ledges", "bracing",
                      "brackets", "base", "placement_joint", "tie_bearing"))  # fmt: skip
    if d.maybe(0.2):
        form.pop(blank, None)
    plan["form"] = form
    return plan


def random_rows(d, start, top):
    """Rows of ties from the bottom up, inches; some uneven, some at or above the concrete."""
    step = d.choice((12, 16, 18, 24, 24))
    if top - start < 90 and d.maybe(0.15):
        step = d.choice((32, 40, 48))  # far enough that deflection decides
    rows = list(range(start + d.choice((4, 6, 8, 12, 12)), top, step)) or [start + 4]
    if d.maybe(0.3):
        rows = sorted({max(start + 1, r + d.randrange(-4, 5)) for r in rows})
    if rows[-1] < top - 14 and d.maybe(0.7):
        rows.append(top - 6)
    if d.maybe(0.1):
        rows.append(max(rows[-1], top) + d.choice((0, 3, 9)))
    return sorted(set(rows))


def random_form(d, built, peak, gap, width, rows, start, top):
    """Rated panels, or a form built on the job; wood under the ties either way."""
    tie = peak * gap * width
    bearing = {"area": d.near(tie / 350, "in2", 0.8, 3), "species": d.choice(SPECIES)}
    if not built:
        past = max(rows[0] - start, top - rows[-1], 1)
        factor = d.choice(("2", "1.5", "3"))
        panels = {"pressure": d.near(peak, "psf"), "basis": f"working pressure at {factor}:1"}
        if d.maybe(0.95):
            panels["overhang"] = d.near(past, "in", 0.7, 2)
        if d.maybe(0.95):
            panels["data_sheet"] = SHEET
        return {"panels": panels, "tie_bearing": bearing}
    plywood = d.choice(("form grade class I",) * 3 + ("group 1 S-1 wet", "group 1 S-2 dry"))
    general = plywood != "form grade class I"
    sheet = {"thickness": "3/4 in" if general else d.choice((*CLASS_I[3:], *CLASS_I)),
             "plywood": plywood}  # fmt: skip
    if general or d.maybe(0.9):
        sheet["face_grain"] = "across" if general or d.maybe(0.8) else "along"
    wanted = d.choice((4, 6, 6, 8, 8, 9.6, 12, 16, 19.2, 24))
    if d.maybe(0.75):  # tighter where the pressure is high, so that some forms pass
        wanted = min(wanted, max(3, int(5500 / peak)))
    studs = lumber(d, ("2x4", "2x4", "2x6", "2x8", "4x4"))
    studs["spacing"] = f"{wanted} in"
    wales = lumber(d, ("2x4", "2x6", "2x6", "2x8", "4x4"))
    wales["doubled"] = d.maybe(0.8)
    for table in (sheet, studs, wales):
        d.flag(table, "reused", 0.35)
        if not d.maybe(0.15):
            table["spans"] = d.choice((1, 2, 3, 3, 4, 5))
    return {"sheathing": sheet, "studs": studs, "wales": wales, "tie_bearing": bearing}


def lumber(d, sizes):
    """A size, a species and a grade that go together."""
    size = d.choice(sizes)
    species = d.choice(SPECIES)
    grade = "Stud" if species == SPECIES[0] and size != "2x8" and d.maybe(0.3) else "No.2"
    return {"size": size, "species": species, "grade": grade}


def random_ends(d, peak, head, t, start, top):
    """Corners, stops, joints, openings, slopes; all in feet here."""
    spacing, first = d.choice((12, 16, 24, 30, 36)), d.choice((6, 12, 18, 24))
    corner = {"first_tie": f"{first} in", "spacing": f"{spacing} in", "basis": d.choice(RATED)}
    corner["load"] = d.near(peak * spacing / 12 * (first / 12 + t) / 2, "lb", 0.4)
    joints = {"spacing": f"{spacing} in", "basis": d.choice(RATED)}
    joints["load"] = d.near(peak * spacing / 12 * (first / 12 + t) / 2, "lb", 0.3)
    gap = d.choice((12, 18, 24, 36))
    holds = sorted(set(range(start + d.choice((3, 6, 12)), top + d.choice((0, 6)), gap)))
    stop = {"heights": [feet(d, z) for z in holds or [start + 6]], "basis": d.choice(RATED)}
    stop["load"] = d.near(peak * gap / 12 * t, "lb")
    for table in (corner, joints, stop):
        if d.maybe(0.95):
            table["data_sheet"] = SHEET
    out = {"corners": corner, "joint_connectors": joints, "bulkheads": stop}
    for name, chance in (("corners", 0.15), ("joint_connectors", 0.05), ("bulkheads", 0.15)):
        if d.maybe(chance):
            out[name] = "none"
    out["openings"], out["batter_and_ledges"] = "none", "none"
    if d.maybe(0.85):
        sill = d.randrange(start, max(start + 1, top - 12))
        high = d.randrange(sill + 6, max(sill + 7, top + d.choice((0, 12))))
        width, row = d.choice((2, 3, 4)), d.choice((8, 12, 18))
        struts = list(range(sill + d.randrange(2, 9), high, row)) or [sill + 3]
        under = min(peak, 150 * (top - sill) / 12)
        out["openings"] = {
            "sill": f"{sill} in", "head": f"{high} in", "width": f"{width} ft",
            "hold_down": d.near(under * width * t, "lb"),
            "strut": d.near(under * row / 12 * t, "lb"),
            "struts": [f"{z} in" for z in struts], "basis": d.choice(RATED),
        }  # fmt: skip
    if d.maybe(0.85):
        slope = {"basis": d.choice(RATED)}
        run, ledge = d.choice((0, 3, 6, 12)), d.choice((0, 3, 8))
        if run:
            slope["run"] = f"{run} in"
        if ledge:
            slope["ledge"] = f"{ledge} in"
        if d.maybe(0.8):
            slope["ledge_height"] = f"{d.randrange(0, top)} in"
        load = peak * head / 2 * (run / top) + peak * 0.6 * ledge / 12
        slope["hold_down"] = d.near(load or 50, "lb/ft")
        out["batter_and_ledges"] = slope
    return out


def random_bracing(d, h):
    """Braces about at the stiffness they need; the wale along the top; wind or its speed."""
    out = lumber(d, ("2x4", "2x6", "4x4"))
    del out["grade"]
    attached = d.choice((1.0, 0.9, 0.75, 0.6)) * h
    spacing, foot = d.choice((3, 4, 6, 8)), attached * d.choice((0.6, 0.8, 1.0, 1.3, 2.0))
    length = (attached**2 + foot**2) ** 0.5
    out |= {"attached": f"{attached:.4f} ft", "foot": f"{foot:.4f} ft", "spacing": f"{spacing} ft"}
    if not d.maybe(0.1):
        out["stayed"] = d.choice((0, 1, 1, 2, 2, 3))
    wind = d.choice((8, 12, 15, 20, 30))
    if d.maybe(0.3):
        out["wind_speed"] = f"{round((wind / 0.00275) ** 0.5)} mph"
    elif d.maybe(0.95):
        out["wind"] = f"{wind} psf"
    load = max(100, max(wind, 15) * h / 2) * h * length / attached / foot * spacing
    load *= d.choice((1, 1, 4))  # ends so strong that the wood decides
    out |= {"connection": d.near(load, "lb", 0.8, 3), "anchor": d.near(load, "lb", 0.8, 3),
            "basis": d.choice(RATED)}  # fmt: skip
    if d.maybe(0.97):
        out["top_wale"] = lumber(d, ("2x4", "2x6", "2x6", "2x8", "4x4"))
        d.flag(out["top_wale"], "doubled", 0.85)
        d.flag(out["top_wale"], "reused", 0.5)
    if d.maybe(0.85):
        out["top_wale_on"] = d.choice(("edge", "edge", "flat"))
    stages = ["first face", "poured", "stripped"]
    out["stages"] = stages if d.maybe(0.8) else d.sample(stages, 2)
    return out


def random_brackets(d):
    """Brackets and planks around every limit of the rules."""
    if d.maybe(0.05):
        return "none"
    spacing = d.choice((4, 5, 6, 7, 8, 8.5))
    out = {
        "spacing": f"{spacing} ft",
        "plank": d.choice(("2x10 nominal", "2x10 undressed", "2x10 undressed")),
        "plank_span": f"{d.choice((spacing, spacing, spacing, 4, 6, 8, 10))} ft",
        "load": f"{d.choice((25, 25, 25, 50, 75))} psf",
        "end_overhang": f"{d.choice((4, 6, 8, 10, 12, 14, 18, 19))} in",
        "platform": f"{d.choice((8, 10, 12, 16))} ft",
        "width": f"{d.choice((16, 18, 20, 20, 30))} in",
    }
    d.flag(out, "cleated", 0.5)
    d.flag(out, "on_ties", 0.1, blank=0.1)
    if d.maybe(0.2):
        out["spacing_limit"] = f"{d.choice((4, 6, 10))} ft"
    if d.maybe(0.9):
        out["bracket_load"] = d.near(575, "lb", 0.8, 3)
    return out
