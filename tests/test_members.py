"""Job-built forms and the wood under the ties: pass, fail, open; and what must hold for all."""

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import CLOSED, straight
from plans import complete

from formpressure import check
from formpressure.allowed import allowable_pressure
from formpressure.capacity.spans import ONE, THREE, TWO
from formpressure.case import set_up
from formpressure.checks import STRENGTH
from formpressure.checks.members import (
    CHECKS,
    build,
    panels,
    parts,
    sources,
    tie_bearing,
)
from formpressure.errors import Refusal
from formpressure.plan_file import read_plan
from formpressure.records import Amount, Check, Label, Status
from formpressure.report.words import note

RATED = (
    'panels = { pressure = "1300 psf", basis = "working pressure at 2:1", data_sheet = "sheet P" }'
)
SHEATHING = """
[form.sheathing]
thickness = "3/4 in"
plywood = "form grade class I"
face_grain = "across"
reused = false
spans = 8
"""
STUDS = """
[form.studs]
size = "2x4"
species = "Douglas Fir-Larch"
grade = "No.2"
spacing = "12 in"
reused = false
spans = 4
"""
WALES = """
[form.wales]
size = "2x6"
species = "Douglas Fir-Larch"
grade = "No.2"
doubled = true
reused = false
spans = 4
"""
JOB = SHEATHING + STUDS + WALES
NO_BEARING = ('["tie bearing", ', "[")


def plan(form=JOB, **changes):
    return complete(panels=(RATED, form), **changes)


def case_of(text, *changes):
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return set_up(read_plan(text))


def at(case, pressure):
    return dataclasses.replace(case.liquid_head(), own_p_max=pressure)


def asked(pressure, *changes, form=JOB):
    case = case_of(plan(form), *changes)
    return panels(case, at(case, pressure))


def test_a_job_built_form_passes_and_fails():
    found = asked(600.0)
    assert found.status is Status.OK
    assert found.ratio <= 1
    assert "part" in found.facts
    found = asked(1200.0)
    assert found.status is Status.NOT_OK
    assert found.ratio > 1
    assert found.clause is not None


STOUT = ('"3/4 in"', '"1-1/8 in"')


def test_wale_by_hand():
    """A foot of the lowest wale takes 2,362.5 lb at full head: half of a tie's 4,725 lb.

    Double 2x4, V = 5/8 w (l - 2d): 19.2 x 2/3 x (180 x 1.25 x 0.97) x 3 x 3.5 / (24 - 7).
    """
    found = asked(1200.0, STOUT, ("2x6", "2x4"))
    assert found.facts["part"] == "wale, shear"
    assert found.demand.bare == pytest.approx(2362.5)
    assert found.capacity.bare == pytest.approx(12.8 * 218.25 * 10.5 / 17)


def test_stud_on_wale_by_hand():
    """A stud on each piece of a double wale: 2 x 1.5 x 1.5 in2 at 625 x 0.67 psi, no CD."""
    found = asked(1200.0, STOUT)
    assert found.facts["part"] == "stud on wale, bearing"
    assert found.demand.bare == pytest.approx(2362.5)
    assert found.capacity.bare == pytest.approx(4.5 * 418.75)


def test_sheathing_by_hand():
    """Studs 16 in. apart, 14.5 clear: bending over 14.75, shear over 14.5, limit 16/360."""
    wide = ('spacing = "12 in"', 'spacing = "16 in"'), ('"2 ft"', '"3 ft"'), ("2x6", "2x8")
    found = asked(390.0, *wide)
    assert found.facts["part"] == "sheathing, deflection"
    bent = 14.75**4 / (1743 * 1.65e6 * 0.199)
    sheared = 120 * 0.75**2 * 14.5**2 / (1270 * 1.5e6 * 0.199)
    assert found.capacity.bare == pytest.approx(16 / 360 / (bent + sheared))
    assert found.demand.bare == 390
    assert found.clause.label is Label.MEMORY


def test_stud_by_hand():
    """Reused 2x4 No.2 DFL at 24 in., spans unknown: 96 F S / l^2 = 96 x 1319.6 x 3.0625 / 24^2."""
    weak = (
        ('spacing = "12 in"\nreused = false\nspans = 4', 'spacing = "12 in"'),
        ('thickness = "3/4 in"', 'thickness = "1-1/8 in"'),
        ("2x6", "2x8"),
    )
    found = asked(500.0, *weak)
    assert found.facts["part"] in ("stud, bending", "stud, deflection")
    bending = 96 * 900 * 1.5 * 0.85 * 1.15 * 3.0625 / 24**2
    deflection = 921.6 * 1.44e6 * 5.359375 / 24**4 / 16  # 1/16 in. is less than 24/360
    shear = 12.8 * 180 * 0.97 * 5.25 / (24 - 7)
    assert found.capacity.bare == pytest.approx(min(bending, deflection, shear))


def test_rated_panels_keep_their_own_check():
    case = case_of(complete())
    assert panels(case, at(case, 600.0)).clause.document == "formpressure"
    case = case_of(complete(both=(RATED, RATED + JOB)))
    assert panels(case, at(case, 600.0)).capacity.bare == 1300


@pytest.mark.parametrize(
    ("form", "key"),
    [
        ("", "form.panels"),
        (SHEATHING, "form.studs"),
        (SHEATHING + STUDS, "form.wales"),
        (STUDS + WALES, "form.sheathing"),
        (JOB.replace('spacing = "12 in"\n', ""), "form.studs.spacing"),
    ],
)
def test_what_is_missing_is_named(form, key):
    found = asked(300.0, form=form)
    assert found.status is Status.NOT_CHECKED
    assert found.key == key
    others = ('"bracing", ', '"bracing", "panels", ')
    assert asked(300.0, others, form=form).status is Status.BY_OTHERS


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ([('"1 ft", "3 ft", "5 ft", "7 ft"', '"4 ft"')], "ties.heights"),
        ([("doubled = true", 'doubled = true\nspacing = "3 ft"')], "form.wales.spacing"),
        ([('spacing = "12 in"', 'spacing = "14 in"')], "form.studs.spacing"),
    ],
)
def test_what_the_formulas_do_not_cover_stays_open(changes, key):
    found = asked(100.0, *changes)
    assert found.status is Status.NOT_CHECKED
    assert found.key == key
    assert note(found)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (('"3/4 in"', '"18 mm"'), "form.sheathing"),
        (('"across"', '"along"'), None),
        (('plywood = "form grade class I"\nface_grain = "across"', 'plywood = "group 1 S-1 wet"'),
         "form.sheathing"),
        (('size = "2x4"\nspecies = "Douglas Fir-Larch"\ngrade = "No.2"',
          'size = "2x4"\nspecies = "Hem-Fir"\ngrade = "Stud"'), "form.studs"),
        (("doubled = true\nreused = false\nspans = 4", "doubled = true\nspans = 0"), "form.wales"),
    ],
)  # fmt: skip
def test_what_is_not_tabulated_is_refused_with_its_key(change, place):
    if place is None:
        assert asked(100.0, change).status is Status.OK
        return
    with pytest.raises(Refusal, match=place):
        asked(100.0, change)


def test_dry_plywood_says_so():
    found = asked(400.0, ("form grade class I", "group 1 S-2 dry"))
    assert found.status is Status.OK
    assert "dry" in note(found)


@pytest.mark.parametrize(
    "change",
    [
        ("reused = false", "reused = true"),
        ("spans = 8", ""),
        ("spans = 4", "spans = 1"),
        ("spans = 4", "spans = 2"),
        ('"across"', '"along"'),
        ("doubled = true", "doubled = false"),
        ("Douglas Fir-Larch", "Spruce-Pine-Fir"),
        ('"3/4 in"', '"5/8 in"'),
        ("2x6", "2x4"),
        ('spacing = "2 ft"', 'spacing = "3 ft"'),
        ('"3 ft", "5 ft", ', '"4 ft", '),
    ],
)
@pytest.mark.parametrize("pressure", [300.0, 800.0, 1200.0])
def test_weaker_thinner_wider_is_never_better(change, pressure):
    assert asked(pressure, change).ratio >= asked(pressure).ratio * (1 - 1e-9)


def test_unequal_rows_and_lines_take_the_worst_of_all_spans():
    stout = ('"3/4 in"', '"1-1/8 in"'), ("2x6", "2x8"), ('spacing = "2 ft"', 'spacing = "14 in"')
    stout = (*stout, ('spacing = "12 in"', 'spacing = "7 in"'), ('"3 ft", "5 ft", ', '"4 ft", '))
    equal = asked(900.0, *stout)
    unequal = asked(900.0, *stout, ('"4 ft"', '"4 ft 1 in"'))
    assert equal.facts["part"].startswith("stud, ")
    assert unequal.facts["part"].startswith("stud, ")
    assert unequal.ratio > 1.2 * equal.ratio
    joints = 'joints = ["0 ft", "2 ft", "3 ft", "7 ft"]'
    uneven = case_of(plan().replace('spacing = "2 ft"', joints, 1))
    assert build(uneven).wale_span == 4.0
    assert build(uneven).wale_spans.moment == 96.0
    even = 'joints = ["0 ft", "4 ft", "8 ft", "12 ft"]'
    assert build(case_of(plan().replace('spacing = "2 ft"', even, 1))).wale_spans.moment == 120.0


@pytest.mark.parametrize(
    ("length", "spans"),
    [('length = "160 ft"', THREE), ("", THREE), ('length = "5 ft"', TWO), ('length = "1 ft"', ONE)],
)
def test_a_short_wall_leaves_room_for_few_spans_of_a_wale(length, spans):
    """Lines 2 ft apart, four spans stated."""
    assert build(case_of(plan(), ('length = "160 ft"', length))).wale_spans == spans


def test_panels_without_a_data_sheet_stay_open_by_its_key():
    case = case_of(complete(), (', data_sheet = "sheet P"', ""))
    found = panels(case, at(case, 600.0))
    assert (found.status, found.note) == (Status.NOT_CHECKED, "no_sheet")
    assert found.key == "form.panels.data_sheet"


def test_a_wide_gap_of_tie_lines_counts_whole():
    """Gaps 2, 6, 2: no tie takes more than 4 ft of form, but the wale spans 6."""
    joints = 'joints = ["0 ft", "2 ft", "8 ft", "10 ft"]'
    case = case_of(plan().replace('spacing = "2 ft"', joints, 1))
    assert case.rows.width == 4.0
    assert build(case).wale_span == 6.0


def test_si_plan_equals_us_plan():
    us = case_of(plan())
    text = plan()
    for old, new in (
        ('units = "US"', 'units = "SI"'), ('"8 ft"', '"2.4384 m"'),
        ('["1 ft", "3 ft", "5 ft", "7 ft"]', '["304.8 mm", "914.4 mm", "1524 mm", "2133.6 mm"]'),
        ('"2 ft"', '"609.6 mm"'), ('"12 in"', '"304.8 mm"'), ('"3/4 in"', '"19.05 mm"'),
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    text = text.replace("[concrete]", '[concrete]\nunit_weight = "150 pcf"')
    si = case_of(text)
    for psf in (300.0, 600.0, 1000.0):
        a = panels(us, at(us, psf))
        b = panels(si, at(si, psf * 0.04788025898))
        assert b.facts == a.facts
        assert b.ratio == pytest.approx(a.ratio, rel=1e-6)
        assert b.capacity.system == "SI"


FORMS = {
    "size": st.sampled_from(["2x4", "2x6", "2x8", "4x4"]),
    "species": st.sampled_from(
        ["Douglas Fir-Larch", "Hem-Fir", "Spruce-Pine-Fir", "Southern Pine"]
    ),
    "spacing": st.integers(4, 24),
    "tie": st.integers(12, 60),
    "thickness": st.sampled_from(["1/2", "5/8", "3/4", "1-1/8"]),
}


@settings(max_examples=60, deadline=None)
@given(**FORMS)
def test_more_pressure_is_never_better(size, species, spacing, tie, thickness):
    case = case_of(
        plan(), ("2x6", size), ("Douglas Fir-Larch", species), ('"12 in"', f'"{spacing} in"'),
        ('spacing = "2 ft"', f'spacing = "{tie} in"'), ('"3/4 in"', f'"{thickness} in"'),
    )  # fmt: skip
    ratios, failed = [], False
    for pressure in (50.0, 200.0, 400.0, 700.0, 1000.0, 1200.0):
        found = panels(case, at(case, pressure))
        ratios.append(found.ratio)
        assert not (failed and found.status is not Status.NOT_OK)
        failed = found.status is Status.NOT_OK
    assert ratios == sorted(ratios)


BEARING = """
[form.tie_bearing]
area = "7.2 in2"
species = "Douglas Fir-Larch"
"""


def bearing(pressure, *changes, text=BEARING):
    case = case_of(plan(JOB + text), NO_BEARING, *changes)
    return tie_bearing(case, at(case, pressure))


def test_wood_under_the_ties():
    """7.2 in2 x 625 x 0.67 = 3,015 lb."""
    found = bearing(500.0)
    assert found.status is Status.OK
    assert found.capacity.bare == pytest.approx(3015)
    found = bearing(1200.0)
    assert found.status is Status.NOT_OK
    assert found.demand.bare == pytest.approx(4725)
    assert bearing(500.0, ('"7.2 in2"', '"4 in2"')).status is Status.NOT_OK
    assert bearing(500.0, ('"7.2 in2"', '"4645.15 mm2"')).capacity.bare == pytest.approx(
        3015, rel=1e-5
    )


def test_bearing_in_the_tie_rating_needs_the_sheet():
    text = complete(gone=NO_BEARING).replace("[form]", '[form]\ntie_bearing = "in the tie rating"')
    case = case_of(text)
    found = tie_bearing(case, case.liquid_head())
    assert found.status is Status.OK
    assert "sheet T" in note(found)
    case = case_of(text, ('data_sheet = "sheet T"\n', ""))
    found = tie_bearing(case, case.liquid_head())
    assert (found.status, found.key) == (Status.NOT_CHECKED, "ties.data_sheet")


def test_bearing_blank_is_open_and_may_be_by_others():
    case = case_of(complete(gone=NO_BEARING))
    found = tie_bearing(case, case.liquid_head())
    assert (found.status, found.key) == (Status.NOT_CHECKED, "form.tie_bearing")
    case = case_of(complete())
    assert tie_bearing(case, case.liquid_head()).status is Status.BY_OTHERS


def test_what_the_check_rests_on_is_listed_once():
    found = sources(case_of(plan()))
    assert len(found) == len(set(found)) > 8
    assert any("size factor" in c.says for c in found)
    for other in (complete(), plan(SHEATHING), plan(RATED + JOB)):  # rated panels, or not whole
        assert sources(case_of(other)) == ()


def test_every_answer_has_a_sentence():
    assert set(CHECKS) == {"panels", "tie bearing"}
    for pressure in (300.0, 1200.0):
        assert note(asked(pressure)).count("{") == 0
        assert note(bearing(pressure))


def test_every_way_to_fail_is_told_at_its_worst_place():
    case = case_of(plan())
    for pressure in (300.0, 1200.0):
        every = parts(case, at(case, pressure))
        found = {part.name: part.ratio for part in every}
        wood = {
            f"{m}, {how}" for m in ("stud", "wale") for how in ("bending", "shear", "deflection")
        }
        panel = {f"sheathing, {how}" for how in ("bending", "rolling shear", "deflection")}
        assert set(found) == wood | panel | {"stud on wale, bearing"}
        for part in every:
            of = {"stud on wale": "load", "wale": "line_load"}
            term = of.get(part.name.split(",")[0], "pressure")
            assert (part.demand.term, part.demand.system) == (term, "US")
            assert (part.capacity.term, part.capacity.system) == (term, "US")
        assert max(found.values()) == panels(case, at(case, pressure)).ratio
    for other in (complete(), plan(SHEATHING), plan(RATED + JOB)):
        assert parts(case_of(other), case.liquid_head()) == []


def test_a_member_that_fails_by_the_trucks_is_told_as_a_member():
    """All trucks at once: what the trucks bring is told at the ties, the member keeps its words."""
    trucks = 'truck = "10 yd"\ngap = "0 min"\ndischarge = "10 min"\nspread = "160 ft"\n'
    text = plan(load="1500 lb", trucks=('thickness = "8 in"\n', f'thickness = "8 in"\n{trucks}'))
    found = check(read_plan(text.replace('spacing = "12 in"', 'spacing = "24 in"')))
    assert not found.trucks.passes
    assert found["ties"].note == "over_by_load"
    assert (found["panels"].status, found["panels"].note) == (Status.NOT_OK, "member_over")
    assert set(found["panels"].facts) == {"part"}


@pytest.mark.parametrize("spacing", ["12 in", "20 in", "24 in"])
def test_the_form_may_carry_the_pressure_at_which_its_worst_member_turns(spacing):
    """Whether a member of one pressure sets it, which is met exactly, or one of a load by rows."""
    case = case_of(plan(), ('spacing = "12 in"', f'spacing = "{spacing}"'), ('"8 ft"', '"14 ft"'))
    most = allowable_pressure(case)
    assert most.name == "panels"
    assert panels(case, at(case, most.pressure)).status is not Status.NOT_OK
    assert panels(case, at(case, most.pressure * (1.0 + 1e-6))).status is Status.NOT_OK


@pytest.mark.parametrize(
    ("turns", "capacity"),
    [
        (0.25, None),
        (100.0, Amount("pressure", 100.0, "US")),
        (80.0, Amount("pressure", 100.0, "US")),
        (150.0, Amount("pressure", 100.0, "US")),
        (150.0, Amount("load", 100.0, "US")),
    ],
)
def test_the_limit_is_where_a_check_turns_whatever_it_says_of_its_capacity(
    turns, capacity, monkeypatch
):
    def judge(case, envelope):
        status = Status.NOT_OK if envelope.p_max > turns else Status.OK
        return Check("panels", status, "", capacity=capacity)

    monkeypatch.setitem(STRENGTH, "panels", judge)
    most = allowable_pressure(case_of(complete("90000 lb")))
    assert (most.pressure, most.name) == (pytest.approx(turns, rel=1e-9), "panels")
    assert most.pressure <= turns


def test_a_third_model_that_is_not_found_is_never_a_pass(monkeypatch):
    """Where the search for the ties that pull does not end, an engineer must accept the ties."""
    text = plan()
    assert check(read_plan(text))["ties"].note != "continuous_unsolved"
    monkeypatch.setattr("formpressure.statics.pull.STEPS", 0)
    found = check(read_plan(text))["ties"]
    assert (found.status, found.note) == (Status.NOT_CHECKED, "continuous_unsolved")
    assert found.key == "ties.continuous"
    accepted = '[ties.continuous]\nengineer = "A. Engineer"\nmethod = "frame"\nwhy = "stiff"\n'
    assert check(read_plan(text + accepted))["ties"].note == "continuous_trusted"


def test_a_job_built_form_along_a_layout_takes_its_widest_gap():
    form = SHEATHING + STUDS + WALES.replace("spans = 4\n", "")
    case = case_of(straight() + form)
    assert build(case).wale_span == max(gaps.max() for gaps in case.gaps) == 2.0
    assert len(case_of(CLOSED + form).gaps) == 4  # one for each side


def test_a_line_of_one_tie_that_runs_on_is_not_held():
    """A stud on one tie turns: the third model has no load to give, so the ties stay open."""
    low = ('"8 ft"', '"2 ft"'), ('"1 ft", "3 ft", "5 ft", "7 ft"', '"1 ft"')
    text = plan()
    for old, new in low:
        assert old in text
        text = text.replace(old, new)
    found = check(read_plan(text))["ties"]
    assert (found.status, found.note) == (Status.NOT_CHECKED, "continuous_unsolved")
