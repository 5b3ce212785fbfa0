"""The pressure envelope: what a pressure document says the form must resist."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from formpressure.records import Clause, Label
from formpressure.units import below, enter, leave

if TYPE_CHECKING:
    from formpressure.rule import Rule

Number = Any  # float or numpy array, bare
STILL_LIQUID = Clause(
    "formpressure", "own bound",
    "what went in within half an hour, or the shorter time that the plan gives, is still liquid",
    Label.OWN,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Envelope:
    """Pressure over depth: `surge * unit_weight * depth` down to `p_max`, constant below.

    Every level sees its largest pressure when the surface stands `liquid_depth` above it, so the
    envelope holds for every level of the surface during the placement. Numbers are bare, in the
    units of `system`; scalars or arrays.
    """

    rule: Rule
    given: dict[str, Any]  # the inputs as the rule took them, bare
    own_p_max: Number  # by the rule's own unit set
    branch: Number  # which clause governed, element by element: index into rule.clauses
    coefficients: dict[str, Number]  # such as Cw and Cc, for showing the arithmetic
    surge: float = 1.0  # over liquid head when pumped from the base
    other: Envelope | None = None  # the document's other unit set, where it takes another branch
    own_bound: float | None = None  # not of the document: liquid head of what is still liquid

    @property
    def system(self) -> str:
        return self.rule.system

    @property
    def p_max(self) -> Number:
        """The largest pressure: that of the document, or our own bound where it is higher."""
        return self.by_document if self.own_bound is None else max(self.by_document, self.own_bound)

    @property
    def by_document(self) -> Number:
        """The higher of the two unit sets where they take other branches."""
        if self.other is None:
            return self.own_p_max
        return max(self.own_p_max, enter("pressure", self.other.peak, self.system))

    @property
    def bound_governs(self) -> bool:
        """Whether our own bound is over what the document asks, for scalars."""
        return self.own_bound is not None and bool(below(self.by_document, self.own_bound))

    @property
    def slope(self) -> Number:
        """Rise of pressure with depth near the surface, pressure for each unit of depth."""
        return self.surge * self.given["unit_weight"]

    @property
    def liquid_depth(self) -> Number:
        """Depth at which the pressure stops growing."""
        return self.p_max / self.slope

    @property
    def peak(self) -> Any:
        """The largest pressure, as a quantity."""
        return leave("pressure", self.p_max, self.system)

    @property
    def governed_by(self) -> Clause | np.ndarray:
        """The clause that governed; an array of clauses for array inputs."""
        if self.bound_governs:
            return STILL_LIQUID
        if self.other is not None and self.by_document > self.own_p_max:
            return self.other.governed_by
        chosen: Clause | np.ndarray = np.asarray(self.rule.clauses, dtype=object)[self.branch]
        return chosen

    def pressure(self, depth: Number) -> Number:
        """Bare pressure at bare depth below the surface; zero above it."""
        return np.minimum(self.slope * np.maximum(depth, 0.0), self.p_max)

    def at(self, depth: Any) -> Any:
        """Pressure at a depth below the surface, quantities in and out ("3 ft" is read)."""
        return leave("pressure", self.pressure(enter("depth", depth, self.system)), self.system)
