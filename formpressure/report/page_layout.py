"""The layout as one page without script, and as data for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from html import escape
from importlib import resources
from typing import Any

from formpressure.job.layout import Panel
from formpressure.records import Amount
from formpressure.report.content import content
from formpressure.report.drawing_layout import elevations, plan_view
from formpressure.report.parts import bullets, paragraphs, table
from formpressure.report.tables import head_of, measured_of
from formpressure.report.text import two_lines
from formpressure.report.text_layout import LayoutWords
from formpressure.tie_schedule import Tie, TieSchedule


def layout_html(schedule: TieSchedule, language: str = "en") -> str:
    """The layout as a complete HTML page, the same bytes for the same plan and version."""
    words = LayoutWords(schedule, language)
    drawn = elevations(schedule, language)
    parts = [
        *(paragraphs(line).html for line in two_lines(schedule.verdict, language)),
        bullets(words.summary()).html, plan_view(schedule, language).html,
        _heading(words.say("set_out")),
    ]  # fmt: skip
    for heading, sentences in words.sides():
        parts += [f"<h3>{escape(heading)}</h3>", bullets(list(sentences)).html]
    parts += [block.html for block in drawn]
    parts += [_heading(words.say("stock")), bullets(words.stock()).html]
    parts += [_heading(words.say("ties")), paragraphs(words.worst(), words.counted()).html]
    rows: list[Any] = [words.tie_row(tie) for tie in schedule.ties]
    parts.append(table(words.say("ties_caption"), words.tie_head(), rows, wide=True).html)
    footer = content(schedule.verdict, language).footer
    style = resources.files("formpressure.report").joinpath("templates", "layout.css")
    body = "\n".join(parts)
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{escape(words.title)}</title>\n<style>\n"
        f"{style.read_text(encoding='utf-8')}</style>\n</head>\n<body>\n"
        f"<main>\n<h1>{escape(words.title)}</h1>\n{body}\n"
        f'<p class="small">{escape(footer)}</p>\n</main>\n</body>\n</html>\n'
    )


def _heading(text: str) -> str:
    return f"<h2>{escape(text)}</h2>"


def layout_json(schedule: TieSchedule) -> dict[str, Any]:
    """A layout as plain data; every measured number is {"value", "unit"}."""
    layout, case = schedule.layout, schedule.verdict.case
    system = layout.path.system

    def length(bare: Fraction) -> dict[str, Any]:
        return measured_of(Amount("length", float(bare), system))

    def panel(one: Panel) -> dict[str, Any]:
        return {
            "side": one.side, "face": one.face, "stretch": one.kind, "course": one.course,
            "start": length(one.start), "width": length(one.width), "bottom": length(one.bottom),
            "height": length(one.height), "cut": one.cut,
        }  # fmt: skip

    def tie(one: Tie) -> dict[str, Any]:
        def measured(term: str, bare: float) -> dict[str, Any]:
            return measured_of(Amount(term, bare, case.rule.system))

        return {
            "side": one.side, "joint": length(one.place), "row": measured("height", one.row),
            "length": length(one.length), "width": measured("spacing", one.width),
            "load": measured("load", one.load), "ratio": one.ratio,
            "above_concrete": one.above, "in_opening": one.opening,
        }  # fmt: skip

    def joints(name: str) -> dict[str, Sequence[Any]]:
        return {f: [length(p) for p in layout.joints(name, f)] for f in ("outer", "inner")}

    volume = Amount("volume", LayoutWords(schedule).volume, case.rule.system)
    return {
        **head_of(case, "layout"),
        "verdict": schedule.verdict.word,
        "pieces": layout.pieces, "cuts": layout.cuts, "proved_fewest": layout.proved,
        "volume": measured_of(volume),
        "joints": {side.name: joints(side.name) for side in layout.path.sides},
        "panels": [panel(one) for one in layout.panels()],
        "ties": [tie(one) for one in schedule.ties],
    }  # fmt: skip
