"""Verdict and rate table for other programs: JSON with a versioned schema, CSV, and plain text."""

from __future__ import annotations

import csv
import io
import json
import textwrap
from importlib import resources
from typing import Any

import numpy as np

from formpressure import __version__
from formpressure.allowed import shown
from formpressure.case import Case
from formpressure.comparison import ByDocument
from formpressure.dispatch import Dispatch
from formpressure.helps import Help, nothing_fits, what_helps
from formpressure.joints import Joints
from formpressure.margin import margins
from formpressure.marks import mark_pace
from formpressure.records import Amount, Check
from formpressure.report.words import Shown, note, reason_words, say
from formpressure.rule import Allowed
from formpressure.table import Rates
from formpressure.units import terms
from formpressure.verdict import Verdict

SCHEMA_VERSION = 1
WIDTH = 88
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would run these


def schema() -> dict[str, Any]:
    """The JSON schema of what `check --json` and `rates --json` print."""
    file = resources.files("formpressure.data").joinpath(f"schema_{SCHEMA_VERSION}.json")
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return found


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """A verdict as plain data; every measured number is {"value", "unit"}."""
    case, ties = verdict.case, verdict.ties
    system, spare = case.rule.system, margins(verdict)

    def measured(term: str, bare: Any) -> dict[str, Any] | None:
        return None if bare is None else measured_of(Amount(term, float(bare), system))

    return {
        **head_of(case, "verdict"),
        "verdict": verdict.word,
        "straight_up": verdict.straight_up,
        "allowed": _allowed(verdict.allowed, system),
        "pace": None if verdict.pace is None else {
            "rate": measured("rate", verdict.pace.rate),
            "layer": measured("height", verdict.pace.layer),
            "minutes": verdict.pace.minutes,
            "truck_rise": measured("height", verdict.pace.truck_rise),
            "truck_gap_minutes": verdict.pace.truck_gap,
        },
        "margins": {
            "rate": measured("rate", spare.rate),
            "temperature_degrees": spare.temperature,
            "slump": measured("slump", spare.slump),
        },
        "pressure": {
            "judged": measured("pressure", verdict.envelope.p_max),
            "full_liquid_head": measured("pressure", verdict.full.p_max),
            "clause": str(verdict.envelope.governed_by),
        },
        "ties": [
            {
                "height": measured("height", ties.heights[i]),
                "tributary": measured("load", ties.tributary[i]),
                "hinged": measured("load", ties.hinged[i]),
                "load": measured("load", ties.load[i]),
                "capacity": measured("load", case.tie.usable),
            }
            for i in range(len(ties.heights))
        ],
        "checks": [_check(c) for c in verdict.checks],
        "others": [_other(found) for found in verdict.others],
        "trucks": None if verdict.trucks is None else _trucks(verdict, verdict.trucks),
        "joints": None if verdict.joints is None else _joints(verdict.joints, system),
        "helps": [_help(h) for h in what_helps(verdict)] if nothing_fits(verdict) else [],
    }  # fmt: skip


def _other(found: ByDocument) -> dict[str, Any]:
    """Another document: in its own units, and why it says nothing where it does not apply."""
    peak = None
    if found.envelope is not None:
        peak = measured_of(Amount("pressure", float(found.envelope.p_max), found.rule.system))
    return {
        "document": str(found.rule.document), "rule": found.rule.name, "applies": found.applies,
        "reasons": [reason_words(r) for r in (*found.reasons, found.unrated) if r is not None],
        "pressure": peak,
        "fails": [c.name for c in found.failed],
    }  # fmt: skip


def _trucks(verdict: Verdict, found: Dispatch) -> dict[str, Any]:
    system, marks = verdict.case.rule.system, mark_pace(verdict)

    def measured(term: str, bare: float | None) -> dict[str, Any] | None:
        return None if bare is None else measured_of(Amount(term, float(bare), system))

    worst, order, hold = found.worst, found.order, found.hold
    return {
        "wall": measured("volume", order.wall), "ordered": measured("volume", order.ordered),
        "count": order.trucks, "count_with_one_less": order.with_less,
        "passes": found.passes, "still_liquid_decides": found.by_rise,
        "worst": {
            "run": worst.run, "start_minute": worst.start, "end_minute": worst.end,
            "rise": measured("height", worst.rise),
        },
        "gap_minutes": found.gap, "spread": measured("length", found.spread),
        "split": found.split, "mark": measured("height", None if marks is None else marks.step),
        "mark_minutes": None if marks is None else marks.minutes,
        "hold": None if hold is None else {"truck": hold.truck, "minute": hold.minute},
        "starts": None if found.starts is None else list(found.starts),
    }  # fmt: skip


def _joints(found: Joints, system: str) -> dict[str, Any]:
    """Waits of layers; the longest gap and the slowest rate only where the window was measured."""
    rest, window = found.rest, found.window
    return {
        "longest_wait": None if rest is None else {
            "run": rest.run, "height": measured_of(Amount("height", rest.level, system)),
            "start_minute": rest.start, "end_minute": rest.end, "minutes": rest.minutes,
        },
        "window": None if window is None else {
            "measured": window.measured, "by": window.by,
            "joint_minutes": window.short, "pressure_minutes": window.long,
            "warmest": measured_of(Amount("temperature", window.warmest, system)),
            "coldest": measured_of(Amount("temperature", window.coldest, system)),
            "clauses": [str(c) for c in window.clauses],
        },
        "in_time": found.in_time, "longest_gap_minutes": found.gap,
        "slowest_rate": None if found.rate is None else measured_of(
            Amount("rate", found.rate, system)
        ),
    }  # fmt: skip


def _help(found: Help) -> dict[str, Any]:
    facts = {k: measured_of(v) if isinstance(v, Amount) else v for k, v in found.facts.items()}
    return {
        "way": found.name, "fits": found.fits, "estimated": found.estimated,
        "gap_minutes": found.least, "longest_gap_minutes": found.most, "facts": facts,
    }  # fmt: skip


def rates_json(rates: Rates) -> dict[str, Any]:
    """A rate table as plain data; null where any rate or no rate is allowed, told by `kind`."""
    system = rates.case.rule.system
    minutes, rounded = rates.minutes, rates.shown
    cells = []
    for i, temperature in enumerate(rates.temperatures):
        for j, mix in enumerate(rates.mixes):
            rate, wait = float(rounded[i, j]), float(minutes[i, j])
            some = 0.0 < rate < np.inf
            cells.append({
                "temperature": measured_of(Amount("temperature", float(temperature), system)),
                "mix": mix,
                "kind": "any" if rate == np.inf else "at most" if some else "none",
                "rate": measured_of(Amount("rate", rate, system)) if some else None,
                "minutes": None if np.isnan(wait) else int(wait),
                "truck_gap_minutes": _gap(rates, i, j),
            })  # fmt: skip
    layer = measured_of(Amount("height", rates.layer, system))
    return {**head_of(rates.case, "rates"), "layer": layer, "rows": cells}


def _gap(rates: Rates, row: int, mix: int) -> int | None:
    if rates.gaps is None or np.isnan(rates.gaps[row, mix]):
        return None
    return int(rates.gaps[row, mix])


def rates_csv(rates: Rates, language: str = "en") -> str:
    """The rate table as CSV that a spreadsheet shows and does not run."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    system, plan = rates.case.rule.system, rates.case.plan
    head = [plan.title or "", plan.file, plan.checksum, str(rates.case.rule.document)]
    writer.writerow([harmless(cell) for cell in head])
    units = [terms()[t].unit[system] for t in ("temperature", "rate")]
    writer.writerow([
        f"temperature, {units[0]}",
        *(f"{say('mix', m, language)}, {units[1]}" for m in rates.mixes),
        *(f"{say('mix', m, language)}, {say('rates', 'truck_gap', language)}"
          for m in (() if rates.gaps is None else rates.mixes)),
    ])  # fmt: skip
    mixes = range(len(rates.mixes)) if rates.gaps is not None else ()
    for i, (temperature, row) in enumerate(zip(rates.temperatures, rates.shown, strict=True)):
        gaps = ("" if (gap := _gap(rates, i, j)) is None else gap for j in mixes)
        writer.writerow([f"{temperature:g}", *(_rate_word(r, language) for r in row), *gaps])
    return out.getvalue()


def rates_text(rates: Rates, language: str = "en") -> str:
    """The rate table for a terminal; rates and, beside them, minutes for each layer."""
    system = rates.case.rule.system
    layer = str(Shown(Amount("height", rates.layer, system)))
    lines = [say("rates", "lead", language, layer=layer), ""]
    columns = [say("mix", m, language) for m in rates.mixes]
    trucks = say("rates", "gap", language) if rates.gaps is not None else ""
    unit = {t: terms()[t].unit[system] for t in ("temperature", "rate")}
    lines.append(f"{unit['temperature']:>6}  " + "".join(f"{c:>22}" for c in columns)
                 + f"{trucks:>11}".rstrip())  # fmt: skip
    for i, temperature in enumerate(rates.temperatures):
        cells = []
        for rate, wait in zip(rates.shown[i], rates.minutes[i], strict=True):
            word = _rate_word(rate, language)
            if 0.0 < rate < np.inf:
                word += f" {unit['rate']}"
                word += "" if np.isnan(wait) else f", {wait:.0f} min"
            cells.append(f"{word:>22}")
        if rates.gaps is not None:
            gap = _gap(rates, i, 0)
            cells.append(f"{'-' if gap is None else f'{gap} min':>11}")
        lines.append(f"{temperature:>6g}  " + "".join(cells))
    lines += ["", say("rates", "between", language)]
    if rates.gaps is not None:
        lines += textwrap.wrap(say("rates", "gap_lead", language), WIDTH)
    return "\n".join(lines) + "\n"


def harmless(cell: str) -> str:
    """Text that a spreadsheet takes as text, whatever it starts with."""
    return f"'{cell}" if cell.lstrip(" ").startswith(FORMULA_STARTS) else cell


def _rate_word(rate: float, language: str) -> str:
    if rate == np.inf:
        return say("rates", "any", language)
    return say("rates", "none", language) if rate <= 0.0 else f"{rate:.10g}"


def head_of(case: Case, kind: str) -> dict[str, Any]:
    """Which schema, version, plan and document: what every JSON of ours starts with."""
    plan, document = case.plan, case.rule.document
    return {
        "schema": f"formpressure-{kind}-{SCHEMA_VERSION}",
        "version": __version__,
        "plan": {
            "file": plan.file, "checksum": plan.checksum, "title": plan.title,
            "units": plan.units, "assumed": [{"key": k, "as": v} for k, v in plan.assumed],
        },
        "document": {
            "name": str(document), "title": document.title, "year": document.year,
            "rule": case.rule.name, "chosen_by": plan.document.chosen_by,
            "constants_confirmed": plan.document.confirmed is not None,
        },
    }  # fmt: skip


def measured_of(amount: Amount) -> dict[str, Any]:
    """A measured number with its unit."""
    return {"value": amount.bare, "unit": terms()[amount.term].unit[amount.system]}


def _allowed(allowed: Allowed, system: str) -> dict[str, Any]:
    def rate(a: Allowed) -> dict[str, Any] | None:
        some = a.kind == "at most"
        return measured_of(Amount("rate", float(a.rate), system)) if some else None

    rounded = shown(allowed, system)
    return {
        "kind": rounded.kind, "rate": rate(rounded), "exact": rate(allowed),
        "clause": str(allowed.why),
    }  # fmt: skip


def _check(check: Check) -> dict[str, Any]:
    return {
        "name": check.name,
        "status": str(check.status),
        "note": note(check),
        "key": check.key or None,
        "demand": None if check.demand is None else measured_of(check.demand),
        "capacity": None if check.capacity is None else measured_of(check.capacity),
        "ratio": check.ratio,
        "clause": None if check.clause is None else str(check.clause),
    }
