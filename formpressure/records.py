"""Frozen records that every floor above shares: sources, ranges, amounts and checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any


class Label(StrEnum):
    """How far a value is known to stand in its document."""

    READ = "READ"  # seen in the source's own text
    QUOTED = "QUOTED"  # seen quoted in another text
    MEMORY = "MEMORY"  # from memory, confirm against the document
    PRACTICE = "PRACTICE"  # common practice, no source
    OWN = "OWN"  # our own rule or statics, stated as such


@dataclass(frozen=True, slots=True)
class Document:
    """One edition of one published document."""

    body: str
    number: str
    title: str
    year: int
    note: str = ""
    superseded_by: str = ""  # for reading old drawings only; such a document never governs

    def __str__(self) -> str:
        return f"{self.body} {self.number}"


@dataclass(frozen=True, slots=True)
class Clause:
    """A place in a document: `says` is our own short wording of what it asks."""

    document: str
    place: str
    says: str
    label: Label

    def __str__(self) -> str:
        memory = ", from memory" if self.label is Label.MEMORY else ""
        return f"{self.document}, {self.place}{memory}: {self.says}"


@dataclass(frozen=True, slots=True)
class Range:
    """Where a document applies for one term; outside it the rule refuses.

    Between `least` and `most`, or for what is no number, one of `only`. `among` keeps the range to
    some choices of another term: (term, its choices).
    """

    term: str
    least: float
    most: float
    clause: Clause
    only: tuple[Any, ...] = ()
    among: tuple[str, tuple[str, ...]] | None = None

    def concerns(self, given: Mapping[str, Any]) -> bool:
        """Whether it holds for these inputs at all."""
        return self.among is None or given.get(self.among[0]) in self.among[1]


@dataclass(frozen=True, slots=True)
class Amount:
    """A bare number that still knows its term and unit system, for messages and reports."""

    term: str
    bare: float
    system: str


class Status(StrEnum):
    """Outcome of one check. Silence never passes: a blank is NOT CHECKED."""

    OK = "OK"
    NOT_OK = "NOT OK"
    NOT_CHECKED = "NOT CHECKED"
    DOES_NOT_APPLY = "DOES NOT APPLY"
    BY_OTHERS = "OK BY OTHERS"


@dataclass(frozen=True, slots=True)
class Check:
    """One named check of the closed list.

    `note` names a sentence in the table of strings and `facts` fills it; `key` is the plan key to
    fill where the check is open. `ratio` is demand / capacity.
    """

    name: str
    status: Status
    note: str
    facts: dict[str, Any] = field(default_factory=dict)
    key: str = ""
    demand: Amount | None = None
    capacity: Amount | None = None
    clause: Clause | None = None

    @property
    def ratio(self) -> float | None:
        """demand / capacity, or None where there is nothing to compare."""
        if self.demand is None or self.capacity is None:
            return None
        if self.capacity.bare == 0.0:
            return float("inf") if self.demand.bare > 0.0 else 0.0
        return self.demand.bare / self.capacity.bare


# The closed list of checks, the same for every plan, in the order reports print them.
CHECKS = (
    "faces tied through", "pressure document", "placing method", "vibration", "admixtures",
    "ties", "panels", "tie bearing", "joint connectors", "corners", "bulkheads", "openings",
    "batter and ledges", "overhangs", "base", "bracing", "stages", "brackets", "placement joint",
)  # fmt: skip
# What decides the pressure and the ties is never taken from others.
NEVER_BY_OTHERS = (
    "faces tied through", "pressure document", "placing method", "vibration", "admixtures", "ties",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation: the same arithmetic as TeX and as one plain line.

    `name` is its sentence in the table of strings; `value` is bare and not rounded, in the unit
    that the line ends with, or None for a line that only compares.
    """

    name: str
    tex: str
    plain: str
    clause: Clause
    value: float | None = None
