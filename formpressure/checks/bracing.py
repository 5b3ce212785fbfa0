"""Checks of the braces: the whole path from top wale to anchor, and the stages of the work.

Wind and work push from either side, each on its own, so every part is asked for both. How long a
load lasts sets CD: ten minutes for wind (1.6); ten years for the work load at the top (1.0), since
braces are used again and again and no key says they are new; a top wale stated not reused takes
seven days (1.25). Lumber counts as wet, braces as No.2 with pinned ends, their weight as nothing.
Strength only: how far a braced form leans is not computed. Where a placement starts on hardened
concrete the foot of the form is left to the check of that joint.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from formpressure.capacity import column
from formpressure.capacity.lumber import ONCE, REUSED, Lumber, form_lumber
from formpressure.capacity.spans import ONE, inch_pound, load_by_bending, load_by_shear, own_units
from formpressure.case import Case
from formpressure.checks.ends import HOLDS, Part, blank, usable
from formpressure.checks.rest import stated
from formpressure.demand import bracing as demand
from formpressure.demand import wind as winds
from formpressure.demand.bracing import Brace, Push, Source
from formpressure.errors import Refusal
from formpressure.plan_form import Base, Bracing
from formpressure.records import Amount, Check, Clause, Status
from formpressure.units import at_most, below

GRADE = "No.2"
WIND_LASTS = "ten minutes"
FIRST_FACE, POURED, STRIPPED = STAGES = ("first face", "poured", "stripped")
SLENDER = "brace_slender"


def bracing(case: Case) -> Check:
    """The worst part of the path: top wale, brace, its ends, its anchor, foot of the form."""
    name, given = "bracing", case.bare.form.bracing
    if given is None:
        return stated(case.plan, name, "form.bracing")
    misplaced = _misplaced(case, given)
    if misplaced:
        return blank(name, "form.bracing.attached", misplaced)
    worst = _worst(case, given, form_top(case))
    if not at_most(worst.demand, worst.capacity):
        return _by_worst(name, case, given, worst, Status.NOT_OK)
    return _open(name, case, given) or _by_worst(name, case, given, worst, Status.OK)


def stages(case: Case) -> Check:
    """Whether the braces stand, and hold, from the first face until the form is stripped.

    A single face takes all the wind that both together take, so it asks no less of the braces;
    once stripped, the wall stands only as high as the concrete.
    """
    name, given = "stages", case.bare.form.bracing
    by_others = stated(case.plan, name, "form.bracing.stages")
    if given is None or by_others.status is Status.BY_OTHERS:
        return by_others
    misplaced = _misplaced(case, given)
    if misplaced:
        return blank(name, "form.bracing.attached", misplaced)
    named, key = given.stages or (), "form.bracing.stages"
    worst = {s: _worst(case, given, _height(case, s)) for s in STAGES if s in named}
    facts: dict[str, Any] = {"ratios": {s: part.ratio for s, part in worst.items()}}
    for stage, part in worst.items():
        if not at_most(part.demand, part.capacity):
            over = _by_worst(name, case, given, part, Status.NOT_OK)
            return replace(over, note="stage_over", facts={**over.facts, **facts, "stage": stage})
    strange = [s for s in named if s not in STAGES]
    if strange:
        return replace(blank(name, key, "stage_unknown"), facts={"stage": strange[0]})
    missing = [s for s in STAGES if s not in named]
    if missing:
        return replace(blank(name, key, "stage_missing"), facts={"missing": ", ".join(missing)})
    if below(case.bare.wall.height, given.attached):
        return blank(name, "form.bracing.attached", "braces_go_with_form")
    opened = _open(name, case, given)
    if opened is not None:
        return opened
    hardest = max(worst.values(), key=lambda part: part.ratio)
    held = _by_worst(name, case, given, hardest, Status.OK)
    held = replace(held, clause=demand.CLAUSE[case.rule.system])
    return replace(held, note="stages_held", facts={**held.facts, **facts})


def path(case: Case) -> list[Part]:
    """Every part from top wale to anchor under its harder push, the form at its full height.

    None where the plan has no braces, or has them at no level that holds the form.
    """
    given = case.bare.form.bracing
    if given is None or _misplaced(case, given):
        return []
    worst: dict[str, Part] = {}
    for part in _all_parts(case, given, form_top(case)):
        if part.note not in worst or _severity(part) > _severity(worst[part.note]):
            worst[part.note] = part
    return list(worst.values())


def form_top(case: Case) -> float:
    """Height of the form above the footing, else of the concrete."""
    wall = case.bare.wall
    return float(wall.height if wall.form_height is None else wall.form_height)


def _height(case: Case, stage: str) -> float:
    return float(case.bare.wall.height) if stage == STRIPPED else form_top(case)


def wind_of(case: Case, given: Bracing) -> float | None:
    """The wind pressure of the plan: stated, or by its speed, the larger where both are given."""
    known = []
    if given.wind is not None:
        known.append(float(given.wind))
    if given.wind_speed is not None and winds.covers(form_top(case), case.rule.system):
        known.append(winds.wind_pressure(given.wind_speed, case.rule.system))
    return max(known, default=None)


def stop_wind(case: Case, given: Bracing) -> float:
    """The wind pressure at which the worst part of the path reaches what it may carry.

    Every force grows with the pressure alone, so it is one over the ratio at a pressure of 1.
    """
    push = demand.wind_push(1.0, form_top(case), given.attached, case.rows.start)
    return 1.0 / max(part.ratio for part in _parts(case, given, push))


def _misplaced(case: Case, given: Bracing) -> str:
    """The note where the braces meet the form at no level that could hold it, else empty."""
    if not at_most(given.attached, form_top(case)):
        return "brace_above_form"
    return "brace_below_placement" if at_most(given.attached, case.rows.start) else ""


def _open(name: str, case: Case, given: Bracing) -> Check | None:
    """What the plan must still give before the path can be called whole."""
    if wind_of(case, given) is None:
        note = "blank" if given.wind_speed is None else "wind_too_high"
        return blank(name, "form.bracing.wind", note)
    if given.top_wale is None:
        return blank(name, "form.bracing.top_wale")
    brace = _brace(given)
    if not brace.angle_is_usual:
        # Forces and lengths would still be right, but a steep brace lifts the form, whose weight
        # is not in the plan, and a flat one is beyond the only document found on its angle.
        facts = {
            "angle": brace.angle, "flattest": demand.FLATTEST, "steepest": demand.STEEPEST,
        }  # fmt: skip
        opened = blank(name, "form.bracing.foot", "brace_angle")
        return replace(opened, facts=facts, clause=demand.ANGLES)
    return None


def _brace(given: Bracing) -> Brace:
    return Brace(given.attached, given.foot, given.spacing)


def _worst(case: Case, given: Bracing, height: float) -> Part:
    """The worst part under wind and under work."""
    return max(_all_parts(case, given, height), key=_severity)


def _severity(part: Part) -> tuple[float, float]:
    """By ratio; what may carry nothing is over by either push, so there the harder push counts."""
    return part.ratio, part.demand


def _all_parts(case: Case, given: Bracing, height: float) -> list[Part]:
    """Every part under wind and under work; wind not known counts as the least there is."""
    wind = wind_of(case, given) or 0.0
    loads = demand.pushes(wind, case.rule.system, height, given.attached, case.rows.start)
    return [part for push in loads for part in _parts(case, given, push)]


def _parts(case: Case, given: Bracing, push: Push) -> list[Part]:
    """Every part of the path under one push; the facts of each name the push."""
    system = case.rule.system
    axial = _brace(given).axial(push.at_braces)
    ends, anchor = (
        usable(case, "form.bracing.basis", load, given.basis)
        for load in (given.connection, given.anchor)
    )
    by_wind = push.source is Source.WIND
    lumber = _lumber(case, "", given, GRADE, WIND_LASTS if by_wind else REUSED)
    pull = own_units("load", lumber.F_t * lumber.area, system)
    parts = [
        _compression(given, lumber, axial, system),
        Part("brace_tension", "load", axial, pull, {"clause": lumber.clause}),
        Part("brace_ends", "load", axial, ends, {"clause": HOLDS}),
        Part("brace_anchor", "load", axial, anchor, {"clause": HOLDS}),
        *_top_wale(case, given, push),
    ]
    foot = case.bare.form.base
    if isinstance(foot, Base) and case.rows.start == 0.0:
        hold = usable(case, "form.base.basis", foot.hold, foot.basis)
        parts.append(Part("form_foot", "line_load", push.at_foot, hold, {"clause": HOLDS}))
    for part in parts:
        part.facts["top"] = Amount("line_load", push.top, system)
        part.facts["source"] = str(push.source)
    return parts


def _lumber(
    case: Case, place: str, member: Any, grade: str, lasts: str, *, pieces: int = 1,
    flat: bool = False,
) -> Lumber:  # fmt: skip
    try:
        return form_lumber(member.size, member.species, grade, pieces=pieces, load=lasts, flat=flat)
    except Refusal as refusal:
        raise refusal.at(file=case.plan.file, key=f"form.bracing{place}") from None


def _compression(given: Bracing, lumber: Lumber, axial: float, system: str) -> Part:
    """The brace pushed; over the limit of le/d it may carry nothing."""
    between = _brace(given).length / ((given.stayed or 0) + 1)
    length, least = inch_pound("spacing", between, system) * 12.0, min(lumber.b, lumber.d)
    allowed = column.allowable_load(lumber.F_c, lumber.E_min, lumber.area, length, least)
    if allowed is not None:
        capacity = own_units("load", allowed, system)
        return Part("brace_compression", "load", axial, capacity, {"clause": column.FORMULA})
    facts: dict[str, Any] = {
        "size": given.size, "length": Amount("spacing", between, system),
        "slender": column.slenderness(length, least), "limit": column.MOST_SLENDER,
        "clause": column.SLENDER,
    }  # fmt: skip
    return Part(SLENDER, "load", axial, 0.0, facts)


def _top_wale(case: Case, given: Bracing, push: Push) -> list[Part]:
    """The wale along the top as a single span from brace to brace."""
    wale, system = given.top_wale, case.rule.system
    if wale is None:
        return []
    lasts = ONCE if wale.reused is False else REUSED
    lumber = _lumber(
        case, ".top_wale", wale, wale.grade, WIND_LASTS if push.source is Source.WIND else lasts,
        pieces=2 if wale.doubled else 1, flat=given.top_wale_on != "edge",
    )  # fmt: skip
    span = inch_pound("spacing", given.spacing, system) * 12.0
    allowed = {
        "top_wale_bending": load_by_bending(lumber.F_b, lumber.modulus, span, ONE),
        "top_wale_shear": load_by_shear(lumber.F_v, lumber.b, lumber.d, span, ONE),
    }
    return [
        Part(note, "line_load", push.at_braces, own_units("line_load", plf, system),
             {"clause": lumber.clause})
        for note, plf in allowed.items()
    ]  # fmt: skip


def _by_worst(name: str, case: Case, given: Bracing, worst: Part, status: Status) -> Check:
    """The check by its worst part, with the wind at which work must stop."""
    system = case.rule.system
    facts = dict(worst.facts)
    clause: Clause = facts.pop("clause")
    facts["part"] = worst.note
    if given.top_wale is not None:
        limit = stop_wind(case, given)
        facts["stop_wind"] = Amount("pressure", limit, system)
        if winds.covers(form_top(case), system):
            facts["stop_speed"] = Amount("wind_speed", winds.wind_speed(limit, system), system)
            facts["stop_speed_label"] = winds.LABEL
    note = worst.note
    wind = wind_of(case, given)
    if wind is not None:
        facts["wind"] = Amount("pressure", wind, system)
    if status is Status.OK and given.wind is None and given.wind_speed is not None:
        facts["speed"] = Amount("wind_speed", float(given.wind_speed), system)
        note = "braced_by_speed"
    capacity = None if worst.note == SLENDER else Amount(worst.term, worst.capacity, system)
    pushed = Amount(worst.term, worst.demand, system)
    return Check(name, status, note, facts, "", pushed, capacity, clause)


CHECKS = {"bracing": bracing, "stages": stages}
