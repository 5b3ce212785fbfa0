"""Check of the scaffold brackets on the form: spacing, planks, and what one bracket carries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.capacity.spans import inch_pound, own_units
from formpressure.case import Case
from formpressure.checks.rest import stated
from formpressure.demand import brackets as rule
from formpressure.plan_form import Brackets
from formpressure.records import Amount, Check, Clause, Status
from formpressure.units import at_most, below

NAME = "brackets"


@dataclass(frozen=True, slots=True)
class _InRuleUnits:
    """The stated brackets in the units of the rule: ft, in, lb, psf."""

    spacing: float
    spacing_limit: float
    plank: str
    span: float
    load: float
    overhang: float
    length: float
    width: float
    cleated: bool


def brackets(case: Case) -> Check:
    """Spacing, plank span, overhang and width by the federal rule; a load on ties stays open."""
    form, system = case.bare.form.brackets, case.rule.system
    if not isinstance(form, Brackets):
        return stated(case.plan, NAME)
    b = _in_rule_units(form, system)
    for bad, note, facts, clause in _limits(b):
        if bad:
            return Check(NAME, Status.NOT_OK, note, _shown(facts, system), clause=clause)
    needed = rule.bracket_load(b.load, b.width, b.spacing)
    demand = Amount("load", own_units("load", needed, system), system)
    capacity = None
    if form.bracket_load is not None:
        capacity = Amount("load", form.bracket_load, system)
        if not at_most(demand.bare, capacity.bare):
            return Check(NAME, Status.NOT_OK, "bracket_over", {"part": "bracket"}, "", demand,
                         capacity, rule.RATED)  # fmt: skip
    if form.on_ties is not False:
        key = "form.brackets.on_ties"
        return Check(NAME, Status.NOT_CHECKED, "bracket_on_ties", key=key, clause=rule.AXIAL_ONLY)
    if capacity is None:
        key = "form.brackets.bracket_load"
        return Check(NAME, Status.NOT_CHECKED, "bracket_load_blank", {"needed": demand}, key,
                     clause=rule.RATED)  # fmt: skip
    answers: dict[str, Any] = {
        "part": "bracket",
        "supports": rule.supports_needed(b.length, b.span, b.overhang),
        "sag": Amount("size", rule.allowed_sag(b.span), "US"),
    }
    return Check(NAME, Status.OK, "brackets_within", _shown(answers, system), "", demand, capacity,
                 rule.RATED)  # fmt: skip


def _limits(b: _InRuleUnits) -> list[tuple[bool, str, dict[str, Any], Clause]]:
    """Every limit: whether it is broken, the note and facts to say so, and its clause."""
    limit = min(b.spacing_limit, rule.MOST_SPACING.value)
    span = rule.plank_span(b.plank, b.load)
    end = rule.most_overhang(b.length)
    shortest = b.span + 2.0 * b.overhang / 12.0
    plank = {"plank": b.plank, "load": Amount("pressure", b.load, "US")}
    run = {"stated": Amount("size", b.overhang, "US")}
    return [
        (not at_most(b.spacing, limit), "bracket_spacing",
         {"stated": Amount("spacing", b.spacing, "US"), "limit": Amount("spacing", limit, "US")},
         rule.MOST_SPACING.clause),
        (span is None, "plank_load", plank, rule.PLANK_TABLE),
        (span is not None and not at_most(b.span, span), "plank_span",
         {**plank, "stated": Amount("spacing", b.span, "US"),
          "limit": Amount("spacing", span or 0.0, "US")}, rule.PLANK_TABLE),
        (below(b.overhang, rule.LEAST_OVERHANG.value) and not b.cleated, "plank_end_short",
         {**run, "limit": Amount("size", rule.LEAST_OVERHANG.value, "US")},
         rule.LEAST_OVERHANG.clause),
        (not at_most(b.overhang, end), "plank_end_long",
         {**run, "limit": Amount("size", end, "US")}, rule.MOST_OVERHANG.clause),
        (below(b.length, shortest), "plank_short",
         {"stated": Amount("length", b.length, "US"), "limit": Amount("length", shortest, "US")},
         rule.LEAST_OVERHANG.clause),
        (below(b.width, rule.LEAST_WIDTH.value), "platform_narrow",
         {"stated": Amount("size", b.width, "US"),
          "limit": Amount("size", rule.LEAST_WIDTH.value, "US")}, rule.LEAST_WIDTH.clause),
    ]  # fmt: skip


def _in_rule_units(b: Brackets, system: str) -> _InRuleUnits:
    """The one place where a metric plan is brought to the units of the rule."""

    def us(term: str, bare: float) -> float:
        return inch_pound(term, bare, system)

    limit = rule.MOST_SPACING.value
    if b.spacing_limit is not None:
        limit = us("spacing", b.spacing_limit)
    # Brackets are the only supports, so no plank spans less than from one bracket to the next.
    span = max(b.plank_span, b.spacing)
    return _InRuleUnits(
        us("spacing", b.spacing), limit, b.plank, us("spacing", span),
        us("pressure", b.load), us("size", b.end_overhang), us("length", b.platform),
        us("size", b.width), b.cleated is True,
    )  # fmt: skip


def _shown(facts: dict[str, Any], system: str) -> dict[str, Any]:
    """Facts with their amounts in the units of the plan."""
    return {
        k: Amount(v.term, own_units(v.term, v.bare, system), system) if isinstance(v, Amount) else v
        for k, v in facts.items()
    }


CHECKS = {NAME: brackets}
