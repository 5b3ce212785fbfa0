"""A pour log as it was judged, for other programs: JSON with the versioned schema."""

from __future__ import annotations

from typing import Any

import numpy as np

from formpressure.job.pour_log import Line
from formpressure.progress import Progress
from formpressure.records import Amount
from formpressure.report.log_text import clock, told_lines, why
from formpressure.report.tables import head_of, measured_of
from formpressure.rise import HOUR
from formpressure.standing import Local, Standing


def log_json(progress: Progress) -> dict[str, Any]:
    """The log as plain data; times as on a clock, measured numbers as {"value", "unit"}."""
    log, case = progress.log, progress.verdict.case
    return {
        **head_of(case, "log"),
        "verdict": progress.verdict.word,
        "log": {
            "file": log.file, "checksum": log.checksum, "lines": len(log.lines),
            "half_written": None if log.half is None else log.half.text,
        },
        "now": _standing(progress.now, progress),
        "next_truck": progress.next_truck,
        "told": told_lines(progress),
        "lines": [_line(line, found, progress) for line, found in progress.lines],
        "trucks": [
            {
                "name": truck.name, "planned": _clock(truck.planned),
                "started": _clock(truck.started), "sent_back": truck.sent_back,
                "temperature": _measured("temperature", truck.temperature, progress.system),
                "slump": _measured("slump", truck.slump, progress.system),
            }
            for truck in progress.trucks
        ],
    }  # fmt: skip


def _line(line: Line, found: Standing, progress: Progress) -> dict[str, Any]:
    return {
        "number": line.number, "text": line.text, "problems": [text for _, text in line.problems],
        "out_of_order": line.earlier, **_standing(found, progress),
    }  # fmt: skip


def _standing(found: Standing, progress: Progress) -> dict[str, Any]:
    system, (hour, half) = progress.system, progress.windows
    free = progress.verdict.free or (found.most is not None and found.most.rate == np.inf)
    return {
        "time": clock(found.time), "state": str(found.state), "until": _clock(found.reason.until),
        "why": why(found),
        "most_rise_for_rate": _local(found.hour, hour, system),
        "most_rise_still_liquid": _local(found.half, half, system),
        "allowed": "not checked" if progress.verdict.doubtful
        else "any" if free else "none" if found.most is None else "at most",
        "allowed_rate": None if free or found.most is None
        else _measured("height", found.most.rate * hour / HOUR, system),
        "allowed_still_liquid": None if free or found.most is None
        else _measured("height", found.most.rise, system),
        "coldest": _measured("temperature", found.coldest, system),
        "wettest": _measured("slump", found.wettest, system),
        "next_starts": [clock(start) for start in found.starts],
    }  # fmt: skip


def _local(local: Local | None, window: float, system: str) -> dict[str, Any] | None:
    if local is None:
        return None
    return {
        "place": local.place, "rise": _measured("height", local.most, system),
        "within_minutes": window, "after": _clock(local.start), "until": _clock(local.end),
    }  # fmt: skip


def _clock(minute: float | None) -> str | None:
    return None if minute is None or not np.isfinite(minute) else clock(minute)


def _measured(term: str, bare: float | None, system: str) -> dict[str, Any] | None:
    return None if bare is None else measured_of(Amount(term, float(bare), system))
