"""Gaps between trucks asked of the simulated pour: the least by pressure, the longest by joints."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from formpressure.pour import Filling
from formpressure.rise import LONGEST_WAIT
from formpressure.units import at_most


class Most(NamedTuple):
    """What a pour may do, bare: its rate by the document, its rise by our own bound."""

    rate: float
    rise: float


class At(NamedTuple):
    """What a pour does at one gap, bare: rate, fresh rise, and the longest wait for a layer."""

    rate: float
    rise: float
    rest: float


@dataclass(frozen=True, slots=True)
class Gaps:
    """A filling with one truck at a time at any whole gap; each is simulated once."""

    filling: Filling
    _seen: dict[int, At] = field(default_factory=dict)

    def at(self, gap: int) -> At:
        """What the pour does with trucks `gap` minutes apart, from start to start."""
        if gap not in self._seen:
            filling = self.filling
            pour = dataclasses.replace(filling, gap=float(gap), at_once=1).pour()
            rate = pour.fastest(filling.rate_window).rate
            rest = pour.longest_rest()
            rise = pour.freshest(filling.liquid_window).rise
            self._seen[gap] = At(rate, rise, 0.0 if rest is None else rest.minutes)
        return self._seen[gap]

    def least(self, most: Most) -> int | None:
        """Smallest gap at which the pour keeps to `most`; None where no wait mends it.

        A longer gap never rises faster once the trucks do not overlap, so halving finds it.
        """

        def keeps(gap: int) -> bool:
            found = self.at(gap)
            return bool(at_most(found.rate, most.rate) and at_most(found.rise, most.rise))

        return first(1, LONGEST_WAIT, keeps)

    def longest(self, window: float) -> int | None:
        """Longest gap at which no layer waits longer than `window`, up to `LONGEST_WAIT`."""
        late = first(1, LONGEST_WAIT, lambda gap: not at_most(self.at(gap).rest, window))
        if late is None:
            return LONGEST_WAIT
        return late - 1 if late > 1 else None


def first(low: int, high: int, holds: Callable[[int], bool]) -> int | None:
    """First whole number that holds, where all after it do; None where the last does not."""
    if not holds(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low
