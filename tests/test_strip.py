"""Strip, build on, backfill: three answers, and never bare hours in the cold."""

import re
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import SMALL

from formpressure import Refusal, read_plan, strip_times
from formpressure.job.setting import age_factor
from formpressure.job.strip import Word
from formpressure.records import Label
from formpressure.report import blocks_job
from formpressure.report.words import hours, words

ROOT = Path(__file__).resolve().parents[1]
FREE = "[strip]\nstrength_specified = false\ncarries_forms = false\n"
RELATION = """
[strip.relation]
who = "Laboratory (invented)"
report = "report 7"
date = 2026-03-01
datum = "32 F"
reference = "20 C"
strip = "300 F h"
load_age = "40 h"
backfill = "900 F h"
"""
HELD = 'top_support = { what = "floor joists and deck", document = "sheet S-2" }\n'


def record(*steps):
    """(hours, air, concrete), None for what is not known."""
    text = ""
    for time, air, concrete in steps:
        text += f'[[strip.record]]\ntime = "{time} h"\n'
        text += "" if air is None else f'air = "{air} F"\n'
        text += "" if concrete is None else f'concrete = "{concrete} F"\n'
    return text


def ask(*parts, wall=""):
    return strip_times(read_plan(SMALL + wall + "".join(parts)))


steps = st.lists(
    st.tuples(st.integers(1, 30), st.none() | st.integers(-10, 90), st.integers(33, 90)),
    min_size=1, max_size=4,
)  # fmt: skip


@given(steps)
def test_hours_alone_never_answer_in_the_cold(drawn):
    found = ask(FREE, record(*drawn)).strip
    if any(air is None or air <= 50 for _, air, _ in drawn):
        assert (found.word, found.hour) == (Word.NOT_KNOWN, None)
        assert found.key
    elif sum(time for time, _, _ in drawn) >= 12:
        assert (found.word, found.hour) == (Word.NOT_BEFORE, pytest.approx(12 * 60))
    else:
        assert (found.word, found.hour) == (Word.NOT_YET, None)


@given(steps)
def test_maturity_minute_by_minute(drawn):
    """The hour it is reached, against a count of every tenth minute."""
    found = ask("[strip]\n", HELD, RELATION, record(*drawn))
    factor = age = passed = 0.0
    first = {}
    for time, _, concrete in drawn:
        celsius = (concrete - 32) / 1.8
        for _ in range(time * 60 // 10):
            passed += 10
            factor += (concrete - 32) / 6
            age += age_factor(celsius, 20.0) * 10
            for name, got, needed in (
                ("strip", factor, 300), ("backfill", factor, 900), ("load", age, 2400),
            ):  # fmt: skip
                if got >= needed - 1e-6:
                    first.setdefault(name, passed)
    for answer in found.answers:
        if answer.question in first:
            assert answer.word is Word.NOT_BEFORE
            assert (
                first[answer.question] - 10 - 1e-6 <= answer.hour <= first[answer.question] + 1e-6
            )
        else:
            assert (answer.word, answer.hour) == (Word.NOT_YET, None)


def test_metric_plans_get_the_same_hours():
    parts = HELD, RELATION, record((30, 40, 68), (9, 60, 50))
    text = SMALL + '[delivery]\nthickness = "8 in"\n[strip]\n' + "".join(parts)
    us, si = (strip_times(read_plan(text.replace('"US"', f'"{u}"'))) for u in ("US", "SI"))
    assert [(a.word, a.note) for a in us.answers] == [(a.word, a.note) for a in si.answers]
    assert us.strip.hour == pytest.approx(si.strip.hour) == pytest.approx(300 / 36 * 60)
    assert si.strip.needed.bare == pytest.approx(300 / 1.8)
    assert si.protection.placed.bare == pytest.approx(23 / 1.8)
    assert si.protection.drop == pytest.approx(50 / 1.8)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("[strip]\n", "strip.strength_specified"),
        ("[strip]\nstrength_specified = true\n", "strip.relation"),
        ("[strip]\nstrength_specified = false\n", "strip.carries_forms"),
        ("[strip]\nstrength_specified = false\ncarries_forms = true\n", "strip.relation"),
    ],
)
def test_hours_do_not_answer_where_the_rule_does_not_hold(text, key):
    found = ask(text, record((48, 70, 70))).strip
    assert (found.word, found.key) == (Word.NOT_KNOWN, key)
    assert ask(FREE).strip.key == "strip.record"


def test_load_and_backfill_are_never_answered_by_hours():
    found = ask(FREE, record((1000, 70, 70)))
    assert found.strip.word is Word.NOT_BEFORE
    assert [(a.word, a.key) for a in (found.load, found.backfill)] == [
        (Word.NOT_KNOWN, "strip.relation.load"), (Word.NOT_KNOWN, "strip.relation.backfill"),
    ]  # fmt: skip


def test_backfill_needs_strength_and_a_held_top():
    warm = record((200, 70, 70))
    found = ask("[strip]\n", RELATION, warm)
    assert found.load.word is Word.NOT_BEFORE
    assert (found.backfill.word, found.backfill.key) == (Word.NOT_KNOWN, "strip.top_support")
    held = ask("[strip]\n", HELD, RELATION, warm)
    assert held.backfill.word is Word.NOT_BEFORE
    assert "floor joists and deck, sheet S-2" in str(blocks_job.stripping(held))
    assert ask("[strip]\n", HELD, warm).backfill.word is Word.NOT_KNOWN


def test_concrete_that_froze_or_is_not_known_is_not_counted():
    for bad, note in ((31, "concrete_froze"), (None, "concrete_not_known")):
        found = ask("[strip]\n", HELD, RELATION, record((100, 60, 70), (1, 20, bad), (99, 60, 70)))
        assert {(a.word, a.note) for a in found.answers} == {(Word.NOT_KNOWN, note)}
    assert ask("[strip]\n", RELATION, record((100, 20, 32))).strip.word is Word.NOT_YET


def test_cold_protection_by_thickness():
    for thickness, placed in (("11 in", 55), ("12 in", 50), ("35 in", 50), ("36 in", 45),
                              ("80 in", 40)):  # fmt: skip
        wall = f'[delivery]\nthickness = "{thickness}"\n'
        found = ask(FREE, record((9, 39, 60)), wall=wall).protection
        assert (found.cold, found.placed.bare) == (True, pytest.approx(placed))
        assert any(c.label is Label.MEMORY for c in found.clauses)
        told = " ".join(blocks_job.protection_lines(found))
        assert f"{placed} °F or warmer" in told
        assert "from memory, confirm against the document" in told
    assert ask(FREE, record((9, 40, 60))).protection.cold is False
    assert ask(FREE, record((9, 60, 60), (9, None, 60))).protection.cold is None
    assert "give delivery.thickness" in " ".join(
        blocks_job.protection_lines(ask(FREE, record((9, 30, 60))).protection)
    )


def test_answers_are_told_with_their_hour_and_sources():
    no_strip = RELATION.replace('strip = "300 F h"\n', "")
    found = ask(FREE, HELD, no_strip, record((20, 60, 68)))
    text = str(blocks_job.stripping(found))
    assert "NOT BEFORE 12 h after placing" in text
    assert "NOT YET" in text
    assert "ACI 347R-94" in text
    assert "720 F h" in text
    assert hours(719.2) == "12 h"
    assert hours(721.5, "down") == "12 h 1 min"
    assert hours(59) == "59 min"


@pytest.mark.parametrize(
    ("text", "words_of_it"),
    [
        ("", "strip: missing"),
        ("[strip]\n" + RELATION.replace('datum = "32 F"\n', ""), "strip.relation.datum.*missing"),
        ("[strip]\n" + RELATION.replace('reference = "20 C"\n', ""), "strip.relation.reference"),
        ("[strip]\n" + RELATION + 'strip_age = "3 h"\n', "strip.relation.strip_age.*given twice"),
        ("[strip]\n" + RELATION.replace("300 F h", "0 F h"), "no maturity"),
        ("[strip]\n" + RELATION.replace("300 F h", "300"), "strip.relation.strip.*bare number"),
    ],
)
def test_what_cannot_be_is_refused(text, words_of_it):
    with pytest.raises(Refusal, match=words_of_it) as refusal:
        strip_times(read_plan(SMALL + text, file="wall.toml"))
    assert str(refusal.value).startswith("wall.toml: ")
    assert refusal.value.cure


def test_every_word_of_the_crew_is_in_the_table():
    used = set()
    for name in ("blocks_job", "figures_job"):
        source = (files("formpressure") / "report" / f"{name}.py").read_text("utf-8")
        used |= set(re.findall(r'say\(\s*"(\w+)", "(\w+)"', source))
    source = (files("formpressure") / "job" / "strip.py").read_text("utf-8")
    notes = set(re.findall(r'"([a-z]+(?:_[a-z]+)+)"', source)) - {"temperature_time",
                                                                  "air_temperature"}  # fmt: skip
    used |= {("job", n) for n in notes} | {("job", w) for w in Word}
    assert len(used) > 30
    assert {(s, n) for s, n in used if n not in words()[s]} == set()
