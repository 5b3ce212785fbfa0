"""How close a plan is to its limit, in text: exact margins, and the count of drawn pours."""

from __future__ import annotations

from math import floor, isfinite, log10

from formpressure.margin import Margins
from formpressure.plan_spread import NORMAL, PLACES
from formpressure.records import Amount
from formpressure.report.parts import Block, Cell, joined, line, paragraphs, table, write
from formpressure.report.words import say
from formpressure.spread import GENERATOR, LEVEL, InputSpread
from formpressure.units import down, up
from formpressure.verdict import Verdict

SECTION = "spread_report"


def margins(verdict: Verdict, found: Margins, language: str = "en") -> Block:
    """How far each input alone may go until the verdict is NO-GO; exact, nothing is drawn."""
    case, system = verdict.case, verdict.case.rule.system
    if verdict.doubtful:
        return paragraphs(say(SECTION, "third_model", language))
    if verdict.straight_up:
        return paragraphs(say(SECTION, "straight_up", language))
    if case.rate is None:
        return paragraphs(say(SECTION, "no_rate", language))
    rows: list[tuple[str | Cell, ...]] = []
    for term in ("rate", "temperature", "slump"):
        planned = case.rate if term == "rate" else case.given.get(term)
        margin = getattr(found, term)
        if planned is None:
            continue
        words = say(SECTION, "no_difference", language)
        if margin is not None:
            amount = Amount(f"{term}_spread", margin, system)
            words = say(SECTION, f"{term}_margin", language, margin=amount)
        rows.append((say(SECTION, term, language), write(term, planned, system), words))
    head = tuple(say(SECTION, h, language) for h in ("input", "planned", "margin"))
    limit = verdict.limit
    told = say(SECTION, "limit", language, name=say("check", limit.name, language),
               pressure=Amount("pressure", limit.pressure, system))  # fmt: skip
    no_allowance = say(SECTION, "no_allowance", language)
    return joined(table(say(SECTION, "margins", language), head, rows),
                  paragraphs(told, no_allowance))  # fmt: skip


def spreads(found: InputSpread, language: str = "en") -> Block:
    """What varies, by how much, and what does not."""
    if not found.varied:
        return paragraphs(say(SECTION, "none_stated", language))
    system = found.verdict.case.rule.system
    width = "width_normal" if found.shape == NORMAL else "width_uniform"
    rows: list[tuple[str | Cell, ...]] = [
        (say(SECTION, v.term, language), write(v.term, v.middle, system),
         write(f"{v.term}_spread", v.width, system))
        for v in found.varied
    ]  # fmt: skip
    head = tuple(say(SECTION, h, language) for h in ("input", "expected", width))
    fixed = say(SECTION, "nothing_fixed", language)
    if found.not_varied:
        names = ", ".join(say(SECTION, term, language) for term in found.not_varied)
        fixed = say(SECTION, "not_varied", language, names=names)
    assert len(found.not_varied) + len(found.varied) == len(PLACES)
    return joined(table(say(SECTION, "spreads", language), head, rows), paragraphs(fixed))


def sampled(found: InputSpread, language: str = "en") -> Block:
    """How many of the drawn pours pass, with seed and interval, and what that does not say."""
    n = found.samples
    if not n:
        return paragraphs(say(SECTION, "nothing_drawn", language))
    counts = (("within", found.within), ("over", found.over), ("outside", found.outside))
    rows: list[tuple[str | Cell, ...]] = [
        (say(SECTION, name, language), f"{count:,}",
         percent(count / n, "down" if name == "within" else "up"))
        for name, count in counts
    ]  # fmt: skip
    head = tuple(say(SECTION, h, language) for h in ("outcome", "how_many", "share"))
    low, high = found.interval
    told = [
        say(SECTION, "interval", language, count=f"{n - found.within:,}", samples=f"{n:,}",
            low=percent(low, "down"), high=percent(high, "up"), level=f"{100 * LEVEL:g}"),
    ]  # fmt: skip
    if found.doubtful:
        told.append(say(SECTION, "doubtful", language, doubtful=f"{found.doubtful:,}"))
    if found.counted:
        told.append(say(SECTION, "quantiles", language, **peak_facts(found)))
    told.append(
        say(SECTION, "seed", language, seed=found.seed, generator=GENERATOR,
            shape=say(SECTION, found.shape, language))
    )  # fmt: skip
    return joined(
        line(say(SECTION, "only", language), "lead"),
        paragraphs(say(SECTION, "blind", language)),
        table(say(SECTION, "counts", language, samples=f"{n:,}"), head, rows),
        paragraphs(*told),
    )


def peak_facts(found: InputSpread) -> dict[str, Amount | str]:
    """The counted peak pressures in words' terms."""
    system = found.verdict.case.rule.system
    return {
        "counted": f"{found.counted:,}",
        "half": Amount("pressure", found.quantile(0.5), system),
        "most": Amount("pressure", found.quantile(0.95), system),
        "largest": Amount("pressure", found.most, system),
    }


def percent(share: float, how: str) -> str:
    """A share in percent to two figures, of what is left where it is nearly all."""
    value = 100.0 * share
    small = min(value, 100.0 - value)
    if not isfinite(small) or small <= 0.0:
        return f"{value:g} %"
    places = max(1 - floor(log10(small)), 0)
    rounded = (up if how == "up" else down)(value, 10.0**-places)
    return f"{rounded:.{places}f} %"
