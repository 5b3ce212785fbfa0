"""How far a passing plan is from the nearest NO-GO, in the words of the site."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from formpressure.errors import OutOfRange
from formpressure.units import at_most
from formpressure.verdict import Verdict

HALVINGS = 60  # of the searched interval: far below the display step


@dataclass(frozen=True, slots=True)
class Margins:
    """Bare, in the units of the plan; each alone, all else as planned.

    `rate` is how much faster, `temperature` how much colder, `slump` how much wetter the concrete
    could be before what carries the pressure fails. None where it makes no difference (full liquid
    head passes) or nothing is stated to start from; negative where the plan fails already.
    """

    rate: float | None
    temperature: float | None
    slump: float | None


def margins(verdict: Verdict) -> Margins:
    """Margins to the nearest NO-GO of what carries the pressure, by the allowed rate.

    Temperature is searched down to the end of the rule's range, beyond which it refuses.
    """
    case, given = verdict.case, verdict.case.given
    if verdict.straight_up or case.rate is None:
        return Margins(None, None, None)
    rate = case.rate

    def passes(term: str) -> Callable[[float], bool]:
        def at(value: float) -> bool:
            try:
                return bool(
                    at_most(rate, case.allowed_with(verdict.limit.pressure, {term: value}).rate)
                )
            except OutOfRange:
                return False

        return at

    spare: dict[str, float | None] = {"temperature": None, "slump": None}
    if given["temperature"] is not None:
        ends = next((r.least, r.most) for r in case.rule.ranges if r.term == "temperature")
        edge = _edge(passes("temperature"), bad=ends[0], good=ends[1])
        spare["temperature"] = None if edge is None else given["temperature"] - edge
    if given["slump"] is not None:
        wettest = 12.0 if case.rule.system == "US" else 300.0  # a cone is 12 in (300 mm) high
        edge = _edge(passes("slump"), bad=wettest, good=0.0)
        spare["slump"] = None if edge is None else edge - given["slump"]
    return Margins(float(verdict.allowed.rate) - rate, spare["temperature"], spare["slump"])


def _edge(passes: Callable[[float], bool], bad: float, good: float) -> float | None:
    """The value nearest to `bad` that still passes; None where not even `good` does."""
    if passes(bad):
        return bad
    if not passes(good):
        return None
    for _ in range(HALVINGS):
        middle = (good + bad) / 2.0
        good, bad = (middle, bad) if passes(middle) else (good, middle)
    return good
