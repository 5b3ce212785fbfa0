"""Check of scaffold brackets against the federal rule and what one bracket may carry."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import SMALL

from formpressure import read_plan
from formpressure.case import set_up
from formpressure.checks.brackets import CHECKS, brackets
from formpressure.demand import brackets as rule
from formpressure.records import Amount, Status
from formpressure.report.words import note

BRACKETS = """
[form.brackets]
spacing = "7 ft"
plank = "2x10 nominal"
plank_span = "7 ft"
load = "25 psf"
end_overhang = "9 in"
platform = "16 ft"
width = "19 in"
on_ties = false
bracket_load = "600 lb"
"""


def check(*changes, text=SMALL + BRACKETS):
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return brackets(set_up(read_plan(text)))


def test_within_every_limit():
    found = check()
    assert (found.status, found.note) == (Status.OK, "brackets_within")
    assert found.demand.bare == 575.0  # two people and tools: more than 25 x 19/12 x 7 = 277
    assert found.facts["supports"] == 4  # 14.5 ft between overhangs: three spans of up to 7 ft
    assert found.facts["sag"].bare == pytest.approx(1.4)
    assert "1.4 in" in note(found)
    heavy = check(("25 psf", "50 psf"), ("2x10 nominal", "2x10 undressed"), ("600 lb", "700 lb"),
                  ("19 in", "24 in"))  # fmt: skip
    assert heavy.demand.bare == pytest.approx(50 * 2 * 7)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ([('spacing = "7 ft"', 'spacing = "8 ft 1 in"')], "bracket_spacing"),
        ([("on_ties", 'spacing_limit = "4 ft"\non_ties')], "bracket_spacing"),
        ([('plank_span = "7 ft"', 'plank_span = "8 ft 1 in"')], "plank_span"),
        ([("25 psf", "50 psf")], "plank_span"),  # nominal: 6 ft
        ([("25 psf", "75 psf")], "plank_load"),  # blank in the table
        ([("25 psf", "40 psf")], "plank_load"),  # nothing is interpolated
        ([("25 psf", "100 psf"), ("nominal", "undressed")], "plank_load"),
        ([("9 in", "5 in")], "plank_end_short"),
        ([("9 in", "18-1/2 in")], "plank_end_long"),
        ([("9 in", "12-1/2 in"), ('"16 ft"', '"10 ft"')], "plank_end_long"),
        ([('"16 ft"', '"8 ft"')], "plank_short"),
        ([("19 in", "17 in")], "platform_narrow"),
        ([("600 lb", "570 lb")], "bracket_over"),
    ],
)
def test_each_limit_can_fail(changes, word):
    found = check(*changes)
    assert (found.status, found.note) == (Status.NOT_OK, word)
    assert found.clause is not None
    assert note(found)
    assert {v.system for v in found.facts.values() if isinstance(v, Amount)} <= {"US"}


@pytest.mark.parametrize(
    "changes",
    [
        [('spacing = "7 ft"', 'spacing = "8 ft"'), ('plank_span = "7 ft"', 'plank_span = "8 ft"')],
        [("25 psf", "50 psf"), ("nominal", "undressed"), ("600 lb", "900 lb")],
        [("9 in", "6 in")],
        [("9 in", "5 in"), ("on_ties", "cleated = true\non_ties")],
        [("9 in", "18 in")],
        [('"16 ft"', '"8 ft 6 in"')],  # 7 ft and 9 in at both ends
        [("9 in", "12 in"), ('"16 ft"', '"10 ft"')],
        [("19 in", "18 in")],
        [("600 lb", "575 lb")],
        [("on_ties", 'spacing_limit = "9 ft"\non_ties')],
    ],
)
def test_each_limit_holds_at_its_bound(changes):
    assert check(*changes).status is Status.OK


def test_a_wider_local_limit_does_not_loosen_the_rule():
    wide = [('spacing = "7 ft"', 'spacing = "8 ft 6 in"'),
            ("on_ties", 'spacing_limit = "9 ft"\non_ties')]  # fmt: skip
    assert check(*wide).note == "bracket_spacing"


def test_a_16_ft_plank_on_its_two_ends_needs_a_middle_support():
    found = check(('plank_span = "7 ft"', 'plank_span = "15 ft"'))
    assert (found.status, found.note) == (Status.NOT_OK, "plank_span")
    assert "a middle support is needed" in note(found)
    assert rule.supports_needed(16.0, 15.0, 6.0) == 2
    assert rule.supports_needed(16.0, 8.0, 6.0) == 3


def test_a_plank_spans_at_least_from_bracket_to_bracket():
    close = [('plank_span = "7 ft"', 'plank_span = "5 ft"'), ("25 psf", "50 psf")]
    assert check(*close).note == "plank_span"  # 7 ft between brackets, 6 ft allowed


@pytest.mark.parametrize("line", ["on_ties = false\n", "bracket_load"])
def test_what_is_not_said_stays_open(line):
    if line == "bracket_load":
        found = check(('bracket_load = "600 lb"\n', ""))
        assert (found.status, found.note) == (Status.NOT_CHECKED, "bracket_load_blank")
        assert "580 lb" in note(found)  # 575, rounded up
    else:
        found = check((line, ""))
        assert (found.status, found.note) == (Status.NOT_CHECKED, "bracket_on_ties")
    assert found.key == f"form.brackets.{line.split(' ')[0]}"


def test_brackets_on_ties_stay_open_but_a_broken_limit_is_still_told():
    on = ("on_ties = false", "on_ties = true")
    assert check(on).status is Status.NOT_CHECKED
    assert check(on, ("19 in", "17 in")).status is Status.NOT_OK


def test_none_blank_and_by_others():
    blank = check(text=SMALL)
    assert (blank.status, blank.key) == (Status.NOT_CHECKED, "form.brackets")
    none = check(text=SMALL + '[form]\nbrackets = "none"\n')
    assert none.status is Status.DOES_NOT_APPLY
    others = check(
        text=SMALL + '[[by_others]]\nchecks = ["brackets"]\nwho = "A. Engineer"\n'
        'document = "calculation 7"\ndate = 2026-03-01\n'
    )
    assert others.status is Status.BY_OTHERS
    assert {"brackets": brackets} == CHECKS


def test_metric_plan_meets_the_same_limits():
    def metric(*more):
        return check(('units = "US"', 'units = "SI"'), *more)

    us, si = check(), metric()
    assert (si.status, si.note) == (us.status, us.note)
    assert si.ratio == pytest.approx(us.ratio)
    assert si.facts["sag"].bare == pytest.approx(1.4 * 25.4)
    assert metric(('spacing = "7 ft"', 'spacing = "2.45 m"')).note == "bracket_spacing"
    assert metric(("9 in", "150 mm")).note == "plank_end_short"
    assert metric(("25 psf", "1.2 kPa")).note == "plank_load"  # 25.06 psf is not in the table


@settings(max_examples=80)
@given(st.floats(2.0, 9.0), st.floats(2.0, 9.0), st.sampled_from([25, 50, 75]),
       st.sampled_from(sorted(rule.PLANK_SPANS)), st.floats(1.0, 1.5))  # fmt: skip
def test_wider_or_heavier_is_never_better(spacing, span, load, plank, more):
    def status(spacing=spacing, span=span, load=load):
        return check(
            ('spacing = "7 ft"', f'spacing = "{spacing:.4f} ft"'),
            ('plank_span = "7 ft"', f'plank_span = "{span:.4f} ft"'),
            ("25 psf", f"{load} psf"), ("2x10 nominal", plank), ('"16 ft"', '"100 ft"'),
            ("600 lb", "700 lb"),
        ).status  # fmt: skip

    if status() is Status.NOT_OK:
        assert status(spacing=spacing * more) is Status.NOT_OK
        assert status(span=span * more) is Status.NOT_OK
        assert status(load=75) is Status.NOT_OK
