"""Small tables with their sources: one TOML file, several tables, each with source, units, label.

    [sizes.source]            # where it stands: body, title, year, place, label, and what it says;
                              # `undated` in place of `year` says why no year is told
    [sizes.units]             # the unit of every column of numbers, "-" for a plain ratio
    [[sizes.row]]             # a row may carry its own `place`, `label` and `says`

A table that lacks source, units or label is refused.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from formpressure.errors import Refusal
from formpressure.records import Clause, Label
from formpressure.units import TOLERANCE

SOURCE = {"body": str, "title": str, "year": int, "place": str, "label": str, "says": str}
OWN = ("label", "place", "says")  # what a row may carry in place of its source's


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its values, and where they stand."""

    values: Mapping[str, Any]
    clause: Clause

    def __getitem__(self, column: str) -> Any:
        return self.values[column]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of one source; `units` names the unit of every column of numbers."""

    name: str
    units: Mapping[str, str]
    rows: tuple[Row, ...]

    def find(self, **wanted: Any) -> Row:
        """The one row with these values; a column that lists several answers to each of them.

        Raises Refusal for what is not tabulated: nothing is interpolated or taken from beside it.
        """
        for row in self.rows:
            if all(_same(row[column], value) for column, value in wanted.items()):
                return row
        asked = ", ".join(str(value) for value in wanted.values())
        known = "; ".join(dict.fromkeys(_key(row, tuple(wanted)) for row in self.rows))
        raise Refusal(f"not in the table of {self.name}", f"Use {known}", value=asked)


def _same(held: Any, wanted: Any) -> bool:
    if isinstance(held, list):
        return wanted in held
    if isinstance(held, float | int) and isinstance(wanted, float | int):
        return abs(held - wanted) <= TOLERANCE * abs(held)
    return bool(held == wanted)


def _key(row: Row, columns: tuple[str, ...]) -> str:
    held = (row[column] for column in columns)
    return " ".join("/".join(h) if isinstance(h, list) else str(h) for h in held)


@functools.cache
def load_tables(name: str) -> Mapping[str, Table]:
    """The tables of data/<name>.toml by name."""
    file = resources.files("formpressure.data").joinpath(f"{name}.toml")
    return read_tables(file.read_text(encoding="utf-8"), file=f"{name}.toml")


def read_tables(text: str, file: str = "table") -> Mapping[str, Table]:
    """Tables from TOML text.

    Raises Refusal for a table without source, units or label.
    """
    return {name: _table(name, data, file) for name, data in tomllib.loads(text).items()}


def _table(name: str, data: Any, file: str) -> Table:
    def refuse(problem: str, cure: str, place: str) -> Refusal:
        return Refusal(problem, cure, file=file, key=f"{name}.{place}")

    if not isinstance(data, dict) or not isinstance(data.get("source"), dict):
        raise refuse("a table without a source", f"Write [{name}.source]", "source")
    if not isinstance(data.get("units"), dict):
        raise refuse("a table without units", f"Write [{name}.units]", "units")
    if not data.get("row"):
        raise refuse("a table without rows", f"Write [[{name}.row]]", "row")
    source, units = data["source"], data["units"]
    undated = source.get("undated")
    for item, kind in SOURCE.items():
        if item == "year" and isinstance(undated, str) and undated and "year" not in source:
            continue
        if not isinstance(source.get(item), kind) or source[item] == "":
            raise refuse(f"the source lacks its {item}", f"Add {item}", f"source.{item}")
    rows = []
    for values in data["row"]:
        columns = {k: v for k, v in values.items() if k not in OWN}
        for column, value in columns.items():
            number = isinstance(value, float | int) and not isinstance(value, bool)
            if number and column not in units:
                raise refuse("a column of numbers without a unit", "Add its unit", f"row.{column}")
        label = values.get("label", source["label"])
        if label not in list(Label):
            raise refuse("not a label", f"Use {', '.join(Label)}", "row.label")
        document = f"{source['body']}, {source['title']}, {source.get('year', undated)}"
        place = values.get("place", source["place"])
        says = values.get("says", source["says"])
        rows.append(Row(columns, Clause(document, place, says, Label(label))))
    return Table(name, units, tuple(rows))
