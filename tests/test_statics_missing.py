"""Ties gone, one by one or in a run: the update against solving anew, and what is said of it."""

from dataclasses import replace

import numpy as np
import pytest
from frames import near
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure.errors import Refusal
from formpressure.statics import missing, unzip
from formpressure.statics import wall as wall_module
from formpressure.statics.grillage import Wall
from formpressure.statics.load import LineLoad
from formpressure.statics.missing import remove_each, remove_each_hinged, simple_spans
from formpressure.statics.pull import let_go, settle
from formpressure.statics.rail import Rail, rail_response, solve_rail
from formpressure.statics.unzip import run_unzipping
from formpressure.statics.wall import solve_wall, wall_afresh, wall_response

steady = settings(max_examples=60)


@st.composite
def walls(draw):
    """Up to 6 lines of 4 ties, a part of them loose or never set; a load that may leave top ties
    slack; or one rail of that kind. With it a function that solves anew for a mask of gone ties."""
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    lines, ties = draw(st.integers(1, 6)), draw(st.integers(2, 4))
    y = np.cumsum(rng.uniform(0.5, 2.0, ties))
    top = y[-1] + rng.uniform(0.2, 1.0)
    springs = 10.0 ** rng.uniform(0.0, 3.0, (lines, ties))
    gap = np.where(rng.random((lines, ties)) < draw(st.sampled_from([0.0, 0.2])), 0.05, 0.0)
    base = draw(st.sampled_from([0.0, 10.0]))
    surface = top * draw(st.sampled_from([1.0, 0.9, 0.6]))
    # a load of each line's own: with all the same, a middle line can stand alone on the edge of
    # balance, where rounding decides
    load = LineLoad([0.0, surface], rng.uniform(0.5, 2.0, (lines, 1)) * [surface, 0.0])
    if lines == 1:
        load = LineLoad(load.y[0], load.p[0])
        springs = np.where(rng.random((1, ties)) < 0.3, np.inf, springs)
        rail = Rail(0.0, top, y, 1.0, springs[0], gap[0], base)
        assume(ties > 1)

        def anew(gone):
            left = Rail(0.0, top, y[~gone], 1.0, springs[0, ~gone], gap[0, ~gone], base)
            found = solve_rail(left, load)
            force = np.zeros(ties)
            force[~gone] = found.tie_force
            return force, bool(found.held)

        return rail_response(rail, load), anew, bool(solve_rail(rail, load).held)
    if draw(st.booleans()):
        springs[rng.random((lines, ties)) < 0.1] = 0.0
    wall = Wall(0.0, top, 1.7 * np.arange(lines), y, 1.0, springs, y[:2], 3.0, gap, base)
    held = bool(solve_wall(wall, load).held)
    assume(held)

    def wall_anew(gone):
        found = solve_wall(wall, load, gone.reshape(springs.shape))
        return found.tie_force.ravel(), bool(found.held)

    return wall_response(wall, load), wall_anew, held


@steady
@given(walls())
def test_each_tie_gone_as_if_solved_anew(drawn):
    response, anew, held = drawn
    assume(held)
    found = remove_each(response)
    before, _ = anew(np.zeros(found.before.size, bool))
    near(found.before, before, before.max())
    for tie in np.flatnonzero(response.present):
        gone = np.arange(before.size) == tie
        force, stands = anew(gone)
        assert found.held[tie] == stands
        if stands:
            near(found.after[tie], force, force.max())
        else:
            assert np.isnan(found.after[tie][~gone]).all()


@steady
@given(walls(), st.data())
def test_several_ties_gone_as_if_solved_anew(drawn, data):
    response, anew, _ = drawn
    count = response.value.size
    numbers = st.sets(st.integers(0, count - 1), min_size=1, max_size=max(1, count // 2))
    gone = np.isin(np.arange(count), list(data.draw(numbers)))
    found, (force, stands) = settle(response, gone), anew(gone)
    assert found.held == stands
    if stands:
        near(found.force, force, force.max())


@steady
@given(walls(), st.floats(1.01, 2.5), st.data())
def test_unzipping_as_if_solved_anew(drawn, strength, data):
    response, anew, held = drawn
    assume(held)
    count = response.value.size
    out = np.arange(count) == data.draw(st.integers(0, count - 1))
    before, _ = anew(np.zeros(count, bool))
    breaking = strength * before.max()
    found = run_unzipping(response, breaking, out)
    for force, gone in zip(found.force, found.gone, strict=True):
        assert gone.tolist() == (out & response.present).tolist()
        wanted, stands = anew(out)
        if not stands:
            assert found.line_gone
            assert np.isnan(found.force[-1]).all()
            break
        near(force, wanted, wanted.max())
        out = out | (wanted > breaking)
    else:
        assert not found.line_gone
        assert not (found.force[-1] > breaking).any()
    assert (found.broken == (found.gone[-1] & ~found.gone[0])).all()


def long_rail(count=9, size=1.0):
    """Ties one apart under one, the last half-spans overhanging."""
    rail = Rail(0.0, count, np.arange(count) + 0.5, 1.0, 1e3)
    return rail_response(rail, LineLoad([0.0, count], [size, size]))


def test_only_what_lets_others_go_is_settled_by_itself(monkeypatch):
    """Statics, three moments: over a long row the moment at the last tie, 1.5^2 / 2 under 1.5 of
    overhang, alternates inwards by 2 - sqrt(3), so that the next tie would push with 0.67."""
    calls = []
    monkeypatch.setattr(missing, "settle", lambda *a: calls.append(a) or settle(*a))
    found = remove_each(long_rail())
    assert len(calls) == 3  # either end gone, and all ties there
    assert found.after[0, 2] == found.after[8, 6] == 0.0
    near(remove_each(long_rail(size=1e-14)).after, 1e-14 * found.after)
    assert found.held.dtype == bool


def test_worst_tie_to_forget():
    found = remove_each(long_rail())
    assert found.held.all()
    share = found.share(1.0)
    assert found.worst(1.0) == int(np.argmax(share))
    assert share[4] == pytest.approx(found.after[4].max())
    weak = np.where(np.arange(9) == 6, 0.1, 1.0)
    assert found.worst(weak) in (5, 7)  # beside the weak one, which would then break
    assert remove_each(long_rail(2)).share(1.0).tolist() == [np.inf, np.inf]


def test_growth_is_not_said_of_a_tie_that_carried_nothing():
    rail = Rail(0.0, 3.0, [0.5, 1.5, 2.5], 1.0, 10.0, gap=[0.0, 9.0, 0.0])
    found = remove_each(rail_response(rail, LineLoad([0.0, 3.0], [1.0, 1.0])))
    assert found.before[1] == 0.0
    assert np.isnan(found.growth()[:, 1]).all()
    assert found.after[0, 1] > 0.0  # with a tie gone the rail comes to rest on the loose one
    assert found.held.all()


def test_an_unzipping_to_the_end_and_one_that_stops():
    response = long_rail()
    start = np.arange(9) == 4
    stops = run_unzipping(response, 1.8, start)
    assert not stops.line_gone
    assert not stops.broken.any()
    assert len(stops.force) == 1
    runs = run_unzipping(response, 1.6, start)
    assert runs.line_gone
    assert np.isnan(runs.force[-1]).all()
    counts = runs.gone.sum(axis=1)
    assert (np.diff(counts) > 0).all()
    assert runs.gone[1].tolist() == [False] * 3 + [True] * 3 + [False] * 3
    breaks = run_unzipping(response, np.where(np.arange(9) == 4, 0.5, 9.0), np.zeros(9, bool))
    assert np.flatnonzero(breaks.broken).tolist() == [4]


def test_many_gone_are_solved_afresh(monkeypatch):
    wall = Wall(0.0, 3.5, 2.0 * np.arange(12), [0.8, 1.8, 2.8], 1.0, 20.0, [0.8, 1.8], 5.0)
    load = LineLoad([0.0, 3.5], [3.5, 0.0])
    response = wall_response(wall, load)
    start = np.arange(36) == 15
    breaking = np.full(36, 1.2 * response.value.max())
    plain = run_unzipping(response, breaking, start)
    monkeypatch.setattr(unzip, "REFACTOR", 0)
    asked = []

    solve = wall_afresh(wall, load)

    def afresh(gone):
        asked.append(gone)
        return solve(gone)

    anew = run_unzipping(response, breaking, start, afresh)
    assert len(asked) == len(anew.force)
    assert (anew.gone == plain.gone).all()
    assert anew.line_gone == plain.line_gone
    asked.clear()
    even = wall_response(replace(wall, EI=1e3), LineLoad([0.0, 3.5], [1.0, 1.0]))
    assert let_go(even, start) is not None  # no other goes slack
    run_unzipping(even, np.inf, start, afresh)
    assert len(asked) == 1
    np.testing.assert_allclose(anew.force, plain.force, rtol=0, atol=1e-9 * plain.force[0].max())


def test_ever_more_gone_afresh_as_if_solved_anew(monkeypatch):
    """Each start from the state before: none of the later ones settles from the beginning."""
    springs = np.full((6, 3), 20.0)
    springs[1] = [0.5, 0.0, 0.5]
    wall = Wall(0.0, 3.5, 2.0 * np.arange(6), [0.8, 1.8, 2.8], 1.0, springs, [0.8, 1.8], 5.0)
    load, gone = LineLoad([0.0, 3.5], [3.5, 0.0]), np.zeros((4, 6, 3), bool)
    gone[1:, 2, 0] = gone[2:, 3, 0] = gone[2:, 0, 2] = gone[3:, 4, 1] = True
    anew = [solve_wall(wall, load, now) for now in gone]
    solve = wall_afresh(wall, load)
    found = [solve(gone[0].ravel())]
    monkeypatch.setattr(wall_module, "_settle", lambda *_: pytest.fail("from the beginning"))
    found += [solve(now.ravel()) for now in gone[1:]]
    for one, other in zip(found, anew, strict=True):
        assert one.held
        near(one.force, other.tie_force.ravel())
        near(one.opening, other.opening.ravel(), np.abs(other.deflection).max())
    assert found[3].opening[4] < 0.0  # where there never was a tie the wall has moved out


def test_hinged_chain():
    heights = np.array([0.5, 1.5, 2.5, 3.5, 4.5])
    load = LineLoad([0.0, 5.0], [2.0, 2.0])
    all_jointed = remove_each_hinged(load, 0.0, 5.0, heights)
    np.testing.assert_allclose(all_jointed.before, [2.25, 1.75, 2.0, 1.75, 2.25])
    assert not all_jointed.held.any()
    assert np.isnan(all_jointed.after).all()
    assert all_jointed.share(1.0).tolist() == [np.inf] * 5
    passing = remove_each_hinged(load, 0.0, 5.0, heights, [True, True, False, True, True])
    assert passing.held.tolist() == [False, False, True, False, False]
    np.testing.assert_allclose(passing.after[2], [2.25, 2.75, 0.0, 2.75, 2.25])
    told_by_numbers = remove_each_hinged(load, 0.0, 5.0, heights, [1, 1, 0, 1, 1])
    assert told_by_numbers.held.tolist() == passing.held.tolist()


@pytest.mark.parametrize("size", [1.0, 1e-14])
def test_a_hinged_chain_in_which_a_tie_would_push_is_lost(size):
    heights = np.array([2.0, 2.5, 3.0, 5.0])
    load = LineLoad([0.0, 5.0], [size, size])
    assert simple_spans(load, 0.0, 5.0, heights)[1] < 0.0
    found = remove_each_hinged(load, 0.0, 5.0, heights, jointed=False)
    assert not found.held[2]


def test_one_tie_is_no_chain():
    with pytest.raises(Refusal, match="two ties"):
        simple_spans(LineLoad([0.0, 1.0], [1.0, 1.0]), 0.0, 1.0, [0.5])
