"""The checks that a plan answers by stating none, or by naming who made them elsewhere."""

from __future__ import annotations

from formpressure.plan import Plan
from formpressure.records import Check, Status

# Where the form can be without it, a stated "none" answers; the key is in [form].
CAN_BE_NONE = ("corners", "bulkheads", "openings", "batter and ledges", "brackets")


def stated(plan: Plan, name: str, key: str = "by_others") -> Check:
    """DOES NOT APPLY, OK BY OTHERS, or open with the key to fill."""
    for entry in plan.by_others:
        if name in entry.checks:
            facts = {"who": entry.who, "document": entry.document, "date": entry.date}
            return Check(name, Status.BY_OTHERS, "by_others", facts)
    if name == "placement joint" and plan.wall.placed_from is None:
        return Check(name, Status.DOES_NOT_APPLY, "on_footing")
    if name not in CAN_BE_NONE:
        note = "not_in_plan" if key == "by_others" else "blank"
        return Check(name, Status.NOT_CHECKED, note, key=key)
    key = name.replace(" ", "_")
    if getattr(plan.form, key) == "none":
        return Check(name, Status.DOES_NOT_APPLY, "stated_none")
    return Check(name, Status.NOT_CHECKED, "blank", key=f"form.{key}")
