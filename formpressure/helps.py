"""What helps where no gap between trucks fits both the pressure and the joints.

Each way is worked alone, by the same code with a changed plan. None of them is a verdict: change
the plan and have it judged.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from itertools import product
from typing import Any

import numpy as np

from formpressure import case as cases
from formpressure.allowed import LAYER
from formpressure.demand.ties import tie_loads
from formpressure.dispatch import most_of
from formpressure.errors import OutOfRange
from formpressure.gaps import Gaps
from formpressure.joints import joints_of, window_of
from formpressure.plan import Plan
from formpressure.pour import MOST_PASSES, Filling, Run, marks
from formpressure.records import Amount
from formpressure.units import TOLERANCE, at_most, leave, up
from formpressure.verdict import Verdict, check

TIE_STEP = {"US": 10.0, "SI": 0.1}  # lb and kN, as loads are shown
WARMER = {"US": 10.0, "SI": 5.0}  # degrees
MOST_PIECES = 8  # that a wall is cut into by bulkheads
LAYERS = (2.0, 1.5, 1.0, 0.5)  # times the layer that minutes are given for


@dataclass(frozen=True, slots=True)
class Help:
    """One way out. `least` is the smallest gap of trucks that the pressure allows, one at a time,
    `most` the longest that the joints allow; None where there is none.

    `fits` tells whether some gap keeps to both (for the ties: whether the trucks as planned do),
    None where no time for joints is known; `estimated` that the joint's side is an estimate.
    """

    name: str
    fits: bool | None
    estimated: bool
    least: int | None = None
    most: int | None = None
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Sides:
    """Both ends of the gap for one filling under one plan."""

    least: int | None
    most: int | None
    known: bool
    estimated: bool

    @property
    def fits(self) -> bool | None:
        if self.least is None:
            return False
        if not self.known:
            return None
        return self.most is not None and self.least <= self.most

    def help(self, name: str, **facts: Any) -> Help:
        return Help(name, self.fits, self.estimated, self.least, self.most, facts)


def nothing_fits(verdict: Verdict) -> bool:
    """Whether no gap at all keeps to the pressure, or none to a measured joint window as well.

    A plan that keeps to both as it stands fits, whatever other gaps do.
    """
    if verdict.trucks is None or verdict.joints is None or verdict.straight_up:
        return False
    if verdict.trucks.passes and verdict.joints.in_time is not False:
        return False
    return verdict.trucks.gap is None or verdict.joints.fits(verdict.trucks.gap) is False


def what_helps(verdict: Verdict) -> tuple[Help, ...]:
    """The ways out that could be worked for this plan, each alone and all else as planned.

    Stronger ties for the trucks as planned; thinner layers; bulkheads and shorter placements;
    a retarder, which keeps the joint open longer and presses harder; warmer concrete, which
    presses less and sets sooner. Empty where the plan does not tell how trucks fill the wall.
    """
    case = verdict.case
    if case.filling is None or case.pour is None or verdict.straight_up:
        return ()
    found = (_ties(verdict), _layers(verdict), _pieces(verdict), _retarder(verdict),
             _warmer(verdict))  # fmt: skip
    return tuple(h for h in found if h is not None)


def _sides(verdict: Verdict, plan: Plan, *fillings: Filling) -> _Sides:
    """Both sides for all of these fillings, or the plan's own, under a plan as changed."""
    case = verdict.case if plan is verdict.plan else cases.set_up(plan)
    most, window = most_of(case, verdict.limit.pressure), window_of(case)
    leasts: list[int | None] = []
    longest: list[int | None] = []
    assert case.filling is not None
    for filling in fillings or (case.filling,):
        gaps = Gaps(filling)
        leasts.append(None if most is None else 1 if most.rate == np.inf else gaps.least(most))
        longest.append(None if window is None else gaps.longest(window.short))
    least = None if None in leasts else max(g for g in leasts if g is not None)
    latest = None if None in longest else min(g for g in longest if g is not None)
    return _Sides(least, latest, window is not None, window is None or not window.measured)


def _ties(verdict: Verdict) -> Help | None:
    """The tie load to use that the trucks as planned need; None where ties are not what stops."""
    case = verdict.case
    system = case.rule.system
    try:
        envelope = case.planned_envelope()
    except OutOfRange:
        return None
    needed = up(float(tie_loads(case.rows, envelope).load.max()), TIE_STEP[system])
    if at_most(needed, case.tie.usable):
        return None
    plan = verdict.plan
    ties = dataclasses.replace(
        plan.ties, load=leave("load", needed, system), basis="working load at 2:1"
    )
    changed = check(dataclasses.replace(plan, ties=ties))
    joints = joints_of(changed.case)
    assert changed.trucks is not None
    passes = changed.trucks.passes or changed.straight_up
    in_time = None if joints is None else joints.in_time
    estimated = joints is None or joints.window is None or not joints.window.measured
    return Help(
        "ties", in_time if passes else False, estimated,
        facts={"load": Amount("load", needed, system), "passes": passes,
               "other": "" if passes else changed.limit.name},
    )  # fmt: skip


def _layers(verdict: Verdict) -> Help | None:
    """The highest layer, lower than planned, with which some gap fits; else the lowest tried."""
    case = verdict.case
    system, filling = case.rule.system, case.filling
    assert filling is not None
    if filling.order:  # the list of turns would not fit
        return None
    planned = max(filling.layer or filling.load_rise(run) for run in filling.runs)
    found = None
    for times in LAYERS:
        layer = LAYER[system] * times
        thinner = dataclasses.replace(filling, layer=layer)
        if at_most(planned, layer) or _passes(thinner) > MOST_PASSES:
            continue
        sides = _sides(verdict, verdict.plan, thinner)
        found = sides.help("layers", layer=Amount("height", layer, system))
        if sides.fits or (sides.fits is None and sides.least is not None):
            return found
    return found


def _passes(filling: Filling) -> int:
    return sum(
        len(marks(s.edges[0], s.edges[-1], filling.layer or 1.0)) for s in filling.stations()
    )


def _pieces(verdict: Verdict) -> Help | None:
    """The fewest equal pieces, one placement each, for which some gap fits; else two of them.

    A shorter piece only rises faster, so it helps the joints alone: None where no time for them is
    known. Nobody knows where along its run an opening stands: each piece is tried with and without.
    """
    case = verdict.case
    filling = case.filling
    assert filling is not None
    if filling.order or window_of(case) is None:
        return None
    found, whole = None, sum(run.length for run in filling.runs)
    for count in range(2, MOST_PIECES + 1):
        fillings = [
            dataclasses.replace(filling, runs=runs)
            for piece, bare in product(cut(filling.runs, count), (False, True))
            if (runs := tuple(r._replace(openings=()) if bare else r for r in piece))
        ]
        try:
            sides = _sides(verdict, verdict.plan, *dict.fromkeys(fillings))
        except ValueError:  # an opening as wide as one place of a piece
            return None
        length = Amount("length", whole / count, case.rule.system)
        tried = sides.help("pieces", count=count, length=length)
        if sides.fits:
            return tried
        found = found or tried
        if sides.least is None:
            break
    return found


def cut(runs: tuple[Run, ...], count: int) -> list[tuple[Run, ...]]:
    """The runs, in their order, cut into `count` stretches of one length together."""
    each = sum(run.length for run in runs) / count
    pieces: list[list[Run]] = [[]]
    room = each
    for run in runs:
        left = run.length
        while left > TOLERANCE * each:
            taken = min(left, room)
            pieces[-1].append(run._replace(length=taken))
            left, room = left - taken, room - taken
            if room <= TOLERANCE * each and len(pieces) < count:
                pieces.append([])
                room = each
    return [tuple(piece) for piece in pieces if piece]


def _retarder(verdict: Verdict) -> Help | None:
    """With a retarder: both sides where its effect on the joint was measured, else pressure's."""
    plan = verdict.plan
    if plan.concrete.mix.retarder is not False:  # counted as retarded already
        return None
    mix = dataclasses.replace(plan.concrete.mix, retarder=True)
    window = plan.concrete.joint_window
    if window is not None and window.with_retarder is None:
        window = None  # not measured, so not told
    elif window is not None:
        window = dataclasses.replace(window, time=window.with_retarder)
    concrete = dataclasses.replace(plan.concrete, mix=mix, joint_window=window)
    return _changed(verdict, "retarder", dataclasses.replace(plan, concrete=concrete))


def _warmer(verdict: Verdict) -> Help | None:
    """All of the concrete warmer by one step: presses less, sets sooner."""
    plan, bare, system = verdict.plan, verdict.case.bare.concrete, verdict.case.rule.system
    coldest, joint = bare.temperature, bare.joint_window
    if coldest is None:
        return None
    warm = leave("temperature", coldest + WARMER[system], system)
    window = plan.concrete.joint_window
    if window is not None and joint is not None and joint.warmest is not None:
        most = leave("temperature", joint.warmest + WARMER[system], system)
        window = dataclasses.replace(window, warmest=most)
    concrete = dataclasses.replace(plan.concrete, temperature=warm, joint_window=window)
    return _changed(verdict, "warmer", dataclasses.replace(plan, concrete=concrete))


def _changed(verdict: Verdict, name: str, plan: Plan) -> Help | None:
    """Both sides before and after, with the rates and windows behind them."""
    system = verdict.case.rule.system
    case = cases.set_up(plan)
    before, after = (most_of(c, verdict.limit.pressure) for c in (verdict.case, case))
    if before is None or after is None or np.inf in (before.rate, after.rate):
        return None
    temperature = case.given["temperature"]
    facts: dict[str, Any] = {
        "before": Amount("rate", before.rate, system),
        "rate": Amount("rate", after.rate, system),
        "temperature": Amount("temperature", float(temperature), system),
    }
    old, new = window_of(verdict.case), window_of(case)
    if old is not None and new is not None:
        facts |= {"window_before": old.short, "window": new.short}
    return _sides(verdict, plan).help(name, **facts)
