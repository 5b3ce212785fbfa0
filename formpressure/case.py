"""One plan judged by one rule: bare inputs, ties, ratings, and the pressures that follow."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from formpressure.capacity import ratings
from formpressure.capacity.ratings import Rating
from formpressure.demand.ties import TieRows, tie_rows
from formpressure.envelope import STILL_LIQUID, Envelope
from formpressure.errors import Refusal
from formpressure.inputs import asked, given_for, highest_surface
from formpressure.job.layout import Layout
from formpressure.job.tie_lines import find_layout, tie_width, unit_of
from formpressure.plan import Plan
from formpressure.plan_delivery import filling_of
from formpressure.pour import HALF_HOUR, Filling, Pour
from formpressure.rise import HOUR
from formpressure.rule import RULES, Allowed, Rule
from formpressure.units import SYSTEMS, TOLERANCE, across, at_most, terms

USUAL_DOCUMENT = "ACI 347R-14"
USUAL_LAYER_TIME = 10.0  # minutes, our own assumption, printed ASSUMED


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the checks of one plan by one rule start from; bare, in the rule's units."""

    plan: Plan
    bare: Plan
    rule: Rule
    given: dict[str, Any]  # the rule's inputs without the rate
    rows: TieRows
    tie: Rating
    panel: Rating | None
    other: Case | None  # the same plan by the same document's other unit set
    filling: Filling | None  # how the trucks fill the wall, where the plan tells it all
    pour: Pour | None  # what comes of it
    rate: float | None  # fastest local rise: stated or by the trucks, the faster of both
    rise: float | None  # what can be in the form and still liquid, for our own bound
    layout: Layout | None = None  # where the pieces stand, of a plan that has a layout

    @property
    def gaps(self) -> tuple[Any, ...]:
        """From tie line to tie line, one array for each straight piece of wall; corners of a
        layout count as lines."""
        ties = self.bare.ties
        if self.layout is None:
            return (np.diff(np.sort(ties.joints)),) if ties.joints else (np.array([ties.spacing]),)
        system, sides = self.rule.system, self.layout.path.sides
        return tuple(np.diff(tie_width(self.layout, side, system)[0]) for side in sides)

    @property
    def pilaster(self) -> float:
        """Width of the widest pilaster; 0 where the plan lays out none."""
        if self.layout is None:
            return 0.0
        boxes = (box.width for side in self.layout.path.sides for box in side.boxes)
        return float(max(boxes, default=0)) * unit_of(self.layout, self.rule.system)

    def steady_rise(self, rate: Any) -> Any:
        """Rise at a steady rate while what went in is still liquid, by our own bound."""
        return steady_rise(self.bare, rate)

    @property
    def layer_time(self) -> float:
        """Shortest minutes in which one layer, or one truck, goes in."""
        return self.bare.delivery.layer_time or USUAL_LAYER_TIME

    def liquid_head(self) -> Envelope:
        """The form filled straight up, before anything stiffens."""
        return self.rule.liquid_head(**self.given)

    def planned_envelope(self) -> Envelope:
        """The pressure of the pour as planned; only where the plan tells a rate."""
        assert self.rate is not None
        return self.envelope(self.rate, self.rise)

    def envelope(self, rate: float, rise: float | None = None) -> Envelope:
        """The pressure at a rate, of the document and by our own bound, whichever is higher.

        Our own bound (OWN, in no document): p >= unit weight x rise within half an hour, since
        that much is still liquid; never over liquid head. `rise` blank: the rate is steady.
        """
        rise = self.steady_rise(rate) if rise is None else rise
        bound = self.given["unit_weight"] * min(rise, self.given["height"])
        return dataclasses.replace(self._by_document(rate), own_bound=float(bound))

    def _by_document(self, rate: float) -> Envelope:
        """The largest pressure of this rate and of every lower one, which it includes.

        By one unit set a faster rise is never a lower pressure; between the limits of two it is.
        """
        lower = [cut * (1.0 - 4.0 * TOLERANCE) for cut in self._cuts() if cut <= rate]
        return max((self._at(r) for r in (rate, *lower)), key=lambda found: float(found.p_max))

    def _cuts(self) -> list[float]:
        """Rates at which either unit set changes its equation; none where there is one set."""
        if self.other is None:
            return []
        theirs = [self._from_other("rate", r) for r in self.other.rule.rate_limits]
        return sorted([*self.rule.rate_limits, *theirs])

    def _at(self, rate: float) -> Envelope:
        """Where the document's two unit sets, each rounded on its own, put this wall on different
        sides of a limit, both are kept and the higher decides."""
        own = self.rule.envelope(rate=rate, **self.given)
        if self.other is None or not self.other_side(rate):
            return own
        other = self.other.rule.envelope(rate=self._in_other("rate", rate), **self.other.given)
        return dataclasses.replace(own, other=other)

    def _in_other(self, term: str, bare: Any) -> Any:
        assert self.other is not None
        return across(term, bare, self.rule.system, self.other.rule.system)

    def _from_other(self, term: str, bare: Any) -> Any:
        assert self.other is not None
        return across(term, bare, self.other.rule.system, self.rule.system)

    def peaks(self, rate: Any, rise: Any, changed: dict[str, Any]) -> Any:
        """The largest pressure of many pours at once, as `envelope` finds it for one.

        `rate` and the changed inputs of the rule are numbers or arrays of one shape; `rate` None is
        the form filled straight up. Raises OutOfRange where one is outside the rule's range.
        """
        changed = {**changed, "rate": rate}
        given = {**self.given, **changed}
        shape = np.broadcast_shapes(*map(np.shape, changed.values()))
        peak = np.array(np.broadcast_to(self.rule.envelope(**given).p_max, shape))
        if rate is None:
            return peak
        if self.other is not None:
            sides = {k: v for k, v in changed.items() if k == "slump"}  # others have no such limits
            cuts = [cut for cut in self._cuts() if np.any(cut <= rate)]
            for r in (rate, *(np.minimum(rate, cut * (1.0 - 4.0 * TOLERANCE)) for cut in cuts)):
                apart = np.broadcast_to(self.other_side(r if cuts else np.max(r), sides), shape)
                if apart.any():
                    inputs = {**changed, "rate": r}.items()
                    some = {k: v[apart] if np.ndim(v) else v for k, v in inputs}
                    peak[apart] = np.maximum(peak[apart], self._by_other(some))
        return np.maximum(peak, given["unit_weight"] * np.minimum(rise, given["height"]))

    def _by_other(self, changed: dict[str, Any]) -> Any:
        """Largest pressure by the other unit set, in our own unit."""
        assert self.other is not None
        given = {**self.other.given, **self._changed_in_other(changed)}
        return self._from_other("pressure", self.other.rule.envelope(**given).p_max)

    def other_side(self, rate: Any = 0.0, changed: dict[str, Any] | None = None) -> Any:
        """Whether the document's other unit set puts this wall on another side of a limit."""
        if self.other is None:
            return False
        changed = changed or {}
        own = {**self.given, **changed, "rate": rate}
        other = {**self.other.given, **self._changed_in_other(changed)}
        other["rate"] = self._in_other("rate", rate)
        ours, theirs = self.rule.side_of_limits(**own), self.other.rule.side_of_limits(**other)
        return functools.reduce(np.logical_or, map(np.not_equal, ours, theirs), np.False_)

    def allowed(self, pressure: float) -> Allowed:
        """The rates for which no pressure passes `pressure`; OutOfRange where the rule refuses."""
        return self.allowed_with(pressure, {})

    def allowed_with(self, pressure: float, changed: dict[str, Any]) -> Allowed:
        """The same with some of the rule's inputs changed; arrays broadcast.

        Steady rates: our own bound turned round is R <= (p / unit weight) / half an hour.
        """
        found = self.allowed_by_document(pressure, changed)
        weight = {**self.given, **changed}["unit_weight"]
        most = pressure / weight / self.steady_rise(1.0)
        stops = (found.rate < np.inf) & (most < found.rate)
        return Allowed(
            np.where(stops, most, found.rate)[()],
            np.where(stops, len(found.clauses), found.branch)[()],
            (*found.clauses, STILL_LIQUID),
        )

    def passes(self, pressure: float, changed: dict[str, Any]) -> bool:
        """Whether the pour as planned keeps to `pressure`, with some of the inputs changed."""
        assert self.rate is not None
        assert self.rise is not None
        most = self.allowed_by_document(pressure, changed).rate
        given = {**self.given, **changed}
        fresh = given["unit_weight"] * min(self.rise, given["height"])
        return bool(at_most(self.rate, most) and at_most(fresh, pressure))

    def at_temperatures(self, temperatures: Any, changed: dict[str, Any]) -> dict[str, Any]:
        """Changed inputs at every temperature, where the document asks for one."""
        if "temperature" in self.rule.terms:
            return {"temperature": temperatures, **changed}
        return changed

    def allowed_by_document(self, pressure: float, changed: dict[str, Any]) -> Allowed:
        """The rates that the document allows, without our own bound."""
        own = self.rule.allowed_bare(pressure, **{**self.given, **changed})
        if self.other is None:
            return own
        given = {**self.other.given, **self._changed_in_other(changed)}
        other = self.other.rule.allowed_bare(self._in_other("pressure", pressure), **given)
        theirs = dataclasses.replace(other, rate=self._from_other("rate", other.rate))
        return self._both(own, theirs, changed)

    def _changed_in_other(self, changed: dict[str, Any]) -> dict[str, Any]:
        return {
            k: self._in_other(k, v) if k in terms() and v is not None else v
            for k, v in changed.items()
        }

    def _both(self, own: Allowed, other: Allowed, changed: dict[str, Any]) -> Allowed:
        """Own allowed rate, but the lower of both wherever the two sets stand on different sides.

        The rates at which either set changes its equation cut the scale into stretches; inside
        one, either both sets agree on every limit or they differ all along.
        """
        edges = [0.0, *self._cuts(), np.inf]
        rate, done = np.full(np.shape(own.rate), np.inf), np.zeros(np.shape(own.rate), bool)
        branch, lower = own.branch, other.rate < own.rate
        for low, high in pairwise(edges):
            middle = (low + high) / 2.0 if high < np.inf else 2.0 * low
            limit, by = own.rate, own.branch
            if high > low * (1.0 + TOLERANCE) and self.other_side(middle, changed):
                limit = np.minimum(own.rate, other.rate)
                by = np.where(lower, len(own.clauses) + other.branch, by)
            stops = ~done & (limit < high)
            rate = np.where(stops, np.maximum(limit, low * (1.0 - 4.0 * TOLERANCE)), rate)
            branch = np.where(stops, by, branch)
            done = done | stops
        return Allowed(rate[()], branch[()], own.clauses + other.clauses)


def set_up(plan: Plan) -> Case:
    """Set a plan up for its governing document, in its own unit system."""
    return set_up_by(plan, find_rule(plan, plan.units))


def set_up_by(plan: Plan, rule: Rule, *, with_other: bool = True, like: Case | None = None) -> Case:
    """The same for any rule, in the rule's unit system.

    `like` is a case of the same plan: where its units are the rule's, what no document changes
    (rows, trucks, rates) is taken from it. Raises Refusal for a rating that the rule's document
    cannot use.
    """
    shared = like if like is not None and like.rule.system == rule.system else None
    bare = plan.bare(rule.system) if shared is None else shared.bare
    ties = bare.ties
    system = next(s for s in SYSTEMS if s != rule.system)
    twin = RULES.find(str(rule.document), system) if with_other else None
    other = None if twin is None else set_up_by(plan, twin, with_other=False)
    tie = _rating(plan, rule, "ties.basis", ties.load, plan.ties.basis, ratings.CLAUSE)
    panel, given = _panel(plan, bare, rule), given_for(bare, rule)
    told = dataclasses.replace(plan, assumed=tuple(asked(rule, plan.assumed)))
    if shared is not None:
        return dataclasses.replace(shared, plan=told, rule=rule, given=given, tie=tie, panel=panel,
                                   other=other)  # fmt: skip
    start, top = bare.wall.placed_from or 0.0, highest_surface(bare)
    layout, spacing = find_layout(plan), ties.spacing
    if layout is not None:
        sides = layout.path.sides
        spacing = max(float(tie_width(layout, side, rule.system)[1].max()) for side in sides)
    rows = tie_rows(ties.heights, start, top, spacing, ties.joints)
    filling = filling_of(bare.delivery, start, bare.wall.height, rule.system)
    pour = None if filling is None else filling.pour()
    rate, rise = _fastest(bare, filling, pour)
    return Case(told, bare, rule, given, rows, tie, panel, other, filling, pour, rate, rise,
                layout)  # fmt: skip


def steady_rise(bare: Plan, rate: Any) -> Any:
    """Rise at a steady rate within the minutes for which our own bound takes it for liquid."""
    return rate * (bare.delivery.liquid_window or HALF_HOUR) / HOUR


def _fastest(
    bare: Plan, filling: Filling | None, pour: Pour | None
) -> tuple[float | None, float | None]:
    """The rate, and the rise of what is still liquid: stated or by trucks, the larger of both."""
    rates, rises = [], []
    if bare.delivery.fastest_rise is not None:
        rates.append(float(bare.delivery.fastest_rise))
        rises.append(float(steady_rise(bare, rates[0])))
    if filling is not None and pour is not None:
        rates.append(pour.fastest(filling.rate_window).rate)
        rises.append(pour.freshest(filling.liquid_window).rise)
    return max(rates, default=None), max(rises, default=None)


def find_rule(plan: Plan, system: str) -> Rule:
    """The rule of the plan's document in one unit system; a new rule is found by its document.

    Raises Refusal for a document that is not here, or that another has superseded.
    """
    name = plan.document.name or USUAL_DOCUMENT
    rule = RULES.find(name, system)
    if rule is None:
        problem = f"no document with {system} constants here"
        if any(RULES.find(name, other) for other in SYSTEMS):
            problem += f"; {name} has others only"
        in_force = {str(r.document) for r in RULES.values()
                    if r.system == system and not r.document.superseded_by}  # fmt: skip
        cure = f"Use {' or '.join(sorted(in_force))}"
        raise Refusal(problem, cure, file=plan.file, key="document.name", value=name)
    if rule.document.superseded_by:
        problem = "superseded: it serves to read old drawings and never governs"
        cure = f"Use {rule.document.superseded_by}; document.compare may name it beside"
        raise Refusal(problem, cure, file=plan.file, key="document.name", value=name)
    return rule


def _panel(plan: Plan, bare: Plan, rule: Rule) -> Rating | None:
    panels = bare.form.panels
    if panels is None or plan.form.panels is None:
        return None
    key = "form.panels.basis"
    return _rating(plan, rule, key, panels.pressure, panels.basis, ratings.OWN)


def _rating(plan: Plan, rule: Rule, key: str, stated: float, basis: str, clause: Any) -> Rating:
    try:
        return ratings.rating(stated, basis, clause, by=rule)
    except Refusal as refusal:
        raise refusal.at(file=plan.file, key=key) from None
