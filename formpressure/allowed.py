"""What is allowed, as crews work: rate of placement, minutes for each foot, gap of trucks."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from math import inf

from formpressure.case import Case
from formpressure.checks import STRENGTH, StrengthCheck
from formpressure.demand.ties import allowable_pressure as by_ties
from formpressure.envelope import Envelope
from formpressure.plan_delivery import CUBIC
from formpressure.records import Status
from formpressure.rise import minutes_between
from formpressure.rule import Allowed
from formpressure.units import down, last_that_passes

STEP = {"US": 0.5, "SI": 0.1}  # display step of a rate, ft/h and m/h
LAYER = {"US": 1.0, "SI": 0.5}  # the layer that minutes are given for, ft and m


@dataclass(frozen=True, slots=True)
class Limit:
    """The largest pressure that the form may carry, bare, and the check that sets it."""

    pressure: float
    name: str


def allowable_pressure(case: Case) -> Limit:
    """Largest pressure for which no check of strength fails; infinity where none ever does.

    It depends on the form, unit weight and head only, not on temperature, mix or rate.
    """
    full = case.liquid_head()
    limits = [Limit(by_ties(case.rows, full.slope, case.tie.usable), "ties")]
    for name, judge in STRENGTH.items():
        if name != "ties":
            limits.append(Limit(_largest_that_passes(case, full, judge), name))
    return min(limits, key=lambda limit: limit.pressure)


def _largest_that_passes(case: Case, full: Envelope, judge: StrengthCheck) -> float:
    def passes(pressure: float) -> bool:
        envelope = dataclasses.replace(full, own_p_max=pressure)
        return judge(case, envelope).status is not Status.NOT_OK

    at_full = judge(case, full)
    if at_full.status is not Status.NOT_OK:
        return inf
    if at_full.capacity is not None and at_full.capacity.term == "pressure":
        rated = at_full.capacity.bare  # a plain rating is met exactly, without the tolerance
        if passes(rated) and not passes(rated * (1.0 + 1e-6)):
            return rated
    return last_that_passes(passes, 0.0, float(full.p_max))


@dataclass(frozen=True, slots=True)
class Pace:
    """The rate to work to, turned into crew words: what is allowed, rounded down to its display
    step, and no more than the rate the plan was judged for.

    `minutes` is start to start for layers of `layer`, None where no wait between such layers keeps
    to the rate. The truck's words are None where the plan does not give length, thickness and
    truck; `truck_gap` is None where one truck must be split.
    """

    rate: float
    layer: float
    minutes: int | None
    truck_rise: float | None = None
    truck_gap: int | None = None


def shown(allowed: Allowed, system: str) -> Allowed:
    """The allowed rate rounded down to its display step; under one step it is no rate."""
    if allowed.kind != "at most":
        return allowed
    return dataclasses.replace(allowed, rate=down(allowed.rate, STEP[system]))


def pace(case: Case, allowed: Allowed) -> Pace | None:
    """Crew words for an allowed rate; None where any rate or no rate is allowed."""
    system = case.rule.system
    rounded = shown(allowed, system)
    if rounded.kind != "at most":
        return None
    rate = rounded.rate if case.rate is None else min(rounded.rate, case.rate)
    layer, rise = LAYER[system], truck_rise(case)
    minutes = minutes_between(layer, rate, case.layer_time)
    gap = None if rise is None else minutes_between(rise, rate, case.layer_time)
    return Pace(rate, layer, minutes, rise, gap)


def truck_rise(case: Case) -> float | None:
    """Rise of the surface by one truck spread all round."""
    delivery = case.bare.delivery
    if delivery.truck is None or delivery.length is None or delivery.thickness is None:
        return None
    cubic = delivery.truck * CUBIC[case.rule.system]
    return float(cubic / (delivery.length * delivery.thickness))
