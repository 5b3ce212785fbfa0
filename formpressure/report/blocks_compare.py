"""Documents side by side: what a notebook shows of a comparison. Formats, computes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from formpressure.allowed import shown
from formpressure.comparison import ByDocument, Comparison
from formpressure.records import Amount, Clause, Status
from formpressure.report.parts import Block, Cell, badge, joined, line, paragraphs, safe, table
from formpressure.report.words import Shown, reason_words, say
from formpressure.verdict import Verdict


def intro(found: Comparison, language: str = "en") -> Block:
    """Which document governs, who chose it, and loudly any other by which something fails."""
    plan, first = found.plan, found.governing
    who = plan.document.chosen_by or say("worked", "nobody", language)
    name = str(first.rule.document)
    lines = [say("compare", "governs", language, document=name, who=who)]
    for by in found.failing:
        names, other = (
            ", ".join(say("check", c.name, language) for c in by.failed),
            by.rule.document,
        )
        lines.append(say("card", "other_fails", language, document=str(other), names=names))
    lines.append(say("compare", "never_average", language))
    lines.append(say("compare", "memory", language))
    return joined(line(plan.title or plan.file, "title"), paragraphs(*lines))


def side_by_side(found: Comparison, language: str = "en") -> Block:
    """Every document that applies: peak, depth, governing tie, allowed rate, what fails."""
    rows: list[tuple[str | Cell, ...]] = [
        _row(found, by, language) for by in found.documents if by.applies
    ]
    names = ("document", "status", "peak", "depth", "row", "load", "allowed")
    head = tuple(say("compare", n, language) for n in names)
    first = found.governing
    rate = None if first.case is None else first.case.rate
    caption = say("compare", "at_full", language)
    if rate is not None:
        caption = say("compare", "at_rate", language, rate=found.amount("rate", rate, first))
    notes = [say("compare", "converted", language, units=found.plan.units)]
    notes += [f"{reason_words(by.unrated, language)}." for by in found.documents if by.unrated]
    notes += [
        say("compare", "bound", language, document=document_name(by, language))
        for by in found.documents
        if by.envelope is not None and by.envelope.bound_governs
    ]
    return joined(table(caption, head, rows, wide=True), paragraphs(*notes))


def clauses(found: Comparison, language: str = "en") -> Block:
    """The clause that governed by each document, and how far it is known."""
    rows: list[tuple[str | Cell, ...]] = []
    for by in found.documents:
        if by.envelope is not None:
            clause = by.envelope.governed_by
            assert isinstance(clause, Clause)  # a plan is one pour, not an array of them
            known = say("label", clause.label, language)
            rows.append((document_name(by, language), known, f"{clause.place}: {clause.says}"))
    head = tuple(say("worked", h, language) for h in ("document_head", "how_known", "says"))
    return table(say("compare", "clauses", language), head, rows)


def silent(found: Comparison, language: str = "en") -> Block:
    """The documents that say nothing here, each with every reason."""
    rows: list[tuple[str | Cell, ...]] = [
        (document_name(by, language), reason_words(reason, language))
        for by in found.documents
        for reason in by.reasons
    ]
    if not rows:
        return paragraphs(say("compare", "all_apply", language))
    head = (say("compare", "document", language), say("worked", "why", language))
    return table(say("compare", "silent", language), head, rows)


def others_beside(verdict: Verdict, language: str) -> Iterator[str]:
    """What other documents say, each in one line; none of them makes this verdict pass."""
    for found in verdict.others:
        facts: dict[str, Any] = {"document": str(found.rule.document)}
        if found.envelope is None:
            facts["why"] = "; ".join(reason_words(r, language) for r in found.reasons)
            yield say("worked", "other_silent", language, **facts)
            continue
        p = float(found.envelope.p_max)
        facts["pressure"] = Amount("pressure", p, found.rule.system)
        facts["fails"] = ", ".join(say("check", c.name, language) for c in found.failed)
        name = "other_fails" if found.failed else "other_says"
        if found.unrated is not None:
            name, facts["why"] = "other_unrated", reason_words(found.unrated, language)
        yield say("worked", name, language, **facts)


def _row(found: Comparison, by: ByDocument, language: str) -> tuple[str | Cell, ...]:
    assert by.case is not None
    assert by.envelope is not None
    assert by.ties is not None
    worst, height = by.ties.worst, by.case.rows.top - by.case.rows.start
    depth = min(float(by.envelope.liquid_depth), height)
    amounts = (
        ("pressure", float(by.envelope.p_max), "up"), ("height", depth, "up"),
        ("height", float(by.ties.heights[worst]), ""), ("load", float(by.ties.load[worst]), "up"),
    )  # fmt: skip
    cells = [format(Shown(found.amount(term, bare, by)), how) for term, bare, how in amounts]
    first = (_heading(found, by, language), _status(by, language))
    return (*first, *cells, _allowed(found, by, language))


def _heading(found: Comparison, by: ByDocument, language: str) -> Cell:
    name = document_name(by, language)
    if by is not found.governing:
        return Cell(name, safe(name))
    mark = say("compare", "governing", language)
    return Cell(f"{name} {mark}", f'{safe(name)} <b class="here">{safe(mark)}</b>')


def _status(by: ByDocument, language: str) -> str | Cell:
    if by.unrated is not None:
        return badge(Status.NOT_CHECKED, language)
    if not by.failed:
        return say("compare", "nothing_fails", language)
    mark = badge(Status.NOT_OK, language)
    names = ", ".join(say("check", c.name, language) for c in by.failed)
    return Cell(f"{mark.plain}: {names}", f"{mark.html} {safe(names)}")


def _allowed(found: Comparison, by: ByDocument, language: str) -> str:
    if by.allowed is None:
        return "–"
    if by.allowed.kind != "at most":
        return say("rates", "any" if by.allowed.kind == "any" else "none", language)
    rounded = shown(by.allowed, by.rule.system)
    if rounded.kind == "none":
        return say("rates", "none", language)
    return f"{Shown(found.amount('rate', float(by.allowed.rate), by)):down}"


def document_name(by: ByDocument, language: str = "en") -> str:
    """The document, marked where another has superseded it."""
    mark = f" ({say('compare', 'superseded', language)})" if by.superseded else ""
    return f"{by.rule.document}{mark}"
