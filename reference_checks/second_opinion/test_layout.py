"""A second opinion on layouts: polygons, lengths and fewest pieces worked out another way.

Random closed plans of square turns, in sixteenths of an inch. Nothing of the package but the plan
reader and the layout itself is used here; polygons are offset corner by corner, areas are by the
shoelace formula, and the fewest pieces of one length come from trying every sum.
"""

import functools
import itertools
import os
import random
from fractions import Fraction

import pytest

from formpressure import Refusal, read_plan
from formpressure.job.layout_solve import layout_of

PLANS = int(os.environ.get("FORMPRESSURE_LAYOUTS", "30"))
FIRST = 500
LEG = 64  # sixteenths: 4 in
WIDTHS = (24, 18, 16, 12, 10, 8, 6, 4, 2)  # in


def skyline(rng):
    """Sides of a closed wall, clockwise: (length in sixteenths, turn at its end)."""
    fine = rng.choice((1, 16, 32))  # 1/16 in, 1 in, 2 in

    def length():
        return rng.randrange(900, 3000) // fine * fine

    tops = [length() + 3008]
    for _ in range(rng.randrange(4)):
        tops.append(tops[-1] + rng.choice((-1, 1)) * (length() % 1504 + 928))
        tops[-1] = max(tops[-1], 1216) if abs(max(tops[-1], 1216) - tops[-2]) >= 800 else (
            tops[-2] + 1600)  # fmt: skip
    columns = [length() for _ in tops]
    sides = []
    for i, (wide, top) in enumerate(zip(columns, tops, strict=True)):
        after = tops[i + 1] if i + 1 < len(tops) else 0
        up = after > top
        sides.append((wide, "left" if up else "right"))
        sides.append((abs(after - top), "right" if up or i + 1 == len(tops) else "left"))
    sides.append((sum(columns), "right"))
    sides.append((tops[0], "right"))
    return sides


def inches(sixteenths):
    whole, part = divmod(sixteenths, 16)
    return f"{whole} {part}/16 in" if part else f"{whole} in"


def text(sides, thickness, counts):
    listed = ",\n".join(
        f'{{ name = "s{i}", length = "{inches(n)}", turn = "{turn}" }}'
        for i, (n, turn) in enumerate(sides)
    )
    stock = ",\n".join(
        f'{{ width = "{w} in", height = "8 ft", count = {n} }}'
        for w, n in zip(WIDTHS, counts, strict=True)
    )
    return f"""
units = "US"
[wall]
height = "8 ft"
[ties]
load = "5000 lb"
basis = "working load at 2:1"
heights = ["1 ft", "3 ft", "5 ft", "7 ft"]
[delivery]
thickness = "{inches(thickness)}"
[layout]
leg = "4 in"
sides = [{listed}]
stock = [{stock}]
"""


def corners_of(sides):
    """Corner points in sixteenths and the direction of each side, going east first."""
    x = y = 0
    dx, dy = 1, 0
    points, ways = [], []
    for n, turn in sides:
        points.append((x, y))
        ways.append((dx, dy))
        x, y = x + dx * n, y + dy * n
        dx, dy = (dy, -dx) if turn == "right" else (-dy, dx)
    assert (x, y) == (0, 0)
    return points, ways


def moved_in(points, ways, t):
    """Every corner moved into the wall, by its two sides' inward normals."""
    found = []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = ways[i - 1], ways[i]
        found.append((x + t * (ay + by), y - t * (ax + bx)))
    return found


def shoelace(points):
    pairs = itertools.pairwise([*points, points[0]])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def distances(points):
    pairs = itertools.pairwise([*points, points[0]])
    return [abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairs]


@functools.cache
def reached():
    """Fewest pieces for every length of whole inches, by adding one piece after the other."""
    found, last = {0: 0}, {0}
    for count in range(1, 60):
        last = {n + w for n in last for w in WIDTHS if n + w <= 700} - found.keys()
        found |= dict.fromkeys(last, count)
    return found


def fewest(length):
    """Fewest pieces for a length in sixteenths; None if no sum of widths comes out."""
    return None if length % 16 else reached().get(length // 16)


def wall(seed):
    rng = random.Random(seed)
    sides, thickness = skyline(rng), 16 * rng.choice((8, 10, 12))
    return sides, thickness, read_plan(text(sides, thickness, [900] * len(WIDTHS)))


@pytest.mark.parametrize("seed", range(FIRST, FIRST + PLANS))
def test_a_random_closed_wall_comes_out(seed):
    sides, thickness, plan = wall(seed)
    layout = layout_of(plan)
    assert layout.proved
    points, ways = corners_of(sides)
    inner = moved_in(points, ways, thickness)
    area = shoelace(points) - shoelace(inner)
    volume = area / (16 * 12) ** 2 * 8.0
    assert float(layout.path.volume) == pytest.approx(volume, rel=1e-9)
    runs = sum(
        (run.length * run.thickness * plan.wall.height).m_as("ft**3") for run in plan.delivery.runs
    )
    assert runs == pytest.approx(volume, rel=1e-9)
    lengths = dict(zip(("outer", "inner"), (distances(points), distances(inner)), strict=True))
    for i, (_, turn) in enumerate(sides):
        name = f"s{i}"
        assert layout.joints(name, "outer") == layout.joints(name, "inner")
        for face, by_hand in lengths.items():
            filled = sum(
                (p.width for p in layout.panels() if (p.side, p.face) == (name, face)), Fraction(0)
            )
            legs = sum(
                t == ("left" if face == "outer" else "right") for t in (sides[i - 1][1], turn)
            )
            assert filled * 192 + legs * LEG == by_hand[i]
    closers = [p for p in layout.panels() if p.kind == "closer"]
    if fewest(thickness + LEG) == 1:
        assert {p.width * 192 for p in closers} == {thickness + LEG}
        assert len(closers) == 2 * len(sides)
    check_fewest(layout)


def check_fewest(layout):
    """With stock to spare every stretch has the fewest cuts and pieces there can be."""
    for stretch, pieces, _ in layout.filled:
        length = int(stretch.length * 192)
        assert sum(int(p.width * 192) for p in pieces) == length
        plain, cuts = fewest(length), [p for p in pieces if p.cut]
        if plain is not None:
            assert (len(pieces), cuts) == (plain, [])
        else:
            cut = [fewest(length - c) for c in range(32, min(length, 384) + 1)]
            assert len(pieces) == 1 + min(n for n in cut if n is not None)
            assert len(cuts) == 1
            assert cuts[0].width * 12 >= 2


def test_a_wrong_plan_would_be_seen():
    """The checks above can fail: a wall moved by a sixteenth has another area and other lengths."""
    sides, thickness, plan = wall(FIRST)
    points, ways = corners_of(sides)
    area = shoelace(points) - shoelace(moved_in(points, ways, thickness + 1))
    assert float(layout_of(plan).path.volume) != pytest.approx(area / 192**2 * 8.0, rel=1e-9)


SMALL_STOCK = ((24, 2), (18, 2), (12, 4), (10, 2), (8, 4))


def test_fewest_pieces_of_a_scarce_stock_by_trying_everything():
    """Two stretches share a few pieces: every way to take them is tried."""
    rng, seen = random.Random(7), set()
    for _ in range(40):
        lengths = [rng.randrange(20, 60, 2) for _ in range(2)]
        ways = [
            [c for c in itertools.product(*(range(n // 2 + 1) for _, n in SMALL_STOCK))
             if sum(k * w for k, (w, _) in zip(c, SMALL_STOCK, strict=True)) == length]
            for length in lengths
        ]  # fmt: skip
        both = [
            2 * sum(a) + 2 * sum(b) for a, b in itertools.product(*ways)
            if all(2 * (x + y) <= n for x, y, (_, n) in zip(a, b, SMALL_STOCK, strict=True))
        ]  # fmt: skip
        found = open_walls(lengths)
        if both:
            assert found is not None
            assert (found.pieces, found.cuts, found.proved) == (min(both) + 2, 0, True)
        else:
            assert found is None or found.cuts > 0
        seen.add(bool(both))
    assert seen == {True, False}


def open_walls(lengths):
    """An open wall of two sides: its one corner takes a closer of 8 + 4 in from each outside."""
    sides = [(16 * (lengths[0] + 12), "right"), (16 * (lengths[1] + 12), "end")]
    head, _, _ = text(sides, 128, [0] * len(WIDTHS)).partition("stock = ")
    stock = ", ".join(
        f'{{ width = "{w} in", height = "8 ft", count = {n + (2 if w == 12 else 0)} }}'
        for w, n in SMALL_STOCK
    )
    try:
        return layout_of(read_plan(f"{head}stock = [{stock}]\n"))
    except Refusal:
        return None
