"""What the estimates of the job share: the record they come back in, and the doors for numbers."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from formpressure.errors import Refusal
from formpressure.records import Amount, Clause
from formpressure.units import enter, leave


@dataclass(frozen=True, slots=True)
class Estimate:
    """An answer as a quantity, where it is from, and what must be said with it.

    `clauses` carry source and label. `notes` name sentences in the table of strings and `facts`
    fills them.
    """

    value: Any
    clauses: tuple[Clause, ...]
    notes: tuple[str, ...] = ()
    facts: dict[str, Amount] = field(default_factory=dict)


def one(key: str, term: str, value: Any, system: str = "US") -> float:
    """One quantity, or text, -> bare; `key` is its name in a message.

    Raises Refusal for several values, for one that is no number, and for what `enter` refuses.
    """
    try:
        bare = enter(term, value, system)
    except Refusal as refusal:
        refusal.key = key
        raise
    if np.ndim(bare) != 0 or not np.isfinite(bare):
        raise Refusal("not one number", "Give a single value with its unit", key=key)
    return float(bare)


def positive(key: str, term: str, value: Any, system: str = "US") -> float:
    """`one`, for what cannot be negative, such as a mass or a length of time."""
    bare = one(key, term, value, system)
    if bare < 0.0:
        raise Refusal("a negative value", "Check the number", key=key, value=str(value))
    return bare


def amount(term: str, bare: float, own: str, system: str) -> Amount:
    """A bare number in the units of `own` -> an amount in those of `system`."""
    return Amount(term, float(enter(term, leave(term, bare, own), system)), system)


def quantity(term: str, bare: float, own: str, system: str) -> Any:
    """A bare number in the units of `own` -> a quantity in those of `system`."""
    return leave(term, amount(term, bare, own, system).bare, system)
