"""What the notebook of the whole job asks of any plan: each part, or what would give it."""

from __future__ import annotations

from formpressure.job.plumb import straighten
from formpressure.job.strip import strip_times
from formpressure.report import blocks, blocks_job, blocks_layout, figures_job
from formpressure.report.parts import Block, joined, paragraphs
from formpressure.report.words import say
from formpressure.tie_schedule import TieSchedule, tie_schedule
from formpressure.verdict import Verdict


def set_out(verdict: Verdict, language: str = "en") -> Block:
    """The wall from above and the list of what to set where."""
    if (schedule := _schedule(verdict)) is None:
        return paragraphs(say("layout", "none", language))
    found = blocks_layout.set_out_list(schedule, language=language)
    return joined(blocks_layout.plan_view(schedule, language), found)


def faces(verdict: Verdict, language: str = "en") -> Block:
    """How many pieces, from what stock, and where they stand on both faces."""
    if (schedule := _schedule(verdict)) is None:
        return paragraphs(say("layout", "none", language))
    parts = (blocks_layout.summary, blocks_layout.stock, blocks_layout.elevations)
    return joined(*(part(schedule, language) for part in parts))


def ties(verdict: Verdict, language: str = "en") -> Block:
    """The ties joint by joint, or of a plan without a layout row by row."""
    if (schedule := _schedule(verdict)) is None:
        return blocks.tie_table(verdict, language)
    return blocks_layout.joints(schedule, language)


def string_line(verdict: Verdict, language: str = "en") -> Block:
    """The string line drawn, and what to straighten first."""
    if verdict.plan.line is None:
        return paragraphs(say("job", "not_told", language, key="line"))
    found = straighten(verdict.plan)
    picture = figures_job.string_line(found, language)
    return joined(picture, blocks_job.string_line(found, language))


def stripping(verdict: Verdict, language: str = "en") -> Block:
    """When to strip, build on and backfill."""
    if verdict.plan.strip is None:
        return paragraphs(say("job", "not_told", language, key="strip"))
    return blocks_job.stripping(strip_times(verdict.plan), language)


def _schedule(verdict: Verdict) -> TieSchedule | None:
    return None if verdict.case.layout is None else tie_schedule(verdict)
