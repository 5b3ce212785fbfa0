"""The checks that a plan answers by stating none, or by naming who made them elsewhere."""

from __future__ import annotations

from formpressure.plan import Plan
from formpressure.records import Check, Status

# Where the form can be without it, a stated "none" answers; the key is in [form].
CAN_BE_NONE = ("corners", "bulkheads", "openings", "batter and ledges", "brackets")
REST = (
    "tie bearing", "joint connectors", *CAN_BE_NONE, "overhangs", "base", "bracing", "stages",
    "placement joint",
)  # fmt: skip


def rest_of_the_form(plan: Plan, names: tuple[str, ...] = REST) -> dict[str, Check]:
    """One check for each name: DOES NOT APPLY, OK BY OTHERS, or open with the key to fill."""
    return {name: _one(plan, name) for name in names}


def _one(plan: Plan, name: str) -> Check:
    for entry in plan.by_others:
        if name in entry.checks:
            facts = {"who": entry.who, "document": entry.document, "date": entry.date}
            return Check(name, Status.BY_OTHERS, "by_others", facts)
    if name == "placement joint" and plan.wall.placed_from is None:
        return Check(name, Status.DOES_NOT_APPLY, "on_footing")
    if name == "panels":
        return Check(name, Status.NOT_CHECKED, "blank", key="form.panels")
    if name not in CAN_BE_NONE:
        return Check(name, Status.NOT_CHECKED, "not_in_plan", key="by_others")
    key = name.replace(" ", "_")
    if getattr(plan.form, key) == "none":
        return Check(name, Status.DOES_NOT_APPLY, "stated_none")
    return Check(name, Status.NOT_CHECKED, "blank", key=f"form.{key}")
