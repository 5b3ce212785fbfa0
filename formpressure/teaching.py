"""The numbers of the lesson: one plan taken apart for a class, and its loads as things to lift.

Nothing new is computed of the form: these are the envelopes, tie loads and missing-tie study of the
plan, some of them again with one thing changed. Bare, in the units of the rule.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from typing import Any

import numpy as np

from formpressure import case as cases
from formpressure.allowed import LAYER
from formpressure.demand import ends
from formpressure.demand.explain import ByHand, by_hand
from formpressure.demand.ties import tie_loads
from formpressure.envelope import Envelope
from formpressure.errors import OutOfRange, Refusal
from formpressure.plan import Plan
from formpressure.plan_file import what_if
from formpressure.plan_form import Corners
from formpressure.records import Clause, Label
from formpressure.statics.hinged import Floats
from formpressure.study import Study, missing_tie_study
from formpressure.units import GRAVITY, at_most, below, terms
from formpressure.verdict import Verdict, check

USUAL_RATE = {"US": 4.0, "SI": 1.2}  # where the plan has none: an example of our own
COLDER = {"US": (20.0, 10.0), "SI": (10.0, 5.0)}  # degrees; the first that the document covers
PLATE = {"US": 10.0, "SI": 250.0}  # diameter of a dinner plate in in or mm, our own choice
IN_ONE = {"US": 12.0, "SI": 1000.0}  # in or mm in a foot or metre
LEG = {"US": 0.5, "SI": 0.15}  # of an inside corner piece, an example of our own
BAG = {"US": 94.0, "SI": 25.0}  # lb or kg in a bag of cement
BAG_CLAUSE = {
    "US": Clause("ASTM C150/C150M", "package marking", "a bag of portland cement holds 94 lb",
                 Label.MEMORY),
    "SI": Clause("common practice", "no source", "a bag of cement holds 25 kg", Label.PRACTICE),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Trial:
    """The wall with one thing changed: its pressure and the load of its most loaded tie."""

    name: str  # of its sentence
    rate: float
    temperature: float | None
    envelope: Envelope
    load: float
    passes: bool  # what a tie may carry


@dataclass(frozen=True, slots=True)
class Forgotten:
    """A tie in the middle of a line that was forgotten, the panel reaching past its clip (hinged).

    `bounds`: the most that another tie then carries with one member past all ties, at each of
    `demand.frames.BOUNDS`; None where the line is lost.
    """

    tie: int
    before: Floats
    after: Floats
    bounds: tuple[float | None, ...]

    @property
    def worst(self) -> int:
        """The tie whose load grows most."""
        return int(np.argmax(self.after - self.before))

    @property
    def grown(self) -> tuple[int, ...]:
        """The ties whose load grows."""
        return tuple(int(i) for i in np.flatnonzero(below(self.before, self.after)))

    @property
    def times(self) -> float:
        """How many times its load the worst of them carries; infinity where it carried nothing."""
        before = float(self.before[self.worst])
        return float(self.after[self.worst]) / before if before > 0.0 else float("inf")


@dataclass(frozen=True, slots=True)
class Corner:
    """An outside corner: what pulls its joint open, and the filler that squares the ties.

    `pull` is for each unit of height at the bottom, `whole` over the placement. `filler`: the
    inside corner stands one thickness along the outer face, its corner piece ends a `leg` further;
    a filler of both brings the joints of the two faces opposite (geometry).
    """

    thickness: float
    first_tie: float
    stated: bool  # the plan tells the first tie line; else it is taken at the filler's end
    width: float
    pull: float
    whole: float
    leg: float
    filler: float


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything that the lesson tells of one plan.

    `wet` is the form filled straight up, `stiff` the pressure at `rate`: that of the plan, or of
    `USUAL_RATE` where the plan has none; None where the document does not cover it. `study` is
    None for a single row of ties, `forgotten` where no tie can be missed by hinged beams, `corner`
    where the plan does not tell the thickness.
    """

    verdict: Verdict
    wet: Envelope
    rate: float
    stiff: Envelope | None
    trials: tuple[Trial, ...]
    hand: ByHand
    study: Study | None
    forgotten: Forgotten | None
    corner: Corner | None

    @property
    def system(self) -> str:
        return self.verdict.case.rule.system

    @property
    def height(self) -> float:
        """Of the placement."""
        return self.verdict.case.rows.top - self.verdict.case.rows.start

    @property
    def depths(self) -> Floats:
        """Whole steps of depth from the surface, and the bottom."""
        step = LAYER[self.system]
        found: Floats = np.append(np.arange(step, self.height - step / 2.0, step), self.height)
        return found

    @property
    def load(self) -> float:
        """Of the most loaded tie, by the larger of both models of the verdict."""
        return float(self.verdict.ties.load[self.verdict.ties.worst])

    def on_plate(self, depth: Any) -> Any:
        """Force on a dinner plate held flat against the form, nothing stiffened."""
        across = PLATE[self.system] / IN_ONE[self.system]
        return self.wet.pressure(depth) * pi * across**2 / 4.0

    def bags(self, load: float) -> float:
        """Bags of cement of that weight."""
        weight = 1.0 if self.system == "US" else GRAVITY / 1000.0  # of a pound, of a kilogram
        return load / (BAG[self.system] * weight)

    def concrete(self, load: float) -> float:
        """Volume of this concrete of that weight, in cubic feet or m3."""
        return load / float(self.verdict.case.given["unit_weight"])

    def trial(self, name: str) -> Trial | None:
        """The trial of that name, if the document covers it."""
        return next((t for t in self.trials if t.name == name), None)

    @property
    def at_least(self) -> bool:
        """Whether half the rate brings no less, though the lower part counts as stiffened."""
        slower = self.trial("slower")
        if slower is None or self.stiff is None or not below(self.stiff.p_max, self.wet.p_max):
            return False
        return bool(at_most(self.stiff.p_max, slower.envelope.p_max))

    @property
    def colder_by(self) -> float | None:
        """Degrees between the planned trial and the cold one."""
        planned, cold = self.trial("planned"), self.trial("colder")
        if planned is None or cold is None:
            return None
        assert planned.temperature is not None
        assert cold.temperature is not None
        return planned.temperature - cold.temperature


def prepare(plan: Plan) -> Lesson:
    """The lesson on a plan. Raises Refusal as `check` does."""
    verdict = check(plan)
    case = verdict.case
    rate = case.rate or (verdict.pace.rate if verdict.pace else USUAL_RATE[case.rule.system])
    trials = tuple(_trials(plan, verdict, rate))
    try:
        study = missing_tie_study(plan)
    except Refusal:  # a single row has no neighbours
        study = None
    return Lesson(
        verdict, verdict.full, rate, trials[0].envelope if trials else None, trials,
        by_hand(case.rows, verdict.envelope), study, None if study is None else _forgotten(study),
        _corner(verdict),
    )  # fmt: skip


def _trials(plan: Plan, verdict: Verdict, rate: float) -> Iterator[Trial]:
    """As planned, then one thing changed at a time; what the document does not cover is left out.

    Rates are steady but for the planned one, which keeps its own rise.
    """
    case = verdict.case

    def trial(name: str, changed: cases.Case, rate: float, rise: float | None = None) -> Trial:
        envelope = changed.envelope(rate, rise)
        load = float(tie_loads(changed.rows, envelope).load.max())
        temperature = changed.given["temperature"]
        passes = bool(at_most(load, changed.tie.usable))
        return Trial(name, rate, temperature, envelope, load, passes)

    try:
        yield trial("planned", case, rate, case.rise)
    except OutOfRange:
        return
    yield trial("slower", case, rate / 2.0)
    yield trial("faster", case, rate * 2.0)
    warm, unit = case.given["temperature"], terms()["temperature"].unit[case.rule.system]
    for step in COLDER[case.rule.system] if warm is not None else ():
        cold = what_if(plan, "concrete.temperature", f"{warm - step:.6g} {unit}")
        try:
            yield trial("colder", cases.set_up(cold), rate)
            break
        except OutOfRange:
            continue
    if plan.concrete.mix.retarder is False:
        late = what_if(plan, "concrete.mix.retarder", True)
        yield trial("retarder", cases.set_up(late), rate)


def _forgotten(study: Study) -> Forgotten | None:
    """The most loaded tie that a hinged beam can pass; None where one would have to push."""
    hinged, *rails = study.line.removals
    if not hinged.held.any() or hinged.before.min() < 0.0:
        return None
    tie = int(np.argmax(np.where(hinged.held, hinged.before, -1.0)))
    bounds = tuple(float(np.max(r.after[tie])) if r.held[tie] else None for r in rails)
    return Forgotten(tie, hinged.before, hinged.after[tie], bounds)


def _corner(verdict: Verdict) -> Corner | None:
    """The pull at an outside corner of this wall, at the pressure that is judged."""
    case, envelope = verdict.case, verdict.envelope
    thickness, given = case.bare.delivery.thickness, case.bare.form.corners
    if thickness is None:
        return None
    stated = isinstance(given, Corners)
    leg = LEG[case.rule.system]
    first = given.first_tie if isinstance(given, Corners) else thickness + leg
    width = ends.corner_width(first, thickness)
    low, high = case.rows.start, case.rows.top
    return Corner(
        thickness, first, stated, width, width * float(envelope.pressure(high - low)),
        width * ends.force(envelope, low, high, high), leg, thickness + leg,
    )  # fmt: skip
