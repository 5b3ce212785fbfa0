"""The worst that readings leave open, against every way a level can have risen between them."""

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formpressure.readings import Levels, greatest, least

E = 1e-6  # minutes: just after one reading, just before the next


def by_trying_them_all(times, levels, window):
    """Every rise at every instant that can matter, every window: the most that any of it gives."""
    instants = []
    for before, at in pairwise([times[0] - 3 * window, *times]):
        fits = [before + E, at - E, at, (before + at) / 2]
        fits += [t + s * window + d for t in times for s in (-1, 1) for d in (-2 * E, 0.0, 2 * E)]
        instants.append(sorted({x for x in fits if before < x <= at}))
    rises = np.diff([0.0, *levels])
    worst = 0.0
    for jumps in product(*instants):
        for first in jumps:  # the window starts just before one of the rises
            inside = [first - E / 4 <= j <= first - E / 4 + window for j in jumps]
            worst = max(worst, float(rises @ np.asarray(inside, float)))
    return worst


@pytest.mark.parametrize("seed", range(12))
def test_most_rise_is_that_of_the_worst_curve(seed):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 5))
    times = np.cumsum(rng.integers(1, 50, count)).astype(float)
    levels = np.cumsum(rng.integers(0, 4, count)).astype(float)
    for window in (60.0, 30.0):
        found = Levels(0.0, times, levels).most_rise(window)
        assert found.most == pytest.approx(by_trying_them_all(times, levels, window))


def test_readings_by_hand():
    """1 ft marks 20 min apart: an hour holds at most 4 of them, as the card's marks have it."""
    marks = Levels(0.0, [20.0 * k for k in range(8)], [float(k) for k in range(8)])
    assert marks.most_rise(60.0).most == 4.0
    assert marks.most_rise(30.0).most == 3.0
    late = Levels(0.0, [0, 10, 100], [0, 2, 5])
    assert late.most_rise(60.0) == (5.0, 0.0, 100.0)  # both just about minute 10
    assert late.most_rise(60.0, since=75.0).most == 3.0
    assert late.most_rise(60.0, since=100.0).most == 3.0  # the window may end just after it
    assert Levels(0.0, [0, 100], [0, 2]).most_rise(60.0, since=160.0).most == 0.0
    assert Levels(0.0, [50.0], [3.0]).most_rise(60.0).most == 3.0  # all of it just before
    assert Levels(0.0, [], []).most_rise(60.0).most == 0.0


def test_a_level_that_falls_is_taken_at_its_worst_both_ways():
    found = Levels(0.0, [0, 60, 120, 180], [0, 5, 3, 6])
    assert found.most_rise(50.0).most == 5.0
    assert found.most_rise(50.0, since=121.0).most == 3.0  # it can have stood at 3 since 60
    assert found.now == 6.0


def test_the_shortest_filling():
    done = Levels(0.0, [0, 10, 20, 30], [0, 2, 4, 8])
    assert done.shortest(8.0) == 10.0  # from minute 10, all of the first part in, to minute 20
    assert done.shortest(9.0) == np.inf
    assert Levels(0.0, [5.0], [8.0]).shortest(8.0) == 0.0


curves = st.lists(
    st.tuples(st.integers(0, 40), st.floats(0.0, 3.0), st.booleans()), min_size=1, max_size=9
)


def true_curve(parts):
    """A level that rises evenly over some minutes, or all at once."""
    times, levels = [0.0], [0.0]
    for minutes, rise, jump in parts:
        if jump:
            times += [times[-1] + minutes, times[-1] + minutes + 1e-7]
            levels += [levels[-1], levels[-1] + rise]
        else:
            times.append(times[-1] + minutes + 1e-7)
            levels.append(levels[-1] + rise)
    return np.array(times), np.array(levels)


@settings(max_examples=120, deadline=None)
@given(curves, st.lists(st.integers(-20, 400), min_size=1, max_size=12), st.data())
def test_no_true_curve_rises_more_than_its_readings_say(parts, moments, data):
    times, levels = true_curve(parts)
    moments = sorted(moments)
    read = Levels(0.0, moments, np.interp(moments, times, levels))
    window = data.draw(st.sampled_from([60.0, 30.0, 20.0]))
    last = float(moments[-1])  # of what comes after it, readings tell nothing
    starts = np.concatenate([times, times - window, np.linspace(-70, last, 300)])
    starts = starts[starts + window <= last]
    rise = np.interp(starts + window, times, levels) - np.interp(starts, times, levels)
    assert max(rise, default=0.0) <= read.most_rise(window).most + 1e-9


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 40), st.floats(0.0, 2.0)), min_size=1, max_size=6),
    st.floats(0.1, 3.0), st.integers(0, 60), st.integers(1, 30),
)  # fmt: skip
def test_the_first_start_keeps_to_the_limit_and_a_minute_earlier_does_not(
    steps, rise, wait, minutes
):
    times = np.cumsum([t for t, _ in steps]).astype(float)
    levels = np.cumsum([r for _, r in steps])
    read, now, limit = Levels(0.0, times, levels), float(times[-1] + wait), 2.5
    start = read.first_start(rise, [(60.0, limit)], now)

    def worst(begin):
        """It is read when it starts and when it is in, and never between."""
        more = [*times, begin, begin + minutes], [*levels, levels[-1], levels[-1] + rise]
        return Levels(0.0, *more).most_rise(60.0, since=begin).most

    if start is None:
        assert rise > limit
        return
    assert worst(start) <= limit + 1e-9
    if start > now:
        assert worst(start - 1.0) > limit - 1e-9


def test_of_readings_within_one_minute_the_last_given_is_the_latest():
    rng = np.random.default_rng(2)
    times, levels = rng.integers(0, 4, 400).tolist(), rng.integers(0, 9, 400).tolist()
    last = [level for time, level in zip(times, levels, strict=True) if time == 3][-1]
    assert Levels(0.0, times, levels).now == last


def test_what_is_not_known_is_no_lesser_and_no_greater():
    assert [least(a, b) for a, b in ((None, None), (3.0, None), (3.0, 2.0))] == [None, 3.0, 2.0]
    assert [greatest(a, b) for a, b in ((None, None), (None, 2.0), (3.0, 2.0))] == [None, 2.0, 3.0]
