"""What the card and the terminal say of a verdict, in sentences; neither computes nor lays out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from pathlib import PurePath
from typing import Any

from formpressure import __version__
from formpressure.allowed import shown
from formpressure.dispatch import Dispatch, Order
from formpressure.inputs import plan_key
from formpressure.marks import Marks, mark_pace
from formpressure.pour import Filling
from formpressure.records import Amount, Status
from formpressure.report.content_pour import help_summary, joint_lines
from formpressure.report.words import Shown, note, say, words
from formpressure.rise import HOUR
from formpressure.units import TOLERANCE, at_most
from formpressure.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Content:
    """The sentences of one verdict, in the order a foreman needs them."""

    title: str
    word: str
    failed: tuple[str, ...]  # names of checks that are NOT OK
    open: tuple[str, ...]  # names of checks not yet made
    others: tuple[str, ...]  # other applicable documents by which something fails: loud
    fill: tuple[str, str]  # YES or NO, and why
    pace: tuple[str, str, tuple[str, ...]]  # headline, beside it, further lines
    trucks: tuple[str, ...]  # for dispatch, where the plan tells how trucks fill the wall
    facts: tuple[str, ...]
    stop: tuple[str, ...]
    danger: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]
    footer: str


def content(verdict: Verdict, language: str = "en") -> Content:
    """All sentences of a verdict in one language."""
    make = Sentences(verdict, language)
    return Content(
        title=make.title(),
        word=make.say("word", verdict.word),
        failed=tuple(make.say("check", c.name) for c in verdict.failed),
        open=tuple(make.say("check", c.name) for c in verdict.open),
        others=tuple(make.others()),
        fill=make.fill(),
        pace=make.pace(),
        trucks=tuple(make.trucks()),
        facts=(*make.stated(), *make.wind(), make.clips()),
        stop=tuple(make.stop()),
        danger=(make.say("card", "stop_danger"), make.say("card", "stop_delay")),
        assumed=make.assumed(),
        cautions=(make.confirmed(), *words(language)["caution"].values()),
        footer=make.footer(),
    )


class Sentences:
    """Writes about one verdict in one language."""

    def __init__(self, verdict: Verdict, language: str) -> None:
        self.verdict, self.language = verdict, language
        self.case, self.system = verdict.case, verdict.case.rule.system
        self.marks: Marks | None = mark_pace(verdict)

    @property
    def truck_rise(self) -> float | None:
        """Rise by one truck spread all round, where there is a rate to keep."""
        return None if self.verdict.pace is None else self.verdict.pace.truck_rise

    @property
    def doubtful(self) -> bool:
        return self.verdict.doubtful

    def title(self) -> str:
        return self.verdict.plan.title or PurePath(self.verdict.plan.file).stem

    def say(self, section: str, name: str, /, **facts: Any) -> str:
        return say(section, name, self.language, **facts)

    def amount(self, term: str, bare: float) -> Amount:
        return Amount(term, float(bare), self.system)

    def write(self, term: str, bare: float | None) -> str:
        if bare is None:
            return self.say("card", "not_given")
        return str(Shown(self.amount(term, bare), self.language))

    def each(self) -> str:
        """What the minutes are for: each foot, or each mark where these stand otherwise."""
        step = 1.0 if self.marks is None else self.marks.step
        if self.system == "US" and step == 1.0:
            return self.say("card", "each_foot")
        if self.marks is None:
            return self.say("card", "each_mark")
        return self.say("card", "each_step", step=self.amount("height", step))

    def others(self) -> Iterable[str]:
        """One sentence for each other document by which something fails."""
        for found in self.verdict.others_failing:
            names = ", ".join(self.say("check", c.name) for c in found.failed)
            yield self.say("card", "other_fails", document=str(found.rule.document), names=names)

    def fill(self) -> tuple[str, str]:
        v, case = self.verdict, self.case
        height = self.amount("height", case.rows.top - case.rows.start)
        peak = self.amount("pressure", v.full.p_max)
        if self.doubtful:
            return self.say("word", "NOT CHECKED"), self.say("card", "fill_doubt")
        if v.straight_up:
            why = self.say("card", "fill_yes", by=self.carriers(), pressure=peak)
            return self.say("word", "yes"), why
        worst = v.ties_full.worst
        load = self.amount("load", v.ties_full.load[worst])
        if at_most(load.bare, case.tie.usable):
            failing = next(c for c in v.fails_at_full if c.name != "ties")
            why = self.say("card", "fill_no_other", height=height, pressure=peak,
                           name=self.say("check", failing.name),
                           demand=failing.demand, capacity=failing.capacity)  # fmt: skip
        else:
            why = self.say("card", "fill_no", height=height, load=load,
                           row=self.write("height", v.ties_full.heights[worst]),
                           capacity=self.amount("load", case.tie.usable))  # fmt: skip
        return self.say("word", "no"), why

    def pace(self) -> tuple[str, str, tuple[str, ...]]:
        v, case, pace = self.verdict, self.case, self.verdict.pace
        if self.doubtful:
            return self.say("word", "NOT CHECKED"), "", ()
        if v.allowed.kind == "any":
            return self.say("card", "any_rate", by=self.carriers()), "", ()
        lines = []
        if self.rate_over is not None:
            lines.append(self.say("card", "stated_over", rate=self.rate_over))
        elif case.pour is None and case.rate is not None:  # else the lines on trucks tell it
            most = shown(v.allowed, self.system).rate
            planned = self.amount("rate", case.rate)
            rate = self.amount("rate", most)
            lines.append(self.say("card", "would_allow", planned=planned, rate=rate))
        if pace is None:
            mend = self.say("card", "no_rate_mend")
            return self.say("card", "no_rate"), self._no_rate(), (*lines, mend)
        temperature = self.write("temperature", case.bare.concrete.temperature)
        most = pace.rate if self.marks is None else self.marks.rows[self.marks.here].rate
        rate, layer = self.amount("rate", most), self.amount("height", pace.layer)
        lines.insert(0, self.say("card", "at_most", rate=rate, temperature=temperature))
        if self.marks is None:
            lines.append(self.say("card", "thin_layers", layer=layer))
            return f"{Shown(rate, self.language):down}", "", tuple(lines)
        marks = self.marks
        step = self.amount("height", marks.step)
        lines.append(self.say("card", "by_marks", step=step, minutes=marks.minutes))
        if pace.minutes is not None and pace.minutes / pace.layer < marks.minutes / marks.step:
            lines.append(self.say("card", "layer_time", layer=layer, minutes=pace.minutes,
                                  time=self.amount("duration", case.layer_time)))  # fmt: skip
        if pace.truck_rise is not None and case.pour is None:
            lines.append(self.truck())
        headline = self.say("card", "minutes", minutes=marks.minutes)
        beside = self.say("card", "minutes_each", each=self.each(), temperature=temperature)
        return headline, beside, tuple(lines)

    def truck(self) -> str:
        """What one truck spread all round does, and when the next may start."""
        marks = self.marks
        gap = None if marks is None else marks.rows[marks.here].gap
        truck = self.write("volume", self.case.bare.delivery.truck)
        return self.say("card", "split" if gap is None else "truck", truck=truck, gap=gap,
                        rise=self.amount("height", self.truck_rise or 0.0))  # fmt: skip

    def trucks(self) -> Iterable[str]:
        """The order sheet, the gaps, the stretch that rises fastest, and what mends it."""
        v, filling, found = self.verdict, self.case.filling, self.verdict.trucks
        if found is not None and filling is not None:
            yield from self.order(found.order)
            yield from self.gaps(found, filling)
            worst = found.worst
            yield self.say(
                "card", "fastest", run=worst.run, rise=self.amount("height", worst.rise),
                start=int(worst.start + TOLERANCE), end=ceil(worst.end - TOLERANCE),
            )  # fmt: skip
        if v.envelope.bound_governs:
            window = self.case.steady_rise(HOUR)
            yield self.say("card", "still_liquid", minutes=self.amount("duration", window))
        yield from joint_lines(v, self.language)
        yield from help_summary(v, self.language)

    def gaps(self, found: Dispatch, filling: Filling) -> Iterable[str]:
        """When the trucks come as planned, and what mends it where that is too fast."""
        name = "planned_gap" if filling.at_once == 1 else "planned_at_once"
        yield self.say("card", name, gap=f"{filling.gap:g}", count=filling.at_once)
        if not found.passes and self.verdict.pace is not None:
            yield self.say("card", "too_fast")
        yield from self._mend(found)
        if self.marks is not None:
            yield self.say("card", "gaps_even")

    def order(self, order: Order) -> Iterable[str]:
        """What to order."""
        delivery = self.case.bare.delivery
        facts = {
            "ordered": self.amount("volume", order.ordered), "trucks": order.trucks,
            "wall": self.amount("volume", order.wall),
            "truck": self.write("volume", delivery.truck),
        }  # fmt: skip
        if not delivery.spare:
            yield self.say("card", "order_no_spare", **facts)
        else:
            yield self.say("card", "order", spare=self.write("spare", delivery.spare), **facts)
        if order.with_less is not None:
            yield self.say("card", "one_less", less=self.write("volume", 1.0),
                           trucks=order.with_less,
                           lower=self.amount("height", order.lower))  # fmt: skip

    def _mend(self, found: Dispatch) -> Iterable[str]:
        truck = self.write("volume", self.case.bare.delivery.truck)
        if found.split:
            yield self.say("card", f"split_{found.split}", truck=truck, run=found.split_run)
        if found.gap is not None and not found.split:
            yield self.say("card", "gap_least", gap=found.gap)
        if found.hold is not None:
            hold = found.hold
            yield self.say("card", "hold", truck=hold.truck, minute=hold.minute)
        if found.spread is not None and (found.split or not found.passes):
            yield self.say("card", "spread_least", spread=self.write("length", found.spread))
        yield from self.starts(found)

    def starts(self, found: Dispatch) -> Iterable[str]:
        """When each truck may start, and what becomes of printed minutes after a stop."""
        if found.starts is None:
            return
        line = self.say("card", "starts", minutes=", ".join(map(str, found.starts)))
        if self.verdict.allowed.kind != "any":
            void = "starts_void_no_marks" if self.marks is None else "starts_void"
            line += f" {self.say('card', void)}"
        yield line

    @property
    def rate_over(self) -> Amount | None:
        """The rate that the plan states, where what must carry it fails."""
        case, verdict = self.case, self.verdict
        fails = any(c.name in verdict.carriers for c in verdict.failed)
        if case.pour is None and case.rate is not None and fails:
            return self.amount("rate", case.rate)
        return None

    def carriers(self) -> str:
        return ", ".join(self.say("check", name) for name in self.verdict.carriers)

    def _no_rate(self) -> str:
        unknown = [k for k in self.case.rule.needs if self.case.given.get(k) is None]
        if self.case.bare.concrete.self_consolidating:
            unknown = []  # full liquid head, whatever is filled in
        if unknown:
            keys = ", ".join(dict.fromkeys(plan_key(k) for k in unknown))
            return self.say("card", "no_rate_inputs", keys=keys)
        return self.say("card", "no_rate_by", by=self.say("check", self.verdict.limit.name))

    def stated(self) -> tuple[str, ...]:
        """What the plan states, so that the site can compare."""
        case, bare = self.case, self.case.bare
        heights = ", ".join(self.write("height", y) for y in case.rows.heights)
        first = self.say(
            "card", "facts" if case.layout is None else "facts_laid_out",
            height=self.write("height", bare.wall.height),
            load=self.amount("load", case.tie.usable),
            stated=self.write("load", case.tie.stated), basis=case.tie.basis,
            heights=heights, width=self.write("spacing", case.rows.width),
        )  # fmt: skip
        concrete = bare.concrete
        asked = [t for t in ("slump", "consistency") if t in case.rule.terms]
        second = self.say(
            "card", f"facts_concrete_{asked[0]}" if asked else "facts_concrete",
            temperature=self.write("temperature", concrete.temperature),
            slump=self.write("slump", concrete.slump),
            unit_weight=self.write("unit_weight", case.given["unit_weight"]),
            consistency=case.given.get("consistency") or self.write("slump", None),
        )  # fmt: skip
        setting = [self.setting()] if "setting_time" in case.rule.terms else []
        return first, second, *setting, *self.braces()

    def setting(self) -> str:
        """The setting time that the pressure rests on, and who measured it."""
        found = self.case.bare.concrete.setting
        if found is None:
            return self.say("card", "facts_setting_none")
        return self.say(
            "card", "facts_setting", time=self.write("setting_time", found.time), by=found.by,
            temperature=self.write("setting_temperature", found.temperature), date=found.date,
        )  # fmt: skip

    def clips(self) -> str:
        """Which clips need a tie; a row above the concrete only where the overhang holds."""
        rows = self.case.rows
        if not (rows.heights >= rows.top).any():
            return self.say("card", "clips_all")
        if not self.may_stay_empty():
            return self.say("card", "clips_open")
        return self.say("card", "clips_above", top=self.write("height", rows.top))

    def may_stay_empty(self) -> bool:
        """Whether a clip above the concrete may: only where the form holds past the last tie."""
        return self.verdict["overhangs"].status in (Status.OK, Status.BY_OTHERS)

    def braces(self) -> Iterable[str]:
        """The braces of the plan."""
        given = self.case.bare.form.bracing
        if given is None:
            return
        yield self.say(
            "card", "braces_stayed" if given.stayed else "braces", size=given.size,
            spacing=self.write("spacing", given.spacing), foot=self.write("length", given.foot),
            attached=self.write("height", given.attached), stays=given.stayed,
        )  # fmt: skip

    def wind(self) -> Iterable[str]:
        """The wind at which the braces reach what they may carry."""
        found = self.verdict["bracing"].facts
        if self.case.bare.form.bracing is not None and "stop_wind" in found:
            yield self.say("card", "braces_wind", wind=found["stop_wind"])

    def stop(self) -> Iterable[str]:
        concrete, pace, marks = self.case.bare.concrete, self.verdict.pace, self.marks
        if self.verdict.allowed.kind == "any" and not self.doubtful:
            yield self.say("card", "stop_heavier")
        else:
            coldest = concrete.temperature
            if marks is not None:  # a colder row of the card is slower, so it still holds
                coldest = next(row.temperature for row in marks.rows if row.minutes is not None)
            if coldest is not None:
                temperature = self.write("temperature", coldest)
                yield self.say("card", "stop_colder", temperature=temperature)
            if self.case.given.get("consistency") is not None:
                kind = self.case.given["consistency"]
                yield self.say("card", "stop_softer", consistency=kind)
            elif concrete.slump is not None:
                yield self.say("card", "stop_wetter", slump=self.write("slump", concrete.slump))
            if concrete.vibration.depth is not None:
                depth = self.write("vibration_depth", concrete.vibration.depth)
                yield self.say("card", "stop_vibration", depth=depth)
            yield self.say("card", "stop_mix")
            if concrete.setting is not None and "setting_time" in self.case.rule.terms:
                time = self.write("setting_time", concrete.setting.time)
                yield self.say("card", "stop_setting", time=time)
        yield self.say("card", "stop_hammer")
        if not self.case.given.get("from_base"):
            yield self.say("card", "stop_base")
        if marks is not None:
            yield self.say("card", "stop_early")
        elif pace is not None:
            yield self.say("card", "stop_faster", rate=self.amount("rate", pace.rate))

    def assumed(self) -> tuple[str, ...]:
        """What was not in the plan; a second language has its words for the assumptions."""
        listed = self.verdict.plan.assumed
        if self.language == "en":
            return tuple(f"{key}: {blank}" for key, blank in listed)
        return tuple(f"{key}: {self.say('assumed', blank)}" for key, blank in listed)

    def confirmed(self) -> str:
        found = self.verdict.plan.document.confirmed
        if found is None:
            return self.say("card", "unconfirmed")
        return self.say("card", "confirmed", who=found.who, edition=found.edition, date=found.date)

    def footer(self) -> str:
        plan, document = self.verdict.plan, str(self.case.rule.document)
        if plan.document.chosen_by is not None:
            who = plan.document.chosen_by
            document = self.say("card", "chosen_by", document=document, who=who)
        return self.say(
            "card", "footer", document=document, file=PurePath(plan.file).name,
            checksum=plan.checksum, version=__version__,
        )  # fmt: skip


def check_lines(verdict: Verdict, language: str = "en") -> list[tuple[str, str, str, str]]:
    """Name, status, sentence and plan key of every check, in the order of the closed list."""
    return [
        (
            say("check", c.name, language),
            say("status", c.status, language),
            note(c, language),
            c.key,
        )
        for c in verdict.checks
    ]
