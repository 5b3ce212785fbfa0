"""The arithmetic written out: the kernel's answer, and right by its own numbers."""

import re
from math import sqrt

import draws
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formpressure import RULES
from formpressure.pressure._aci347_steps import number, steps, tex
from formpressure.report.mathml import mathml
from formpressure.report.words import words

RULE_NAMES = ["aci347_2004", "aci347r_2014", "aci347r_2014_si"]
US = {
    "height": 9.0, "unit_weight": 150.0, "rate": 4.0, "temperature": 60.0, "slump": 5.0,
    "cement": "II", "retarder": False, "fly_ash": 0.0, "slag": 0.0, "element": "wall",
    "vibration": "internal", "vibration_depth": 3.0,
}  # fmt: skip
SI = US | {
    "height": 2.7, "unit_weight": 23.53596, "rate": 1.2, "temperature": 15.0, "slump": 125.0,
    "vibration_depth": 1.0,
}  # fmt: skip


def envelope(**changes):
    return RULES["aci347r_2014"].envelope(**US | changes)


def plains(**changes):
    return {s.name: s.plain for s in steps(envelope(**changes))}


def evaluated(plain):
    """(what the numbers of the last line but one give, what the line says), by plain arithmetic."""
    line = plain.split("; ")[-1]
    _, *sides = line.split(" = ")
    said = float(re.match(r"[\d.,]+", sides[-1])[0].replace(",", ""))
    if len(sides) < 3:
        return said, said
    code = re.sub(r"(?<=\d),(?=\d{3})", "", sides[-2]).replace("×", "*")
    code = code.replace("²", "**2").replace("−", "-")
    assert re.fullmatch(r"[\d.+*/(), maxin-]+", code.replace("sqrt", "")), code
    return eval(code, {"sqrt": sqrt}), said


def test_the_demo_by_hand():
    """Equation (b) by hand: 150 + 9000 x 4/60 = 750 psf, under 150 x 9 = 1,350."""
    found = plains()
    assert found["head"] == "p(head) = w h = 150 × 9 = 1,350 psf"
    assert found["equation_b"] == (
        "p(b) = Cw Cc (150 + 9,000 R/T) = 1 × 1 × (150 + 9,000 × 4/60) = 750 psf"
    )
    assert found["cap"] == "p = min(p1, p(head)) = min(750, 1,350) = 750 psf"


def test_si_numbers_are_the_documents_own():
    """Equation (b), SI set: 7.2 + 785 x 1.2/(15 + 17.8) = 35.92 kPa."""
    found = {s.name: s for s in steps(RULES["aci347r_2014_si"].envelope(**SI))}
    assert found["equation_b"].plain == (
        "p(b) = Cw Cc (7.2 + 785 R/(T + 17.8)) = 1 × 1 × (7.2 + 785 × 1.2/32.8) = 35.92 kPa"
    )
    assert found["temperature"].plain == "T + 17.8 = 15 + 17.8 = 32.8"
    assert "2,400 kg/m³" in found["cw_normal"].plain
    assert r"\frac{785 \times 1.2}{32.8}" in found["equation_b"].tex


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({}, ["slow_and_low", "equation_b"]),
        ({"element": "column", "rate": 10.0}, ["equation_b"]),
        ({"rate": 8.0}, ["fast_or_tall", "equation_c"]),
        ({"height": 15.0}, ["fast_or_tall", "equation_c"]),
        ({"height": 15.0, "element": "larger"}, ["fast_or_tall", "equation_c", "equation_b"]),
    ],
)
def test_the_equation_follows_rate_and_height(changes, names):
    found = [s.name for s in steps(envelope(**changes))]
    assert found[-2 - len(names) : -2] == names
    assert found[-2:] == ["minimum", "cap"]


@pytest.mark.parametrize(
    ("changes", "name", "says"),
    [
        ({"rate": 15.5}, "fast", "R = 15.5 > 15 ft/h"),
        ({"slump": 8.0}, "wet", "slump = 8 > 7 in"),
        ({"vibration_depth": 5.0}, "vibrated", "depth = 5 > 4 ft"),
        ({"vibration": "external", "vibration_depth": None}, "vibrated", "p = p(head)"),
        ({"self_consolidating": True}, "flowing", "p = p(head) = 1,350 psf"),
        ({"temperature": None}, "unknown", "p = p(head) = 1,350 psf"),
        ({"vibration_depth": None}, "unknown", "p = p(head) = 1,350 psf"),
        ({"from_base": True}, "from_base", "p = 1.25 p(head) = 1.25 × 1,350 = 1,687.5 psf"),
    ],
)
def test_where_liquid_head_is_all_there_is_the_reason_stands_there(changes, name, says):
    found = steps(envelope(**changes))
    assert [s.name for s in found] == ["head", name]
    assert says in found[-1].plain


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({}, "cc_plain"),
        ({"retarder": None}, "cc_plain_retarded"),
        ({"cement": "IL"}, "cc_other"),
        ({"cement": None, "retarder": True}, "cc_other_retarded"),
        ({"fly_ash": 20.0, "slag": 35.0}, "cc_blend"),
        ({"slag": None}, "cc_unknown"),
        ({"chemistry": 1.2}, "cc_given"),
        ({"unit_weight": 100.0}, "cw_light"),
        ({"unit_weight": 160.0}, "cw_heavy"),
    ],
)
def test_the_row_of_a_coefficient_is_named(changes, name):
    assert name in plains(**changes)


def maybe(strategy):
    return st.none() | strategy


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_last_line_is_the_kernels_answer_and_every_line_adds_up(data):
    name = data.draw(st.sampled_from(RULE_NAMES))
    rule = RULES[name]
    us = rule.system == "US"

    def number_in(low, high, si=1.0):
        low, high = (low, high) if us else (low * si, high * si)
        return st.floats(low, high).map(lambda x: float(f"{x:.4g}"))

    found = rule.envelope(
        height=data.draw(number_in(1, 30, 0.3)),
        unit_weight=data.draw(number_in(80, 180, 0.157)),
        rate=data.draw(maybe(number_in(0.2, 20, 0.3))),
        temperature=data.draw(maybe(st.floats(40, 100) if us else st.floats(5, 37))),
        slump=data.draw(maybe(number_in(0, 9, 25))),
        cement=data.draw(st.sampled_from([None, "I", "IL"])),
        retarder=data.draw(maybe(st.booleans())),
        fly_ash=data.draw(maybe(st.sampled_from([0.0, 20.0, 50.0]))),
        slag=data.draw(maybe(st.sampled_from([0.0, 35.0]))),
        element=data.draw(st.sampled_from(["wall", "column", "larger"])),
        vibration=data.draw(st.sampled_from([None, "internal", "external"])),
        vibration_depth=data.draw(maybe(number_in(0, 6, 0.3))),
        self_consolidating=data.draw(st.booleans()),
        from_base=data.draw(st.sampled_from([False, False, True])),
    )
    lines = steps(found)
    assert lines[-1].value == pytest.approx(found.own_p_max, rel=1e-12)
    assert lines[-1].clause.document == str(rule.document)
    for line in lines:
        by_hand, said = evaluated(line.plain)
        if not line.name.endswith(("within", "low", "tall")):
            assert said == pytest.approx(by_hand, rel=2e-3)
        assert line.name in words()["step"]
        assert "<math" in mathml(line.tex, line.plain)


@pytest.mark.parametrize("name", [name for name in RULES if RULES[name].symbols])
def test_every_rule_that_writes_its_steps_writes_them_right(name):
    rule, rng, seen = RULES[name], np.random.default_rng(3), set()
    for _ in range(60):
        given_ = draws.one(draws.inputs(rule, rng, count=2), 0)
        found = rule.envelope(**given_)
        lines = rule.steps(found)
        assert lines[-1].value == pytest.approx(found.own_p_max, rel=1e-12)
        for line in lines:
            by_hand, said = evaluated(line.plain)
            if not line.name.endswith(("within", "low", "tall")):
                assert said == pytest.approx(by_hand, rel=4e-3), line.plain
            assert line.name in words()["step"]
            assert "<math" in mathml(line.tex, line.plain)
            seen.add(line.name)
    assert len(seen) > 6


def test_ciria_by_hand():
    found = RULES["ciria108_1985"].envelope(
        height=3.0, form_height=6.0, unit_weight=25.0, rate=2.0, temperature=15.0, element="wall",
        vibration="internal", chemistry=0.3,
    )  # fmt: skip
    lines = {s.name: s.plain for s in found.rule.steps(found)}
    assert lines["ciria_k"] == "K = (36/(T + 16))² = (36/(15 + 16))² = 1.349"
    assert lines["ciria_equation"] == (
        "p1 = D (a + C2 K sqrt(H − a)) = 25 × (1.414 + 0.3 × 1.349 × sqrt(6 − 1.414)) = 57.01 kPa"
    )


def test_din_by_hand():
    found = RULES["din18218_2010"].envelope(
        height=4.0, unit_weight=25.0, rate=2.0, consistency="F3", setting_time=7.0, plumb=True,
        setting_temperature=15.0, temperature=15.0, vibration="internal", vibration_depth=0.9,
        tight_face=True,
    )  # fmt: skip
    lines = {s.name: s.plain for s in found.rule.steps(found)}
    assert lines["din_equation"] == (
        "p1 = (14 v + 18) K1 gamma/25 = (14 × 2 + 18) × 1.16 × 25/25 = 53.36 kPa"
    )
    assert lines["cap"] == "p = min(p2, p(head)) = min(53.36, 100) = 53.36 kPa"


def test_a_wrong_line_is_noticed():
    by_hand, said = evaluated("p(b) = Cw Cc (150) = 1 × 1 × (150 + 9,000 × 4/60) = 850 psf")
    assert said != pytest.approx(by_hand, rel=2e-3)


def test_arrays_have_no_steps():
    import numpy as np

    many = RULES["aci347r_2014"].envelope(**US | {"rate": np.array([1.0, 2.0])})
    with pytest.raises(ValueError, match="single case"):
        steps(many)


def test_numbers_keep_four_digits():
    assert [number(x) for x in (43400.0, 749.94, 23.53596, 4.0, 0.8)] == [
        "43,400", "749.9", "23.54", "4", "0.8",
    ]  # fmt: skip
    assert tex(43400.0) == "43{,}400"


def test_self_compacting_by_hand():
    """(1.0 + 0.26 x 1 x 5) 25 = 57.5 kPa."""
    found = RULES["din18218_2010"].envelope(
        height=4.0, unit_weight=25.0, rate=1.0, consistency="SCC", setting_time=5.0, plumb=True,
        setting_temperature=15.0, temperature=15.0, vibration="none", tight_face=True,
    )  # fmt: skip
    lines = {s.name: s.plain for s in found.rule.steps(found)}
    assert any("(1.0 + 0.26 × 1 × 5) × 25 = 57.5 kPa" in line for line in lines.values())
