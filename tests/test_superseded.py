"""ACI 347-78: for old drawings only; marked, never governing."""

import math

import pytest
from plans import SMALL, complete

from formpressure import RULES, OutOfRange, Refusal, check, compare, read_plan

RULE = RULES["aci347_1978"]
OLD = {
    "unit_weight": 150.0, "temperature": 80.0, "slump": 4.0, "cement": "I", "retarder": False,
    "fly_ash": 0.0, "slag": 0.0, "vibration": "internal", "vibration_depth": 3.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("height", "rate", "element", "p"),
    [
        (15.0, 10.0, "wall", 1042.5),  # University of Florida notes, Week 7: 1042
        (15.0, 10.1, "wall", 2250.0),  # faster: w h
        (30.0, 10.0, "column", 150 + 9000 * 10 / 80),
        (30.0, 30.0, "column", 3000.0),  # ceiling of columns
        (30.0, 2.0, "wall", 600.0),  # minimum
        (3.0, 2.0, "wall", 450.0),  # never over w h
        (20.0, 5.0, "wall", 150 + 9000 * 5 / 80),  # no 14 ft split in this edition
    ],
)
def test_pressure_by_hand(height, rate, element, p):
    found = RULE.envelope(height=height, rate=rate, element=element, **OLD)
    assert found.p_max == pytest.approx(p)
    assert "superseded" in str(found.governed_by)


def test_ceiling_of_walls():
    """Cold and fast: 150 + (43400 + 2800 x 10)/40 = 1,935 psf, under 2,000; at 39 F it refuses."""
    cold = OLD | {"temperature": 40.0}
    found = RULE.envelope(height=30.0, rate=10.0, element="wall", **cold)
    assert found.p_max == pytest.approx(1935)
    with pytest.raises(OutOfRange):
        RULE.envelope(height=30.0, rate=10.0, element="wall", **(OLD | {"temperature": 39.0}))
    allowed = RULE.allowed_bare(2000.0, height=30.0, element="wall", **cold)
    assert allowed.rate == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("height", "pressure", "element", "rate", "clause"),
    [
        (3.0, 450.0, "wall", math.inf, "never over w h"),
        (30.0, 599.0, "wall", 0.0, "not less than 600 psf"),
        (30.0, 750.0, "wall", (750 - 150) * 80 / 9000, "150 + 9000 R/T"),
        (30.0, 1000.0, "wall", ((1000 - 150) * 80 - 43400) / 2800, "150 + 43400/T + 2800 R/T"),
        (30.0, 1000.0, None, (1000 - 150) * 80 / 9000, "150 + 9000 R/T"),  # larger of the two
        (30.0, 1500.0, "wall", 10.0, "walls rising faster than 10 ft/h: w h"),
        (30.0, 2000.0, "wall", 10.0, "walls rising faster than 10 ft/h: w h"),  # its ceiling passes
        (30.0, 2000.0, None, 10.0, "walls rising faster than 10 ft/h: w h"),
        (30.0, 2999.0, "column", (2999 - 150) * 80 / 9000, "150 + 9000 R/T"),
        (30.0, 3000.0, "column", math.inf, "ceilings of 2000 psf for walls"),
    ],
)
def test_allowed_rate_by_hand_and_the_clause_that_sets_it(height, pressure, element, rate, clause):
    given = OLD if element is None else OLD | {"element": element}
    allowed = RULE.allowed_bare(pressure, height=height, **given)
    assert allowed.rate == pytest.approx(rate)
    assert allowed.why.says.startswith(clause)


def test_it_never_governs():
    with pytest.raises(Refusal, match="never governs") as refusal:
        check(read_plan(SMALL + '[document]\nname = "ACI 347-78"\n', file="w.toml"))
    assert "ACI 347R-14" in refusal.value.cure
    assert str(refusal.value).startswith("w.toml: document.name")


def test_it_stands_in_the_comparison_marked_and_heads_nothing():
    rate = ('method = "chute"', 'method = "chute"\nfastest_rise = "6 ft/h"')
    text = complete(slump=('slump = "5 in"', 'slump = "4 in"'), rate=rate)
    text = text.replace('units = "US"', 'units = "US"\n[document]\ncompare = ["ACI 347-78"]')
    text = text.replace("1300 psf", "1100 psf")
    plan = read_plan(text)
    found = compare(plan).documents[-1]
    assert found.superseded
    assert found.applies
    assert found.envelope.p_max == pytest.approx(150 + 9000 * 6 / 60)
    weak = read_plan(text.replace("1100 psf", "1000 psf"))
    assert [d.rule.name for d in check(weak).others] == ["aci347_1978"]
    assert check(weak).others[0].failed
    assert check(weak).others_failing == ()
    failing = [str(d.rule.document) for d in compare(weak).failing]
    assert failing[0] == "ACI 347-04"
    assert "ACI 347-78" not in failing
