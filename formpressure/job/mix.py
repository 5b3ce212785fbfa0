"""Temperature of the fresh concrete from its ingredients, the way back, and drying of the open top.

Mixing is a balance of heat: solids count 0.22, water 1. Free moisture on the aggregate is water at
the temperature of the aggregate. Heat of hydration, of the mixer and of the road is not in it.
Bare numbers are lb and F, the units of the balance as published.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.errors import Refusal
from formpressure.job.estimate import Estimate, amount, one, positive, quantity
from formpressure.records import Amount, Clause, Label
from formpressure.units import at_most

BALANCE = Clause(
    "Concrete Construction magazine", 'Q&A "If you get it when it is hot"',
    "0.22 on cement and aggregate, 1.0 on water, free moisture counted as water", Label.READ,
)  # fmt: skip
ICE = Clause(
    "ACI 305R, Hot Weather Concreting", "temperature from ingredients, with ice",
    "a pound of ice brings -112, and counts as a pound of water once molten", Label.MEMORY,
)  # fmt: skip
FUSION = Clause("CRD-C 307-91", "heat of fusion", "143.5 Btu/lb, so 32 F - 143.5 = -111.5",
                Label.READ)  # fmt: skip
DISCHARGE = Clause(
    "ACI 301-20 and ACI 305.1-14, as quoted in other texts", "concrete at discharge",
    "not over 95 F", Label.QUOTED,
)  # fmt: skip
MUCH_ICE = Clause(
    "formpressure", "own choice", "tell when over half of the water is ice", Label.OWN
)

SOLIDS = 0.22  # specific heat over that of water
ICE_HEAT = -112.0  # F: what a pound of ice at 32 F brings, its melting included
FREEZING, BOILING = 32.0, 212.0  # F, water at sea level
HOTTEST = 95.0  # F, DISCHARGE
HALF = 0.5  # MUCH_ICE


@dataclass(frozen=True, slots=True)
class Batch:
    """What goes into one batch: bare lb and F. `aggregate` is dry, `water` is liquid.

    `moisture` is free water on the aggregate and as warm as it; `ice` is at 32 F.
    """

    cement: float
    aggregate: float
    water: float
    moisture: float
    ice: float
    cement_temperature: float
    aggregate_temperature: float
    water_temperature: float

    @property
    def capacity(self) -> float:
        """Heat for each degree, as pounds of water; ice counts once molten."""
        return SOLIDS * (self.cement + self.aggregate) + self.water + self.moisture + self.ice

    @property
    def heat_without_water(self) -> float:
        """Heat of all but the mixing water and the ice, in lb of water times F."""
        cement = SOLIDS * self.cement * self.cement_temperature
        return cement + self.aggregate_temperature * (SOLIDS * self.aggregate + self.moisture)

    @property
    def heat(self) -> float:
        """Heat of the whole batch, in lb of water times F."""
        mixing = self.water * self.water_temperature + ICE_HEAT * self.ice
        return self.heat_without_water + mixing


def batch(
    *, cement: Any, cement_temperature: Any, aggregate: Any, aggregate_temperature: Any,
    water: Any, water_temperature: Any, moisture: Any = "0 lb", ice: Any = "0 lb",
) -> Batch:  # fmt: skip
    """A batch from quantities or text, such as cement="470 lb", cement_temperature="150 F".

    Raises Refusal for an empty batch, for water that is ice or steam, and for frozen moisture,
    whose melting the balance leaves out.
    """
    masses = {"cement": cement, "aggregate": aggregate, "water": water, "moisture": moisture,
              "ice": ice}  # fmt: skip
    temperatures = {
        "cement_temperature": cement_temperature,
        "aggregate_temperature": aggregate_temperature,
        "water_temperature": water_temperature,
    }
    made = Batch(
        **{k: positive(k, "mass", v) for k, v in masses.items()},
        **{k: one(k, "ingredient_temperature", v) for k, v in temperatures.items()},
    )
    if made.capacity <= 0.0:
        raise Refusal("an empty batch", "Give the masses of the ingredients", key="cement")
    _refuse_no_liquid("water_temperature", made.water_temperature, water_temperature)
    if made.moisture > 0.0 and made.aggregate_temperature < FREEZING:
        raise Refusal(
            "frozen moisture on the aggregate takes heat to melt that is not counted here",
            "Thaw the aggregate, or give no moisture",
            key="aggregate_temperature",
            value=str(aggregate_temperature),
        )
    return made


def _refuse_no_liquid(key: str, bare: float, value: Any) -> None:
    """Water outside freezing to boiling is no mixing water, and no concrete either."""
    if not (at_most(FREEZING, bare) and at_most(bare, BOILING)):
        problem = f"water is not liquid at that; it is from {FREEZING:g} to {BOILING:g} F"
        raise Refusal(problem, "Check the number; ice has its own place", key=key, value=str(value))


def fresh_temperature(b: Batch) -> float:
    """T = [0.22 (Tc Wc + Ta Wa) + Ta Wm + Tw Ww - 112 Wi] / [0.22 (Wc + Wa) + Wm + Ww + Wi], F."""
    return b.heat / b.capacity


def water_temperature_for(b: Batch, target: float) -> float:
    """Mixing water in F that brings the batch to `target`: `fresh_temperature` solved for Tw."""
    return (target * b.capacity - b.heat_without_water - ICE_HEAT * b.ice) / b.water


def ice_mass_for(b: Batch, target: float) -> float:
    """Ice in lb, in place of as much of the water, that brings the batch to `target`.

    `fresh_temperature` solved for Wi at a given sum of water and ice.
    """
    all_liquid = b.heat_without_water + (b.water + b.ice) * b.water_temperature
    return (all_liquid - target * b.capacity) / (b.water_temperature - ICE_HEAT)


def mix_temperature(b: Batch, *, system: str = "US") -> Estimate:
    """Temperature of the fresh concrete. A note tells when it is over the most at discharge.

    The part of ice is from memory, confirm against the document. Raises Refusal where the batch
    would come out below freezing, so that ice or water would be left or made as ice.

    >>> b = batch(cement="470 lb", cement_temperature="150 F", aggregate="3300 lb",
    ...           aggregate_temperature="70 F", water="260 lb", water_temperature="70 F")
    >>> round(mix_temperature(b).value.magnitude, 1)
    77.6
    """
    found = fresh_temperature(b)
    if not at_most(FREEZING, found):
        raise Refusal(
            "the batch would freeze: not all of its water would be liquid",
            "Use less ice or warmer materials",
            key="ice" if b.ice else "aggregate_temperature",
            value=f"{found:.3g} F",
        )
    return _told("temperature", found, b, found, system)


def water_for(b: Batch, target: Any, *, system: str = "US") -> Estimate:
    """How warm the mixing water must be for concrete of `target`; the batch's own does not count.

    Raises Refusal where water between freezing and boiling cannot do it.
    """
    goal = _target(target)
    if b.water == 0.0:
        raise Refusal("no mixing water in the batch", "Give the water", key="water")
    found = water_temperature_for(b, goal)
    if not at_most(FREEZING, found):
        raise _beyond("no liquid water is cold enough", "Use ice or cooler materials", target)
    if not at_most(found, BOILING):
        raise _beyond("the water would have to boil", "Warm the aggregate too", target)
    return _told("ingredient_temperature", found, b, goal, system)


def ice_for(b: Batch, target: Any, *, system: str = "US") -> Estimate:
    """Ice, in place of as much of the mixing water, for concrete of `target`.

    The sum of water and ice stays. Zero, with a note, where it is cold enough without. From memory,
    confirm against the document. Raises Refusal where all of the water as ice is too little.
    """
    goal = _target(target)
    found = ice_mass_for(b, goal)
    if not at_most(found, b.water + b.ice):
        raise _beyond(
            "it takes more ice than there is mixing water", "Use cooler materials", target
        )
    if found <= 0.0:
        return Estimate(
            quantity("mass", 0.0, "US", system), (BALANCE, ICE, FUSION), ("no_ice_needed",)
        )
    return _told("mass", found, b, goal, system, ice=found)


def _target(target: Any) -> float:
    bare = one("target", "temperature", target)
    _refuse_no_liquid("target", bare, target)
    return bare


def _beyond(problem: str, cure: str, target: Any) -> Refusal:
    return Refusal(problem, cure, key="target", value=str(target))


def _told(
    term: str, bare: float, b: Batch, concrete: float, system: str, ice: float | None = None
) -> Estimate:
    """The answer with its sources, and what must be said of so warm a concrete and so much ice."""
    clauses, notes, facts = [BALANCE], [], dict[str, Amount]()
    ice = b.ice if ice is None else ice
    if ice > 0.0:
        clauses += [ICE, FUSION]
    if not at_most(ice, HALF * (b.water + b.ice)):
        clauses.append(MUCH_ICE)
        notes.append("much_ice")
    if not at_most(concrete, HOTTEST):
        clauses.append(DISCHARGE)
        notes.append("hot_at_discharge")
        facts["limit"] = amount("temperature", HOTTEST, "US", system)
    value = quantity(term, bare, "US", system)
    return Estimate(value, tuple(clauses), tuple(notes), facts)
