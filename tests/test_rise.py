"""Rise within a window, and the waits that keep to a rate, worked by hand."""

import numpy as np
import pytest

from formpressure.rise import minutes_between, minutes_from_mark, worst_window


@pytest.mark.parametrize(
    ("times", "levels", "found"),
    [
        # 30 of 80 min: slow then fast, so the worst window ends with the pour: 6 ft and 10 min
        ([0.0, 60.0, 80.0], [0.0, 6.0, 12.0], (7.0, 50.0)),
        # fast then slow, so it starts with it
        ([0.0, 20.0, 80.0], [0.0, 6.0, 12.0], (7.0, 0.0)),
    ],
)
def test_worst_window_starts_or_ends_at_a_point(times, levels, found):
    assert worst_window(np.array(times), np.array(levels), 30.0) == pytest.approx(found)


@pytest.mark.parametrize(
    ("layer", "rate", "layer_time", "minutes"),
    [
        (1.0, 4.0, 10.0, 15),  # four whole layers fill the hour: 60 / 4
        # An hour from the start of a layer holds 3 layers, and of the fourth 9, 6, 3 tenths at 17,
        # 18, 19 min: 3.9, 3.6, 3.3 ft. 60 / 3.5 would be 17.1.
        (1.0, 3.5, 10.0, 19),
        (1.0, 5.9, 10.0, 11),  # 5 layers and a half
        (1.0, 99.0, 9.5, 10),  # no layer starts before the one below it is in
        (3.0, 2.0, 10.0, None),  # one layer alone is too much
        (4.0, 1.0, 240.0, 240),  # the longest wait still counts
        (4.0, 99.0, 241.0, None),
    ],
)
def test_minutes_between_layers(layer, rate, layer_time, minutes):
    assert minutes_between(layer, rate, layer_time) == minutes


@pytest.mark.parametrize(
    ("height", "layer", "rate", "fresh", "minutes"),
    [
        (20.0, 1.0, 99.0, 3.0, 15),  # our own bound: two marks and a bit in half an hour
        (20.0, 1.0, 99.0, 1.9, None),  # one mark and a bit is already more
        # 20 marks at 1 min take 19 min: 20 x 60 / 19 = 63.2 ft/h, and all of it is fresh
        (20.0, 1.0, 64.0, 20.0, 1),
        (20.0, 1.0, 63.0, 20.0, 2),
        (2.0, 1.0, 2.0, 99.0, 60),  # at 59 min two feet in 59 min are over 2 ft/h
        (7.9, 1.0, 7.0, 99.0, 10),  # the filling takes an hour, which holds under 7 layers
        (20.0, 0.5, 4.0, 99.0, 9),  # 7 marks and a bit are under 8 half feet; at 8 min 8 and a bit
        (1.9, 1.0, 999.0, 99.0, None),  # one mark alone holds nothing back
        (0.6, 0.2, 1.0, 99.0, 18),  # 0.6 / 0.2 is just under 3 in binary, and yet three marks
    ],
)
def test_minutes_from_mark_to_mark(height, layer, rate, fresh, minutes):
    assert minutes_from_mark(height, layer, rate, fresh, (60.0, 30.0)) == minutes


def test_minutes_from_mark_over_a_shorter_window():
    """A mark and a bit in half an hour, 2 ft at most: 4 ft/h."""
    assert minutes_from_mark(20.0, 1.0, 4.0, 99.0, (30.0, 15.0)) == 30
