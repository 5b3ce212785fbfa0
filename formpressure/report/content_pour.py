"""What the card and the terminal say of joints, and of what helps; sentences only."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import Any

from formpressure.helps import Help, nothing_fits, what_helps
from formpressure.joints import Joints, Window
from formpressure.records import Amount
from formpressure.report.words import Shown, say
from formpressure.rise import LONGEST_WAIT
from formpressure.units import TOLERANCE
from formpressure.verdict import Verdict


def joint_lines(verdict: Verdict, language: str = "en") -> Iterator[str]:
    """One line: the longest wait of a layer as planned, against what is known of the mix."""
    found = verdict.joints
    if found is not None:
        make = _Joints(verdict, language)
        yield " ".join((*make.rest(found), *make.window(found)))
    elif verdict.plan.concrete.joint_window is not None:
        yield say("card", "joint_without_trucks", language)


def help_summary(verdict: Verdict, language: str = "en") -> Iterator[str]:
    """One line where no gap of trucks fits: what can help."""
    if nothing_fits(verdict):
        split = verdict.trucks is not None and verdict.trucks.gap is None
        works = "; ".join(_short(h, language) for h in what_helps(verdict) if _works(h))
        works = works or say("ways", "none", language)
        yield say("ways", "lead_split" if split else "lead", language, works=works)


def _works(found: Help) -> bool:
    """Whether it helps, as far as both sides are known."""
    known = found.least is not None or bool(found.facts.get("passes"))
    return known if found.fits is None else found.fits


def _short(found: Help, language: str) -> str:
    """One way that works, in a few words."""
    facts = found.facts | ({} if found.name == "ties" else {"sides": _sides(found, language)})
    return say("ways", found.name, language, **facts)


def help_line(found: Help, language: str = "en") -> str:
    """What one way does, with both ends of the gap where they are known."""
    facts = dict(found.facts)
    name = found.name
    if name == "ties":
        if facts["other"]:
            name, facts["other"] = "ties_other", say("check", facts["other"], language)
        elif found.fits is False:
            name = "ties_late"
        return say("helps", name, language, **facts)
    for key in ("window", "window_before"):
        if key in facts:
            facts[key] = int(facts[key] + TOLERANCE)
    if name in ("retarder", "warmer") and "window" not in facts:
        name = f"{name}_unknown"
    return say("helps", name, language, sides=_sides(found, language), **facts)


def _sides(found: Help, language: str) -> str:
    if found.least is None:
        return say("ways", "sides_split", language)
    if found.fits is None or (found.fits and found.most == LONGEST_WAIT):
        name = "sides_from"
    elif found.fits:
        name = "sides_one" if found.most == found.least else "sides"
    else:
        name = "sides_late" if found.most is None else "sides_apart"
    sides = say("ways", name, language, least=found.least, most=found.most)
    by_estimate = found.estimated and found.fits is not None
    return say("ways", "estimated", language, sides=sides) if by_estimate else sides


class _Joints:
    def __init__(self, verdict: Verdict, language: str) -> None:
        self.verdict, self.language = verdict, language
        self.case, self.system = verdict.case, verdict.case.rule.system

    def say(self, name: str, /, **facts: Any) -> str:
        return say("card", name, self.language, **facts)

    def amount(self, term: str, bare: float) -> Amount:
        return Amount(term, float(bare), self.system)

    def write(self, term: str, bare: float) -> str:
        return str(Shown(self.amount(term, bare), self.language))

    def rest(self, found: Joints) -> Iterator[str]:
        if found.rest is None:
            yield self.say("joint_no_rest")
        else:
            minutes = ceil(found.rest.minutes - TOLERANCE)
            yield self.say("joint_rest", minutes=minutes, run=found.rest.run)

    def window(self, found: Joints) -> Iterator[str]:
        window = found.window
        if window is None:
            yield self.say("joint_unknown")
        elif window.measured:
            yield from self.measured(found, window)
        else:
            yield self.say(
                "joint_estimated", window=int(window.short + TOLERANCE),
                long=ceil(window.long - TOLERANCE),
                temperature=self.write("temperature", window.warmest),
            )  # fmt: skip
            if not found.in_time:
                yield self.say("joint_estimated_late")
        yield self.say("joint_sinks")

    def measured(self, found: Joints, window: Window) -> Iterator[str]:
        yield self.say("joint_measured", window=int(window.short + TOLERANCE), by=window.by,
                       temperature=self.write("temperature", window.warmest))  # fmt: skip
        yield self.say("joint_in_time" if found.in_time else "joint_late")
        if found.gap is None or found.rate is None:
            yield self.say("joint_never")
        elif self.too_fast(found.gap):
            yield self.say("joint_too_fast", gap=found.gap)
        elif found.gap < LONGEST_WAIT:
            yield self.say("joint_latest", gap=found.gap, rate=self.amount("rate", found.rate))
            yield self.say("joint_pressure_first")

    def too_fast(self, gap: int) -> bool:
        """Whether the forms cannot take one truck every so many minutes."""
        trucks, any_rate = self.verdict.trucks, self.verdict.allowed.kind == "any"
        return not any_rate and (trucks is None or trucks.gap is None or gap < trucks.gap)
