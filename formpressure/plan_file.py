"""Reading a plan file: TOML in, frozen records out, one clear message for anything else."""

from __future__ import annotations

import dataclasses
import datetime
import difflib
import hashlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from formpressure import units
from formpressure.errors import Refusal, printable
from formpressure.keys import Need
from formpressure.plan import Concrete, Plan, table_of
from formpressure.plan_agree import with_runs, without_runs
from formpressure.plan_delivery import refuse_what_cannot_be, relevant
from formpressure.plan_job import refuse_job
from formpressure.plan_spread import refuse_no_spread
from formpressure.records import CHECKS, NEVER_BY_OTHERS

LARGEST_FILE = 200_000  # bytes; a plan is a page or two of text
LONGEST_TEXT = 200
DEEPEST = 30  # parts of a dotted key; reading thousands of them would fill the memory
_PART = r"""(?:[\w-]++|"(?:[^"\\\n]|\\.){0,99}+"|'[^'\n]{0,99}+')"""
_DEEP = re.compile(rf"(?<![\w-])(?:{_PART}[ \t]*+\.[ \t]*+){{{DEEPEST}}}", re.ASCII)
LONGEST_LIST = 500
MOST_ROWS = 100  # of ties: one for every foot of the highest wall
CARRIED_BETWEEN = 40.0, 100.0  # F; where `job.setting` carries a time over, our own range
COUNTS = {"count": 20, "pieces": 10_000}
EITHER = ("ties.spacing", "ties.joints")  # or a layout: refused once the whole plan is known


def load_plan(path: str | Path) -> Plan:
    """Read a plan file.

    Raises Refusal, with file, key, value and cure, for anything that is not a complete plan.
    """
    file = printable(str(path))
    try:
        with Path(path).open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except IsADirectoryError:
        raise Refusal("is a folder", "Name the plan file in it", file=file) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"cannot be opened ({why})", "Check the name and path", file=file) from None
    if len(content) > LARGEST_FILE:
        problem = f"is larger than {LARGEST_FILE // 1000} kB"
        raise Refusal(problem, "A plan is a page of text: check the name", file=file)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal("is not UTF-8 text", "Save it as plain text, UTF-8", file=file) from None
    return read_plan(text, file=file)


def read_plan(text: str, file: str = "plan") -> Plan:
    """Read a plan from TOML text; `file` is the name that messages and reports give it."""
    try:
        if _DEEP.search(text):
            raise RecursionError
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # not all of what tomllib raises is its own
        why = "nested too deeply" if isinstance(error, RecursionError) else str(error)
        if isinstance(error, ValueError) and not isinstance(error, tomllib.TOMLDecodeError):
            why = "a number of thousands of digits"
        cure = "Write key = value, text and measured values in quotes, each key once"
        raise Refusal(f"is not TOML: {why}", cure, file=file) from None
    try:
        plan: Plan = with_runs(_record(Plan, data, ""))
        _consistent(plan)
    except Refusal as refusal:
        raise refusal.at(file=file) from None
    return _told(plan, file, text)


def what_if(plan: Plan, key: str, value: Any) -> Plan:
    """The same plan with one key changed, read and refused just as in the file.

    `key` is dotted ("concrete.temperature"); `value` is what would stand in the file ("45 F", true,
    a list, a table as a dict), or None to leave the key out. File name and checksum tell the
    change. Raises Refusal as `read_plan` does.
    """
    try:
        changed: Plan = with_runs(_changed(without_runs(plan), key.split("."), value, ""))
        _consistent(changed)
    except Refusal as refusal:
        raise refusal.at(file=plan.file) from None
    change = f"{key} = {value}" if isinstance(value, str) else f"{key} = {value!r}"
    return _told(changed, f"{plan.file} with {change}", f"{plan.checksum} {key} {value!r}")


def _told(plan: Plan, file: str, text: str) -> Plan:
    """The plan with its name, its checksum and what it leaves to assume."""
    checksum = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:12]
    listed = tuple(relevant(plan.delivery, list(_assumed(plan, ""))))
    return dataclasses.replace(plan, file=file, checksum=checksum, assumed=listed)


def _assumed(record: Any, prefix: str) -> Iterator[tuple[str, str]]:
    """Every key left out whose worst is assumed, with what is assumed."""
    for field in dataclasses.fields(record):
        value, place = getattr(record, field.name), prefix + field.name
        if value is None and field.metadata and field.metadata["need"] is Need.ASSUMED:
            yield place, field.metadata["blank"]
        for inner in value if isinstance(value, tuple) else (value,):
            if dataclasses.is_dataclass(inner):
                yield from _assumed(inner, f"{place}.")


def _changed(record: Any, path: list[str], value: Any, prefix: str) -> Any:
    """A record with the key at the end of `path` changed."""
    name, *deeper = path
    field, place = _field(type(record), name, prefix), prefix + name
    if deeper:
        inner = getattr(record, name)
        if not dataclasses.is_dataclass(inner):
            cure = f"Change {place} as a whole"
            raise Refusal("holds no single keys in this plan", cure, key=place)
        new = _changed(inner, deeper, value, f"{place}.")
    elif value is None:
        new = _left_out(type(record), field, place)
    else:
        new = _value(type(record), field, value, place)
    return dataclasses.replace(record, **{name: new})


def _record(owner: type, data: Any, prefix: str) -> Any:
    if not isinstance(data, dict):
        name = prefix.rstrip(".")
        raise Refusal("is not a table", f"Write [{name}] and its keys below it", key=name)
    for name in data:
        _field(owner, name, prefix)
    values = {}
    for field in dataclasses.fields(owner):
        if not field.metadata:
            continue
        name, place = field.name, prefix + field.name
        if name in data:
            values[name] = _value(owner, field, data[name], place)
        else:
            values[name] = _left_out(owner, field, place)
    return owner(**values)


def _field(owner: type, name: str, prefix: str) -> Any:
    """The field of a key, or the refusal that offers the closest."""
    fields = {f.name: f for f in dataclasses.fields(owner) if f.metadata}
    if name not in fields:
        near = difflib.get_close_matches(name, fields, n=1, cutoff=0.5)
        known = f"Did you mean {near[0]}?" if near else f"Keys here: {', '.join(fields)}"
        raise Refusal("not a key of the plan", known.rstrip("?"), key=prefix + name[:40])
    return fields[name]


def _left_out(owner: type, field: Any, place: str) -> Any:
    """What a key counts as that is not there."""
    reads = field.metadata["reads"]
    if field.metadata["need"] is Need.REFUSED and place not in EITHER:
        raise Refusal("missing", f"Add {place}: {field.metadata['says']}", key=place)
    if reads == "table" and "None" not in str(field.type):
        return _record(table_of(owner, field.name), {}, f"{place}.")
    return () if reads == "tables" else None


def _value(owner: type, field: Any, value: Any, place: str) -> Any:
    reads: str = field.metadata["reads"]
    if reads == "table" and field.metadata["choices"] and isinstance(value, str):
        return _single("choice", field.metadata["choices"], value, place)
    if reads == "table":
        return _record(table_of(owner, field.name), value, f"{place}.")
    if reads == "tables":
        if not isinstance(value, list):
            raise Refusal("is not a list of tables", f"Write [[{place}]]", key=place, value=value)
        inner = table_of(owner, field.name)
        return tuple(_record(inner, v, f"{place}.") for v in value)
    if reads.startswith("list "):
        return _list(reads.removeprefix("list "), value, place)
    return _single(reads, field.metadata["choices"], value, place)


def _list(reads: str, value: Any, place: str) -> tuple[Any, ...]:
    if not isinstance(value, list) or not value:
        cure = (
            'Write it in brackets: ["1 ft", "3 ft"]' if reads != "text" else 'Write ["...", "..."]'
        )
        raise Refusal("is not a list with something in it", cure, key=place, value=value)
    if len(value) > LONGEST_LIST:
        raise Refusal(f"has over {LONGEST_LIST} entries", "Check the list", key=place)
    return tuple(_single(reads, (), v, place) for v in value)


def _single(reads: str, choices: tuple[str, ...], value: Any, place: str) -> Any:
    if reads in units.terms():
        try:
            return units.read(reads, value)
        except Refusal as refusal:
            raise refusal.at(key=place) from None
    if reads == "flag":
        if not isinstance(value, bool):
            raise Refusal("neither true nor false", "Write true or false", key=place, value=value)
        return value
    if reads in COUNTS:
        most = COUNTS[reads]
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
            cure = "Write how many, without quotes"
            raise Refusal(f"is not a count of 0 to {most}", cure, key=place, value=value)
        return value
    if reads == "date" and isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    if not isinstance(value, str) or not value.strip():
        raise Refusal("is not text", "Write it in quotes", key=place, value=value)
    if len(value) > LONGEST_TEXT or not value.isprintable():
        cure = f"Write one line of at most {LONGEST_TEXT} letters"
        raise Refusal("too long, or has letters that do not print", cure, key=place, value=value)
    if reads == "choice" and value not in choices:
        near = difflib.get_close_matches(value, choices, n=1)
        hint = f'Did you mean "{near[0]}"' if near else f"Use {', '.join(choices)}"
        raise Refusal("not one of its choices", hint, key=place, value=value)
    return value.strip()


def _consistent(plan: Plan) -> None:
    """What no single key can tell. Compared in feet, whatever the units of the plan."""
    bare = plan.bare("US")
    wall, ties = bare.wall, bare.ties
    top = wall.height if wall.form_height is None else wall.form_height
    if wall.height <= 0.0:
        raise Refusal("no height", "Give the height of the wall", key="wall.height")
    if not units.at_most(wall.height, top):
        cure = "Give the form's height, at least that of the concrete"
        raise Refusal("the form is lower than the concrete", cure, key="wall.form_height")
    start = wall.placed_from or 0.0
    if start and not units.below(start, wall.height):
        cure = "It must be under wall.height"
        raise Refusal("the placement would have no height", cure, key="wall.placed_from")
    if start and wall.hardened is None:
        cure = "Add wall.hardened: by what test or time; or leave placed_from out"
        raise Refusal("a placement starts anew only on hardened concrete", cure,
                      key="wall.placed_from")  # fmt: skip
    _levels(ties.heights, "ties.heights", top)
    if not any(units.below(start, y) and units.below(y, wall.height) for y in ties.heights):
        cure = "Give the rows that hold this placement"
        raise Refusal("no row of ties in the placement", cure, key="ties.heights")
    if ties.spacing is None and ties.joints is None and plan.layout is None:
        cure = "Add ties.spacing (or ties.joints, or a layout): from one tie line to the next"
        raise Refusal("missing", cure, key="ties.spacing")
    if ties.spacing is not None and ties.joints is not None:
        raise Refusal("given beside ties.spacing", "Keep one of the two", key="ties.joints")
    if ties.joints is not None:
        if len(ties.joints) < 2:
            raise Refusal(
                "a single tie line", "Give every line, or ties.spacing", key="ties.joints"
            )
        _distinct(ties.joints, "ties.joints")
    _joint_window(bare.concrete)
    refuse_what_cannot_be(bare.delivery, start, wall.height)
    refuse_no_spread(plan.spread, plan.concrete)
    refuse_job(bare.line, bare.strip, bare.loading)
    _one_consistency(plan)
    for part, holds in (("bulkheads", "heights"), ("openings", "struts")):
        record = getattr(bare.form, part)
        if record is not None and record != "none":
            _distinct(getattr(record, holds), f"form.{part}.{holds}")
    for entry in plan.by_others:
        for name in entry.checks:
            _by_others(plan, name)
    for stated in plan.measured:
        for name in stated.keys:
            _measured(plan, name)


def _joint_window(concrete: Concrete) -> None:
    window, place = concrete.joint_window, "concrete.joint_window"
    if window is None:
        return
    low, high = CARRIED_BETWEEN
    for name in ("temperature", "warmest"):
        stated = getattr(window, name)
        if stated is not None and not (units.at_most(low, stated) and units.at_most(stated, high)):
            cure = f"Setting is carried over between {low:g} and {high:g} F only"
            raise Refusal("too cold or too warm", cure, key=f"{place}.{name}",
                          value=f"{stated:.3g} F")  # fmt: skip
    coldest = concrete.temperature
    if None not in (window.warmest, coldest) and not units.at_most(coldest, window.warmest):
        cure = "It must be at least concrete.temperature, the coldest accepted"
        raise Refusal("colder than the coldest", cure, key=f"{place}.warmest")
    if window.with_retarder is not None and window.by is None:
        cure = f"Add {place}.by, or leave it out"
        raise Refusal("only a measured time tells it", cure, key=f"{place}.with_retarder")


def _one_consistency(plan: Plan) -> None:
    concrete, stated = plan.concrete, plan.concrete.consistency
    if stated is not None and concrete.flow is not None:
        cure = "Keep one of the two"
        raise Refusal("given beside concrete.consistency", cure, key="concrete.flow")
    flows = concrete.self_consolidating
    if stated is not None and flows is not None and flows != (stated == "SCC"):
        cure = 'Give the class "SCC" for self-consolidating concrete, or take one of the two out'
        raise Refusal("says otherwise than concrete.self_consolidating", cure,
                      key="concrete.consistency", value=stated)  # fmt: skip


def _levels(heights: tuple[float, ...], place: str, top: float) -> None:
    if len(heights) > MOST_ROWS:
        raise Refusal(f"has over {MOST_ROWS} rows", "Check the list", key=place)
    _distinct(heights, place)
    for y in heights:
        if y <= 0.0:
            cure = "Give the level above the footing"
            raise Refusal("a tie at the footing", cure, key=place, value=f"{y:g} ft")
        if not units.at_most(y, top):
            cure = "Take the row out, or give wall.form_height if the form is taller"
            raise Refusal("a tie above the form", cure, key=place, value=f"{y:g} ft")


def _distinct(levels: tuple[float, ...], place: str) -> None:
    for low, high in zip(sorted(levels), sorted(levels)[1:], strict=False):
        if high - low < 1.0 / 12.0 - units.TOLERANCE:  # no two ties stand within an inch
            cure = "Take one out"
            raise Refusal("the same place twice", cure, key=place, value=f"{high:g} ft")


def _by_others(plan: Plan, name: str) -> None:
    place = "by_others.checks"
    if name in NEVER_BY_OTHERS:
        cure = "The plan itself must answer it"
        raise Refusal("never taken from others", cure, key=place, value=name)
    if name not in CHECKS:
        allowed = [c for c in CHECKS if c not in NEVER_BY_OTHERS]
        near = difflib.get_close_matches(name, allowed, n=1)
        hint = f'Did you mean "{near[0]}"' if near else f"Use {', '.join(allowed)}"
        raise Refusal("not the name of a check", hint, key=place, value=name)
    if getattr(plan.form, name.replace(" ", "_"), None) is not None:
        cure = f"Keep form.{name.replace(' ', '_')} or the check by others, not both"
        raise Refusal("answered in the plan as well", cure, key=place, value=name)


def _measured(plan: Plan, name: str) -> None:
    """A value that was measured must stand in the plan."""
    found: Any = plan
    for part in name.split("."):
        keys = dataclasses.fields(found) if dataclasses.is_dataclass(found) else ()
        named = any(field.name == part and field.metadata for field in keys)
        found = getattr(found, part) if named else None
    if found is None or found == () or dataclasses.is_dataclass(found):
        cure = "Name keys that have a value here, such as concrete.temperature"
        raise Refusal("no value of this plan", cure, key="measured.keys", value=name)
