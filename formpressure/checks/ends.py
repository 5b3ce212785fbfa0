"""Checks of the ends and odd places of a form: joints, corners, stops, openings, slopes, foot.

Each gives the worst of its parts. What it is compared with is a rating of the plan, brought to a
factor of 2, or for studs past the ties their design values; how each load comes about is told,
function by function, in `demand.ends`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from formpressure.capacity import lumber
from formpressure.capacity.ratings import Rating, rating
from formpressure.capacity.spans import allowed_moment, allowed_shear, inch_pound, own_units
from formpressure.case import Case
from formpressure.checks.rest import stated
from formpressure.demand import ends
from formpressure.demand.ties import TieLoads
from formpressure.envelope import Envelope
from formpressure.errors import Refusal
from formpressure.plan_form import (
    Anchors,
    Base,
    Bulkheads,
    Connectors,
    Corners,
    Lumber,
    Openings,
    Slopes,
)
from formpressure.records import Amount, Check, Clause, Label, Status
from formpressure.units import at_most

# No document was found that sets a factor for these; the same 2 as for ties is our own choice.
HOLDS = Clause(
    "formpressure", "own limit",
    "connectors, stops, struts and holds of a form brought to a factor of 2", Label.OWN,
)  # fmt: skip
LENGTH = Clause(
    "formpressure", "own limit", "a form runs no further past its last tie than its sheet lets it",
    Label.OWN,
)  # fmt: skip
# Both factors are also quoted by Peurifoy and Oberlender, Formwork for Concrete Structures, 4th
# ed., p. 85; the whole table is from memory.
ANCHORS = {
    factor: Clause(
        "ACI 347R-14", "Table 4.4 (ACI 347-04 Table 2.3)",
        f"minimum safety factor {factor:.1f} on form anchors under {under}", Label.QUOTED,
    )
    for factor, under in (
        (2.0, "the weight of form and concrete pressure only"),
        (3.0, "the weight of form, concrete, live load and impact"),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """One load of a check against what it may be; bare, both of one term."""

    note: str
    term: str
    demand: float
    capacity: float
    facts: dict[str, Any] = field(default_factory=dict)

    @property
    def ratio(self) -> float:
        """demand / capacity; nothing to carry is 0 even where nothing may be carried."""
        if self.demand == 0.0:
            return 0.0
        return self.demand / self.capacity if self.capacity else float("inf")


NO_SHEET_ASKED = ""


def worst_of(
    name: str, case: Case, parts: list[Part], clause: Clause, sheet: str | None, sheet_key: str = ""
) -> Check:
    """The check by its worst part; open where it passes by a rating whose sheet is not named."""
    worst = max(parts, key=lambda part: part.ratio)
    system = case.rule.system
    demand = Amount(worst.term, worst.demand, system)
    capacity = Amount(worst.term, worst.capacity, system)
    status, note, key = Status.OK, worst.note, ""
    if not at_most(worst.demand, worst.capacity):
        status = Status.NOT_OK
    elif sheet is None:
        status, note, key = Status.NOT_CHECKED, "no_sheet", sheet_key
    return Check(name, status, note, worst.facts, key, demand, capacity, clause)


def blank(name: str, key: str, note: str = "blank") -> Check:
    """Open until the plan gives `key`."""
    return Check(name, Status.NOT_CHECKED, note, key=key)


def usable(case: Case, key: str, stated_load: float, basis: str) -> float:
    """What may be used of a rating of the plan, at a factor of 2."""
    return _rated(case, key, stated_load, basis, HOLDS).usable


def _rated(case: Case, key: str, load: float, basis: str, clause: Clause) -> Rating:
    try:
        return rating(load, basis, clause)
    except Refusal as refusal:
        raise refusal.at(file=case.plan.file, key=key) from None


def corners(case: Case, envelope: Envelope) -> Check:
    """The lowest connector of an outside corner against its rating."""
    name, given, thickness = "corners", case.bare.form.corners, case.bare.delivery.thickness
    if not isinstance(given, Corners):
        return stated(case.plan, name)
    if thickness is None:
        return blank(name, "delivery.thickness")
    width = ends.corner_width(given.first_tie, thickness)
    demand = ends.on_connector(envelope, case.rows, width, given.spacing)
    capacity = usable(case, "form.corners.basis", given.load, given.basis)
    parts = [Part("corner_pull", "load", demand, capacity)]
    if case.pilaster:  # its front as a simple span between its two corners (statics)
        pull = ends.on_connector(envelope, case.rows, case.pilaster / 2.0, given.spacing)
        parts.append(Part("pilaster_pull", "load", pull, capacity))
    return worst_of(name, case, parts, HOLDS, given.data_sheet, "form.corners.data_sheet")


def joint_connectors(case: Case, envelope: Envelope) -> Check:
    """The lowest connector of a panel joint, under the pull from corners and from stops.

    Ties hold face to face and let the pull of an end run through every joint of the leg. A joint of
    the outer face takes the pull of a corner, one of either face half that of a stop. With neither
    the leg ends at hardened concrete; a closed ring without corners is not covered.
    """
    name, given = "joint connectors", case.bare.form.joint_connectors
    if given == "none" and case.bare.form.corners == case.bare.form.bulkheads == "none":
        return Check(name, Status.DOES_NOT_APPLY, "stated_none")
    if given == "none":  # then something else carries the pull of the ends
        return blank(name, "by_others", "joint_none")
    if not isinstance(given, Connectors):
        return stated(case.plan, name, "form.joint_connectors")
    at_corner, at_stop = case.bare.form.corners, case.bare.form.bulkheads
    elsewhere = {check for entry in case.plan.by_others for check in entry.checks}
    if at_corner is None and "corners" in elsewhere:  # its first tie is not in the plan
        return blank(name, "by_others", "joint_by_others")
    if at_corner is None:
        return blank(name, "form.corners")
    if at_stop is None and "bulkheads" not in elsewhere:
        return blank(name, "form.bulkheads")
    if at_corner == "none" and at_stop == "none":
        return Check(name, Status.OK, "no_end_pull")
    thickness = case.bare.delivery.thickness
    if thickness is None:
        return blank(name, "delivery.thickness")
    widths = {}
    if isinstance(at_corner, Corners):
        widths["joint_pull_corner"] = ends.corner_width(at_corner.first_tie, thickness)
    if at_stop != "none":
        widths["joint_pull_stop"] = ends.bulkhead_width(thickness)
    if case.pilaster:  # its sides hand the pull of its front on to the wall
        widths["joint_pull_pilaster"] = case.pilaster / 2.0
    capacity = usable(case, "form.joint_connectors.basis", given.load, given.basis)
    parts = [
        Part(note, "load", ends.on_connector(envelope, case.rows, width, given.spacing), capacity)
        for note, width in widths.items()
    ]
    sheet_key = "form.joint_connectors.data_sheet"
    return worst_of(name, case, parts, HOLDS, given.data_sheet, sheet_key)


def bulkheads(case: Case, envelope: Envelope) -> Check:
    """The most loaded level of holds of an end stop against its rating."""
    name, given, thickness = "bulkheads", case.bare.form.bulkheads, case.bare.delivery.thickness
    if not isinstance(given, Bulkheads):
        return stated(case.plan, name)
    if thickness is None:
        return blank(name, "delivery.thickness")
    rows = case.rows
    if not any(rows.start < y < rows.top for y in given.heights):
        return blank(name, "form.bulkheads.heights", "no_hold_in_placement")
    loads = ends.bulkhead_holds(envelope, given.heights, rows, thickness)
    capacity = usable(case, "form.bulkheads.basis", given.load, given.basis)
    parts = [_worst_level("bulkhead_hold", case, loads, capacity)]
    return worst_of(name, case, parts, HOLDS, given.data_sheet, "form.bulkheads.data_sheet")


def _worst_level(note: str, case: Case, loads: TieLoads, capacity: float) -> Part:
    height = Amount("height", float(loads.heights[loads.worst]), case.rule.system)
    load = float(loads.load[loads.worst])
    return Part(note, "load", load, capacity, {"height": height})


def openings(case: Case, envelope: Envelope) -> Check:
    """The uplift under a buck against its hold, and the most loaded struts between its jambs."""
    name, given, thickness = "openings", case.bare.form.openings, case.bare.delivery.thickness
    if not isinstance(given, Openings):
        return stated(case.plan, name)
    if thickness is None:
        return blank(name, "delivery.thickness")
    rows, sill, head = case.rows, given.sill, given.head
    if not sill < head:
        return blank(name, "form.openings.head", "head_under_sill")
    if head <= rows.start:
        return blank(name, "form.openings.sill", "opening_below")
    if (
        sill <= rows.start
    ):  # a door; and the keys stand for every opening, so nothing is told of windows
        return blank(name, "form.openings.sill", "door_only")
    hold = usable(case, "form.openings.basis", given.hold_down, given.basis)
    up = ends.buck_uplift(envelope, rows, sill, head, given.width, thickness)
    parts = [Part("buck_uplift", "load", up, hold)]
    if sill < rows.top:
        struts = given.struts
        low, high = max(sill, rows.start), min(head, rows.top)
        if not any(low < y < high for y in struts):
            return blank(name, "form.openings.struts", "no_strut_in_opening")
        loads = ends.jamb_struts(envelope, rows, struts, sill, head, thickness)
        strut = usable(case, "form.openings.basis", given.strut, given.basis)
        parts.append(_worst_level("jamb_strut", case, loads, strut))
    if given.uneven:
        push = ends.uneven_push(envelope, rows, sill, head, thickness, given.uneven)
        aside = usable(case, "form.openings.basis", given.side_hold or 0.0, given.basis)
        parts.append(Part("uneven_push", "load", push, aside))
    return worst_of(name, case, parts, HOLDS, NO_SHEET_ASKED)


def batter_and_ledges(case: Case, envelope: Envelope) -> Check:
    """The uplift of sloping faces and ledges against what holds the form down.

    Ties are level and hold none of it.
    """
    name, given, rows = "batter and ledges", case.bare.form.batter_and_ledges, case.rows
    if not isinstance(given, Slopes):
        return stated(case.plan, name)
    if given.run is None and given.ledge is None:
        return blank(name, "form.batter_and_ledges.run")
    tangent = (given.run or 0.0) / case.bare.wall.height
    underside = rows.start if given.ledge_height is None else given.ledge_height
    demand = ends.slope_uplift(envelope, rows, tangent)
    demand += ends.ledge_uplift(envelope, rows, underside, given.ledge or 0.0)
    held, basis = given.hold_down or 0.0, given.basis or "breaking load"
    capacity = usable(case, "form.batter_and_ledges.basis", held, basis)
    parts = [Part("slope_uplift", "line_load", demand, capacity)]
    return worst_of(name, case, parts, HOLDS, NO_SHEET_ASKED)


def base(case: Case, envelope: Envelope) -> Check:
    """The kick-out of each face at its foot against its hold.

    The ties are judged as if nothing held the foot, so they do not count on this hold.
    """
    name, given = "base", case.bare.form.base
    if not isinstance(given, Base):
        return stated(case.plan, name, "form.base")
    capacity = usable(case, "form.base.basis", given.hold, given.basis)
    parts = [Part("kick_out", "line_load", ends.kick_out(envelope, case.rows), capacity)]
    return worst_of(name, case, parts, HOLDS, NO_SHEET_ASKED)


def placement_joint(case: Case, envelope: Envelope) -> Check:
    """The form anchors in hardened concrete under the kick-out at the joint.

    The ties above are judged with the form below them as an overhang. The weight of the form and
    of people on it is not in the plan and not in the demand; the factor of 3 is for anchors that
    it reaches.
    """
    name, given = "placement joint", case.bare.form.placement_joint
    if case.bare.wall.placed_from is None or not isinstance(given, Anchors):
        return stated(case.plan, name, "form.placement_joint")
    needed = 2.0 if given.live_load is False else 3.0
    clause = ANCHORS[needed]
    anchor = _rated(case, "form.placement_joint.basis", given.load, given.basis, clause)
    capacity = anchor_capacity(anchor, needed)
    demand = ends.kick_out(envelope, case.rows) * given.spacing
    parts = [Part(f"anchor_{needed:.0f}", "load", demand, capacity)]
    return worst_of(name, case, parts, clause, NO_SHEET_ASKED)


def anchor_capacity(anchor: Rating, needed: float) -> float:
    """min(stated, stated x factor / needed); a breaking load, of factor 1, over the needed factor.

    Source: ACI 347R-14, Table 4.4 (quoted), for `needed`.
    """
    return min(anchor.stated, anchor.stated * anchor.factor / needed)


def overhangs(case: Case, envelope: Envelope) -> Check:
    """The form past its outermost ties: panels by the length of their sheet, studs by strength."""
    name, form = "overhangs", case.bare.form
    if form.panels is not None and form.panels.overhang is not None:
        return _panels_past_ties(name, case, form.panels.overhang, form.panels.data_sheet)
    elsewhere = any(name in entry.checks for entry in case.plan.by_others)
    if form.panels is None and form.studs is not None and not elsewhere:
        return _studs_past_ties(name, case, form.studs, envelope)
    job_built = form.panels is None and (form.sheathing is not None or form.wales is not None)
    return stated(case.plan, name, "form.studs" if job_built else "form.panels.overhang")


def _panels_past_ties(name: str, case: Case, allowed: float, sheet: str | None) -> Check:
    lengths = {
        "overhang_below": ends.overhang_below(case.rows),
        "overhang_above": ends.overhang_above(case.rows),
    }
    parts = [Part(note, "height", length, allowed) for note, length in lengths.items()]
    return worst_of(name, case, parts, LENGTH, sheet, "form.panels.data_sheet")


def _studs_past_ties(name: str, case: Case, studs: Lumber, envelope: Envelope) -> Check:
    """One stud as a cantilever from its outermost wale, by bending and by shear.

    Wales stand at the rows of ties. Shear counts the load to the very support; how far the end
    bends out is not looked at.
    """
    if studs.spacing is None:
        return blank(name, "form.studs.spacing")
    spacing, system = float(studs.spacing), case.rule.system
    member = _stud(case, studs, spacing)
    cantilevers = {
        "stud_below": ends.cantilever_below(envelope, case.rows),
        "stud_above": ends.cantilever_above(envelope, case.rows),
    }
    parts = [
        Part(note, "load", spacing * force, _end_load(member, force, moment, system))
        for note, (force, moment) in cantilevers.items()
    ]
    return worst_of(name, case, parts, member.clause, NO_SHEET_ASKED)


def _stud(case: Case, studs: Lumber, spacing: float) -> lumber.Lumber:
    inches = 12.0 * inch_pound("spacing", spacing, case.rule.system)
    load = lumber.ONCE if studs.reused is False else lumber.REUSED
    pieces = 2 if studs.doubled else 1
    try:
        return lumber.form_lumber(
            studs.size, studs.species, studs.grade, pieces=pieces, load=load, spacing=inches
        )
    except Refusal as refusal:
        raise refusal.at(file=case.plan.file, key="form.studs") from None


def _end_load(member: lumber.Lumber, force: float, moment: float, system: str) -> float:
    """Load on a cantilever, spread as `force` with its `moment`, that bending and shear allow."""
    shear = own_units("load", allowed_shear(member.F_v, member.b, member.d), system)
    if moment == 0.0:
        return shear
    bending = allowed_moment(member.F_b, member.modulus) / 12.0  # lb ft
    bending = own_units("load", own_units("height", bending, system), system)
    return min(shear, bending * force / moment)


CHECKS: dict[str, Callable[[Case, Envelope], Check]] = {
    "joint connectors": joint_connectors,
    "corners": corners,
    "bulkheads": bulkheads,
    "openings": openings,
    "batter and ledges": batter_and_ledges,
    "overhangs": overhangs,
    "base": base,
    "placement joint": placement_joint,
}
