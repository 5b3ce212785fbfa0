"""The plan as frozen records. Their fields are the one table of keys that reader and docs use.

A key is refused if missing, or assumed at its worst and printed ASSUMED, or leaves its checks
open. Measured values are quantities as written; `Plan.bare(system)` is the same plan in bare
numbers of one unit system, each converted once.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args, get_type_hints

from formpressure import units
from formpressure.keys import ASSUMED, FULL_HEAD, OPENS, REFUSED, WORST_MIX, Measure, key
from formpressure.plan_delivery import Delivery
from formpressure.plan_form import Form
from formpressure.plan_job import Line, Loading, Strip
from formpressure.plan_layout import LayoutPlan
from formpressure.plan_spread import Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    height: Measure = key(
        "height", REFUSED, "top of concrete above the footing, at its deepest point"
    )
    form_height: Measure | None = key(
        "height", ASSUMED, "top of the form above the footing",
        blank="the form ends at the top of concrete",
    )  # fmt: skip
    overfilling_prevented: bool | None = key(
        "flag", ASSUMED, "something stops the concrete at `height`, such as a nailed grade strip",
        blank="no: head is taken to the top of the form",
    )  # fmt: skip
    placed_from: Measure | None = key(
        "height", ASSUMED, "level of the hardened concrete this placement starts on",
        blank="the placement goes down to the footing",
    )  # fmt: skip
    hardened: str | None = key(
        "text", OPENS, "by what test or time that concrete has hardened", blank="placement joint"
    )
    short_pieces: bool | None = key(
        "flag", ASSUMED, "piers between openings or short returns with no plan side over the "
        "document's limit for columns (6.5 ft)",
        blank="yes: the larger of the wall and the column equations",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    engineer: str = key("text", REFUSED, "the engineer who accepts it")
    method: str = key("text", REFUSED, "by what calculation")
    why: str = key("text", REFUSED, "why it may be taken")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ties:
    load: Measure = key("load", REFUSED, "load of one tie with its wedge and clip, from its sheet")
    basis: str = key(
        "text", REFUSED, '"working load at 2:1" (the factor of the sheet), "breaking load", or '
        'by a document with partial factors "design resistance"',
    )  # fmt: skip
    heights: tuple[Measure, ...] = key(
        "list height", REFUSED, "level of every row of ties above the footing"
    )
    spacing: Measure | None = key(
        "spacing",
        REFUSED,
        "from one tie line to the next along the wall (or give `joints`, or a `layout`)",
    )
    joints: tuple[Measure, ...] | None = key(
        "list position", REFUSED, "uneven tie lines: distance of each from one end (or `spacing`)"
    )
    breaking_of: str | None = key(
        "choice", OPENS, "what was tested for a breaking load: the least of the three counts",
        blank="ties", choices=("tie, wedge and clip",),
    )  # fmt: skip
    data_sheet: str | None = key("text", OPENS, "the sheet the load is from", blank="ties")
    continuous: Accepted | None = key(
        "table", OPENS, "who accepts the tie loads where studs or wales that run on past the ties "
        "bring more than the working load", blank="ties",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    cement: str | None = key(
        "text", ASSUMED, "type of cement by the document's names: I, II, III; ordinary Portland, "
        "Portland blast-furnace; others take the row of other types", blank=WORST_MIX,
    )  # fmt: skip
    retarder: bool | None = key(
        "flag", ASSUMED, "any admixture that delays setting, also a water reducer that does",
        blank="not known: counts as retarded",
    )  # fmt: skip
    fly_ash: Measure | None = key("fly_ash", ASSUMED, "fly ash, % of the binder", blank=WORST_MIX)
    slag: Measure | None = key("slag", ASSUMED, "slag, % of the binder", blank=WORST_MIX)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vibration:
    kind: str | None = key(
        "choice", ASSUMED, "how the concrete is consolidated", blank=FULL_HEAD,
        choices=("internal", "external", "hammering", "rodding", "none"),
    )  # fmt: skip
    depth: Measure | None = key(
        "vibration_depth", ASSUMED, "deepest the vibrator goes below the surface, revibration "
        "included", blank=FULL_HEAD,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class JointWindow:
    time: Measure = key(
        "duration", REFUSED, "after one layer is in, the time within which the next still knits "
        "into it; or the initial set of the mix",
    )  # fmt: skip
    temperature: Measure = key("temperature", REFUSED, "of the concrete that time holds for")
    by: str | None = key(
        "text", OPENS, "who measured it on this mix, and how", blank="it counts as an estimate"
    )
    warmest: Measure | None = key(
        "temperature", OPENS, "warmest concrete expected, which sets first",
        blank="that of `concrete.temperature`",
    )  # fmt: skip
    with_retarder: Measure | None = key(
        "duration", OPENS, "the same measured with a retarder in the mix",
        blank="what a retarder does to the joint is not told",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    time: Measure = key(
        "setting_time", REFUSED, "measured setting time of this mix, the longest of its tests, "
        "from first contact of water and cement",
    )  # fmt: skip
    temperature: Measure = key(
        "setting_temperature", REFUSED, "temperature of the concrete in the test"
    )
    by: str = key("text", REFUSED, "who measured it, and by what test")
    date: str = key("date", REFUSED, "when")


@dataclass(frozen=True, slots=True, kw_only=True)
class Concrete:
    temperature: Measure | None = key(
        "temperature", ASSUMED, "coldest concrete accepted, as placed", blank=FULL_HEAD
    )
    slump: Measure | None = key(
        "slump", ASSUMED, "wettest concrete accepted, all admixtures in", blank=FULL_HEAD
    )
    unit_weight: Measure | None = key(
        "unit_weight", ASSUMED, "heaviest concrete accepted",
        blank="150 pcf (SI plans: 2400 kg/m3; by CIRIA and DIN 25 kN/m3)",
    )  # fmt: skip
    consistency: str | None = key(
        "choice", ASSUMED, "softest class accepted, by EN 206 / DIN 1045-2 (or give `flow`)",
        blank=FULL_HEAD, choices=("F1", "F2", "F3", "F4", "F5", "F6", "SCC"),
    )  # fmt: skip
    flow: Measure | None = key(
        "flow", OPENS, "widest spread accepted on the flow table, in place of `consistency`",
        blank="the class counts",
    )  # fmt: skip
    setting: Setting | None = key(
        "table", ASSUMED, "measured setting time, for documents that go by it", blank=FULL_HEAD
    )
    self_consolidating: bool | None = key(
        "flag", ASSUMED, "self-consolidating or flowing concrete",
        blank="no where a slump or another class is given, else yes",
    )  # fmt: skip
    joint_window: JointWindow | None = key(
        "table", OPENS, "how long a layer may wait for the next",
        blank="no time for joints; it is no check of the list",
    )  # fmt: skip
    mix: Mix = key("table", ASSUMED, "the binder and what delays setting")
    vibration: Vibration = key("table", ASSUMED, "how the concrete is consolidated")


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    who: str = key("text", REFUSED, "who compared the constants with the printed document")
    edition: str = key("text", REFUSED, "the edition in hand")
    date: str = key("date", REFUSED, "when")


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentChoice:
    name: str | None = key(
        "text", ASSUMED, "the pressure document that governs", blank="ACI 347R-14"
    )
    chosen_by: str | None = key("text", ASSUMED, "who chose it", blank="nobody named: our default")
    compare: tuple[str, ...] | None = key(
        "list text", OPENS, "other documents to judge the form by as well",
        blank="those in force here with constants in the units of the plan",
    )  # fmt: skip
    confirmed: Confirmed | None = key(
        "table", OPENS, "who compared our constants with the printed document",
        blank="none; every report says that the constants are not yet confirmed",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ByOthers:
    checks: tuple[str, ...] = key("list text", REFUSED, "the checks made by others, by name")
    who: str = key("text", REFUSED, "who made them")
    document: str = key("text", REFUSED, "the paper they are in")
    date: str = key("date", REFUSED, "its date")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    keys: tuple[str, ...] = key("list text", REFUSED, "the keys of this plan that were measured")
    who: str = key("text", REFUSED, "who measured")
    date: str = key("date", REFUSED, "when")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A plan as read: `file` and `checksum` tell which, `assumed` what was not in it."""

    units: str = key(
        "choice", REFUSED, "the document's own set of constants", choices=units.SYSTEMS
    )
    title: str | None = key("text", OPENS, "what the wall is called", blank="none")
    revision: str | None = key(
        "text", OPENS, "which issue of the plan it is, such as B", blank="a line for it on the card"
    )
    wall: Wall = key("table", REFUSED, "the wall and this placement")
    ties: Ties = key("table", REFUSED, "form ties")
    concrete: Concrete = key("table", ASSUMED, "bounds: coldest, wettest, heaviest accepted")
    delivery: Delivery = key("table", OPENS, "how concrete comes and how fast it rises")
    document: DocumentChoice = key("table", ASSUMED, "the pressure document")
    form: Form = key("table", OPENS, "what the form consists of; none where it has none")
    loading: Loading | None = key("table", OPENS, "what the crew takes along", blank="counts")
    line: Line | None = key("table", OPENS, "readings of the string line", blank="line and plumb")
    strip: Strip | None = key(
        "table", OPENS, "temperatures and tests after the pour", blank="strip, load, backfill"
    )
    layout: LayoutPlan | None = key(
        "table", OPENS, "sides of the wall and stock at hand: tie lines and runs follow from it",
        blank="no layout; `ties.spacing` or `ties.joints` instead",
    )  # fmt: skip
    by_others: tuple[ByOthers, ...] = key(
        "tables", OPENS, "checks made by others; never for pressure or ties"
    )
    measured: tuple[Measured, ...] = key(
        "tables", OPENS, "values that were measured; every other one is told as given, not measured"
    )
    spread: Spread | None = key(
        "table", OPENS, "how far inputs lie apart, for the study of input spread; never for a "
        "verdict", blank="no study",
    )  # fmt: skip
    file: str = ""
    checksum: str = ""
    assumed: tuple[tuple[str, str], ...] = ()  # dotted key, what was assumed

    def bare(self, system: str) -> Plan:
        """The same plan with every measured value as a bare number in the units of `system`."""
        plan: Plan = _bare(self, system)
        return plan


def _bare(record: Any, system: str) -> Any:
    def convert(field: dataclasses.Field[Any]) -> Any:
        value, reads = getattr(record, field.name), field.metadata.get("reads", "")
        if value is None:
            return None
        if reads in units.terms():
            return units.enter(reads, value, system)
        if reads == "tables":
            return tuple(_bare(v, system) for v in value)
        if reads.removeprefix("list ") in units.terms():
            return tuple(units.enter(reads.removeprefix("list "), v, system) for v in value)
        return _bare(value, system) if dataclasses.is_dataclass(value) else value

    return type(record)(**{f.name: convert(f) for f in dataclasses.fields(record)})


def table_of(owner: type, name: str) -> type:
    """The record class that a "table" or "tables" field of `owner` reads."""
    hint = get_type_hints(owner)[name]
    candidates = get_args(hint) or (hint,)
    return next(c for c in candidates if dataclasses.is_dataclass(c) and isinstance(c, type))


def walk_keys(owner: type = Plan, prefix: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of the plan file in order: dotted name and its metadata."""
    for field in dataclasses.fields(owner):
        if not field.metadata:
            continue
        name = f"{prefix}{field.name}"
        if field.metadata["reads"] in ("table", "tables"):
            yield from walk_keys(table_of(owner, field.name), f"{name}.")
        else:
            yield name, dict(field.metadata)


def keys_table_markdown() -> str:
    """The table of keys that the docs print."""
    lines = ["| key | reads | if missing | meaning |", "| --- | --- | --- | --- |"]
    for name, meta in walk_keys():
        reads = ", ".join(f'"{c}"' for c in meta["choices"]) or meta["reads"].replace("_", " ")
        blank = f": {meta['blank']}" if meta["blank"] else ""
        lines.append(f"| `{name}` | {reads} | {meta['need']}{blank} | {meta['says']} |")
    return "\n".join(lines) + "\n"
