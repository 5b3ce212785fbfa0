"""Temperature from ingredients, and drying of the open top."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formpressure import Q, Refusal
from formpressure.job.drying import FORMS, evaporation
from formpressure.job.mix import Batch, batch, mix_temperature
from formpressure.records import Label
from formpressure.report.words import say

HOT = {
    "cement": "470 lb", "cement_temperature": "150 F", "aggregate": "3300 lb",
    "aggregate_temperature": "85 F", "water": "220 lb", "water_temperature": "75 F",
    "moisture": "40 lb",
}  # fmt: skip
TRUCK = {"concrete": "86 F", "air": "77 F", "humidity": "50 %", "wind": "12 mph"}
WARMTH = ("cement_temperature", "aggregate_temperature", "water_temperature")


def fahrenheit(estimate):
    return estimate.value.m_as("degF")


def told(estimate):
    """Every note as it would be printed."""
    return " ".join(say("note", name, **estimate.facts) for name in estimate.notes)


def batches(**fixed):
    """Any batch whose water and moisture are liquid."""
    mass, warm = st.floats(0.0, 4000.0), st.floats(33.0, 200.0)
    some = {"cement": st.floats(1.0, 1000.0), "water": st.floats(1.0, 400.0)}
    some |= dict.fromkeys(("aggregate", "moisture"), mass) | {"ice": st.just(0.0)}
    some |= dict.fromkeys(WARMTH, warm)
    return st.builds(Batch, **(some | fixed))


def changed(b, **values):
    return Batch(**{name: values.get(name, getattr(b, name)) for name in Batch.__slots__})


@given(batches(), st.sampled_from(WARMTH), st.floats(0.0, 100.0))
def test_a_hotter_ingredient_never_makes_it_colder(b, name, more):
    hotter = changed(b, **{name: min(getattr(b, name) + more, 210.0)})
    low, high = fahrenheit(mix_temperature(b)), fahrenheit(mix_temperature(hotter))
    assert high >= low - 1e-9


@given(batches())
def test_it_lies_between_its_ingredients(b):
    found = fahrenheit(mix_temperature(b))
    warm = [getattr(b, name) for name in WARMTH]
    assert min(warm) - 1e-9 <= found <= max(warm) + 1e-9


@given(batches(), st.floats(0.1, 1.0))
def test_ice_only_cools_and_more_ice_cools_more(b, part):
    some, all_of_it = 0.5 * part * b.water, part * b.water
    swapped = [changed(b, water=b.water - ice, ice=ice) for ice in (0.0, some, all_of_it)]
    added = [changed(b, ice=ice) for ice in (0.0, some, all_of_it)]
    for three in (swapped, added):
        warm, cool, coldest = (x.heat / x.capacity for x in three)
        assert warm > cool > coldest


def test_moisture_is_water_as_warm_as_the_aggregate():
    dry = batch(**HOT | {"moisture": "0 lb", "water_temperature": "85 F", "water": "260 lb"})
    wet = batch(**HOT | {"moisture": "60 lb", "water_temperature": "85 F", "water": "200 lb"})
    assert fahrenheit(mix_temperature(wet)) == pytest.approx(fahrenheit(mix_temperature(dry)))


def test_by_hand_with_ice():
    b = batch(**HOT | {"water": "120 lb", "ice": "100 lb"})
    solids = 0.22 * (470 * 150 + 3300 * 85)
    by_hand = (solids + 40 * 85 + 120 * 75 - 100 * 112) / (0.22 * 3770 + 40 + 120 + 100)
    found = mix_temperature(b)
    assert fahrenheit(found) == pytest.approx(by_hand)
    assert Label.MEMORY in {c.label for c in found.clauses}
    plain = mix_temperature(batch(**HOT))
    assert {c.label for c in plain.clauses} == {Label.READ}


def test_si_gives_the_same_concrete():
    metric = batch(
        cement=Q(470, "lb").to("kg"), cement_temperature=Q(150, "degF").to("degC"),
        aggregate=Q(3300, "lb").to("t"),
        aggregate_temperature=Q(85, "degF").to("degC"), water=Q(220, "lb").to("kg"),
        water_temperature=Q(75, "degF").to("degC"), moisture=Q(40, "lb").to("kg"),
    )  # fmt: skip
    us = mix_temperature(batch(**HOT)).value
    si = mix_temperature(metric, system="SI").value
    assert (str(us.units), str(si.units)) == ("degree_Fahrenheit", "degree_Celsius")
    assert si.m_as("degF") == pytest.approx(us.m_as("degF"))


def test_what_must_be_said_of_heat_and_ice():
    assert mix_temperature(batch(**HOT)).notes == ()
    hot = mix_temperature(batch(**HOT | {"aggregate_temperature": "110 F"}))
    assert hot.notes == ("hot_at_discharge",)
    assert "over 95 °F" in told(hot)
    assert Label.QUOTED in {c.label for c in hot.clauses}
    metric = mix_temperature(batch(**HOT | {"aggregate_temperature": "110 F"}), system="SI")
    assert "over 35 °C" in told(metric)
    iced = batch(**HOT | {"water": "100 lb", "ice": "120 lb"})
    assert mix_temperature(iced).notes == ("much_ice",)
    assert told(iced_estimate := mix_temperature(iced))
    assert "ice" in told(iced_estimate)
    half = batch(**HOT | {"water": "110 lb", "ice": "110 lb"})
    assert mix_temperature(half).notes == ()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"water_temperature": "31 F"}, "not liquid"),
        ({"water_temperature": "213 F"}, "not liquid"),
        ({"aggregate_temperature": "31 F"}, "frozen moisture"),
        ({"cement": Q(-1, "lb")}, "cement.*negative"),
        ({"cement": Q(float("nan"), "lb")}, "cement: not one number"),
        ({"cement": Q(np.array([1.0, 2.0]), "lb")}, "cement: not one number"),
        ({"cement": 470}, "cement = 470: a bare number"),
        ({"cement": "470 lb/ft"}, "cement.*not a unit of mass"),
        ({"water_temperature": "20"}, "water_temperature.*no unit"),
        (dict.fromkeys(("cement", "aggregate", "water", "moisture"), "0 lb"), "empty batch"),
    ],
)
def test_a_batch_that_cannot_be_is_refused(change, message):
    with pytest.raises(Refusal, match=message):
        batch(**HOT | change)


def test_frozen_aggregate_without_moisture_is_taken():
    cold = batch(**HOT | {"aggregate_temperature": "20 F", "moisture": "0 lb"})
    assert fahrenheit(mix_temperature(cold)) > 32.0


def test_a_batch_that_would_freeze_is_refused():
    with pytest.raises(Refusal, match=r"would freeze.*less ice"):
        mix_temperature(batch(**HOT | {"ice": "2000 lb"}))


def rate(form="exact", **change):
    return evaporation(**TRUCK | change, form=form).value.m_as("lb/ft**2/h")


def test_the_forms_of_evaporation_agree():
    assert set(FORMS) == {"exact", "rounded", "inch-pound"}
    assert rate("exact") == pytest.approx(rate("inch-pound"), rel=1e-3)
    assert 0.93 < rate("rounded") / rate("exact") < 0.97
    metric = evaporation(
        concrete="30 C", air="25 C", humidity="50 %", wind=Q(12, "mile/h").to("m/s"), system="SI"
    )
    assert str(metric.value.units) == "kilogram / hour / meter ** 2"
    assert metric.value.m_as("lb/ft**2/h") == pytest.approx(rate())


@pytest.mark.parametrize("form", FORMS)
@given(
    concrete=st.floats(50, 110), air=st.floats(20, 110), humidity=st.floats(0, 99),
    wind=st.floats(0, 30), more=st.floats(0, 20),
)  # fmt: skip
def test_hotter_concrete_wind_and_dry_air_dry_faster(form, concrete, air, humidity, wind, more):
    def at(concrete, humidity, wind):
        return rate(
            form, concrete=Q(concrete, "degF"), air=Q(air, "degF"), humidity=Q(humidity, "percent"),
            wind=Q(wind, "mile/h"),
        )  # fmt: skip

    base = at(concrete, humidity, wind)
    assert base >= 0.0
    assert at(concrete + more, humidity, wind) >= base
    assert at(concrete, max(humidity - more, 0.0), wind) >= base
    assert at(concrete, humidity, wind + more) >= base


def test_the_scatter_and_the_trigger_are_told():
    over = evaporation(**TRUCK)
    assert over.notes == ("evaporation_rough", "evaporation_over")
    found = over.value.m_as("lb/ft**2/h")
    assert over.facts["low"].bare == pytest.approx(0.6 * found)
    assert over.facts["high"].bare == pytest.approx(1.4 * found)
    assert "0.2 lb/ft2/h or over" in told(over)
    assert "open tops, not for formed faces" in told(over)
    near = evaporation(**TRUCK | {"wind": "8 mph"})
    assert 0.2 / 1.4 < near.value.m_as("lb/ft**2/h") < 0.2
    assert near.notes == ("evaporation_rough", "evaporation_may_be_over")
    low = evaporation(**TRUCK | {"wind": "3 mph"})
    assert low.value.m_as("lb/ft**2/h") < 0.2 / 1.4
    assert low.notes == ("evaporation_rough",)
    assert "kg/m2/h" in told(evaporation(**TRUCK, system="SI"))
    damp = evaporation(**TRUCK | {"air": "110 F", "humidity": "100 %"})
    assert (damp.value.magnitude, damp.notes) == (0.0, ("no_evaporation",))


@pytest.mark.parametrize("system", ["US", "SI"])
def test_the_trigger_does_not_depend_on_the_system(system):
    def notes(wind):
        return evaporation(**TRUCK | {"wind": Q(wind, "mile/h")}, system=system).notes

    slope = rate(wind="2 mph") - rate(wind="1 mph")
    reached = 1.0 + (0.2 - rate(wind="1 mph")) / slope  # the wind at which it is 0.20
    assert "evaporation_over" in notes(reached + 0.001)
    assert "evaporation_may_be_over" in notes(reached - 0.001)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"form": "other"}, "form.*exact, rounded, inch-pound"),
        ({"humidity": Q(101, "percent")}, "humidity.*over 100"),
        ({"humidity": "120 %"}, "humidity.*out of reason"),
        ({"air": "-5 F"}, "air.*colder"),
        ({"air": "-5 F", "form": "inch-pound"}, "air.*colder"),
        ({"wind": Q(-1, "mile/h")}, "wind.*negative"),
        ({"wind": 12}, "wind = 12: a bare number"),
    ],
)
def test_evaporation_refuses(change, message):
    with pytest.raises(Refusal, match=message):
        evaporation(**{**TRUCK, **change})
