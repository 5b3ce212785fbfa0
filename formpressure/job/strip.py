"""When to strip, when to build on, when to backfill: three questions, each with its own answer.

Hours alone answer only the first, and only in the warm: once any air of the record is not over
50 F, or not known, they are counted and shown but do not answer. Strength by a test of this very
mix does, through the maturity of the temperatures on record. Nothing here is a permit to strip.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from formpressure.errors import Refusal
from formpressure.job.setting import (
    DATUM,
    WARM_HOURS,
    Steps,
    equivalent_age,
    hours_above,
    temperature_time,
)
from formpressure.plan import Plan
from formpressure.plan_job import QUESTIONS, THE_PLAN, Relation, Strip, Weather
from formpressure.records import Amount, Clause, Label
from formpressure.tables import load_tables
from formpressure.units import at_most, below, enter

NEEDED = Clause(
    "ACI 347R-94, as quoted by Concrete Construction magazine",
    'Q&A "Stripping wall forms during cold weather"',
    "wall forms stay 12 h in air above 50 F where no strength is specified and no slab or beam "
    "form rests on them; an older summary there has 12 to 24 h", Label.QUOTED,
)  # fmt: skip
COLD_HOURS = Clause(
    "formpressure", "own choice", "hours by themselves do not answer once any air was not over "
    "50 F, or is not known: strength does", Label.OWN,
)  # fmt: skip
NO_HOURS = Clause(
    "formpressure", "own choice", "hours never answer for building on or for backfill: strength "
    "does", Label.OWN,
)  # fmt: skip
PROPPED = Clause(
    "common practice, no source", "backfill", "a wall that leans on a floor at its top is filled "
    "against when that floor is in", Label.PRACTICE,
)  # fmt: skip
PROTECT = Clause(
    "Concrete Construction magazine", 'Q&A "Stripping wall forms during cold weather"',
    "in the cold the wall is protected before and after stripping", Label.READ,
)  # fmt: skip
COLD = Clause(
    "ACI, document not recorded", "when it is cold",
    "air below 40 F is expected in the protection period", Label.READ,
)  # fmt: skip
ONE_FREEZE = Clause(
    "Portland Cement Association, title not recorded", "ch. 14",
    "fresh concrete stands one freeze at about 500 psi, with w/c under 0.60 about 24 h at normal "
    "temperature", Label.READ,
)  # fmt: skip
FROZE = Clause(
    "formpressure", "own choice", "once concrete on record was below freezing, maturity does not "
    "answer: what the frost took is not in it", Label.OWN,
)  # fmt: skip
HOURS = 12.0 * 60.0  # minutes, NEEDED
WARM = "50 F"  # NEEDED
BELOW = 40.0  # F, COLD
FREEZING = 32.0  # F


class Word(StrEnum):
    """What is answered. Not one of them says that it may be done."""

    NOT_BEFORE = "NOT BEFORE"
    NOT_YET = "NOT YET"  # the record ends too early
    NOT_KNOWN = "NOT KNOWN"


@dataclass(frozen=True, slots=True)
class Answer:
    """One question. `hour` is minutes after placing, for NOT BEFORE; `key` closes NOT KNOWN.

    `reached` and `needed` tell how far the record got, `facts` fill the note.
    """

    question: str
    word: Word
    note: str
    clauses: tuple[Clause, ...]
    hour: float | None = None
    reached: Amount | None = None
    needed: Amount | None = None
    key: str = ""
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Protection:
    """Cold-weather protection of this wall: None where thickness or air is not known.

    `cold` tells whether any air of the record was below 40 F. Bare units of the plan.
    """

    cold: bool | None
    placed: Amount | None  # least temperature of the concrete as placed
    drop: float | None  # most degrees it may lose in 24 h afterwards
    days: int  # of protection where nothing bears on it
    days_loaded: int
    clauses: tuple[Clause, ...]


@dataclass(frozen=True, slots=True)
class StripTimes:
    """The three answers, the hours above 50 F on record, and protection from cold."""

    plan: Plan
    strip: Answer
    load: Answer
    backfill: Answer
    recorded: float  # minutes of the record
    warm: float  # minutes of it in air above 50 F
    protection: Protection

    @property
    def answers(self) -> tuple[Answer, Answer, Answer]:
        return self.strip, self.load, self.backfill


def strip_times(plan: Plan) -> StripTimes:
    """When to strip, build on and backfill, from the temperatures on record and tests of the mix.

    The hours rule is QUOTED, cold protection from memory: confirm against the document. Raises
    Refusal for a plan without [strip].
    """
    strip = plan.strip
    if strip is None:
        cure = "Add [strip] with a [[strip.record]]"
        raise Refusal("missing", cure, file=plan.file, key="strip")
    minutes = [float(enter("duration", w.time)) for w in strip.record]
    warm = float(hours_above(_known(strip.record, "air"), WARM).value.m_as("min"))
    off, load, backfill = (_answer(name, strip, plan.units) for name in QUESTIONS)
    return StripTimes(plan, off, load, backfill, sum(minutes), warm, _protection(plan, strip))


def _known(record: Sequence[Weather], what: str) -> list[tuple[Any, Any]]:
    """Steps of the record whose temperature is known."""
    return [(w.time, getattr(w, what)) for w in record if getattr(w, what) is not None]


def _answer(name: str, strip: Strip, system: str) -> Answer:
    relation = strip.relation
    factor = None if relation is None else getattr(relation, name)
    age = None if relation is None else getattr(relation, f"{name}_age")
    if relation is None or (factor is None and age is None):
        if name == "strip":
            return _by_hours(strip)
        return Answer(name, Word.NOT_KNOWN, "strength_needed", (NO_HOURS,),
                      key=f"strip.relation.{name}")  # fmt: skip
    found = _by_maturity(name, strip.record, relation, system)
    if name != "backfill" or found.word is Word.NOT_KNOWN:
        return found
    if strip.top_support is None:
        return Answer(name, Word.NOT_KNOWN, "top_not_held", (*found.clauses, PROPPED),
                      reached=found.reached, needed=found.needed,
                      key="strip.top_support")  # fmt: skip
    held = {"what": strip.top_support.what, "document": strip.top_support.document}
    return Answer(
        name, found.word, f"{found.note}_held", (*found.clauses, PROPPED), found.hour,
        found.reached, found.needed, facts={**found.facts, **held},
    )  # fmt: skip


def _by_hours(strip: Strip) -> Answer:
    """Hours above 50 F: only where all air is known and warm, and nothing else is asked for."""

    def open_(note: str, key: str, *clauses: Clause) -> Answer:
        return Answer("strip", Word.NOT_KNOWN, note, clauses, key=key)

    if strip.strength_specified is not False:
        note = "strength_specified" if strip.strength_specified else "strength_not_told"
        key = "strip.relation" if strip.strength_specified else "strip.strength_specified"
        return open_(note, key, NEEDED)
    if strip.carries_forms is not False:
        note = "carries_forms" if strip.carries_forms else "carries_not_told"
        key = "strip.relation" if strip.carries_forms else "strip.carries_forms"
        return open_(note, key, NEEDED)
    if not strip.record:
        return open_("no_record", "strip.record", COLD_HOURS)
    if any(w.air is None for w in strip.record):
        return open_("air_not_known", "strip.record.air", NEEDED, COLD_HOURS)
    steps = _known(strip.record, "air")
    if not _all_warm(steps):
        return open_("air_cold", "strip.relation.strip", NEEDED, COLD_HOURS)

    def warm(part: Steps) -> float:
        return float(hours_above(part, WARM).value.m_as("min"))

    counted = Amount("duration", warm(steps), "US")
    needed, hour = Amount("duration", HOURS, "US"), crossing(warm, steps, HOURS)
    word, note = (Word.NOT_YET, "hours_short") if hour is None else (Word.NOT_BEFORE, "hours_done")
    return Answer("strip", word, note, (NEEDED, WARM_HOURS), hour, counted, needed)


def _all_warm(steps: Sequence[tuple[Any, Any]]) -> bool:
    """Whether all of the air counts: no step with any time in it is at 50 F or under."""
    whole = sum(float(enter("duration", t)) for t, _ in steps)
    return bool(at_most(whole, float(hours_above(steps, WARM).value.m_as("min"))))


def _by_maturity(
    name: str, record: Sequence[Weather], relation: Relation, system: str
) -> Answer:  # fmt: skip
    """Maturity of the concrete on record against what the mix's own relation asks for."""
    tested = Clause(
        THE_PLAN, f"strip.relation.{name}", "maturity at which this mix has the strength, tested "
        f"by {relation.who}, {relation.report}, {relation.date}", Label.OWN,
    )  # fmt: skip
    if any(w.concrete is None for w in record) or not record:
        return Answer(name, Word.NOT_KNOWN, "concrete_not_known", (tested,),
                      key="strip.record.concrete")  # fmt: skip
    steps = _known(record, "concrete")
    if any(below(float(enter("temperature", concrete)), FREEZING) for _, concrete in steps):
        return Answer(name, Word.NOT_KNOWN, "concrete_froze", (tested, FROZE, ONE_FREEZE),
                      key=f"strip.relation.{name}")  # fmt: skip
    factor = getattr(relation, name)
    if factor is not None:
        term, needed = "temperature_time", float(enter("temperature_time", factor, system))
        whole = temperature_time(steps, datum=relation.datum, system=system)

        def count(part: Steps) -> float:
            found = temperature_time(part, datum=relation.datum, system=system)
            return float(found.value.magnitude)
    else:
        term, needed = "duration", float(enter("duration", getattr(relation, f"{name}_age")))
        whole = equivalent_age(steps, reference=relation.reference)

        def count(part: Steps) -> float:
            return float(equivalent_age(part, reference=relation.reference).value.m_as("min"))

    hour, reached = crossing(count, steps, needed), count(steps)
    word, note = (Word.NOT_YET, "short") if hour is None else (Word.NOT_BEFORE, "done")
    clauses = tuple(c for c in whole.clauses if c is not DATUM)  # the relation has its own datum
    return Answer(
        name, word, f"maturity_{note}", (tested, *clauses), hour, Amount(term, reached, system),
        Amount(term, needed, system), facts={"who": relation.who, "report": relation.report},
    )  # fmt: skip


def crossing(
    count: Callable[[Steps], float], steps: Sequence[tuple[Any, Any]], needed: float
) -> float | None:
    """Minutes after which `count` of the record reaches `needed`; None where it never does.

    All three counts add up step by step, and grow evenly within one, whose temperature is one.
    """
    got = passed = 0.0
    for step in steps:
        gain, long = count([step]), float(enter("duration", step[0]))
        if at_most(needed, got + gain):
            return passed + (min((needed - got) / gain, 1.0) * long if gain > 0.0 else 0.0)
        got, passed = got + gain, passed + long
    return None


def _protection(plan: Plan, strip: Strip) -> Protection:
    """By thickness: how warm as placed, how long protected, how fast it may cool. From memory."""
    tables = load_tables("cold")
    days = {row["service"]: int(row["days"]) for row in tables["protection"].rows}
    airs = [w.air for w in strip.record]
    bare = [float(enter("air_temperature", air)) for air in airs if air is not None]
    cold = True if any(below(b, BELOW) for b in bare) else None
    if bare and len(bare) == len(airs) and cold is None:
        cold = False
    thickness = plan.delivery.thickness
    clauses = [COLD, tables["protection"].rows[0].clause, PROTECT, ONE_FREEZE]
    placed = drop = None
    if thickness is not None:
        inches = float(enter("thickness", thickness)) * 12.0
        row = next(r for r in reversed(tables["cold"].rows) if at_most(r["over"], inches))
        placed = Amount("temperature", _degrees(row["placed"], plan.units), plan.units)
        drop = row["drop"] / (1.8 if plan.units == "SI" else 1.0)
        clauses.insert(1, row.clause)
    return Protection(cold, placed, drop, days["no load"], days["partly loaded"], tuple(clauses))


def _degrees(fahrenheit: float, system: str) -> float:
    return float(enter("temperature", f"{fahrenheit} F", system))
