"""A second opinion on braces, stages and scaffold brackets, as `parts_opinion.py`: {part: ratio}.

Units ft, lb, psf, lb/ft; inches where a name says so. Labels and short names of sources as in
`opinion.py` and `members_opinion.py`. OSHA is 29 CFR 1926.
"""

import math

import opinion
from members_opinion import SIZES, adjusted, column, section
from opinion import FEET, POUNDS, number, over, rating

STAGES = ("first face", "poured", "stripped")


def form_height(plan):
    """The wind meets the whole form."""
    wall = plan["wall"]
    return max(number(wall["height"], FEET), opinion.optional(wall, "form_height", FEET) or 0.0)


def wind_pressure(bracing):
    """Local wind, psf; a speed by ASCE 7: 0.00256 Kz Kzt Kd V2 G Cf with 0.85, 1, 0.85, G 0.85,
    Cf 1.75 for a wall standing free (READ, Florida week 5), not reduced."""
    if "wind" in bracing:
        return number(bracing["wind"], {"psf": 1.0})
    if "wind_speed" in bracing:
        return 0.00256 * 0.85**3 * 1.75 * number(bracing["wind_speed"], {"mph": 1.0}) ** 2
    return None


def held_per_foot(plan):
    """[(lb/ft held at the brace, lb/ft left to the foot of the form, CD)], by moments about the
    foot: wind, at least 15 psf, p h h/(2 h1) of p h, CD 1.6; and 100 lb/ft at the top, CD None:
    seven days where the piece is new. The form stands on the footing, or on a lift's joint.

    Minima of ACI 347, QUOTED from a formwork textbook, sec. 7.2.2, p. 191; 1.6 for ten minutes
    READ, Peurifoy p. 49; the two loads one at a time, and the harder of the two feet, OWN."""
    form, wall = plan["form"]["bracing"], plan["wall"]
    p = max(wind_pressure(form) or 0.0, 15.0)
    out = []
    for foot in {0.0, opinion.optional(wall, "placed_from", FEET) or 0.0}:
        h, h1 = form_height(plan) - foot, number(form["attached"], FEET) - foot
        if h1 <= 0:
            return None
        for top, whole, CD in ((p * h / 2, p * h, 1.6), (100.0, 100.0, None)):
            out.append((top * h / h1, abs(top * h / h1 - whole), CD))
    return out


def bracing(plan):
    """Brace as a column and as a tie, its ends, its anchor, the wale along the top, the foot of the
    form. Along the brace: what it holds times l/l1. Statics."""
    form = plan["form"]
    b, wale = form["bracing"], form["bracing"]["top_wale"]
    spacing, l1 = number(b["spacing"], FEET), number(b["foot"], FEET)
    length = math.hypot(number(b["attached"], FEET), l1)
    flat = b.get("top_wale_on") != "edge"
    shape = section(wale["size"], wale.get("doubled") is True, flat)
    width, depth = SIZES[b["size"]]
    loads, parts = held_per_foot(plan), {}
    if loads is None:
        return {"braced below the joint": math.inf}
    for held, foot, CD in loads:
        axial = held * length / l1 * spacing
        values = adjusted(b["size"], b["species"], "No.2", CD or 1.0)
        new = 1.25 if wale.get("reused") is False else 1.0
        own = adjusted(wale["size"], wale["species"], wale["grade"], CD or new, flat=flat)
        if values is None or own is None:
            return None
        P = column(b["size"], length / (b.get("stayed", 0) + 1) * 12, values)
        found = {
            "column": axial / P if P else math.inf,
            "tension": axial / (values["Ft"] * width * depth),
            "connection": axial / rating(number(b["connection"], POUNDS), b["basis"]),
            "anchor": axial / rating(number(b["anchor"], POUNDS), b["basis"]),
            # one span: statics
            "top wale, bending": held * spacing**2 / 8 * 12 / shape[2] / own["Fb"],
            "top wale, shear": held * (spacing - 2 * shape[1] / 12) / 2
            / (own["Fv"] * shape[0] * shape[1] * 2 / 3),
        }  # fmt: skip
        if "base" in form:
            hold = rating(number(form["base"]["hold"], {"lb/ft": 1.0}), form["base"]["basis"])
            found["form foot"] = foot / hold
        for part, ratio in found.items():
            parts[part] = max(ratio, parts.get(part, 0.0))
    return parts


def stages(plan):
    """Braces stand from the first face to the stripped wall, and hold at every stage."""
    b = plan["form"]["bracing"]
    if any(s not in b.get("stages", ()) for s in STAGES):
        return {"a stage without braces": math.inf}
    return bracing(plan)


# Plank spans, ft, by load in psf: READ, OSHA Subpart L App. A 1(b)(i), not mandatory.
PLANKS = {
    "2x10 undressed": {25: 10, 50: 8, 75: 6},
    "2x10 nominal": {25: 8, 50: 6},
}


def brackets(plan):
    """Rules of OSHA Subpart L, each as a ratio."""
    b = plan["form"]["brackets"]
    spacing = number(b["spacing"], FEET)
    span = max(number(b["plank_span"], FEET), spacing)  # nothing else carries a plank
    load, width = number(b["load"], {"psf": 1.0}), number(b["width"], FEET)
    end, platform = number(b["end_overhang"], FEET) * 12, number(b["platform"], FEET)
    table = PLANKS[b["plank"]]
    step = min((k for k in (25, 50, 75) if not over(load, k)), default=None)
    may = table.get(step, 0)
    limit = min(8.0, opinion.optional(b, "spacing_limit", FEET) or 8.0)
    parts = {
        "spacing": spacing / limit,  # App. A 2(g), QUOTED, Minnesota OSHA alert
        "plank": span / may if may else math.inf,
        "overhang": end / (18 if over(platform, 10) else 12),  # 451(b)(5), QUOTED
        "width": 18 / 12 / width,  # 451(b), QUOTED
        # two people of 250 lb (READ, Florida) and 75 lb of tools in any 8 ft (App. A 2(g)), or the
        # load on the planks; the sheet of the bracket has the factor of 4 in it: 451(a)(1), QUOTED
        "bracket": max(load * spacing * width, 575.0) / number(b["bracket_load"], POUNDS),
        "hangs on a loaded tie": math.inf if b.get("on_ties") is not False else 0.0,  # statics
    }
    if b.get("cleated") is not True:
        parts["bearing of the end"] = 6 / end if end else math.inf  # 451(b)(4), QUOTED
    return parts
