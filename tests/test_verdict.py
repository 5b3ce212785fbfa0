"""The verdict on plans whose answers follow from the documents and from statics."""

import re
from pathlib import Path

import numpy as np
import pytest
from plans import CONCRETE, SMALL, complete

from formpressure import RULES, check, read_plan
from formpressure.records import CHECKS, NEVER_BY_OTHERS, Amount, Status
from formpressure.report.words import against

RATE = '[delivery]\nfastest_rise = "{}"\nlength = "160 ft"\nthickness = "8 in"\n'


def verdict(text):
    return check(read_plan(text))


def test_full_head_on_eight_feet():
    """Statics: tributary 150 x 7 ft x 2 ft; hinged 150 (72 - 49.5 + 9)/2, per foot of width."""
    v = verdict(SMALL)
    assert v.ties_full.tributary[0] / 2 == pytest.approx(2100)
    assert v.ties_full.hinged[0] / 2 == pytest.approx(2362.5)
    assert v.ties_full.load[0] == pytest.approx(4725)
    assert v.word == "NO-GO"  # nothing of the concrete is known, so full head is all there is
    assert not v.straight_up


def test_smallest_plan_of_two_tables_answers_straight_up():
    assert verdict(SMALL.replace("3000 lb", "4725 lb")).straight_up
    assert not verdict(SMALL.replace("3000 lb", "4724 lb")).straight_up


def test_rating_at_one_and_a_half_counts_three_quarters():
    v = verdict(SMALL.replace("at 2:1", "at 1.5:1") + CONCRETE)
    assert v.case.tie.usable == 2250
    assert v.allowed.kind == "none"
    assert v["ties"].status is Status.NOT_OK
    assert verdict(SMALL.replace("at 2:1", "at 3:1")).case.tie.usable == 3000
    assert verdict(SMALL.replace("working load at 2:1", "breaking load")).case.tie.usable == 1500


def test_five_hundred_sixty_two_psf_is_no_rate_on_an_eight_foot_wall():
    """2,250 lb over 4 sq ft is 562 psf by tributary area alone, under the 600 psf minimum."""
    allowed = RULES["aci347r_2014"].allowed(
        "562 psf", height="8 ft", unit_weight="150 pcf", temperature="90 F", slump="4 in",
        cement="I", retarder=False, fly_ash="0 %", slag="0 %", element="wall",
        vibration="internal", vibration_depth="3 ft",
    )  # fmt: skip
    assert allowed.kind == "none"


def test_panels_good_for_700_psf_over_14_ft_at_70_f_have_no_rate():
    rows = '"7 ft", "9 ft", "11 ft", "13 ft"'
    text = complete("9000 lb", rows=('"7 ft"', rows)).replace('"8 ft"', '"15 ft"')
    text = text.replace("60 F", "70 F")
    v = verdict(text.replace("1300 psf", "700 psf"))
    assert v.allowed.kind == "none"
    v = verdict(text.replace("1300 psf", "770 psf"))  # 150 + 43400/70 at R = 0
    assert v.allowed.kind == "none"
    v = verdict(text.replace("1300 psf", "810 psf"))
    assert v.allowed.rate == pytest.approx(1.0)


@pytest.mark.parametrize(
    "change",
    [
        ('slump = "5 in"', 'slump = "7.5 in"'),
        ('kind = "internal"', 'kind = "hammering"'),
        ('vibration = { kind = "internal", depth = "3 ft" }', ""),
        ('depth = "3 ft"', 'depth = "5 ft"'),
        ('slump = "5 in"', 'slump = "5 in"\nself_consolidating = true'),
        ('slump = "5 in"', ""),
        ('temperature = "60 F"', ""),
    ],
)
def test_wet_shaken_or_unknown_is_full_liquid_head(change):
    v = verdict((SMALL + CONCRETE + RATE.format("2 ft/h")).replace(*change))
    assert v.envelope.p_max == pytest.approx(1200)
    assert v["ties"].status is Status.NOT_OK
    assert v.allowed.kind == "none"


def test_pumped_from_the_base_is_a_quarter_more():
    v = verdict(complete(method="pump from base"))
    assert v.full.p_max == pytest.approx(1500)
    assert v.ties_full.load[0] == pytest.approx(1.25 * 4725)


def test_plan_sides_decide_wall_or_column():
    sides = '[delivery]\nlength = "{}"\nthickness = "12 in"\n'
    base = SMALL.replace('"8 ft"', '"8 ft"\nshort_pieces = false') + CONCRETE
    assert verdict(base + sides.format("6 ft 6 in")).case.given["element"] == "column"
    assert verdict(base + sides.format("6 ft 7 in")).case.given["element"] == "wall"
    assert verdict(base).case.given["element"] == "larger"


def test_over_7_ft_an_hour_wall_and_column_differ():
    rule, common = RULES["aci347r_2014"], {
        "height": "12 ft", "unit_weight": "150 pcf", "rate": "10 ft/h", "temperature": "70 F",
        "slump": "5 in", "cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "0 %",
        "vibration": "internal", "vibration_depth": "3 ft",
    }  # fmt: skip
    wall, column, larger = (rule(element=e, **common).p_max for e in ("wall", "column", "larger"))
    assert wall == pytest.approx(1170)
    assert column == pytest.approx(150 + 9000 * 10 / 70)
    assert larger == column


def test_the_steps_of_the_document():
    """14'-0" and 14'-1", R = 15.0 and 15.1 differ; a 3 ft placement is 450 psf, not 600."""
    rule, common = RULES["aci347r_2014"], {
        "unit_weight": "150 pcf", "temperature": "70 F", "slump": "5 in", "cement": "I",
        "retarder": False, "fly_ash": "0 %", "slag": "0 %", "vibration": "internal",
        "vibration_depth": "3 ft", "element": "wall",
    }  # fmt: skip
    assert rule(height="14 ft", rate="4 ft/h", **common).p_max == pytest.approx(664.2857)
    assert rule(height="14'-1\"", rate="4 ft/h", **common).p_max == pytest.approx(930)
    assert rule(height="20 ft", rate="15 ft/h", **common).p_max == pytest.approx(1370)
    assert rule(height="20 ft", rate="15.1 ft/h", **common).p_max == pytest.approx(3000)
    assert rule(height="3 ft", rate="4 ft/h", **common).p_max == pytest.approx(450)
    cool = common | {"temperature": "60 F"}
    assert rule(height="8'-6\"", rate="4 ft/h", **cool).p_max == pytest.approx(750)


def test_complete_plan_is_go_and_each_blank_takes_it_away():
    assert verdict(complete()).word == "GO"
    lines = [
        'faces = "tied through"', 'corners = "none"', 'bulkheads = "none"', 'openings = "none"',
        'batter_and_ledges = "none"', 'brackets = "none"', 'data_sheet = "sheet T"',
        'method = "chute"', ', data_sheet = "sheet P"', '"bracing", ', '"base", ', '"overhangs", ',
        '"joint connectors", ', '"tie bearing", ', ', "stages"',
        'panels = { pressure = "1300 psf", basis = "working pressure at 2:1", '
        'data_sheet = "sheet P" }',
        'cement = "I", ', 'kind = "internal", ',
    ]  # fmt: skip
    for line in lines:
        v = verdict(complete(gone=(line, "")))
        assert v.word == "NOT CHECKED", line
        assert v.open
        assert all(c.key for c in v.open)


@pytest.mark.parametrize("faces", ["one-sided", "hung"])
def test_one_sided_and_hung_forms_are_no_go(faces):
    v = verdict(complete(faces=("tied through", faces)))
    assert v.word == "NO-GO"
    assert v["faces tied through"].status is Status.NOT_OK


def test_expansive_cement_is_not_covered():
    assert verdict(complete(cement=('cement = "I"', 'cement = "Type K"'))).word == "NO-GO"


def test_one_more_placement_joint_is_open():
    v = verdict(complete(start=('"8 ft"', '"8 ft"\nplaced_from = "2 ft"\nhardened = "3 days"')))
    assert v["placement joint"].status is Status.NOT_CHECKED
    assert v.full.p_max == pytest.approx(900)
    assert v.ties.load[0] == 0  # the row in the hardened concrete
    assert v.word == "NOT CHECKED"


def test_a_taller_form_counts_unless_overfilling_is_prevented():
    taller = ('"8 ft"', '"8 ft"\nform_height = "9 ft"')
    prevented = ('"8 ft"', '"8 ft"\nform_height = "9 ft"\noverfilling_prevented = true')
    assert verdict(complete(t=taller)).full.p_max == pytest.approx(1350)
    assert verdict(complete(t=prevented)).full.p_max == pytest.approx(1200)


def test_cold_concrete_is_refused_by_the_rule_but_full_head_may_pass():
    cold = ("60 F", "38 F")
    assert verdict(complete(t=cold)).word == "GO"
    v = verdict(complete("3000 lb", t=cold))
    assert v["pressure document"].status is Status.NOT_OK
    assert v.allowed.kind == "none"
    assert v.word == "NO-GO"


def test_a_stated_rate_is_judged():
    text = SMALL + 'data_sheet = "sheet"\n' + CONCRETE
    assert verdict(text + RATE.format("3 ft/h"))["ties"].status is Status.OK
    assert verdict(text + RATE.format("4 ft/h"))["ties"].status is Status.NOT_OK
    v = verdict(text)
    assert v["ties"].status is Status.NOT_CHECKED
    assert v["ties"].key == "delivery.fastest_rise"
    assert v.allowed.rate == pytest.approx((2000 / 3 - 150) * 60 / 9000)
    assert v.pace.rate == 3.0
    assert v.pace.minutes == 20


def test_what_a_stated_rate_would_close_is_named():
    """Full head fails the ties, some rate passes and none is stated: still open, as it was."""
    found = verdict(SMALL + CONCRETE)
    assert (found["ties"].note, found["ties"].key) == ("needs_a_rate", "delivery.fastest_rise")
    assert found["ties"].demand == Amount("load", pytest.approx(4725.0), "US")
    assert found["ties"].capacity == Amount("load", 3000.0, "US")
    assert found.limit.name == "ties"
    assert found.carriers == ("ties",)  # no rating of panels in this plan
    assert [c.name for c in found.fails_at_full] == ["ties"]
    assert (found["pressure document"].note, found["pressure document"].facts) == (
        "document_in_range", {"document": "ACI 347R-14"},
    )  # fmt: skip
    whole = verdict(complete())
    assert whole.carriers == ("ties", "panels")
    assert whole.fails_at_full == ()
    assert (whole.free, whole.straight_up, whole.doubtful) == (True, True, False)


def test_outside_the_range_the_document_says_of_what_and_by_which_clause():
    cold = ("60 F", "38 F")
    found = verdict(complete("3000 lb", t=cold))["pressure document"]
    assert (found.note, found.key) == ("document_out_of_range", "concrete.temperature")
    assert found.facts == {
        "document": "ACI 347R-14", "input": "temperature",
        "problem": "outside 40 to 100 F, the range of ACI 347R-14",
    }  # fmt: skip
    assert (found.clause.document, found.clause.place) == ("formpressure", "own limit")
    passes = verdict(complete(t=cold))["pressure document"]
    assert (passes.status, passes.note) == (Status.OK, "document_not_needed")
    assert passes.facts == {"document": "ACI 347R-14"}


def test_uneven_joints_take_the_widest_line():
    uneven = ('spacing = "2 ft"', 'joints = ["0 ft", "2 ft", "3 ft", "7 ft"]')
    assert verdict(complete(j=uneven)).case.rows.width == 4.0


def test_every_check_is_there_in_order_and_by_others_never_covers_pressure():
    v = verdict(SMALL)
    assert tuple(c.name for c in v.checks) == CHECKS
    assert set(NEVER_BY_OTHERS) < set(CHECKS)


def test_wide_gap_governs_before_the_top_is_reached():
    """Ties at 1 and 7 ft in 8 ft: by tributary the lower carries more with the surface at 7 ft.

    Statics: 150 x 7^2 / 2 = 3,675 below 7 ft; at the top 150 x (8 x 4 - 8) = 3,600.
    """
    v = verdict(SMALL.replace('"1 ft", "3 ft", "5 ft", "7 ft"', '"1 ft", "7 ft"'))
    assert v.ties_full.tributary[0] / 2 == pytest.approx(3675)


def test_scalars_and_arrays_agree():
    from formpressure import Q

    rng = np.random.default_rng(1)
    height, rate = rng.uniform(2, 25, 400), rng.uniform(0.1, 20, 400)
    warm = rng.uniform(40, 100, 400)
    rule = RULES["aci347r_2014"]
    common = {
        "unit_weight": "145 pcf", "slump": "5 in", "cement": "IL", "retarder": True,
        "fly_ash": "0 %", "slag": "0 %", "vibration": "internal", "vibration_depth": "3 ft",
        "element": "wall",
    }  # fmt: skip
    together = rule(
        height=Q(height, "ft"), rate=Q(rate, "ft/h"), temperature=Q(warm, "degF"), **common
    )
    for i in range(400):
        one = rule(
            height=Q(height[i], "ft"), rate=Q(rate[i], "ft/h"), temperature=Q(warm[i], "degF"),
            **common,
        )  # fmt: skip
        assert one.p_max == pytest.approx(together.p_max[i], rel=1e-12)
        assert one.branch == together.branch[i]


def test_a_pass_never_reads_like_a_fail():
    """1,331 of 1,339 lb: rounded apart it would read 1,340 of 1,330."""
    demand, capacity = Amount("load", 1331.2, "US"), Amount("load", 1338.9, "US")
    assert against(demand, capacity, True) == ("1,331 lb", "1,339 lb")
    assert against(demand, capacity, False) == ("1,340 lb", "1,330 lb")
    assert against(Amount("load", 1001.0, "US"), capacity, True) == ("1,010 lb", "1,330 lb")


def test_the_ties_must_say_what_breaks_and_by_which_sheet():
    of = 'basis = "working load at 2:1"', 'basis = "breaking load"'
    found = verdict(complete("10000 lb", basis=of))["ties"]
    assert (found.status, found.key) == (Status.NOT_CHECKED, "ties.breaking_of")
    found = verdict(complete(sheet=('data_sheet = "sheet T"\n', "")))["ties"]
    assert (found.status, found.key) == (Status.NOT_CHECKED, "ties.data_sheet")


@pytest.mark.parametrize(
    ("drop", "status", "note"),
    [
        ("", Status.NOT_CHECKED, "blank"),
        ('drop = "6 ft"\n', Status.OK, "from_above"),
        ('drop = "6 ft 6 in"\n', Status.NOT_CHECKED, "impact"),
    ],
)
def test_a_bucket_from_high_up_adds_impact(drop, status, note):
    plan = complete(d=('method = "bucket"\n', f'method = "bucket"\n{drop}'), method="bucket")
    found = verdict(plan)["placing method"]
    assert (found.status, found.note) == (status, note)


def test_a_document_without_surge_leaves_pumping_from_the_base_open():
    demo = Path(__file__).resolve().parents[1] / "shared/plans/ciria_form_6m_pour_3m.toml"
    text = re.sub(r"method = .*", 'method = "pump from base"', demo.read_text("utf-8"))
    found = verdict(text)["placing method"]
    assert (found.status, found.note) == (Status.NOT_CHECKED, "from_base_bare")
