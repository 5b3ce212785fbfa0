"""CIRIA Report 108 and DIN 18218 against ciria_din_opinion.py, plan by plan. README.md tells more.

FORMPRESSURE_PLANS and FORMPRESSURE_FIRST as in test_agreement.py; every tenth plan is worked whole,
with the loads of every row and the rate that the form holds, the others for pressures and rates.
"""

import math
import os
import random
import sys
from collections import Counter
from pathlib import Path

import pytest

from formpressure import OutOfRange, Refusal, check, compare, read_plan
from formpressure.case import set_up

sys.path.insert(0, str(Path(__file__).parent))
import ciria_din_opinion as second
import metric_opinion as metric
from random_plans import toml_text

PLANS = int(os.environ.get("FORMPRESSURE_PLANS", "100"))
FIRST = int(os.environ.get("FORMPRESSURE_FIRST", "0"))
NAMES = {"CIRIA": "CIRIA Report 108", "DIN": "DIN 18218:2010-01"}
TOLERANCE = 1e-6


def draw(number):
    """Plan `number`, a dict of texts, crowding at the bounds of both documents."""
    rng = random.Random(f"documents {number}")
    pick = rng.choice

    def maybe(chance):
        return rng.random() < chance

    start = pick((0, 0, 0, 0, 1.5))
    lift = pick((2.4, 3.0, 3.6, 4.0, 6.0, 8.0, 10.0, 10.01, rng.randrange(80, 900) / 100))
    wall = {"height": f"{start + lift:g} m", "short_pieces": maybe(0.2)}
    if start:
        wall |= {"placed_from": f"{start} m", "hardened": "cylinders"}
    if maybe(0.95):
        more = pick((0, 0, 0, 0.5, 3.0))
        wall["form_height"] = f"{start + lift + more:g} m"
        wall["overfilling_prevented"] = maybe(0.85)
    gap, width = pick((0.6, 0.8, 1.0, 1.2)), pick((0.6, 0.9, 1.2))
    rows = [start + 0.3 + k * gap for k in range(int((lift - 0.35) / gap) + 1)]
    kN = 25 * lift * gap * width * rng.uniform(0.25, 1.7)
    name = pick(("CIRIA", "DIN"))
    design = name == "DIN" and maybe(0.5)
    ties = {
        "heights": [f"{y:g} m" for y in rows], "spacing": f"{width} m", "load": f"{kN:.2f} kN",
        "basis": "design resistance" if design else pick(("working load at 2:1", "breaking load")),
        "data_sheet": "sheet", "breaking_of": "tie, wedge and clip",
    }  # fmt: skip
    delivery = {"method": pick(("chute",) * 14 + ("pump from base",))}
    if maybe(0.9):
        delivery["length"] = pick(("12 m", "12 m", "30 m", "1.9 m", "2 m", "2.01 m"))
    if maybe(0.9):
        delivery["thickness"] = pick(("0.3 m", "0.3 m", "0.5 m", "2 m"))
    if maybe(0.9):
        usual = rng.randrange(2, 90) / 10, rng.randrange(2, 30) / 10
        delivery["fastest_rise"] = f"{pick((7, 7.01, 0.3, 1, 2, *usual))} m/h"
    form = {"tight_face": True} if maybe(0.95) else {}
    form["batter_and_ledges"] = pick(
        ("none",) * 12 + ({"run": f"{lift * 0.087:.3f} m"}, {"run": "1 m"})
    )
    if start and isinstance(form["batter_and_ledges"], dict):
        form["batter_and_ledges"] = "none"
    if maybe(0.4):
        basis = "design resistance" if design else "working pressure at 2:1"
        form["panels"] = {"pressure": f"{rng.randrange(25, 160)} kPa", "basis": basis,
                          "data_sheet": "sheet"}  # fmt: skip
    concrete = draw_concrete(rng)
    document = {"name": NAMES[name]}
    return {"units": "SI", "document": document, "wall": wall, "ties": ties,
            "concrete": concrete, "delivery": delivery, "form": form}  # fmt: skip


def draw_concrete(rng):
    pick = rng.choice

    def maybe(chance):
        return rng.random() < chance

    warm = pick((5, 10, 15, 15, 20, 25, 30, 4.9, 30.1, rng.randrange(50, 300) / 10))
    concrete = {}
    if maybe(0.97):
        concrete["temperature"] = f"{warm:g} C"
    if maybe(0.8):
        concrete["unit_weight"] = f"{pick((25, 25, 24, 23.5, 26, 18))} kN/m3"
    if maybe(0.9):
        concrete["slump"] = "120 mm"
    kind = pick(("F1", "F2", "F3", "F3", "F4", "F5", "F6", "SCC"))
    if maybe(0.15):
        flow = pick((300, 340, 345, 415, 500, 620, 690, 720))
        concrete["flow"] = f"{flow} mm"
        kind = next((f"F{n}" for n, m in enumerate(second.FLOW, 1) if flow <= m), "SCC")
    elif maybe(0.95):
        concrete["consistency"] = kind
    if maybe(0.95):
        hours = pick((3, 5, 7, 10, 15, 20, 20.1, rng.randrange(50, 200) / 10))
        cold = warm - pick((0, 0, 0, 0, 5, -1))
        setting = {"time": f"{hours:g} h", "temperature": f"{max(cold, 0):g} C"}
        concrete["setting"] = setting | {"by": "laboratory", "date": "2026-03-02"}
    names = (*second.PURE, *second.MIXED, "CEM II/A-LL")
    mix = {"cement": pick(names), "retarder": maybe(0.4)}
    mix["fly_ash"] = pick(("0 %", "0 %", "0 %", "20 %", "40 %", "39.9 %"))
    mix["slag"] = pick(("0 %", "0 %", "0 %", "50 %", "70 %"))
    concrete["mix"] = {k: v for k, v in mix.items() if maybe(0.96)}
    poker = {"kind": pick(("internal",) * 9 + ("external", "none"))}
    if kind == "SCC" and maybe(0.8):
        poker["kind"] = "none"
    poker["depth"] = pick(("0.9 m", "0.9 m", "0.95 m", "1 m", "1.1 m"))
    concrete["vibration"] = {k: v for k, v in poker.items() if maybe(0.97)}
    return concrete


def same(a, b):
    return a == b or abs(a - b) <= TOLERANCE * max(abs(a), abs(b), 1e-3)


def trouble(job, name, verdict, comparison):
    """Where the library and this differ; each line names both numbers."""
    wrong = []
    limit = second.held(job, name)
    R = math.inf if verdict.straight_up or job.rise is None else job.rise
    ours, theirs = second.pressure(job, name, R), float(verdict.envelope.p_max)
    if not same(ours, theirs):
        wrong.append(f"pressure {theirs:.8g} kPa, ours {ours:.8g}")
    rows = dict(zip((round(float(h), 6) for h in verdict.ties.heights),
                    verdict.ties.load.tolist(), strict=True))  # fmt: skip
    loads = [max(pair) for pair in metric.row_loads(limit, ours)]
    for level, load in zip(job.ties, loads, strict=True):
        if not same(rows[round(level, 6)], load):
            wrong.append(f"load at {level:g} m {rows[round(level, 6)]:.8g}, ours {load:.8g}")
    if not same(verdict["ties"].capacity.bare, limit.capacity):
        wrong.append(f"capacity {verdict['ties'].capacity.bare:.8g}, ours {limit.capacity:.8g}")
    fails = max(loads) > limit.capacity * (1 + TOLERANCE)
    if fails and (verdict["ties"].status == "OK" or verdict.straight_up):
        wrong.append("ties pass, ours fail")
    kinds = {"any": math.inf, "none": 0.0, "at most": float(verdict.allowed.rate)}
    found, rate = kinds[verdict.allowed.kind], second.allowed_rate(job, name)
    looked_at = verdict.limit.name in ("ties", "panels")  # slopes have an opinion of their own
    if looked_at and not same(found, rate) and not (found < 1e-6 and rate < 1e-6):
        wrong.append(f"allowed {found:.8g} m/h, ours {rate:.8g}")
    for other, title in NAMES.items():
        by = next(d for d in comparison.documents if str(d.rule.document) == title)
        silent = second.silent(job, other, job.rise)
        refused = second.usable(*job.panels, other) is None if job.panels else False
        refused = refused and job.basis != "design resistance"
        if by.applies == (silent or refused):
            wrong.append(f"{other} applies: {by.applies}, ours {not silent}")
        elif by.applies and by.allowed is None and job.rise is not None:
            peak = second.pressure(job, other, job.rise)
            if not same(float(by.envelope.p_max), peak):
                wrong.append(f"{other} beside: {by.envelope.p_max:.8g}, ours {peak:.8g}")
    return wrong


def pressures(job, name, case, share):
    """The same of pressures and rates alone, at a part of full liquid head."""
    head = job.slope * job.height
    wrong, most = [], share * head
    if job.rise is not None and not second.silent(job, name, job.rise):
        ours, theirs = second.pressure(job, name, job.rise), float(case.planned_envelope().p_max)
        if not same(ours, theirs):
            wrong.append(f"pressure {theirs:.8g} kPa, ours {ours:.8g}")
    try:
        found = float(case.allowed(most).rate)
    except OutOfRange:
        found = math.inf if share >= 1.0 else 0.0
    rate = second.allowed_rate(job, name, most)
    if not same(found, rate) and not (found < 1e-6 and rate < 1e-6):
        wrong.append(f"allowed {found:.8g} m/h at {most:.8g} kPa, ours {rate:.8g}")
    return wrong


def taken(plans, drawn=draw):
    """(number, plan of the library, our job, document) of every plan that the library takes."""
    for n in plans:
        plan = drawn(n)
        try:
            theirs = read_plan(toml_text(plan))
            case = set_up(theirs)
        except Refusal:
            continue
        name = next(k for k, v in NAMES.items() if v == plan["document"]["name"])
        yield n, theirs, second.read(plan), name, case


def test_library_and_second_opinion_say_the_same(capsys):
    seen, wrong = Counter(), []
    for n, theirs, job, name, case in taken(range(FIRST, FIRST + PLANS)):
        share = random.Random(n).uniform(0.1, 1.05)
        bad = pressures(job, name, case, share)
        rate = second.allowed_rate(job, name, share * job.slope * job.height)
        kind = "any" if rate == math.inf else "at most" if rate > 0 else "none"
        seen.update((f"{name} {kind}", "judged"))
        if n % 10 == 0:
            seen["whole"] += 1
            bad += trouble(job, name, check(theirs), compare(theirs))
        wrong += [f"plan {n} by {name}: {line}" for line in bad]
    with capsys.disabled():
        print(f"\n{PLANS} plans from {FIRST}: {dict(seen)}; wrong {len(wrong)}")
    assert not wrong, "\n".join(wrong[:20])
    if PLANS >= 100:
        assert seen["judged"] > 0.9 * PLANS
        for name in NAMES:
            assert seen[f"{name} at most"] > 0.1 * PLANS
            assert seen[f"{name} none"] > 0.1 * PLANS


def clean(number):
    """Plan `number` with nothing that leaves full liquid head alone, every class in turn."""
    rng, plan = random.Random(f"clean {number}"), draw(number)
    kind = tuple(second.DIN)[number // 2 % 7]
    plan["document"] = {"name": NAMES[("CIRIA", "DIN")[number % 2]]}
    warm = rng.choice((5.5, 15, 15, 28))
    plan["wall"] = {"height": f"{rng.choice((4, 8))} m", "form_height": "8 m",
                    "overfilling_prevented": True, "short_pieces": False}  # fmt: skip
    plan["ties"] |= {"heights": ["1 m", "3 m"], "basis": "working load at 2:1"}
    plan["delivery"] = {"length": rng.choice(("12 m", "1.9 m")), "thickness": "0.3 m",
                        "fastest_rise": f"{rng.choice((0.3, 1, 6))} m/h"}  # fmt: skip
    plan["form"] = {"tight_face": True, "batter_and_ledges": "none"}
    mix = {"cement": rng.choice(("CEM I", "IV", "CEM II/A-LL")), "retarder": False}
    plan["concrete"] = {
        "temperature": f"{warm} C", "slump": "120 mm", "consistency": kind,
        "setting": {"time": f"{rng.choice((5, 7, 15))} h", "temperature": f"{warm} C",
                    "by": "laboratory", "date": "2026-03-02"},
        "mix": mix | {"fly_ash": "0 %", "slag": "0 %"},
        "vibration": {"kind": "none" if kind == "SCC" and number % 2 else "internal",
                      "depth": "0.9 m"},
    }  # fmt: skip
    return plan


@pytest.fixture(scope="module")
def sample():
    """Pressures at the planned rate by the library, to be compared with something wrong."""
    return [(j, n, float(c.planned_envelope().p_max)) for _, _, j, n, c in taken(range(84), clean)]


CHANGES = [
    *((second.C2, key) for key in second.C2),
    *((second.SECTION, key) for key in second.SECTION),
    *((second.DIN, key) for key in second.DIN),
]


@pytest.mark.parametrize(("table", "key"), CHANGES, ids=[c[1] for c in CHANGES])
def test_a_changed_constant_is_noticed(sample, monkeypatch, table, key):
    assert all(same(p, second.pressure(j, n, j.rise)) for j, n, p in sample)
    value = table[key]
    if isinstance(value, tuple):
        a, b, least, *rest = value
        changed = (a * 1.03, b * 1.03, least * 1.03, *rest)
    else:
        changed = value * 1.03
    monkeypatch.setitem(table, key, changed)
    assert not all(same(p, second.pressure(j, n, j.rise)) for j, n, p in sample)


@pytest.mark.parametrize(
    ("name", "worse"),
    [("COLD", 8.0), ("WARM", 27.0), ("SHORTEST", 6.0), ("FASTEST", 5.0), ("TALLEST", 7.0)],
)
def test_a_changed_limit_is_noticed(sample, monkeypatch, name, worse):
    monkeypatch.setattr(second, name, worse)
    assert not all(same(p, second.pressure(j, n, j.rise)) for j, n, p in sample)


def test_pressures_by_hand():
    """57.0 kPa: form 6 m, pour 3 m. F3, 2 m/h, 7 h: (14 x 2 + 18) x 1.16."""
    plan = draw(0) | {"wall": {"height": "3 m", "form_height": "6 m", "short_pieces": False,
                               "overfilling_prevented": True}}  # fmt: skip
    plan["delivery"] = {"length": "12 m", "thickness": "0.3 m", "fastest_rise": "2 m/h"}
    plan["form"] = {"tight_face": True, "batter_and_ledges": "none"}
    plan["concrete"] = {
        "temperature": "15 C", "slump": "120 mm", "consistency": "F3", "unit_weight": "25 kN/m3",
        "setting": {"time": "7 h", "temperature": "15 C"},
        "mix": {"cement": "CEM I", "retarder": False, "fly_ash": "0 %", "slag": "0 %"},
        "vibration": {"kind": "internal", "depth": "0.9 m"},
    }  # fmt: skip
    job = second.read(plan)
    assert second.pressure(job, "CIRIA", 2.0) == pytest.approx(57.0, abs=0.05)
    assert second.pressure(job, "DIN", 2.0) == pytest.approx(46 * 1.16)
