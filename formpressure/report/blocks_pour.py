"""The pour by trucks step by step: what a notebook shows of trucks, joints and what helps."""

from __future__ import annotations

from formpressure.helps import Help, what_helps
from formpressure.joints import SINKS
from formpressure.records import Amount, Clause
from formpressure.report.content import Sentences, content
from formpressure.report.content_pour import help_line
from formpressure.report.parts import Block, bullets, joined, paragraphs, table, write
from formpressure.report.words import say
from formpressure.verdict import Verdict


def filling(verdict: Verdict, language: str = "en") -> Block:
    """How the plan says that the wall is filled: its runs, and the trucks."""
    case = verdict.case
    if case.filling is None or verdict.trucks is None:
        return paragraphs(say("helps", "no_trucks", language))
    system, given = case.rule.system, case.filling
    names = ("run", "length", "thickness", "top", "openings", "one_truck")
    rows = [
        (
            run.name, write("length", run.length, system),
            write("thickness", run.thickness, system), write("height", run.top, system),
            "; ".join(
                say("pour", "opening", language, width=write("length", o.width, system),
                    sill=write("height", o.sill, system), head=write("height", o.head, system))
                for o in run.openings
            ) or "–",
            str_up(given.load_rise(run), system),
        )
        for run in given.runs
    ]  # fmt: skip
    head = tuple(say("pour", n, language) for n in names)
    return table(say("pour", "runs", language, spread=write("length", given.spread, system)),
                 head, [tuple(row) for row in rows], wide=True)  # fmt: skip


def str_up(bare: float, system: str) -> str:
    """A rise, rounded up as a demand."""
    return say("pour", "rise", value=Amount("height", bare, system))


def trucks(verdict: Verdict, language: str = "en") -> Block:
    """All that the card says of trucks and joints."""
    lines = content(verdict, language).trucks
    return bullets(lines) if lines else paragraphs(say("helps", "no_trucks", language))


def joints(verdict: Verdict, language: str = "en") -> Block:
    """Where the time for joints is from, and how far each source is known."""
    found = verdict.joints
    clauses: tuple[Clause, ...] = (SINKS,)
    if found is not None and found.window is not None:
        clauses = (SINKS, *found.window.clauses)
    rows = [(f"{c.document}, {c.place}", say("label", c.label, language), c.says) for c in clauses]
    head = tuple(say("worked", h, language) for h in ("clause", "how_known", "says"))
    return table(say("pour", "sources", language), head, [tuple(row) for row in rows])


def helps(verdict: Verdict, language: str = "en") -> Block:
    """Every way out that could be worked, whether it fits, and what it does to both sides."""
    if verdict.trucks is None:
        return paragraphs(say("helps", "no_trucks", language))
    if verdict.straight_up:
        return paragraphs(say("helps", "none_needed", language))
    found = what_helps(verdict)
    if not found:
        return paragraphs(say("helps", "nothing", language))
    rows = [
        (say("helps", f"name_{h.name}", language), _fits(h, language), help_line(h, language))
        for h in found
    ]
    head = tuple(say("helps", h, language) for h in ("way", "works", "what"))
    return table(say("helps", "title", language), head, [tuple(row) for row in rows])


def order(verdict: Verdict, language: str = "en") -> Block:
    """The lines to read to dispatch."""
    found, make = verdict.trucks, Sentences(verdict, language)
    if found is None:
        return paragraphs(say("helps", "no_trucks", language))
    lines = [*make.order(found.order)]
    if found.gap is not None and not found.split:
        lines.append(make.say("card", "gap_least", gap=found.gap))
    lead = paragraphs(say("pour", "dispatch", language))
    return joined(lead, bullets([*lines, *make.starts(found)]))


def _fits(found: Help, language: str) -> str:
    if found.fits is None:
        works = found.least is not None or bool(found.facts.get("passes"))
        return say("helps", "pressure_only" if works else "no", language)
    word = say("helps", "yes" if found.fits else "no", language)
    estimated = found.estimated and found.fits
    return f"{word}, {say('helps', 'estimate', language)}" if estimated else word
