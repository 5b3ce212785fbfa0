"""A second opinion on every check but the ties: slow, plain, and written without looking at
`formpressure`. The pressure and its integral come from `opinion.py`.

Each check is a function of the plan (a dict, as `tomllib` reads it, US units) and of the largest
pressure, psf; it returns {part: ratio}, ratio = demand over capacity, or None where no published
value serves. Units ft, lb, psf, lb/ft. Labels as in `opinion.py`. Statics of ends: OWN (statics).
"""

import math

import opinion
from members_opinion import (
    ACROSS,
    SIZES,
    WET_ACROSS,
    adjusted,
    beam,
    cantilever,
    section,
    sheathing,
)
from opinion import FEET, POUNDS, no_relief, number, pairs, push, rating

PLF = {"lb/ft": 1.0}


class Job:
    """What several checks need: the wall, its pressure diagram, its rows of ties."""

    counts_gaps = True  # a member has no more spans than there are gaps; False only in tests

    def __init__(self, plan, peak):
        self.plan, self.peak = plan, peak
        self.wall = opinion.read(plan)
        self.start, self.top = self.wall.start, self.wall.top
        self.slope = self.wall.surge * self.wall.w
        self.rows = self.wall.ties  # below the surface, above the start
        self.form = plan["form"]
        # not stated: no thickness at all is too much (OWN)
        self.thickness = opinion.optional(plan["delivery"], "thickness", FEET) or math.inf

    def at(self, z):
        """Pressure at level z: fluid head below the surface, never over the peak."""
        return min(self.slope * max(self.top - z, 0.0), self.peak)

    def between(self, lo, hi):
        """Load per foot of width between two levels, and its moment about level 0."""
        lo, hi = max(lo, self.start), min(hi, self.top)
        return push(lo, hi, self.top, self.slope, self.peak) if hi > lo else (0.0, 0.0)

    def worst_row(self):
        """Largest load per foot on any row: half-way and hinged, all surface levels."""
        rows = opinion.row_loads(self.wall, self.peak)
        return max((max(pair) for pair in rows), default=math.inf) / self.wall.width

    def rated(self, table, name, units):
        """Ties, connectors, holds: a factor of 2, `opinion.rating` (for these parts OWN)."""
        return rating(number(table[name], units), table["basis"])


# ---------------------------------------------------------------- ends


def corner_arm(job):
    """Pull of an outside corner per foot of height, over p: (d + t)/2, d from the corner to the
    first tie. The end bay as a simple span. OWN (statics)."""
    return (number(job.form["corners"]["first_tie"], FEET) + job.thickness) / 2


def corner_pull(job):
    """The lowest connector of an outside corner: all over its spacing."""
    c = job.form["corners"]
    load = job.between(job.start, job.start + number(c["spacing"], FEET))[0] * corner_arm(job)
    return {"pull": load / job.rated(c, "load", POUNDS)}


def joint_pull(job):
    """The lowest connector of a joint between panels: what runs along one face from a corner, or
    from a stop, p t/2. OWN (statics)."""
    c, arm = job.form["joint_connectors"], 0.0  # no corner and no stop: nothing to pull
    if isinstance(job.form.get("bulkheads"), dict):
        arm = job.thickness / 2
    if isinstance(job.form.get("corners"), dict):
        arm = max(arm, corner_arm(job))
    load = job.between(job.start, job.start + number(c["spacing"], FEET))[0] * arm
    return {"pull": load / job.rated(c, "load", POUNDS)}


def bulkhead_hold(job, second=opinion.hinged):
    """Holds of an end stop carry p t as rows of ties carry p: half-way and hinged, the larger, over
    all surface levels. OWN (statics)."""
    b = job.form["bulkheads"]
    holds = [z for z in sorted(number(x, FEET) for x in b["heights"]) if job.start < z < job.top]
    if not holds:
        return {"nothing holds": math.inf}
    per_foot = (
        opinion.worst_levels(m, tuple(holds), job.start, job.top, job.slope, job.peak)
        for m in (opinion.tributary, second)
    )
    load = max(map(max, per_foot)) * job.thickness
    return {"hold": load / job.rated(b, "load", POUNDS)}


def opening(job, relief=True):
    """Uplift under the buck at its worst, the concrete level with its head: what comes on top of it
    later holds it down (buoyancy, statics). A sill on the footing counts, too: the plan names the
    lowest buck, and another may stand higher (OWN). Struts between its jambs, half-way rows over
    the height of the buck, all concrete placed. OWN (statics)."""
    o = job.form["openings"]
    sill, head = number(o["sill"], FEET), min(number(o["head"], FEET), job.top)
    rows = [z for z in sorted(number(x, FEET) for x in o["struts"]) if sill <= z <= head]
    if not rows:
        return {"no strut": math.inf}
    fluid = min(job.slope * (head - max(sill, job.start)), job.peak)
    cuts = [sill, *((a + b) / 2 for a, b in pairs(rows)), head]
    most = max(job.between(a, b)[0] for a, b in pairs(cuts))
    if not relief:

        def strict(t, start, surface, slope, peak):
            return no_relief(t, start, surface, slope, peak, min(head, surface))

        wall = (tuple(rows), max(sill, job.start), job.top, job.slope, job.peak)
        most = max(most, *opinion.worst_levels(strict, *wall))
    return {
        "uplift": fluid * number(o["width"], FEET) * job.thickness
        / job.rated(o, "hold_down", POUNDS),
        "strut": most * job.thickness / job.rated(o, "strut", POUNDS),
    }  # fmt: skip


def uplift(job):
    """Battered face: the integral of p times the slope; ledge: p times its width. OWN (statics),
    equal to the concrete missing above the slope (READ, engineering Q&A thread)."""
    s = job.form["batter_and_ledges"]
    slope = (opinion.optional(s, "run", FEET) or 0.0) / number(job.plan["wall"]["height"], FEET)
    ledge = opinion.optional(s, "ledge", FEET) or 0.0
    level = opinion.optional(s, "ledge_height", FEET)  # not stated: as low as can be (OWN)
    level = job.start if level is None else level
    # hardened concrete pushes nothing
    under = 0.0 if opinion.over(job.start, level) else job.at(level)
    load = job.between(job.start, job.top)[0] * slope + under * ledge
    return {"uplift": load / job.rated(s, "hold_down", PLF)}


def foot(job):
    """Load per foot that the lowest row leaves to the foot: half-way up to it. OWN (statics)."""
    if not job.rows:
        return job.between(job.start, job.top)[0]
    return job.between(job.start, (job.start + job.rows[0]) / 2)[0]


def base(job):
    """Each face at the footing."""
    b = job.form["base"]
    return {"kick-out": foot(job) / job.rated(b, "hold", PLF)}


def joint(job):
    """Anchors in the hardened concrete: factor 2, or 3 with live load or impact (QUOTED, Concrete
    Construction, "Safety factor for form ties", and an accessory handbook, after ACI 347)."""
    a = job.form["placement_joint"]
    stated = number(a["load"], POUNDS)
    factor = 2.0 if a.get("live_load") is False else 3.0
    if a["basis"] == "breaking load":
        allowed = stated / factor
    else:
        allowed = min(stated, stated * float(a["basis"].split()[-1].split(":")[0]) / factor)
    return {"kick-out": foot(job) * number(a["spacing"], FEET) / allowed}


# ---------------------------------------------------------------- form


def panels(job):
    """Rated panels, or sheathing, studs and wales at the pressure of their own place."""
    if "panels" in job.form:
        return {"pressure": job.peak / job.wall.panels}
    found = job_built(job)
    return found and {part: ratio for part, ratio in found.items() if "cantilever" not in part}


def overhang(job):
    """How far the form runs past its lowest and its highest loaded tie; job-built: the studs there
    as cantilevers."""
    if not job.rows:
        return {"nothing holds": math.inf}
    if "panels" in job.form:
        may = number(job.form["panels"]["overhang"], FEET)
        return {
            "below": (job.rows[0] - job.start) / may,
            "above": (job.top - job.rows[-1]) / may,
        }
    found = job_built(job)
    return found and {part: ratio for part, ratio in found.items() if "cantilever" in part}


def members(job, name, repetitive):
    """(allowable values, section) of the studs or the wales."""
    m = job.form[name]
    # seven days 1.25, or 1.0 once used before: READ, Florida week 7
    CD = 1.25 if m.get("reused") is False else 1.0
    doubled = m.get("doubled") is True
    values = adjusted(m["size"], m["species"], m["grade"], CD, repetitive=repetitive)
    return values, section(m["size"], doubled)


def job_built(job):
    """Every part of a form of sheathing, studs and wales (wales = rows of ties)."""
    studs, wales = job.form["studs"], job.form["wales"]
    spacing = number(studs["spacing"], FEET)
    # Cr: studs joined by sheathing at 24 in. or less; wales have none. READ, Florida
    stud, stud_shape = members(job, "studs", repetitive=spacing <= 2 * (1 + 1e-12))
    wale, wale_shape = members(job, "wales", repetitive=False)
    support = SIZES[studs["size"]][0]
    sheet = sheathing(job.peak, job.form["sheathing"], spacing * 12, support)
    if stud is None or wale is None or sheet is None:
        return None
    parts = {f"sheathing, {k}": v for k, v in sheet.items()}

    def add(name, found):
        for k, v in found.items():
            parts[f"{name}, {k}"] = max(v, parts.get(f"{name}, {k}", 0.0))

    rows = sorted(number(x, FEET) for x in job.plan["ties"]["heights"])
    gaps = [(a, b) for a, b in pairs(rows) if job.start <= a < job.top]
    for a, b in gaps:  # the pressure at the lower end, all along the span (OWN)
        load, spans = job.at(a) * spacing, studs.get("spans")
        # the uppermost span may end on a row above the concrete: then it is no whole span
        most = max(1, sum(hi < job.top for _, hi in gaps)) if job.counts_gaps else 3
        add("stud", beam(load, (b - a) * 12, stud, stud_shape, spans, most))
    first, last = job.rows[0], job.rows[-1]
    for lo, hi, tie in ((job.start, first, first), (last, job.top, last)):
        force, moment = job.between(lo, hi)
        arm = abs(moment - force * tie) * 12
        add("stud", cantilever(force * spacing, arm * spacing, stud, stud_shape))
    line = job.worst_row()
    lines = [number(x, FEET) for x in job.plan["ties"].get("joints", ())]
    span = max((b - a for a, b in pairs(sorted(lines))), default=job.wall.width)
    most = len(lines) - 1 if lines and job.counts_gaps else 3
    add("wale", beam(line, span * 12, wale, wale_shape, wales.get("spans"), most))
    # stud on wale: as wide as both. READ, Florida: 4.5 in2 for one on a double wale
    area = stud_shape[0] * wale_shape[0]
    softer = min(ACROSS[studs["species"]], ACROSS[wales["species"]])
    parts["stud on wale"] = line * spacing / (area * softer * WET_ACROSS)
    return parts


def tie_bearing(job):
    """Plate or wedge on wet wood: the load of the worst tie on its net area. NDS 3.10, READ,
    Florida week 7; Peurifoy p. 85 (check it first)."""
    b = job.form["tie_bearing"]
    area = float(b["area"].split()[0])
    load = job.worst_row() * job.wall.width
    return {"plate": load / (area * ACROSS[b["species"]] * WET_ACROSS)}
