"""One plan by several pressure documents side by side: which apply, what each says, what it allows.

One document governs; the others are told, never mixed and never averaged. A document says nothing
where it lacks an input, where the plan is outside its range, or where all that is left is a choice
of our own. Each is worked in its own unit system and told in that of the plan.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formpressure import case as cases
from formpressure.allowed import Limit, allowable_pressure
from formpressure.capacity.ratings import DESIGN
from formpressure.case import Case
from formpressure.checks import STRENGTH
from formpressure.demand.ties import TieLoads, tie_loads
from formpressure.envelope import Envelope
from formpressure.errors import OutOfRange, Refusal
from formpressure.inputs import plan_key
from formpressure.plan import Plan
from formpressure.records import Amount, Check, Label, Status
from formpressure.rule import RULES, Allowed, Rule
from formpressure.units import SYSTEMS, across, at_most

Floats = NDArray[np.floating[Any]]
RATES = {"US": 10.0, "SI": 3.0}  # least end of the drawn rates; twice the planned one if more
TEMPERATURES = {"US": (40.0, 100.0), "SI": (5.0, 35.0)}
POINTS = 61


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a document says nothing of a plan; a sentence of the table, its facts, the plan key."""

    note: str
    facts: dict[str, Any] = field(default_factory=dict)
    key: str = ""


@dataclass(frozen=True, slots=True)
class ByDocument:
    """What one document says of a plan; numbers in its own units.

    Where `reasons` are given it says nothing, and the rest is None. `envelope` is the pressure at
    the planned rate, full liquid head where there is none or where it passes; `failed` are the
    checks of strength that are NOT OK by it. Where it cannot use the ratings of the plan,
    `unrated` says why, and it tells pressure and loads, but not what is allowed.
    """

    rule: Rule
    reasons: tuple[Reason, ...] = ()
    case: Case | None = None
    envelope: Envelope | None = None
    ties: TieLoads | None = None
    limit: Limit | None = None
    allowed: Allowed | None = None
    failed: tuple[Check, ...] = ()
    unrated: Reason | None = None

    @property
    def applies(self) -> bool:
        return not self.reasons

    @property
    def superseded(self) -> bool:
        """For reading old drawings only."""
        return bool(self.rule.document.superseded_by)


@dataclass(frozen=True, slots=True)
class Comparison:
    """All documents on one plan, the governing one first, the superseded ones last."""

    plan: Plan
    documents: tuple[ByDocument, ...]

    @property
    def governing(self) -> ByDocument:
        return self.documents[0]

    @property
    def failing(self) -> tuple[ByDocument, ...]:
        """Others in force that apply and by which something fails."""
        return tuple(d for d in self.documents[1:] if d.failed and not d.superseded)

    def amount(self, term: str, bare: float, of: ByDocument) -> Amount:
        """A number of one document in the units of the plan."""
        return Amount(term, self.bare(term, bare, of), self.plan.units)

    def bare(self, term: str, bare: Any, of: ByDocument) -> Any:
        """The same for arrays, bare."""
        return across(term, bare, of.rule.system, self.plan.units)


def compare(plan: Plan) -> Comparison:
    """Judge a plan by every document here, whatever the units of its constants.

    Raises Refusal as `check` does for the governing document.
    """
    governing = cases.find_rule(plan, plan.units)
    first = _judge(plan, governing, whole=True)
    rest = [_judge(plan, rule, whole=True, like=first.case) for rule in _one_each(plan.units)
            if rule.document != governing.document]  # fmt: skip
    rest.sort(key=lambda found: found.superseded)
    return Comparison(plan, (first, *rest))


def others(case: Case) -> tuple[ByDocument, ...]:
    """The other documents that the verdict looks at: those of `document.compare`, else those in
    force with constants in the units of the plan.

    Raises Refusal for a name that is no document here.
    """
    plan, governing = case.plan, case.rule
    named = plan.document.compare
    if named is None:
        rules = [r for r in RULES.values() if r.system == plan.units]
        rules = [r for r in rules if not r.document.superseded_by]
    else:
        rules = [_named(plan, name) for name in named]
    return tuple(
        _judge(plan, r, whole=False, like=case) for r in rules if r.document != governing.document
    )


def _named(plan: Plan, name: str) -> Rule:
    for system in (plan.units, *SYSTEMS):
        found = RULES.find(name, system)
        if found is not None:
            return found
    known = " or ".join(sorted({str(rule.document) for rule in RULES.values()}))
    key = "document.compare"
    raise Refusal("no such document here", f"Use {known}", file=plan.file, key=key, value=name)


def _one_each(system: str) -> list[Rule]:
    """One rule of each document, in the plan's unit system where there is one."""
    rules = sorted(RULES.values(), key=lambda rule: (rule.system != system, rule.name))
    return list({str(rule.document): rule for rule in reversed(rules)}.values())[::-1]


def _judge(plan: Plan, rule: Rule, *, whole: bool, like: Case | None = None) -> ByDocument:
    """What one document says; `whole` adds what it allows; `like` is the governing case."""
    unrated = None
    if plan.ties.basis == DESIGN and rule.partial_factor is None:
        facts = {"document": str(rule.document)}
        unrated, plan = Reason("design", facts, "ties.basis"), _without_ratings(plan)
    try:
        case = cases.set_up_by(plan, rule, like=like)
    except Refusal as refusal:  # a rating of the panels, say
        return ByDocument(rule, (Reason("refused", {"problem": refusal.problem}, refusal.key),))
    reasons = tuple(_reasons(case))
    if reasons:
        return ByDocument(rule, reasons)
    full = case.liquid_head()
    envelope = full if case.rate is None else case.planned_envelope()
    if unrated is not None:
        ties = tie_loads(case.rows, envelope) if whole else None
        return ByDocument(rule, (), case, envelope, ties, unrated=unrated)
    failed = tuple(_failing(case, envelope))
    if not whole and (case.rate is not None or not failed):
        return ByDocument(rule, (), case, envelope, failed=failed)
    limit = allowable_pressure(case)
    allowed = case.allowed(limit.pressure)
    if case.rate is None and allowed.kind == "at most":  # some rate passes: nothing fails yet
        failed = ()
    if at_most(full.p_max, limit.pressure):
        envelope = full
    ties = tie_loads(case.rows, envelope)
    return ByDocument(rule, (), case, envelope, ties, limit, allowed, failed)


def _without_ratings(plan: Plan) -> Plan:
    """The plan for pressures and loads alone: what it says of strength is left out or not read."""
    ties = dataclasses.replace(plan.ties, basis="breaking load")
    return dataclasses.replace(plan, ties=ties, form=dataclasses.replace(plan.form, panels=None))


def _failing(case: Case, envelope: Envelope) -> Iterator[Check]:
    for judge in STRENGTH.values():
        found = judge(case, envelope)
        if found.status is Status.NOT_OK:
            yield found


def _reasons(case: Case) -> Iterator[Reason]:
    """Every reason why the document says nothing: what it lacks, then what is out of its range."""
    rule, given = case.rule, case.given
    blank = False
    for key in dict.fromkeys(plan_key(t) for t in rule.needs if given.get(t) is None):
        blank = True
        yield Reason("blank", key=key)
    out = False
    for refusal in rule.outside({**given, "rate": case.rate}):
        out = True
        facts = {"input": refusal.key.replace("_", " "), "problem": refusal.problem}
        yield Reason("outside", facts, plan_key(refusal.key))
    if blank or out:
        return
    slow = 1e-3 if case.rate is None else case.rate  # any rate: what is asked is which clause
    clause = rule.clauses[int(rule.envelope(**{**given, "rate": slow}).branch)]
    if clause.label is Label.OWN:
        yield Reason("own", {"says": clause.says})


@dataclass(frozen=True, slots=True)
class Curve:
    """One document over rate and over temperature of the concrete, in the units of the plan; nan
    where it says nothing. `allowed` is infinite where any rate passes."""

    rule: Rule
    rates: Floats
    peak: Floats
    temperatures: Floats
    allowed: Floats


def curves(found: Comparison) -> tuple[Curve, ...]:
    """The documents that apply, to be drawn: peak against rate, allowed rate against temperature.

    Pressures are the document's own, without our bound for what is still liquid.
    """
    return tuple(_curve(found, by) for by in found.documents if by.applies)


def _curve(found: Comparison, by: ByDocument) -> Curve:
    case, system, units = by.case, by.rule.system, found.plan.units
    assert case is not None
    planned = 0.0 if case.rate is None else found.bare("rate", case.rate, by)
    rates = np.linspace(0.0, max(RATES[units], 2.0 * planned), POINTS)[1:]
    warm = np.linspace(*TEMPERATURES[units], POINTS)
    own_rates = across("rate", rates, units, system)
    own_warm = across("temperature", warm, units, system)
    peak = np.array([_peak(case, float(rate)) for rate in own_rates])
    limit = np.nan if by.limit is None else by.limit.pressure
    allowed = np.array([_allowed(case, limit, float(t)) for t in own_warm])
    return Curve(
        by.rule, rates, found.bare("pressure", peak, by), warm, found.bare("rate", allowed, by)
    )


def _peak(case: Case, rate: float) -> float:
    try:
        return float(case.envelope(rate).by_document)
    except OutOfRange:
        return np.nan


def _allowed(case: Case, pressure: float, temperature: float) -> float:
    if np.isnan(pressure):
        return pressure
    changed = {"temperature": temperature} if "temperature" in case.rule.terms else {}
    try:
        return float(case.allowed_by_document(pressure, changed).rate)
    except OutOfRange:
        return np.nan
