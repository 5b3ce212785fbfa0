"""What readings of a level leave open: between two of them all the rise may come at one instant.

Levels of fresh concrete never fall, so a reading under an earlier one is wrong, or that one is:
the level before is then taken as low, the level after as high as any of them says. Clock times
count as exact. All of it is our own (OWN). Times are minutes, levels bare.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from formpressure.units import TOLERANCE

Floats = NDArray[np.floating[Any]]


class Rise(NamedTuple):
    """The most that a level can have risen within some window from `start` to `end`: both are
    times of readings, or the start is minus infinity, before the first of them."""

    most: float
    start: float
    end: float


class Levels:
    """The readings of one place, which stood at `bottom` before the first."""

    def __init__(self, bottom: float, times: Sequence[float], levels: Sequence[float]) -> None:
        order = np.argsort(times, kind="stable")
        read = np.asarray(levels)[order]
        low = np.minimum.accumulate(np.concatenate([[bottom], read])[::-1])[::-1]
        high = np.maximum.accumulate(np.concatenate([[bottom], read]))
        at = np.concatenate([[-np.inf], np.asarray(times)[order]])
        first = np.flatnonzero(np.diff(at, prepend=np.nan) != 0.0)  # of each minute
        last = np.append(first[1:], len(at)) - 1
        self.times: Floats = at[first]
        self.low: Floats = low[first]  # the least it can have stood at from that reading on
        self.high: Floats = high[last]  # the most up to that reading
        self.now = float(read[-1]) if len(read) else bottom

    def below(self, moment: Any) -> Any:
        """The least level at a moment; any moment, scalar or array."""
        return self.low[np.searchsorted(self.times, moment, side="right") - 1]

    def most_rise(self, window: float, since: float = -np.inf) -> Rise:
        """The most it can have risen in any window that ends after `since`.

        A window that ends just after one reading may hold all the rise up to the next, and one that
        starts just before a reading all the rise since the one before.
        """
        after = np.maximum(self.times, since)  # the window ends after this, up to the next reading
        tops = np.append(self.high[1:], self.high[-1])
        ends = np.append(self.times[1:], np.inf)
        kept = ends > since
        rises = np.where(kept, tops - self.below(after - window), 0.0)
        worst = int(np.argmax(rises))
        base = self.below(after[worst] - window)
        stood = np.searchsorted(self.low, base, side="right") - 1  # till then
        begin = self.times[stood]
        end = min(float(ends[worst]), float(self.times[-1]))
        return Rise(float(rises[worst]), float(begin), end)

    def shortest(self, top: float) -> float:
        """The least time that filling it can have taken; infinity while it is not full to `top`."""
        if self.high[-1] < top - TOLERANCE:
            return np.inf
        begun = self.times[np.flatnonzero(self.high > self.high[0])[0]]
        done = self.times[np.flatnonzero(self.high >= self.high[-1])[0] - 1]
        return max(0.0, float(done - begun))

    def first_start(
        self, rise: float, limits: Sequence[tuple[float, float]], now: float
    ) -> float | None:
        """The first whole minute from `now` at which `rise` more may start, however fast it comes.

        `limits` are pairs of a window and the most that may rise within it. None where no wait
        helps: the rise itself is too much at once.
        """
        start = float(np.ceil(now - TOLERANCE))
        for window, most in limits:
            base = float(self.high[-1]) + rise - most * (1.0 + TOLERANCE)
            enough = np.flatnonzero(self.low >= base)  # from that reading on it stood high enough
            if not len(enough):
                return None
            start = max(start, float(np.ceil(self.times[enough[0]] + window - TOLERANCE)))
        return start


def least(one: float | None, other: float | None) -> float | None:
    """The lesser of two, of which either may not be known."""
    return min((x for x in (one, other) if x is not None), default=None)


def greatest(one: float | None, other: float | None) -> float | None:
    """The greater of two, of which either may not be known."""
    return max((x for x in (one, other) if x is not None), default=None)
