"""Layouts: closers, shortage, steps, pilasters, openings, ties; and what is refused."""

import dataclasses
import random
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from layouts import CLOSED, NORTH, SIDES, changed, straight
from plans import refusal_of

from formpressure import Refusal, check, loading_list, read_plan
from formpressure.demand.ties import tie_loads, tie_rows
from formpressure.job.layout_solve import layout_of
from formpressure.job.tie_lines import rows_above
from formpressure.plan_file import what_if
from formpressure.report.text_layout import layout_text
from formpressure.tie_schedule import tie_schedule
from formpressure.wall_path import tape


def laid(text):
    return layout_of(read_plan(text))


def widths(layout, side, kind="run", face="outer"):
    found = (p for p in layout.panels() if (p.side, p.kind, p.face) == (side, kind, face))
    return [tape(p.width, layout.path.system) for p in found]


def test_a_12_in_wall_with_a_4_in_leg_is_closed_with_16_in_each_way():
    layout = laid(CLOSED)
    closers = [p for p in layout.panels() if p.kind == "closer"]
    assert [tape(p.width, "US") for p in closers] == ["1 ft 4 in"] * 8
    assert {p.face for p in closers} == {"outer"}
    assert [p.start for p in closers if p.side == "north"] == [0, Fraction(40) - Fraction(4, 3)]
    assert layout.supports(layout.path.sides[0])[0][:2] == (0, Fraction(4, 3))
    assert (layout.cuts, layout.proved) == (0, True)


def test_both_faces_match_and_fillers_stand_before_the_far_corner():
    layout = laid(CLOSED)
    for side in ("north", "east", "south", "west"):
        assert layout.joints(side, "outer") == layout.joints(side, "inner")
        run = side, "run", "outer"
        row = [p.width for p in layout.panels() if (p.side, p.kind, p.face) == run]
        assert row == sorted(row, reverse=True)
    assert widths(layout, "north") == ["2 ft"] * 18 + ["1 ft 4 in"]


def test_what_if_reads_the_layout_again():
    plan = read_plan(CLOSED)
    thinner = what_if(plan, "delivery.thickness", "8 in")
    assert layout_of(thinner).path.volume < layout_of(plan).path.volume
    assert thinner.delivery.runs[0].thickness.m_as("inch") == pytest.approx(8)
    assert len(what_if(plan, "delivery.method", "chute").delivery.runs) == 4
    for key, value in (("layout", None), ("ties.spacing", "2 ft")):
        with pytest.raises(Refusal, match=r"ties\.spacing"):
            what_if(plan, key, value)


def test_counts_for_the_loading_list():
    layout = laid(CLOSED)
    all_sides = Counter()
    for side in layout.path.sides:
        all_sides += Counter(layout.counts(side))
    corners = {"inside corner": 4, "outside corner": 4}
    for kind, count in corners.items():
        assert sum(n for (k, _, _), n in all_sides.items() if k == kind) == count
    stock = {(w, h): n for (k, w, h), n in all_sides.items() if k not in corners}
    assert stock == layout.used()
    north = layout.counts(layout.path.sides[0])
    assert north["panel", 2, 8] == 36
    assert north["filler", Fraction(4, 3), 8] == 4


def test_the_loading_list_takes_the_layout_and_its_ties():
    plan = read_plan(CLOSED)
    schedule = tie_schedule(check(plan))
    found = loading_list(plan)
    count = Counter()
    for item in found.items:
        count[item.name] += item.count
    assert count["tie"] == len(schedule.ties)
    assert count["panel"] + count["filler"] == schedule.layout.pieces
    assert {i.run for i in found.items} >= {"north", "east", "south", "west"}
    assert ("panel", "a layout of the panels") not in found.left_out


def stock_of(count, width=24):
    return f'{{ width = "{width} in", height = "8 ft", count = {count} }}'


def test_a_shortage_says_what_would_mend_it():
    with pytest.raises(Refusal) as refusal:
        laid(straight(stock=stock_of(20)))
    assert refusal.value.problem == "the stock is 4 pieces short"
    assert refusal.value.cure == "4 more of 2 ft x 8 ft would mend it"
    assert laid(straight(stock=stock_of(24))).cuts == 0
    cut = laid(straight(stock=stock_of(22)))  # what is left may be cut, and is told
    assert (cut.cuts, cut.filled[0].why) == (2, "cut_stock")
    assert [(k, line.width) for k, line in cut.mends] == [(2, 2)]


def test_a_piece_is_cut_only_where_the_stock_cannot_come_out():
    layout = laid(changed(("40 ft", "40 ft 3/16 in")))
    cuts = [p for p in layout.panels() if p.cut]
    assert {p.side for p in cuts} == {"north", "south"}
    assert len(cuts) == layout.cuts == 4  # both faces, opposite each other
    assert all((p.width * 192) % 16 == 3 and p.width * 12 >= 2 for p in cuts)
    assert {f.why for f in layout.filled if any(p.cut for p in f.pieces)} == {"cut_widths"}
    assert layout.mends == ()


def test_no_sum_of_pieces_is_said_with_the_place():
    text = straight(stock='{ width = "24 in", height = "7 ft", count = 90 }')
    with pytest.raises(Refusal) as refusal:
        laid(text)
    assert refusal.value.value == "a, run"
    assert "24 ft of form 8 ft high does not come out" in str(refusal.value)
    assert "wall.form_height" in refusal.value.cure


def test_courses_are_stacked_up_to_the_form_and_no_higher():
    stock = ('{ width = "24 in", height = "6 ft", count = 90 }, '
             '{ width = "24 in", height = "2 ft", count = 90 }')  # fmt: skip
    assert {tuple(p.courses) for f in laid(straight(stock=stock)).filled for p in f.pieces} == {
        (6, 2)
    }
    tall = '{ width = "24 in", height = "9 ft", count = 90 }'
    with pytest.raises(Refusal):
        laid(straight(stock=tall))
    layout = laid(straight(stock=tall, wall='form_height = "9 ft"'))
    assert {p.height for p in layout.panels()} == {9}


def test_a_step_cuts_the_panels_and_lifts_them():
    stock = ('{ width = "24 in", height = "8 ft", count = 90 }, '
             '{ width = "24 in", height = "6 ft", count = 90 }')  # fmt: skip
    plan = read_plan(straight(', steps = [{ at = "10 ft", bottom = "2 ft" }]', stock))
    layout = layout_of(plan)
    assert {(p.bottom, p.height) for p in layout.panels() if p.start < 10} == {(0, 8)}
    assert {(p.bottom, p.height) for p in layout.panels() if p.start >= 10} == {(2, 6)}
    assert layout.path.volume == 10 * 8 + 14 * 6
    runs = [
        (r.name, r.length.m_as("ft"), r.bottom and r.bottom.m_as("ft")) for r in plan.delivery.runs
    ]
    assert runs == [("a", 10, None), ("a, level 2", 14, 2)]
    schedule = tie_schedule(check(plan))
    rows = {t.row for t in schedule.ties if t.place > 10}
    assert min(rows) == pytest.approx(2 + 8 / 12)
    low = max(t.load for t in schedule.ties if t.place == 6)
    high = max(t.load for t in schedule.ties if t.place == 18)
    assert high < low


def test_no_tie_over_a_step_carries_more_than_its_row_at_the_deepest_footing():
    rng, rows_seen = random.Random(5), 0
    envelope = check(read_plan(CLOSED)).envelope
    for _ in range(40):
        heights = sorted(rng.uniform(0.3, 8.0) for _ in range(rng.randrange(2, 7)))
        deepest = tie_rows(tuple(heights), 0.0, 8.0, 2.0)
        above = rows_above(deepest, rng.uniform(0.5, 7.0))
        capped = dataclasses.replace(envelope, own_p_max=rng.uniform(100.0, 1200.0))
        low, high = tie_loads(deepest, capped).load, tie_loads(above, capped).load
        assert (high <= low * (1 + 1e-12)).all()
        rows_seen += (high > 0).sum()
    assert rows_seen > 40


def test_a_pilaster_has_its_own_pieces_and_no_ties_inside():
    stock = ", ".join(
        f'{{ width = "{w} in", height = "8 ft", count = 90 }}' for w in (24, 16, 8, 4)
    )
    side = ', pilasters = [{ at = "10 ft", width = "16 in", projection = "8 in" }]'
    layout = laid(straight(side, stock))
    assert widths(layout, "a", "pilaster front") == ["1 ft 4 in"]
    assert widths(layout, "a", "pilaster side") == ["4 in", "4 in"]
    assert widths(layout, "a", "pilaster back", "inner") == ["2 ft"]
    places = [line.place for line in layout.tie_lines(layout.path.sides[0])]
    edges = (10 - Fraction(1, 3), 10 + Fraction(5, 3))
    assert set(edges) <= set(places)
    assert not any(edges[0] < p < edges[1] for p in places)
    assert layout.path.volume == 24 * 8 + Fraction(4, 3) * Fraction(2, 3) * 8


def test_the_front_of_a_pilaster_pulls_on_its_corners():
    stock = ", ".join(f'{{ width = "{w} in", height = "8 ft", count = 90 }}' for w in (24, 4))
    side = ', pilasters = [{ at = "10 ft", width = "4 ft", projection = "8 in" }]'
    text = straight(side, stock) + '[form]\ncorners = { first_tie = "4 in", load = "9000 lb", '
    text += 'basis = "working load at 2:1", spacing = "1 ft", data_sheet = "s" }\n'
    wide = check(read_plan(text))["corners"]
    assert wide.note == "pilaster_pull"
    assert wide.demand.bare == pytest.approx(2.0 * (8 * 8 - 7 * 7) / 2 * 150)  # 2 ft x lowest foot
    narrow = check(read_plan(text.replace('width = "4 ft"', 'width = "8 in"')))["corners"]
    assert narrow.note == "corner_pull"


def test_an_opening_is_taken_out_and_its_ties_go_through_the_buck():
    side = ', openings = [{ at = "7 ft", width = "4 ft", sill = "3 ft", head = "6 ft" }]'
    plan = read_plan(straight(side))
    assert layout_of(plan).path.volume == 24 * 8 - 12
    assert plan.delivery.runs[0].openings[0].width.m_as("ft") == 4
    through = {(t.place, round(t.row, 3)) for t in tie_schedule(check(plan)).ties if t.opening}
    assert through == {(p, r) for p in (8, 10) for r in (4, 5.667)}


def test_trucks_fill_the_same_wall():
    trucks = (
        'truck = "8 yd"\ngap = "30 min"\ndischarge = "10 min"\nspread = "20 ft"\nlayer = "2 ft"'
    )
    side = ', openings = [{ at = "7 ft", width = "4 ft", sill = "3 ft", head = "6 ft" }]'
    text = changed(
        ('thickness = "12 in"', f'thickness = "12 in"\n{trucks}'),
        (NORTH, NORTH.replace(" }", f"{side} }}")),
    )
    plan = read_plan(text)
    case = check(plan).case
    assert case.filling.volume == pytest.approx(float(case.layout.path.volume), rel=1e-12)
    assert [run.name for run in case.filling.runs] == ["north", "east", "south", "west"]
    box = ', pilasters = [{ at = "20 ft", width = "16 in", projection = "8 in" }] }'
    boxed = changed((f"{side} }}", side + box), text=text)
    with pytest.raises(Refusal, match="does not know pilasters"):
        read_plan(boxed)


def test_loads_equal_those_of_the_same_joints_typed_by_hand():
    schedule = tie_schedule(check(read_plan(CLOSED)))
    typed = {}
    for side, far in (("north", 40), ("east", 20 + 10 / 12)):
        joints = [0.0, far, *(float(p) for p in schedule.layout.joints(side, "outer"))]
        listed = ", ".join(f'"{x * 12:.6f} in"' for x in sorted(joints))
        text = CLOSED[: CLOSED.index("[layout]")].replace(
            "[delivery]", f"joints = [{listed}]\n[delivery]"
        )
        verdict = check(read_plan(text))
        typed[side] = float(verdict.ties.load.max())
        mine = max(t.load for t in schedule.ties if t.side == side)
        assert mine == pytest.approx(typed[side], rel=1e-6)
    assert float(schedule.verdict.ties.load.max()) == pytest.approx(max(typed.values()), rel=1e-6)


def test_the_load_of_a_line_is_that_of_its_own_width():
    schedule = tie_schedule(check(read_plan(CLOSED)))
    heights, envelope = schedule.verdict.case.bare.ties.heights, schedule.verdict.envelope
    joints = [0, *schedule.layout.joints("east", "outer")]
    gap = [float(b - a) for a, b in pairwise(joints)]
    first = [t.load for t in schedule.ties if (t.side, t.place) == ("east", joints[1])]
    by_hand = tie_loads(tie_rows(heights, 0.0, 8.0, (gap[0] + gap[1]) / 2), envelope).load
    np.testing.assert_allclose(first, by_hand, rtol=1e-12)


def test_an_open_end_without_ties_hangs_past_its_last_line():
    free, tied = laid(straight()), laid(straight(more="end_ties = true"))
    assert free.joints("a", "outer")[0] == 0
    assert free.tie_lines(free.path.sides[0])[0].place == 2
    assert tied.tie_lines(tied.path.sides[0])[0].place == 0
    load = {k: check(read_plan(straight(more=k))).ties.load.max() for k in ("", "end_ties = true")}
    assert load[""] == pytest.approx(2 * load["end_ties = true"])


def test_a_metric_wall_is_as_exact():
    text = """
units = "SI"
[wall]
height = "2.4 m"
[ties]
load = "22 kN"
basis = "working load at 2:1"
heights = ["0.2 m", "0.8 m", "1.4 m", "2 m"]
[delivery]
thickness = "250 mm"
[layout]
leg = "100 mm"
sides = [
 { name = "a", length = "6350 mm", turn = "right" }, { name = "b", length = "4 m", turn = "end" },
]
stock = [
 { width = "600 mm", height = "2.4 m", count = 40 },
 { width = "350 mm", height = "2400 mm", count = 9 },
 { width = "50 mm", height = "2.4 m", count = 9 },
]
"""
    plan = read_plan(text)
    layout = layout_of(plan)
    assert widths(layout, "a", "closer") == ["350 mm"]
    assert sum(p.width for p in layout.filled[0].pieces) == Fraction(6)
    assert check(plan).case.rows.width == pytest.approx(1.2)
    assert "6350 mm" in layout_text(tie_schedule(check(plan)))


CORNERS = (
    'corners = { first_tie = "12 in", load = "1 kip", basis = "breaking load", spacing = "1 ft" }'
)
CROSSING = ", ".join(
    f'{{ name = "{name}", length = "{length} ft", turn = "{turn}" }}'
    for name, length, turn in (
        ("a", 30, "right"), ("b", 30, "right"), ("c", 20, "right"), ("d", 40, "end"),
    )
)  # fmt: skip
BROKEN = {
    "spacing too": changed(("[delivery]", 'spacing = "2 ft"\n[delivery]')),
    "joints too": changed(("[delivery]", 'joints = ["0 ft", "2 ft"]\n[delivery]')),
    "runs too": changed(("[layout]", '[[delivery.runs]]\nname = "a"\nlength = "9 ft"\n[layout]')),
    "corners none": changed(("[layout]", '[form]\ncorners = "none"\n[layout]')),
    "first tie": changed(("[layout]", f"[form]\n{CORNERS}\n[layout]")),
    "no thickness": changed(('thickness = "12 in"', 'method = "chute"')),
    "does not close": changed((NORTH, NORTH.replace("40 ft", "39 ft"))),
    "turns do not close": changed((NORTH, NORTH.replace("right", "left"))),
    "ends early": changed((NORTH, NORTH.replace("right", "end"))),
    "two of one name": changed(('"east"', '"north"')),
    "side too short": changed(("20'-10", "2'-7")),
    "no sides": SIDES.sub("sides = []", CLOSED),
    "count a text": changed(("count = 120", 'count = "120"')),
    "turn unknown": changed((NORTH, NORTH.replace("right", "rigth"))),
    "opening at the corner": changed((NORTH, NORTH.replace(
        " }", ', openings = [{ at = "6 in", width = "3 ft", sill = "3 ft", head = "6 ft" }] }'))),
    "step in the corner": changed((NORTH, NORTH.replace(
        " }", ', steps = [{ at = "6 in", bottom = "1 ft" }] }'))),
    "pilaster too shallow": changed((NORTH, NORTH.replace(
        " }", ', pilasters = [{ at = "9 ft", width = "16 in", projection = "3 in" }] }'))),
    "footing does not close": changed((NORTH, NORTH.replace(
        " }", ', steps = [{ at = "9 ft", bottom = "1 ft" }] }'))),
    "placed under a step": straight(
        ', steps = [{ at = "9 ft", bottom = "3 ft" }]', wall='placed_from = "2 ft"\nhardened = "a"'
    ),
    "no tie over the step": straight(', steps = [{ at = "9 ft", bottom = "90 in" }]'),
    "walls cross": SIDES.sub(f"sides = [{CROSSING}]", CLOSED),
}  # fmt: skip


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN.keys())
def test_what_cannot_be_laid_out_is_refused_in_one_line(text):
    assert refusal_of(text).key


def test_the_front_of_a_pilaster_pulls_on_the_joints_of_the_wall_too():
    stock = ", ".join(f'{{ width = "{w} in", height = "8 ft", count = 90 }}' for w in (24, 4))
    side = ', pilasters = [{ at = "10 ft", width = "4 ft", projection = "8 in" }]'
    held = 'load = "9000 lb", basis = "working load at 2:1", spacing = "1 ft", data_sheet = "s" }\n'
    text = straight(side, stock) + f'[form]\ncorners = {{ first_tie = "4 in", {held}'
    text += f'joint_connectors = {{ {held}bulkheads = "none"\n'
    found = check(read_plan(text))["joint connectors"]
    assert found.note == "joint_pull_pilaster"
    assert found.demand.bare == pytest.approx(2.0 * (8 * 8 - 7 * 7) / 2 * 150)  # as its corners
