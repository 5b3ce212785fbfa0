"""Pressures that others measured (data/measured_pressures.toml): too few to validate a model."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import read

FILE = "measured_pressures.toml"
KINDS = ("pressure", "ratio", "index")
TEXTS = ("id", "source", "place", "element", "states", "enough")
MEASURES = {
    "pressure": "pressure", "liquid_head": "pressure", "height": "height", "rate": "rate",
    "thickness": "thickness",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measured:
    """One programme: where it stands, how it was seen, and what its text states.

    `kind` is "pressure" where a pressure is printed, "ratio" where only its ratio to a formula is,
    "index" where the tables were not seen. The measures are quantities, None where not stated.
    """

    id: str
    kind: str
    source: str
    place: str
    label: Label
    element: str
    states: str
    enough: str  # whether the inputs of a model are stated
    note: str
    pressure: Any
    liquid_head: Any  # at the sensor, where the text states it
    height: Any
    rate: Any
    thickness: Any
    more: Mapping[str, str]  # other facts as stated

    @property
    def clause(self) -> Clause:
        """Where it stands, and what it states."""
        return Clause(self.source, self.place, f"{self.element}: {self.states}", self.label)

    def share_of_head(self, unit_weight: Any = None) -> float:
        """Measured pressure over liquid head: that which is stated, or of the whole height.

        Raises Refusal where neither is known.
        """
        head = self.liquid_head
        if head is None and self.height is not None and unit_weight is not None:
            head = read("unit_weight", unit_weight) * self.height
        if self.pressure is None or head is None:
            raise Refusal("no pressure, or no liquid head, is stated", "Take another row",
                          file=FILE, key=self.id)  # fmt: skip
        return float((self.pressure / head).m_as(""))


@functools.cache
def measured_pressures() -> tuple[Measured, ...]:
    """Every row that was found, in the order of the table."""
    return read_measured(resources.files("formpressure.data").joinpath(FILE).read_text("utf-8"))


def read_measured(text: str) -> tuple[Measured, ...]:
    """Rows from TOML text. Raises Refusal for one without its source, place or label."""
    return tuple(_row(row) for row in tomllib.loads(text).get("row", ()))


def _row(row: dict[str, str]) -> Measured:
    for name in (*TEXTS, "kind", "label"):
        if not row.get(name):
            raise Refusal(f"lacks its {name}", f"Add {name}", file=FILE, key=row.get("id", "row"))
    if row["kind"] not in KINDS or row["label"] not in list(Label):
        cure = f"Use {', '.join(KINDS)}, and {', '.join(Label)}"
        raise Refusal("not a kind or not a label", cure, file=FILE, key=row["id"])
    texts = {name: row[name] for name in TEXTS}
    measures: dict[str, Any] = {
        k: read(term, row[k]) if k in row else None for k, term in MEASURES.items()
    }
    known = {*texts, *measures, "kind", "label", "note"}
    return Measured(
        kind=row["kind"], label=Label(row["label"]), note=row.get("note", ""), **texts, **measures,
        more={k: v for k, v in row.items() if k not in known},
    )  # fmt: skip
