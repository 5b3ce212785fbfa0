"""Whole plans: a complete one is GO, and what most hurts people takes it away."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from formpressure import check, load_plan, missing_tie_study, read_plan
from formpressure.demand.frames import (
    MissingTies,
    continuous_loads,
    missing_ties,
    third_model,
    unzip,
    wale_factor,
)
from formpressure.demand.ties import line_widths, stretch_widths, tie_rows
from formpressure.records import Status
from formpressure.rule import RULES
from formpressure.statics.missing import Removals

PLANS = Path(__file__).resolve().parents[1] / "shared" / "plans"
COMPLETE = (PLANS / "garage_8ft_complete.toml").read_text(encoding="utf-8")
JOB_BUILT = (PLANS / "job_built_10ft.toml").read_text(encoding="utf-8")


def changed(*pairs, text=COMPLETE):
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new)
    return check(read_plan(text))


def full_head(height):
    return RULES["aci347r_2014"](height=height, unit_weight="150 pcf")


def test_a_complete_plan_is_go():
    verdict = changed()
    assert verdict.word == "GO"
    assert not verdict.open


SINGLE = ("doubled = true", "doubled = false")


@pytest.mark.parametrize(
    ("pairs", "check_name"),
    [
        ([('spacing = "8 ft"', 'spacing = "10 ft"'), ('"2x6"', '"2x4"'), SINGLE], "bracing"),
        ([("stayed = 1", "stayed = 0"), ('foot = "6 ft"', 'foot = "9 ft"')], "bracing"),
        ([('anchor = "1800 lb"', 'anchor = "900 lb"')], "bracing"),
        ([('batter_and_ledges = "none"', 'batter_and_ledges = { run = "12 in" }')],
         "batter and ledges"),
        ([('hold = "500 plf"', 'hold = "100 plf"')], "base"),
        ([('overhang = "8 in"', 'overhang = "6 in"')], "overhangs"),
        ([('first_tie = "12 in", load = "3500 lb"', 'first_tie = "30 in", load = "900 lb"')],
         "corners"),
        ([('load = "5000 lb"', 'load = "1500 lb"')], "ties"),
    ],
)  # fmt: skip
def test_each_weak_part_is_no_go_by_its_own_check(pairs, check_name):
    verdict = changed(*pairs)
    assert verdict.word == "NO-GO"
    assert verdict[check_name].status is Status.NOT_OK


def test_a_12_ft_unstayed_2x4_brace_is_told_as_too_slender():
    verdict = changed(("stayed = 1", "stayed = 0"), ('foot = "6 ft"', 'foot = "9 ft"'))
    assert "slender" in verdict["bracing"].note


def test_bracing_left_out_is_not_checked():
    text = COMPLETE[: COMPLETE.index("[form.bracing]")]
    verdict = check(read_plan(text))
    assert verdict.word == "NOT CHECKED"
    assert verdict["bracing"].key == "form.bracing"


def test_members_that_run_on_take_the_ok_of_ties_until_an_engineer_is_named():
    ties = check(read_plan(JOB_BUILT))["ties"]
    assert (ties.status, ties.key) == (Status.NOT_CHECKED, "ties.continuous")
    assert ties.facts["load"].bare > ties.capacity.bare > ties.demand.bare
    named = JOB_BUILT.replace(
        "[concrete]",
        '[ties.continuous]\nengineer = "A"\nmethod = "frame"\nwhy = "slack"\n[concrete]', 1
    )  # fmt: skip
    accepted = check(read_plan(named))["ties"]
    assert accepted.status is Status.OK
    assert accepted.note == "continuous_accepted"
    assert accepted.key == ""
    said = {"engineer": "A", "method": "frame", "why": "slack"}
    assert accepted.facts == ties.facts | said


@pytest.mark.parametrize(("spans", "factor"), [(2, 1.25), (3, 1.1), (4, 8 / 7), (5, 43 / 38)])
def test_factor_of_continuous_wales(spans, factor):
    """Statics, three-moment equation: middle and first inner reactions of equal spans."""
    assert wale_factor(spans) == pytest.approx(factor, rel=1e-9)


def test_ties_at_1_3_5_ft_the_middle_one_peaks_before_the_form_is_full():
    rows = tie_rows((1.0, 3.0, 5.0), 0.0, 8.0, spacing=1.0)
    found = continuous_loads(rows, full_head("8 ft"))
    assert 6.5 < found.surface[0, 1] < 7.6
    assert found.load[0, 1] > 0


def test_third_model_is_never_below_the_other_two():
    rows = tie_rows((1.0, 3.0, 5.0, 7.0), 0.0, 8.0, spacing=2.0)
    envelope = full_head("8 ft")
    from formpressure.demand.ties import tie_loads

    two = tie_loads(rows, envelope).load
    for studs in (True, False):
        for spans in (None, 2, 40):
            assert np.all(third_model(rows, envelope, studs, spans) >= two * (1 - 1e-12))


def even_load():
    """A pressure of 1e-6 at every depth but the first nothing."""
    return dataclasses.replace(full_head("8 ft"), own_p_max=1e-6)


def test_three_models_of_a_line_and_of_its_middle_tie_gone():
    """Statics, even load 1 over 6 with ties at 1, 3, 5. Hinged: moments of an end beam about 3,
    3 x 1.5 / 2. Rigid ties, three moments: -1/2 at the outer, -1/4 at the middle one. Straight
    rail: a third each. Without the middle one a half each; without an end tie of the hinged chain
    its beam turns."""
    rows = tie_rows((1.0, 3.0, 5.0), 0.0, 6.0, spacing=1.0)
    study = missing_ties(rows, even_load(), 7.0)
    assert study.capacity == 7.0
    before = dict(zip(study.models, (1e6 * r.before for r in study.removals), strict=True))
    assert list(before) == ["hinged", "rigid ties", "straight rail"]
    assert before["hinged"] == pytest.approx([2.25, 1.5, 2.25], rel=1e-4)
    assert before["rigid ties"] == pytest.approx([2.125, 1.75, 2.125], rel=1e-4)
    assert before["straight rail"] == pytest.approx([2.0, 2.0, 2.0], rel=1e-3)
    for removal in study.removals:
        assert 1e6 * removal.after[1] == pytest.approx([3.0, 0.0, 3.0], rel=1e-4)
    assert study.removals[0].held.tolist() == [False, True, False]


def removal(held, *shares):
    """Where tie t is gone, the next one takes `shares[t]`."""
    return Removals(np.ones(4), np.roll(np.diag(shares), 1, axis=1), np.array(held))


def worst(*removals):
    return MissingTies(np.arange(4.0), ("one", "other"), removals, 5.0).worst


def test_the_worst_tie_to_forget_loses_the_line_in_most_models_then_asks_most():
    held, first_lost, second_lost = [True] * 4, [False, True, True, True], [True, False, True, True]
    assert worst(removal(held, 1, 2, 4, 3), removal(held, 1, 2, 1, 3)) == 2
    assert worst(removal(held, 1, 4, 4, 3), removal(held, 4, 2, 1, 3)) == 0  # lowest of the same
    assert worst(removal(first_lost, 1, 2, 4, 3), removal(held, 1, 2, 1, 3)) == 0
    both = removal(first_lost, 1, 2, 4, 3), removal(second_lost, 1, 2, 4, 3)
    assert worst(*both) == 1  # each loses it once; there is 2 in the other model, against 1
    assert worst(removal(first_lost, 1, 2, 4, 3), removal(first_lost, 9, 2, 1, 3)) == 0
    # one that loses it in both comes before any that does so once, whatever that asks
    assert worst(both[0], removal([False, False, True, True], 1, 9, 9, 9)) == 0


def test_what_is_lost_in_every_model_asks_nothing_more():
    """Two lost in both models: the lowest, though nothing is left to compare."""
    lost = removal([True, False, False, True], 9, 9, 9, 9)
    assert worst(lost, lost) == 1


@pytest.mark.parametrize(
    ("bound", "forces"),
    [("straight rail", [22 / 7, 0, 18 / 7, 16 / 7]), ("rigid ties", [2.8125, 0, 3.5625, 1.625])],
)
def test_an_unzipping_starts_with_the_pulls_of_its_bound_and_runs_past_its_breaking_load(
    bound, forces
):
    """Statics, even load 1 over 8, ties at 1, 3, 5, 7 with that at 3 gone. Straight: 8/3 each less
    d/7 at d from the middle of those left. Rigid, three moments: -1/2, -5/4, -1/2."""
    rows = tie_rows((1.0, 3.0, 5.0, 7.0), 0.0, 8.0, spacing=1.0)
    for breaking, broken in ((max(forces) + 0.01, 0), (max(forces) - 0.01, 1)):
        run = unzip(rows, even_load(), breaking * 1e-6, 1, bound)
        assert 1e6 * run.force[0] == pytest.approx(forces, rel=1e-3)
        assert run.gone[1:2].sum() == (2 if broken else 0)
        assert run.broken.any() == bool(broken)


def test_hinged_neighbours_of_a_missing_inner_tie_carry_half_as_much_again_under_even_load():
    """Statics: the tributary length of both neighbours grows from L to 1.5 L."""
    heights = tuple(np.arange(1, 20, 2.0))
    rows = tie_rows(heights, 0.0, 20.0, spacing=1.0)
    study = missing_ties(rows, even_load(), 1.0)
    growth = study.removals[0].growth()
    assert growth[5, 4] == pytest.approx(1.5, rel=1e-4)
    assert growth[5, 6] == pytest.approx(1.5, rel=1e-4)


def test_study_of_the_job_built_wall_and_of_panels():
    built = missing_tie_study(read_plan(JOB_BUILT))
    assert built.wall is not None
    ties = len(built.wall.lines) * 5
    assert built.wall.removals[0].after.shape == (ties, ties)
    assert built.breaking == 6000
    panels = missing_tie_study(load_plan(PLANS / "basement_9ft.toml"))
    assert panels.wall is None
    for run in (*built.unzipping, *panels.unzipping):
        assert run.gone[0].sum() == 1
        assert (run.gone[1:].sum(axis=1) > run.gone[:-1].sum(axis=1)).all()


def test_a_door_leaves_the_openings_open():
    verdict = changed(("openings = \"none\"", (
        'openings = { sill = "0 ft", head = "7 ft", width = "3 ft", hold_down = "100 lb", '
        'strut = "3000 lb", struts = ["1 ft", "3 ft", "5 ft"], basis = "working load at 2:1" }'
    )))  # fmt: skip
    assert verdict["openings"].status is Status.NOT_CHECKED
    assert verdict["openings"].note == "door_only"


def test_wales_have_no_more_spans_than_the_tie_lines_leave():
    """Two gaps are two spans, whatever the plan says (found by the second opinion)."""
    text = JOB_BUILT.replace('spacing = "2 ft"\ndata', 'joints = ["0 ft", "2 ft", "4 ft"]\ndata')
    three = text.replace('spacing = "2 ft", doubled', 'spacing = "2 ft", spans = 3, doubled')
    two = three.replace("spans = 3", "spans = 2")
    assert three != two
    a, b = (check(read_plan(t))["panels"] for t in (three, two))
    assert a.ratio == pytest.approx(b.ratio)


def test_the_first_tie_line_holds_the_wall_to_its_end():
    """Statics: a beam over the first two lines, overhanging to the end: (6 + 2)^2 / (2 x 2) ft."""
    joints = ('spacing = "2 ft"\ndata', 'joints = ["6 ft", "8 ft", "10 ft"]\ndata')
    assert changed(joints).case.rows.width == pytest.approx(16.0)
    assert line_widths((6.0, 8.0, 10.0)).tolist() == [16.0, 2.0, 2.0]
    # 3 ft past the last line: (3 + 2)^2 / (2 x 2); 1 ft before the first: 3^2 / (2 x 4)
    assert stretch_widths(np.array([1.0, 5.0, 7.0]), 10.0).tolist() == [4.0, 3.0, 6.25]


def test_many_rows_close_together_are_still_solved():
    """A pull-only state that was once not found: 14 uneven rows in 20.5 ft."""
    rows = ", ".join(
        f'"{x} in"' for x in (39, 92, 104, 124, 140, 150, 162, 170, 181, 198, 209, 223, 236, 242)
    )
    verdict = check(
        read_plan(f"""
units = "US"
[wall]
height = "246 in"
[ties]
load = "90000 lb"
basis = "working load at 2:1"
data_sheet = "sheet"
spacing = "18 in"
heights = [{rows}]
[form]
sheathing = {{ thickness = "3/4 in", plywood = "form grade class I" }}
studs = {{ size = "4x4", species = "Hem-Fir", grade = "No.2", spacing = "3 in" }}
wales = {{ size = "4x4", species = "Hem-Fir", grade = "No.2" }}
""")
    )
    assert verdict["ties"].status is Status.OK
