"""The layout as one page without script, and as data for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from formpressure.job.layout import Panel
from formpressure.records import Amount
from formpressure.report import blocks, blocks_layout
from formpressure.report.content import content
from formpressure.report.parts import Block, heading, safe
from formpressure.report.plain_page import PAPER, plain_page
from formpressure.report.tables import head_of, measured_of
from formpressure.report.text_layout import LayoutWords
from formpressure.tie_schedule import Tie, TieSchedule


def layout_html(schedule: TieSchedule, language: str = "en") -> str:
    """The layout as a complete HTML page, the same bytes for the same plan and version."""
    words, footer = LayoutWords(schedule, language), content(schedule.verdict, language).footer
    parts = [
        Block("", f"<h1>{safe(words.title)}</h1>"),
        blocks.summary(schedule.verdict, language),
        blocks_layout.summary(schedule, language), blocks_layout.plan_view(schedule, language),
        heading(words.say("set_out"), 2), blocks_layout.set_out_list(schedule, 3, language),
        blocks_layout.elevations(schedule, language),
        heading(words.say("stock"), 2), blocks_layout.stock(schedule, language),
        heading(words.say("ties"), 2), blocks_layout.worst(schedule, language),
        blocks_layout.every_tie(schedule, language),
        Block("", f"<p><small>{safe(footer)}</small></p>"),
    ]  # fmt: skip
    paper = PAPER[schedule.verdict.case.rule.system]
    body = "\n".join(part.html for part in parts)
    return plain_page(words.title, body, footer=footer, paper=paper, language=language)


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
