"""What physics says of pressures, tie loads and allowed rates, over drawn walls."""

from itertools import pairwise

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure import RULES, check, read_plan
from formpressure.allowed import STEP, shown
from formpressure.demand.ties import allowable_pressure, tie_loads, tie_rows

RULE = RULES["aci347r_2014"]


@st.composite
def walls(draw):
    """Height, rows, tie-line spacing and the rule's other inputs, bare."""
    height = draw(st.floats(2.0, 24.0))
    share = sorted(draw(st.lists(st.floats(0.03, 1.1), min_size=1, max_size=9, unique=True)))
    rows = [s * height for s in share]
    assume(rows[0] < height - 0.1 and all(b - a > 0.1 for a, b in pairwise(rows)))
    inputs = {
        "unit_weight": draw(st.floats(80.0, 200.0)),
        "rate": draw(st.floats(0.2, 18.0)),
        "temperature": draw(st.floats(40.0, 100.0)),
        "slump": 5.0, "cement": draw(st.sampled_from(["I", "IL"])),
        "retarder": draw(st.booleans()), "fly_ash": 0.0, "slag": 0.0,
        "element": draw(st.sampled_from(["wall", "column", "larger"])),
        "vibration": "internal", "vibration_depth": 3.0,
    }  # fmt: skip
    return height, tuple(rows), draw(st.floats(0.5, 4.0)), inputs


def loads(height, rows, spacing, inputs):
    envelope = RULE.envelope(height=height, **inputs)
    return tie_loads(tie_rows(rows, 0.0, height, spacing=spacing), envelope)


def never_lower(after, before):
    for model in ("tributary", "hinged", "load"):
        a, b = getattr(after, model), getattr(before, model)
        assert np.all(a >= b - 1e-9 * (1.0 + b)), model


@given(walls(), st.floats(1.0, 3.0))
def test_faster_never_lower(wall, factor):
    height, rows, spacing, inputs = wall
    faster = {**inputs, "rate": inputs["rate"] * factor}
    never_lower(loads(height, rows, spacing, faster), loads(*wall))


@given(walls(), st.floats(0.0, 60.0))
def test_colder_never_lower(wall, degrees):
    height, rows, spacing, inputs = wall
    colder = {**inputs, "temperature": max(40.0, inputs["temperature"] - degrees)}
    never_lower(loads(height, rows, spacing, colder), loads(*wall))


@given(walls(), st.floats(1.0, 1.5))
def test_taller_never_lower(wall, factor):
    height, rows, spacing, inputs = wall
    never_lower(loads(height * factor, rows, spacing, inputs), loads(*wall))


@given(walls(), st.floats(1.0, 2.0))
def test_wider_never_lower(wall, factor):
    height, rows, spacing, inputs = wall
    never_lower(loads(height, rows, spacing * factor, inputs), loads(*wall))


@given(walls(), st.floats(80.0, 200.0))
def test_heavier_never_lower_under_full_head(wall, other):
    """Under the equations Cw steps down from 139.9 to 140 pcf only upward, so both are tried."""
    height, rows, spacing, inputs = wall
    light, heavy = sorted((inputs["unit_weight"], other))
    for rate in (None, inputs["rate"]):
        pair = [{**inputs, "unit_weight": w, "rate": rate} for w in (light, heavy)]
        never_lower(loads(height, rows, spacing, pair[1]), loads(height, rows, spacing, pair[0]))


def hinged_full(*heights):
    """Loads of the hinged model with liquid concrete of 150 pcf to 8 ft, lb for a foot of wall."""
    return tie_rows(heights, 0.0, 8.0, spacing=1.0).hinged.loads(150.0, 1200.0)[-1]


def test_hinged_beams_by_hand():
    """150 pcf x the integral of (8 - y) x the share of each height, beam by beam, 8 ft.

    Two ties: the beam hangs over the upper one, (y - 1)/2 from 1 to 8, and under the lower one,
    (7 - y)/2 from 0 to 7. Three ties: 0 to 3, 1 to 5, 3 to 8. One tie: all below it, and what is
    above by its moment about the bottom, 14 + 36.
    """
    assert np.isclose(hinged_full(1.0, 3.0)[1], 150.0 * 7.0**3 / 12.0)
    under = 56.0 * 7.0 - 15.0 * 7.0**2 / 2.0 + 7.0**3 / 3.0
    assert np.isclose(hinged_full(5.0, 7.0)[0], 150.0 * under / 2.0)
    assert np.allclose(hinged_full(1.0, 3.0, 5.0), [2362.5, 1500.0, 1562.5])
    assert np.allclose(hinged_full(2.0), [7500.0])


@given(walls())
def test_tributary_shares_add_up_to_the_whole_load(wall):
    height, rows, spacing, inputs = wall
    envelope = RULE.envelope(height=height, **inputs)
    ties = tie_rows(rows, 0.0, height, spacing=spacing)
    shares = ties.tributary.loads(envelope.slope, envelope.p_max)[-1].sum()
    liquid = min(height, envelope.liquid_depth)
    whole = envelope.slope * liquid**2 / 2 + envelope.p_max * (height - liquid)
    assert np.isclose(shares, whole, rtol=1e-12)


@given(walls(), st.floats(0.0, 1.2))
def test_pressure_is_zero_above_the_surface_and_never_over_the_head(wall, share):
    height, _, _, inputs = wall
    envelope = RULE.envelope(height=height, **inputs)
    depth = share * height
    assert envelope.pressure(-depth) == 0.0
    assert envelope.pressure(depth) <= inputs["unit_weight"] * depth * (1 + 1e-12)
    assert envelope.p_max <= inputs["unit_weight"] * height * (1 + 1e-12)


def allowed_for(height, rows, spacing, inputs, capacity):
    ties = tie_rows(rows, 0.0, height, spacing=spacing)
    given_ = {k: v for k, v in inputs.items() if k != "rate"}
    pressure = allowable_pressure(ties, inputs["unit_weight"], capacity)
    return RULE.allowed_bare(pressure, height=height, **given_)


@given(walls(), st.floats(200.0, 12000.0), st.floats(1.0, 2.0))
def test_a_stronger_tie_never_lowers_the_allowed_rate(wall, capacity, factor):
    height, rows, spacing, inputs = wall
    weak = allowed_for(height, rows, spacing, inputs, capacity)
    strong = allowed_for(height, rows, spacing, inputs, capacity * factor)
    assert strong.rate >= weak.rate * (1 - 1e-9)


@given(walls(), st.floats(200.0, 12000.0), st.floats(0.0, 60.0))
def test_warmer_concrete_never_lowers_the_allowed_rate(wall, capacity, degrees):
    height, rows, spacing, inputs = wall
    cold = allowed_for(height, rows, spacing, inputs, capacity)
    warm = {**inputs, "temperature": min(100.0, inputs["temperature"] + degrees)}
    assert allowed_for(height, rows, spacing, warm, capacity).rate >= cold.rate * (1 - 1e-9)


@given(walls())
def test_ties_that_carry_just_the_full_head_take_any_rate(wall):
    """Within the one tolerance, as the check has it: a rounding must not turn GO into no rate."""
    height, rows, spacing, inputs = wall
    full = float(loads(height, rows, spacing, {**inputs, "rate": None}).load.max())
    for share, kind in ((1.0, True), (1.0 - 1e-12, True), (1.0 - 1e-6, False)):
        assert (allowed_for(height, rows, spacing, inputs, full * share).kind == "any") is kind


@settings(max_examples=200)
@given(walls(), st.floats(200.0, 12000.0), st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4))
def test_the_allowed_rate_and_every_lower_one_pass_and_one_step_faster_does_not(
    wall, capacity, shares
):
    height, rows, spacing, inputs = wall
    allowed = allowed_for(height, rows, spacing, inputs, capacity)
    top = {"any": 60.0, "none": 0.0}.get(allowed.kind, allowed.rate)
    for rate in (top, *(top * s for s in shares)):
        if rate > 0.0:
            passed = loads(height, rows, spacing, {**inputs, "rate": rate}).load.max()
            assert passed <= capacity * (1 + 1e-9)
    if allowed.kind != "any":
        faster = {**inputs, "rate": shown(allowed, "US").rate + STEP["US"]}
        assert loads(height, rows, spacing, faster).load.max() > capacity * (1 - 1e-9)


@given(st.floats(3.0, 18.0), st.floats(1000.0, 9000.0), st.floats(0.5, 12.0))
def test_the_verdict_and_the_allowed_rate_agree(height, load, rate):
    text = f"""
units = "US"
[wall]
height = "{height} ft"
[ties]
load = "{load} lb"
basis = "working load at 2:1"
heights = ["1 ft", "2.5 ft"]
spacing = "2 ft"
data_sheet = "sheet"
[concrete]
temperature = "60 F"
slump = "5 in"
mix = {{ cement = "I", retarder = false, fly_ash = "0 %", slag = "0 %" }}
vibration = {{ kind = "internal", depth = "3 ft" }}
[delivery]
fastest_rise = "{rate} ft/h"
"""
    verdict = check(read_plan(text))
    assert (verdict["ties"].status == "OK") == (rate <= verdict.allowed.rate * (1 + 1e-9))
