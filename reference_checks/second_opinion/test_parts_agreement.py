"""The library against the second opinion on every check but the ties, plan by plan.

1000 plans by default; `FORMPRESSURE_PLANS` and `FORMPRESSURE_FIRST` as in `test_agreement.py`.
"""

import copy
import math
import os
import sys
from collections import Counter
from pathlib import Path

import pytest

from formpressure import Refusal, check, read_plan

sys.path.insert(0, str(Path(__file__).parent))
import bracing_opinion
import opinion
import parts_opinion
from parts_opinion import Job
from random_parts import random_parts
from random_plans import toml_text

PLANS = int(os.environ.get("FORMPRESSURE_PLANS", "1000"))
FIRST = int(os.environ.get("FORMPRESSURE_FIRST", "0"))
TOLERANCE = 1e-6  # relative
SEVERE = 1.01  # more than 1 % on the careful side is counted and printed

# Of every check: our opinion, the table of the plan, and the keys without which it stays open.
CHECKS = {
    "panels": (parts_opinion.panels, None, ()),
    "tie bearing": (parts_opinion.tie_bearing, "tie_bearing", ()),
    "joint connectors": (parts_opinion.joint_pull, "joint_connectors", ("data_sheet",)),
    "corners": (parts_opinion.corner_pull, "corners", ("data_sheet",)),
    "bulkheads": (parts_opinion.bulkhead_hold, "bulkheads", ("data_sheet",)),
    "openings": (parts_opinion.opening, "openings", ()),
    "batter and ledges": (parts_opinion.uplift, "batter_and_ledges", ()),
    "overhangs": (parts_opinion.overhang, None, ()),
    "base": (parts_opinion.base, "base", ()),
    "placement joint": (parts_opinion.joint, "placement_joint", ()),
    "bracing": (lambda job: bracing_opinion.bracing(job.plan), "bracing", ("top_wale",)),
    "stages": (lambda job: bracing_opinion.stages(job.plan), "bracing", ("top_wale", "stages")),
    "brackets": (lambda job: bracing_opinion.brackets(job.plan), "brackets", ("bracket_load",)),
}
THICK = {"joint connectors", "corners", "bulkheads", "openings"}  # need the wall's thickness
# The same reading on both sides, for every plan: these ratios must be equal, both ways.
EQUAL = {"batter and ledges", "overhangs", "base", "placement joint"}


def more(a, b):
    """a above b by more than the tolerance."""
    return a > b * (1 + TOLERANCE) + 1e-12


def is_open(plan, name):
    """Is something left blank that the check cannot do without?"""
    form, (_, table, keys) = plan["form"], CHECKS[name]
    if table and table not in form:
        return True
    if table and form[table] == "none":
        return False
    missing = any(key not in form[table] for key in keys)
    missing |= name in THICK and "thickness" not in plan["delivery"]
    if name == "joint connectors":
        ends = [form.get("corners"), form.get("bulkheads")]
        return None in ends or (missing and ends != ["none", "none"])  # no end: nothing pulls
    if name in ("bracing", "stages"):
        missing |= not {"wind", "wind_speed"} & set(form["bracing"])
    if name == "batter and ledges":
        missing |= not {"run", "ledge"} & set(form[table])
    if "panels" in form and name in ("panels", "overhangs"):
        missing |= ("data_sheet" if name == "panels" else "overhang") not in form["panels"]
    return missing


def reason(name, job, found, verdict):
    """Why the library is more severe: the first stricter reading that is as severe as it is."""
    ratio = found.ratio
    if ratio is None:
        return found.note
    if name in ("corners", "joint connectors") and parts_opinion.corner_arm(job) < job.thickness:
        scale = job.thickness / parts_opinion.corner_arm(job)
        if not more(ratio, scale * largest(CHECKS[name][0](job))):
            return "first tie closer than the wall is thick: p t"
    if name == "bulkheads":
        strict = parts_opinion.bulkhead_hold(job, opinion.no_relief)
        if not more(ratio, largest(strict)):
            return "overhangs give no relief"
    if name == "openings" and not more(ratio, largest(parts_opinion.opening(job, relief=False))):
        return "struts hinged, too, and no relief"
    if name == "stages":
        bare = copy.deepcopy(job.plan)
        bare["wall"].pop("form_height", None)
        if not more(ratio, largest(bracing_opinion.bracing(bare))):
            return "stripped, the wall alone is lower than its form and leaves more to the foot"
    if name in ("panels", "tie bearing"):
        tie = verdict["ties"].demand.bare / job.wall.width
        heavy = copy.copy(job)
        heavy.worst_row = lambda: max(tie, job.worst_row())
        if not more(ratio, largest(CHECKS[name][0](heavy))):
            return "load of the rows as on the ties: continuous, or no relief"
        heavy.counts_gaps = False
        heavy.plan = copy.deepcopy(job.plan)
        heavy.form = heavy.plan["form"]
        for member in ("studs", "wales"):
            heavy.form.get(member, {}).pop("spans", None)
        if name == "panels" and not more(ratio, largest(parts_opinion.panels(heavy))):
            return "uneven or few rows or lines: the worst of all numbers of spans"
    return f"not explained, {found.facts.get('part', found.note)}"


def largest(parts):
    return max(parts.values())


def compare(plan, verdict):
    """(wrong, severe, same): what the library lets pass and we do not; where it is 1 % more severe,
    with the reason; the checks whose ratio is ours."""
    wrong, severe, same = [], [], []
    wall = opinion.read(plan)
    rate = math.inf if wall.rise is None else wall.rise
    peak, ours = float(verdict.envelope.p_max), opinion.peak_pressure(wall, rate)
    if more(ours, peak):
        wrong.append(f"pressure {peak:.6g} psf, ours {ours:.6g}")
    job = Job(plan, peak)
    for name, (think, table, _) in CHECKS.items():
        found = verdict[name]
        status = found.status.value
        if is_open(plan, name):
            if status == "OK":
                wrong.append(f"{name}: OK with a key left blank")
            continue
        if table and plan["form"][table] == "none":
            # panels that nothing joins, but which an end pulls apart: left open
            if status == "OK" or (status != "DOES NOT APPLY" and name != "joint connectors"):
                wrong.append(f"{name}: {status}, though the form has none")
            continue
        if status == "DOES NOT APPLY":
            wrong.append(f"{name}: does not apply, though the form has it")
            continue
        parts = think(job)
        if parts is None:
            wrong.append(f"{name}: {status} without published values")
            continue
        ratio = largest(parts)
        part = max(parts, key=parts.get)
        if more(ratio, 1):
            if status == "OK":
                wrong.append(f"{name}: OK, but {part} is at {ratio:.8g}")
            if verdict.word == "GO":
                wrong.append(f"{name}: GO, but {part} is at {ratio:.8g}")
        if name == "brackets":  # the other limits have no ratio
            ratio = parts["bracket"]
        if found.ratio is not None:
            if status == "OK" and more(ratio, found.ratio):
                wrong.append(f"{name}: ratio {found.ratio:.8g}, ours {ratio:.8g}")
            if more(found.ratio, ratio) or more(ratio, found.ratio):
                if name in EQUAL:
                    wrong.append(f"{name}: ratio {found.ratio:.8g}, not ours, {ratio:.8g}")
            else:
                same.append(name)
        refused = status == "NOT OK" and not more(largest(parts), 1)
        if refused or (found.ratio is not None and found.ratio > SEVERE * ratio):
            severe.append(f"{name}: {reason(name, job, found, verdict)}")
        elif status == "NOT CHECKED" and not more(largest(parts), 1):
            severe.append(f"{name}: left open, {found.note}")
    return wrong, severe, same


def test_no_plan_passes_the_library_and_fails_the_second_opinion(capsys):
    seen, severe, same, wrong, refused, compared = *(Counter() for _ in range(3)), [], Counter(), 0
    examples = {}
    for number in range(FIRST, FIRST + PLANS):
        plan = random_parts(number)
        try:
            verdict = check(read_plan(toml_text(plan)))
        except Refusal as why:
            refused[str(why).split(":")[1].strip()] += 1
            continue
        except ArithmeticError as why:
            wrong.append(f"plan {number}: no answer, {why}")
            continue
        compared += 1
        found = compare(plan, verdict)
        wrong += [f"plan {number}: {line}" for line in found[0]]
        for line in found[1]:
            severe[line] += 1
            examples.setdefault(line, number)
        same.update(found[2])
        seen.update(f"{name} {verdict[name].status.value}" for name in CHECKS)
    with capsys.disabled():
        print(f"\nplans {PLANS} from {FIRST}: compared {compared}, refused {dict(refused)}")
        print(f"wrong {len(wrong)}; ratios equal to 1e-6 {dict(same)}")
        for line, count in severe.most_common():
            print(f"  library more severe {count}, first in plan {examples[line]}: {line}")
    assert not wrong, "\n".join(wrong[:20])
    assert not [line for line in severe if "not explained" in line]
    if PLANS >= 300:  # the plans must reach both answers of every check
        assert sum(refused.values()) < 0.02 * PLANS
        for name in CHECKS:
            for status in ("OK", "NOT OK"):
                assert seen[f"{name} {status}"] > 0.04 * PLANS, (name, status)


def scaled(*path, by=1.12):
    """Makes one rating of a plan larger than it is."""

    def change(plan):
        table = plan["form"].get(path[0])
        if isinstance(table, dict) and path[1] in table:
            number, unit = table[path[1]].split()
            table[path[1]] = f"{float(number) * by:.6f} {unit}"

    return change


def stronger(name, key, value):
    """Makes one table of a plan better than it is."""

    def change(plan):
        table = plan["form"].get(name)
        if isinstance(table, dict) and key in table:
            table[key] = value

    return change


WRONG_CAPACITIES = {
    "panels": [
        scaled("panels", "pressure"),
        stronger("studs", "species", "Douglas Fir-Larch"),
        stronger("wales", "reused", False),
        stronger("sheathing", "reused", False),
        stronger("sheathing", "face_grain", "across"),
    ],
    "tie bearing": [scaled("tie_bearing", "area")],
    "joint connectors": [scaled("joint_connectors", "load")],
    "corners": [scaled("corners", "load")],
    "bulkheads": [scaled("bulkheads", "load")],
    "openings": [scaled("openings", "hold_down"), scaled("openings", "strut")],
    "batter and ledges": [scaled("batter_and_ledges", "hold_down")],
    "overhangs": [scaled("panels", "overhang"), stronger("studs", "reused", False)],
    "base": [scaled("base", "hold")],
    "placement joint": [scaled("placement_joint", "load")],
    "bracing": [
        scaled("bracing", "connection"),
        scaled("bracing", "anchor"),
        stronger("bracing", "species", "Douglas Fir-Larch"),
        stronger("bracing", "size", "4x4"),
        stronger("bracing", "top_wale_on", "edge"),
    ],
    "stages": [scaled("bracing", "anchor")],
    "brackets": [
        scaled("brackets", "bracket_load"),
        scaled("brackets", "width", by=1.2),
        scaled("brackets", "end_overhang", by=0.8),
        stronger("brackets", "plank", "2x10 undressed"),
        stronger("brackets", "cleated", True),
    ],
}


def fails(plan, name):
    """Do we say that this check fails? By full head or the rate of the plan, as stated."""
    if is_open(plan, name) or plan["form"].get(CHECKS[name][1] or "faces") == "none":
        return None
    wall = opinion.read(plan)
    peak = opinion.peak_pressure(wall, math.inf if wall.rise is None else wall.rise)
    return more(largest(CHECKS[name][0](Job(plan, peak))), 1)


@pytest.mark.parametrize(
    ("name", "mistake"), [(name, m) for name, some in WRONG_CAPACITIES.items() for m in some]
)
def test_a_wrong_capacity_is_caught(name, mistake):
    """The library is given a plan in which one part carries more than in the plan we judge: what it
    would say if its capacity were wrong. Of 2000 plans one must pass there and fail here."""
    for number in range(2000):
        plan = random_parts(number)
        better = copy.deepcopy(plan)
        mistake(better)
        if better == plan or not fails(plan, name) or fails(better, name) is not False:
            continue  # no difference to be seen
        try:
            verdict = check(read_plan(toml_text(better)))
        except Refusal:
            continue
        if any(line.startswith(f"{name}: OK, but") for line in compare(plan, verdict)[0]):
            return
    pytest.fail(f"{name}: never caught")
