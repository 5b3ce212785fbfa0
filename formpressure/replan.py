"""The trucks that are still to come, planned again from when the others really came."""

from __future__ import annotations

import functools
from dataclasses import dataclass, field

import numpy as np

from formpressure.dispatch import Keeps, earliest_start
from formpressure.gaps import Gaps, Most
from formpressure.pour import Filling, Pour
from formpressure.rise import HOUR, Floats, worst_window
from formpressure.units import at_most

FAR = 1e4  # minutes between trucks that are not asked about


@dataclass(slots=True)
class Replan:
    """The minutes, from the first truck's start, at which the trucks that came were to start: when
    they did, or the first minute that was allowed where they came too early.

    There is no catching up: from one truck to the next it is never less than planned.
    """

    filling: Filling
    starts: list[float] = field(default_factory=list)
    planned: list[float] = field(init=False)

    def __post_init__(self) -> None:
        self.planned = self.filling.starts(self.filling.count())

    @property
    def more(self) -> bool:
        """Whether trucks of the plan are still to come."""
        return len(self.starts) < len(self.planned)

    def came(self, minute: float, most: Most | None, since: float) -> None:
        """One more truck started to discharge; those over the plan's number are not followed."""
        if self.more:
            self.starts.append(self.earliest(minute, most, since))

    def earliest(self, minute: float, most: Most | None, since: float) -> float:
        """The first minute from `minute` on at which the next truck may start, by the simulated
        pour, counting only what a window that ends after `since` still holds.

        The minute itself where no rate is asked, and where waiting cannot mend what has been: then
        the readings decide.
        """
        if most is None or most.rate == np.inf:
            return minute
        keeps = _kept_after(self.filling, most, since)
        if keeps(self._with_next(minute)):
            return minute
        starts = [*self.starts, minute, *self.planned[len(self.starts) + 1 :]]
        found = earliest_start(self.filling, keeps, len(self.starts) + 1, starts)
        return minute if found is None else max(minute, float(found))

    def next_planned(self, now: float) -> float:
        """When the next truck is to come: as long after the last one as planned, not before now."""
        if not self.starts:
            return now
        last = len(self.starts)
        return max(now, self.starts[-1] + self.planned[last] - self.planned[last - 1])

    def rises(self, minute: float) -> list[float]:
        """How much the next truck, from this minute on, raises each station."""
        pour = self._with_next(minute)
        end = minute + self.filling.discharge
        return [
            float(np.interp(end, t, y) - np.interp(minute, t, y))
            for t, y in zip(pour.times, pour.levels, strict=True)
        ]

    def _with_next(self, minute: float) -> Pour:
        """The pour with the next truck at this minute, and the later ones far away."""
        rest = len(self.planned) - len(self.starts) - 1
        far = [minute + FAR * (k + 1) for k in range(rest)]
        return self.filling.pour([*self.starts, minute, *far])


@functools.lru_cache(maxsize=64)
def too_big(filling: Filling, most: Most) -> bool:
    """Whether one load is too fast whatever the gap."""
    return Gaps(filling).least(most) is None


def _kept_after(filling: Filling, most: Most, since: float) -> Keeps:
    """Whether a pour keeps to what is allowed in every window that ends after `since`."""

    def keeps(pour: Pour) -> bool:
        for times, levels in zip(pour.times, pour.levels, strict=True):
            moving = np.flatnonzero(np.diff(levels) > 0.0)
            if not len(moving):
                continue
            filling_time = float(times[moving[-1] + 1] - times[moving[0]])
            hour = min(filling.rate_window, filling_time)
            rate = _rise_after(times, levels, hour, since) * HOUR / hour
            fresh = _rise_after(times, levels, min(filling.liquid_window, filling_time), since)
            if not (at_most(rate, most.rate) and at_most(fresh, most.rise)):
                return False
        return True

    return keeps


def _rise_after(times: Floats, levels: Floats, window: float, since: float) -> float:
    """The greatest rise in any `window` that ends after `since`: what came before is cut off."""
    if since == -np.inf:
        return worst_window(times, levels, window)[0]
    cut = since - window
    moments = np.union1d(times, cut)
    kept = np.maximum(np.interp(moments, times, levels), np.interp(cut, times, levels))
    return worst_window(moments, kept, window)[0]
