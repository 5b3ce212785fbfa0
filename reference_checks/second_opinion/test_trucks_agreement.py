"""The pour by trucks against a second one made of small steps. How to run more: README.md."""

import math
import os
import sys
from collections import Counter
from pathlib import Path

import pytest

from formpressure import Refusal, check, read_plan

sys.path.insert(0, str(Path(__file__).parent))
import opinion
import trucks_opinion
from random_plans import toml_text
from random_trucks import truck_plan

PLANS = int(os.environ.get("FORMPRESSURE_PLANS", "150"))
FIRST = int(os.environ.get("FORMPRESSURE_FIRST", "0"))
TOLERANCE = 1e-6  # relative
TINY = 1e-7  # ft, minutes: rounding of both


def differ(a, b):
    return abs(a - b) > TOLERANCE * max(abs(a), abs(b)) + TINY


def windows(plan):
    delivery = plan["delivery"]
    return tuple(
        trucks_opinion.number(delivery.get(key, blank), trucks_opinion.MINUTES)
        for key, blank in (("rate_window", "60 min"), ("liquid_window", "30 min"))
    )


def pressure(wall, plan, filled, stated=0.0):
    """Document at the fastest rate, or what is still liquid, whichever is more; never over head."""
    hour, half = windows(plan)
    rate = max(filled.rise(hour)[0], stated)
    fresh = max(filled.rise(half)[1], stated * half / 60.0)
    own = wall.w * min(fresh, wall.h)
    return max(opinion.peak_pressure(wall, rate), own)


def compare(plan, verdict):
    """What the two pours do not agree on, and what the library lets pass and we do not."""
    wrong = []
    filled = trucks_opinion.fill(plan)
    case, found = verdict.case, verdict.trucks
    hour, half = windows(plan)
    pour, rest = case.pour, case.pour.longest_rest()
    last = max(points[-1][0] for points in filled.history if points)
    pairs = {
        "rate": (pour.fastest(hour).rate, filled.rise(hour)[0]),
        "fresh rise": (pour.freshest(half).rise, filled.rise(half)[1]),
        "wait": (0.0 if rest is None else rest.minutes, filled.longest_wait()),
        "volume": (pour.placed, filled.needed), "over": (pour.over, filled.over),
        "end": (max(float(t[-1]) for t in pour.times), last),
    }  # fmt: skip
    wrong += [f"{k}: {a:.9g}, ours {b:.9g}" for k, (a, b) in pairs.items() if differ(a, b)]
    if case.filling.count() != filled.trucks:
        wrong.append(f"{case.filling.count()} trucks, ours {filled.trucks}")

    wall = opinion.read(plan)
    stated = wall.rise or 0.0
    p = pressure(wall, plan, filled, stated)
    judged = wall.surge * wall.w * wall.h if verdict.straight_up else p
    load = max(max(pair) for pair in opinion.row_loads(wall, judged))
    over = load > wall.capacity * (1 + TOLERANCE)
    if verdict["ties"].status == "OK" and over:
        wrong.append(f"ties OK, but {load:.6g} lb is over {wall.capacity:.6g}")
    if verdict.word == "GO" and over:
        wrong.append("GO, but the ties fail")
    limit = verdict.limit.pressure * (1 + TOLERANCE)
    if found.passes and pressure(wall, plan, filled) > limit and not verdict.straight_up:
        wrong.append("the trucks pass, but not here")
    if verdict.allowed.kind == "any":
        return wrong
    if found.split == "over" and not trucks_opinion.over_the_top(plan):
        wrong.append("over the top, but not here")
    if found.split != "over" and verdict.allowed.kind == "at most":
        if trucks_opinion.over_the_top(plan):
            wrong.append("one load over the top, and not told")
        if found.gap is not None:
            tried = trucks_opinion.fill(plan, gap=float(found.gap))
            if pressure(wall, plan, tried) > limit:
                wrong.append(f"one truck every {found.gap} min passes, but not here")
        if found.starts is not None:
            tried = trucks_opinion.fill(plan, starts=[float(t) for t in found.starts])
            if pressure(wall, plan, tried) > limit:
                wrong.append(f"starts {found.starts} pass, but not here")
    return wrong


def asked(number):
    """(plan, verdict), or why the plan is refused."""
    plan = truck_plan(number)
    try:
        return plan, check(read_plan(toml_text(plan)))
    except Refusal as refusal:
        return None, str(refusal).split(": ", 2)[-1][:40]


def test_no_pour_passes_the_library_and_fails_the_second_opinion(capsys):
    seen, refused, wrong = Counter(), Counter(), []
    for n in range(FIRST, FIRST + PLANS):
        plan, verdict = asked(n)
        if plan is None:
            refused[verdict] += 1
            continue
        found = verdict.trucks
        seen[verdict.allowed.kind] += 1
        seen["passes" if found.passes else "fails"] += 1
        seen[found.split or ("a gap" if found.gap else "no gap")] += 1
        seen["starts put off"] += bool(found.starts and not found.passes)
        seen["half hour decides"] += verdict.envelope.bound_governs
        wrong += [f"plan {n}: {line}" for line in compare(plan, verdict)]
    with capsys.disabled():
        print(
            f"\n{PLANS} truck plans from {FIRST}: {dict(seen)}; refused {dict(refused)}; "
            f"wrong {len(wrong)}"
        )
    assert not wrong, "\n".join(wrong[:20])
    if PLANS >= 100:  # every kind of answer must be reached, or the comparison means little
        assert sum(refused.values()) < 0.1 * PLANS
        for kind in ("passes", "fails", "over", "a gap", "starts put off"):
            assert seen[kind] >= 0.03 * PLANS, kind
        assert seen["half hour decides"] >= 0.01 * PLANS


@pytest.fixture(scope="module")
def sample():
    return [pair for n in range(40) if (pair := asked(n))[0] is not None]


def thinner(plan):
    delivery = plan["delivery"]
    runs = [{k: v for k, v in r.items() if k != "thickness"} for r in delivery.get("runs", [])]
    changed = {"thickness": "7 in"} | ({"runs": runs} if runs else {})
    return {**plan, "delivery": delivery | changed}


def later(plan):
    return {**plan, "delivery": plan["delivery"] | {"discharge": "4 min"}}


def wider(plan):
    delivery = plan["delivery"]
    spread = trucks_opinion.number(delivery["spread"], trucks_opinion.FEET)
    return {**plan, "delivery": delivery | {"spread": f"{spread * 0.6:.4f} ft"}}


@pytest.mark.parametrize(
    ("mistake", "caught"),
    [
        (thinner, ("rate", "fresh rise", "volume", "but not here")),
        (later, ("rate", "wait", "end")),
        (wider, ("rate", "fresh rise", "wait")),
    ],
    ids=["thickness", "discharge", "spread"],
)
def test_the_comparison_catches_a_mistake(sample, mistake, caught):
    """Our own pour made worse: the unchanged library must then look wrong."""
    lines = []
    for plan, verdict in sample:
        try:
            lines += compare(mistake(plan), verdict)
        except (ValueError, ZeroDivisionError):  # an opening as wide as the place: no pour at all
            continue
    for words in caught:
        assert any(words in line for line in lines), words


def test_the_second_pour_itself():
    """Hand: 160 ft x 8 in takes 106.67 cubic feet for each foot; 270 of a truck raise it 2.53125 ft
    in 10 min. One truck every 60 min: that is the rate, and every layer waits 50 min."""
    plan = {
        "wall": {"height": "8 ft"},
        "delivery": {"length": "160 ft", "thickness": "8 in", "truck": "10 yd", "gap": "60 min",
                     "discharge": "10 min", "spread": "160 ft"},
    }  # fmt: skip
    filled = trucks_opinion.fill(plan)
    assert filled.trucks == 4
    assert filled.needed == pytest.approx(160 * 8 / 12 * 8)
    assert filled.rise(60.0) == pytest.approx((2.53125, 2.53125))
    assert filled.rise(30.0)[1] == pytest.approx(2.53125)
    assert filled.longest_wait() == pytest.approx(50)
    assert math.isclose(filled.history[0][-1][0], 180 + (8 - 3 * 2.53125) / 2.53125 * 10)
    short = plan | {"delivery": plan["delivery"] | {"length": "30 ft", "spread": "30 ft"}}
    assert trucks_opinion.over_the_top(short)
    assert not trucks_opinion.over_the_top(plan)
