"""The lesson part by part, for a notebook: what to say, a picture, its numbers, questions.

Each part formats what `teaching` worked out and computes nothing. All its sentences stand in the
table of words, so one notebook serves every language; HTML only, so a notebook shows it as a page.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

import numpy as np

from formpressure.allowed import shown
from formpressure.demand.frames import BOUNDS
from formpressure.errors import Refusal
from formpressure.plan import Plan
from formpressure.plan_file import what_if
from formpressure.records import Amount
from formpressure.report import figures_lesson as figures
from formpressure.report.blocks_ties import ratio
from formpressure.report.content import content
from formpressure.report.figures_lesson import Still
from formpressure.report.parts import (
    Block,
    bullets,
    figure,
    joined,
    line,
    paragraphs,
    safe,
    table,
)
from formpressure.report.words import Shown, say
from formpressure.teaching import BAG, BAG_CLAUSE, PLATE, Lesson, prepare
from formpressure.units import up
from formpressure.verdict import Verdict, check

VOLUME_STEP = {"US": 0.5, "SI": 0.05}  # cubic feet, m3
TAILGATE = (2, 2, 2, 3, 1)  # minutes of each step: ten
QUESTIONS = (
    "thick", "half", "fast", "cold", "most", "straight", "next", "pass", "corner", "bulge",
)  # fmt: skip


@dataclass(frozen=True)
class Lessons:
    """The lesson on one plan in one language; `part(name)` shows one of PARTS."""

    lesson: Lesson
    language: str = "en"

    def part(self, name: str) -> Block:
        """One part of the lesson. Raises KeyError for a name that is not in PARTS."""
        return PARTS[name](self)

    def changed(self, key: str, value: Any) -> Block:
        """The plan beside the same plan with one key changed, or why that key alone cannot be."""
        plan = self.lesson.verdict.plan
        try:
            new = check(what_if(plan, key, value))
        except Refusal as refusal:
            refusal.file = ""  # the plan on the screen; its folder is nobody's concern
            title = self.say("changed_title", key=key, value=value)
            return joined(line(title, "lead"), paragraphs(str(refusal)))
        return _changed(self, key, value, new)

    def say(self, name: str, /, **more: Any) -> str:
        """A sentence of the lesson with the numbers of this plan."""
        return say("lesson", name, self.language, **{**self.facts, **more})

    def amount(self, term: str, bare: Any) -> Amount:
        return Amount(term, float(bare), self.lesson.system)

    def write(self, term: str, bare: Any, how: str = "") -> str:
        return figures.told(self.lesson, term, bare, self.language, how)

    def heaviness(self, load: float) -> dict[str, Any]:
        """A load as concrete and as bags, rounded up."""
        system = self.lesson.system
        volume = f"{up(self.lesson.concrete(load), VOLUME_STEP[system]):,.10g}"
        return {
            "volume": say("lesson", f"volume_{system}", self.language, volume=volume),
            "bags": f"{up(self.lesson.bags(load), 1.0):,.0f}",
        }

    @cached_property
    def facts(self) -> dict[str, Any]:
        """Every number that more than one sentence may name."""
        found = self.lesson
        case, system, a = found.verdict.case, found.system, self.amount
        row = found.verdict.ties.worst
        plate = float(found.on_plate(found.height))
        low, high = found.hand.tributary[0].low, found.hand.tributary[-1].high
        facts = {
            "document": str(case.rule.document),
            "unit": figures.unit(found, "pressure", self.language),
            "height": self.write("height", found.height), "rate": self.write("rate", found.rate),
            "step": a("pressure", found.wet.pressure(found.depths[0])),
            "bottom": a("pressure", found.wet.p_max),
            "half_push": a("pressure", found.wet.pressure(found.height / 2.0)),
            "plate": a("size", PLATE[system]),
            "on_plate": a("load", plate), "plate_bags": self.heaviness(plate)["bags"],
            "bag": a("mass", BAG[system]), "capacity": a("load", case.tie.usable),
            "row": self.write("height", found.hand.height),
            "piece": self.write("height", high - low),
            "width": self.write("spacing", case.rows.width), "load": a("load", found.load),
            "half": a("load", found.verdict.ties.tributary[row]),
            "hinged": a("load", found.verdict.ties.hinged[row]), **self.heaviness(found.load),
            "degrees": figures.colder_by(found, self.language),
        }  # fmt: skip
        facts |= {t.name: a("load", t.load) for t in found.trials}
        if found.stiff is not None:
            facts["peak"] = a("pressure", found.stiff.p_max)
            facts["depth"] = a("height", min(found.stiff.liquid_depth, found.height))
        return facts


def lesson_of(plan: Plan, language: str = "en") -> Lessons:
    """The lesson on a plan. Raises Refusal as `check` does."""
    return Lessons(prepare(plan), language)


def _title(x: Lessons) -> Block:
    verdict = x.lesson.verdict
    c = content(verdict, x.language)
    rate = verdict.envelope.given["rate"]
    drawn = "drawn_rate" if rate is not None else "drawn_full"
    if rate is None and not verdict.straight_up:
        drawn = "drawn_unknown"
    if verdict.doubtful:
        drawn = "drawn_doubt"
    judged = "" if rate is None else x.write("rate", rate)
    title = x.say("title")
    return joined(
        Block(title, f"<h1>{safe(title)}</h1>"),
        paragraphs(x.say("of", plan=c.title), x.say(drawn, judged=judged)),
        line(x.say("no_verdict", word=c.word), "stop"),
        *([] if x.language == "en" else [line(x.say("unread"), "stop")]),
    )


def _head(x: Lessons) -> Block:
    texts = (x.say("head_1"), x.say(f"head_2_{x.lesson.system}"), x.say("head_3"))
    picture = figure(figures.head(x.lesson, x.language), x.say("head_alt"), x.say("head_caption"))
    return joined(_heading(x, "head"), paragraphs(*texts), picture)


def _stiff(x: Lessons) -> Block:
    found, texts = x.lesson, [x.say("stiff_1")]
    if found.verdict.plan.document.confirmed is None:
        texts.append(x.say("stiff_memory"))
    if found.stiff is None:
        return joined(_heading(x, "stiff"), paragraphs(*texts, x.say("stiff_outside")))
    planned = found.verdict.case.rate is not None or found.verdict.pace is not None
    texts += [] if planned else [x.say("stiff_example")]
    stiffens = found.stiff.p_max < found.wet.p_max
    texts.append(x.say("stiff_2" if stiffens else "stiff_none"))
    texts += [x.say("stiff_full")] if found.verdict.straight_up else []
    texts.append(x.say("stiff_3"))
    picture = figure(figures.stiff(found, x.language), x.say("stiff_alt"), x.say("stiff_caption"))
    return joined(_heading(x, "stiff"), paragraphs(*texts), picture)


def _rate(x: Lessons) -> Block:
    texts = [x.say("rate_1"), x.say("rate_2"), x.say("rate_3")]
    texts += [x.say("rate_least")] if x.lesson.at_least else []
    if not x.lesson.trials:
        return joined(_heading(x, "rate"), paragraphs(texts[0], x.say("stiff_outside"), texts[2]))
    story = " ".join(
        f"{x.say(f'trial_{t.name}')}: {x.write('load', t.load, 'up')}."
        for t in x.lesson.trials
    )  # fmt: skip
    picture = figure(figures.trials(x.lesson, x.language), x.say("rate_alt", story=story),
                     x.say("rate_caption"))  # fmt: skip
    return joined(_heading(x, "rate"), paragraphs(*texts), picture)


def _tie(x: Lessons) -> Block:
    texts = [x.say(f"tie_{i}") for i in range(1, 5)]
    picture = figure(figures.piece(x.lesson, x.language), x.say("tie_alt"), x.say("tie_caption"))
    return joined(_heading(x, "tie"), paragraphs(*texts), picture)


def _gone(x: Lessons) -> Block:
    head, texts = _heading(x, "gone"), [x.say("gone_1")]
    if x.lesson.study is None:
        return joined(head, paragraphs(*texts, x.say("gone_single")))
    last = [x.say("gone_4"), x.say("gone_5")]
    if x.lesson.forgotten is None:
        return joined(head, paragraphs(*texts, x.say("gone_none"), *last))
    found, heights = x.lesson.forgotten, x.lesson.study.line.heights
    hit, gone = found.worst, x.write("height", heights[found.tie])
    rigid, soft = (
        x.say("line_lost") if most is None else x.write("load", most, "up") for most in found.bounds
    )
    texts.append(x.say(
        "gone_2", gone=gone, hit=x.write("height", heights[hit]),
        before=x.amount("load", found.before[hit]), after=x.amount("load", found.after[hit]),
        times=f"{ratio(found.times)}×",
    ))  # fmt: skip
    texts.append(x.say("gone_3", rigid=rigid, soft=soft))
    story = " ".join(
        x.say("grows", row=x.write("height", heights[i]), after=x.amount("load", found.after[i]),
              before=x.amount("load", found.before[i]))
        for i in found.grown
    ).rstrip(";") + "."  # fmt: skip
    alt, caption = x.say("gone_alt", gone=gone, story=story), x.say("gone_caption", gone=gone)
    picture = figure(figures.forgotten(x.lesson, x.language), alt, caption)
    return joined(head, paragraphs(*texts, *last), picture)


def _unzip(x: Lessons) -> Block:
    """Stills, one after the other; the page's script shows them one at a time with a slider."""
    study = x.lesson.study
    if study is None:
        return joined(_heading(x, "unzip"), paragraphs(x.say("gone_single")))
    run, other = study.unzipping[study.furthest], study.unzipping[1 - study.furthest]
    model, against = (
        x.say(f"unzip_{BOUNDS[i].replace(' ', '_')}") for i in (study.furthest, 1 - study.furthest)
    )
    breaking = x.amount("load", study.breaking)
    first = x.write("height", study.line.heights[int(np.argmax(run.gone[0]))])
    lead = x.say("unzip_1", first=first, model=model, breaking=breaking)
    pictures = [
        (told := _told(x, still), figure(svg, x.say("still_alt", story=told), told))
        for still, svg in figures.still_pictures(x.lesson, x.language)
    ]
    lines = []
    if len(pictures) < len(run.force) + 1:
        lines.append(x.say("stills_cut", shown=len(pictures), count=len(run.force) + 1))
    name = "unzip_other_lost" if other.line_gone else "unzip_other_rests"
    most = x.amount("load", np.nanmax([*other.force[-1], 0.0]))
    lines.append(x.say(name, model=against, rounds=len(other.force), load=most))
    lines += [x.say("unzip_2"), x.say("unzip_3")]
    box = f'<div class="stills" data-label="{escape(x.say("slider"))}" '
    box += f'data-last="{len(pictures) - 1}">'
    shown_one_by_one = "\n".join(block.html for _, block in pictures)
    stills = Block("\n\n".join(told for told, _ in pictures), f"{box}{shown_one_by_one}</div>")
    marks = x.say("unzip_marks")
    return joined(_heading(x, "unzip"), paragraphs(lead, marks), stills, paragraphs(*lines))


def _told(x: Lessons, still: Still) -> str:
    """What one still shows, in words."""
    study = x.lesson.study
    assert study is not None
    heights = study.line.heights

    def rows(which: Any) -> str:
        return ", ".join(x.write("height", heights[i]) for i in np.flatnonzero(which))

    most = int(np.argmax(still.force))
    facts = {
        "row": x.write("height", heights[most]), "load": x.amount("load", still.force[most]),
        "breaking": x.amount("load", study.breaking), "round": still.round,
        "capacity": x.amount("load", study.line.capacity), "gone": rows(still.gone),
        "ratio": ratio(still.force[most] / study.line.capacity),
        "breaks": ", ".join(
            f"{x.write('height', heights[i])} ({x.write('load', still.force[i], 'up')})"
            for i in np.flatnonzero(still.breaks)
        ),
    }  # fmt: skip
    name = "breaks" if still.breaks.any() else "lost" if still.lost else "rests"
    if not still.round:
        name = "all_over" if still.breaks.any() else "all"
    return x.say(f"told_{name}", **facts)


def _corner(x: Lessons) -> Block:
    c = x.lesson.corner
    if c is None:
        texts = [x.say("corner_1"), x.say("corner_none"), x.say("corner_3"), x.say("corner_5")]
        return joined(_heading(x, "corner"), paragraphs(*texts))
    facts = {
        "thickness": x.write("thickness", c.thickness), "first": x.write("spacing", c.first_tie),
        "pull": x.amount("line_load", c.pull), "whole": x.amount("load", c.whole),
        "whole_bags": x.heaviness(c.whole)["bags"], "leg": x.write("spacing", c.leg),
        "filler": x.write("spacing", c.filler),
    }  # fmt: skip
    assumed = [] if c.stated else ["corner_assumed"]
    names = ["corner_1", f"corner_2_{x.lesson.system}", *assumed, "corner_how", "corner_3"]
    first, last = (
        paragraphs(*(x.say(n, **facts) for n in some)) for some in (names, ["corner_4", "corner_5"])
    )
    picture = figure(figures.corner(x.lesson, x.language), x.say("corner_alt", **facts),
                     x.say("corner_caption"))  # fmt: skip
    return joined(_heading(x, "corner"), first, picture, last)


def _asked(x: Lessons) -> list[tuple[str, str]]:
    """Questions with their answers, those that this plan has numbers for."""
    needs = {"fast": "faster", "cold": "colder"}
    names = [n for n in QUESTIONS if n not in needs or x.lesson.trial(needs[n]) is not None]
    return [(x.say(f"q_{n}"), x.say(f"a_{n}")) for n in names]


def _questions(x: Lessons) -> Block:
    items = "".join(
        f"<details><summary>{safe(q)}</summary><p>{safe(a)}</p></details>\n" for q, a in _asked(x)
    )
    plain = "\n".join(q for q, _ in _asked(x))
    html = f"<p>{safe(x.say('questions_lead'))}</p>\n{items}"
    return joined(_heading(x, "questions"), Block(plain, html))


def _answers(x: Lessons) -> Block:
    """For paper, where nothing opens; a page hides it on the screen."""
    items = "".join(f"<li><b>{safe(q)}</b> {safe(a)}</li>" for q, a in _asked(x))
    title = x.say("answers_title")
    html = f'<section class="answers"><h2>{safe(title)}</h2><ol>{items}</ol></section>'
    return Block("\n".join([title, *(f"{q} {a}" for q, a in _asked(x))]), html)


def _tailgate(x: Lessons) -> Block:
    plain, html = [x.say("tail_lead")], [f"<p>{safe(x.say('tail_lead'))}</p>"]
    for i, minutes in enumerate(TAILGATE, 1):
        name, length = x.say(f"tail_name_{i}"), x.say("minutes", minutes=minutes)
        lines = [(x.say(do), x.say(f"tail_{do}_{i}")) for do in ("say", "show", "ask")]
        plain += [f"{name}, {length}", *(f"{do}: {text}" for do, text in lines)]
        told = "".join(f"<p><b>{safe(do)}:</b> {safe(text)}</p>" for do, text in lines)
        html.append(
            f'<div class="step"><p class="lead">{safe(name)}, {safe(length)}</p>{told}</div>'
        )
    block = joined(_heading(x, "tail"), Block("\n".join(plain), "\n".join(html)))
    return Block(block.plain, f'<section class="tailgate">{block.html}</section>')


def _cautions(x: Lessons) -> Block:
    c, clause = content(x.lesson.verdict, x.language), BAG_CLAUSE[x.lesson.system]
    bag = x.say("source_bag", clause=f"{clause.document}, {clause.place}",
                label=x.say(f"label_{clause.label}"))  # fmt: skip
    sources = paragraphs(bag, x.say("source_own"))
    return joined(_heading(x, "cautions"), bullets(c.cautions), sources, paragraphs(c.footer))


def _changed(x: Lessons, key: str, value: Any, new: Verdict) -> Block:
    """Verdict, pressure, most loaded tie and allowed rate, before and after."""
    old = x.lesson.verdict
    title = x.say("changed_title", key=key, value=value)

    def row(name: str, show: Callable[[Verdict], str]) -> tuple[str, str, str]:
        return x.say(f"changed_{name}"), show(old), show(new)

    def amount(v: Verdict, term: str, bare: Any, how: str) -> str:
        return format(Shown(Amount(term, float(bare), v.case.rule.system), x.language), how)

    def allowed(v: Verdict) -> str:
        rate = float(shown(v.allowed, v.case.rule.system).rate)
        if 0.0 < rate < np.inf:
            return amount(v, "rate", rate, "")
        return x.say("any_rate" if rate > 0.0 else "no_rate")

    rows: list[tuple[Any, ...]] = [
        row("verdict", lambda v: say("word", v.word, x.language)),
        row("pressure", lambda v: amount(v, "pressure", v.envelope.p_max, "up")),
        row("load", lambda v: amount(v, "load", v.ties.load.max(), "up")),
        row("capacity", lambda v: amount(v, "load", v.case.tie.usable, "down")),
        row("allowed", allowed),
    ]
    head = tuple(x.say(f"changed_{n}") for n in ("head", "before", "after"))
    return joined(line(title, "lead"), table(x.say("changed_caption"), head, rows))


def _heading(x: Lessons, name: str) -> Block:
    title = x.say(f"{name}_title")
    return Block(title, f"<h2>{escape(title)}</h2>")


PARTS: dict[str, Callable[[Lessons], Block]] = {
    "title": _title, "head": _head, "stiffening": _stiff, "rate": _rate, "tie": _tie,
    "gone": _gone, "unzip": _unzip, "corner": _corner, "questions": _questions,
    "tailgate": _tailgate, "cautions": _cautions, "answers": _answers,
}  # fmt: skip
