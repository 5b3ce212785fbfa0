"""Checks of what must carry the pressure, for whatever envelope they are asked about."""

from __future__ import annotations

from formpressure.case import Case
from formpressure.demand.ties import tie_loads
from formpressure.envelope import Envelope
from formpressure.records import Amount, Check, Status
from formpressure.units import at_most


def ties(case: Case, envelope: Envelope) -> Check:
    """The most loaded tie, by the larger of the two statical models, against its rating."""
    loads = tie_loads(case.rows, envelope)
    system, worst = case.rule.system, loads.worst
    demand = Amount("load", float(loads.load[worst]), system)
    capacity = Amount("load", case.tie.usable, system)
    facts = {"height": Amount("height", float(loads.heights[worst]), system)}
    if not at_most(demand.bare, capacity.bare):
        status, note, key = Status.NOT_OK, "over", ""
    elif case.tie.is_breaking and case.plan.ties.breaking_of is None:
        status, note, key = Status.NOT_CHECKED, "breaking_of_what", "ties.breaking_of"
    elif case.plan.ties.data_sheet is None:
        status, note, key = Status.NOT_CHECKED, "no_sheet", "ties.data_sheet"
    else:
        status, note, key = Status.OK, "within", ""
    return Check("ties", status, note, facts, key, demand, capacity, case.tie.clause)


def panels(case: Case, envelope: Envelope) -> Check:
    """The largest pressure against the rating of the panels, of a plan that gives one."""
    rated = case.plan.form.panels
    assert rated is not None
    assert case.panel is not None
    system = case.rule.system
    demand = Amount("pressure", float(envelope.p_max), system)
    capacity = Amount("pressure", case.panel.usable, system)
    if not at_most(demand.bare, capacity.bare):
        status, note, key = Status.NOT_OK, "over", ""
    elif rated.data_sheet is None:
        status, note, key = Status.NOT_CHECKED, "no_sheet", "form.panels.data_sheet"
    else:
        status, note, key = Status.OK, "within", ""
    return Check("panels", status, note, {}, key, demand, capacity, case.panel.clause)
