"""What the crew takes along, string line and stripping, as blocks; the loading list also as CSV."""

from __future__ import annotations

import csv
import io
from typing import Any

from formpressure.job.counts import SPACED, Item, LoadingList
from formpressure.job.plumb import Station, Straightening
from formpressure.job.strip import Answer, Protection, StripTimes, Word
from formpressure.plan_job import THE_PLAN
from formpressure.records import Amount, Clause, Label
from formpressure.report.parts import Block, bullets, joined, paragraphs, table, write
from formpressure.report.tables import harmless
from formpressure.report.words import Shown, hours, say, words

HEAD = ("run", "item", "size", "count", "unit", "how_known", "source")


def loading(found: LoadingList, language: str = "en") -> Block:
    """What the whole job takes, then run by run, and what was not counted."""
    item, count, how = (say("job", h, language) for h in ("item", "count", "how_known"))
    caption = say("job", "loading_caption", language)
    rows: list[tuple[Any, ...]] = [
        (*_counted(i, language), known(i.clause, language)) for i in found.totals
    ]
    blocks = [table(caption, (item, count, how), rows)]
    for run in dict.fromkeys(i.run for i in found.items if i.run):
        each: list[tuple[Any, ...]] = [_counted(i, language) for i in found.items if i.run == run]
        blocks.append(table(say("job", "run_caption", language, run=run), (item, count), each))
    lines = _left_out(found, language)
    return joined(*blocks, *([bullets(lines)] if lines else []))


def _counted(item: Item, language: str) -> tuple[str, str]:
    size = _size(item, language)
    what = item_word(item.name, language) + (f", {size}" if size else "")
    return what, f"{item.count:,} {item.unit}".strip()


def loading_csv(found: LoadingList, language: str = "en") -> str:
    """The loading list, run by run and then the whole, as CSV that is shown and not run."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    plan = found.plan
    writer.writerow([harmless(c) for c in (plan.title or "", plan.file, plan.checksum)])
    writer.writerow([say("job", h, language) for h in HEAD])
    for i in (*(i for i in found.items if i.run), *found.totals):
        cells = (
            i.run or say("job", "all_runs", language), item_word(i.name, language),
            _size(i, language), str(i.count), i.unit, known(i.clause, language), str(i.clause),
        )  # fmt: skip
        writer.writerow([harmless(c) for c in cells])
    for line in _left_out(found, language):
        writer.writerow(["", harmless(line), "", "", "", "", ""])
    return out.getvalue()


def item_word(name: str, language: str = "en") -> str:
    """Our own items in the language; a layout's own kinds of piece as they are named there."""
    return words(language)["job"].get(name, name)


def known(clause: Clause, language: str = "en", section: str = "short_label") -> str:
    """How a number is known: stated in the plan, or the label of its source."""
    if clause.document == THE_PLAN:
        return say("job", "from_plan", language)
    return say(section, clause.label, language)


def _size(item: Item, language: str) -> str:
    if item.name in SPACED and item.size:
        return say("job", "apart", language, spacing=item.size[0])
    sizes = (
        s for s in item.size if not isinstance(s, Amount) or s.bare > 0.0
    )  # an angle has no width
    return " × ".join(str(Shown(s)) if isinstance(s, Amount) else s for s in sizes)


def _left_out(found: LoadingList, language: str) -> list[str]:
    return [
        say("job", "left_out", language, item=item_word(name, language), key=key)
        for name, key in found.left_out
    ]


def stripping(found: StripTimes, language: str = "en") -> Block:
    """The three answers with why, then protection from cold, then the sources."""
    head = tuple(say("job", h, language) for h in ("question", "answer", "why"))
    rows: list[tuple[Any, ...]] = [
        (say("job", a.question, language), answer_word(a, language), _why(a, language))
        for a in found.answers
    ]
    caption = say("job", "strip_caption", language, recorded=hours(found.recorded, "down"),
                  warm=hours(found.warm, "down"))  # fmt: skip
    sources = [c for a in found.answers for c in a.clauses] + list(found.protection.clauses)
    return joined(
        table(caption, head, rows),
        paragraphs(*protection_lines(found.protection, language)),
        _sources(tuple(sources), language),
    )


def answer_word(answer: Answer, language: str = "en") -> str:
    """NOT BEFORE with its hour, NOT YET, or NOT KNOWN."""
    hour = "" if answer.hour is None else hours(answer.hour)
    return say("job", answer.word, language, hour=hour)


def _why(answer: Answer, language: str) -> str:
    needed, reached = (_maturity(a, how) for a, how in
                       ((answer.needed, "up"), (answer.reached, "down")))  # fmt: skip
    text = say("job", answer.note, language, needed=needed, reached=reached, **answer.facts)
    give = answer.word is Word.NOT_KNOWN and answer.note != "concrete_froze"
    return f"{text} {say('job', 'give', language, key=answer.key)}" if give else text


def _maturity(amount: Amount | None, how: str) -> str:
    if amount is None:
        return ""
    return hours(amount.bare, how) if amount.term == "duration" else format(Shown(amount), how)


def protection_lines(found: Protection, language: str = "en") -> list[str]:
    """Sentences on cold-weather protection."""
    cold = {True: "cold_yes", False: "cold_no", None: "cold_open"}[found.cold]
    lines = [say("job", cold, language)]
    if found.cold is False:
        return lines
    days = {"days": found.days, "days_loaded": found.days_loaded}
    lines += [say("job", "protect", language, **days), say("job", "once_frozen", language)]
    if found.placed is None or found.drop is None:
        return [*lines, say("job", "placed_open", language)]
    return [*lines, say("job", "placed", language, placed=found.placed, drop=f"{found.drop:.3g}")]


def string_line(found: Straightening, language: str = "en") -> Block:
    """Every station, what to straighten first, time left, sources."""
    system = found.plan.units
    head = tuple(say("job", h, language) for h in ("at", "out", "tolerance"))
    rows: list[tuple[Any, ...]] = [
        (
            write("position", s.at, system),
            out_word(s, system, language),
            _judged(found, s, language),
        )
        for s in found.stations
    ]
    order = [
        say("job", "order", language, number=n, at=Amount("position", s.at, system),
            out=Amount("deviation", abs(s.out), system), way=_way(-s.out, language))
        for n, s in enumerate((found.stations[i] for i in found.order), 1)
    ]  # fmt: skip
    order = [*order, say("job", "order_read", language)] if order else [
        say("job", "order_none", language)]  # fmt: skip
    return joined(
        paragraphs(say("job", "line_head", language), time_left(found, language)),
        table(say("job", "line_caption", language), head, rows),
        paragraphs(*order),
        _sources(found.clauses, language),
    )


def time_left(found: Straightening, language: str = "en") -> str:
    """How long the form may still be moved, rounded down; or why that is not known."""
    if found.left is None:
        return say("job", "left_open", language, key=found.left_key)
    if found.left < 1.0:
        return say("job", "left_none", language)
    return say("job", "left", language, left=hours(found.left, "down"))


def out_word(station: Station, system: str, language: str = "en") -> str:
    """How far out of line and which way."""
    if station.out == 0.0:
        return say("job", "in_line", language)
    size = Shown(Amount("deviation", abs(station.out), system))
    return f"{size:up} {_way(station.out, language)}"


def _way(out: float, language: str) -> str:
    return say("job", "toward" if out > 0.0 else "away", language)


def _judged(found: Straightening, station: Station, language: str) -> str:
    if found.tolerance is None:
        return say("job", "no_tolerance", language)
    word = "within" if station.within else "over"
    return say("job", word, language, tolerance=found.tolerance)


def _sources(clauses: tuple[Clause, ...], language: str) -> Block:
    lines = []
    for c in dict.fromkeys(clauses):
        how = "" if c.label is Label.MEMORY else f" ({known(c, language, 'label')})"
        lines.append(f"{c}{how}")
    return bullets(lines)
