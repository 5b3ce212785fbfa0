"""The verdict on a terminal: plain letters, two lines first, then why, then every check."""

from __future__ import annotations

import textwrap

from formpressure.report.content import Content, check_lines, content
from formpressure.report.words import say
from formpressure.verdict import Verdict

WIDTH = 88


def two_lines(verdict: Verdict, language: str = "en") -> list[str]:
    """The verdict with what is open, and what ties and panels allow."""
    return _two_lines(content(verdict, language), language)


def _two_lines(c: Content, language: str) -> list[str]:
    first = " ".join([f"{say('word', 'verdict', language)}: {c.word}.", *c.others])
    first = first if c.others else first.removesuffix(".")
    for lead, names in (("failed_lead", c.failed), ("open_lead", c.open)):
        if names:
            first = f"{first.removesuffix('.')}. {say('card', lead, language)} {', '.join(names)}"
    headline, beside, _ = c.pace
    pace = f"{say('card', 'how_fast', language)} {headline} {beside}".rstrip()
    fill = f"{say('card', 'fill', language)} {c.fill[0]}. {c.fill[1]}"
    return [first, f"{fill} {pace}"]


def text(verdict: Verdict, language: str = "en") -> str:
    """The whole verdict as text for a terminal."""
    c = content(verdict, language)
    lines = [c.title, ""]
    for line in _two_lines(c, language):
        lines += [*_wrap(line), ""]
    for line in (*c.pace[2], *c.trucks, *c.facts):
        lines += _wrap(line)
    lines.append("")
    rows = check_lines(verdict, language)
    for name, status, note, key in rows:
        row = f"{status:<15}{name}: {note}" + (f" [{key}]" if key else "")
        lines += textwrap.wrap(row, WIDTH, subsequent_indent=" " * 15)
    lines.append("")
    if c.assumed:
        lines.append(say("card", "assumed_lead", language))
        for line in c.assumed:
            lines += _wrap(f"{say('word', 'assumed', language)} {line}", "  ")
        lines.append("")
    for line in c.cautions:
        lines += _wrap(line, "- ")
    lines += ["", *_wrap(c.footer)]
    return "\n".join(lines) + "\n"


def _wrap(line: str, first: str = "") -> list[str]:
    return textwrap.wrap(line, WIDTH, initial_indent=first, subsequent_indent=" " * len(first))
