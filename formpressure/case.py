"""One plan judged by one rule: bare inputs, ties, ratings, and the pressures that follow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.capacity import ratings
from formpressure.capacity.ratings import Rating
from formpressure.demand.ties import TieRows, allowable_pressure, tie_rows
from formpressure.envelope import Envelope
from formpressure.errors import Refusal
from formpressure.plan import Plan
from formpressure.rule import RULES, Allowed, Rule

USUAL_DOCUMENT = "ACI 347R-14"
USUAL_WEIGHT = {"US": 150.0, "SI": 23.53596}  # pcf; kN/m3 (2400 kg/m3): ACI normal weight
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

    @property
    def rate(self) -> float | None:
        """The stated fastest local rise."""
        rate: float | None = self.bare.delivery.fastest_rise
        return rate

    @property
    def layer_time(self) -> float:
        """Shortest minutes in which one layer, or one truck, goes in."""
        return self.bare.delivery.layer_time or USUAL_LAYER_TIME

    def liquid_head(self) -> Envelope:
        """The form filled straight up, before anything stiffens."""
        blank = ("temperature", "slump", "vibration", "vibration_depth")
        given = {k: v for k, v in self.given.items() if k not in blank}
        return self.rule.envelope(**given)

    def allowable_pressure(self) -> float:
        """Largest pressure that rows of ties and, where rated, panels may carry."""
        slope = self.liquid_head().slope
        by_ties = allowable_pressure(self.rows, slope, self.tie.usable)
        return min(by_ties, self.panel.usable) if self.panel else by_ties

    def allowed(self) -> Allowed:
        """The rates for which ties and rated panels pass; OutOfRange where the rule refuses."""
        return self.rule.allowed_bare(self.allowable_pressure(), **self.given)


def set_up(plan: Plan, system: str = "") -> Case:
    """Set a plan up for its governing document, in its own unit system or another."""
    system = system or plan.units
    rule = find_rule(plan, system)
    bare = plan.bare(system)
    start, top = bare.wall.placed_from or 0.0, highest_surface(bare)
    ties = bare.ties
    rows = tie_rows(ties.heights, start, top, ties.spacing, ties.joints)
    return Case(
        plan, bare, rule, _given(bare, rule, top - start, system), rows,
        _rating(plan, "ties.basis", ties.load, ties.basis, ratings.CLAUSE), _panel(plan, bare),
    )  # fmt: skip


def find_rule(plan: Plan, system: str) -> Rule:
    """The rule of the plan's document in one unit system; a new rule is found by its document."""
    name = plan.document.name or USUAL_DOCUMENT
    known = {str(rule.document): rule for rule in RULES.values() if rule.system == system}
    if name not in known:
        cure = f"Use {' or '.join(sorted(known))}"
        problem = f"no document with {system} constants here"
        raise Refusal(problem, cure, file=plan.file, key="document.name", value=name)
    return known[name]


def highest_surface(bare: Plan) -> float:
    """Top of concrete, or top of form where nothing keeps it from being filled higher."""
    wall = bare.wall
    if wall.form_height is None or wall.overfilling_prevented:
        return float(wall.height)
    return float(wall.form_height)


def element(bare: Plan, rule: Rule) -> str:
    """ "wall" or "column" by plan sides, never by label; "larger" where they do not decide."""
    sides = (bare.delivery.length, bare.delivery.thickness)
    if None not in sides and rule.is_column(*sides):
        return "column"
    if None not in sides and bare.wall.short_pieces is False:
        return "wall"
    return "larger"


def _given(bare: Plan, rule: Rule, height: float, system: str) -> dict[str, Any]:
    concrete, mix, vibration = bare.concrete, bare.concrete.mix, bare.concrete.vibration
    flowing = concrete.self_consolidating
    return {
        "height": height,
        "unit_weight": concrete.unit_weight or USUAL_WEIGHT[system],
        "temperature": concrete.temperature,
        "slump": concrete.slump,
        "cement": None if mix.cement is None else mix.cement.removeprefix("Type ").strip(),
        "retarder": mix.retarder,
        "fly_ash": mix.fly_ash,
        "slag": mix.slag,
        "element": element(bare, rule),
        "vibration": vibration.kind,
        "vibration_depth": vibration.depth,
        "self_consolidating": concrete.slump is None if flowing is None else flowing,
        "from_base": bare.delivery.method == "pump from base",
    }


def _panel(plan: Plan, bare: Plan) -> Rating | None:
    panels = bare.form.panels
    if panels is None:
        return None
    return _rating(plan, "form.panels.basis", panels.pressure, panels.basis, ratings.OWN)


def _rating(plan: Plan, key: str, stated: float, basis: str, clause: Any) -> Rating:
    try:
        return ratings.rating(stated, basis, clause)
    except Refusal as refusal:
        raise refusal.at(file=plan.file, key=key) from None
