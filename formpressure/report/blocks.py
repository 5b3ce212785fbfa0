"""One plan step by step: what a notebook shows of a verdict and of its rate table.

Each function formats one part and computes nothing. Text of the plan is shown as it stands there,
whatever marks are in it, and never enters Markdown.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from math import isnan
from pathlib import Path
from typing import Any

from formpressure.capacity.ratings import FACTOR, Rating
from formpressure.envelope import STILL_LIQUID, Envelope
from formpressure.errors import Refusal
from formpressure.job.layout import JOINTS
from formpressure.records import Amount, Check, Clause, Label, Status, Step
from formpressure.report.blocks_compare import others_beside
from formpressure.report.content import check_lines, content
from formpressure.report.figures import judged_at
from formpressure.report.parts import (
    Block,
    Cell,
    badge,
    bullets,
    joined,
    line,
    paragraphs,
    rate_word,
    safe,
    table,
    write,
)
from formpressure.report.words import Shown, note, say, unit_word
from formpressure.rise import HOUR
from formpressure.table import Rates
from formpressure.units import at_most, terms, up
from formpressure.verdict import Verdict
from formpressure.wall_path import CORNERS

RATIO_STEP = 0.01


def find(plan: str) -> str:
    """The path of a plan named from here or from a folder above, as a notebook is opened in either.

    Raises Refusal where there is no such file.
    """
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / plan).is_file():
            return str(folder / plan)
    cure = f"Name it from {here}, or from a folder above"
    raise Refusal("no such plan file", cure, file=plan)


def summary(verdict: Verdict, language: str = "en") -> Block:
    """Title, verdict with what fails or is open, and the two questions of the site."""
    c = content(verdict, language)
    lines = list(c.others)
    for lead, names in (("failed_lead", c.failed), ("open_lead", c.open)):
        if names:
            lines.append(f"{say('card', lead, language)} {', '.join(names)}.")
    headline, beside, _ = c.pace
    fill = f"{say('card', 'fill', language)} {c.fill[0]}. {c.fill[1]}"
    pace = f"{say('card', 'how_fast', language)} {headline} {beside}".rstrip()
    shape = verdict.word.split("-")[0].split()[0].lower()
    why = paragraphs(*lines)
    html = f'<div class="verdict {shape}"><strong>{safe(c.word)}</strong>{why.html}</div>'
    word = Block(f"{say('word', 'verdict', language)}: {c.word}\n{why.plain}", html)
    return joined(line(c.title, "title"), word, paragraphs(fill, pace))


def inputs(verdict: Verdict, language: str = "en") -> Block:
    """Every value of the plan, everything that was assumed, and what we hold from memory."""
    assumed = say("word", "assumed", language)
    measured = {
        key: say("worked", "measured", language, who=entry.who, date=entry.date)
        for entry in verdict.plan.measured
        for key in entry.keys
    }
    given = say("worked", "given", language)
    rows: list[tuple[str | Cell, ...]] = [
        (_key(name), measured.get(name, given), value)
        for name, value in plan_values(verdict, language)
    ]
    rows += [(_key(name), _strong(assumed), blank) for name, blank in verdict.plan.assumed]
    if any(c.label is Label.MEMORY for c in relied_on(verdict)):
        memory = _strong(say("worked", "from_memory", language))
        rows.append(
            (say("worked", "constants", language), memory, content(verdict, language).cautions[0])
        )
    head = tuple(say("worked", h, language) for h in ("input", "how_known", "value"))
    return table(say("worked", "inputs", language), head, rows)


def document(verdict: Verdict, language: str = "en") -> Block:
    """The document, who chose it, the clause that governed, and how far each clause is known."""
    case, plan = verdict.case, verdict.plan
    d = case.rule.document
    lines = [
        say("worked", "document", language, document=str(d), title=d.title, year=d.year,
            system=case.rule.system),
        say("worked", "chosen_by", language,
            who=plan.document.chosen_by or say("worked", "nobody", language)),
        *([say("worked", f"element_{case.given['element']}", language)]
          if "element" in case.given else []),
        content(verdict, language).cautions[0],
    ]  # fmt: skip
    judged = verdict["pressure document"]
    if judged.note != "document_in_range":
        lines.append(note(judged, language))
    lines += others_beside(verdict, language)
    head = tuple(say("worked", h, language) for h in ("clause", "how_known", "says"))
    rows: list[tuple[str | Cell, ...]] = [
        (f"{c.document}, {c.place}", say("label", c.label, language), c.says)
        for c in relied_on(verdict)
    ]
    return joined(paragraphs(*lines), table(say("worked", "clauses", language), head, rows))


def equations(verdict: Verdict, language: str = "en") -> Block:
    """The pressure worked out with its numbers, to be done again by hand."""
    plain, markdown = [], []
    if verdict.case.rule.symbols:
        plain.append(say("symbols", verdict.case.rule.symbols, language))
        markdown.append(plain[-1])
    for lead, lines, result in _calculations(verdict, language):
        plain.append(lead)
        markdown.append(lead)
        if not lines:
            plain.append(say("worked", "no_steps", language))
            markdown.append(plain[-1])
        for step in lines:
            name = say("step", step.name, language)
            source = f"{step.clause.document}, {step.clause.place}"
            source += f", {say('short_label', step.clause.label, language)}"
            plain.append(f"{name}. {source}\n  {step.plain}")
            markdown.append(
                f"**{name}.** <small>{source}</small>\n\n$$\n% {step.plain}\n{step.tex}\n$$"
            )
        plain.append(result)
        markdown.append(f"**{result}**")
    if verdict.envelope.other is not None:
        peak = Amount("pressure", float(verdict.envelope.by_document), verdict.case.rule.system)
        plain.append(say("worked", "higher", language, pressure=peak))
        markdown.append(f"**{plain[-1]}**")
    if verdict.envelope.bound_governs:
        plain.append(_own_bound(verdict, language))
        markdown.append(f"**{plain[-1]}**")
    return Block("\n".join(plain), markdown="\n\n".join(markdown) + "\n")


def tie_table(verdict: Verdict, language: str = "en") -> Block:
    """Every row of ties: by both statical models, the larger against what a tie may carry."""
    case, ties, system = verdict.case, verdict.ties, verdict.case.rule.system
    unit = terms()["load"].unit[system]
    capacity = Amount("load", case.tie.usable, system)
    rows: list[tuple[str | Cell, ...]] = []
    for i in reversed(range(len(ties.heights))):
        row = write("height", ties.heights[i], system)
        if not case.rows.loaded[i]:
            rows.append((row, badge(Status.DOES_NOT_APPLY, language), *["–"] * 5))
            continue
        passes = at_most(ties.load[i], case.tie.usable)
        load, tributary, hinged = (
            _bare(Amount("load", float(x[i]), system), "up")
            for x in (ties.load, ties.tributary, ties.hinged)
        )
        ratio = f"{up(float(ties.load[i]) / case.tie.usable, RATIO_STEP):.2f}"
        status = badge(Status.OK if passes else Status.NOT_OK, language)
        rows.append((row, status, load, _bare(capacity, "down"), ratio, tributary, hinged))
    names = ("row", "status", "load", "may_carry", "ratio", "tributary", "hinged")
    head = tuple(say("worked", n, language, unit=unit) for n in names)
    caption = say("worked", "ties", language, judged=judged_at(verdict, language),
                  capacity=capacity, width=Amount("spacing", case.rows.width, system))  # fmt: skip
    return joined(
        table(caption, head, rows, wide=True),
        paragraphs(
            _rating("ties", case.tie, "load", system, language), say("worked", "models", language)
        ),
    )


def allowed(verdict: Verdict, language: str = "en") -> Block:
    """What the form may carry, the rate that follows, and that rate in the words of the site."""
    case, system = verdict.case, verdict.case.rule.system
    headline, beside, lines = content(verdict, language).pace
    largest = verdict.limit.pressure
    if verdict.doubtful:
        first = say("rates", "doubt", language)
    elif at_most(verdict.full.p_max, largest):
        first = say("worked", "no_limit", language)
    else:
        first = say("worked", "limit", language, name=say("check", verdict.limit.name, language),
                    pressure=Amount("pressure", largest, system))  # fmt: skip
    second = []
    if verdict.allowed.kind == "at most":
        second = [say("worked", "allowed", language, clause=str(verdict.allowed.why),
                      rate=Amount("rate", float(verdict.allowed.rate), system))]  # fmt: skip
    elif verdict.allowed.kind == "none":
        second = [say("worked", "allowed_none", language, clause=str(verdict.allowed.why))]
    if case.panel is not None:
        second.append(_rating("panels", case.panel, "pressure", system, language))
    pace = f"{headline} {beside}".rstrip()
    return joined(line(pace, "big"), paragraphs(*lines, first, *second))


def rate_table(rates: Rates, language: str = "en") -> Block:
    """Largest rate and minutes for each layer, by temperature of the concrete and mix."""
    case, system = rates.case, rates.case.rule.system
    planned = case.bare.concrete.temperature
    row = -1 if planned is None else int(at_most(rates.temperatures, planned).sum()) - 1
    mark = say("worked", "this_plan", language)
    rows: list[tuple[str | Cell, ...]] = []
    for i, temperature in enumerate(rates.temperatures):
        text = write("temperature", temperature, system)
        here = Cell(f"{text} {mark}", f'{safe(text)} <b class="here">{safe(mark)}</b>')
        cells: list[str | Cell] = [
            _rate_cell(rate, wait, system, language)
            for rate, wait in zip(rates.shown[i], rates.minutes[i], strict=True)
        ]
        if rates.gaps is not None:
            gap = rates.gaps[i, 0]
            times = "" if isnan(gap) else say("worked", "minutes", language, minutes=int(gap))
            cells.append(times or "–")
        rows.append((here if i == row else text, *cells))
    mixes = [
        say("mix", mix, language) + ("" if cc is None else f" ({case.rule.mix_symbol} {cc:g})")
        for mix, cc in zip(rates.mixes, rates.chemistry, strict=True)
    ]
    layer = write("height", rates.layer, system)
    caption = say("rates", "lead", language, layer=layer).rstrip(":") + "."
    below = [say("rates", "between", language), say("rates", "bounds", language)]
    if rates.gaps is not None:
        mixes.append(say("rates", "gap", language))
        below.append(say("rates", "gap_lead", language))
    head = (say("worked", "concrete", language), *mixes)
    return joined(table(caption, head, rows), paragraphs(*below))


def checks(verdict: Verdict, language: str = "en") -> Block:
    """The closed list: which check, its status, then why, by what clause and the key to fill."""
    answers = zip(verdict.checks, check_lines(verdict, language), strict=True)
    rows: list[tuple[str | Cell, ...]] = [
        (name, badge(check.status, language), _why(check, why))
        for check, (name, _, why, _) in answers
    ]
    head = tuple(say("worked", h, language) for h in ("check", "status", "why"))
    return table(say("worked", "checks", language), head, rows)


def cautions(verdict: Verdict, language: str = "en") -> Block:
    """When to stop, what the calculation does not cover, and which plan it is of."""
    c = content(verdict, language)
    return joined(
        line(say("word", "stop", language), "stop"),
        bullets(c.stop),
        paragraphs(say("card", "stop_rework", language), *c.danger),
        line(say("card", "cautions", language), "lead"),
        bullets(c.cautions),
        paragraphs(c.footer),
    )


def _calculations(verdict: Verdict, language: str) -> Iterator[tuple[str, list[Step], str]]:
    """Lead, steps and result of each envelope to show: what is judged, and what may be allowed."""
    case, envelope = verdict.case, verdict.envelope
    if envelope.given["rate"] is None:  # filled straight up: what is known of the mix is left out
        lines = [s for s in _steps(verdict.full) if s.name != "unknown"]
        yield say("worked", "at_full", language), lines, _result(verdict.full, language)
        if verdict.pace is not None:
            best = case.envelope(verdict.pace.rate)
            rate = Amount("rate", verdict.pace.rate, case.rule.system)
            yield (
                say("worked", "at_allowed", language, rate=rate),
                _steps(best),
                _result(best, language),
            )
        return
    rate = Amount("rate", case.rate or 0.0, case.rule.system)
    yield (
        say("worked", "at_rate", language, rate=rate),
        _steps(envelope),
        _result(envelope, language),
    )
    if envelope.other is not None:
        other = envelope.other
        yield say("worked", "other_set", language), _steps(other), _result(other, language)


def _steps(envelope: Envelope) -> list[Step]:
    return list(envelope.rule.steps(envelope))


def _result(envelope: Envelope, language: str) -> str:
    p = Amount("pressure", float(envelope.own_p_max), envelope.system)
    return say("worked", "result", language, pressure=p)


def _own_bound(verdict: Verdict, language: str) -> str:
    """The bound that is in no document, with its numbers."""
    case, system = verdict.case, verdict.case.rule.system
    bound = float(verdict.envelope.own_bound or 0.0)
    weight = case.given["unit_weight"]
    return say(
        "worked", "own_bound", language, rise=Amount("height", bound / weight, system),
        minutes=Amount("duration", case.steady_rise(HOUR), system),
        unit_weight=write("unit_weight", weight, system),
        pressure=Amount("pressure", bound, system),
    )  # fmt: skip


def relied_on(verdict: Verdict) -> list[Clause]:
    """The clauses behind this verdict, each once: of the steps shown, the ratings, the checks."""
    found = [s.clause for _, lines, _ in _calculations(verdict, "en") for s in lines]
    found += [c.clause for c in verdict.checks if c.clause is not None]
    found += [STILL_LIQUID] if verdict.envelope.bound_governs else []
    found += [] if verdict.case.layout is None else [CORNERS, JOINTS]
    return list(dict.fromkeys(found))


def plan_values(verdict: Verdict, language: str) -> Iterator[tuple[str, str]]:
    """Dotted key and value of everything the plan states, in the units of the rule."""
    system = verdict.case.rule.system

    def walk(record: Any, prefix: str) -> Iterator[tuple[str, str]]:
        for field in dataclasses.fields(record):
            value, reads = getattr(record, field.name), field.metadata.get("reads")
            name = prefix + field.name
            if reads is None or value is None or name in ("by_others", "measured"):
                continue
            if reads == "tables":
                for number, part in enumerate(value, 1):
                    yield from walk(part, f"{name} {number}.")
            elif dataclasses.is_dataclass(value):
                yield from walk(value, f"{name}.")
            else:
                yield name, _value(reads, value, system, language)

    return walk(verdict.case.bare, "")


def _value(reads: str, value: Any, system: str, language: str) -> str:
    if isinstance(value, bool):
        return say("worked", "yes" if value else "no", language)
    if isinstance(value, tuple):
        return ", ".join(_value(reads.removeprefix("list "), v, system, language) for v in value)
    return write(reads, value, system) if reads in terms() else str(value)


def _key(dotted: str) -> str:
    return dotted.replace(".", " ").replace("_", " ")


def _strong(text: str) -> Cell:
    return Cell(text, f"<b>{safe(text)}</b>")


def _rate_cell(rate: float, wait: float, system: str, language: str) -> Cell:
    word = rate_word(rate, system, language)
    if isnan(wait):
        return Cell(word, safe(word))
    times = say("worked", "minutes", language, minutes=f"{wait:.0f}")
    return Cell(f"{word}, {times}", f'{safe(word)} <span class="sub">{safe(times)}</span>')


def _why(check: Check, why: str) -> Cell:
    if check.ratio is not None:
        why += f" = {up(check.ratio, RATIO_STEP):.2f}"
    plain, html = why, safe(why)
    if check.clause is not None:
        plain += f". {check.clause}"
        html += f"<br><small>{safe(str(check.clause))}</small>"
    if check.key:
        plain += f" [{check.key}]"
        html += f" <code>{safe(check.key)}</code>"
    return Cell(plain, html)


def _bare(amount: Amount, how: str) -> str:
    """A rounded number without its unit, which the head of the column tells."""
    unit = terms()[amount.term].unit[amount.system]
    return format(Shown(amount), how).removesuffix(f" {unit_word(unit)}")


def _rating(check: str, rating: Rating, term: str, system: str, language: str) -> str:
    """How a stated rating became what may be used, with its clause."""
    basis = "breaking" if rating.is_breaking else "design" if rating.is_design else "rating"
    ours = rating.stated / rating.usable if rating.is_design else FACTOR
    return say(
        "worked", basis, language, name=say("check", check, language), basis=rating.basis,
        stated=Amount(term, rating.stated, system), usable=Amount(term, rating.usable, system),
        factor=f"{rating.factor:g}",
        ours=f"{ours:g}", clause=str(rating.clause),
    )  # fmt: skip
