"""The pour judged afterwards, from the log that stands beside its plan, as one block."""

from __future__ import annotations

from pathlib import Path

from formpressure.job.pour_log import load_log
from formpressure.progress import follow
from formpressure.report import log_report
from formpressure.report.parts import Block, joined, paragraphs
from formpressure.report.words import say
from formpressure.verdict import Verdict


def afterwards(verdict: Verdict, language: str = "en") -> Block:
    """How it stood at the end, every window and place, and each line; or that there is no log.

    The log is named like its plan, and stands beside it or in `logs` beside the plan's folder.
    Raises Refusal for a log that cannot be read at all.
    """
    path = _log_of(Path(verdict.plan.file))
    if path is None:
        return paragraphs(say("log", "none", language, name=_name(Path(verdict.plan.file))))
    progress = follow(verdict, load_log(path, verdict.case.rule.system), None)
    return joined(
        log_report.now(progress, language), log_report.rise_table(progress, language),
        *log_report.pictures(progress, language), log_report.lines(progress, language),
    )  # fmt: skip


def _name(plan: Path) -> str:
    return plan.with_suffix(".csv").name


def _log_of(plan: Path) -> Path | None:
    name = _name(plan)
    places = (plan.parent / name, plan.parent.parent / "logs" / name)
    return next((place for place in places if place.is_file()), None)
