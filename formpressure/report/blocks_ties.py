"""What a notebook shows of tie loads: one by hand, all by every model, and what a missing tie does.

Each function formats one part and computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan

import numpy as np

from formpressure.demand.explain import (
    ByHand,
    Gone,
    ModelLoads,
    Part,
    by_hand,
    each_gone,
    model_loads,
)
from formpressure.demand.frames import BOUNDS
from formpressure.records import Amount, Status
from formpressure.report.blocks import RATIO_STEP
from formpressure.report.drawing import number
from formpressure.report.figures import judged_at
from formpressure.report.parts import (
    Block,
    Cell,
    badge,
    bullets,
    joined,
    line,
    paragraphs,
    safe,
    table,
    write,
)
from formpressure.report.words import say, unit_word
from formpressure.statics.unzip import Unzipping
from formpressure.study import Study
from formpressure.units import at_most, terms, up
from formpressure.verdict import Verdict


def intro(study: Study, language: str = "en") -> Block:
    """Title, the pressure and the two loads of a tie, and that this is no verdict."""
    case = study.case
    title = case.plan.title
    judged = say(
        "ties_report", "judged_breaking" if case.tie.is_breaking else "judged", language,
        judged=judged_at(study, language), factor=f"{case.tie.factor:g}",
        pressure=Amount("pressure", float(study.envelope.p_max), case.rule.system),
        capacity=_load(study, study.line.capacity), breaking=_load(study, study.breaking),
    )  # fmt: skip
    parts = [paragraphs(judged), line(say("ties_report", "no_verdict", language), "stop")]
    return joined(*([line(title, "title")] if title else []), *parts)


def one_tie(judged: Study | Verdict, language: str = "en") -> Block:
    """The most loaded tie worked with its numbers, to be done again by hand."""
    case, system = judged.case, judged.case.rule.system
    tie = by_hand(case.rows, judged.envelope)
    half, hinged = (sum(p.load for p in parts) for parts in (tie.tributary, tie.hinged))
    first = say(
        "ties_report", "worst_tie", language, row=Amount("height", tie.height, system),
        width=Amount("spacing", tie.width, system), surface=Amount("height", tie.surface, system),
    )  # fmt: skip
    blocks = [paragraphs(first)]
    for name, parts, load in (("half", tie.tributary, half), ("hinges", tie.hinged, hinged)):
        steps = [
            _part(part, f"by_{name}_{step}", tie, system, language)
            for part in parts
            for step in ("what", "sum")
        ]
        head = say("ties_report", f"by_{name}", language, load=_load(judged, load))
        blocks += [line(head, "lead"), bullets(steps)]
    larger = say("ties_report", "larger", language, load=_load(judged, max(half, hinged)),
                 capacity=_load(judged, case.tie.usable))  # fmt: skip
    return joined(*blocks, line(larger, "lead"))


def models(judged: Study | Verdict, language: str = "en") -> Block:
    """Every row of ties by every model beside what a tie may carry."""
    case, system = judged.case, judged.case.rule.system
    found = model_loads(case.rows, judged.envelope, case.bare)
    rows: list[tuple[str | Cell, ...]] = []
    for i in reversed(range(len(found.heights))):
        row = write("height", found.heights[i], system)
        if not case.rows.loaded[i]:
            status = badge(Status.DOES_NOT_APPLY, language)
            rows.append((row, status, *["–"] * (len(found.models) + 1)))
            continue
        loads = [carried(x, system, language) for x in found.load[:, i]]
        status = badge(_row_status(judged, found, i), language)
        rows.append((row, status, *loads, number("load", case.tie.usable, system, "down")))
    names = ("row", "status", *map(_key, found.models), "may_carry")
    head = tuple(say("ties_report", n, language) for n in names)
    caption = say("ties_report", "models", language, judged=judged_at(judged, language),
                  unit=_unit("load", system),
                  capacity=Amount("load", case.tie.usable, system))  # fmt: skip
    return joined(
        table(caption, head, rows, wide=True), paragraphs(*_about_models(judged, found, language))
    )


def missing_table(study: Study, language: str = "en") -> Block:
    """Each tie gone in turn, worst first: in the wall that shares it out, and in a line alone."""
    judged, blocks = judged_at(study, language), []
    if study.wall is not None:
        caption = say("ties_report", "missing_wall", language, judged=judged,
                      lines=len(study.wall.lines))  # fmt: skip
        blocks.append(_gone_table(caption, study, True, language))
    caption = say("ties_report", "missing_line", language, judged=judged)
    blocks.append(_gone_table(caption, study, False, language))
    notes = ("missing_read", "missing_ends", "missing_slow")
    return joined(*blocks, paragraphs(*(say("ties_report", n, language) for n in notes)))


def unzip_story(study: Study, language: str = "en") -> Block:
    """What breaks after the worst tie, round by round, at both bounds; holding is never a pass."""
    blocks = []
    for bound, run in zip(BOUNDS, study.unzipping, strict=True):
        lead = say("ties_report", f"unzip_{_key(bound)}", language, row=first_gone(study, run))
        blocks += [line(lead, "lead"), bullets(list(rounds(study, run, language)))]
    return joined(
        *blocks,
        line(say("ties_report", "unzip_rest", language), "stop"),
        paragraphs(say("ties_report", "unzip_line", language)),
    )


def rounds(study: Study, run: Unzipping, language: str = "en") -> Iterator[str]:
    """One sentence for each round of an unzipping."""
    system, breaking = study.case.rule.system, _load(study, study.breaking)
    for i, force in enumerate(run.force):
        if run.line_gone and i == len(run.force) - 1:
            yield say("ties_report", "round_lost", language, round=i + 1)
            return
        breaks = np.flatnonzero(force > study.breaking)
        if breaks.size:
            ties = [
                say("ties_report", "tie_with_load", language, load=_load(study, force[t]),
                    row=Amount("height", float(study.line.heights[t]), system))
                for t in breaks
            ]  # fmt: skip
            yield say("ties_report", "round_breaks", language, round=i + 1, breaking=breaking,
                      ties=", ".join(ties))  # fmt: skip
        else:
            most = int(np.argmax(force))
            yield say(
                "ties_report", "round_rests", language, round=i + 1, breaking=breaking,
                row=Amount("height", float(study.line.heights[most]), system),
                load=_load(study, force[most]), ratio=ratio(force[most] / study.line.capacity),
            )  # fmt: skip


def first_gone(study: Study, run: Unzipping) -> Amount:
    """The height of the tie an unzipping starts with."""
    tie = int(np.argmax(run.gone[0]))
    return Amount("height", float(study.line.heights[tie]), study.case.rule.system)


def carried(bare: float, system: str, language: str = "en") -> str:
    """A load without its unit, or that the ties do not hold where it has no end."""
    if not np.isfinite(bare):
        return say("ties_report", "not_held", language)
    return number("load", float(bare), system, "up")


def model_word(model: str, language: str = "en") -> str:
    """What a model of the library is called in reports."""
    return say("ties_report", _key(model), language)


def ratio(value: float) -> str:
    """A load over what may be carried, rounded up."""
    return f"{up(float(value), RATIO_STEP):,.2f}"


def times(value: float, language: str = "en") -> str:
    """How many times its load a tie carries, rounded up."""
    return say("ties_report", "times_of", language, times=ratio(value))


def _part(part: Part, sentence: str, tie: ByHand, system: str, language: str) -> str:
    """One stretch of form and its load on the tie, as a sum to be followed."""
    facts = {
        "low": Amount("height", part.low, system), "high": Amount("height", part.high, system),
        "height": Amount("height", part.high - part.low, system),
        "width": Amount("spacing", tie.width, system),
        "pressure": Amount("pressure", part.pressure, system),
        "force": Amount("load", part.force, system), "load": Amount("load", part.load, system),
        "middle": Amount("height", part.middle, system),
    }  # fmt: skip
    if part.pivot is not None:
        facts["pivot"] = Amount("height", part.pivot, system)
        facts["arm"] = Amount("height", abs(part.middle - part.pivot), system)
        facts["span"] = Amount("height", abs(tie.height - part.pivot), system)
    return say("ties_report", sentence, language, **facts)


def _row_status(judged: Study | Verdict, found: ModelLoads, i: int) -> Status:
    """The verdict's own answer for one row: both its models, then members that run on."""
    usable = judged.case.tie.usable
    if not at_most(found.load[:2, i], usable).all():
        return Status.NOT_OK
    accepted = judged.case.plan.ties.continuous is not None
    if found.third is None or accepted or at_most(found.third[i], usable):
        return Status.OK
    return Status.NOT_CHECKED


def _about_models(judged: Study | Verdict, found: ModelLoads, language: str) -> Iterator[str]:
    yield say("ties_report", "models_simple", language)
    yield say("ties_report", "models_bounds", language)
    accepted = judged.case.plan.ties.continuous
    if found.third is None:
        yield say("ties_report", "models_none", language)
    elif accepted is None:
        yield say("ties_report", "models_members", language)
    else:
        yield say("ties_report", "models_accepted", language, engineer=accepted.engineer,
                  method=accepted.method, why=accepted.why)  # fmt: skip


def worst_gone(study: Study, in_wall: bool) -> list[Gone]:
    """The worst tie to lose of every row, worst first: in the whole wall, or in a line alone."""
    rows = len(study.line.heights)
    if in_wall and study.wall is not None:
        return each_gone(BOUNDS, study.wall.removals, rows)
    return each_gone(study.line.models, study.line.removals, rows)


def lost_models(gone: Gone, language: str = "en") -> str:
    """The models by which the line is lost."""
    return ", ".join(model_word(m, language) for m in gone.lost)


def _gone_table(caption: str, study: Study, in_wall: bool, language: str) -> Block:
    rows = [_gone_row(g, study, in_wall, language) for g in worst_gone(study, in_wall)]
    keys = ("gone", "line_lost", "of_capacity", "takes_most", "times", "load", "of_breaking",
            "model")  # fmt: skip
    unit = _unit("load", study.case.rule.system)
    head = tuple(say("ties_report", k, language, unit=unit) for k in keys)
    return table(caption, head, rows, wide=True)


def _gone_row(gone: Gone, study: Study, in_wall: bool, language: str) -> tuple[str | Cell, ...]:
    lost: str | Cell = say("ties_report", "lost_no", language)
    if gone.lost_by_all:
        lost = _bad(say("ties_report", "lost_yes", language))
    elif gone.lost:
        models = lost_models(gone, language)
        lost = _bad(say("ties_report", "lost_if", language, models=models))
    if gone.hit is None:
        return (_place(study, gone.tie, in_wall, language), lost, *["–"] * 6)
    of_capacity, of_breaking = (
        ratio(share) if at_most(share, 1.0) else _bad(ratio(share))
        for share in (gone.load / study.line.capacity, gone.load / study.breaking)
    )
    return (
        _place(study, gone.tie, in_wall, language), lost, of_capacity,
        _place(study, gone.hit, in_wall, language),
        "–" if isnan(gone.times) else times(gone.times, language),
        number("load", gone.load, study.case.rule.system, "up"), of_breaking,
        model_word(gone.model, language),
    )  # fmt: skip


def _place(study: Study, tie: int, in_wall: bool, language: str) -> str:
    """The row of a tie, and its line where the whole wall is looked at."""
    tie_line, row = divmod(tie, len(study.line.heights))
    height = write("height", study.line.heights[row], study.case.rule.system)
    if not in_wall:
        return height
    return say("ties_report", "at_line", language, row=height, line=tie_line + 1)


def _bad(text: str) -> Cell:
    """What is over a limit, told by mark and weight."""
    return Cell(f"✗ {text}", f"<b>✗&nbsp;{safe(text)}</b>")


def _load(judged: Study | Verdict, bare: float) -> Amount:
    return Amount("load", float(bare), judged.case.rule.system)


def _unit(term: str, system: str) -> str:
    unit = terms()[term].unit[system]
    return unit_word(unit)


def _key(model: str) -> str:
    return model.replace(" ", "_")
