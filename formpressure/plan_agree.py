"""One plan, one truth: what follows from a layout is taken from it, and nothing else may say it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from fractions import Fraction

from formpressure import units
from formpressure.errors import Refusal
from formpressure.plan import Plan
from formpressure.plan_delivery import RunOpening, WallRun
from formpressure.plan_form import Corners
from formpressure.plan_path import path_of
from formpressure.wall_path import RIGHT, WallPath, tape


def with_runs(plan: Plan) -> Plan:
    """The plan with the runs of its layout as those of its delivery; a plan without one as it is.

    Raises Refusal for a path that cannot be built and for keys that say something else.
    """
    if plan.layout is None:
        return plan
    _refuse_twice(plan)
    path = path_of(plan)
    _refuse_contradictions(plan, path)
    delivery = dataclasses.replace(plan.delivery, runs=tuple(_runs(path)))
    return dataclasses.replace(plan, delivery=delivery)


def without_runs(plan: Plan) -> Plan:
    """The plan without the runs that `with_runs` took from its layout, to be changed and read
    again."""
    if plan.layout is None:
        return plan
    return dataclasses.replace(plan, delivery=dataclasses.replace(plan.delivery, runs=()))


def _runs(path: WallPath) -> Iterator[WallRun]:
    """One run for each side, or for each level of its footing; pilasters are not in them."""

    def quantity(term: str, bare: Fraction) -> object:
        return units.leave(term, float(bare), path.system)

    for side in path.sides:
        for i, (start, end, bottom) in enumerate(side.levels, start=1):
            openings = tuple(
                RunOpening(sill=quantity("height", o.sill), head=quantity("height", o.head),
                           width=quantity("length", o.width))
                for o in side.holes if start <= o.at < end
            )  # fmt: skip
            yield WallRun(
                name=side.name if i == 1 else f"{side.name}, level {i}",
                length=quantity("length", end - start),
                thickness=quantity("thickness", side.thickness),
                bottom=quantity("height", bottom) if bottom else None,
                openings=openings,
            )


def _refuse_twice(plan: Plan) -> None:
    for key, value in (
        ("ties.spacing", plan.ties.spacing), ("ties.joints", plan.ties.joints),
        ("delivery.runs", plan.delivery.runs or None),
    ):  # fmt: skip
        if value is not None:
            cure = "Take it out, it follows from the layout; or take the layout out"
            raise Refusal("given beside a layout", cure, key=key)


def _refuse_contradictions(plan: Plan, path: WallPath) -> None:
    form, corners = plan.form, sum(path.corners)
    boxes = any(side.boxes for side in path.sides)
    holes = any(side.holes for side in path.sides)
    for key, has in (("corners", corners or boxes), ("openings", holes)):
        if has and getattr(form, key) == "none":
            cure = f"Describe form.{key}, or leave it out"
            raise Refusal('"none" beside a layout that has some', cure, key=f"form.{key}")
    if boxes and plan.delivery.spread is not None:
        cure = "State delivery.fastest_rise and leave the trucks out, or lay out without pilasters"
        raise Refusal("the rise by trucks does not know pilasters", cure, key="delivery.spread")
    start, steps = plan.wall.placed_from, [s for side in path.sides for s in side.steps]
    if start is not None and steps:
        level = float(units.enter("height", start, path.system))
        if 0.0 < level < max(float(s.bottom) for s in steps):
            cure = "Make a plan for the wall on each side of the step"
            problem = "this placement starts over one footing and under a step"
            raise Refusal(problem, cure, key="wall.placed_from")
    lowest = min(float(units.enter("height", y, path.system)) for y in plan.ties.heights)
    for side in path.sides:
        for step in side.steps:
            if lowest + float(step.bottom) >= float(path.height):
                cure = "Give a row of ties that holds the wall there"
                raise Refusal("no row of ties over a step", cure, key="ties.heights",
                              value=side.name)  # fmt: skip
    if isinstance(form.corners, Corners):
        away = max((path.leg + t for side in path.sides
                    for t, turn in zip(side.beside, (side.before, side.after), strict=True)
                    if turn == RIGHT), default=None)  # fmt: skip
        stated = float(units.enter("spacing", form.corners.first_tie, path.system))
        if away is not None and abs(stated - float(away)) > units.TOLERANCE:
            cure = f'Give first_tie = "{tape(away, path.system)}"'
            problem = "another distance than thickness and leg of the layout"
            raise Refusal(problem, cure, key="form.corners.first_tie")
