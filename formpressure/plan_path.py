"""The path of the wall as a plan with a layout gives it, and what cannot be built."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise
from typing import Any

from formpressure import units
from formpressure.errors import Refusal
from formpressure.wall_path import END, OUTER, ZERO, Box, Hole, Side, Step, WallPath, exact

MOST_ENTRIES = 100  # sides, or kinds of stock


def path_of(plan: Any) -> WallPath:
    """The exact path of a plan with a layout. Raises Refusal for one that cannot be built."""
    given, system = plan.layout, plan.units

    def read(term: str, value: Any, key: str) -> Fraction:
        return exact(term, value, system, key)

    def values(record: Any, table: str, **terms: str) -> list[Fraction]:
        place = f"layout.sides.{table}"
        return [read(t, getattr(record, name), f"{place}.{name}") for name, t in terms.items()]

    usual = plan.delivery.thickness
    if usual is None:
        cure = "Add delivery.thickness; layout.sides.thickness may then give thinner sides"
        raise Refusal("missing beside a layout", cure, key="delivery.thickness")
    thick = read("thickness", usual, "delivery.thickness")
    key = "layout.sides"
    if not given.sides or not given.stock:
        raise Refusal("an empty list", "Write at least one", key="layout")
    if max(len(given.sides), len(given.stock)) > MOST_ENTRIES:
        cure = "Lay the wall out in parts"
        raise Refusal(f"over {MOST_ENTRIES} sides or lines of stock", cure, key="layout")
    names = [side.name for side in given.sides]
    if len(set(names)) < len(names):
        raise Refusal("two sides of one name", "Name each side its own", key=f"{key}.name")
    turns = [side.turn for side in given.sides]
    if END in turns[:-1]:
        cure = 'Only the last side of an open wall has turn = "end"'
        raise Refusal("the wall ends before its last side", cure, key=f"{key}.turn")
    closed = turns[-1] != END
    thicknesses = [
        thick if s.thickness is None else read("thickness", s.thickness, f"{key}.thickness")
        for s in given.sides
    ]
    if max(thicknesses) > thick:
        cure = "Give delivery.thickness as that of the thickest side"
        raise Refusal("a side thicker than delivery.thickness", cure, key=f"{key}.thickness")
    height = read("height", plan.wall.height, "wall.height")
    top = plan.wall.form_height
    form_top = height if top is None else read("height", top, "wall.form_height")
    bottom, sides = ZERO, []
    for i, side in enumerate(given.sides):
        beside = thicknesses[i - 1], thicknesses[(i + 1) % len(turns)]
        before = turns[i - 1] if i or closed else END
        steps = tuple(Step(*values(s, "steps", at="position", bottom="height")) for s in side.steps)
        boxes = tuple(
            Box._make([
                *values(b, "pilasters", at="position", width="spacing", projection="spacing"),
                b.face or OUTER,
            ])
            for b in side.pilasters
        )  # fmt: skip
        holes = tuple(
            Hole(*values(o, "openings", at="position", width="length", sill="height",
                         head="height"))
            for o in side.openings
        )  # fmt: skip
        length = read("length", side.length, f"{key}.length")
        sides.append(Side(side.name, length, thicknesses[i], before, turns[i], beside, bottom,
                          steps, boxes, holes))  # fmt: skip
        bottom = steps[-1].bottom if steps else bottom
    leg = read("spacing", given.leg, "layout.leg")
    path = WallPath(system, leg, height, form_top, closed, bool(given.end_ties), tuple(sides))
    for made in path.sides:
        _refuse_side(path, made)
    _refuse_path(path, bottom)
    return path


def _refuse_side(path: WallPath, side: Side) -> None:
    def refuse(problem: str, cure: str, key: str) -> Refusal:
        return Refusal(problem, cure, key=f"layout.sides.{key}", value=side.name)

    first, last = side.set_back(path.leg)
    start, end = first, side.length - last
    if start > end:
        raise refuse("shorter than its corners take", "Give a shorter leg or a longer side",
                     "length")  # fmt: skip
    zones = [(s.at, s.at) for s in side.steps]
    if any(a >= b for (a, _), (b, _) in pairwise(zones)):
        raise refuse("steps out of order", "Give them from the start of the side", "steps.at")
    for step in side.steps:
        if not start < step.at < end:
            raise refuse("a step where the corner stands", "Move it clear of the corners",
                         "steps.at")  # fmt: skip
        if not step.bottom < path.height:
            raise refuse("a footing above the concrete", "Check the level", "steps.bottom")
    zones += [(b.at - path.leg, b.at + b.width + path.leg) for b in side.boxes]
    for low, high in zones:
        if low < start or high > end:
            raise refuse("a pilaster where the corner stands", "Move it clear of the corners",
                         "pilasters.at")  # fmt: skip
    if any(a[1] > b[0] for a, b in pairwise(sorted(zones))):
        raise refuse("a pilaster with its corners meets a step or the next one",
                     "Move one of them", "pilasters.at")  # fmt: skip
    if any(b.projection < path.leg for b in side.boxes):
        raise refuse("a pilaster shallower than the leg of its inside corners",
                     "That is not covered: build it by hand, or give a shorter leg",
                     "pilasters.projection")  # fmt: skip
    holes = sorted(side.holes)
    if any(a.at + a.width > b.at for a, b in pairwise(holes)):
        raise refuse("openings over one another", "Give each its own place", "openings.at")
    for hole in holes:
        inside = any(s <= hole.at and hole.at + hole.width <= e and y <= hole.sill
                     for s, e, y in side.levels)  # fmt: skip
        if not inside or not hole.sill < hole.head <= path.height:
            raise refuse("an opening outside of its side", "Keep it between corners, over one "
                         "level of footing, its sill under its head", "openings")  # fmt: skip


def _refuse_path(path: WallPath, last_bottom: Fraction) -> None:
    lowest = min(level.bottom for side in path.sides for level in side.levels)
    if lowest > ZERO:
        cure = "Measure levels from the deepest footing"
        raise Refusal("no footing at level 0", cure, key="layout.sides.steps.bottom")
    strips = []
    for side, frame in zip(path.sides, path.frames, strict=False):
        start, end = side.ends
        corners = frame.at(start, ZERO), frame.at(end, side.thickness)
        (x0, x1), (y0, y1) = (sorted(v) for v in zip(*corners, strict=True))
        strips.append((side.name, x0, x1, y0, y1))
    x, y = path.frames[-1][:2]
    if path.closed:
        right, left = path.corners
        if right - left != 4:
            cure = "Clockwise around, outside corners are 4 more than inside corners"
            problem = f"{right} outside and {left} inside corners do not close a wall"
            raise Refusal(problem, cure, key="layout.sides.turn")
        if (x, y) != (ZERO, ZERO):
            gap = max(abs(x), abs(y))
            unit = units.terms()["length"].unit[path.system]
            cure = 'Check the lengths, or end the last side with turn = "end"'
            problem = f"the wall does not close: {float(gap):.6g} {unit} are over or missing"
            raise Refusal(problem, cure, key="layout.sides.length")
        if last_bottom != ZERO:
            cure = "Bring the footing back to the level of the first side"
            raise Refusal("the footing does not close", cure, key="layout.sides.steps.bottom")
    for a, b in combinations(strips, 2):
        if a[1] < b[2] and b[1] < a[2] and a[3] < b[4] and b[3] < a[4]:
            cure = "Check turns and lengths"
            problem = f"{a[0]} and {b[0]} run into each other"
            raise Refusal(problem, cure, key="layout.sides")
