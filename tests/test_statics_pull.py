"""Pull-only ties on structures of any kind: every set of taut ties tried, and the one that fits."""

from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure.statics import pull
from formpressure.statics.load import LineLoad
from formpressure.statics.pull import TieResponse, settle
from formpressure.statics.rail import Rail, rail_response

steady = settings(max_examples=500)
CLEAR = 1e-6  # of the largest: how far a state must be from the edge of being another


class Structure:
    """Members that join some tie places and leave others loose, on springs; loads at the places."""

    def __init__(self, seed, ties, members):
        rng = np.random.default_rng(seed)
        joints = rng.normal(size=(members, ties))
        self.members = joints.T @ joints
        self.spring = 10.0 ** rng.uniform(-1.0, 1.0, ties)
        self.gap = np.where(rng.random(ties) < 0.2, rng.uniform(0.0, 0.5, ties), 0.0)
        self.load = rng.normal(1.0, 1.0, ties)

    def least(self, taut):
        """Least stiffness with these ties as springs, of the greatest."""
        own = np.linalg.eigvalsh(self.members + np.diag(self.spring * taut))
        return own[0] / own[-1] if own[-1] > 0.0 else 0.0

    def stands(self, taut):
        return self.least(taut) > 1e-6

    def is_clear(self):
        """No set of ties leaves it standing by a hair."""
        sets = product([False, True], repeat=self.spring.size)
        return not any(1e-12 < self.least(np.array(taut)) < 1e-4 for taut in sets)

    def moved(self, taut, push=0.0, force=0.0):
        """Places with these ties as springs, their anchors pushed in, the others pulled."""
        right = self.load - force + self.spring * taut * (self.gap - push)
        return np.linalg.solve(self.members + np.diag(self.spring * taut), right)

    def values(self, taut, push=0.0, force=0.0):
        """Pull of the taut ties, opening of the others."""
        w = self.moved(taut, push, force)
        pulls = self.spring * (w - self.gap + push)
        return np.where(taut, pulls, self.gap + force / self.spring - w)

    def response(self, taut):
        """`effect` by trying: one tie after the other pushed in, or pulled."""
        before = self.values(taut)
        rows = []
        for one in np.eye(before.size):
            rows.append(self.values(taut, push=one * taut, force=one * ~taut) - before)
        return TieResponse(before, np.array(rows), taut, np.ones_like(taut), 1.0, needed=0)

    def states(self, gone):
        """Every set of taut ties in which none pushes, and how clearly."""
        for choice in product([False, True], repeat=gone.size):
            taut = np.array(choice)
            if (taut & gone).any() or not self.stands(taut):
                continue
            values = self.values(taut)[~gone]
            size = np.abs(values).max(initial=0.0)
            if values.min(initial=0.0) >= -CLEAR * size:
                yield taut, values.min(initial=np.inf) > CLEAR * size


def drawn_by(seed):
    """A structure, the ties taut at first, and the ties gone; the same under every version."""
    rng = np.random.default_rng(seed)
    while True:
        ties = int(rng.integers(2, 6))
        members = int(rng.integers(0, ties))
        structure = Structure(int(rng.integers(10**6)), ties, members)
        taut, gone = rng.random(ties) < 2 / 3, rng.random(ties) < 1 / 3
        if rng.random() < 0.5:  # just as many taut as it needs, so that it needs each of them
            taut = np.arange(ties) < ties - members
            gone &= ~taut
        if structure.is_clear() and structure.stands(taut):
            return structure, taut, gone


def structures():
    return st.integers(0, 10**6).map(drawn_by)


@steady
@given(structures())
def test_the_state_found_is_the_one_there_is(drawn):
    structure, taut, gone = drawn
    states = list(structure.states(gone))
    assume(all(clear for _, clear in states))
    found = settle(structure.response(taut), gone)
    assert found.held == bool(states)
    assert len(states) <= 1
    for right, _ in states:
        values = structure.values(right)
        size = np.abs(values).max()
        np.testing.assert_allclose(found.force, np.where(right, values, 0.0), atol=1e-9 * size)
        np.testing.assert_allclose(found.opening, np.where(right, 0.0, values), atol=1e-9 * size)


def test_the_draws_take_every_way(monkeypatch):
    """Held and not, nothing to flip, ties flipped singly and two together: all are met above."""
    seen = {"held": 0, "lost": 0, "let go": 0, "driven": 0, "together": 0}
    driven, drive, free = [], pull._drive, pull._Pivoting.free

    def watched_drive(state, tie):
        seen["driven"] += 1
        driven.append(tie)
        return drive(state, tie)

    def watched_free(state, tie):
        found = free(state, tie)
        seen["together"] += not found and tie != driven[-1]
        return found

    monkeypatch.setattr(pull, "_drive", watched_drive)
    monkeypatch.setattr(pull._Pivoting, "free", watched_free)

    for seed in range(600):
        structure, taut, gone = drawn_by(seed)
        response = structure.response(taut)
        seen["let go"] += pull.let_go(response, gone) is not None
        seen["held" if settle(response, gone).held else "lost"] += 1
    assert min(seen.values()) >= 3, seen


def test_a_long_rail_on_one_tie_is_lost_whatever_the_rounding():
    """With one tie of many left the rail turns; the pivots alone would be rounding noise."""
    rng = np.random.default_rng(3)
    for count in (12, 30):
        heights = np.cumsum(10.0 ** rng.uniform(-0.8, 0.8, count + 1))
        rail = Rail(0.0, heights[-1], heights[:-1], 1.0)
        response = rail_response(rail, LineLoad([0.0, heights[-1]], [1.0, 1.0]))
        for left in range(count):
            assert not settle(response, np.arange(count) != left).held


def test_a_search_that_does_not_end_is_no_answer(monkeypatch):
    """Only a fault would need so many pivots; it is told, never taken for a state."""
    rail = Rail(0.0, 4.0, [0.5, 1.5, 2.5, 3.5], 1.0, 10.0)
    load = LineLoad([0.6, 1.4], [1.0, 1.0])
    response = rail_response(rail, load)
    assert (response.value < 0.0).any()  # some tie would push
    assert settle(response).held
    monkeypatch.setattr(pull, "STEPS", 0)
    with pytest.raises(ArithmeticError, match="state of 4 ties was not found"):
        settle(response)
    with pytest.raises(ArithmeticError, match="state of 4 ties was not found"):
        pull._drive(pull._Pivoting(response, np.zeros(4, bool)), int(np.argmin(response.value)))
