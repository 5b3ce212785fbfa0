"""The records of the plan that tell how concrete comes and how it is spread along the wall."""

from __future__ import annotations

from dataclasses import dataclass

from formpressure.errors import Refusal
from formpressure.keys import ASSUMED, OPENS, REFUSED, Measure, key
from formpressure.pour import (
    HALF_HOUR,
    LAYERS,
    MOST_PASSES,
    MOST_TRUCKS,
    RUN_BY_RUN,
    Filling,
    Opening,
    Run,
    marks,
    stations_of,
)
from formpressure.rise import HOUR
from formpressure.units import at_most, below

CUBIC = {"US": 27.0, "SI": 1.0}  # cubic feet in a yard: the volume of a truck in units of length
RISE_OPEN = "the rise by trucks"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOpening:
    sill: Measure = key("height", REFUSED, "lower edge of the opening above the footing")
    head: Measure = key("height", REFUSED, "its upper edge")
    width: Measure = key("length", REFUSED, "its width along the wall")


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRun:
    name: str = key("text", REFUSED, "what the crew calls this piece of wall")
    length: Measure = key("length", REFUSED, "its length")
    thickness: Measure | None = key("thickness", OPENS, "its thickness", blank="that of `delivery`")
    height: Measure | None = key(
        "height", OPENS, "its top of concrete above the footing", blank="that of the wall"
    )
    bottom: Measure | None = key(
        "height", OPENS, "its footing above the deepest one", blank="the deepest footing"
    )
    openings: tuple[RunOpening, ...] = key(
        "tables", OPENS, "what takes plan area away between two levels", blank="none"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    fastest_rise: Measure | None = key(
        "rate", OPENS, "the fastest local rise anywhere in the form in any hour, not the day's "
        "average; where trucks are given too, the faster counts",
        blank="ties, panels (unless full liquid head passes)",
    )  # fmt: skip
    method: str | None = key(
        "choice", OPENS, "how the concrete gets into the form", blank="placing method",
        choices=("chute", "pump from above", "bucket", "pump from base"),
    )  # fmt: skip
    drop: Measure | None = key(
        "drop", OPENS, "greatest free fall from a bucket", blank="placing method, with a bucket"
    )
    length: Measure | None = key(
        "length", OPENS, "length of wall that one round of concrete is spread over",
        blank="what one truck does",
    )  # fmt: skip
    thickness: Measure | None = key(
        "thickness", OPENS, "wall thickness", blank="what one truck does"
    )
    truck: Measure | None = key(
        "volume", OPENS, "concrete in one truck", blank="what one truck does"
    )
    layer_time: Measure | None = key(
        "duration", ASSUMED, "shortest time in which one layer goes in all round", blank="10 min"
    )
    gap: Measure | None = key(
        "gap", OPENS, "from the start of one truck to the start of the next", blank=RISE_OPEN
    )
    discharge: Measure | None = key(
        "duration", OPENS, "shortest time in which one truck empties", blank=RISE_OPEN
    )
    at_once: int | None = key("count", OPENS, "trucks that discharge at once", blank="one")
    spread: Measure | None = key(
        "length", OPENS, "length of wall that one discharge point is spread over", blank=RISE_OPEN
    )
    layer: Measure | None = key(
        "length", ASSUMED, "height of one pass", blank="one truck's rise over its spread"
    )
    sequence: str | None = key(
        "choice", ASSUMED, "in what order the wall is filled", blank=LAYERS,
        choices=(LAYERS, RUN_BY_RUN),
    )  # fmt: skip
    order: tuple[str, ...] | None = key(
        "list text", OPENS, "instead of `sequence`: names of runs in turn, one pass each",
        blank="the sequence",
    )  # fmt: skip
    runs: tuple[WallRun, ...] = key(
        "tables", OPENS, "the pieces of the wall in order", blank="one run of `length`"
    )
    spare: Measure | None = key(
        "spare", OPENS, "ordered over what the wall takes, %", blank="no spare, and told so"
    )
    rate_window: Measure | None = key(
        "duration", ASSUMED, "time over which the rise makes the rate, at most 60 min",
        blank="60 min",
    )  # fmt: skip
    liquid_window: Measure | None = key(
        "duration", ASSUMED, "time for which we take what went in for still liquid, at most 30 min",
        blank="30 min",
    )  # fmt: skip


# What a plan without trucks, or without any rate, does not need to be told.
ONLY_WITH_TRUCKS = ("delivery.layer", "delivery.sequence", "delivery.rate_window")


def relevant(delivery: Delivery, assumed: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """The assumptions that this plan rests on."""
    idle = () if delivery.spread is not None else ONLY_WITH_TRUCKS
    if delivery.order is not None:
        idle = (*idle, "delivery.sequence")
    if delivery.spread is None and delivery.fastest_rise is None:
        idle = (*idle, "delivery.liquid_window")
    return [(name, blank) for name, blank in assumed if name not in idle]


def blank_key(delivery: Delivery) -> str:
    """The first key missing for the rise by trucks; none where the plan is not about trucks."""
    if not (delivery.runs or any(
        getattr(delivery, k) is not None for k in ("truck", "gap", "discharge", "spread", "at_once")
    )):  # fmt: skip
        return ""
    needed = ["spread", "truck", "gap", "discharge"]
    needed += [] if delivery.runs else ["length"]
    if not delivery.runs or any(run.thickness is None for run in delivery.runs):
        needed.append("thickness")
    return next((f"delivery.{k}" for k in needed if getattr(delivery, k) is None), "")


def runs_of(delivery: Delivery, bottom: float, top: float) -> tuple[Run, ...]:
    """The runs of a bare plan; one of the whole length where none are listed."""
    if not delivery.runs:
        return (Run("wall", _known(delivery.length), _known(delivery.thickness), bottom, top),)
    return tuple(_run(r, delivery, bottom, top) for r in delivery.runs)


def _run(run: WallRun, delivery: Delivery, bottom: float, top: float) -> Run:
    thickness = delivery.thickness if run.thickness is None else run.thickness
    openings = tuple(Opening(o.sill, o.head, o.width) for o in run.openings)
    top = top if run.height is None else run.height
    bottom = max(bottom, run.bottom or 0.0)
    return Run(run.name, run.length, _known(thickness), bottom, top, openings)


def _known(bare: float | None) -> float:
    assert bare is not None  # `blank_key` was asked before
    return bare


def filling_of(delivery: Delivery, bottom: float, top: float, system: str) -> Filling | None:
    """How the trucks of a bare plan fill its wall; None where the plan does not tell it all."""
    if delivery.spread is None or blank_key(delivery):
        return None
    return Filling(
        runs_of(delivery, bottom, top),
        truck=_known(delivery.truck) * CUBIC[system],
        gap=_known(delivery.gap),
        discharge=_known(delivery.discharge),
        spread=delivery.spread,
        layer=delivery.layer,
        sequence=delivery.sequence or LAYERS,
        order=delivery.order or (),
        at_once=1 if delivery.at_once is None else delivery.at_once,
        rate_window=delivery.rate_window or HOUR,
        liquid_window=delivery.liquid_window or HALF_HOUR,
    )


def refuse_what_cannot_be(delivery: Delivery, bottom: float, top: float) -> None:
    """What no single key can tell of the delivery; bare in US units."""
    for name, most in (("rate_window", HOUR), ("liquid_window", HALF_HOUR)):
        stated = getattr(delivery, name)
        if stated is not None and not at_most(stated, most):
            cure = f"Give at most {most:g} min, or leave it out"
            raise Refusal("longer than we take it", cure, key=f"delivery.{name}")
    if delivery.at_once == 0:
        raise Refusal("no truck at all", "Give 1 or more", key="delivery.at_once")
    names = [run.name for run in delivery.runs]
    if len(set(names)) < len(names):
        raise Refusal("two runs of one name", "Name each run its own", key="delivery.runs.name")
    if delivery.order is not None and delivery.sequence is not None:
        cure = "Keep one of the two"
        raise Refusal("given beside delivery.sequence", cure, key="delivery.order")
    for name in delivery.order or ():
        if name not in names:
            cure = f"Use {', '.join(names)}" if names else "List the runs"
            raise Refusal("not the name of a run", cure, key="delivery.order", value=name)
    for run in delivery.runs:
        foot, head = max(bottom, run.bottom or 0.0), top if run.height is None else run.height
        if not (below(foot, head) and at_most(head, top)):
            cure = "It must lie between where the placement or the run starts and wall.height"
            raise Refusal("a run of this height", cure, key="delivery.runs.height", value=run.name)
        for opening in run.openings:
            if not below(opening.sill, opening.head):
                cure = "Give the sill below the head"
                raise Refusal("no height", cure, key="delivery.runs.openings", value=run.name)
    filling = filling_of(delivery, bottom, top, "US")
    if filling is not None:
        _refuse_fillings(filling)


def _refuse_fillings(filling: Filling) -> None:
    passes = 0
    for run in filling.runs:
        if run.length / filling.spread > MOST_PASSES:
            raise Refusal("too many places", "Give a longer spread", key="delivery.spread")
        try:
            stations = stations_of(run, filling.spread)
        except ValueError as why:
            cure = "Give a longer spread, or end the run at the opening"
            raise Refusal(str(why), cure, key="delivery.runs.openings", value=run.name) from None
        levels = len(marks(run.bottom, run.top, filling.layer or filling.load_rise(run)))
        passes += len(stations) * levels
        turns = filling.order.count(run.name)
        if filling.order and turns < levels:
            cure = f"Name it {levels} times, or give a higher layer"
            problem = f"{turns} passes do not fill this run"
            raise Refusal(problem, cure, key="delivery.order", value=run.name)
    if passes > MOST_PASSES:
        raise Refusal("too many passes", "Give a longer spread or a higher layer",
                      key="delivery.layer")  # fmt: skip
    if filling.count() > MOST_TRUCKS:
        raise Refusal("too many trucks", "Check the truck and the wall", key="delivery.truck")
