"""The unit door: everything crews write comes in, everything else is refused with a cure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formpressure import Q, Refusal
from formpressure.units import down, enter, leave, read, terms, up


@pytest.mark.parametrize(
    "text",
    [
        "8'-6\"", "8' 6\"", "8'6\"", "8 ft 6 in", "8ft-6in", "8.5 ft", "8-1/2 ft", "8 1/2 ft",
        "8½ ft", "8′-6″", "8’–6”", "8'-6", "8' 6''", "102 in", '102"', "8 feet 6 inches",
        "8 ft. 6 in.", "8.5'", "8' 6 0/1\"", "  8.5  FT ",
    ],
)  # fmt: skip
def test_eight_foot_six_every_way_crews_write_it(text):
    assert enter("height", text) == 8.5


@pytest.mark.parametrize(
    ("text", "inches"), [("8' 6 1/2\"", 102.5), ("6 1/2 in", 6.5), ("3/4 in", 0.75), ('5⅝"', 5.625)]
)
def test_fractions_of_an_inch(text, inches):
    assert enter("height", text) * 12 == pytest.approx(inches, rel=1e-15)


@pytest.mark.parametrize("inches", [*range(1, 1200)])
def test_whole_inches_survive_exactly(inches):
    assert enter("height", f"{inches} in") == inches / 12
    assert enter("height", f"{inches // 12}'-{inches % 12}\"") == inches / 12


@pytest.mark.parametrize(
    ("term", "text", "us", "si"),
    [
        ("load", "3000 lb", 3000, 13.3446648),
        ("load", "3,000 lbs", 3000, 13.3446648),
        ("load", "3 kip", 3000, 13.3446648),
        ("load", "13 kN", 2922.5163, 13),
        ("pressure", "600 psf", 600, 28.72816),
        ("pressure", "5 psi", 720, 34.4738),
        ("pressure", "60 kN/m²", 1253.126, 60),
        ("unit_weight", "150 pcf", 150, 23.5631),
        ("unit_weight", "2400 kg/m3", 149.8271, 23.53596),
        ("line_load", "100 plf", 100, 1.459390),
        ("volume", "10 yd", 10, 7.6455486),
        ("volume", "10 cu yd", 10, 7.6455486),
        ("volume", "8 m3", 10.463605, 8),
        ("temperature", "60 F", 60, 15.555556),
        ("temperature", "15 °C", 59, 15),
        ("temperature", "−5 C", 23, -5),
        ("rate", "4 ft/h", 4, 1.2192),
        ("rate", "4 ft per hour", 4, 1.2192),
        ("rate", "15 min/ft", 4, 1.2192),
        ("slump", "5 in", 5, 127),
        ("fly_ash", "20 %", 20, 20),
    ],
)
def test_each_kind_in_both_systems(term, text, us, si):
    assert enter(term, text) == pytest.approx(us, rel=1e-6)
    assert enter(term, text, "SI") == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("term", "value", "cure"),
    [
        ("height", 8, '"8 ft"'), ("height", 8.5, '"8.5 ft"'), ("height", "8", '"8 ft"'),
        ("load", "3000", '"3000 lb"'), ("height", "8 lb", "Use ft"), ("load", "8 ft", "Use lb"),
        ("height", "-8 ft", "minus"), ("height", "800 ft", "Check"), ("height", "nan ft", "8 ft"),
        ("height", "inf ft", "8 ft"), ("height", "", "8 ft"), ("height", True, "quotes"),
        ("height", None, "quotes"), ("height", float("nan"), "quotes"),
        ("height", "8' 14\"", "feet"),
        ("height", "1/0 ft", "again"), ("height", "2,5 m", "8 ft"), ("height", "8 ft" * 20, "8 ft"),
        ("height", "1e9 ft", "Use ft"), ("temperature", "60", "60 F"),
        ("temperature", "300 F", "Check"),
        ("height", "٨ ft", "8 ft"), ("volume", "10 ft", "Use yd"), ("height", ["8 ft"], "quotes"),
        ("height", "__import__('os') ft", "8 ft"), ("height", "9**9**9 ft", "8 ft"),
    ],
)  # fmt: skip
def test_what_is_not_a_value_is_refused_with_the_cure(term, value, cure):
    with pytest.raises(Refusal) as refusal:
        read(term, value)
    assert cure in refusal.value.cure
    assert "\n" not in str(refusal.value)


def test_quantities_of_any_registry_come_in_and_bare_numbers_do_not():
    import pint

    own = pint.UnitRegistry()
    assert enter("height", own.Quantity(102, "inch")) == pytest.approx(8.5)
    assert enter("load", own.Quantity(3000, "lb")) == pytest.approx(3000)
    assert enter("unit_weight", own.Quantity(2400, "kg/m**3"), "SI") == pytest.approx(23.53596)
    assert enter("height", Q(np.array([1.0, 2.0]), "m"), "SI").tolist() == [1.0, 2.0]
    for bare in (3.0, np.array([3.0])):
        with pytest.raises(Refusal, match="bare number"):
            enter("height", bare)
    with pytest.raises(Refusal, match="not a unit of length"):
        enter("height", Q(3, "kN"))


@given(st.floats(0.1, 99.0))
def test_in_and_out_again(feet):
    assert enter("height", leave("height", feet)) == pytest.approx(feet, rel=1e-14)
    assert enter("height", leave("height", feet, "SI"), "SI") == pytest.approx(feet, rel=1e-14)


def test_every_term_reads_its_own_examples():
    for name, term in terms().items():
        for example in term.example.values():
            read(name, example)


@given(st.integers(0, 4000), st.sampled_from([0.5, 0.1, 10.0]))
def test_whole_steps_stay_and_anything_more_is_rounded(count, step):
    value = count * step
    assert down(value, step) == pytest.approx(value)
    assert up(value, step) == pytest.approx(value)
    assert down(value + 0.4 * step, step) == pytest.approx(value)
    assert up(value + 0.4 * step, step) == pytest.approx(value + step)
