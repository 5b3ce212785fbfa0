"""What a plan can tell a pressure rule: one entry for each input that a kernel may name.

A rule takes the inputs that its kernel names and no others, so a new document needs nothing here
unless it asks for something that no plan says yet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import radians, tan
from typing import Any

from formpressure.plan import Concrete, Plan
from formpressure.plan_form import Slopes
from formpressure.rule import Rule
from formpressure.units import across, at_most, enter

USUAL_WEIGHT = {"US": "150 pcf", "SI": "2400 kg/m3"}  # ACI normal weight, from memory
MOST_LEAN = 5.0  # degrees from plumb: DIN 18218:2010-01, from memory
# Flow-table classes of DIN 1045-2 (EN 206), upper limit in mm, as a German encyclopaedia article on
# consistency gives them (QUOTED). Between two classes the softer one counts (our reading).
FLOW_CLASSES = (
    ("F1", 340.0), ("F2", 410.0), ("F3", 480.0), ("F4", 550.0), ("F5", 620.0), ("F6", 700.0),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Input:
    """The plan keys an input comes from, the first to be named in messages, and how to take it."""

    keys: tuple[str, ...]
    take: Callable[[Plan, Rule], Any]  # the plan in bare numbers of the rule's unit system


def given_for(bare: Plan, rule: Rule) -> dict[str, Any]:
    """What the plan says of the rule's inputs, without the rate; None for what it leaves out."""
    return {
        term: INPUTS[term].take(bare, rule)
        for term in rule.terms
        if term in INPUTS and term != "rate"
    }


def plan_key(term: str) -> str:
    """Where the plan says this input."""
    return INPUTS[term].keys[0] if term in INPUTS else term


def asked(rule: Rule, assumed: tuple[tuple[str, str], ...]) -> Iterator[tuple[str, str]]:
    """The assumptions that this rule rests on: none of keys that it does not ask for."""
    ours = {key for term in rule.terms for key in (INPUTS[term].keys if term in INPUTS else ())}
    others = {key for entry in INPUTS.values() for key in entry.keys} - ours - ALWAYS
    yield from ((key, blank) for key, blank in assumed if key not in others)


def highest_surface(bare: Plan) -> float:
    """Top of concrete, or top of form where nothing keeps it from being filled higher."""
    wall = bare.wall
    if wall.form_height is None or wall.overfilling_prevented:
        return float(wall.height)
    return float(wall.form_height)


def flow_class(mm: float) -> str:
    """Consistency class of a spread on the flow table, SCC beyond the last.

    >>> flow_class(450.0), flow_class(415.0)
    ('F3', 'F3')
    """
    return next((name for name, most in FLOW_CLASSES if at_most(mm, most)), "SCC")


def consistency(concrete: Concrete, system: str) -> str | None:
    """The class as stated or by the flow table; SCC where the plan says self-consolidating."""
    if concrete.self_consolidating:
        return "SCC"
    if concrete.flow is not None:
        return flow_class(across("flow", concrete.flow, system, "SI"))
    return concrete.consistency


def self_consolidating(bare: Plan, rule: Rule) -> bool:
    """Stated outright or by class; where nothing tells how wet the concrete is, yes."""
    concrete = bare.concrete
    if concrete.self_consolidating is not None:
        return concrete.self_consolidating
    kind = consistency(concrete, rule.system)
    return concrete.slump is None if kind is None else kind == "SCC"


def element(bare: Plan, rule: Rule) -> str:
    """ "wall" or "column" by plan sides, never by label; "larger" where they do not decide."""
    sides = (bare.delivery.length, bare.delivery.thickness)
    if None not in sides and rule.is_column(*sides):
        return "column"
    if None not in sides and bare.wall.short_pieces is False:
        return "wall"
    return "larger"


def _unit_weight(bare: Plan, rule: Rule) -> float:
    stated = bare.concrete.unit_weight
    if stated is not None:
        return float(stated)  # below: the same concrete in both unit sets of a document
    return float(enter("unit_weight", rule.usual_weight or USUAL_WEIGHT[bare.units], rule.system))


def _form_height(bare: Plan, _: Rule) -> float | None:
    """From the foot of the placement to the top of the form (our reading, with lifts)."""
    top = bare.wall.form_height
    return None if top is None else float(top) - (bare.wall.placed_from or 0.0)


def _plumb(bare: Plan, _: Rule) -> bool | None:
    """Whether the faces lean no more than the document takes; both faces together are counted."""
    slopes = bare.form.batter_and_ledges
    if slopes is None:
        return None
    if not isinstance(slopes, Slopes):
        return True
    run, height = float(slopes.run or 0.0), float(bare.wall.height)
    return bool(at_most(run, height * tan(radians(MOST_LEAN))))


def _cement(bare: Plan, _: Rule) -> str | None:
    name = bare.concrete.mix.cement
    return None if name is None else name.removeprefix("Type ").strip()


def _setting(part: str) -> Callable[[Plan, Rule], Any]:
    def take(bare: Plan, _: Rule) -> Any:
        measured = bare.concrete.setting
        return None if measured is None else getattr(measured, part)

    return take


INPUTS: dict[str, Input] = {
    "height": Input(
        ("wall.height", "wall.form_height", "wall.placed_from", "wall.overfilling_prevented"),
        lambda bare, _: highest_surface(bare) - (bare.wall.placed_from or 0.0),
    ),
    "form_height": Input(("wall.form_height",), _form_height),
    "rate": Input(("delivery.fastest_rise",), lambda bare, _: bare.delivery.fastest_rise),
    "unit_weight": Input(("concrete.unit_weight",), _unit_weight),
    "temperature": Input(("concrete.temperature",), lambda bare, _: bare.concrete.temperature),
    "slump": Input(("concrete.slump",), lambda bare, _: bare.concrete.slump),
    "consistency": Input(
        ("concrete.consistency", "concrete.flow"),
        lambda bare, rule: consistency(bare.concrete, rule.system),
    ),
    "setting_time": Input(("concrete.setting",), _setting("time")),
    "setting_temperature": Input(("concrete.setting",), _setting("temperature")),
    "cement": Input(("concrete.mix.cement",), _cement),
    "retarder": Input(("concrete.mix.retarder",), lambda bare, _: bare.concrete.mix.retarder),
    "fly_ash": Input(("concrete.mix.fly_ash",), lambda bare, _: bare.concrete.mix.fly_ash),
    "slag": Input(("concrete.mix.slag",), lambda bare, _: bare.concrete.mix.slag),
    "element": Input(("wall.short_pieces",), element),
    "vibration": Input(("concrete.vibration.kind",), lambda bare, _: bare.concrete.vibration.kind),
    "vibration_depth": Input(
        ("concrete.vibration.depth",), lambda bare, _: bare.concrete.vibration.depth
    ),
    "self_consolidating": Input(("concrete.self_consolidating",), self_consolidating),
    "plumb": Input(("form.batter_and_ledges",), _plumb),
    "tight_face": Input(("form.tight_face",), lambda bare, _: bare.form.tight_face),
    "from_base": Input(
        ("delivery.method",), lambda bare, _: bare.delivery.method == "pump from base"
    ),
}
# Keys that other checks rest on too: they are told whatever the rule asks.
ALWAYS = {"form.batter_and_ledges", "delivery.method", "wall.form_height"}
