"""Demo plans with lines lost, doubled, and values swapped: judged or refused, never a traceback."""

import random
import re
from pathlib import Path

import pytest

from formpressure import (
    Refusal,
    check,
    loading_list,
    rates,
    read_plan,
    straighten,
    strip_times,
)
from formpressure.report.blocks_job import loading_csv, string_line, stripping
from formpressure.report.card import card_html

PLANS = sorted((Path(__file__).resolve().parents[1] / "shared" / "plans").glob("*.toml"))
VALUES = (
    '"0 ft"', '"100 ft"', '"0.1 in"', '"none"', "true", '"1 lb"', '"200000 lb"', "[]", "{}", "-1",
    '"0 plf"', '"99 psf"', '"0 %"', '"100 %"', '"160 F"', '"0 F"', '"12 in"', '"internal"',
    '"0.01 ft/h"', '"1000 ft/h"', '"1/3 in"',
)  # fmt: skip


def mutated(text, rng):
    lines = text.splitlines()
    for _ in range(rng.randint(1, 4)):
        i = rng.randrange(len(lines))
        kind = rng.choice(("lose", "swap", "swap", "slip", "double"))
        if kind == "lose":
            lines[i] = ""
        elif kind == "swap":
            lines[i] = re.sub(r'"[^"]*"', lambda _: rng.choice(VALUES), lines[i], count=1)
        elif kind == "slip":
            lines[i] = lines[i].replace(rng.choice("0123456789 "), rng.choice("0123456789 .-"), 1)
        else:
            lines.insert(i, rng.choice(lines))
    return "\n".join(lines)


@pytest.mark.parametrize("path", PLANS, ids=lambda p: p.stem)
def test_judged_or_refused(path):
    rng, text = random.Random(path.stem), path.read_text(encoding="utf-8")
    refused = []
    for _ in range(80):
        try:
            plan = read_plan(mutated(text, rng))
            verdict = check(plan)
            rates(plan)
        except Refusal as refusal:
            refused.append(refusal)
        else:
            assert verdict.word in card_html(verdict)
    assert 0 < len(refused) < 80
    assert all(r.cure and "\n" not in str(r) for r in refused)


def test_the_crews_day_is_told_or_refused():
    """Loading list, string line and stripping of plans that still read."""
    text = (PLANS[0].parent / "crew_day_8ft.toml").read_text(encoding="utf-8")
    head, tail = text.split("[loading]\n")
    rng, told, refused = random.Random(7), 0, []
    for _ in range(80):
        try:
            plan = read_plan(f"{head}[loading]\n{mutated(tail, rng)}")
            loading_csv(loading_list(plan))
            told += bool(stripping(strip_times(plan)).html and string_line(straighten(plan)).html)
        except Refusal as refusal:
            refused.append(refusal)
    assert told > 10
    assert all(r.cure and "\n" not in str(r) for r in refused)
