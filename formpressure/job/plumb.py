"""Line and plumb: what may be out, what a leaning corner does at the far end, string readings.

Deviations are bare inches or millimetres, lengths feet or metres, as the units of the plan have it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from formpressure.errors import OutOfRange, Refusal
from formpressure.job.estimate import Estimate, amount, one, positive, quantity
from formpressure.job.setting import setting_time
from formpressure.plan import Plan
from formpressure.plan_job import THE_PLAN, TOWARD, Line
from formpressure.records import Amount, Clause, Label
from formpressure.tables import Row, load_tables
from formpressure.units import at_most, below, enter, leave

SLOPE = Clause(
    "formpressure", "own statics", "panels clipped edge to edge keep one slope: a side that leans "
    "by x over the height h of a panel takes the row off level by x/h of its length", Label.OWN,
)  # fmt: skip
ORDER = Clause(
    "formpressure", "own choice", "furthest out first, then the string is read again, since panels "
    "that are clipped take their neighbours along", Label.OWN,
)  # fmt: skip
BEFORE_SET = Clause(
    "Concrete Construction magazine", '"Form watching"', "forms are adjusted before the concrete "
    "starts to set", Label.READ,
)  # fmt: skip
RIGHT_AFTER = Clause(
    "common practice, no source", "straightening", "right after placing", Label.PRACTICE
)
SYSTEM = {"in": "US", "mm": "SI"}  # of a document, by the unit of its fixed tolerance
TALL = {"US": 12.0, "SI": 1000.0}  # in to a foot, mm to a metre


def tolerance(document: str, what: str, height: Any = None, *, system: str = "US") -> Estimate:
    """How far a wall may be out by `document`.

    what="plumb" or "line" for a wall of `height`; "step, class C" or "wave, class C" for its face
    under a straightedge of 5 ft. A fixed length, or the lesser or larger of that and a share of the
    height, as its clause tells. Raises Refusal for what is not tabulated, OutOfRange above the
    height that the text answers for. EN 13670 is from memory, confirm against the document.

    >>> round(tolerance("ACI 117", "plumb", "8 ft").value.m_as("inch"), 3)
    0.288
    """
    tables = load_tables("tolerances")
    if document not in tables:
        known = ", ".join(f'"{name}"' for name in tables)
        raise Refusal("no tolerance of this document is known here", f"Use {known}, or state the "
                      "tolerance", key="document", value=document)  # fmt: skip
    table = tables[document]
    row = table.find(what=what)
    own = SYSTEM[table.units["fixed"]]
    share = row["share"] * _height(height, own, row, document) * TALL[own]
    fixed = row["fixed"]
    found = {"fixed": fixed, "lesser": min(fixed, share), "larger": max(fixed, share)}[row["of"]]
    return Estimate(quantity("deviation", found, own, system), (row.clause,))


def _height(height: Any, own: str, row: Row, document: str) -> float:
    """Height in the unit of the document, where the row asks for one."""
    most = row.values.get("up_to")
    if most is None:
        return 0.0
    if height is None:
        raise Refusal("missing", "Give the height of the wall", key="height")
    tall = positive("height", "height", height, own)
    if not at_most(tall, most):
        unit = {"US": "ft", "SI": "m"}[own]
        raise OutOfRange(
            f"over {most:.4g} {unit}, and {document} is known here only up to there",
            "Look it up in the document and state the tolerance", key="height", value=str(height),
        )  # fmt: skip
    return tall


@dataclass(frozen=True, slots=True)
class FarEnd:
    """A row of panels set from a corner that leans along the row. Bare, SLOPE.

    `out` over `height` at the corner; the far end of `length` comes `off_level` too high or low,
    `each` with every panel. Set level on the footing instead, the first panel stands off the
    corner by `out` at its top: a wedge.
    """

    out: float
    height: float
    length: float
    panel: float
    off_level: float
    each: float
    system: str

    clause: ClassVar[Clause] = SLOPE

    @property
    def climb(self) -> Any:
        """`off_level` as a quantity."""
        return leave("deviation", self.off_level, self.system)


def far_end(
    out: Any, *, height: Any, length: Any, panel: Any = "2 ft", system: str = "US"
) -> FarEnd:
    """What a corner out of plumb by `out` over `height` does `length` down the row.

    `height` is measured along the leaning side. Own statics: no joint gives. Raises Refusal for a
    bare number and where the corner would lean by its whole height.

    >>> far_end("1/4 in", height="8 ft", length="40 ft").off_level  # inches
    1.25
    """
    x = abs(one("out", "deviation", out, system))
    h, run = one("height", "height", height, system), one("length", "length", length, system)
    wide = one("panel", "spacing", panel, system)
    small = TALL[system]
    if not below(x, h * small):
        raise Refusal("leans by its whole height", "Check the number", key="out", value=str(out))
    slope = x / (h * small)
    return FarEnd(x, h, run, wide, run * small * slope, wide * small * slope, system)


@dataclass(frozen=True, slots=True)
class Station:
    """One reading: how far out of line, + toward the string; `within` None without a tolerance."""

    at: float
    out: float
    within: bool | None


@dataclass(frozen=True, slots=True)
class Straightening:
    """Readings of a string, in which order to straighten, and how long there is left.

    `left` is minutes, negative where it is too late, and None where `left_key` is not told.
    """

    plan: Plan
    stations: tuple[Station, ...]
    order: tuple[int, ...]  # indices of stations, furthest out first
    tolerance: Amount | None
    left: float | None
    left_key: str
    clauses: tuple[Clause, ...]

    @property
    def worst(self) -> Station:
        """The station furthest out of line."""
        return max(self.stations, key=lambda s: abs(s.out))


def straighten(plan: Plan) -> Straightening:
    """Read the string line of a plan: out of line at every station, order, and time left.

    Only what is over the tolerance is put in order; without a tolerance, all that is out. The time
    left takes the shorter of two estimates of setting, at the warmest concrete measured. Raises
    Refusal for a plan without [line], and for a tolerance that is not known.
    """
    line, bare = plan.line, plan.bare(plan.units).line
    if line is None or bare is None:
        raise Refusal("missing", "Add [line] with stations and readings", file=plan.file,
                      key="line")  # fmt: skip
    limit, clauses = _limit(plan, line)
    found = tuple(
        Station(at, out, None if limit is None else bool(at_most(abs(out), limit.bare)))
        for at, out in zip(bare.stations, _toward(bare), strict=True)
    )
    order = [i for i, s in enumerate(found) if s.out != 0.0 and not s.within]
    order.sort(key=lambda i: (-abs(found[i].out), found[i].at))
    try:
        left, missing, by = _left(line)
    except Refusal as refusal:
        raise refusal.at(file=plan.file) from None
    return Straightening(
        plan, found, tuple(order), limit, left, missing, (*clauses, ORDER, RIGHT_AFTER, *by)
    )


def _toward(bare: Line) -> tuple[float, ...]:
    """How far each station stands toward the string."""
    if bare.offset is not None:  # plain distances: a short one means toward the string
        return tuple(bare.offset - r for r in bare.readings)
    sign = 1.0 if bare.plus == TOWARD else -1.0
    return tuple(sign * r + 0.0 for r in bare.readings)  # no zero with a minus


def _limit(plan: Plan, line: Line) -> tuple[Amount | None, tuple[Clause, ...]]:
    if line.tolerance is not None:
        bare = float(enter("deviation", line.tolerance, plan.units))
        stated = Clause(
            THE_PLAN, "line.tolerance", f"tolerance of {line.tolerance_from}", Label.OWN
        )
        return Amount("deviation", bare, plan.units), (stated,)
    if line.document is None:
        return None, ()
    try:
        known = tolerance(line.document, "line", plan.wall.height, system=plan.units)
    except Refusal as refusal:
        refusal.file = plan.file
        refusal.key = "line.document"
        refusal.cure = "Give line.tolerance with line.tolerance_from in its place"
        raise
    return amount("deviation", known.value.magnitude, plan.units, plan.units), known.clauses


def _left(line: Line) -> tuple[float | None, str, tuple[Clause, ...]]:
    """Minutes until the first concrete of the stretch sets; the key that is missing; sources."""
    for name in ("set", "set_at", "warmest", "since"):
        if getattr(line, name) is None:
            return None, f"line.{name}", ()
    try:
        known = setting_time(line.set, at=line.set_at, now=line.warmest).shorter
    except Refusal as refusal:
        refusal.key = {"at": "line.set_at", "now": "line.warmest"}.get(refusal.key, "line.set")
        raise
    left = float(known.value.m_as("min")) - float(enter("duration", line.since))
    return left, "", (*known.clauses, BEFORE_SET)
