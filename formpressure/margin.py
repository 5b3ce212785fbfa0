"""How far a passing plan is from the nearest NO-GO, in the words of the site."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from formpressure.errors import OutOfRange
from formpressure.units import at_most, last_that_passes
from formpressure.verdict import Verdict

SEARCHED = {"US": (32.0, 100.0), "SI": (0.0, 38.0)}  # where a document has no range of its own


@dataclass(frozen=True, slots=True)
class Margins:
    """Bare, in the units of the plan; each alone, all else as planned.

    `rate` is how much faster, `temperature` how much colder, `slump` how much wetter the concrete
    could be before what carries the pressure fails; negative where the plan fails already. None
    where it makes no difference (full liquid head passes), where nothing is stated to start from,
    or where the concrete is warmer than the rule's range.
    """

    rate: float | None
    temperature: float | None
    slump: float | None


def margins(verdict: Verdict) -> Margins:
    """Margins to the nearest NO-GO of what carries the pressure, by the allowed rate.

    Temperature is searched down to the end of the rule's range, beyond which it refuses, or, where
    it has none, down to freezing.
    """
    case, given = verdict.case, verdict.case.given
    if verdict.straight_up or case.rate is None or case.rise is None:
        return Margins(None, None, None)
    limit = verdict.limit.pressure

    def passes(term: str) -> Callable[[float], bool]:
        def at(value: float) -> bool:
            try:
                return case.passes(limit, {term: value})
            except OutOfRange:
                return False

        return at

    spare: dict[str, float | None] = {"temperature": None, "slump": None}
    if given.get("temperature") is not None:
        own = ((r.least, r.most) for r in case.rule.ranges if r.term == "temperature")
        ends = next(own, SEARCHED[case.rule.system])
        too_warm = not at_most(given["temperature"], ends[1])
        edge = None if too_warm else _edge(passes("temperature"), bad=ends[0], good=ends[1])
        spare["temperature"] = None if edge is None else given["temperature"] - edge
    if given.get("slump") is not None:
        wettest = 12.0 if case.rule.system == "US" else 300.0  # a cone is 12 in (300 mm) high
        edge = _edge(passes("slump"), bad=wettest, good=0.0)
        spare["slump"] = None if edge is None else edge - given["slump"]
    return Margins(_faster(verdict), spare["temperature"], spare["slump"])


def _faster(verdict: Verdict) -> float:
    """What is left of the rate, by the document and by our own bound, whichever is less."""
    case, pressure = verdict.case, verdict.limit.pressure
    assert case.rate is not None
    try:
        most = float(case.allowed_by_document(pressure, {}).rate)
    except OutOfRange:
        most = 0.0
    fresh = pressure / case.given["unit_weight"] - case.rise
    return float(min(most - case.rate, fresh / case.steady_rise(1.0)))


def _edge(passes: Callable[[float], bool], bad: float, good: float) -> float | None:
    """The value nearest to `bad` that still passes; None where not even `good` does."""
    if passes(bad):
        return bad
    if not passes(good):
        return None
    return last_that_passes(passes, good, bad)
