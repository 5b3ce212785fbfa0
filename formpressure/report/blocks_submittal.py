"""What a submittal shows besides the worked calculation: every member, what is open, and
what goes on the drawing. Each function formats one part and computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import PurePath
from typing import Any

from formpressure.checks import bracing, members
from formpressure.errors import Refusal
from formpressure.marks import rates_kept
from formpressure.records import Amount, Clause, Status
from formpressure.report import blocks_ties, figures_ties
from formpressure.report.blocks import RATIO_STEP, plan_values
from formpressure.report.content import Sentences
from formpressure.report.parts import (
    Block,
    Cell,
    badge,
    bullets,
    joined,
    paragraphs,
    rate_word,
    safe,
    table,
    write,
)
from formpressure.report.words import against, note, say
from formpressure.study import missing_tie_study
from formpressure.table import Rates
from formpressure.units import at_most, up
from formpressure.verdict import Verdict

NEAR = 2  # rows of the rate table on each side of the planned temperature, for the drawing
BLANK_LINES = ("by", "licence", "date", "result", "remarks")


def not_checked(verdict: Verdict, language: str = "en") -> Block:
    """First what nobody looked at: checks that are open, checks by others, keys without a sheet."""
    lines = []
    for check in verdict.checks:
        name = say("check", check.name, language)
        if check.status is Status.NOT_CHECKED:
            key = f" [{check.key}]" if check.key else ""
            lines.append(f"{name}: {note(check, language)}{key}")
        elif check.status is Status.BY_OTHERS:
            lines.append(
                say("submittal", "by_others", language, name=name, why=note(check, language))
            )
    if not lines:
        lines = [say("submittal", "all_made", language)]
    never = (say("submittal", k, language) for k in ("never_site", "never_fall", "never_lean"))
    return bullets([*lines, *never])


def member_table(verdict: Verdict, language: str = "en") -> Block:
    """Every member and every part of the braces by its ratio, with its clause."""
    case, rows = verdict.case, []
    for part in members.parts(case, verdict.envelope):
        rows.append(_member(part.name, part.demand, part.capacity, part.clause, language))
    for other in bracing.path(case):
        demand, capacity = (
            Amount(other.term, x, case.rule.system) for x in (other.demand, other.capacity)
        )
        named = say("note", other.note, language, **other.facts)
        name = say("submittal", "under", language, name=named, source=other.facts["source"])
        rows.append(_member(name, demand, capacity, other.facts["clause"], language))
    if not rows:
        return paragraphs(say("submittal", "no_members", language))
    names = ("member", "status", "demand", "may_carry", "ratio")
    head = tuple(say("submittal", n, language) for n in names)
    caption = say("submittal", "members", language)
    return joined(
        table(caption, head, rows),
        paragraphs(say("submittal", "members_read", language)),
    )


def _member(
    name: str, demand: Amount, capacity: Amount, clause: Clause, language: str
) -> tuple[str | Cell, ...]:
    passes = at_most(demand.bare, capacity.bare)
    ratio = "–" if capacity.bare == 0.0 else f"{up(demand.bare / capacity.bare, RATIO_STEP):.2f}"
    status = badge(Status.OK if passes else Status.NOT_OK, language)
    source = f"{clause.document}, {clause.place}, {say('short_label', clause.label, language)}"
    first = Cell(f"{name}. {source}", f"{safe(name)}<br><small>{safe(source)}</small>")
    return first, status, *against(demand, capacity, bool(passes)), ratio


def stages(verdict: Verdict, language: str = "en") -> Block:
    """How much of what the braces may carry each stage of the work asks for."""
    check = verdict["stages"]
    ratios: dict[str, float] = check.facts.get("ratios", {})
    head = tuple(say("submittal", h, language) for h in ("stage", "status", "ratio"))
    rows: list[tuple[str | Cell, ...]] = [
        (say("stage", stage.replace(" ", "_"), language),
         badge(Status.OK if at_most(ratio, 1.0) else Status.NOT_OK, language),
         f"{up(ratio, RATIO_STEP):.2f}")
        for stage, ratio in ratios.items()
    ]  # fmt: skip
    said = paragraphs(f"{say('check', 'stages', language)}: {note(check, language)}")
    if not rows:
        return said
    return joined(table(say("submittal", "stages", language), head, rows), said)


def drawing_note(verdict: Verdict, table_of_rates: Rates, language: str = "en") -> Block:
    """The limits as a block of notes for the form drawing, with a few temperatures and rates."""
    case, bare, system = verdict.case, verdict.case.bare, verdict.case.rule.system
    concrete, tie = bare.concrete, case.tie

    def blank(term: str, value: Any) -> str:
        return say("card", "not_given", language) if value is None else write(term, value, system)

    mix = ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in _mix(verdict, language)) or blank(
        "slump", None
    )
    rate = 0.0 if verdict.pace is None else verdict.pace.rate
    facts = {
        "rate": Amount("rate", rate, system), "mix": mix,
        "temperature": blank("temperature", concrete.temperature),
        "slump": blank("slump", concrete.slump),
        "consistency": case.given.get("consistency") or blank("slump", None),
        "setting": blank("setting_time", concrete.setting and concrete.setting.time),
        "weight": write("unit_weight", case.given["unit_weight"], system),
        "vibration": concrete.vibration.kind or say("card", "not_given", language),
        "depth": blank("vibration_depth", concrete.vibration.depth),
        "height": write("height", case.rows.top - case.rows.start, system),
        "load": Amount("load", tie.usable, system), "basis": tie.basis,
        "stated": Amount("load", tie.stated, system),
        "width": write("spacing", case.rows.width, system),
        "rows": ", ".join(write("height", y, system) for y in case.rows.heights),
        "document": str(case.rule.document),
    }  # fmt: skip
    limit = {"any": "rate_any", "none": "rate_none"}.get(verdict.allowed.kind, "rate")
    limit = "rate_doubt" if verdict.doubtful else limit
    names = (
        limit if verdict.pace is not None or limit != "rate" else "rate_none",
        "concrete_class" if "consistency" in case.rule.terms else "concrete",
        "vibration",
        "height",
        "tie",
        "rows",
        "document",
    )
    lines = [say("drawing_note", n, language, **facts) for n in names]
    lines.insert(-1, Sentences(verdict, language).clips())
    rows = _near(verdict, table_of_rates, language)
    head = tuple(say("worked", h, language) for h in ("concrete", "largest_rate"))
    return joined(
        bullets(lines), table(say("drawing_note", "caption", language), head, rows),
        paragraphs(say("rates", "between", language)),
    )  # fmt: skip


def _mix(verdict: Verdict, language: str) -> Iterator[tuple[str, str]]:
    for key, value in plan_values(verdict, language):
        if key.startswith("concrete.mix."):
            yield key.removeprefix("concrete.mix."), value


def _near(verdict: Verdict, rates: Rates, language: str) -> list[tuple[str | Cell, ...]]:
    """The rows of the rate table about the planned temperature, the mix as planned."""
    case, system = rates.case, rates.case.rule.system
    kept = rates_kept(verdict)
    if kept is not None and verdict.pace is not None:  # no row over the limit stated above it
        temperatures, allowed, _ = kept
        most = verdict.pace.rate
        return [
            (write("temperature", t, system), rate_word(min(rate, most), system, language))
            for t, rate in zip(temperatures, allowed, strict=True)
        ]
    planned, count = case.bare.concrete.temperature, len(rates.temperatures)
    at = count // 2 if planned is None else int(at_most(rates.temperatures, planned).sum()) - 1
    first = min(max(at - NEAR, 0), count - 2 * NEAR - 1)
    open_word = say("word", "NOT CHECKED", language) if verdict.doubtful else ""
    return [
        (write("temperature", rates.temperatures[i], system),
         open_word or rate_word(rates.shown[i, 0], system, language))
        for i in range(first, first + 2 * NEAR + 1)
    ]  # fmt: skip


def missing(verdict: Verdict, language: str = "en") -> Block:
    """Every tie gone in turn, as a table and drawn; with one row there is no other tie."""
    try:
        study = missing_tie_study(verdict.plan)
    except Refusal as refusal:
        return paragraphs(str(refusal.at(file=PurePath(verdict.plan.file).name)))
    return joined(blocks_ties.missing_table(study, language), figures_ties.missing(study, language))


def sheets(verdict: Verdict, language: str = "en") -> Block:
    """The data sheets that stand behind ratings, and ratings that name none."""
    stated = dict(plan_values(verdict, language))
    lines = []
    for key in dict.fromkeys(k.rpartition(".")[0] for k in stated if k.endswith(".basis")):
        sheet = stated.get(f"{key}.data_sheet") or say("submittal", "no_sheet", language)
        lines.append(f"{key.replace('.', ' ').replace('_', ' ')}: {sheet}")
    return bullets(lines)


def review(language: str = "en") -> Block:
    """A block for the reviewer's own hand; left blank, it claims nothing."""
    rows: list[tuple[str | Cell, ...]] = [
        (say("review", name, language), Cell("", '<span class="fill"></span>'))
        for name in BLANK_LINES
    ]
    head = tuple(say("review", h, language) for h in ("item", "by_hand"))
    return joined(
        paragraphs(say("review", "lead", language)),
        table(say("review", "caption", language), head, rows),
    )


def own_page(block: Block) -> Block:
    """The same on a page of its own where it is printed."""
    return replace(block, html=f'<section class="own">{block.html}</section>')


def origin(verdict: Verdict, language: str = "en") -> Block:
    """Which plan this is of, and that it is no approval."""
    plan = verdict.plan
    file = PurePath(plan.file).name  # without the folders of this machine
    made = say("submittal", "of", language, file=file, checksum=plan.checksum)
    return paragraphs(made, say("submittal", "claims", language))
