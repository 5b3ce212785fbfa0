"""Line loads: exact against rational arithmetic; what is refused."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formpressure.errors import Refusal
from formpressure.statics.load import (
    LineLoad,
    end_values,
    force_between,
    moment_between,
    nodal_forces,
)

steady = settings(max_examples=100)


def times(a, b):
    """Product of two polynomials, lowest power first."""
    out = [Fraction(0)] * (len(a) + len(b) - 1)
    for i, x in enumerate(a):
        for j, z in enumerate(b):
            out[i + j] += x * z
    return out


def integral(a, low, high):
    return sum(c * (high ** (n + 1) - low ** (n + 1)) / (n + 1) for n, c in enumerate(a))


def exactly(y, p, low, high, shape):
    """Integral of the load times a polynomial between two heights, in fractions."""
    total = Fraction(0)
    for (y0, p0), (y1, p1) in pairwise(zip(y, p, strict=True)):
        a, b = max(y0, low), min(y1, high)
        if b > a:
            slope = (p1 - p0) / (y1 - y0)
            total += integral(times([p0 - slope * y0, slope], shape), a, b)
    return total


def shapes(low, high):
    """The four cubic shape functions of an element, as polynomials of the height."""
    h = high - low
    x = [-low / h, 1 / h]
    xx = times(x, x)
    xxx = times(xx, x)

    def sum_of(*terms):
        out = [Fraction(0)] * 4
        for factor, polynomial in terms:
            for n, c in enumerate(polynomial):
                out[n] += factor * c
        return out

    one = [Fraction(1)]
    return [
        sum_of((1, one), (-3, xx), (2, xxx)),
        sum_of((h, x), (-2 * h, xx), (h, xxx)),
        sum_of((3, xx), (-2, xxx)),
        sum_of((-h, xx), (h, xxx)),
    ]


quarters = st.integers(0, 32).map(lambda n: Fraction(n, 4))


@st.composite
def loads(draw):
    """Points and steps at quarters from 0 to 8, loads of either sign."""
    y = sorted(draw(st.lists(quarters, min_size=2, max_size=6)))
    p = [Fraction(draw(st.integers(-20, 20)), 8) for _ in y]
    return y, p


def floats(values):
    return [float(v) for v in values]


@steady
@given(loads(), quarters, quarters)
def test_force_and_moment_are_exact(load, a, b):
    y, p = load
    low, high = min(a, b), max(a, b)
    found = LineLoad(floats(y), floats(p))
    force = exactly(y, p, low, high, [Fraction(1)])
    moment = exactly(y, p, low, high, [-low, Fraction(1)])
    cubic = exactly(y, p, low, high, times(times([-low, 1], [-low, 1]), [-low, 1]))
    place = [float(low)], [float(high)]
    np.testing.assert_allclose(force_between(found, *place), float(force), rtol=0, atol=1e-11)
    np.testing.assert_allclose(
        moment_between(found, *place, about=place[0]), float(moment), rtol=0, atol=1e-10
    )
    np.testing.assert_allclose(
        moment_between(found, *place, about=place[0], power=3), float(cubic), rtol=0, atol=1e-8
    )


@steady
@given(loads(), st.sets(quarters.filter(lambda q: 0 < q < 8), max_size=4))
def test_nodal_forces_are_exact(load, inner):
    y, p = load
    nodes = [Fraction(0), *sorted(inner), Fraction(8)]
    wanted = np.zeros((len(nodes), 2))
    for i, (low, high) in enumerate(pairwise(nodes)):
        parts = [float(exactly(y, p, low, high, shape)) for shape in shapes(low, high)]
        wanted[i] += parts[:2]
        wanted[i + 1] += parts[2:]
    found = nodal_forces(LineLoad(floats(y), floats(p)), floats(nodes))
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-11)


def test_cases_are_solved_together():
    y = np.array([[0.0, 1.0, 2.0], [0.0, 0.5, 3.0]])
    p = np.array([[3.0, 3.0, 0.0], [1.0, 4.0, 2.0]])
    nodes = [0.0, 1.2, 3.0]
    together = nodal_forces(LineLoad(y, p), nodes)
    for i in range(2):
        np.testing.assert_array_equal(together[i], nodal_forces(LineLoad(y[i], p[i]), nodes))
    assert LineLoad(y, p).cases == (2,)


def test_one_row_of_heights_serves_many_loads():
    load = LineLoad([0.0, 2.0], np.array([[1.0, 1.0], [3.0, 3.0]]))
    np.testing.assert_allclose(force_between(load, [0.0], [2.0])[:, 0], [2.0, 6.0])


def test_a_step_has_two_values():
    load = LineLoad([0.0, 1.0, 1.0, 2.0], [1.0, 1.0, 5.0, 5.0])
    below, above = end_values(load, np.array([0.0, 1.0]), np.array([1.0, 2.0]))
    np.testing.assert_allclose(below, [1.0, 5.0])
    np.testing.assert_allclose(above, [1.0, 5.0])
    assert force_between(load, [0.0], [2.0])[0] == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("y", "p", "words"),
    [
        ([0.0], [1.0], "two points"),
        (0.0, 1.0, "two points"),
        ([1.0, 0.0], [1.0, 1.0], "fall"),
        ([0.0, 2.0, 1.0], [1.0, 1.0, 1.0], "fall"),
        ([0.0, np.nan], [1.0, 1.0], "no number"),
        ([0.0, 1.0], [1.0, np.inf], "no number"),
    ],
)
def test_what_is_no_load(y, p, words):
    with pytest.raises(Refusal, match=words):
        LineLoad(y, p)


@pytest.mark.parametrize(("y", "p"), [([-0.5, 1.0], [0.0, 1.0]), ([0.0, 2.1], [1.0, 0.0])])
def test_a_load_beyond_the_member_is_refused(y, p):
    with pytest.raises(Refusal, match="beyond"):
        nodal_forces(LineLoad(y, p), [0.0, 1.0, 2.0])


def test_no_load_beyond_the_member_is_taken():
    found = nodal_forces(LineLoad([0.0, 2.0, 2.0, 9.0], [1.0, 1.0, 0.0, 0.0]), [0.0, 2.0])
    assert found[:, 0].sum() == pytest.approx(2.0)
