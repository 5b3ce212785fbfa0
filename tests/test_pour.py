"""The pour by trucks: exact levels, both windows, and the way back to gaps, marks and starts."""

import dataclasses

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import CONCRETE, SMALL, complete

from formpressure import Refusal, check, margins, rates, read_plan
from formpressure.dispatch import earliest_start, first_hold, keeper, most_of
from formpressure.envelope import STILL_LIQUID
from formpressure.gaps import Gaps, Most
from formpressure.marks import mark_pace
from formpressure.pour import (
    LAYERS,
    RUN_BY_RUN,
    Filling,
    Load,
    Opening,
    Pass,
    Run,
    fill,
    passes_of,
    stations_of,
)
from formpressure.records import Amount, Status
from formpressure.report.blocks import equations
from formpressure.report.card import card_html
from formpressure.report.content import content
from formpressure.report.tables import schema, verdict_json
from formpressure.report.text import text
from formpressure.rise import greatest_rise, minutes_from_mark

WALL = Run("wall", 160.0, 8 / 12, 0.0, 8.0)
YARD = 27.0


def trucks(load="3400 lb", length="160 ft", **keys):
    """A complete plan whose concrete comes by 10 yd trucks; `keys` are further keys as text."""
    given = {"truck": '"10 yd"', "gap": '"60 min"', "discharge": '"10 min"', "spread": '"160 ft"'}
    given |= keys
    lines = "".join(f"{k} = {v}\n" for k, v in given.items() if v)
    return complete(
        load,
        length=('length = "160 ft"', f'length = "{length}"'),
        trucks=('thickness = "8 in"\n', f'thickness = "8 in"\n{lines}'),
    )


def verdict(plan):
    return check(read_plan(plan))


def said(found):
    return " ".join(content(found).trucks)


# ---------------------------------------------------------------- levels


def test_one_truck_after_the_other_all_round():
    """10 yd on 160 ft x 8 in: 2.53125 ft in 10 min, a stop, and the last one what is left."""
    pour = Filling((WALL,), 10 * YARD, gap=38, discharge=10, spread=160).pour()
    assert pour.times[0][:4].tolist() == [0, 10, 38, 48]
    assert pour.levels[0][:4] == pytest.approx([0, 2.53125, 2.53125, 5.0625])
    assert pour.levels[0][-1] == pytest.approx(8)
    assert pour.times[0][-1] == pytest.approx(114 + (8 - 3 * 2.53125) / 2.53125 * 10)
    assert pour.fastest().rate == pytest.approx(5.0625)  # two whole trucks within an hour
    assert pour.freshest().rise == pytest.approx(2.53125)


def test_places_are_filled_in_turn():
    """Two places of 10 ft, 1 ft thick, passes of 2 ft: each pass takes 20 cubic feet."""
    stations = stations_of(Run("a", 20.0, 1.0, 0.0, 4.0), 10.0)
    passes = passes_of(stations, {"a": 2.0}, LAYERS)
    assert passes == [Pass(0, 2.0), Pass(1, 2.0), Pass(0, 4.0), Pass(1, 4.0)]
    pour = fill(stations, passes, [Load(0, 8, 80)])
    first, second = (
        np.interp([1, 2, 3, 4, 5, 6, 7, 8], t, y)
        for t, y in zip(pour.times, pour.levels, strict=True)
    )
    assert first == pytest.approx([1, 2, 2, 2, 3, 4, 4, 4])
    assert second == pytest.approx([0, 0, 1, 2, 2, 2, 3, 4])


def test_order_of_runs():
    runs = (Run("front", 10.0, 1.0, 0.0, 4.0), Run("back", 10.0, 1.0, 0.0, 2.0))
    stations = [s for run in runs for s in stations_of(run, 10.0)]
    layers = {"front": 2.0, "back": 2.0}
    assert [p.station for p in passes_of(stations, layers, LAYERS)] == [0, 1, 0]
    assert [p.station for p in passes_of(stations, layers, RUN_BY_RUN)] == [0, 0, 1]
    order = ("back", "front", "front")
    assert [p.station for p in passes_of(stations, layers, LAYERS, order)] == [1, 0, 0]


def test_an_opening_makes_it_rise_faster_between_sill_and_head():
    """10 ft x 1 ft with 5 ft of it gone from 2 to 4 ft: 10 cubic feet a minute."""
    run = Run("a", 10.0, 1.0, 0.0, 6.0, (Opening(2.0, 4.0, 5.0),))
    pour = fill(stations_of(run, 10.0), [Pass(0, 6.0)], [Load(0, 5, 50)])
    at = np.interp([1, 2, 2.5, 3, 4, 5], pour.times[0], pour.levels[0])
    assert at == pytest.approx([1, 2, 3, 4, 5, 6])
    assert run.volume == pytest.approx(50)
    with pytest.raises(ValueError, match="no wall"):
        stations_of(run, 5.0)


def test_concrete_over_the_top_is_told():
    run = Run("a", 40.0, 8 / 12, 0.0, 8.0)
    pour = fill(stations_of(run, 40.0), [Pass(0, 8.0)], [Load(0, 10, 10 * YARD)])
    assert pour.levels[0][-1] == pytest.approx(8)
    assert pour.over == pytest.approx(270 - 40 * 8 / 12 * 8)


def test_two_trucks_at_once_flow_twice_as_fast():
    one = Filling((WALL,), 10 * YARD, gap=10, discharge=10, spread=160).pour()
    two = Filling((WALL,), 10 * YARD, gap=20, discharge=10, spread=160, at_once=2).pour()
    assert np.interp(10, one.times[0], one.levels[0]) == pytest.approx(2.53125)
    assert np.interp(10, two.times[0], two.levels[0]) == pytest.approx(5.0625)


def test_rounding_does_not_make_a_filling_longer():
    """A low run, filled in minutes after the first: its rate counts over these minutes.

    23 in of 43 ft x 8 in are 54.94 cubic feet, in 1.80864 min from a truck of 9 yd in 8 min: 63.58
    ft/h. A rise of 1e-15 ft an hour before made it 14.4.
    """
    runs = (Run("high", 59.0, 1.0, 0.0, 88 / 12), Run("low", 86.0, 8 / 12, 0.0, 23 / 12))
    pour = Filling(runs, 9 * YARD, gap=90, discharge=8, spread=60, layer=4.0).pour()
    assert pour.fastest().run == "low"
    volume, flow = 43 * 8 / 12 * 23 / 12, 9 * YARD / 8
    assert pour.fastest().rate == pytest.approx(23 / 12 / (volume / flow) * 60)


lengths = st.floats(5.0, 200.0)
runs = st.lists(
    st.builds(
        lambda length, thickness, top, share, sill, part: Run(
            f"{length}/{top}/{share}", length, thickness, 0.0, top,
            (Opening(sill * top, sill * top + part * top, share * 2.0),),
        ),
        lengths, st.floats(0.3, 2.0), st.floats(2.0, 20.0), st.floats(0.01, 0.9),
        st.floats(0.0, 0.6), st.floats(0.1, 0.6),
    ),
    min_size=1, max_size=4, unique_by=lambda run: run.name,
)  # fmt: skip
loads = st.lists(
    st.builds(Load, st.floats(0.0, 300.0), st.floats(0.5, 40.0), st.floats(1.0, 400.0)),
    min_size=1, max_size=12,
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(
    runs, loads, st.floats(4.0, 60.0), st.floats(0.4, 9.0),
    st.sampled_from([LAYERS, RUN_BY_RUN]), st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_volume_is_conserved_and_no_window_beats_the_reported_rise(
    walls, trucks_in, spread, layer, sequence, seed
):
    stations = [s for run in walls for s in stations_of(run, spread)]
    passes = passes_of(stations, {run.name: layer for run in walls}, sequence)
    np.random.default_rng(seed).shuffle(passes)  # any sequence, also marks out of turn
    pour = fill(stations, [Pass(*p) for p in passes], trucks_in)
    brought = sum(load.volume for load in trucks_in)
    assert pour.placed == pytest.approx(brought, rel=1e-9)
    assert pour.held() + pour.over == pytest.approx(brought, rel=1e-9)
    fast, fresh = pour.fastest(), pour.freshest()
    moments = np.random.default_rng(seed).uniform(-70, 350, 300)
    for times, levels in zip(pour.times, pour.levels, strict=True):
        assert (np.diff(times) >= 0).all()
        assert (np.diff(levels) >= 0).all()

        def rise(window, t=times, y=levels):
            return np.interp(moments + window, t, y) - np.interp(moments, t, y)

        assert rise(60.0).max() <= fast.rate * (1 + 1e-9) + 1e-12
        assert rise(30.0).max() <= fresh.rise * (1 + 1e-9) + 1e-12


@settings(max_examples=60, deadline=None)
@given(st.integers(10, 120), st.integers(1, 60), st.floats(1.0, 10.0), st.floats(10.0, 160.0))
def test_a_longer_gap_never_rises_faster(gap, more, layer, spread):
    slow, fast = (
        Filling((WALL,), 10 * YARD, g, 10.0, spread, layer).pour() for g in (gap + more, gap)
    )
    assert slow.fastest().rate <= fast.fastest().rate * (1 + 1e-9)
    assert slow.freshest().rise <= fast.freshest().rise * (1 + 1e-9)


# ---------------------------------------------------------------- pressure


TALL = '"8 in", "2 ft", "3\'-4\\"", "4\'-8\\"", "6 ft", "7\'-4\\"", "9 ft", "11 ft", "13 ft"'


def test_twelve_feet_in_a_quarter_of_an_hour_is_liquid():
    """14 ft, 70 F: 12 ft in 15 min, wait 45, top up 2 ft. Statics: 150 x 12 = 1,800 psf.

    The rule alone, for 12 ft in the hour: 150 + 43400/70 + 2800 x 12/70 = 1,250 psf.
    """
    plan = SMALL.replace('"8 ft"', '"14 ft"\nshort_pieces = false')
    plan = plan.replace('"1 ft", "3 ft", "5 ft", "7 ft"', TALL)
    plan += CONCRETE.replace("60 F", "70 F") + (
        '[delivery]\nlength = "27 ft"\nthickness = "1 ft"\ntruck = "12 yd"\ngap = "60 min"\n'
        'discharge = "15 min"\nspread = "27 ft"\n'
    )
    v = verdict(plan)
    assert v.case.rate == pytest.approx(12)
    assert v.case.rise == pytest.approx(12)
    assert v.envelope.own_p_max == pytest.approx(1250)  # 14 ft is over 4.2 m: other set, 1,294
    assert v.envelope.by_document < 1300
    assert v.envelope.p_max == pytest.approx(1800)
    assert v.envelope.governed_by is STILL_LIQUID
    assert v.envelope.pressure(20.0) == pytest.approx(1800)
    assert "still liquid" in said(v)
    assert "1,800 psf" in str(equations(v).plain)


def steady(rate, temperature="100 F", height="12 ft", **more):
    text = complete("20000 lb", t=("60 F", temperature), **more).replace('"8 ft"', f'"{height}"')
    text = text.replace("[wall]\n", "[wall]\nshort_pieces = false\n")
    return verdict(text.replace("[delivery]\n", f'[delivery]\nfastest_rise = "{rate} ft/h"\n'))


def test_a_steady_pour_meets_the_bound_only_where_it_is_hot_and_fast():
    """100 F: 150 + 434 + 28 R meets 75 R at R = 584/47 = 12.4255 ft/h; below nothing changes."""
    crossing = 584 / 47
    below, above = (steady(r, panels=("1300 psf", "850 psf")) for r in (12.4, 12.6))
    assert below.case.rate < crossing < above.case.rate
    assert below.envelope.p_max == pytest.approx(584 + 28 * 12.4)
    assert not below.envelope.bound_governs
    assert above.envelope.p_max == pytest.approx(75 * 12.6)  # 945; by the document 936.8
    assert above.envelope.by_document == pytest.approx(936.8)
    assert above.envelope.bound_governs


@pytest.mark.parametrize("temperature", [40, 50, 60, 70])
def test_the_bound_never_reaches_a_steady_pour_in_cool_concrete(temperature):
    """70 F: 770 + 40 R meets 75 R at 22 ft/h, where the rule has long been full liquid head."""
    for rate in (1, 3, 5, 6.9, 7, 10, 15):
        v = steady(rate, f"{temperature} F", panels=("1300 psf", "850 psf"))
        assert not v.envelope.bound_governs


def test_allowed_rate_rates_table_and_margin_keep_to_the_bound():
    """100 F, panels 1,000 psf: by the document (1000 - 584)/28 = 14.86; by the bound 13.33."""
    v = steady(13, panels=("1300 psf", "1000 psf"))
    assert v.allowed.rate == pytest.approx(2 * 1000 / 150)
    assert v.allowed.why is STILL_LIQUID
    assert v["panels"].status is Status.OK
    table = rates(v.plan)
    assert table.allowed[-1, 0] == pytest.approx(2 * 1000 / 150)
    assert margins(v).rate == pytest.approx(2 * 1000 / 150 - 13)
    over = steady(13.4, panels=("1300 psf", "1000 psf"))
    assert over["panels"].status is Status.NOT_OK
    assert margins(over).rate < 0


def test_a_shorter_window_is_taken_and_a_longer_one_refused():
    base = '[delivery]\nliquid_window = "{}"\n'
    short = steady(12.6, panels=("1300 psf", "850 psf"), w=("[delivery]\n", base.format("20 min")))
    assert short.envelope.own_bound == pytest.approx(150 * 12.6 / 3)
    for window, longest in (("liquid_window", 31), ("rate_window", 61)):
        with pytest.raises(Refusal, match="longer than we take it"):
            read_plan(trucks(**{window: f'"{longest} min"'}))
    hour = verdict(trucks()).case.rate
    half = verdict(trucks(rate_window='"30 min"')).case.rate
    assert half == pytest.approx(2 * 2.53125)
    assert hour == pytest.approx(2.53125)


# ---------------------------------------------------------------- verdict


def test_the_trucks_are_judged():
    v = verdict(trucks())
    assert v.word == "GO"
    assert v.case.rate == pytest.approx(2.53125)
    assert verdict(trucks(gap='"38 min"')).word == "NO-GO"


def test_the_faster_of_trucks_and_stated_rise_governs():
    assert verdict(trucks(fastest_rise='"1 ft/h"')).case.rate == pytest.approx(2.53125)
    assert verdict(trucks(fastest_rise='"3.5 ft/h"')).case.rate == pytest.approx(3.5)
    assert verdict(trucks(fastest_rise='"5 ft/h"'))["ties"].note == "over"


@pytest.mark.parametrize("key", ["spread", "truck", "gap", "discharge"])
def test_a_blank_of_the_trucks_leaves_the_rise_open(key):
    v = verdict(trucks(**{key: ""}))
    assert v.case.rate is None
    assert v.trucks is None
    assert v["ties"].status is Status.NOT_CHECKED
    assert (v["ties"].note, v["ties"].key) == ("needs_a_rise", f"delivery.{key}")
    assert v.word == "NOT CHECKED"


@pytest.mark.parametrize("keys", [{"at_once": "2"}, {"gap": '"0 min"'}])
def test_two_trucks_at_once_are_no_go_and_the_earliest_start_mends_it(keys):
    one = verdict(trucks())
    assert not one.failed
    v = verdict(trucks(**keys))
    assert v.word == "NO-GO"
    found = v["ties"]
    assert found.note == "over_by_trucks"
    assert (found.facts["run"], found.facts["start"]) == ("wall", 0)
    # In 160 ft x 8 in two loads rise 2 x 270/106.67 = 5.06 ft within the hour, all at once 8 ft in
    # the ten minutes of one.
    end, rise = (10, 8.0) if "gap" in keys else (60, 5.0625)
    assert found.facts["end"] == end
    assert found.facts["rise"] == Amount("height", pytest.approx(rise), "US")
    assert found.facts["truck"] == 2
    assert found.facts["height"] == Amount("height", 1.0, "US")  # the row, as without trucks
    shown = " ".join(text(v).split())
    assert f"from minute 0 to minute {found.facts['end']}; " in shown
    assert f"truck 2 not before minute {found.facts['minute']}" in shown
    # One truck at a time with that gap is GO, and one minute less is not.
    gap = v.trucks.gap
    assert gap == found.facts["minute"]
    assert verdict(trucks(gap=f'"{gap} min"')).word == "GO"
    assert verdict(trucks(gap=f'"{gap - 1} min"')).word == "NO-GO"


def test_the_stretch_that_fails_is_told_in_whole_minutes_that_hold_it():
    """Two loads of 270 fill 101.25 ft x 8 in x 8 ft; then 216 fill 40.5 ft from minute 120 on, at
    27 a minute to minute 128, 8 ft in all."""
    runs = (
        '\n[[delivery.runs]]\nname = "front"\nlength = "101.25 ft"\n'
        '[[delivery.runs]]\nname = "back"\nlength = "40.5 ft"\n[form]\n'
    )
    plan = trucks("3400 lb", "150 ft", sequence='"run by run"')
    facts = verdict(plan.replace("\n[form]\n", runs))["ties"].facts
    assert (facts["run"], facts["start"], facts["end"]) == ("back", 120, 128)
    assert facts["rise"] == Amount("height", pytest.approx(8.0), "US")


def test_the_earliest_start_of_a_truck_that_comes_late_or_early():
    v = verdict(trucks())
    filling, keeps = v.case.filling, keeper(v.case.filling, most_of(v.case, v.limit.pressure))
    assert earliest_start(filling, keeps, 2) == 60  # as planned: not before it comes
    starts = [0.0, 90.0, 95.0, 180.0]  # the second late, the third right behind it
    minute = earliest_start(filling, keeps, 3, starts)
    assert 95 < minute <= 90 + v.trucks.gap
    far = 2000.0
    assert keeps(filling.pour([0.0, 90.0, float(minute), far]))
    assert not keeps(filling.pour([0.0, 90.0, float(minute - 1), far]))


@pytest.mark.parametrize(("length", "why"), [("40 ft", "over"), ("100 ft", "fast")])
def test_short_runs_say_split_the_load_at_four_feet_an_hour(length, why):
    """10 yd on 8 in: 10.1 ft on 40 ft, over the top; 4.05 ft on 100 ft, over 4 ft/h at any gap.

    Ties that allow 4.0 ft/h at 60 F: by equation (b) 150 + 9000 x 4/60 = 750 psf on the panels.
    """
    given = {"length": length, "spread": f'"{length}"', "gap": '"240 min"'}
    plan = trucks("20000 lb", **given).replace("1300 psf", "750 psf")
    v = verdict(plan)
    assert v.allowed.rate == pytest.approx(4.0)
    assert v.trucks.split == why
    assert v.trucks.gap is None
    assert v.word == "NO-GO"
    assert "split the load" in said(v)
    assert "split the load" in card_html(v)
    assert v["panels"].note == "over_by_load"
    assert v["panels"].facts["run"] == "wall"
    assert {"truck", "minute"}.isdisjoint(v["panels"].facts)
    longer = trucks("20000 lb", spread='"160 ft"', gap='"240 min"').replace("1300 psf", "750 psf")
    assert verdict(longer).trucks.split == ""


def test_spread_that_is_enough():
    """Places of 40 ft fill in one go; the spread that the search gives passes, a smaller not."""
    keys = {"gap": '"60 min"', "sequence": '"run by run"'}
    v = verdict(trucks(spread='"40 ft"', **keys))
    assert v.word == "NO-GO"
    enough = v.trucks.spread
    assert f"spread each load over {enough:.0f} ft or more" in said(v)
    assert verdict(trucks(spread=f'"{enough} ft"', **keys)).word == "GO"
    assert verdict(trucks(spread='"80 ft"', **keys)).word == "NO-GO"
    assert enough > 80


def test_order_sheet():
    """160 x 8/12 x 8 / 27 = 31.6 yd; 5 % over 33.2: 4 trucks of 10, also of 9; 32 of it bare."""
    order = verdict(trucks(spare='"5 %"')).trucks.order
    assert order.wall == pytest.approx(31.60494)
    assert order.ordered == pytest.approx(31.60494 * 1.05)
    assert (order.trucks, order.with_less) == (4, 4)
    assert order.lower == pytest.approx(27 / (160 * 8 / 12))
    assert "5 % spare" in said(verdict(trucks(spare='"5 %"')))
    assert "no spare is in that" in said(verdict(trucks()))
    assert verdict(trucks(length="180 ft", spare='"5 %"')).trucks.order.with_less == 5


def test_runs_openings_and_their_refusals():
    runs_text = (
        '\n[[delivery.runs]]\nname = "front"\nlength = "60 ft"\n'
        'openings = [{ sill = "3 ft", head = "7 ft", width = "4 ft" }]\n'
        '[[delivery.runs]]\nname = "back"\nlength = "60 ft"\nthickness = "10 in"\n'
        'height = "6 ft"\n[form]\n'
    )

    def plan(**keys):
        return trucks(**{"spread": '"30 ft"', "layer": '"2 ft"'} | keys).replace(
            "\n[form]\n", runs_text
        )

    v = verdict(plan())
    assert v.trucks.order.wall * 27 == pytest.approx((480 - 16) * 8 / 12 + 360 * 10 / 12)
    assert {s.run for s in v.case.pour.stations} == {"front", "back"}
    assert len(v.case.pour.stations) == 4
    assert verdict(plan(order='["front", "back", "front", "front", "back", "front", "back"]'))
    refused = {
        "not the name of a run": plan(order='["side"]'),
        "do not fill this run": plan(order='["front", "back"]'),
        "beside delivery.sequence": plan(order='["front"]', sequence='"run by run"'),
        "no wall to spread": plan(spread='"4 ft"'),
        "no truck at all": plan(at_once="0"),
        "two runs of one name": plan().replace('"back"', '"front"'),
        "a run of this height": plan().replace('"6 ft"', '"9 ft"'),
    }
    for problem, broken in refused.items():
        with pytest.raises(Refusal, match=problem):
            read_plan(broken)


def test_what_is_assumed_is_told_only_where_it_counts():
    told = dict(read_plan(trucks()).assumed)
    assert told["delivery.layer"] == "one truck's rise over its spread"
    assert told["delivery.sequence"] == "round in layers"
    assert "delivery.liquid_window" in told
    assert (
        not {"delivery.layer", "delivery.liquid_window"}
        & dict(read_plan(complete()).assumed).keys()
    )


def test_the_same_pour_in_metres():
    """The plan in SI with every value converted gives the same gap and the same minutes."""
    us = verdict(trucks(at_once="2"))
    assert us.trucks is not None
    exact = read_plan(trucks(at_once="2"))
    si = check(dataclasses.replace(exact, units="SI"))
    assert si.case.rate == pytest.approx(us.case.rate * 0.3048)
    assert si.trucks.worst.end == pytest.approx(us.trucks.worst.end)
    assert si.trucks.order.wall == pytest.approx(us.trucks.order.wall * 0.764554857984)


@pytest.mark.parametrize("keys", [{}, {"at_once": "2"}, {"length": "40 ft", "spread": '"40 ft"'}])
def test_json_keeps_to_the_schema(keys):
    jsonschema.validate(verdict_json(verdict(trucks(**keys))), schema())


# ---------------------------------------------------------------- marks


@settings(max_examples=300, deadline=None)
@given(
    st.floats(1.0, 20.0), st.sampled_from([0.5, 1.0, 2.0]), st.floats(1.0, 15.0),
    st.floats(0.5, 15.0), st.data(),
)  # fmt: skip
def test_stops_of_any_length_never_pass_the_rule_when_the_marks_are_kept(
    height, layer, rate, fresh, data
):
    minutes = minutes_from_mark(height, layer, rate, fresh, (60.0, 30.0))
    if minutes is None:
        return
    count = int(np.floor(height / layer + 1e-9))
    waits = data.draw(st.lists(
        st.one_of(st.just(0.0), st.floats(0.0, 120.0)), min_size=count, max_size=count
    ))  # fmt: skip
    times, levels = [0.0], [0.0]
    for k in range(1, count + 1):
        reach = times[0] if k == 1 else times[-1] + minutes + waits[k - 1]
        # Anything between two marks: here the level jumps just short of the mark, early or late.
        early = data.draw(st.floats(0.0, 1.0))
        before = times[-1] + early * (reach - times[-1])
        times += [before, before, reach]
        levels += [levels[-1], k * layer - 1e-9, k * layer]
    if height > count * layer:
        times += [times[-1]]
        levels += [height]
    t = np.array(times) + np.arange(len(times)) * 1e-9  # jumps, but one after the other
    y = np.array(levels)
    length = min(60.0, t[-1] - t[0])
    assert greatest_rise(t, y, length) * 60.0 / length <= rate * (1 + 1e-6) + 1e-6
    assert greatest_rise(t, y, 30.0) <= fresh * (1 + 1e-6) + 1e-6


def test_a_minute_less_between_marks_can_pass_the_rule():
    """4 ft/h, marks 1 ft apart: 20 min. At 19 the level can rise 5 ft in an hour."""
    assert minutes_from_mark(20.0, 1.0, 4.0, 99.0, (60.0, 30.0)) == 20
    e = 1e-6
    t = np.array([0, 100, 100 + e, 119 + e, 138 + e, 157 + e, 158])
    y = np.array([0.0, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0 - e])
    assert greatest_rise(t, y, 60.0) > 4.9


def test_marks_on_the_card():
    v = verdict(trucks())
    assert mark_pace(v).minutes == 20
    assert "nowhere the next one before 20 min after the last" in " ".join(content(v).pace[2])


# ---------------------------------------------------------------- halving against trying them all


def any_filling(rng, lengths, widest):
    """One to three runs, and trucks with a gap of 10 min or more."""
    walls = tuple(
        Run(f"run {n}", rng.uniform(*lengths), rng.uniform(0.5, 1.2), 0.0, rng.uniform(3, 14))
        for n in range(rng.integers(1, 4))
    )
    return Filling(
        walls, 10 * YARD, 20.0, rng.uniform(3, 20), rng.uniform(10, widest),
        rng.choice([None, 1.0, 2.0, 3.5]), rng.choice([LAYERS, RUN_BY_RUN]),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_gap_and_hold_are_those_found_by_trying_every_minute(seed):
    rng = np.random.default_rng(seed)
    filling = any_filling(rng, lengths=(10, 200), widest=150)
    most = Most(rng.uniform(1, 12), rng.uniform(1, 8))
    keeps = keeper(filling, most)
    passes = [keeps(dataclasses.replace(filling, gap=float(g)).pour()) for g in range(1, 241)]
    from_here = [g for g in range(1, 241) if all(passes[g - 1 :])]
    assert Gaps(filling).least(most) == (from_here[0] if from_here else None)
    starts, hold = filling.starts(filling.count()), first_hold(filling, keeps)
    if hold is not None:
        before, rest = starts[: hold.truck - 1], len(starts) - hold.truck

        def kept(minute):
            return keeps(filling.pour([*before, minute, *(1e4 * (k + 1) for k in range(rest))]))

        assert kept(float(hold.minute))
        if hold.minute - 1 >= starts[hold.truck - 1]:
            assert not kept(float(hold.minute - 1))


def test_starts_of_more_than_forty_trucks_are_not_listed():
    few, many = verdict(trucks(truck='"1 yd"')), verdict(trucks(truck='"0.5 yd"'))
    assert (few.trucks.order.trucks, len(few.trucks.starts)) == (32, 32)
    assert many.trucks.order.trucks == 64
    assert many.trucks.starts is None
