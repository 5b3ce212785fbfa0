"""Checks of what is done on site: how the faces are held, placed, vibrated and mixed."""

from __future__ import annotations

from formpressure.case import Case
from formpressure.records import Check, Status


def faces(case: Case) -> Check:
    """Both faces joined by ties; one-sided and hung forms are not covered."""
    faces = case.plan.form.faces
    if faces is None:
        return Check("faces tied through", Status.NOT_CHECKED, "blank", key="form.faces")
    if faces != "tied through":
        return Check("faces tied through", Status.NOT_OK, "one_sided", {"faces": faces})
    return Check("faces tied through", Status.OK, "tied_through")


# Drop of flowing concrete from which impact adds to liquid head: Cement and Concrete Association
# 1976, cited by a trade Q&A (QUOTED): 6.5 ft and about 210 psf.
IMPACT_DROP = {"US": 6.5, "SI": 2.0}


def placing(case: Case) -> Check:
    """How the concrete gets in, and what it adds to the pressure."""
    name, delivery = "placing method", case.bare.delivery
    if delivery.method is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="delivery.method")
    if delivery.method == "pump from base":
        head = case.liquid_head()
        if head.surge > 1.0:
            clause = case.rule.clauses[int(head.branch)]
            return Check(name, Status.OK, "from_base", clause=clause)
        facts, key = {"document": str(case.rule.document)}, "delivery.method"
        return Check(name, Status.NOT_CHECKED, "from_base_bare", facts, key)
    if delivery.method == "bucket":
        if delivery.drop is None:
            return Check(name, Status.NOT_CHECKED, "blank", key="delivery.drop")
        if delivery.drop >= IMPACT_DROP[case.rule.system]:
            return Check(name, Status.NOT_CHECKED, "impact", key="delivery.drop")
    return Check(name, Status.OK, "from_above", {"method": delivery.method})


def vibration(case: Case) -> Check:
    """Shaking the form itself can pass full liquid head, so it stays open.

    Source: ACI 347R-14, from memory.
    """
    name, kind = "vibration", case.plan.concrete.vibration.kind
    if kind is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="concrete.vibration.kind")
    if kind in ("external", "hammering"):
        key = "concrete.vibration.kind"
        return Check(name, Status.NOT_CHECKED, "shaken_form", {"kind": kind}, key)
    return Check(name, Status.OK, "consolidated", {"kind": kind})


def admixtures(case: Case) -> Check:
    """Expansive cement is covered by no formula (ACI 347R-14, from memory); the rest is in Cc."""
    name, mix = "admixtures", case.plan.concrete.mix
    if mix.cement is None:
        return Check(name, Status.NOT_CHECKED, "blank", key="concrete.mix.cement")
    kind = mix.cement.removeprefix("Type ").strip()
    if kind in ("K", "M", "S") or "expansive" in mix.cement.casefold():
        return Check(name, Status.NOT_OK, "expansive", {"cement": mix.cement})
    return Check(name, Status.OK, "counted")


CHECKS = {
    "faces tied through": faces,
    "placing method": placing,
    "vibration": vibration,
    "admixtures": admixtures,
}
