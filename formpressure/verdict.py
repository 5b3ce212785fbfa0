"""Checks and verdict: the closed list, one answer each, and the word that follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from formpressure import case as cases
from formpressure.allowed import Pace, pace
from formpressure.case import Case
from formpressure.checks import rest_of_the_form
from formpressure.demand.ties import TieLoads, tie_loads
from formpressure.envelope import Envelope
from formpressure.errors import OutOfRange
from formpressure.plan import Plan
from formpressure.records import CHECKS, Amount, Check, Status
from formpressure.rule import Allowed
from formpressure.units import at_most

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
    straight_up: bool
    allowed: Allowed
    pace: Pace | None

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

    def __getitem__(self, name: str) -> Check:
        return self.checks[CHECKS.index(name)]


def check(plan: Plan) -> Verdict:
    """Judge a plan by its governing document.

    Raises Refusal where the plan cannot be judged at all (a rating without its factor).
    """
    case = cases.set_up(plan)
    full = case.liquid_head()
    ties_full = tie_loads(case.rows, full)
    straight_up = _carries(case, full, ties_full)
    out_of_range: OutOfRange | None = None
    envelope, allowed = full, Allowed(np.inf if straight_up else 0.0, 0, case.rule.clauses)
    try:
        allowed = case.allowed()
        if case.rate is not None and not straight_up:
            envelope = case.envelope(case.rate)
    except OutOfRange as refusal:
        out_of_range = refusal
    ties = tie_loads(case.rows, envelope)
    answers = {
        "faces tied through": _faces(case),
        "pressure document": _document(case, envelope, straight_up, out_of_range),
        "placing method": _placing(case),
        "vibration": _vibration(case),
        "admixtures": _admixtures(case),
        "ties": _ties(case, ties, allowed),
        "panels": _panels(case, envelope, allowed),
        **rest_of_the_form(plan),
    }
    return Verdict(
        case, tuple(answers[name] for name in CHECKS), full, ties_full, envelope, ties,
        straight_up, allowed, pace(case, allowed),
    )  # fmt: skip


def _carries(case: Case, envelope: Envelope, ties: TieLoads) -> bool:
    panel = case.panel is None or at_most(envelope.p_max, case.panel.usable)
    return bool(panel and at_most(ties.load.max(), case.tie.usable))


def _faces(case: Case) -> Check:
    faces = case.plan.form.faces
    if faces is None:
        return Check("faces tied through", Status.NOT_CHECKED, "blank", key="form.faces")
    if faces != "tied through":
        return Check("faces tied through", Status.NOT_OK, "one_sided", {"faces": faces})
    return Check("faces tied through", Status.OK, "tied_through")


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
    facts["problem"] = refusal.problem
    clause = case.rule.ranges[0].clause
    return Check(
        name, Status.NOT_OK, "document_out_of_range", facts, f"concrete.{refusal.key}",
        clause=clause,
    )  # fmt: skip


# Drop of flowing concrete from which impact adds to liquid head: Cement and Concrete Association
# 1976, cited by a trade Q&A (QUOTED): 6.5 ft and about 210 psf.
IMPACT_DROP = {"US": 6.5, "SI": 2.0}


def _placing(case: Case) -> Check:
    name, delivery = "placing method", case.bare.delivery
    if delivery.method is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="delivery.method")
    if delivery.method == "pump from base":
        return Check(name, Status.OK, "from_base", clause=case.rule.clauses[-1])
    if delivery.method == "bucket":
        if delivery.drop is None:
            return Check(name, Status.NOT_CHECKED, "blank", key="delivery.drop")
        if delivery.drop >= IMPACT_DROP[case.rule.system]:
            return Check(name, Status.NOT_CHECKED, "impact", key="delivery.drop")
    return Check(name, Status.OK, "from_above", {"method": delivery.method})


def _vibration(case: Case) -> Check:
    name, kind = "vibration", case.plan.concrete.vibration.kind
    if kind is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="concrete.vibration.kind")
    if kind in ("external", "hammering"):
        key = "concrete.vibration.kind"
        return Check(name, Status.NOT_CHECKED, "shaken_form", {"kind": kind}, key)
    return Check(name, Status.OK, "consolidated", {"kind": kind})


def _admixtures(case: Case) -> Check:
    name, mix = "admixtures", case.plan.concrete.mix
    if mix.cement is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="concrete.mix.cement")
    if case.given["cement"] in ("K", "M", "S") or "expansive" in mix.cement.casefold():
        return Check(name, Status.NOT_OK, "expansive", {"cement": mix.cement})
    return Check(name, Status.OK, "counted")


def _over(case: Case, allowed: Allowed) -> tuple[Status, str, str]:
    """What it means when the judged pressure does not pass: no rate stated may still be mended."""
    if case.rate is None and allowed.kind == "at most":
        return Status.NOT_CHECKED, "needs_a_rate", "delivery.fastest_rise"
    return Status.NOT_OK, "over", ""


def _ties(case: Case, ties: TieLoads, allowed: Allowed) -> Check:
    system, worst = case.rule.system, ties.worst
    demand = Amount("load", float(ties.load[worst]), system)
    capacity = Amount("load", case.tie.usable, system)
    facts: dict[str, Any] = {"height": Amount("height", float(ties.heights[worst]), system)}
    if not at_most(demand.bare, capacity.bare):
        status, note, key = _over(case, allowed)
    elif case.tie.is_breaking and case.plan.ties.breaking_of is None:
        status, note, key = Status.NOT_CHECKED, "breaking_of_what", "ties.breaking_of"
    elif case.plan.ties.data_sheet is None:
        status, note, key = Status.NOT_CHECKED, "no_sheet", "ties.data_sheet"
    else:
        status, note, key = Status.OK, "within", ""
    return Check("ties", status, note, facts, key, demand, capacity, case.tie.clause)


def _panels(case: Case, envelope: Envelope, allowed: Allowed) -> Check:
    if case.panel is None:
        return rest_of_the_form(case.plan, ("panels",))["panels"]
    system = case.rule.system
    demand = Amount("pressure", float(envelope.p_max), system)
    capacity = Amount("pressure", case.panel.usable, system)
    panels = case.plan.form.panels
    if not at_most(demand.bare, capacity.bare):
        status, note, key = _over(case, allowed)
    elif panels is None or panels.data_sheet is None:
        status, note, key = Status.NOT_CHECKED, "no_sheet", "form.panels.data_sheet"
    else:
        status, note, key = Status.OK, "within", ""
    return Check("panels", status, note, {}, key, demand, capacity, case.panel.clause)
