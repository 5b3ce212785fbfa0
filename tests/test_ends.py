"""Checks of ends and odd places, against closed forms worked by hand and against statics."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import SMALL

from formpressure import read_plan
from formpressure.capacity.ratings import rating
from formpressure.case import set_up
from formpressure.checks.ends import ANCHORS, CHECKS, anchor_capacity
from formpressure.errors import Refusal
from formpressure.records import Label, Status
from formpressure.report.words import note

STEADY = settings(deadline=None, derandomize=True, max_examples=60)

# What a wall of 8 ft, 10 in thick, ties at 1, 3, 5, 7 ft, filled straight up with 150 pcf, puts on
# each part; each worked by hand. 1,200 psf at the foot, 900 psf at 2 ft.
TEN = '[delivery]\nthickness = "10 in"\n[form]\n'
CORNERS = (
    'corners = { first_tie = "18 in", load = "LOAD", basis = "working load at 2:1", '
    'spacing = "2 ft", data_sheet = "sheet C" }\n'
)
STOP = (
    'bulkheads = { heights = ["1 ft", "3 ft", "5 ft", "7 ft"], load = "LOAD", '
    'basis = "working load at 2:1", data_sheet = "sheet B" }\n'
)
JOINTS = (
    'joint_connectors = { load = "LOAD", basis = "working load at 2:1", spacing = "2 ft", '
    'data_sheet = "sheet J" }\n'
)
BUCK = (
    'openings = { sill = "3 ft", head = "6 ft", width = "4 ft", hold_down = "HOLD", '
    'strut = "STRUT", struts = ["3 ft 6 in", "5 ft 6 in"], basis = "working load at 2:1" }\n'
)
SLOPE = 'batter_and_ledges = { SHAPE, hold_down = "LOAD", basis = "working load at 2:1" }\n'
BASE = 'base = { hold = "LOAD", basis = "working load at 2:1" }\n'
NO_CORNERS, NO_STOPS = 'corners = "none"\n', 'bulkheads = "none"\n'


def other(text):
    """A part that is there but not what is asked about, so strong that it never governs."""
    return text.replace("LOAD", "200000 lb")


HAND = {
    # (1.5 + 0.8333)/2 ft x (1200 + 900)/2 psf x 2 ft
    "corner": ("corners", CORNERS, 2450.0),
    # 0.8333/2 ft x 2100 plf
    "joint at a stop": ("joint connectors", JOINTS + NO_CORNERS + other(STOP), 875.0),
    "joint at a corner": ("joint connectors", JOINTS + other(CORNERS) + NO_STOPS, 2450.0),
    "joint at both": ("joint connectors", JOINTS + other(CORNERS) + other(STOP), 2450.0),
    # hinged, as for a tie line: 150 (72 - 49.5 + 9)/2 plf x 0.8333 ft
    "stop": ("bulkheads", STOP, 1968.75),
    # 150 pcf x 3 ft x 4 ft x 0.8333 ft
    "uplift under a buck": (
        "openings", BUCK.replace("HOLD", "LOAD").replace("STRUT", "9000 lb"), 1500.0,
    ),
    # hinged: 150 int(0..2.5) (2.5 + x) x/2 dx = 75 (2.5^3/2 + 2.5^3/3) plf x 0.8333 ft
    "strut": (
        "openings", BUCK.replace("HOLD", "9000 lb").replace("STRUT", "LOAD"),
        75.0 * (2.5**3 / 2 + 2.5**3 / 3) * 10 / 12,
    ),
    # 0.5 x 150 x 8^2 x (16 in / 8 ft)
    "batter": ("batter and ledges", SLOPE.replace("SHAPE", 'run = "16 in"'), 800.0),
    # 150 pcf x 5 ft x 2 ft
    "ledge": (
        "batter and ledges",
        SLOPE.replace("SHAPE", 'ledge = "2 ft", ledge_height = "3 ft"'), 1500.0,
    ),
    "batter and ledge at the footing": (
        "batter and ledges", SLOPE.replace("SHAPE", 'run = "16 in", ledge = "2 ft"'), 3200.0,
    ),
    # 150 pcf x 7.75 ft x 0.5 ft
    "foot": ("base", BASE, 581.25),
}  # fmt: skip
JOINT = """
units = "US"
wall = { height = "10 ft", placed_from = "2 ft", hardened = "3 days" }
[ties]
load = "5000 lb"
basis = "breaking load"
heights = ["1 ft", "4 ft", "7 ft"]
spacing = "2 ft"
[form.placement_joint]
load = "LOAD"
basis = "BASIS"
spacing = "4 ft"
"""  # 150 pcf x 7.5 ft x 1 ft x 4 ft = 4,500 lb on each anchor


def plan(form, load="", head=SMALL):
    return head + TEN + form.replace("LOAD", load)


def ask(name, text, p_max=None):
    case = set_up(read_plan(text, file="wall.toml"))
    envelope = case.liquid_head()
    if p_max is not None:
        envelope = replace(envelope, own_p_max=p_max)
    found = CHECKS[name](case, envelope)
    assert found.name == name
    assert "{" not in note(found)  # every sentence is there and can be filled
    assert "None" not in note(found)
    assert found.key or found.status is not Status.NOT_CHECKED
    return found


def unit(name):
    return "plf" if name in ("base", "batter and ledges") else "lb"


@pytest.mark.parametrize("part", HAND)
def test_hand_worked_demand_passes_fails_and_tells_its_part(part):
    name, form, demand = HAND[part]
    enough = ask(name, plan(form, load=f"{demand:.6f} {unit(name)}"))
    assert enough.status is Status.OK
    assert enough.demand.bare == pytest.approx(demand, rel=1e-9)
    assert enough.ratio == pytest.approx(1.0)
    assert enough.demand.term == enough.capacity.term
    short = ask(name, plan(form, load=f"{demand * 0.999:.6f} {unit(name)}"))
    assert short.status is Status.NOT_OK
    assert short.note == enough.note  # the same part governs, and says which
    text = note(short)
    assert " / " in text
    assert "{" not in text


@pytest.mark.parametrize("part", HAND)
def test_a_rating_is_brought_to_a_factor_of_two(part):
    name, form, demand = HAND[part]
    stated = f"{2.0 * demand * 1.001:.6f} {unit(name)}"
    half = form.replace("working load at 2:1", "breaking load")
    assert ask(name, plan(half, load=stated)).status is Status.OK
    assert ask(name, plan(form, load=stated)).ratio == pytest.approx(0.4995, abs=1e-4)
    low = form.replace("at 2:1", "at 1.5:1")
    assert ask(name, plan(low, load=stated)).capacity.bare == pytest.approx(1.5 * demand * 1.001)


@pytest.mark.parametrize("part", HAND)
def test_a_basis_that_tells_no_factor_is_refused_with_its_key(part):
    name, form, demand = HAND[part]
    vague = plan(
        form.replace("working load at 2:1", "as on the box"), load=f"{demand} {unit(name)}"
    )
    with pytest.raises(Refusal) as refusal:
        ask(name, vague)
    assert refusal.value.file == "wall.toml"
    assert refusal.value.key == f"form.{name.replace(' ', '_')}.basis"


@pytest.mark.parametrize("part", ["corner", "joint at both", "stop"])
def test_a_rating_without_its_sheet_stays_open_after_it_passed(part):
    name, form, _ = HAND[part]
    sheetless = form.replace(f', data_sheet = "sheet {name[0].upper()}"', "")
    found = ask(name, plan(sheetless, load="9000 lb"))
    assert found.status is Status.NOT_CHECKED
    assert found.note == "no_sheet"
    assert found.key == f"form.{name.replace(' ', '_')}.data_sheet"
    assert found.ratio < 1.0
    assert ask(name, plan(sheetless, load="50 lb")).status is Status.NOT_OK


@pytest.mark.parametrize("part", ["corner", "joint at a stop", "stop", "strut"])
def test_without_the_thickness_it_stays_open(part):
    name, form, _ = HAND[part]
    found = ask(name, plan(form, load="9000 lb").replace('thickness = "10 in"', ""))
    assert found.status is Status.NOT_CHECKED
    assert found.key == "delivery.thickness"


KEYS = {
    "corners": "form.corners", "bulkheads": "form.bulkheads", "openings": "form.openings",
    "batter and ledges": "form.batter_and_ledges", "base": "form.base",
    "joint connectors": "form.joint_connectors",
}  # fmt: skip


@pytest.mark.parametrize("name", KEYS)
def test_blank_is_open_none_does_not_apply_and_others_may_check(name):
    blank = ask(name, SMALL)
    assert blank.status is Status.NOT_CHECKED
    assert blank.key == KEYS[name]
    if name != "base":  # every form has a foot
        ends = 'corners = "none"\nbulkheads = "none"\n' if name == "joint connectors" else ""
        none = ask(name, f'{SMALL}[form]\n{name.replace(" ", "_")} = "none"\n{ends}')
        assert none.status is Status.DOES_NOT_APPLY
    by = f'[[by_others]]\nchecks = ["{name}"]\nwho = "A"\ndocument = "B"\ndate = 2026-03-01\n'
    assert ask(name, SMALL + by).status is Status.BY_OTHERS


def test_no_connectors_where_an_end_pulls_stays_open():
    found = ask("joint connectors", f'{SMALL}[form]\njoint_connectors = "none"\n')
    assert (found.status, found.note) == (Status.NOT_CHECKED, "joint_none")


def test_joints_need_to_know_both_ends():
    strong = JOINTS.replace("LOAD", "9000 lb")
    assert ask("joint connectors", plan(strong + NO_STOPS)).key == "form.corners"
    assert ask("joint connectors", plan(strong + NO_CORNERS)).key == "form.bulkheads"
    neither = ask("joint connectors", plan(JOINTS.replace("LOAD", "10 lb") + NO_CORNERS + NO_STOPS))
    assert neither.status is Status.OK
    assert neither.note == "no_end_pull"


def test_ends_checked_by_others_still_pull_on_the_joints():
    joints = JOINTS.replace("LOAD", "900 lb")
    by = '[[by_others]]\nchecks = ["{}"]\nwho = "A"\ndocument = "B"\ndate = 2026-03-01\n'
    stop = ask("joint connectors", plan(joints + NO_CORNERS) + by.format("bulkheads"))
    assert stop.demand.bare == pytest.approx(875.0)
    corner = ask("joint connectors", plan(joints + NO_STOPS) + by.format("corners"))
    assert corner.status is Status.NOT_CHECKED
    assert corner.key == "by_others"


def test_holds_and_struts_outside_the_placement_do_not_pass():
    raised = SMALL.replace('"8 ft"', '"8 ft"\nplaced_from = "4 ft"\nhardened = "3 days"')
    low_holds = STOP.replace('"1 ft", "3 ft", "5 ft", "7 ft"', '"1 ft", "3 ft"')
    found = ask("bulkheads", plan(low_holds, load="200000 lb", head=raised))
    assert found.status is Status.NOT_CHECKED
    assert found.key == "form.bulkheads.heights"
    buck = BUCK.replace("HOLD", "200000 lb").replace("STRUT", "200000 lb")
    no_strut = buck.replace('"3 ft 6 in", "5 ft 6 in"', '"2 ft", "7 ft"')
    assert ask("openings", plan(no_strut)).key == "form.openings.struts"
    above = SMALL.replace('"8 ft"', '"9 ft"\nplaced_from = "6 ft"\nhardened = "3 days"')
    assert ask("openings", plan(buck, head=above)).key == "form.openings.sill"
    upside_down = buck.replace('head = "6 ft"', 'head = "2 ft"')
    assert ask("openings", plan(upside_down)).key == "form.openings.head"


def test_a_door_tells_nothing_of_windows_and_a_high_buck_has_no_concrete_around_it():
    weak = BUCK.replace("HOLD", "10 lb").replace("STRUT", "9000 lb")
    door = ask("openings", plan(weak.replace('sill = "3 ft"', 'sill = "0 ft"')))
    assert (door.status, door.note) == (Status.NOT_CHECKED, "door_only")
    high = weak.replace('sill = "3 ft", head = "6 ft"', 'sill = "9 ft", head = "12 ft"')
    high = high.replace('width = "4 ft"', 'width = "4 ft", uneven = "2 ft"')
    assert ask("openings", plan(high)).demand.bare == 0.0


def test_one_side_of_a_buck_filled_higher_needs_a_hold_along_the_wall():
    """Statics: 150 pcf x 2 ft x 10 in of wall x 3 ft of buck = 750 lb."""
    strong = BUCK.replace("HOLD", "90000 lb").replace("STRUT", "90000 lb")
    uneven = strong.replace('width = "4 ft"', 'width = "4 ft", uneven = "2 ft"')
    free = ask("openings", plan(uneven))
    assert (free.status, free.note) == (Status.NOT_OK, "uneven_push")
    assert free.demand.bare == pytest.approx(750)
    for hold, status in (("740 lb", Status.NOT_OK), ("760 lb", Status.OK)):
        held = uneven.replace('uneven = "2 ft"', f'uneven = "2 ft", side_hold = "{hold}"')
        assert ask("openings", plan(held)).status is status


def test_a_slope_table_that_states_no_slope_is_open():
    bare = SLOPE.replace("SHAPE, ", "")
    assert ask("batter and ledges", plan(bare, load="9000 plf")).key == "form.batter_and_ledges.run"


def test_a_batter_goes_on_as_steep_where_the_form_is_filled_higher():
    taller = SMALL.replace('"8 ft"', '"8 ft"\nform_height = "10 ft"')
    batter = SLOPE.replace("SHAPE", 'run = "16 in"')
    found = ask("batter and ledges", plan(batter, load="10 plf", head=taller))
    assert found.demand.bare == pytest.approx(0.5 * 150 * 10**2 / 6)


def test_a_hold_of_nothing_fails_without_a_crash():
    assert ask("base", plan(BASE, load="0 plf")).status is Status.NOT_OK


def test_a_ledge_in_hardened_concrete_lifts_nothing():
    raised = SMALL.replace('"8 ft"', '"8 ft"\nplaced_from = "4 ft"\nhardened = "3 days"')
    ledge = SLOPE.replace("SHAPE", 'ledge = "2 ft", ledge_height = "3 ft"')
    assert ask("batter and ledges", plan(ledge, load="1 plf", head=raised)).demand.bare == 0.0
    unstated = ledge.replace(', ledge_height = "3 ft"', "")  # at the foot of this placement
    found = ask("batter and ledges", plan(unstated, load="1 plf", head=raised))
    assert found.demand.bare == pytest.approx(150 * 4 * 2)


@pytest.mark.parametrize(
    ("basis", "live", "capacity"),
    [
        ("breaking load", "live_load = false", 3000.0),
        ("breaking load", "live_load = true", 2000.0),
        ("breaking load", "", 2000.0),  # blank: live load may reach them
        ("working load at 2:1", "live_load = false", 6000.0),
        ("working load at 2:1", "", 4000.0),
        ("working load at 1.5:1", "live_load = false", 4500.0),
        ("working load at 3:1", "", 6000.0),
        ("working load at 4:1", "", 6000.0),  # never more than was stated
    ],
)
def test_anchors_at_a_joint(basis, live, capacity):
    text = JOINT.replace("BASIS", basis).replace("LOAD", "6000 lb") + live
    found = ask("placement joint", text)
    assert found.demand.bare == pytest.approx(4500.0)
    assert found.capacity.bare == pytest.approx(capacity)
    assert found.status is (Status.OK if capacity >= 4500.0 else Status.NOT_OK)
    assert found.clause.label is Label.QUOTED
    assert ("3.0" in found.clause.says) is (live != "live_load = false")
    assert note(found).startswith("kick-out on one anchor")


def test_a_joint_is_open_while_its_anchors_are_blank_and_none_on_a_footing():
    joint = JOINT[: JOINT.index("[form")]
    assert ask("placement joint", joint).key == "form.placement_joint"
    assert ask("placement joint", SMALL).status is Status.DOES_NOT_APPLY
    anchors = JOINT.replace("BASIS", "breaking load").replace("LOAD", "10 lb")
    footing = anchors.replace(', placed_from = "2 ft", hardened = "3 days"', "")
    assert ask("placement joint", footing).status is Status.DOES_NOT_APPLY
    by = '[[by_others]]\nchecks = ["placement joint"]\nwho = "A"\ndocument = "B"\n'
    others = ask("placement joint", joint + by + "date = 2026-03-01\n")
    assert others.status is Status.BY_OTHERS


@given(st.floats(10.0, 1e5), st.floats(1.0, 10.0))
def test_an_anchor_is_never_allowed_more_than_stated(stated, factor):
    working = rating(stated, f"working load at {factor:.2f}:1")
    two, three = (anchor_capacity(working, needed) for needed in ANCHORS)
    assert three <= two == pytest.approx(working.usable)
    assert two <= stated


# More of anything never helps.


@STEADY
@given(st.sampled_from(sorted(HAND)), st.floats(0.0, 1200.0), st.floats(0.0, 1200.0))
def test_more_pressure_is_never_better(part, one, two):
    name, form, demand = HAND[part]
    text = plan(form, load=f"{demand * 0.6:.3f} {unit(name)}")
    less, more = (ask(name, text, p) for p in sorted((one, two)))
    assert more.ratio >= less.ratio * (1.0 - 1e-9)
    assert (less.status, more.status) != (Status.NOT_OK, Status.OK)


@STEADY
@given(
    st.sampled_from(["corner", "joint at a stop", "joint at both", "stop", "strut"]),
    st.floats(4.0, 40.0), st.floats(4.0, 40.0), st.floats(100.0, 1200.0),
)  # fmt: skip
def test_a_thicker_wall_is_never_better(part, one, two, p_max):
    name, form, _ = HAND[part]
    text = plan(form, load="2000 lb")
    thin, thick = (
        ask(name, text.replace('"10 in"', f'"{t} in"'), p_max) for t in sorted((one, two))
    )
    assert thick.ratio >= thin.ratio * (1.0 - 1e-9)


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("corner", 'first_tie = "18 in"', 'first_tie = "24 in"'),
        ("corner", 'spacing = "2 ft", data', 'spacing = "3 ft", data'),
        ("joint at a stop", 'spacing = "2 ft", data', 'spacing = "3 ft", data'),
        ("stop", '["1 ft", "3 ft", "5 ft", "7 ft"], load', '["1 ft", "5 ft", "7 ft"], load'),
        ("uplift under a buck", 'width = "4 ft"', 'width = "5 ft"'),
        ("uplift under a buck", 'head = "6 ft"', 'head = "7 ft"'),
        ("strut", '"3 ft 6 in", "5 ft 6 in"', '"5 ft 6 in"'),
        ("strut", 'sill = "3 ft"', 'sill = "2 ft"'),
        ("batter", 'run = "16 in"', 'run = "18 in"'),
        ("ledge", 'ledge = "2 ft"', 'ledge = "3 ft"'),
        ("ledge", 'ledge_height = "3 ft"', 'ledge_height = "2 ft"'),
        ("foot", '"1 ft", "3 ft", "5 ft", "7 ft"]\nspacing', '"2 ft", "5 ft", "7 ft"]\nspacing'),
    ],
)
def test_wider_farther_and_fewer_is_worse(part, old, new):
    name, form, demand = HAND[part]
    text = plan(form, load=f"{demand:.6f} {unit(name)}")
    assert old in text
    worse = ask(name, text.replace(old, new))
    assert worse.status is Status.NOT_OK
    assert worse.ratio > ask(name, text).ratio


@pytest.mark.parametrize("part", HAND)
def test_si_equals_us(part):
    """The same plan, heavier by a stated unit weight, judged in the other unit system."""
    name, form, demand = HAND[part]
    text = plan(form, load=f"{demand:.3f} {unit(name)}") + '[concrete]\nunit_weight = "160 pcf"\n'
    us, si = (ask(name, text.replace('units = "US"', f'units = "{s}"')) for s in ("US", "SI"))
    assert (us.demand.system, si.demand.system) == ("US", "SI")
    assert si.ratio == pytest.approx(us.ratio, rel=1e-9)
    assert si.ratio == pytest.approx(160 / 150, rel=1e-5)


def test_si_anchors_equal_us():
    text = JOINT.replace("BASIS", "breaking load").replace("LOAD", "6000 lb")
    text += '[concrete]\nunit_weight = "150 pcf"\n'
    us, si = (
        ask("placement joint", text.replace('units = "US"', f'units = "{s}"')).ratio
        for s in ("US", "SI")
    )
    assert si == pytest.approx(us, rel=1e-9)
