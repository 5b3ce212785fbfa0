"""The library against the second opinion, plan by plan. How to run more: README.md."""

import math
import os
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from formpressure import Refusal, check, read_plan

sys.path.insert(0, str(Path(__file__).parent))
import opinion
from random_plans import random_plan, toml_text

PLANS = int(os.environ.get("FORMPRESSURE_PLANS", "1500"))
FIRST = int(os.environ.get("FORMPRESSURE_FIRST", "0"))
TOLERANCE = 1e-6  # relative
SEVERE = 1.01  # more than 1 % on the careful side is counted and printed
INF = math.inf


def more(a, b):
    """a above b by more than the tolerance."""
    return a > b * (1 + TOLERANCE) + 1e-9


def reason(wall, severe_enough):
    """Why the library is more severe: the first stricter reading that is as severe as it is."""
    no_relief = replace(wall, second_model=opinion.no_relief)
    if severe_enough(no_relief):
        return "overhangs give no relief"
    if severe_enough(replace(no_relief, always_both=True)):
        return "both unit sets taken more often"
    if severe_enough(replace(no_relief, always_both=True, half_hour=True)):
        return "half an hour is liquid"
    return "not explained"


def row_trouble(label, loads, wall, R):
    """(wrong, severe): the library's pressure and every row of its `loads` against ours at R."""
    wrong, severe = [], []
    ours, theirs = opinion.peak_pressure(wall, R), float(loads.envelope.p_max)
    if more(ours, theirs):
        wrong.append(f"{label}: pressure {theirs:.6g} psf, ours {ours:.6g}")
    if theirs > SEVERE * ours:
        why = reason(wall, lambda w: not more(theirs, opinion.peak_pressure(w, R)))
        severe.append(f"pressure: {why}")
    where = {round(h, 6): k for k, h in enumerate(loads.heights.tolist())}
    tributary, load = loads.tributary.tolist(), loads.load.tolist()
    rows = opinion.row_loads(wall, theirs)  # at the library's pressure: only statics can differ
    for n, (height, (trib, hinged)) in enumerate(zip(wall.ties, rows, strict=True)):
        k = where.pop(round(height, 6), None)
        if k is None:
            wrong.append(f"{label}: no row at {height:g} ft")
            continue
        if more(tributary[k], trib) or more(trib, tributary[k]):
            wrong.append(f"{label}: tributary at {height:g} ft {tributary[k]:.6g}, ours {trib:.6g}")
        larger, found = max(trib, hinged), load[k]
        if more(larger, found):
            wrong.append(f"{label}: load at {height:g} ft {found:.6g}, ours {larger:.6g}")
        if found > SEVERE * larger + 1e-9:

            def as_severe(w, n=n, found=found):
                return not more(found, max(opinion.row_loads(w, theirs)[n]))

            severe.append(f"row load: {reason(wall, as_severe)}")
    if any(load[k] > 0 for k in where.values()):
        wrong.append(f"{label}: load on a row that holds nothing")
    return wrong, severe


def rate_trouble(allowed, wall):
    """(wrong, severe): the library's allowed rate against rates tried one by one."""
    if allowed.kind == "any":
        fine = opinion.carries(wall, INF, TOLERANCE)
        return ([] if fine else ["any rate, but full head fails"]), []
    wrong = []
    if allowed.kind == "at most":
        shown = math.floor(allowed.rate * 2) / 2  # as the card prints it: down to half a ft/h
        for R in (shown, *(allowed.rate * part for part in (0.9, 0.6, 0.3, 0.01))):
            if R > 0 and not opinion.carries(wall, R, TOLERANCE):
                wrong.append(f"at most {allowed.rate:g} ft/h, but {R:g} fails")
    kind, rate = opinion.allowed_rate(wall)
    if allowed.rate > rate * (1 + TOLERANCE):
        wrong.append(f"at most {allowed.rate:.8g} ft/h, ours {kind} {rate:.8g}")
    if rate <= SEVERE * allowed.rate:
        return wrong, []
    why = reason(wall, lambda w: not more(opinion.allowed_rate(w)[1], allowed.rate))
    return wrong, [f"rate: {why}"]


def compare(plan, verdict):
    """(wrong, severe): what the library lets pass and we do not; where it is 1 % more severe."""
    wall = opinion.read(plan)
    R = INF if wall.rise is None else wall.rise
    ties, status = verdict["ties"], verdict["ties"].status
    load = opinion.demand(wall, R)
    fails = load > wall.capacity * (1 + TOLERANCE)
    worse = f"{load:.6g} lb is over {wall.capacity:.6g}"
    documented = "data_sheet" in plan["ties"] and (
        plan["ties"]["basis"] != "breaking load" or "breaking_of" in plan["ties"]
    )

    wrong, severe = rate_trouble(verdict.allowed, wall)
    # Where the library finds that full head is carried, it judges a stated rate at full head, too.
    judged = INF if verdict.straight_up else R
    for found in (
        row_trouble("full head", verdict.ties_full, wall, INF),
        row_trouble("judged", verdict.ties, wall, judged),
    ):
        wrong, severe = wrong + found[0], severe + found[1]

    if status == "OK" and fails:
        wrong.append(f"ties OK, but {worse}")
    if status == "OK" and not documented:
        wrong.append("ties OK without a data sheet or what broke")
    no_way_out = wall.rise is not None or opinion.allowed_rate(wall)[0] == "none"
    if fails and status != "NOT OK" and no_way_out:
        wrong.append(f"ties {status.value}, but {worse}")
    if fails and verdict.word == "GO":
        wrong.append("GO, but the ties fail")
    if status == "NOT OK" and verdict.word != "NO-GO":
        wrong.append("ties NOT OK, but no NO-GO")
    if verdict.straight_up and not opinion.carries(wall, INF, TOLERANCE):
        wrong.append("straight up, but ties or panels do not carry full head")
    if more(load, ties.demand.bare):
        wrong.append(f"demand {ties.demand.bare:.6g} lb, ours {load:.6g}")
    if more(ties.capacity.bare, wall.capacity):
        wrong.append(f"capacity {ties.capacity.bare:.6g} lb, ours {wall.capacity:.6g}")

    if status == "NOT OK" and not fails:
        why = reason(wall, lambda w: opinion.demand(w, judged) > w.capacity)
        severe.append(f"ties NOT OK: {why}")
    if status == "NOT CHECKED" and documented and not fails:
        why = reason(wall, lambda w: opinion.demand(w, R) > w.capacity)
        severe.append(f"ties NOT CHECKED: {why}")
    if not verdict.straight_up and opinion.carries(wall, INF):
        severe.append(f"not straight up: {reason(wall, lambda w: not opinion.carries(w, INF))}")
    if wall.capacity > SEVERE * ties.capacity.bare:
        severe.append("capacity")
    return wrong, severe


def test_no_plan_passes_the_library_and_fails_the_second_opinion(capsys):
    seen, severe, wrong, refused = Counter(), Counter(), [], Counter()
    examples = {}
    for n in range(FIRST, FIRST + PLANS):
        plan = random_plan(n)
        try:
            verdict = check(read_plan(toml_text(plan)))
        except Refusal as refusal:
            refused[str(refusal).split(":")[1].split("=")[0].strip()] += 1
            continue
        seen[verdict.allowed.kind] += 1
        seen[f"ties {verdict['ties'].status.value}"] += 1
        bad, careful = compare(plan, verdict)
        wrong += [f"plan {n}: {line}" for line in bad]
        for why in set(careful):
            severe[why] += 1
            examples.setdefault(why, n)
    with capsys.disabled():
        print(
            f"\n{PLANS} plans from {FIRST}: {dict(seen)}; refused {dict(refused)}; "
            f"wrong {len(wrong)}; library over 1 % more severe {dict(severe)}, first in {examples}"
        )
    assert not wrong, "\n".join(wrong[:20])
    if PLANS >= 300:  # the plans must reach every kind of answer, or the comparison means little
        assert sum(refused.values()) < 0.02 * PLANS
        assert all(seen[kind] > 0.05 * PLANS for kind in ("any", "at most", "none"))
        assert all(seen[f"ties {s}"] > 0.05 * PLANS for s in ("OK", "NOT OK", "NOT CHECKED"))


@pytest.fixture(scope="module")
def sample():
    """Plans with their library verdicts, to be compared with something deliberately wrong."""
    plans = [random_plan(n) for n in range(250)]
    out = []
    for plan in plans:
        try:
            out.append((plan, check(read_plan(toml_text(plan)))))
        except Refusal:
            continue
    return out


@pytest.mark.parametrize(
    ("mistake", "caught"),
    [
        (
            lambda w: replace(w, capacity=w.capacity * 0.9),
            ("capacity", "is over", "at most", "any rate", "straight up"),
        ),
        (lambda w: replace(w, w=w.w * 1.001), ("pressure", "tributary", "load at", "demand")),
        (lambda w: replace(w, top=w.top + 0.01), ("pressure", "tributary", "load at", "demand")),
        (lambda w: replace(w, width=w.width * 0.999), ("tributary",)),
        (lambda w: replace(w, Cc=w.Cc * 1.001), ("at most", "pressure")),
        (lambda w: replace(w, panels=w.panels and w.panels * 0.9), ("at most", "straight up")),
    ],
    ids=["capacity", "unit weight", "top", "width", "Cc", "panels"],
)
def test_the_comparison_catches_a_mistake(sample, monkeypatch, mistake, caught):
    """Our own numbers made worse: the unchanged library must then look too generous."""
    right = opinion.read
    monkeypatch.setattr(opinion, "read", lambda plan: mistake(right(plan)))
    lines = [line for plan, verdict in sample for line in compare(plan, verdict)[0]]
    for words in caught:
        assert any(words in line for line in lines), words
