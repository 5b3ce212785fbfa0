"""Checks of braces and stages: from top wale to anchor, by statics and published values."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import SMALL

from formpressure import read_plan
from formpressure.capacity.column import SLENDER
from formpressure.case import set_up
from formpressure.checks.bracing import CHECKS, STAGES, bracing, path, stages, stop_wind
from formpressure.checks.ends import HOLDS
from formpressure.demand import wind
from formpressure.demand.bracing import (
    Brace,
    Source,
    horizontal_at,
    pushes,
    top_load,
    wind_push,
    work_push,
)  # fmt: skip
from formpressure.errors import Refusal
from formpressure.records import Label, Status
from formpressure.report.words import note

BRACES = """
[form.bracing]
spacing = "4 ft"
size = "4x4"
species = "Douglas Fir-Larch"
attached = "8 ft"
foot = "6 ft"
connection = "1500 lb"
anchor = "1500 lb"
basis = "working load at 2:1"
wind = "20 psf"
top_wale = { size = "2x4", species = "Douglas Fir-Larch", grade = "No.2", doubled = true }
top_wale_on = "edge"
stages = ["first face", "poured", "stripped"]
"""


def case(*changes, text=SMALL + BRACES):
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return set_up(read_plan(text, file="wall.toml"))


def test_a_whole_path_is_ok_and_names_its_worst_part():
    """8 ft, 100 lb/ft at the top over 4 ft, 6 ft out: 400 x 10 / 6 = 667 lb on 1,500."""
    check = bracing(case())
    assert check.status is Status.OK
    assert check.facts["part"] == "brace_ends"
    assert check.clause is HOLDS
    assert check.ratio == pytest.approx(100 * 4 * 10 / 6 / 1500)
    check = bracing(case(("1500 lb", "700 lb")))
    assert (check.status, check.note) == (Status.OK, "brace_ends")
    assert check.demand.bare == pytest.approx(100 * 4 * 10 / 6)
    assert check.capacity.bare == 700
    assert note(check) == "ends of a brace: 670 lb / 700 lb"


def larger_at_top(wind, height, system):
    return max(push.top for push in pushes(wind, system, height, attached=height))


def test_wind_and_work_are_the_larger_either_way():
    assert larger_at_top(15.0, 8.0, "US") == 100.0
    assert larger_at_top(0.0, 20.0, "US") == 150.0  # 15 psf at least
    assert larger_at_top(30.0, 8.0, "US") == 120.0
    assert larger_at_top(0.0, 2.0, "SI") == 1.5
    assert larger_at_top(0.0, 5.0, "SI") == pytest.approx(1.8)
    check = bracing(case(('"20 psf"', '"40 psf"'), ("1500 lb", "1100 lb")))
    assert check.demand.bare == pytest.approx(160 * 4 * 10 / 6)
    assert check.facts["source"] == "wind"


def test_a_push_turns_a_form_about_its_footing_where_no_other_start_is_told():
    """Braced at 3 ft: 20 x 10^2 / 2 by wind, 100 x 10 by work, each over 3."""
    wind_at, work_at = wind_push(20.0, 10.0, 3.0), pushes(0.0, "US", 10.0, 3.0)[1]
    assert (wind_at.at_braces, work_at.at_braces) == pytest.approx((1000 / 3, 1000 / 3))
    assert work_push("US", 10.0, 3.0) == work_at
    assert pushes(20.0, "US", 10.0, 3.0)[0] == wind_at


def test_no_single_two_by_four_carries_the_work_load_between_braces_10_ft_apart():
    """M = 100 x 10^2 / 8 ft-lb = 15,000 in-lb; on edge S = 3.0625 in3: 4,900 psi, dry or wet."""
    changes = [
        ('"4 ft"', '"10 ft"'), ("doubled = true", "doubled = false"), ("1500 lb", "9000 lb"),
        ("1500 lb", "9000 lb"), ('"20 psf"', '"5 psf"'),
    ]  # fmt: skip
    check = bracing(case(*changes))
    assert (check.status, check.note) == (Status.NOT_OK, "top_wale_bending")
    assert check.demand.bare == pytest.approx(100.0)
    wet = 900 * 1.5 * 0.85 * 3.0625  # No.2, CF 1.5, wet; CD 1.0 for a reused wale under work
    assert check.capacity.bare == pytest.approx(wet * 8 / 12 / 10**2)
    new = bracing(case(*changes, ("doubled = false", "doubled = false, reused = false")))
    assert new.status is Status.NOT_OK
    assert new.capacity.bare == pytest.approx(1.25 * wet * 8 / 12 / 10**2)


def test_flat_is_weaker_than_on_edge_and_counts_where_not_stated():
    """Section modulus 1.3125 with Cfu 1.1 against 3.0625."""
    edge = bracing(case(("doubled = true", "doubled = false")))
    flat = bracing(case(("doubled = true", "doubled = false"), ('"edge"', '"flat"')))
    blank = bracing(case(("doubled = true", "doubled = false"), ('top_wale_on = "edge"', "")))
    assert edge.note == flat.note == "top_wale_bending"
    assert flat == blank
    assert flat.capacity.bare / edge.capacity.bare == pytest.approx(1.3125 * 1.1 / 3.0625)


def test_a_slender_brace_may_carry_no_push_at_all():
    """A 12 ft 2x4 without a stay is 96 times its thickness; two stays bring it to 32."""
    long = [('"8 ft"\n', '"12 ft"\n'), ('attached = "8 ft"', 'attached = "9 ft 7-1/4 in"'),
            ('foot = "6 ft"', 'foot = "7 ft 2-1/2 in"'), ('"4x4"', '"2x4"')]  # fmt: skip
    check = bracing(case(*long))
    assert (check.status, check.note) == (Status.NOT_OK, "brace_slender")
    assert check.facts["slender"] == pytest.approx(96, abs=0.1)
    assert check.capacity is None
    assert check.clause is SLENDER
    assert "over 50" in note(check)
    one = bracing(case(*long, ('"2x4"', '"2x4"\nstayed = 1')))
    assert one.note != "brace_slender"  # 48
    assert stop_wind(case(*long), case(*long).bare.form.bracing) == 0.0


def test_limit_of_slenderness_holds_at_fifty_and_not_beyond():
    """2x4: 50 x 1.5 in is 6 ft 3 in: 5 ft up and 3 ft 9 in out."""
    short = [('attached = "8 ft"', 'attached = "5 ft"'), ('"4x4"', '"2x4"')]
    at = bracing(case(*short, ('foot = "6 ft"', 'foot = "3 ft 9 in"')))
    over = bracing(case(*short, ('foot = "6 ft"', 'foot = "3 ft 10 in"')))
    assert at.note != "brace_slender"
    assert over.note == "brace_slender"


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (('connection = "1500 lb"', 'connection = "660 lb"'), "brace_ends"),
        (('anchor = "1500 lb"', 'anchor = "660 lb"'), "brace_anchor"),
        (('basis = "working load at 2:1"\nwind', 'basis = "breaking load"\nwind'), None),
        (('spacing = "4 ft"', 'spacing = "15 ft"'), "top_wale_bending"),
    ],
)
def test_each_part_can_fail(change, part):
    check = bracing(case(change))
    if part is None:  # half of 1,500 is still over 667
        assert check.status is Status.OK
        assert check.capacity.bare == 750
    else:
        assert (check.status, check.note) == (Status.NOT_OK, part)


def test_push_and_pull_of_the_brace_itself():
    """Ends and anchor and wale made strong, a 4x4 20 ft long: the push comes first."""
    strong = [('"1500 lb"', '"90000 lb"'), ('"1500 lb"', '"90000 lb"'), ('"2x4"', '"2x8"'),
              ('"8 ft"\n', '"14 ft"\n'), ('attached = "8 ft"', 'attached = "11 ft"'),
              ('foot = "6 ft"', 'foot = "8 ft"'), ('"20 psf"', '"60 psf"')]  # fmt: skip
    check = bracing(case(*strong))
    assert (check.status, check.note) == (Status.NOT_OK, "brace_compression")
    force = 60 * 14 / 2 * 14 / 11 * 4 * (11**2 + 8**2) ** 0.5 / 8
    assert check.demand.bare == pytest.approx(force)
    Fc = 1350 * 1.6 * 1.15 * 0.8
    r = 0.822 * 580000 * 0.9 / ((11**2 + 8**2) ** 0.5 * 12 / 3.5) ** 2 / Fc
    CP = (1 + r) / 1.6 - (((1 + r) / 1.6) ** 2 - r / 0.8) ** 0.5
    assert check.capacity.bare == pytest.approx(Fc * CP * 12.25)


def test_a_short_stayed_brace_is_pulled_apart_before_it_is_pushed_over():
    """SPF 2x4, 10 ft long, nine stays: Fc 1150 x 1.6 x 0.8 x 1.15 against Ft 450 x 1.6 x 1.5."""
    check = bracing(case(
        ('"1500 lb"', '"90000 lb"'), ('"1500 lb"', '"90000 lb"'), ('"2x4"', '"2x8"'),
        ('"4x4"', '"2x4"\nstayed = 9'), ('"Douglas Fir-Larch"', '"Spruce-Pine-Fir"'),
        ('"20 psf"', '"400 psf"'),
    ))  # fmt: skip
    assert check.status is Status.NOT_OK
    assert check.note == "brace_tension"
    assert check.capacity.bare == pytest.approx(450 * 1.6 * 1.5 * 5.25)


def test_foot_of_the_form_takes_the_rest_of_the_wind():
    """20 psf on 8 ft, braced at 6 ft: 20 x 8 - 80 x 8/6 = 53 lb/ft at the foot."""
    change = ('attached = "8 ft"', 'attached = "6 ft"')
    hold = '[form.base]\nhold = "{}"\nbasis = "working load at 2:1"\n'
    push = wind_push(20.0, 8.0, 6.0)
    assert push.at_foot == pytest.approx(160 - 640 / 6)
    weak = bracing(case(change, text=SMALL + BRACES + hold.format("30 plf")))
    assert (weak.status, weak.note) == (Status.NOT_OK, "form_foot")
    assert weak.demand.bare == pytest.approx(160 - 640 / 6)
    assert bracing(case(change, text=SMALL + BRACES + hold.format("300 plf"))).note != "form_foot"


def test_blank_bracing_and_by_others():
    check = bracing(case(text=SMALL))
    assert (check.status, check.note, check.key) == (Status.NOT_CHECKED, "blank", "form.bracing")
    others = (
        SMALL + '[[by_others]]\nchecks = ["bracing", "stages"]\nwho = "A. Engineer"\n'
        'document = "calculation 7"\ndate = 2026-03-01\n'
    )
    assert {make(case(text=others)).status for make in CHECKS.values()} == {Status.BY_OTHERS}
    check = stages(case(text=SMALL))
    assert (check.status, check.key) == (Status.NOT_CHECKED, "form.bracing.stages")
    mixed = (
        SMALL
        + BRACES.replace('stages = ["first face", "poured", "stripped"]\n', "")
        + (others.removeprefix(SMALL).replace('"bracing", ', ""))
    )
    assert stages(case(text=mixed)).status is Status.BY_OTHERS
    assert bracing(case(text=mixed)).status is Status.OK


@pytest.mark.parametrize(
    ("change", "word", "key"),
    [
        (('wind = "20 psf"', ""), "blank", "form.bracing.wind"),
        (
            ('top_wale = { size = "2x4", species = "Douglas Fir-Larch", grade = "No.2", '
             "doubled = true }\n", ""),
            "blank", "form.bracing.top_wale",
        ),
        (('foot = "6 ft"', 'foot = "4 ft"'), "brace_angle", "form.bracing.foot"),
        (('attached = "8 ft"', 'attached = "9 ft"'), "brace_above_form", "form.bracing.attached"),
        (('attached = "8 ft"', 'attached = "0 ft"'), "brace_below_placement",
         "form.bracing.attached"),
    ],
)  # fmt: skip
def test_each_blank_stays_open(change, word, key):
    for make in CHECKS.values():
        check = make(case(change))
        assert (check.status, check.note, check.key) == (Status.NOT_CHECKED, word, key)
        assert "{" not in note(check)  # every sentence can be filled


def test_what_fails_without_the_wind_fails_all_the_same():
    weak = ('anchor = "1500 lb"', 'anchor = "660 lb"')
    for make in CHECKS.values():
        assert make(case(weak, ('wind = "20 psf"', ""))).status is Status.NOT_OK
        assert make(case(weak, ('foot = "6 ft"', 'foot = "4 ft"'))).status is Status.NOT_OK


@pytest.mark.parametrize(
    ("attached", "foot", "usual"),
    [
        ("6 ft", "3 ft 6 in", True),  # 59.7 degrees
        ("6 ft", "3 ft 5 in", False),  # 60.3
        ("3 ft", "8 ft 2 in", True),  # 20.2
        ("3 ft", "8 ft 4 in", False),  # 19.8
    ],
)
def test_angle_of_a_brace(attached, foot, usual):
    strong = [('"1500 lb"', '"9000 lb"')] * 2 + [('"2x4"', '"2x8"')]
    check = bracing(case(*strong, ('attached = "8 ft"', f'attached = "{attached}"'),
                         ('foot = "6 ft"', f'foot = "{foot}"')))  # fmt: skip
    assert (check.status is Status.OK) == usual
    assert (check.note == "brace_angle") != usual


def test_all_three_stages_must_be_named():
    for stage in STAGES:
        named = ", ".join(f'"{s}"' for s in STAGES if s != stage)
        check = stages(case(('"first face", "poured", "stripped"', named)))
        assert (check.status, check.note) == (Status.NOT_CHECKED, "stage_missing")
        assert check.facts["missing"] == stage
        assert check.key == "form.bracing.stages"
        assert stage in note(check)
    gone = stages(case(('stages = ["first face", "poured", "stripped"]\n', "")))
    assert gone.facts["missing"] == "first face, poured, stripped"
    odd = stages(case(('"poured"', '"pored"')))
    assert (odd.status, odd.facts) == (Status.NOT_CHECKED, {"stage": "pored"})


def test_stages_tell_the_ratio_of_each():
    """Braced at 6 ft, the form 8 ft and the concrete 7 ft: stripped asks 7/8 of the work load."""
    lower = [('height = "8 ft"', 'height = "7 ft 2 in"\nform_height = "8 ft"'),
             ('attached = "8 ft"', 'attached = "6 ft"'), ('"20 psf"', '"5 psf"')]  # fmt: skip
    check = stages(case(*lower))
    assert check.status is Status.OK
    ratios = check.facts["ratios"]
    assert set(ratios) == set(STAGES)
    assert ratios["first face"] == ratios["poured"] == pytest.approx(check.ratio)
    assert ratios["stripped"] / ratios["poured"] == pytest.approx((7 + 1 / 6) / 8)
    assert check.clause.label is Label.QUOTED
    assert "at a wind of" in note(check)


def test_a_stage_that_fails_is_named():
    check = stages(case(('anchor = "1500 lb"', 'anchor = "660 lb"')))
    assert (check.status, check.note) == (Status.NOT_OK, "stage_over")
    assert (check.facts["stage"], check.facts["part"]) == ("first face", "brace_anchor")


def test_braces_on_the_form_alone_do_not_hold_the_stripped_wall():
    check = stages(case(('height = "8 ft"', 'height = "7 ft 2 in"\nform_height = "8 ft"')))
    assert (check.status, check.note) == (Status.NOT_CHECKED, "braces_go_with_form")


def test_wind_speed_by_its_steps():
    """0.00256 x 0.85 x 1.0 x 0.85 x 90^2 x 0.85 x 1.75, worked by hand: 22.28 psf."""
    assert wind.pressure_at(90.0) == pytest.approx(22.286, abs=0.001)
    assert wind.speed_at(wind.pressure_at(90.0)) == pytest.approx(90.0)
    by_speed = bracing(case(('wind = "20 psf"', 'wind_speed = "90 mph"')))
    assert by_speed.status is Status.OK
    assert by_speed.note == "braced_by_speed"
    assert by_speed.facts["wind"].bare == pytest.approx(22.286, abs=0.001)
    assert "90 mph" in note(by_speed)
    stated = bracing(case(('wind = "20 psf"', f'wind = "{wind.pressure_at(90.0)} psf"')))
    assert stated.ratio == pytest.approx(by_speed.ratio)


def test_the_larger_of_wind_and_wind_speed_counts():
    both = bracing(case(('wind = "20 psf"', 'wind = "20 psf"\nwind_speed = "150 mph"'),
                        ('"1500 lb"', '"5000 lb"'), ('"1500 lb"', '"5000 lb"')))  # fmt: skip
    assert both.facts["wind"].bare == pytest.approx(wind.pressure_at(150.0))


def test_wind_speed_is_refused_for_a_form_over_15_ft():
    tall = [('"8 ft"\n', '"{} ft"\n'), ('wind = "20 psf"', 'wind_speed = "60 mph"'),
            ('"1500 lb"', '"9000 lb"'), ('"1500 lb"', '"9000 lb"'), ('"2x4"', '"2x8"')]  # fmt: skip

    def checked(height):
        return bracing(case((tall[0][0], tall[0][1].format(height)), *tall[1:]))

    assert checked(15).status is Status.OK
    over = checked(15.5)
    assert (over.status, over.note, over.key) == (
        Status.NOT_CHECKED, "wind_too_high", "form.bracing.wind",
    )  # fmt: skip


def test_stop_work_wind_is_where_the_bracing_reaches_its_capacity():
    plain = bracing(case())
    limit, speed = plain.facts["stop_wind"].bare, plain.facts["stop_speed"].bare
    assert wind.pressure_at(speed) == pytest.approx(limit)
    assert plain.facts["stop_speed_label"] is Label.MEMORY  # Kzt and the height it holds to
    at = bracing(case(('"20 psf"', f'"{limit * (1 - 1e-6)} psf"')))
    over = bracing(case(('"20 psf"', f'"{limit * (1 + 1e-6)} psf"')))
    assert (at.status, over.status) == (Status.OK, Status.NOT_OK)


def test_stop_work_wind_on_hardened_concrete():
    """From 4 to 10 ft, braced at 6 ft, 6 ft out: 1 psf is 6 x 3 / 2 plf, on 4 ft 36 x sqrt 2 lb."""
    joint = 'height = "10 ft"\nplaced_from = "4 ft"\nhardened = "3 days"'
    low = ('height = "8 ft"', joint), ('attached = "8 ft"', 'attached = "6 ft"')
    weak = case(*low, ('anchor = "1500 lb"', 'anchor = "100 lb"'))
    assert stop_wind(weak, weak.bare.form.bracing) == pytest.approx(100 / (36 * 2**0.5))


def test_a_form_on_hardened_concrete_turns_about_it_where_that_is_more():
    """From 4 ft up to 10 ft, braced at 6 ft: 100 x 6 / 2 against 100 x 10 / 6."""
    work = pushes(0.0, "US", 10.0, 6.0, 4.0)[1]
    assert work.at_braces == pytest.approx(300.0)
    blow = wind_push(20.0, 10.0, 6.0, 4.0)
    assert blow.at_braces == pytest.approx(max(20 * 50 / 6, 20 * 18 / 2))


def test_metric_minimum_and_the_same_lumber():
    """SI plans take 1.5 kN/m, not 100 lb/ft; wind alone gives what the US plan gives."""
    metric = BRACES.replace('"20 psf"', '"1.9152 kPa"')  # 40 psf: wind governs everywhere
    us = bracing(case(('"20 psf"', '"40 psf"')))
    si = bracing(case(('units = "US"', 'units = "SI"'), text=SMALL + metric))
    assert si.note == us.note
    assert si.ratio == pytest.approx(us.ratio, rel=1e-4)
    assert si.facts["stop_wind"].bare / us.facts["stop_wind"].bare == pytest.approx(
        0.0478803, rel=1e-5
    )
    least = bracing(case(('units = "US"', 'units = "SI"'), ('"20 psf"', '"0.1 kPa"')))
    assert least.facts["top"].bare == 1.5
    assert least.facts["source"] == "work"


def test_a_basis_without_its_factor_is_refused():
    with pytest.raises(Refusal, match=r"^wall\.toml: form\.bracing\.basis"):
        bracing(case(('basis = "working load at 2:1"\nwind', 'basis = "strong"\nwind')))
    with pytest.raises(Refusal, match=r"^wall\.toml: form\.bracing\.top_wale"):
        bracing(case(('size = "2x4", species = "Douglas Fir-Larch", grade = "No.2"',
                      'size = "2x8", species = "Douglas Fir-Larch", grade = "Stud"')))  # fmt: skip


lengths = st.floats(0.3, 1.0)


@settings(max_examples=150)
@given(lengths, st.floats(2.0, 20.0), st.floats(1.0, 30.0), st.floats(0.0, 90.0),
       st.floats(1.0, 2.0))  # fmt: skip
def test_forces_balance_and_never_fall_with_wind_height_or_spacing(share, foot, h, p, more):
    attached = share * h
    brace = Brace(attached, foot, 5.0)
    for push in pushes(p, "US", h, attached):
        axial = brace.axial(push.at_braces)
        across, up = axial * foot / brace.length, axial * attached / brace.length
        assert across == pytest.approx(push.at_braces * 5.0)
        assert up == pytest.approx(push.at_braces * 5.0 * attached / foot)
        # moments about the foot of the form: the top load at h against the force at the brace
        assert push.at_braces * attached == pytest.approx(push.top * h)
    blow = wind_push(p, h, attached)
    assert blow.top == pytest.approx(top_load(p, h))
    assert blow.at_foot == pytest.approx(abs(p * h - blow.at_braces), abs=1e-9)
    for push, worse in zip(pushes(p, "US", h, attached), pushes(p * more, "US", h, attached),
                           strict=True):  # fmt: skip
        assert worse.at_braces >= push.at_braces
    assert horizontal_at(attached, h * more, 100.0) >= horizontal_at(attached, h, 100.0)
    assert replace(brace, spacing=5.0 * more).axial(100.0) >= brace.axial(100.0)
    assert {push.source for push in pushes(p, "US", h, attached)} == set(Source)


@settings(max_examples=60)
@given(st.floats(1.0, 19.0), st.floats(0.0, 200.0), st.floats(1.0, 1.5),
       st.sampled_from(["2x4", "2x6", "2x8", "4x4"]), st.integers(0, 3))  # fmt: skip
def test_more_wind_or_wider_or_fewer_stays_is_never_better(spacing, p, more, size, stayed):
    def status(spacing=spacing, p=p, stayed=stayed):
        return bracing(case(
            ('spacing = "4 ft"', f'spacing = "{spacing:.6f} ft"'), ('"20 psf"', f'"{p:.6f} psf"'),
            ('"4x4"', f'"{size}"\nstayed = {stayed}'),
        )).status  # fmt: skip

    if status() is Status.NOT_OK:
        assert status(p=p * more) is Status.NOT_OK
        assert status(spacing=spacing * min(more, 1.05)) is Status.NOT_OK
        assert status(stayed=max(0, stayed - 1)) is Status.NOT_OK
    else:
        assert status(p=p / more) is Status.OK


def test_the_path_tells_every_part_at_its_worst():
    whole = case()
    found = {part.note: part for part in path(whole)}
    assert set(found) == {
        "brace_compression", "brace_tension", "brace_ends", "brace_anchor",
        "top_wale_bending", "top_wale_shear",
    }  # fmt: skip
    assert max(part.ratio for part in found.values()) == bracing(whole).ratio
    assert {part.facts["source"] for part in found.values()} == {"work"}  # 80 plf of wind is less
    windy = {part.note: part for part in path(case(('"20 psf"', '"60 psf"')))}
    assert windy["brace_ends"].facts["source"] == "wind"
    for wood in ("brace_tension", "top_wale_bending", "top_wale_shear"):  # CD 1.6 for 1.0
        assert windy[wood].capacity == pytest.approx(1.6 * found[wood].capacity)
    slender = case(('"4x4"', '"2x4"'), ('"6 ft"', '"9 ft"'))
    for told in (bracing(slender), {p.note: p for p in path(slender)}["brace_slender"]):
        assert told.facts["source"] == "work"  # neither is carried: the harder push is told
    assert path(case(text=SMALL)) == []
    assert path(case(('attached = "8 ft"', 'attached = "9 ft"'))) == []  # above the form


def test_the_wind_to_stop_at_is_told_where_it_is_known():
    weak = ("1500 lb", "100 lb"), ("1500 lb", "100 lb")
    assert bracing(case(*weak)).facts["stop_speed"].term == "wind_speed"
    tall = bracing(case(('height = "8 ft"', 'height = "16 ft"'), *weak))
    assert "stop_wind" in tall.facts
    assert "stop_speed" not in tall.facts  # its factors hold up to 15 ft
    wale = BRACES[BRACES.index("top_wale =") : BRACES.index("top_wale_on")]
    bare = bracing(case((wale, ""), *weak))
    assert bare.status is Status.NOT_OK
    assert "stop_wind" not in bare.facts  # a wale that is not told may stop it sooner
