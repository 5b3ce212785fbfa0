"""Rails against closed forms. Each states its source; "statics" is derived where it stands."""

import numpy as np
import pytest

from formpressure.statics.grillage import Wall
from formpressure.statics.load import LineLoad, force_between, moment_between, nodal_forces
from formpressure.statics.missing import remove_each, remove_each_hinged, simple_spans
from formpressure.statics.rail import Rail, rail_response, solve_rail
from formpressure.statics.wall import solve_wall

W, L, EI = 2.5, 1.75, 3.1  # any load, span and stiffness
DECAY = np.sqrt(3.0) - 2.0  # of support moments along a long beam: m[i-1] + 4 m[i] + m[i+1] = 0

# Continuous beams on rigid supports at equal spans, reactions over W L; a triangular load is W at
# the first support and 0 at the last. Source: statics, Clapeyron's theorem of three moments.
BEAMS = {
    (2, "uniform"): [3 / 8, 5 / 4, 3 / 8],
    (2, "triangle"): [17 / 48, 5 / 8, 1 / 48],
    (3, "uniform"): [2 / 5, 11 / 10, 11 / 10, 2 / 5],
    (3, "triangle"): [11 / 30, 4 / 5, 3 / 10, 1 / 30],
    (4, "uniform"): [11 / 28, 8 / 7, 13 / 14, 8 / 7, 11 / 28],
    (4, "triangle"): [251 / 672, 99 / 112, 13 / 28, 29 / 112, 13 / 672],
}
# Largest moments of the same beams under a uniform load over W L**2: at the supports, and the
# largest between. Source: statics, from the reactions R above: in the end span (R / W L)**2 / 2.
SUPPORT_MOMENTS = {2: [1 / 8], 3: [1 / 10, 1 / 10], 4: [3 / 28, 1 / 14, 3 / 28]}


def line(spans, load="uniform", **more):
    """A rail of equal spans and its load."""
    end = {"uniform": W, "triangle": 0.0}[load]
    rail = Rail(0.0, spans * L, L * np.arange(spans + 1), EI, **more)
    return rail, LineLoad([0.0, spans * L], [W, end])


@pytest.mark.parametrize(("spans", "load"), BEAMS)
def test_reactions(spans, load):
    wanted = W * L * np.array(BEAMS[spans, load])
    found = solve_rail(*line(spans, load)).tie_force
    np.testing.assert_allclose(found, wanted, rtol=1e-9)


@pytest.mark.parametrize("spans", SUPPORT_MOMENTS)
def test_moments(spans):
    result = solve_rail(*line(spans))
    sections = result.sections()
    wanted = W * L**2 * np.array(SUPPORT_MOMENTS[spans])
    np.testing.assert_allclose(-sections.moment[1:-1], wanted, rtol=1e-9)
    assert sections.peak_moment == pytest.approx(-wanted[0], rel=1e-9)
    R = result.tie_force[0]
    np.testing.assert_allclose(sections.shear_above[0], R, rtol=1e-9)
    np.testing.assert_allclose(sections.shear_below[1], R - W * L, rtol=1e-9)


def test_simple_beam():
    """5 w L^4 / 384 EI, w L^2 / 8, w L / 2, end slope w L^3 / 24 EI. Source: statics."""
    result = solve_rail(*line(1))
    assert result.deflection_at(L / 2)[0] == pytest.approx(5 * W * L**4 / 384 / EI, rel=1e-12)
    assert result.sections().peak_moment == pytest.approx(W * L**2 / 8, rel=1e-12)
    assert result.sections().peak_moment_at == pytest.approx(L / 2, rel=1e-12)
    assert abs(result.sections().peak_shear) == pytest.approx(W * L / 2, rel=1e-12)
    assert result.rotation[0] == pytest.approx(W * L**3 / 24 / EI, rel=1e-12)


def test_simple_beam_triangle():
    """Peak moment w L^2 / (9 sqrt 3) at L / sqrt 3 from the unloaded end. Source: statics,
    M = w x (L^2 - x^2) / 6 L."""
    sections = solve_rail(*line(1, "triangle")).sections()
    assert sections.peak_moment == pytest.approx(W * L**2 / 9 / np.sqrt(3), rel=1e-12)
    assert sections.peak_moment_at == pytest.approx(L - L / np.sqrt(3), rel=1e-12)


def test_overhang():
    """Free end of an overhang a beyond a simple span: (w a^3 / 24 EI) (4 L + 3 a) where only the
    overhang is loaded. Source: statics, slope w a^2 L / 6 EI at the support and w a^4 / 8 EI. The
    tie below would have to push, so it stands as a base, which may."""
    a = 0.6
    rail = Rail(0.0, L + a, [L], EI, base=np.inf)
    result = solve_rail(rail, LineLoad([L, L + a], [W, W]))
    assert result.deflection[-1] == pytest.approx(W * a**3 * (4 * L + 3 * a) / 24 / EI, rel=1e-12)
    assert result.base_force == pytest.approx(-W * a**2 / 2 / L, rel=1e-12)


@pytest.mark.parametrize("k", [1e-3, 0.7, 40.0, 1e6, np.inf])
def test_two_spans_on_a_spring(k):
    """R = (5/4) w L / (1 + 6 EI / k L^3): the middle would sink 5 w (2L)^4 / 384 EI and a force
    there lifts it by R (2L)^3 / 48 EI, what is left is R / k. Source: statics."""
    rail, load = line(2, stiffness=[np.inf, k, np.inf])
    wanted = 1.25 * W * L / (1 + 6 * EI / (k * L**3))
    assert solve_rail(rail, load).tie_force[1] == pytest.approx(wanted, rel=1e-9)


def test_slack_middle_tie():
    """A gap g before the middle tie pulls: R = (5 w (2L)^4 / 384 EI - g) 48 EI / (2L)^3 or 0, and
    the outer ties take the rest. Source: statics, as above."""
    sag = 5 * W * (2 * L) ** 4 / 384 / EI
    for gap in np.array([0.0, 0.4, 0.99, 1.01, 3.0]) * sag:
        rail, load = line(2, gap=[0.0, gap, 0.0])
        result = solve_rail(rail, load)
        wanted = max(sag - gap, 0.0) * 48 * EI / (2 * L) ** 3
        np.testing.assert_allclose(result.tie_force[1], wanted, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(result.tie_force[0], W * L - wanted / 2, rtol=1e-9)
        assert result.opening[1] == pytest.approx(max(gap - sag, 0.0), abs=1e-12)


@pytest.mark.parametrize(("p0", "p1"), [(1.0, 1.0), (0.0, 1.0), (1.0, 0.0), (2.0, -1.0)])
def test_fixed_ends(p0, p1):
    """Fixed-end forces (7 p0 + 3 p1) L / 20, (3 p0 + 2 p1) L^2 / 60, the other end mirrored.
    Source: statics, integrals of the load with the cubic shape functions."""
    found = nodal_forces(LineLoad([0.0, L], [p0, p1]), [0.0, L])
    wanted = [
        [(7 * p0 + 3 * p1) * L / 20, (3 * p0 + 2 * p1) * L**2 / 60],
        [(3 * p0 + 7 * p1) * L / 20, -(2 * p0 + 3 * p1) * L**2 / 60],
    ]
    np.testing.assert_allclose(found, wanted, rtol=1e-12)


def test_half_loaded_fixed_span():
    """Uniform load on the lower half: moments 11 w L^2 / 192 and 5 w L^2 / 192, forces 13/32 and
    3/32 of w L. Source: statics, integrals of the shape functions from 0 to L / 2."""
    found = nodal_forces(LineLoad([0.0, L / 2], [W, W]), [0.0, L])
    wanted = np.array([[13 / 32, 11 * L / 192], [3 / 32, -5 * L / 192]]) * W * L
    np.testing.assert_allclose(found, wanted, rtol=1e-12)


def test_trapezoid():
    """Area and first moment of p from 4 to 1 over 0 to 6: 15 and 36. Source: statics."""
    load = LineLoad([0.0, 6.0], [4.0, 1.0])
    assert force_between(load, [0.0], [6.0]) == pytest.approx(15.0, rel=1e-14)
    assert moment_between(load, [0.0], [6.0], about=[0.0]) == pytest.approx(36.0, rel=1e-14)


# A long line of ties under a uniform load, rigid supports. The moments of a long beam differ from
# -1/12 w L^2 by an amount that falls by the factor DECAY from support to support.


def interior_gap():
    """One inner tie out: moment m at both neighbours and pull of a neighbour, over w L^2 and w L.

    Three moments about the neighbour, spans 1 and 2, with the same m beyond the gap:
    m_beyond + 2 (1 + 2) m + 2 m = -(1 + 8) / 4 and m_beyond + 1/12 = DECAY (m + 1/12).
    """
    m = (-9 / 4 + (1 - DECAY) / 12) / (8 + DECAY)
    m_beyond = -1 / 12 + DECAY * (m + 1 / 12)
    return m, 1.0 + 0.5 + m_beyond - m


def test_inner_tie_out_of_a_long_line():
    """Neighbours 1.746, the next 0.688, moment 3.33 times what they were. Source: statics."""
    m, pull = interior_gap()
    n = 61
    rail, load = line(n - 1)
    found = remove_each(rail_response(rail, load))
    middle = n // 2
    assert found.held.all()
    growth = found.growth()[middle]
    assert growth[middle - 1] == pytest.approx(pull, rel=1e-9)
    assert growth[middle + 1] == pytest.approx(pull, rel=1e-9)
    assert pull == pytest.approx(1.75, abs=0.005)
    gone = np.arange(n) == middle
    moment = solve_rail(rail, load, gone).sections().peak_moment
    assert moment == pytest.approx(m * W * L**2, rel=1e-9)
    assert moment / (-W * L**2 / 12) == pytest.approx(3.33, abs=0.005)


def test_end_tie_out_of_a_long_line():
    """First tie left 2.03 w L, 1.79 times its own normal 1.13; moment w L^2 / 2. Source: statics:
    with all ties m1 = -(1 - DECAY) / 12, m2 = -(1 - DECAY^2) / 12; with the end tie out
    m1 = -1/2, m2 = -1/12 + DECAY (-1/2 + 1/12); pull 1 + (0 or 1/2) - m1 + m2 - m1 or as below."""
    m1, m2 = -(1 - DECAY) / 12, -(1 - DECAY**2) / 12
    normal = 1.0 - m1 + (m2 - m1)
    without = 1.0 + 0.5 + (0.5 - 1 / 12 + DECAY * (1 / 12 - 0.5))
    rail, load = line(60)
    found = remove_each(rail_response(rail, load))
    assert found.before[1] == pytest.approx(normal * W * L, rel=1e-9)
    assert found.after[0, 1] == pytest.approx(without * W * L, rel=1e-9)
    assert found.growth()[0, 1] == pytest.approx(1.79, abs=0.005)
    gone = np.arange(61) == 0
    peak = solve_rail(rail, load, gone).sections().peak_moment
    assert peak == pytest.approx(-W * L**2 / 2, rel=1e-9)


def test_hinged_line_one_out():
    """Simple beams: the span doubles, so the neighbours carry 1.5 times. Source: statics."""
    rail, load = line(20)
    found = remove_each_hinged(load, rail.bottom, rail.top, rail.heights, jointed=False)
    np.testing.assert_allclose(found.before[1:-1], W * L, rtol=1e-12)
    assert found.growth()[10, 9] == pytest.approx(1.5, rel=1e-9)
    assert found.growth()[10, 11] == pytest.approx(1.5, rel=1e-9)
    np.testing.assert_allclose(found.growth()[10, [2, 5, 8, 12, 15]], 1.0, rtol=1e-9)
    assert list(np.flatnonzero(~found.held)) == [0, 20]  # an end beam would turn about a hinge
    assert not remove_each_hinged(load, rail.bottom, rail.top, rail.heights).held.any()


def test_simple_spans_with_overhangs():
    """Two ties at 1 and 3 under w from 0 to 3.5: moments about each. Source: statics."""
    found = simple_spans(LineLoad([0.0, 3.5], [W, W]), 0.0, 3.5, [1.0, 3.0])
    np.testing.assert_allclose(found, W * 3.5 * np.array([3 - 1.75, 1.75 - 1]) / 2, rtol=1e-12)


# Liquid rising to s in a form from 0 to 8, ties at 1, 3, 5. With the surface above the top tie the
# moments are -w (s/2 - 1/6) at the lowest tie and -w (s - 5)^3 / 6 at the top one, three moments
# about the middle tie, spans 2 and 2, give 2 m1 + 8 m2 + 2 m3 = -4 w (s - 3), and so the middle tie
# carries w [5/2 (s - 3) - 3/4 (s/2 - 1/6) - (s - 5)^3 / 8], which is greatest where
# (s - 5)^2 = 17/3: at s = 7.38, and less at 8. Source: statics.
UNIT_WEIGHT = 150.0
WORST = 5.0 + np.sqrt(17.0 / 3.0)


def middle_tie(s):
    bracket = 2.5 * (s - 3.0) - 0.75 * (s / 2.0 - 1.0 / 6.0) - (s - 5.0) ** 3 / 8.0
    return UNIT_WEIGHT * bracket


def rising(levels):
    s = np.asarray(levels, float)
    nothing = np.zeros_like(s)
    return LineLoad(np.stack([nothing, s], -1), np.stack([UNIT_WEIGHT * s, nothing], -1))


def test_a_middle_tie_peaks_before_the_form_is_full():
    levels = np.linspace(5.0, 8.0, 301)
    result = solve_rail(Rail(0.0, 8.0, [1.0, 3.0, 5.0], EI), rising(levels))
    assert result.held.all()
    np.testing.assert_allclose(result.tie_force[:, 1], middle_tie(levels), rtol=1e-9)
    worst = levels[np.argmax(result.tie_force[:, 1])]
    assert worst == pytest.approx(WORST, abs=0.01)
    assert worst < 7.5
    full = result.tie_force[-1, 1]
    assert result.tie_force[:, 1].max() / full == pytest.approx(middle_tie(WORST) / 937.5, abs=1e-4)
    # the other two only grow
    assert (np.diff(result.tie_force[:, [0, 2]], axis=0) > 0.0).all()


def test_before_the_second_tie_nothing_holds_a_rail_without_a_base():
    """Load below the lowest tie alone turns the rail about it, and a tie cannot push. Statics."""
    rail = Rail(0.0, 8.0, [1.0, 3.0, 5.0], EI)
    result = solve_rail(rail, rising([0.5, 1.0, 2.9, 3.1]))
    assert result.held.tolist() == [False, False, False, True]
    assert np.isnan(result.tie_force[:3]).all()
    held = solve_rail(Rail(0.0, 8.0, [1.0, 3.0, 5.0], EI, base=np.inf), rising([0.5, 1.0]))
    assert held.held.all()
    # base and lowest tie: moments about the base, W s/3 over 1
    wanted = UNIT_WEIGHT * np.array([0.5, 1.0]) ** 3 / 6
    np.testing.assert_allclose(held.tie_force[:, 0], wanted, rtol=1e-12)


def test_rails_share_a_load_through_a_rigid_wale():
    """Three rails on stiff ties top and bottom, load on the middle one, and a wale at mid-height.

    Middle rail sinks by 5 w H^4 / 384 EI - R H^3 / 48 EI at mid-height, side rails by R/2 H^3 / 48
    EI, the wale over 2 b by R (2b)^3 / 48 EIw more in the middle. Source: statics.
    """
    H, b, EIw, k = 2.0, 1.3, 7.0, 1e9
    wall = Wall(0.0, H, [0.0, b, 2 * b], [0.0, H], EI, k, [H / 2], EIw)
    load = LineLoad([0.0, H], np.array([[0.0, 0.0], [W, W], [0.0, 0.0]]))
    result = solve_wall(wall, load)
    flexible = H**3 / 48 / EI * 1.5 + (2 * b) ** 3 / 48 / EIw
    R = 5 * W * H**4 / 384 / EI / flexible
    np.testing.assert_allclose(result.tie_force[0], R / 4, rtol=1e-7)  # k is not quite rigid
    np.testing.assert_allclose(result.tie_force[1], (W * H - R) / 2, rtol=1e-7)
    assert result.wale_moments()[0, 0, 1] == pytest.approx(R * 2 * b / 4, rel=1e-7)
    middle = result.rail_sections().moment[1, 1]
    assert middle == pytest.approx(W * H**2 / 8 - R * H / 4, rel=1e-7)
