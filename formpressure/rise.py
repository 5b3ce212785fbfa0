"""Rise of the concrete in the form: level against time, and the greatest rise in any window."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure.units import at_most

Floats = NDArray[np.floating[Any]]
HOUR = 60.0  # minutes; the rate of placement is the greatest rise in any hour
LONGEST_WAIT = 240  # minutes between layers; beyond it the joint, not the pressure, decides


def greatest_rise(times: Floats, levels: Floats, window: float) -> float:
    """Greatest rise within any `window` of time of a level that never falls.

    The level is linear between the points, so the worst window starts or ends at one of them.
    """
    starts = np.concatenate([times, times - window])
    after = np.interp(starts + window, times, levels)
    before = np.interp(starts, times, levels)
    return float(np.max(after - before))


def minutes_between(layer: float, rate: float, layer_time: float) -> int | None:
    """Whole minutes from the start of one layer to the start of the next so that no hour rises
    more than `rate`; None where no wait up to `LONGEST_WAIT` does it.

    `layer` is the rise of one layer and `layer_time` the shortest minutes it goes in. Asks
    `greatest_rise` backwards: 60/rate would be too short wherever layers do not fill the hour.
    """
    for minutes in range(int(np.ceil(layer_time)), LONGEST_WAIT + 1):
        count = int(HOUR // minutes) + 2
        starts = np.arange(count, dtype=np.float64) * float(minutes)
        times = np.column_stack([starts, starts + layer_time]).ravel()
        levels: Floats = (
            np.column_stack([np.arange(count), np.arange(1, count + 1)]).ravel() * layer
        )
        if at_most(greatest_rise(times, levels, HOUR), rate):
            return minutes
    return None
