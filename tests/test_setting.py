"""Setting at another temperature, equivalent age, and hours warm enough."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formpressure import OutOfRange, Q, Refusal
from formpressure.job.setting import (
    SETTING_RANGE,
    age_factor,
    equivalent_age,
    hours_above,
    setting_time,
    temperature_time,
    trade_factor,
)
from formpressure.records import Label
from formpressure.report.words import say

warm = st.floats(41.0, 99.0)


def told(estimate):
    """Every note as it would be printed."""
    return " ".join(say("note", name, **estimate.facts) for name in estimate.notes)


@given(warm, warm)
def test_colder_sets_later_and_the_bounds_hold_both(at, now):
    both = setting_time("5 h", at=Q(at, "degF"), now=Q(now, "degF"))
    ways = [e.value.m_as("h") for e in (both.arrhenius, both.trade)]
    assert both.shorter.value.m_as("h") == min(ways)
    assert both.longer.value.m_as("h") == max(ways)
    for hours in ways:
        assert (hours >= 5.0 - 1e-9) if now <= at else (hours <= 5.0 + 1e-9)


@given(st.floats(-20.0, 60.0), st.floats(0.01, 30.0), st.floats(0.0, 40.0))
def test_ratios_grow_with_temperature(celsius, more, reference):
    assert age_factor(celsius + more, reference) > age_factor(celsius, reference)
    assert trade_factor(celsius + more, reference) < trade_factor(celsius, reference)


@given(warm, warm, warm)
def test_there_by_way_of_another_temperature_is_the_same(first, second, third):
    straight = setting_time("5 h", at=Q(first, "degF"), now=Q(third, "degF"))
    half_way = setting_time("5 h", at=Q(first, "degF"), now=Q(second, "degF"))
    for way in ("arrhenius", "trade"):
        known = getattr(half_way, way).value
        on = setting_time(known, at=Q(second, "degF"), now=Q(third, "degF"))
        found = getattr(on, way).value.m_as("h")
        assert found == pytest.approx(getattr(straight, way).value.m_as("h"))


def test_a_setting_estimate_says_what_it_is():
    both = setting_time("5 h", at="70 F", now="50 F")
    for estimate in (both.arrhenius, both.trade, both.shorter, both.longer):
        assert "never sets a minimum rate" in told(estimate)
    assert both.arrhenius.clauses[0].label is Label.MEMORY
    assert both.trade.clauses[0].label is Label.READ
    assert both.longer is both.trade
    assert both.shorter is both.arrhenius
    same = setting_time("5 h", at="21 C", now="21 C")
    assert same.longer.value.m_as("h") == same.shorter.value.m_as("h") == pytest.approx(5.0)


@pytest.mark.parametrize("key", ["at", "now"])
def test_setting_is_not_carried_out_of_its_range(key):
    for edge, step in ((SETTING_RANGE.least, -0.1), (SETTING_RANGE.most, 0.1)):
        inside = {"at": "70 F", "now": "70 F", key: Q(edge, "degF")}
        assert setting_time("5 h", **inside).longer.value.magnitude > 0.0
        with pytest.raises(OutOfRange, match=f"{key} = .*outside 40 to 100 F"):
            setting_time("5 h", **inside | {key: Q(edge + step, "degF")})
    for known, message in ((Q(0, "h"), "no setting time"), (Q(-1, "h"), "negative"), (5, "bare")):
        with pytest.raises(Refusal, match=message):
            setting_time(known, at="70 F", now="60 F")


steps = st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(-15.0, 70.0)), max_size=6)


def quantities(pairs):
    return [(Q(hours, "h"), Q(celsius, "degC")) for hours, celsius in pairs]


@given(steps, st.floats(0.0, 10.0))
def test_age_and_factor_only_grow(pairs, more):
    warmer = [(hours, celsius + more) for hours, celsius in pairs]
    for count in (
        lambda p: equivalent_age(quantities(p), reference="20 C").value.m_as("h"),
        lambda p: temperature_time(quantities(p)).value.m_as("delta_degC*h"),
        lambda p: hours_above(quantities(p)).value.m_as("h"),
    ):
        assert 0.0 <= count(pairs) <= count(warmer) + 1e-9
        assert count(pairs) <= count([*pairs, (1.0, 20.0)])


@given(st.floats(0.0, 100.0), st.sampled_from([20.0, 23.0]))
def test_at_the_reference_an_hour_is_an_hour(hours, reference):
    known = Q(reference, "degC")
    found = equivalent_age([(Q(hours, "h"), known)], reference=known)
    assert found.value.m_as("h") == pytest.approx(hours)


def test_steps_below_the_datum_count_zero():
    cold = [("12 h", "20 C"), ("12 h", "-5 C")]
    assert temperature_time(cold, system="SI").value.magnitude == pytest.approx(240.0)
    older = temperature_time(cold, datum="-10 C", system="SI")
    assert older.value.magnitude == pytest.approx(12 * 30 + 12 * 5)
    us = temperature_time([("12 h", "68 F")])
    assert us.value.magnitude == pytest.approx(12 * 36)
    assert us.value.m_as("delta_degC*h") == pytest.approx(240.0)
    assert {c.label for c in us.clauses} == {Label.READ, Label.MEMORY}
    assert "no strength" in told(us)


def test_hours_below_freezing_add_no_age_and_it_is_told():
    warm_only = equivalent_age([("12 h", "20 C")], reference="20 C")
    frozen = equivalent_age([("12 h", "20 C"), ("12 h", "30 F")], reference="20 C")
    assert frozen.value == warm_only.value
    assert "below freezing" in told(frozen)
    assert "below freezing" not in told(warm_only)
    assert equivalent_age([("1 h", "0 C")], reference="20 C").value.magnitude > 0.0


def test_the_threshold_itself_is_not_warm_enough():
    log = [("1 h", "50 F"), ("2 h", "10 C"), ("4 h", "51 F"), ("8 h", "-20 F")]
    assert hours_above(log).value.m_as("h") == pytest.approx(4.0)
    assert hours_above([("1 h", "41 F")], "5 C").value.m_as("h") == 0.0
    found = hours_above(log, "40 F")
    assert found.value.m_as("h") == pytest.approx(7.0)
    assert "no strength is specified" in told(found)


@pytest.mark.parametrize(
    ("log", "message"),
    [
        ([("1 h", "60 F"), (2, "60 F")], "step 2 = 2: a bare number"),
        ([(Q(-1, "h"), "60 F")], "step 1.*negative"),
        ([("1 h", "60")], "step 1.*no unit"),
        ([(Q(float("nan"), "h"), "60 F")], "step 1: not one number"),
    ],
)
def test_a_log_that_cannot_be_is_refused(log, message):
    for count in (
        hours_above, temperature_time, lambda pairs: equivalent_age(pairs, reference="20 C"),
    ):  # fmt: skip
        with pytest.raises(Refusal, match=message):
            count(log)
