"""Rise of the concrete in the form: level against time, and the greatest rise in any window."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure.units import TOLERANCE, at_most

Floats = NDArray[np.floating[Any]]
HOUR = 60.0  # minutes; the rate of placement is the greatest rise in any hour
LONGEST_WAIT = 240  # minutes between layers; beyond it the joint, not the pressure, decides


def greatest_rise(times: Floats, levels: Floats, window: float) -> float:
    """Greatest rise within any `window` of time of a level that never falls."""
    return worst_window(times, levels, window)[0]


def worst_window(times: Floats, levels: Floats, window: float) -> tuple[float, float]:
    """The same with the time at which that window starts.

    The level is linear between the points, so the worst window starts or ends at one of them.
    """
    starts = np.concatenate([times, times - window])
    after = np.interp(starts + window, times, levels)
    before = np.interp(starts, times, levels)
    worst = int(np.argmax(after - before))
    return float(after[worst] - before[worst]), float(starts[worst])


def minutes_between(layer: float, rate: float, layer_time: float) -> int | None:
    """Whole minutes from the start of one layer to the start of the next so that no hour rises
    more than `rate`; None where no wait up to `LONGEST_WAIT` does it.

    `layer` is the rise of one layer and `layer_time` the shortest minutes it goes in. Asks
    `greatest_rise` backwards: 60/rate would be too short wherever layers do not fill the hour.
    """
    for minutes in range(int(np.ceil(layer_time)), LONGEST_WAIT + 1):
        count = int(HOUR // minutes) + 2
        starts = np.arange(count) * float(minutes)
        times = np.column_stack([starts, starts + layer_time]).ravel()
        levels: Floats = (
            np.column_stack([np.arange(count), np.arange(1, count + 1)]).ravel() * layer
        )
        if at_most(greatest_rise(times, levels, HOUR), rate):
            return minutes
    return None


def minutes_from_mark(
    height: float, layer: float, rate: float, fresh: float, windows: tuple[float, float]
) -> int | None:
    """Whole minutes n so that a level which never reaches its next mark before n minutes after it
    reached the last one cannot pass `rate` in any of the first window, nor rise more than `fresh`
    in any of the second, however long the stops and however fast the concrete in between.

    Marks are `layer` apart over `height`. None where no wait up to `LONGEST_WAIT` does it. Proof
    (OWN): the first mark is reached after the window of T has begun, so at most ceil(T/n) are
    reached in it; below the first and above the last the level may be anywhere short of one more
    layer: less than ceil(T/n) + 1 layers, and never more than `height`. Where the whole filling is
    shorter than the window, that is all of it, and its average is the rate; it takes at least n for
    each mark but the first.
    """
    reached = int(np.floor(height / layer * (1.0 + TOLERANCE)))
    for minutes in range(1, LONGEST_WAIT + 1):
        long, short = (min(height, (np.ceil(window / minutes) + 1) * layer) for window in windows)
        filling = min(windows[0], (reached - 1) * minutes)
        if filling <= 0.0:
            return None
        if at_most(long * HOUR / filling, rate) and at_most(short, fresh):
            return minutes
    return None
