"""The layout as blocks: what to set where, the stock, both faces, the plan, and the ties.

The page of the layout, the submittal and the notebooks are made of the same ones.
"""

from __future__ import annotations

from typing import Any

from formpressure.report import drawing_layout
from formpressure.report.parts import Block, bullets, heading, joined, paragraphs, table
from formpressure.report.text_layout import LayoutWords
from formpressure.report.words import say
from formpressure.tie_schedule import TieSchedule, tie_schedule
from formpressure.verdict import Verdict


def layout(verdict: Verdict, language: str = "en") -> Block:
    """All of it in one block, joint by joint; or that the plan has no layout."""
    if verdict.case.layout is None:
        return paragraphs(say("layout", "none", language))
    schedule = tie_schedule(verdict)
    return joined(
        summary(schedule, language), plan_view(schedule, language),
        set_out_list(schedule, language=language), elevations(schedule, language),
        paragraphs(f"{say('layout', 'stock', language)}:"), stock(schedule, language),
        joints(schedule, language),
    )  # fmt: skip


def summary(schedule: TieSchedule, language: str = "en") -> Block:
    """Pieces, cuts and whether fewer would do; concrete; corners; the practice behind it."""
    return bullets(LayoutWords(schedule, language).summary())


def set_out_list(schedule: TieSchedule, level: int = 3, language: str = "en") -> Block:
    """Side by side, each under a heading: pieces, joints to snap, the check at the far corner."""
    sides = LayoutWords(schedule, language).sides()
    return joined(*(joined(heading(name, level), bullets(lines)) for name, lines in sides))


def stock(schedule: TieSchedule, language: str = "en") -> Block:
    """How much of each kind at hand stands in the wall, and what is cut."""
    return bullets(LayoutWords(schedule, language).stock())


def plan_view(schedule: TieSchedule, language: str = "en") -> Block:
    """The wall from above."""
    return drawing_layout.plan_view(schedule, language)


def elevations(schedule: TieSchedule, language: str = "en") -> Block:
    """Both faces of every side."""
    return joined(*drawing_layout.elevations(schedule, language))


def worst(schedule: TieSchedule, language: str = "en") -> Block:
    """The most loaded tie, and how many ties there are."""
    words = LayoutWords(schedule, language)
    return paragraphs(words.worst(), words.counted())


def joints(schedule: TieSchedule, language: str = "en") -> Block:
    """One row for each joint: ties in it, their length, and the most loaded of them."""
    words = LayoutWords(schedule, language)
    rows: list[Any] = [words.joint_row(ties) for ties in schedule.by_joint]
    found = table(words.say("joints_caption"), words.joint_head(), rows, wide=True)
    return joined(worst(schedule, language), found)


def every_tie(schedule: TieSchedule, language: str = "en") -> Block:
    """The schedule tie by tie."""
    words = LayoutWords(schedule, language)
    rows: list[Any] = [words.tie_row(tie) for tie in schedule.ties]
    return table(words.say("ties_caption"), words.tie_head(), rows, wide=True)
