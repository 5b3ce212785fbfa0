"""The records of a pour that is watched: its places and trucks, and how it stands at one moment."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, NamedTuple

from formpressure.case import Case
from formpressure.errors import Refusal
from formpressure.gaps import Most
from formpressure.job.pour_log import Line
from formpressure.pour import stations_of
from formpressure.readings import Levels
from formpressure.units import TOLERANCE

NEAR = {"US": 1.0 / 12.0, "SI": 0.025}  # to the top that counts as full, and over it as on it


class State(StrEnum):
    """How a pour stands."""

    ON_PLAN = "ON PLAN"
    HOLD = "HOLD"
    STOP = "STOP"
    NOT_KNOWN = "NOT KNOWN"


class Local(NamedTuple):
    """The most that one place can have risen within a window, between two times of readings."""

    place: str
    most: float
    start: float
    end: float


class Reason(NamedTuple):
    """A state and the sentence of the table of strings that says why; `until` only for HOLD."""

    state: State
    note: str
    facts: dict[str, Any]
    until: float | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """How the pour stands at one moment. Bare; times in minutes as in Line.

    `hour` and `half` are the greatest rises so far, each at its worst instant, over the windows of
    the plan (None before any reading); `most` is what is allowed from here on, None for no rate.
    `starts` are the earliest starts of the next trucks or, without trucks, of the next layer.
    """

    time: float
    reason: Reason
    hour: Local | None
    half: Local | None
    most: Most | None
    coldest: float | None
    wettest: float | None
    starts: tuple[float, ...]

    @property
    def state(self) -> State:
        return self.reason.state


@dataclass(slots=True)
class Place:
    """A piece of wall that fills level, and what was read there."""

    name: str
    run: str
    bottom: float
    top: float
    near: float  # how near to the top counts as full
    begun: bool = False
    times: list[float] = field(default_factory=list)
    levels: list[float] = field(default_factory=list)

    @property
    def readings(self) -> Levels:
        return Levels(self.bottom, self.times, self.levels)

    @property
    def highest(self) -> float:
        return max([self.bottom, *self.levels])

    @property
    def full(self) -> bool:
        return self.highest >= self.top - self.near - TOLERANCE


@dataclass(slots=True)
class Truck:
    """One truck by its name in the log; `planned` is when it was to start."""

    name: str
    started: float | None = None
    planned: float | None = None
    emptied: bool = False
    sent_back: bool = False
    temperature: float | None = None
    slump: float | None = None

    def comes_again(self, line: Line) -> bool:
        """Whether this is another load of a truck that came before: it starts once more."""
        return self.started is not None and line.event.lower().startswith("start")

    def learn(self, line: Line) -> bool:
        """What a line says of this load, and whether it starts to discharge here."""
        starts = self.started is None and line.starts_truck
        self.sent_back |= line.sent_back
        self.started = line.time if starts else self.started
        self.emptied |= line.empty
        return starts


def places_of(case: Case) -> dict[str, Place]:
    """The places whose levels the log gives, by their names in small letters.

    A run that is filled in several places has them numbered: "north 1", "north 2". Raises Refusal
    where a log could not tell two of them apart.
    """
    found, bare, near = [], case.bare, NEAR[case.rule.system]
    start = bare.wall.placed_from or 0.0
    if case.filling is not None:
        for run in case.filling.runs:
            count = len(stations_of(run, case.filling.spread))
            names = [run.name] if count == 1 else [f"{run.name} {k + 1}" for k in range(count)]
            found += [Place(name, run.name, run.bottom, run.top, near) for name in names]
    else:
        for piece in bare.delivery.runs:
            top = piece.height or bare.wall.height
            found.append(Place(piece.name, piece.name, start, top, near))
    found = found or [Place("wall", "wall", start, bare.wall.height, near)]
    named = {key_of(place.name): place for place in found}
    if len(named) < len(found):
        cure = "Give names that differ in more than capitals, and that do not end in a number"
        raise Refusal("two places of one name in the log", cure, key="delivery.runs.name")
    return named


def key_of(name: str) -> str:
    """A name as the log may write it: spaces and capitals do not count."""
    return " ".join(name.casefold().split())
