"""Waits of layers, both sides of the pace, and what helps where nothing fits."""

import dataclasses
import math

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_browser import CHROMIUM, PHONES, fits_a_phone
from test_pour import YARD, any_filling, trucks, verdict
from test_report import ROOT, audit, shown

from formpressure import Q, Refusal, check, load_plan, rates, read_plan
from formpressure.dispatch import keeper, most_of
from formpressure.gaps import Gaps
from formpressure.helps import cut, nothing_fits, what_helps
from formpressure.joints import over_temperature
from formpressure.pour import LAYERS, RUN_BY_RUN, Filling, Run
from formpressure.report import blocks, blocks_pour, figures_pour
from formpressure.report.card import card_html
from formpressure.report.content import content
from formpressure.report.export import notebook_report
from formpressure.report.tables import rates_csv, rates_json, rates_text, schema, verdict_json

DEMO = ROOT / "shared" / "plans" / "house_round_9ft.toml"
BY = ', by = "trial batch"'


def windowed(time="90 min", at="60 F", more=BY, **keys):
    """The plan of trucks with a time for joints."""
    window = f'joint_window = {{ time = "{time}", temperature = "{at}"{more} }}'
    return trucks(**keys).replace('slump = "5 in"', f'slump = "5 in"\n{window}')


@pytest.fixture(scope="module")
def demo():
    return check(load_plan(DEMO))


# ---------------------------------------------------------------- how long a layer waits


def test_one_truck_an_hour_leaves_each_layer_fifty_minutes():
    wall = Run("wall", 160.0, 8 / 12, 0.0, 8.0)
    rest = Filling((wall,), 10 * YARD, gap=60, discharge=10, spread=160).pour().longest_rest()
    assert (rest.run, rest.minutes) == ("wall", pytest.approx(50))
    assert (rest.start, rest.level) == (pytest.approx(10), pytest.approx(2.53125))
    once = Filling((wall,), 40 * YARD, gap=60, discharge=10, spread=160).pour()
    assert once.longest_rest() is None


@settings(max_examples=60, deadline=None)
@given(
    st.floats(20.0, 90.0), st.floats(0.5, 3.0), st.floats(10.0, 80.0), st.floats(0.0, 90.0),
    st.sampled_from([LAYERS, RUN_BY_RUN]), st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_no_place_stands_still_longer_than_told(length, layer, spread, gap, sequence, seed):
    runs = (Run("a", length, 0.8, 0.0, 9.0), Run("b", 40.0, 1.0, 0.0, 6.0))
    pour = Filling(runs, 10 * YARD, gap, 9.0, spread, layer, sequence).pour()
    told = pour.longest_rest()
    longest = (0.0 if told is None else told.minutes) * (1 + 1e-6) + 1e-6
    rng = np.random.default_rng(seed)
    for times, levels in zip(pour.times, pour.levels, strict=True):
        bottom, top = levels[0], levels[-1]
        first = np.interp(bottom + 1e-6, levels, times)
        last = np.interp(top - 1e-6, levels, times)
        starts = first + (last - first) * rng.uniform(0, 1, 50)
        ends = np.minimum(starts + longest, last)
        risen = np.interp(ends, times, levels) - np.interp(starts, times, levels)
        assert (risen[starts + longest <= last] > 0).all()


@pytest.mark.parametrize("seed", range(6))
def test_the_longest_gap_is_that_found_by_trying_every_minute(seed):
    rng = np.random.default_rng(seed)
    filling = any_filling(rng, lengths=(20, 90), widest=90)
    window = rng.uniform(10, 120)
    gaps = Gaps(filling)
    in_time = [gaps.at(gap).rest <= window for gap in range(1, 241)]
    expected = in_time.index(False) if False in in_time else 240
    assert gaps.longest(window) == (expected or None)


# ---------------------------------------------------------------- measured, estimated, unknown


def test_a_measured_time_names_the_longest_gap_and_the_slowest_rate():
    """One layer waits gap - 10 min: 90 min allow one truck every 100 min; an hour then rises by
    one load, 2.53 ft."""
    v = verdict(windowed())
    assert v.joints.window.measured
    assert v.joints.in_time
    assert v.joints.gap == 100
    assert v.joints.rate == pytest.approx(2.53125)
    assert verdict(windowed(gap='"100 min"')).joints.in_time
    assert not verdict(windowed(gap='"101 min"')).joints.in_time
    line = content(v).trucks[-1]
    assert "next truck not later than 100 min after the start of the last, 3 ft/h" in line
    assert "Pressure goes first" in line
    assert "vibrator must still sink" in line
    assert line in shown(card_html(v))


@pytest.mark.parametrize("more", ["", BY])
def test_an_estimate_sets_no_minimum(more):
    """90 min at 70 F. By trade 20 F colder doubles it: at 60 F 127.3 min. By the Arrhenius term,
    21.1 C to 15.6 C: 90 x exp(5000 (1/288.71 - 1/294.26)) = 124.8 min."""
    v = verdict(windowed(at="70 F", more=more))
    window = v.joints.window
    assert not window.measured
    assert window.long == pytest.approx(90 * 2**0.5)
    kelvin = [(f - 32) / 1.8 + 273.15 for f in (60, 70)]
    assert window.short == pytest.approx(90 * math.exp(5000 * (1 / kelvin[0] - 1 / kelvin[1])))
    assert window.short < window.long
    assert (v.joints.gap, v.joints.rate) == (None, None)
    line = content(v).trucks[-1]
    assert "Estimated, not measured: at 60 °F it may be too late after 124 min" in line
    assert "may stay fresh for 128 min" in line
    assert "ASTM C1074 (from memory)" in line
    assert "An estimate sets no minimum rate" in line
    assert "not later than" not in line


def test_the_warmest_concrete_counts_for_joints_and_the_coldest_for_pressure():
    v = verdict(windowed(at="70 F", more=', by = "trial batch", warmest = "90 F"'))
    assert v.joints.window.short == pytest.approx(45)  # trade; the other way gives 53
    assert v.joints.window.long == pytest.approx(90 * 2**0.5)
    same = verdict(windowed(at="70 F", more=', by = "trial batch", warmest = "70 F"'))
    assert same.joints.window.measured
    assert same.joints.window.short == pytest.approx(90)


def test_no_time_is_invented():
    v = verdict(trucks())
    assert v.joints.window is None
    assert v.joints.in_time is None
    assert "In what time the next must be in is not known" in content(v).trucks[-1]
    assert verdict(trucks(gap="")).joints is None
    assert "Joints: not looked at" in content(verdict(windowed(gap=""))).trucks[-1]


@pytest.mark.parametrize("time", ["5 min", "300 min"])
def test_joints_never_change_the_verdict_or_let_it_go_faster(time):
    with_joints, without = verdict(windowed(time)), verdict(trucks())
    assert with_joints.checks == without.checks
    assert with_joints.word == without.word
    assert with_joints.trucks == without.trucks
    assert with_joints.allowed == without.allowed


def test_what_the_forms_cannot_take_is_never_asked_for():
    """20 min measured: a truck every 30 min, where the ties want more. So it says do not."""
    v = verdict(windowed("20 min"))
    assert v.joints.gap == 30 < v.trucks.gap
    line = " ".join(content(v).trucks)
    assert "due within 30 min of the last: too fast for the forms, so do not" in line
    assert "not later than" not in line
    assert "TOO LATE" in line
    assert nothing_fits(v)


@pytest.mark.parametrize(
    ("window", "problem"),
    [
        ({"at": "39 F"}, "too cold or too warm"),
        ({"more": ', warmest = "101 F"'}, "too cold or too warm"),
        ({"more": ', warmest = "50 F"'}, "colder than the coldest"),
        ({"more": ', with_retarder = "2 h"'}, "only a measured time"),
    ],
)
def test_refusals(window, problem):
    with pytest.raises(Refusal, match=problem) as refused:
        read_plan(windowed(**window))
    assert "concrete.joint_window." in str(refused.value)


# ---------------------------------------------------------------- the earliest start of each truck


def test_every_truck_starts_as_soon_as_it_may(demo):
    filling, most = demo.case.filling, most_of(demo.case, demo.limit.pressure)
    keeps = keeper(filling, most)
    starts, planned = demo.trucks.starts, filling.starts(filling.count())
    assert len(starts) == len(planned) == 7
    assert keeps(filling.pour(starts))
    assert not keeps(filling.pour(planned))
    for k, (start, plan) in enumerate(zip(starts, planned, strict=True)):
        far = [start + 480.0 * n for n in range(1, len(starts) - k)]
        assert start >= plan
        if start > plan:
            assert not keeps(filling.pour([*starts[:k], start - 1, *far]))
    said = ", ".join(map(str, starts))
    assert f"from the start of the first: {said}" in shown(card_html(demo))
    assert "After any stop these minutes are void: go by the marks" in shown(card_html(demo))


def test_trucks_that_pass_start_as_planned_and_a_split_load_never():
    assert verdict(trucks()).trucks.starts == (0, 60, 120, 180)
    assert verdict(trucks(spread='"40 ft"')).trucks.starts is None


# ---------------------------------------------------------------- what helps


def with_plan(text, *pairs):
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return check(read_plan(text))


def test_what_helps_holds_when_the_plan_is_changed(demo):
    """Each way out of the demo, written into its plan file, does what was told."""
    assert nothing_fits(demo)
    text, by = DEMO.read_text("utf-8"), {h.name: h for h in what_helps(demo)}
    assert set(by) == {"ties", "layers", "pieces", "retarder", "warmer"}

    load = by["ties"].facts["load"].bare
    stronger = with_plan(text, ('load = "3000 lb"', f'load = "{load} lb"'))
    assert stronger.trucks.passes
    assert stronger.joints.in_time
    assert by["ties"].fits
    weaker = with_plan(text, ('load = "3000 lb"', f'load = "{load - 10} lb"'))
    assert not weaker.trucks.passes

    layer = by["layers"].facts["layer"].bare
    for gap, passes, in_time in (
        (by["layers"].least, True, True), (by["layers"].least - 1, False, True),
        (by["layers"].most, True, True), (by["layers"].most + 1, True, False),
    ):  # fmt: skip
        thin = with_plan(
            text, ('layer = "3 ft"', f'layer = "{layer} ft"'), ('"20 min"', f'"{gap} min"')
        )
        assert (thin.trucks.passes, thin.joints.in_time) == (passes, in_time)

    slow = with_plan(
        text, ("retarder = false", "retarder = true"), ('time = "45 min"', 'time = "90 min"')
    )
    assert by["retarder"].facts["rate"].bare == pytest.approx(slow.allowed.rate)
    assert slow.allowed.rate < demo.allowed.rate
    assert (by["retarder"].least, by["retarder"].most) == (slow.trucks.gap, slow.joints.gap)
    assert by["retarder"].fits
    assert not by["retarder"].estimated

    warm = with_plan(text, ('[concrete]\ntemperature = "60 F"', '[concrete]\ntemperature = "70 F"'))
    assert by["warmer"].facts["rate"].bare == pytest.approx(warm.allowed.rate)
    assert warm.allowed.rate > demo.allowed.rate
    assert by["warmer"].facts["window"] == pytest.approx(45 / 2**0.5)
    assert by["warmer"].estimated
    assert by["warmer"].least == warm.trucks.gap
    assert not by["pieces"].fits


def test_bulkheads_help_where_the_round_is_too_long():
    """300 ft in layers of 2 ft 6 in: two of them in an hour are too fast for the ties, so a round
    takes an hour and a layer waits longer than 60 min. 150 ft take little more than a load each."""

    def placed(length, gap):
        keys = {"length": f"{length} ft", "gap": f'"{gap} min"', "spread": '"60 ft"'}
        return verdict(windowed("60 min", load="3000 lb", layer='"2.5 ft"', **keys))

    v = placed(300, 40)
    assert nothing_fits(v)
    found = {h.name: h for h in what_helps(v)}["pieces"]
    assert (found.facts["count"], found.facts["length"].bare) == (2, 150.0)
    for gap, passes, in_time in (
        (found.least, True, True), (found.least - 1, False, True),
        (found.most, True, True), (found.most + 1, True, False),
    ):  # fmt: skip
        piece = placed(150, gap)
        assert (piece.trucks.passes, piece.joints.in_time) == (passes, in_time)


@given(st.lists(st.floats(1.0, 90.0), min_size=1, max_size=5), st.integers(1, 8))
def test_pieces_are_the_whole_wall_in_its_order(lengths, count):
    runs = tuple(Run(str(n), length, 1.0, 0.0, 8.0) for n, length in enumerate(lengths))
    pieces = cut(runs, count)
    assert len(pieces) == count
    for piece in pieces:
        assert sum(r.length for r in piece) == pytest.approx(sum(lengths) / count)
    names = [r.name for piece in pieces for r in piece]
    assert names == sorted(names)


def test_a_retarder_whose_effect_was_not_measured_is_told_for_pressure_only():
    v = verdict(windowed())
    found = {h.name: h for h in what_helps(v)}["retarder"]
    assert "window" not in found.facts
    assert found.fits is None
    assert "was not measured" in str(blocks_pour.helps(v))


def test_nothing_needs_help_where_the_plan_fits():
    assert not nothing_fits(verdict(windowed()))
    assert verdict_json(verdict(windowed()))["helps"] == []


# ---------------------------------------------------------------- tables, pages and pictures


def test_the_rate_table_tells_the_gap_of_trucks(demo):
    table = rates(demo.plan)
    row = int(np.flatnonzero(table.temperatures == 60)[0])
    assert table.gaps[row, 0] == demo.trucks.gap
    for at in (45, 80):
        warm = dataclasses.replace(demo.plan.concrete, temperature=Q(at, "degF"))
        plan = dataclasses.replace(demo.plan, concrete=warm)
        row = int(np.flatnonzero(table.temperatures == at)[0])
        assert table.gaps[row, 0] == check(plan).trucks.gap
    assert "truck gap" in rates_text(table)
    lines = rates_csv(table).splitlines()
    assert "truck gap, min" in lines[1]
    assert all(line.count(",") == 6 for line in lines[2:])
    jsonschema.validate(rates_json(table), schema())
    assert {r["truck_gap_minutes"] for r in rates_json(table)["rows"]} > {29, 15, None}
    assert "truck gap" in blocks.rate_table(table).html
    bare = rates(load_plan(ROOT / "shared/plans/basement_9ft.toml"))
    assert bare.gaps is None
    assert "truck gap" not in rates_text(bare)


@pytest.mark.parametrize(
    "text", [windowed(), windowed("20 min"), windowed(at="70 F"), windowed(gap="")]
)
def test_json_keeps_to_the_schema(text):
    data = verdict_json(verdict(text))
    jsonschema.validate(data, schema())
    if data["joints"] and not data["joints"]["window"]["measured"]:
        assert data["joints"]["longest_gap_minutes"] is None


def test_json_of_the_demo(demo):
    data = verdict_json(demo)
    jsonschema.validate(data, schema())
    assert data["trucks"]["starts"] == list(demo.trucks.starts)
    assert [h["way"] for h in data["helps"]] == [h.name for h in what_helps(demo)]


def test_the_chart_tells_both_sides(demo):
    found = over_temperature(demo.case, demo.limit)
    at = int(np.flatnonzero(found.temperatures == 60)[0])
    assert found.limit[at] == pytest.approx(demo.allowed.rate)
    assert (found.least[at], found.most[at]) == (demo.trucks.gap, demo.joints.gap)
    assert (np.diff(found.limit) >= 0).all()
    assert (np.diff(found.short) < 0).all()
    assert (np.diff(found.least) <= 0).all()
    assert (np.diff(found.most) <= 0).all()
    assert not found.both[at]
    pictures = figures_pour.pace(demo).html, figures_pour.levels(demo).html
    assert pictures == (figures_pour.pace(demo).html, figures_pour.levels(demo).html)
    assert "6 ft/h at 60 °F" in pictures[0]
    assert "front rises fastest: 6 ft from minute 0 to minute 60" in pictures[1]


@pytest.mark.parametrize(
    "text",
    [
        trucks(), windowed(), windowed("5 min"), trucks("20000 lb"), trucks("900 lb"),
        trucks(gap=""), trucks(at_once="2"), windowed(spread='"40 ft"'),
        trucks().replace('units = "US"', 'units = "SI"'),
    ],
)  # fmt: skip
def test_every_plan_gets_pictures_or_words(text):
    v = verdict(text)
    for block in (figures_pour.levels, figures_pour.pace, blocks_pour.filling, blocks_pour.trucks,
                  blocks_pour.joints, blocks_pour.helps, blocks_pour.order):  # fmt: skip
        found = block(v)
        assert found.plain.strip()
        assert "nan" not in found.plain
        assert "None" not in found.plain


@pytest.fixture(scope="module")
def page():
    return notebook_report(DEMO, name="pour_pace.ipynb")


def test_the_page_of_the_notebook(page):
    assert audit(page) == []
    text = shown(page)
    assert "NO GAP OF TRUCKS FITS BOTH" in text
    assert "Layers of 1 ft 6 in: one truck every 20 to 44 min." in text
    assert "Read to dispatch" in text


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: layout on a phone not looked at")
@pytest.mark.parametrize("width", PHONES)
def test_no_part_of_the_page_is_wider_than_a_phone(page, tmp_path, width):
    fits_a_phone(page, tmp_path, width)
