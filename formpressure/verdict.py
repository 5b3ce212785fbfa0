"""Checks and verdict: the closed list, one answer each, and the word that follows from them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from formpressure import case as cases
from formpressure.allowed import Limit, Pace, allowable_pressure, pace
from formpressure.case import Case
from formpressure.checks import SITE, STRENGTH
from formpressure.comparison import ByDocument, others
from formpressure.demand.ties import TieLoads, tie_loads
from formpressure.dispatch import Dispatch, dispatch
from formpressure.envelope import Envelope
from formpressure.errors import OutOfRange
from formpressure.inputs import plan_key
from formpressure.joints import Joints, joints_of
from formpressure.plan import Plan
from formpressure.plan_delivery import blank_key
from formpressure.records import CHECKS, Amount, Check, Status
from formpressure.rule import Allowed
from formpressure.units import TOLERANCE, at_most

GO, NO_GO, NOT_CHECKED = "GO", "NO-GO", "NOT CHECKED"


@dataclass(frozen=True, slots=True)
class Verdict:
    """NO-GO if any check is NOT OK, else NOT CHECKED if any is open, else GO.

    `full` and `ties_full` are the form filled straight up; `envelope` and `ties` are the pressure
    that is judged: the rule at the stated rate, or full liquid head.
    """

    case: Case
    checks: tuple[Check, ...]
    full: Envelope
    ties_full: TieLoads
    envelope: Envelope
    ties: TieLoads
    limit: Limit  # the largest pressure the form may carry, and what sets it
    allowed: Allowed
    pace: Pace | None
    trucks: Dispatch | None = None  # where the plan tells how trucks fill the wall
    joints: Joints | None = None  # likewise; never a check, and never over the pressure
    others: tuple[ByDocument, ...] = ()  # other documents looked at; they change no check

    @property
    def straight_up(self) -> bool:
        """Whether all that was given a strength carries full liquid head."""
        return bool(at_most(self.full.p_max, self.limit.pressure))

    @property
    def carries(self) -> float:
        """The largest pressure that a rate may bring. Where studs or wales run past the ties the
        third model was asked about the pressure of the plan only, so it is no more than that."""
        form, most = self.case.bare.form, self.limit.pressure
        if self.case.rate is not None and (form.studs or form.wales):
            return min(most, float(self.envelope.p_max))
        return most

    @property
    def doubtful(self) -> bool:
        """Both plain models let it be filled straight up, but the third waits for an engineer."""
        ties = self["ties"]
        waits = ties.status is Status.NOT_CHECKED and ties.note.startswith("continuous_")
        return self.straight_up and waits

    @property
    def free(self) -> bool:
        """Full liquid head passes and nobody waits for an engineer: no rise can be too fast, so
        nothing of rate, temperature or slump can matter."""
        return self.straight_up and not self.doubtful

    @property
    def fails_at_full(self) -> tuple[Check, ...]:
        """Checks of strength that full liquid head would fail."""
        asked = (judge(self.case, self.full) for judge in STRENGTH.values())
        return tuple(c for c in asked if c.status is Status.NOT_OK)

    @property
    def carriers(self) -> tuple[str, ...]:
        """Names of the checks that were given a strength to compare with."""
        return tuple(c.name for c in self.checks if c.name in STRENGTH and c.capacity is not None)

    @property
    def plan(self) -> Plan:
        return self.case.plan

    @property
    def word(self) -> str:
        """The verdict word."""
        found = {check.status for check in self.checks}
        if Status.NOT_OK in found:
            return NO_GO
        return NOT_CHECKED if Status.NOT_CHECKED in found else GO

    @property
    def open(self) -> tuple[Check, ...]:
        """The checks not yet made."""
        return tuple(c for c in self.checks if c.status is Status.NOT_CHECKED)

    @property
    def failed(self) -> tuple[Check, ...]:
        """The checks that are NOT OK."""
        return tuple(c for c in self.checks if c.status is Status.NOT_OK)

    @property
    def others_failing(self) -> tuple[ByDocument, ...]:
        """Other applicable documents in force by which something fails that passes by the governing
        one: they head the verdict."""
        known = {check.name for check in self.failed}
        new = (d for d in self.others if {c.name for c in d.failed} - known)
        return tuple(d for d in new if not d.superseded)

    def __getitem__(self, name: str) -> Check:
        return self.checks[CHECKS.index(name)]


def check(plan: Plan) -> Verdict:
    """Judge a plan by its governing document.

    Raises Refusal where the plan cannot be judged at all (a rating without its factor).
    """
    case = cases.set_up(plan)
    full = case.liquid_head()
    limit = allowable_pressure(case)
    straight_up = bool(at_most(full.p_max, limit.pressure))
    refusal: OutOfRange | None = None
    envelope, allowed = full, Allowed(np.inf if straight_up else 0.0, 0, case.rule.clauses)
    try:
        allowed = case.allowed(limit.pressure)
        if case.rate is not None and not straight_up:
            envelope = case.planned_envelope()
    except OutOfRange as outside:
        refusal = outside
    trucks = dispatch(case, limit.pressure)
    answers = {name: make(case) for name, make in SITE.items()}
    for name, judge in STRENGTH.items():
        found = _needs_a_rate(judge(case, envelope), case, allowed)
        answers[name] = _by_trucks(found, case, trucks)
    answers["ties"] = _third_model(answers["ties"], case, envelope)
    answers["pressure document"] = _document(case, envelope, straight_up, refusal)
    return Verdict(
        case, tuple(answers[name] for name in CHECKS), full, tie_loads(case.rows, full), envelope,
        tie_loads(case.rows, envelope), limit, allowed, pace(case, allowed),
        trucks, joints_of(case), others(case),
    )  # fmt: skip


def _needs_a_rate(check: Check, case: Case, allowed: Allowed) -> Check:
    """Where full liquid head fails but some rate passes and none is stated, it is still open."""
    if check.status is Status.NOT_OK and case.rate is None and allowed.kind == "at most":
        trucks = blank_key(case.plan.delivery)
        note, key = (
            ("needs_a_rise", trucks) if trucks else ("needs_a_rate", "delivery.fastest_rise")
        )
        return replace(check, status=Status.NOT_CHECKED, note=note, key=key)
    return check


def _by_trucks(check: Check, case: Case, trucks: Dispatch | None) -> Check:
    """Where the trucks as planned are what fails a check, it names the run and the minutes."""
    if check.status is not Status.NOT_OK or check.note != "over" or trucks is None:
        return check
    if trucks.passes:
        return check
    worst = trucks.worst
    facts = {
        **check.facts, "run": worst.run, "start": int(worst.start + TOLERANCE),
        "end": int(np.ceil(worst.end - TOLERANCE)),
        "rise": Amount("height", worst.rise, case.rule.system),
    }  # fmt: skip
    if trucks.hold is None:
        return replace(check, note="over_by_load", facts=facts)
    facts |= {"truck": trucks.hold.truck, "minute": trucks.hold.minute}
    return replace(check, note="over_by_trucks", facts=facts)


def _third_model(check: Check, case: Case, envelope: Envelope) -> Check:
    """Members that run on past the ties may bring more than both models of the verdict say.

    Then it is at best NOT CHECKED until the plan names the engineer, the method and why.
    """
    form, capacity = case.bare.form, check.capacity
    if check.status is not Status.OK or capacity is None or not (form.studs or form.wales):
        return check
    from formpressure.demand.explain import third_loads  # the frame solvers load only for these

    try:
        loads = third_loads(case.rows, envelope, case.bare)
    except ArithmeticError:  # which ties pull was not found: then nothing is known of this model
        loads = np.array([np.inf])
    assert loads is not None  # a form with studs or wales has this model
    load = float(loads.max())
    if at_most(load, capacity.bare):
        return check
    accepted = case.plan.ties.continuous
    facts = {**check.facts, "load": Amount("load", load, case.rule.system)}
    if accepted is not None:
        facts |= {"engineer": accepted.engineer, "method": accepted.method, "why": accepted.why}
        note = "continuous_accepted" if np.isfinite(load) else "continuous_trusted"
        return replace(check, note=note, facts=facts)
    note = "continuous_over" if np.isfinite(load) else "continuous_unsolved"
    key = "ties.continuous"
    return replace(check, status=Status.NOT_CHECKED, note=note, facts=facts, key=key)


def _document(
    case: Case, envelope: Envelope, straight_up: bool, refusal: OutOfRange | None
) -> Check:
    name = "pressure document"
    facts: dict[str, Any] = {"document": str(case.rule.document)}
    if envelope.other is not None:
        facts["own"] = Amount("pressure", envelope.own_p_max, case.rule.system)
        facts["other"] = Amount("pressure", envelope.other.p_max, envelope.other.system)
        return Check(name, Status.OK, "two_sets", facts)
    if refusal is None and case.other_side():
        return Check(name, Status.OK, "two_sets_differ", facts)
    if refusal is None:
        return Check(name, Status.OK, "document_in_range", facts)
    if straight_up:
        return Check(name, Status.OK, "document_not_needed", facts)
    facts |= {"input": refusal.key.replace("_", " "), "problem": refusal.problem}
    clause = next(r.clause for r in case.rule.ranges if r.term == refusal.key)
    key = plan_key(refusal.key)
    return Check(name, Status.NOT_OK, "document_out_of_range", facts, key, clause=clause)
