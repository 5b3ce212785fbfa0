"""Temperature of the fresh concrete from its ingredients.

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
    def heat(self) -> float:
        """Heat of the whole batch, in lb of water times F."""
        cement = SOLIDS * self.cement * self.cement_temperature
        aggregate = self.aggregate_temperature * (SOLIDS * self.aggregate + self.moisture)
        mixing = self.water * self.water_temperature + ICE_HEAT * self.ice
        return cement + aggregate + mixing


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


def mix_temperature(b: Batch, *, system: str = "US") -> Estimate:
    """Temperature of the fresh concrete; notes tell of much ice and of the most at discharge.

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
    clauses, notes, facts = [BALANCE], [], dict[str, Amount]()
    if b.ice > 0.0:
        clauses += [ICE, FUSION]
    if not at_most(b.ice, HALF * (b.water + b.ice)):
        clauses.append(MUCH_ICE)
        notes.append("much_ice")
    if not at_most(found, HOTTEST):
        clauses.append(DISCHARGE)
        notes.append("hot_at_discharge")
        facts["limit"] = amount("temperature", HOTTEST, "US", system)
    value = quantity("temperature", found, "US", system)
    return Estimate(value, tuple(clauses), tuple(notes), facts)
