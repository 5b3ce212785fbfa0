"""The records of the plan that tell what the crew takes along, how straight it stands, and when
the forms come off. None of them changes a verdict; what is left blank is told as not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.errors import Refusal
from formpressure.keys import OPENS, REFUSED, Measure, key
from formpressure.units import below

TOWARD, AWAY = "toward the string", "away from the string"
THE_PLAN = "the plan"  # where a number stated there comes from
QUESTIONS = ("strip", "load", "backfill")


@dataclass(frozen=True, slots=True, kw_only=True)
class Straighteners:
    length: Measure = key("length", REFUSED, "length of one straightener timber, a 2x4")
    panel: Measure = key("size", REFUSED, "width of a panel; timbers lap by half of it")
    rows: int = key("count", REFUSED, "rows of straighteners on one face")
    faces: int = key("count", REFUSED, "faces that get them")
    panel_thickness: Measure | None = key(
        "size", OPENS, "thickness of the panel where a nail goes in", blank="nails not counted"
    )
    nails: int | None = key(
        "count", OPENS, "nails in each panel that a timber crosses", blank="nails not counted"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    tie_spare: Measure | None = key(
        "spare", OPENS, "ties taken along over the count, %", blank="no spare, and told so"
    )
    bracket_faces: int | None = key(
        "count", OPENS, "faces that get scaffold brackets", blank="brackets not counted"
    )
    straighteners: Straighteners | None = key(
        "table", OPENS, "timbers that line the form", blank="straighteners not counted"
    )
    release_coverage: Measure | None = key(
        "release_coverage", OPENS, "form face that release agent covers, from its sheet",
        blank="release agent not counted",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    stations: tuple[Measure, ...] = key(
        "list position", REFUSED, "where the string was read, from one end of it"
    )
    readings: tuple[Measure, ...] = key(
        "list deviation", REFUSED, 'what was read there: "+3/8 in" and "-1/4 in" out of line, or, '
        "with `offset`, plain distances from string to form",
    )  # fmt: skip
    offset: Measure | None = key(
        "size", OPENS, "distance from string to form where the form is in line",
        blank="the readings have signs",
    )  # fmt: skip
    plus: str | None = key(
        "choice", OPENS, "which way a reading with a plus is out of line", choices=(TOWARD, AWAY),
        blank="readings with signs are not taken",
    )  # fmt: skip
    document: str | None = key(
        "text",
        OPENS,
        "the document whose tolerance holds",
        blank="nothing is called within or over",
    )
    tolerance: Measure | None = key(
        "deviation", OPENS, "the tolerance of the project documents, in place of `document`",
        blank="that of `document`",
    )  # fmt: skip
    tolerance_from: str | None = key(
        "text", OPENS, "the paper it is from", blank="`tolerance` not taken"
    )
    set: Measure | None = key(
        "duration", OPENS, "initial set of this mix, measured or stated by the plant",
        blank="time left not known",
    )  # fmt: skip
    set_at: Measure | None = key(
        "temperature", OPENS, "temperature of the concrete at which that was found",
        blank="time left not known",
    )  # fmt: skip
    warmest: Measure | None = key(
        "temperature", OPENS, "warmest concrete measured in this stretch, since it sets first",
        blank="time left not known",
    )  # fmt: skip
    since: Measure | None = key(
        "duration", OPENS, "time since the first concrete of this stretch was batched, or placed "
        "where `set` counts from placing", blank="time left not known",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    time: Measure = key("duration", REFUSED, "length of this stretch of time")
    air: Measure | None = key(
        "air_temperature", OPENS, "coldest air around the concrete in it",
        blank="hours by themselves not taken",
    )  # fmt: skip
    concrete: Measure | None = key(
        "temperature", OPENS, "coldest concrete in it", blank="maturity not known"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    who: str = key("text", REFUSED, "who tested this very mix")
    report: str = key("text", REFUSED, "the paper with strength against maturity")
    date: str = key("date", REFUSED, "its date")
    datum: Measure | None = key(
        "ingredient_temperature", OPENS, "datum of its temperature-time factor",
        blank="factors not taken",
    )  # fmt: skip
    reference: Measure | None = key(
        "ingredient_temperature", OPENS, "reference temperature of its equivalent age",
        blank="ages not taken",
    )  # fmt: skip
    strip: Measure | None = key(
        "temperature_time", OPENS, "factor at which the strength to strip is there", blank="strip"
    )
    load: Measure | None = key(
        "temperature_time", OPENS, "factor for the strength to build on", blank="load"
    )
    backfill: Measure | None = key(
        "temperature_time", OPENS, "factor for the strength to backfill", blank="backfill"
    )
    strip_age: Measure | None = key(
        "duration", OPENS, "in place of `strip`: equivalent age", blank="strip"
    )
    load_age: Measure | None = key(
        "duration", OPENS, "in place of `load`: equivalent age", blank="load"
    )
    backfill_age: Measure | None = key(
        "duration", OPENS, "in place of `backfill`: equivalent age", blank="backfill"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TopSupport:
    what: str = key("text", REFUSED, "what holds the top of the wall, such as the floor")
    document: str = key("text", REFUSED, "the project document that says so")


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    record: tuple[Weather, ...] = key(
        "tables", OPENS, "temperatures since the end of placing, in order"
    )
    strength_specified: bool | None = key(
        "flag", OPENS, "the project documents ask for a strength before stripping",
        blank="yes: hours by themselves not taken",
    )  # fmt: skip
    carries_forms: bool | None = key(
        "flag", OPENS, "forms of a slab or beam rest on the wall form",
        blank="yes: hours by themselves not taken",
    )  # fmt: skip
    relation: Relation | None = key(
        "table", OPENS, "strength against maturity of this mix, by test", blank="maturity not taken"
    )
    top_support: TopSupport | None = key(
        "table", OPENS, "what holds the top of the wall against the fill", blank="backfill"
    )


def refuse_job(line: Line | None, strip: Strip | None, loading: Loading | None) -> None:
    """What no single key can tell of line, stripping and loading; bare in US units."""
    if line is not None:
        _refuse_line(line)
    if strip is not None and strip.relation is not None:
        _refuse_relation(strip.relation)
    timber = None if loading is None else loading.straighteners
    if timber is not None and not below(timber.panel / 12.0 / 2.0, timber.length):
        cure = "Give timbers longer than half a panel"
        raise Refusal("no longer than their lap", cure, key="loading.straighteners.length")


def _refuse_line(line: Line) -> None:
    if len(line.stations) != len(line.readings):
        cure = f"Give {len(line.stations)} readings, one for each station"
        raise Refusal("not one for each station", cure, key="line.readings")
    if any(not below(a, b) for a, b in zip(line.stations, line.stations[1:], strict=False)):
        raise Refusal("not in order", "List them along the string", key="line.stations")
    if (line.offset is None) == (line.plus is None):
        cure = "Give line.plus for readings with signs, or line.offset for plain distances"
        raise Refusal("it is not told what the readings mean", cure, key="line.readings")
    if line.offset is not None and min(line.readings) < 0.0:
        cure = "Give plain distances, or signs and line.plus in place of line.offset"
        raise Refusal("a distance from the string below 0", cure, key="line.readings")
    if line.tolerance is not None:
        if line.tolerance <= 0.0:
            raise Refusal("no tolerance", "Give more than 0", key="line.tolerance")
        if line.tolerance_from is None:
            cure = "Add line.tolerance_from: the paper it is from"
            raise Refusal("a tolerance of no document", cure, key="line.tolerance")
        if line.document is not None:
            raise Refusal("given beside line.document", "Keep one of the two", key="line.tolerance")


def _refuse_relation(relation: Relation) -> None:
    def given(name: str) -> Any:
        return getattr(relation, name)

    for name in QUESTIONS:
        if given(name) is not None and given(f"{name}_age") is not None:
            cure = "Keep one of the two"
            raise Refusal("given twice", cure, key=f"strip.relation.{name}_age")
    for base, ending in (("datum", ""), ("reference", "_age")):
        used = [name + ending for name in QUESTIONS if given(name + ending) is not None]
        if used and given(base) is None:
            cure = "Give it from the same report"
            raise Refusal(f"missing, and {used[0]} counts from it", cure,
                          key=f"strip.relation.{base}")  # fmt: skip
    for name in QUESTIONS:
        if given(name) == 0.0:
            raise Refusal("no maturity", "Give more than 0", key=f"strip.relation.{name}")
