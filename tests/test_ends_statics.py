"""Loads of ends and odd places as statics has them: free bodies, integrals, worst surfaces."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import SMALL

from formpressure import read_plan
from formpressure.case import set_up
from formpressure.demand import ends
from formpressure.demand.ties import tie_loads, tie_rows

STEADY = settings(deadline=None, derandomize=True, max_examples=60)

# The free bodies that the docstrings describe.


@given(st.floats(0.1, 5.0), st.floats(0.0, 5.0))
def test_both_faces_of_a_leg_carry_p_t(thickness, beyond):
    first_tie = thickness + beyond
    outer = ends.corner_width(first_tie, thickness)
    pushed_together = (first_tie - thickness) / 2.0
    assert outer - pushed_together == pytest.approx(thickness)
    assert outer >= first_tie / 2.0  # the end bay as a simple span
    assert 2.0 * ends.bulkhead_width(thickness) == thickness


def test_a_first_tie_inside_the_other_leg_never_lowers_the_pull_under_p_t():
    assert ends.corner_width(0.2, 1.0) == 1.0
    assert ends.corner_width(1.0, 1.0) == 1.0


@st.composite
def walls(draw):
    """An envelope and the rows of a placement; bare, US."""
    start = draw(st.floats(0.0, 4.0))
    top = start + draw(st.floats(2.0, 20.0))
    shares = sorted(draw(st.sets(st.integers(1, 19), min_size=1, max_size=6)))
    rows = tie_rows(tuple(start + s / 20 * (top - start) for s in shares), start, top, spacing=2.0)
    head = f'units = "US"\nwall = {{ height = "{top} ft" }}\n'
    ties = (
        'ties = { load = "1 kip", basis = "breaking load", heights = ["1 ft"], spacing = "2 ft" }'
    )
    full = set_up(read_plan(head + ties)).liquid_head()
    return replace(full, own_p_max=full.p_max * draw(st.floats(0.02, 1.0))), rows


def summed(envelope, low, high, surface, weight=lambda z: 1.0):
    """The integral by the midpoint rule."""
    edges = np.linspace(low, high, 20001)
    z = (edges[1:] + edges[:-1]) / 2.0
    return float(np.sum(envelope.pressure(surface - z) * weight(z)) * (high - low) / 20000)


@STEADY
@given(walls(), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.1, 1.2))
def test_integrals_are_exact(wall, a, b, c):
    envelope, rows = wall
    height = rows.top - rows.start
    low, high = (rows.start + share * height for share in sorted((a, b)))
    surface = rows.start + c * height
    close = {"rel": 1e-6, "abs": 1e-4 * (1.0 + height) * height}
    assert ends.force(envelope, low, high, surface) == pytest.approx(
        summed(envelope, low, high, surface), **close
    )
    for about, arm in ((low, lambda z: z - low), (high, lambda z: high - z)):
        assert ends.moment(envelope, low, high, about, surface) == pytest.approx(
            summed(envelope, low, high, surface, arm), **close
        )


@STEADY
@given(walls())
def test_kick_out_is_no_less_than_a_beam_hinged_at_foot_and_tie(wall):
    envelope, rows = wall
    first = rows.heights[0]
    span = first - rows.start
    hinged = ends.moment(envelope, rows.start, first, first, rows.top) / span
    assert ends.kick_out(envelope, rows) >= hinged * (1.0 - 1e-9)
    for surface in np.linspace(rows.start, rows.top, 7):  # the top is the worst surface
        lower = ends.force(envelope, rows.start, (rows.start + first) / 2.0, surface)
        assert lower <= ends.kick_out(envelope, rows) * (1.0 + 1e-9)


@STEADY
@given(walls(), st.floats(0.01, 0.9), st.floats(0.05, 0.9))
def test_no_surface_lifts_a_buck_more(wall, at, tall):
    envelope, rows = wall
    sill = rows.start + at * (rows.top - rows.start)
    head = sill + tall * (rows.top - rows.start)
    worst = ends.buck_uplift(envelope, rows, sill, head, 4.0, 1.0)
    for surface in np.linspace(rows.start, rows.top, 41):
        net = 4.0 * (envelope.pressure(surface - sill) - envelope.pressure(surface - head))
        assert net <= worst * (1.0 + 1e-9) + 1e-9


@STEADY
@given(walls(), st.floats(0.2, 3.0))
def test_a_stop_is_a_tie_line_as_wide_as_the_wall_and_a_jamb_the_same_without_ends(wall, thickness):
    envelope, rows = wall
    heights = tuple(float(y) for y in rows.heights)
    line = tie_loads(replace(rows, width=thickness), envelope)
    stop = ends.bulkhead_holds(envelope, heights, rows, thickness)
    jamb = ends.jamb_struts(envelope, rows, heights, rows.start, rows.top + 1.0, thickness)
    np.testing.assert_allclose(stop.load, line.load, rtol=1e-12)
    np.testing.assert_allclose(jamb.load, line.load, rtol=1e-12)


@STEADY
@given(walls(), st.floats(0.0, 0.6), st.floats(0.1, 0.5))
def test_struts_of_a_jamb_carry_what_stands_against_it(wall, at, tall):
    """Half-way, at full liquid head, the struts share the whole load from sill to head."""
    envelope, rows = wall
    height = rows.top - rows.start
    sill, head = rows.start + at * height, rows.start + (at + tall) * height
    struts = (sill + 0.2 * tall * height, sill + 0.5 * tall * height, sill + 0.9 * tall * height)
    loads = ends.jamb_struts(envelope, rows, struts, sill, head, 1.0)
    total = ends.force(envelope, sill, head, rows.top)
    by_half = loads.rows.tributary.loads(envelope.slope, envelope.p_max)[-1]  # surface at the top
    assert by_half.sum() == pytest.approx(total, rel=1e-9)
    assert loads.load.sum() >= total * (1.0 - 1e-9)


def test_a_level_written_twice_is_one_level():
    case = set_up(read_plan(SMALL))
    full, rows = case.liquid_head(), case.rows
    once = ends.bulkhead_holds(full, (1.0, 3.0, 5.0, 7.0), rows, 1.0)
    twice = ends.bulkhead_holds(
        full, (7.0, 1.0, 3.0, 3.0 * (1.0 + 1e-15), 7.0 + 5e-9, 5.0), rows, 1.0
    )
    np.testing.assert_allclose(twice.load, once.load, rtol=1e-12)


def test_struts_off_the_jamb_and_concrete_that_is_hard_do_not_count():
    rows = tie_rows((1.0, 3.0, 5.0, 7.0), 2.0, 8.0, spacing=2.0)
    full = set_up(read_plan(SMALL)).liquid_head()  # 150 pcf
    alone = ends.jamb_struts(full, rows, (3.0,), 1.0, 4.0, 1.0)  # the sill is in hardened concrete
    assert alone.tributary[0] == pytest.approx(150 * 5 * 2)  # 2 to 4 ft, 5 ft deep in the middle
    more = ends.jamb_struts(full, rows, (1.5, 2.0, 3.0, 4.0, 4.5), 1.0, 4.0, 1.0)
    np.testing.assert_allclose(more.load, alone.load)


def test_the_whole_load_on_a_stop():
    """0.5 w h^2 t = 4,000 lb on 8 ft, 10 in; capped at 600 psf it is 600 (4/2 + 4) x 10/12."""
    case = set_up(read_plan(SMALL))
    full = case.liquid_head()
    assert ends.force(full, 0.0, 8.0, 8.0) * 10 / 12 == pytest.approx(4000.0)
    capped = replace(full, own_p_max=600.0)
    assert ends.force(capped, 0.0, 8.0, 8.0) * 10 / 12 == pytest.approx(3000.0)
    one = ends.bulkhead_holds(capped, (4.0,), case.rows, 10 / 12)
    assert one.tributary[0] == pytest.approx(3000.0)
