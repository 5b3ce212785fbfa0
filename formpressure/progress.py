"""A pour log read against its plan: how the pour stood at every line, how it stands now.

The word is the worst that holds: STOP, then NOT KNOWN, then HOLD, then ON PLAN. Each rests on what
was written down, so silence never gives ON PLAN. The rules are our own (OWN); what may rise comes
from the pressure document of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formpressure.errors import Refusal
from formpressure.job.pour_log import DAY, Line, PourLog, nearest
from formpressure.moment import STALE, standing, unknown
from formpressure.standing import Place, Standing, Truck
from formpressure.verdict import Verdict
from formpressure.watch import Watch

SHOWN = 4  # trucks still to come whose starts are told
APART = 2.0  # minutes that two watches may differ


@dataclass(frozen=True, slots=True)
class Progress:
    """A log judged: each line in the order of time with how it stood then, and how it stands now.

    `told` are sentences about the log itself: (name of the sentence, facts).
    """

    verdict: Verdict
    log: PourLog
    lines: tuple[tuple[Line, Standing], ...]
    now: Standing
    trucks: tuple[Truck, ...]
    places: tuple[Place, ...]
    told: tuple[tuple[str, dict[str, Any]], ...]
    next_truck: int | None  # its number in the order of the plan; None where none is followed
    windows: tuple[float, float]  # minutes: of the rate, and of what is still liquid

    @property
    def system(self) -> str:
        return self.log.system


def follow(verdict: Verdict, log: PourLog, now: int | None = None, idle: float = 0.0) -> Progress:
    """Judge a log by the verdict of its plan.

    `now` is the clock in minutes after midnight, blank for the time of the last line; `idle` are
    the minutes since the file was last written, where that is known: the log is at least so old.

    Raises Refusal for a log that was read in other units than the plan's, and for a plan whose runs
    a log could not tell apart.
    """
    if log.system != verdict.case.rule.system:
        cure = f'Read it with load_log(path, "{verdict.case.rule.system}")'
        raise Refusal("read in other units than the plan", cure, file=log.file)
    numbers = {line.number for line in log.lines}
    replaced = {
        line.replaces: line.number
        for line in log.lines
        if line.replaces is not None and line.replaces < line.number
    }
    latest = max((line.time for line in log.lines), default=float(now or 0))
    moment = latest if now is None else nearest(now, latest)
    if 0.0 < latest - moment <= APART:
        moment = latest
    while idle > STALE and moment - latest < idle - 1.0:
        moment += DAY
    watch, judged = Watch(verdict, frozenset(replaced)), []
    for line in log.in_time:
        if line.time <= moment:
            watch.take(line)
            judged.append((line, standing(watch, line.time, 1)))
    later = tuple(line for line in log.in_time if line.time > moment)
    judged += [(line, unknown(watch, line)) for line in later]
    watch.half, watch.later = log.half, later
    stands = standing(watch, moment, SHOWN)
    told = [*_told(log, replaced, numbers), *watch.told]
    return Progress(
        verdict, log, tuple(judged), stands, tuple(watch.trucks.values()),
        tuple(watch.places.values()), tuple(told), watch.next_truck, watch.windows,
    )  # fmt: skip


def _told(
    log: PourLog, replaced: dict[int, int], numbers: set[int]
) -> list[tuple[str, dict[str, Any]]]:
    """What is to be said of lines as they stand in the file."""
    told: list[tuple[str, dict[str, Any]]] = []
    for line in log.lines:
        told += [("problem", {"text": text}) for _, text in line.problems]
        if line.earlier:
            told.append(("earlier", {"line": line.number}))
    for old, new in sorted(replaced.items()):
        known = "replaced" if old in numbers else "replaced_none"
        told.append((known, {"line": new, "old": old}))
    if log.half is not None:
        told += [("problem", {"text": text}) for _, text in log.half.problems]
    return told
