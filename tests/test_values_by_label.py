"""The docs' list of sources is whole: whatever a verdict rests on stands in it."""

import importlib.util
from pathlib import Path

import pytest

from formpressure import check, load_plan
from formpressure.records import Label
from formpressure.report.blocks import relied_on

ROOT = Path(__file__).resolve().parents[1]
PLANS = sorted((ROOT / "shared" / "plans").glob("*.toml"))


@pytest.fixture(scope="module")
def collect():
    spec = importlib.util.spec_from_file_location("collect", ROOT / "docs" / "collect.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_what_demo_plans_rest_on_is_listed(collect):
    listed = {(c.document, c.place, c.label) for c in collect.clauses()}
    used = {c for plan in PLANS for c in relied_on(check(load_plan(plan)))}
    assert {c.label for c in used} >= {Label.MEMORY, Label.OWN, Label.QUOTED}
    assert [c for c in used if (c.document, c.place, c.label) not in listed] == []


def test_memory_comes_first_and_is_counted(collect):
    text = collect.values_markdown()
    memory = [c for c in collect.clauses() if c.label is Label.MEMORY]
    assert text.startswith(f"## MEMORY ({len(memory)})")
    assert text.count("\n| ") == len(collect.clauses()) + text.count("\n## ") + 1
