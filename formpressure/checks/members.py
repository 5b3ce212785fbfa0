"""Checks of a job-built form: sheathing on studs, studs on wales, wales on ties, and the wood
under the ties.

Sheathing spans from stud to stud, a stud from one row of ties to the next (a wale runs along each),
a wale from tie line to tie line. Pressure at a level is largest with the surface at the top, so
sheathing and studs are judged there; what comes on a wale is the load of its row of ties, the
larger of two statical models over all surface levels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from formpressure.capacity.lumber import (
    BEARING,
    ONCE,
    REUSED,
    Lumber,
    allowed_loads,
    bearing_load,
    bearing_value,
    form_lumber,
)  # fmt: skip
from formpressure.capacity.plywood import Plywood, allowed_pressures, form_plywood
from formpressure.capacity.spans import (
    FORMULAS,
    WORST,
    Spans,
    inch_pound,
    own_units,
    spans_of,
)  # fmt: skip
from formpressure.case import Case
from formpressure.checks import strength
from formpressure.checks.rest import stated
from formpressure.demand.ties import TieLoads, tie_loads
from formpressure.envelope import Envelope
from formpressure.errors import Refusal
from formpressure.plan_form import Lumber as LumberKeys
from formpressure.records import Amount, Check, Clause, Status
from formpressure.units import TOLERANCE, at_most

FEWEST_STUDS = 2.0  # to a span of a wale, for their loads to count as uniform: OWN


@dataclass(frozen=True, slots=True)
class Part:
    """One way in which one member can fail."""

    name: str
    demand: Amount
    capacity: Amount
    clause: Clause

    @property
    def ratio(self) -> float:
        return self.demand.bare / self.capacity.bare


@dataclass(frozen=True, slots=True)
class Built:
    """The members of a job-built form; spacings in the units of the case."""

    panel: Plywood
    panel_spans: Spans
    stud: Lumber
    stud_spacing: float
    wale: Lumber
    wale_span: float
    wale_spans: Spans


def panels(case: Case, envelope: Envelope) -> Check:
    """Rated panels by their rating; a job-built form by its worst member."""
    form = case.plan.form
    if form.panels is not None:
        return strength.panels(case, envelope)
    if form.sheathing is None and form.studs is None and form.wales is None:
        return stated(case.plan, "panels", "form.panels")
    key = _missing(case)
    if key:
        return stated(case.plan, "panels", key)
    built = build(case)
    worst = max(_parts(case, built, envelope), key=lambda part: part.ratio)
    facts = {"part": worst.name}
    status, note, key = Status.OK, "member_within", ""
    if not at_most(worst.demand.bare, worst.capacity.bare):
        status, note = Status.NOT_OK, "member_over"
    elif open_point := _open_point(case, built):
        status, (note, key) = Status.NOT_CHECKED, open_point
    elif form.sheathing is not None and form.sheathing.plywood.endswith("dry"):
        note = "member_within_dry"
    return Check("panels", status, note, facts, key, worst.demand, worst.capacity, worst.clause)


def parts(case: Case, envelope: Envelope) -> list[Part]:
    """Every way in which a member can fail, the worst place of each; none without a job-built form.

    Raises Refusal, with its key, for a member that is not tabulated.
    """
    if case.plan.form.panels is not None or _missing(case):
        return []
    worst: dict[str, Part] = {}
    for part in _parts(case, build(case), envelope):
        if part.name not in worst or part.ratio > worst[part.name].ratio:
            worst[part.name] = part
    return list(worst.values())


def _parts(case: Case, built: Built, envelope: Envelope) -> list[Part]:
    loads = tie_loads(case.rows, envelope)
    return [
        *_sheathing(case, built, envelope), *_studs(case, built, envelope),
        *_wales(case, built, loads), _stud_on_wale(case, built, loads),
    ]  # fmt: skip


def tie_bearing(case: Case, envelope: Envelope) -> Check:
    """The most loaded tie on the wood under its plate, against the wet bearing value."""
    name, given = "tie bearing", case.bare.form.tie_bearing
    if given is None:
        return stated(case.plan, name, "form.tie_bearing")
    if isinstance(given, str):  # in the tie rating
        if case.plan.ties.data_sheet is None:
            return Check(name, Status.NOT_CHECKED, "no_sheet", key="ties.data_sheet")
        return Check(name, Status.OK, "bearing_in_rating", {"sheet": case.plan.ties.data_sheet})
    system, loads = case.rule.system, tie_loads(case.rows, envelope)
    area = inch_pound("bearing_area", given.area, system)
    carries = own_units("load", bearing_load(bearing_value(given.species), area), system)
    demand = Amount("load", float(loads.load[loads.worst]), system)
    capacity = Amount("load", carries, system)
    facts = {"height": Amount("height", float(loads.heights[loads.worst]), system)}
    passes = bool(at_most(demand.bare, capacity.bare))
    status, note = (Status.OK, "within") if passes else (Status.NOT_OK, "over")
    return Check(name, status, note, facts, "", demand, capacity, BEARING)


def sources(case: Case) -> tuple[Clause, ...]:
    """All that the check of a job-built form rests on, each once; empty where there is none."""
    if case.plan.form.panels is not None or _missing(case):
        return ()
    built = build(case)
    used = (FORMULAS, *built.panel.clauses, *built.stud.clauses, *built.wale.clauses, BEARING)
    return tuple(dict.fromkeys(used))


def build(case: Case) -> Built:
    """The members as the plan gives them; Refusal, with its key, for what is not tabulated."""
    form, system = case.bare.form, case.rule.system
    sheathing, studs, wales = form.sheathing, form.studs, form.wales
    assert sheathing is not None
    assert studs is not None
    assert studs.spacing is not None
    assert wales is not None
    spacing = float(studs.spacing)
    try:
        place = "form.sheathing"
        panel = form_plywood(
            inch_pound("size", sheathing.thickness, system), sheathing.plywood,
            sheathing.face_grain or "along", reused=sheathing.reused is not False,
        )  # fmt: skip
        panel_spans = spans_of(sheathing.spans)
        place = "form.studs"
        spans_of(studs.spans)
        stud = _member(studs, inch_pound("spacing", spacing, system) * 12.0)
        place = "form.wales"
        wale, wale_spans = _member(wales, None), spans_of(_wale_count(case, wales.spans))
    except Refusal as refusal:
        raise refusal.at(file=case.plan.file, key=place) from None
    gaps = _gaps(case)
    if not _equal(gaps):
        wale_spans = WORST
    return Built(panel, panel_spans, stud, spacing, wale, float(gaps.max()), wale_spans)


def _member(keys: LumberKeys, joined_at: float | None) -> Lumber:
    """Lumber of the plan; `joined_at`: spacing in inches where sheathing joins the members."""
    return form_lumber(
        keys.size, keys.species, keys.grade, pieces=2 if keys.doubled else 1,
        load=ONCE if keys.reused is False else REUSED, spacing=joined_at,
    )  # fmt: skip


def _missing(case: Case) -> str:
    """The first key that a job-built form lacks; empty where it is whole."""
    form = case.plan.form
    for name in ("sheathing", "studs", "wales"):
        if getattr(form, name) is None:
            return f"form.{name}"
    assert form.studs is not None
    return "form.studs.spacing" if form.studs.spacing is None else ""


def _open_point(case: Case, built: Built) -> tuple[str, str] | None:
    """Note and key of what the formulas do not cover, although no member is over."""
    rows = _stud_rows(case)
    wales = case.bare.form.wales
    if len(rows) < 2:
        return "stud_on_one_row", "ties.heights"
    assert wales is not None
    if wales.spacing is not None and not at_most(wales.spacing, float(np.diff(rows).max())):
        return "wales_off_rows", "form.wales.spacing"
    if not at_most(FEWEST_STUDS * built.stud_spacing, built.wale_span):
        return "few_studs_on_wale", "form.studs.spacing"
    return None


def _wale_count(case: Case, spans: int | None) -> int | None:
    """The stated number of spans, but never more than the plan's tie lines leave room for."""
    length = case.bare.delivery.length
    if spans is None:
        return None
    if case.bare.ties.spacing is None:
        return min(spans, *(len(gaps) for gaps in case.gaps))
    return spans if length is None else min(spans, max(1, int(length / case.rows.width)))


def _gaps(case: Case) -> np.ndarray:
    """From tie line to tie line along the wall. Uneven lines: the widest gap is a span, though the
    tie beside it carries only the half of two gaps."""
    return np.concatenate(case.gaps)


def _equal(lengths: np.ndarray) -> bool:
    return bool(np.ptp(lengths) <= TOLERANCE * lengths.max())


def _stud_rows(case: Case) -> np.ndarray:
    """Levels of the wales that this placement loads; past them a stud is an overhang."""
    return np.asarray(case.rows.heights[case.rows.loaded])


def _sheathing(case: Case, built: Built, envelope: Envelope) -> list[Part]:
    system, panel, parts = case.rule.system, built.panel, []
    demand = Amount("pressure", float(envelope.p_max), system)
    spacing = inch_pound("spacing", built.stud_spacing, system) * 12.0
    for how, p in allowed_pressures(panel, spacing, built.stud.b, built.panel_spans).items():
        carries = Amount("pressure", own_units("pressure", p, system), system)
        clause = panel.deflection_clause if how == "deflection" else panel.clause
        parts.append(Part(f"sheathing, {how}", demand, carries, clause))
    return parts


def _studs(case: Case, built: Built, envelope: Envelope) -> list[Part]:
    """Every span of a stud under the pressure at its lower end, all the way up."""
    system, levels = case.rule.system, _stud_rows(case)
    lengths = np.diff(levels)
    if not len(lengths):
        return []
    spans = WORST
    given = case.plan.form.studs
    if given is not None and given.spans is not None and _equal(lengths):
        spans = spans_of(min(given.spans, len(lengths)))
    spacing = inch_pound("spacing", built.stud_spacing, system)
    parts = []
    for low, length in zip(levels, lengths, strict=False):
        pressure = Amount("pressure", float(envelope.pressure(case.rows.top - low)), system)
        span = inch_pound("height", float(length), system) * 12.0
        for how, w in allowed_loads(built.stud, span, spans).items():
            carries = Amount("pressure", own_units("pressure", w / spacing, system), system)
            parts.append(Part(f"stud, {how}", pressure, carries, built.stud.clause))
    return parts


def _wales(case: Case, built: Built, loads: TieLoads) -> list[Part]:
    """The wale of the most loaded row; its studs count as a uniform load."""
    system = case.rule.system
    demand = Amount("line_load", _on_wale(loads), system)
    span = inch_pound("spacing", built.wale_span, system) * 12.0
    parts = []
    for how, w in allowed_loads(built.wale, span, built.wale_spans).items():
        carries = Amount("line_load", own_units("line_load", w, system), system)
        parts.append(Part(f"wale, {how}", demand, carries, built.wale.clause))
    return parts


def _stud_on_wale(case: Case, built: Built, loads: TieLoads) -> Part:
    """A stud on every piece of the wale, across the grain of both."""
    system = case.rule.system
    demand = Amount("load", _on_wale(loads) * built.stud_spacing, system)
    value = min(built.stud.F_cp, built.wale.F_cp)
    carries = bearing_load(value, built.stud.b * built.wale.b)
    capacity = Amount("load", own_units("load", carries, system), system)
    return Part("stud on wale, bearing", demand, capacity, BEARING)


def _on_wale(loads: TieLoads) -> float:
    """Load for each length of the most loaded wale: a tie's load over the width that gave it."""
    return float(loads.load[loads.worst]) / loads.rows.width


CHECKS = {"panels": panels, "tie bearing": tie_bearing}
