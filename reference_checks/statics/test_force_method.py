"""Rails by the library and by the force method (`force_method`), drawn at random.

Pull-only is checked against every set of ties there is, so it is also checked that the state the
library returns is the only one, and that where it returns none there is none.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure.errors import Refusal
from formpressure.statics.load import LineLoad
from formpressure.statics.rail import Rail, rail_response, solve_rail
from formpressure.statics.rails import solve_rails

sys.path.insert(0, str(Path(__file__).parent))
import force_method

steady = settings(deadline=None, derandomize=True, max_examples=150)
TOLERANCE = 1e-8  # of the largest: the force method's matrix is the worse conditioned


@st.composite
def rails(draw, most=5):
    """A rail 1 to 3 a bay, ties stiff or soft or rigid, some loose, and a load on part of it."""
    n = draw(st.integers(2, most))
    steps = [draw(st.floats(0.3, 3.0)) for _ in range(n + 1)]
    heights = np.cumsum(steps)[:-1]
    top = float(np.sum(steps))
    EI = 10.0 ** draw(st.floats(-2.0, 2.0))
    springs = st.one_of(st.just(np.inf), st.floats(-2.0, 3.0).map(lambda power: 10.0**power))
    stiffness = np.array([draw(springs) for _ in range(n)]) * EI
    gap = np.array([draw(st.sampled_from([0.0, 0.0, 0.01, 0.3])) for _ in range(n)])
    base = draw(st.sampled_from([0.0, 1.0, np.inf]))
    surface = draw(st.floats(0.3, 1.0)) * top
    kink = draw(st.floats(0.1, 0.9)) * surface
    p = [draw(st.floats(0.5, 2.0)), draw(st.floats(0.5, 2.0)), 0.0]
    y = np.array([0.0, kink, surface])
    return Rail(0.0, top, heights, EI, stiffness, gap, base), y, np.array(p)


def close(found, wanted):
    return np.abs(np.asarray(found) - wanted).max() <= TOLERANCE * np.abs(wanted).max()


def compare(rail, y, p, gone=()):
    mask = np.isin(np.arange(rail.heights.size), gone) if gone else None
    found = solve_rail(rail, LineLoad(y, p), mask)
    states = force_method.pull_only(
        rail.heights, rail.stiffness, rail.gap, rail.EI, y, p, base=rail.base, gone=gone
    )
    assert bool(found.held) == bool(states)
    for force, base, w in states:  # several sets of ties may do when one pulls with exactly zero
        assert close(np.append(found.tie_force, found.base_force), np.append(force, base))
        places = np.concatenate([rail.nodes, np.linspace(0.0, rail.top, 7)])
        assert close(found.deflection_at(places), np.array([w(place) for place in places]))
    return found


@steady
@given(rails())
def test_rail(drawn):
    compare(*drawn)


@steady
@given(rails(), st.data())
def test_rail_without_some_ties(drawn, data):
    rail, y, p = drawn
    gone = data.draw(st.sets(st.integers(0, rail.heights.size - 1), min_size=1, max_size=2))
    compare(rail, y, p, sorted(gone))


@steady
@given(rails())
def test_many_rails_as_one(drawn):
    rail, y, p = drawn
    one = solve_rail(rail, LineLoad(y, p))
    many = solve_rails(
        0.0, rail.top, rail.heights, [rail.EI, rail.EI], rail.stiffness, LineLoad(y, p),
        rail.gap, rail.base,
    )  # fmt: skip
    assert (many.held == one.held).all()
    assume(one.held)
    for i in range(2):
        assert close(many.tie_force[i], one.tie_force)
        assert close(many.deflection[i], one.deflection)
        assert close(many.rotation[i], one.rotation)


def test_the_draws_are_not_all_of_one_kind():
    """Slack ties, lost rails, whole rails: a check that checks nothing would go unseen."""
    seen = {"slack": 0, "lost": 0, "whole": 0}

    @steady
    @given(rails())
    def count(drawn):
        rail, y, p = drawn
        found = solve_rail(rail, LineLoad(y, p))
        kind = "lost" if not found.held else "slack" if found.slack.any() else "whole"
        seen[kind] += 1

    count()
    assert min(seen.values()) >= 10, seen


def test_response_needs_two_supports():
    rail = Rail(0.0, 2.0, [1.0], 1.0)
    load = LineLoad([0.0, 2.0], [1.0, 1.0])
    assert not solve_rail(rail, load).held
    with pytest.raises(Refusal, match="one tie"):
        rail_response(rail, load)
