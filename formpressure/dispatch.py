"""The pour asked backwards: what to order, how far apart the trucks, when the next may start."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from formpressure.allowed import LAYER
from formpressure.case import Case
from formpressure.errors import OutOfRange
from formpressure.gaps import Gaps, Most, first
from formpressure.plan_delivery import CUBIC
from formpressure.pour import Filling, Pour, Spell
from formpressure.rise import LONGEST_WAIT
from formpressure.units import at_most, up, whole_up

MOST_PLACES = 200  # stations that a search for the spread still tries
MOST_LISTED = 40  # trucks whose starts are still listed one by one
SOON = 16  # minutes of waiting that are tried first

Keeps = Callable[[Pour], bool]


@dataclass(frozen=True, slots=True)
class Order:
    """The order sheet; volumes as the trucks are counted (yards, or m3).

    `with_less` is how many trucks it takes if each brings one unit less, `lower` how much lower
    the last stretch ends if one truck alone does.
    """

    wall: float
    ordered: float
    trucks: int
    with_less: int | None
    lower: float


@dataclass(frozen=True, slots=True)
class Hold:
    """The first truck that comes too early (1 is the first of all), and its earliest minute."""

    truck: int
    minute: int


@dataclass(frozen=True, slots=True)
class Dispatch:
    """What the trucks of a plan do, and what mends it; found by the simulation of the pour itself.

    `worst` is the stretch of time that comes nearest to what is allowed, or passes it; `by_rise`
    tells that our own bound is asked there, not the rate. None stands for "no such answer":
    `gap` where no gap keeps to it, `spread` where not even the whole run does. `split` tells that
    one load over-tops the place it is put in, or is too fast whatever the gap. `starts` are the
    earliest minutes of all trucks: as planned, each put off as long as the pressure wants it.
    """

    order: Order
    worst: Spell
    by_rise: bool
    passes: bool
    gap: int | None = None
    spread: float | None = None
    split: Literal["", "over", "fast"] = ""
    split_run: str = ""
    hold: Hold | None = None
    starts: tuple[int, ...] | None = None


def dispatch(case: Case, pressure: float) -> Dispatch | None:
    """The words of the trucks for the largest pressure that the form may carry.

    None where the plan does not tell how the trucks fill the wall. Where the document refuses, or
    allows no rate at all, only the order and the fastest stretch are told.
    """
    filling, pour = case.filling, case.pour
    if filling is None or pour is None:
        return None
    order = order_sheet(filling, case)
    most = most_of(case, pressure)
    fast, fresh = pour.fastest(filling.rate_window), pour.freshest(filling.liquid_window)
    if most is None:
        return Dispatch(order, fast, False, False, split_run="")
    over = overtopped(filling)
    if most.rate == np.inf:
        return Dispatch(order, fast, False, True, split="over" if over else "", split_run=over)
    keeps = keeper(filling, most)
    by_rise = fresh.rise / most.rise > fast.rate / most.rate
    gap = Gaps(filling).least(most)
    passes = keeps(pour)
    split: Literal["", "over", "fast"] = "over" if over else "fast" if gap is None else ""
    return Dispatch(
        order, fresh if by_rise else fast, by_rise, passes, gap,
        enough_spread(filling, keeps, LAYER[case.rule.system]), split,
        over or (fast.run if split else ""),
        None if passes else first_hold(filling, keeps),
        None if over else earliest_starts(filling, keeps),
    )  # fmt: skip


def most_of(case: Case, pressure: float, changed: Mapping[str, Any] | None = None) -> Most | None:
    """What the form allows a pour, with some of the rule's inputs `changed`; None where there is no
    rate to give."""
    try:
        rate = float(case.allowed_by_document(pressure, dict(changed or {})).rate)
    except OutOfRange:
        return None
    return Most(rate, pressure / case.given["unit_weight"]) if rate > 0.0 else None


def keeper(filling: Filling, most: Most) -> Keeps:
    """Whether a pour keeps to what is allowed, over the windows of the plan."""

    def keeps(pour: Pour) -> bool:
        rate = pour.fastest(filling.rate_window).rate
        rise = pour.freshest(filling.liquid_window).rise
        return bool(at_most(rate, most.rate) and at_most(rise, most.rise))

    return keeps


def order_sheet(filling: Filling, case: Case) -> Order:
    """What to order; `spare` is the plan's, none where it states none."""
    cubic = CUBIC[case.rule.system]
    wall, truck = filling.volume / cubic, filling.truck / cubic
    ordered = wall * (1.0 + (case.bare.delivery.spare or 0.0) / 100.0)

    def trucks(each: float) -> int:
        return whole_up(ordered / each)

    last = filling.stations()[-1]
    lower = cubic / last.areas[-1]
    return Order(wall, ordered, trucks(truck), trucks(truck - 1.0) if truck > 1.0 else None, lower)


def overtopped(filling: Filling) -> str:
    """The run in which one load is more than its place holds; none where the load moves on."""
    whole = sum(float(s.volumes[-1]) for s in filling.stations())
    for station in filling.stations():
        room = float(station.volumes[-1]) if filling.layer is None else whole
        if not at_most(filling.truck, room):
            return station.run
    return ""


def enough_spread(filling: Filling, keeps: Keeps, step: float) -> float | None:
    """Length to spread one load over at the planned gap, a whole number of steps; it passes."""
    longest = max(run.length for run in filling.runs)
    places = min(MOST_PLACES, int(np.ceil(longest / step)))
    lengths = sorted({
        min(longest, up(longest / n, step))
        for n in range(1, places + 1)
    })  # fmt: skip

    def passes(index: int) -> bool:
        try:
            return keeps(dataclasses.replace(filling, spread=lengths[index]).pour())
        except ValueError:  # an opening as wide as that
            return False

    found = first(0, len(lengths) - 1, passes)
    return None if found is None else lengths[found]


def earliest_start(
    filling: Filling, keeps: Keeps, truck: int, starts: Sequence[float] | None = None
) -> int | None:
    """Earliest whole minute for a truck (1 is the first), not before the one it comes at.

    `starts` are the minutes at which all trucks came or will, blank as planned. The trucks after it
    are put off for hours each, so that they do not count.
    """
    starts = filling.starts(filling.count()) if starts is None else starts

    @functools.cache
    def passes(minute: int) -> bool:
        return keeps(filling.pour(_put_off(starts, truck, float(minute))))

    low = whole_up(starts[truck - 1])
    for high in (low, low + SOON, low + LONGEST_WAIT):  # it mostly is one of the first minutes
        if passes(high):
            return first(low, high, passes)
        low = high + 1
    return None


def earliest_starts(filling: Filling, keeps: Keeps) -> tuple[int, ...] | None:
    """Every truck as planned, or as soon after it as the trucks before it let it.

    None where one of them can never start, or where there are too many to list.
    """
    planned = filling.starts(filling.count())
    if len(planned) > MOST_LISTED:
        return None
    starts = [up(minute, 1.0) for minute in planned]
    if not keeps(filling.pour(starts)):  # also where whole minutes bring two trucks together
        for truck in range(1, len(starts) + 1):
            minute = earliest_start(filling, keeps, truck, starts)
            if minute is None:
                return None
            later = [max(start, minute) for start in starts[truck:]]
            starts = [*starts[: truck - 1], float(minute), *later]
    return tuple(int(start) for start in starts)


def first_hold(filling: Filling, keeps: Keeps) -> Hold | None:
    """The first truck that must wait and until when; None where waiting does not mend it."""
    starts = filling.starts(filling.count())

    def fails(truck: int) -> bool:
        return not keeps(filling.pour(_put_off(starts, truck, starts[truck - 1])))

    truck = first(1, len(starts), fails)
    if truck is None:
        return None
    minute = earliest_start(filling, keeps, truck)
    return None if minute is None else Hold(truck, minute)


def _put_off(starts: Sequence[float], truck: int, minute: float) -> list[float]:
    """The planned starts up to one truck, which starts at `minute`, and the later ones far away."""
    far = max([minute, *starts[: truck - 1]])
    later = [far + 2.0 * LONGEST_WAIT * (k + 1) for k in range(len(starts) - truck)]
    return [*starts[: truck - 1], minute, *later]
