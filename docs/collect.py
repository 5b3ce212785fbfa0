"""What the docs gather from the code: every source it names, by label, and example reports."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import formpressure
from formpressure.records import Clause, Label
from formpressure.research.measured import measured_pressures
from formpressure.tables import load_tables

ROOT = Path(__file__).resolve().parents[1]
EXAMPLE = ROOT / "shared" / "plans" / "basement_9ft.toml"
LOGGED = ROOT / "shared" / "plans" / "two_runs_9ft.toml"
LAID_OUT = ROOT / "shared" / "plans" / "garage_L_12in.toml"
WHOLE = ROOT / "shared" / "plans" / "crew_day_8ft.toml"
LOG = ROOT / "shared" / "logs" / "two_runs_9ft.csv"
NO_TABLES = ("terms", "words_", "new_", "measured_")  # files of data/ that are no tables of values
LEAD = {
    Label.READ: "Read in the document itself.",
    Label.QUOTED: "Seen quoted in another published text.",
    Label.MEMORY: "From memory. Confirm against the document before you rely on it.",
    Label.PRACTICE: "Common practice, no source to name.",
    Label.OWN: "Our own rule or statics.",
}


def clauses() -> list[Clause]:
    """Every clause that a module or a table of the package holds, each once, in order."""
    found = set(_in_modules()) | set(_in_tables())
    return sorted(found, key=lambda c: (c.document, c.place, c.says))


def _in_modules() -> Iterator[Clause]:
    for module in pkgutil.walk_packages(formpressure.__path__, "formpressure."):
        if ".report" in module.name or module.name.endswith("__main__"):
            continue
        for value in vars(importlib.import_module(module.name)).values():
            yield from _inside(value)


def _inside(value: Any) -> Iterator[Clause]:
    if isinstance(value, Clause):
        yield value
    elif isinstance(value, dict):
        for part in value.values():
            yield from _inside(part)
    elif isinstance(value, tuple | list):
        for part in value:
            yield from _inside(part)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            yield from _inside(getattr(value, field.name))


def _in_tables() -> Iterator[Clause]:
    for file in resources.files("formpressure.data").iterdir():
        if file.name.endswith(".toml") and not file.name.startswith(NO_TABLES):
            for table in load_tables(file.name.removesuffix(".toml")).values():
                yield from (row.clause for row in table.rows)
    yield from (found.clause for found in measured_pressures())


def values_markdown() -> str:
    """One table for each label; what is from memory first."""
    parts = []
    for label in (Label.MEMORY, Label.QUOTED, Label.READ, Label.PRACTICE, Label.OWN):
        held = [c for c in clauses() if c.label is label]
        if not held:
            continue
        parts.append(f"## {label} ({len(held)})\n\n{LEAD[label]}\n\n| where | what |\n|---|---|")
        parts += [f"| {_cell(f'{c.document}, {c.place}')} | {_cell(c.says)} |" for c in held]
        parts.append("")
    return "\n".join(parts)


def _cell(text: str) -> str:
    for mark in "\\|*_<[$`":
        text = text.replace(mark, "\\" + mark)
    return text


def examples(folder: Path) -> None:
    """The reports of the demo plans, as anybody would make them."""
    from formpressure import check, follow, load_log, load_plan
    from formpressure.report.card import card_html
    from formpressure.report.export import LESSON, write_report
    from formpressure.report.files import write_whole
    from formpressure.report.log_report import log_html
    from formpressure.report.page_layout import layout_html
    from formpressure.tie_schedule import tie_schedule

    folder.mkdir(parents=True, exist_ok=True)
    verdict = check(load_plan(EXAMPLE))
    write_whole(folder / "card.html", card_html(verdict))
    write_whole(folder / "card.es.html", card_html(verdict, "es"))
    logged = check(load_plan(LOGGED))
    write_whole(folder / "log.html", log_html(follow(logged, load_log(LOG))))
    write_whole(folder / "layout.html", layout_html(tie_schedule(check(load_plan(LAID_OUT)))))
    write_report(WHOLE, folder / "whole_job.html", name="whole_job.ipynb")
    write_report(EXAMPLE, folder / "submittal.html")
    write_report(EXAMPLE, folder / "lesson.html", name=LESSON)
