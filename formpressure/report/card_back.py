"""Back of the pour card: the ties, the walk-round, what to do, and what the card was worked for."""

from __future__ import annotations

from html import escape

from formpressure.report.card_parts import blank, listed, paragraph, section
from formpressure.report.content import Sentences
from formpressure.report.elevation import elevation
from formpressure.report.elevation_layout import sides
from formpressure.report.words import words

TROUBLES = ("bulge", "noise", "leak", "tie", "late")
NAMES = ("watcher", "signal", "zone", "word")


def back(make: Sentences) -> str:
    """All sections of the back."""
    say = make.say
    walk = words(make.language)["walk"].values()
    names = "\n".join(blank(say("card", f"sign_{name}")) for name in NAMES)
    parts = [
        paragraph(say("card", "page_back", title=make.title()), "turn"),
        '<div class="two">\n<div>',
        section(say("card", "elevation"), f"<p><b>{escape(make.clips())}</b></p>",
                elevation(make) if make.case.layout is None else sides(make)),
        "</div>\n<div>",
        section(say("card", "signed"), listed(walk, "walk"), *map(paragraph, make.wind()), names),
        section(say("card", "do"), _troubles(make), shape="stop"),
        "</div>\n</div>",
        section(say("card", "worked_for"), listed(_worked_for(make), "small")),
    ]  # fmt: skip
    if make.verdict.plan.assumed:
        assumed = paragraph("; ".join(make.assumed()) + ".", "small")
        parts.append(section(say("card", "assumed_lead"), assumed))
    cautions = (make.confirmed(), *words(make.language)["caution"].values())
    parts.append(section(say("card", "cautions"), listed(cautions, "small")))
    parts.append(paragraph(make.footer(), "small"))
    return "\n".join(parts)


def _troubles(make: Sentences) -> str:
    lines = "".join(
        f"<li><b>{escape(make.say('trouble', name))}.</b> "
        f"{escape(make.say('trouble', f'{name}_do'))}</li>"
        for name in TROUBLES
    )
    return f"<ul>{lines}</ul>\n<p><b>{escape(make.say('trouble', 'again'))}</b></p>"


def _worked_for(make: Sentences) -> list[str]:
    """Everything the office needs to know the plan again."""
    _, why = make.fill()
    headline, beside, pace = make.pace()
    lines = [*make.others(), *make.stated(), why]
    lines += [f"{headline} {beside}", *pace] if make.marks is None else pace
    return [*lines, *make.trucks()]
