"""Which pieces fill the stretches of a wall: one whole-number program for all of it.

Unknown is how many columns of each width, stacked in each way, stand in each stretch. The widths
must come out exactly, the stock at hand must do for all stretches together, and what is asked for
is, in this order: fewest pieces cut on the job, fewest pieces, wide ones rather than equal ones.
The solver's bound proves that nothing less of the first two exists; the answer is then compared
with lengths and stock once more in exact numbers. Source: our own statement of the problem (OWN);
the solver is that of scipy.optimize.milp.
"""

from __future__ import annotations

import functools
import math
from fractions import Fraction
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from formpressure.errors import Refusal
from formpressure.job.layout import Filled, Layout, Piece, StockLine
from formpressure.plan import Plan
from formpressure.plan_layout import SMALLEST_CUT
from formpressure.plan_path import path_of
from formpressure.units import read
from formpressure.wall_path import Stretch, WallPath, exact, tape

CUT_WEIGHT = 1000  # of one cut piece against one of stock
MOST_COURSES = 4
MOST_STRETCHES = 200
MOST_UNITS = 100_000  # of the common measure of the widths in the longest stretch
NODES = 2_000  # of the solver's tree; the same in every run, as a time would not be
NODES_OF_TASTE = 300  # for wide pieces, where nothing needs a proof
INFEASIBLE = 2  # status of the solver
KEY = "layout.stock"


class Column(NamedTuple):
    """One way to stand one width in a stretch."""

    stretch: int
    width: Fraction
    courses: tuple[Fraction, ...]


class Cut(NamedTuple):
    """A piece cut on the job may be `rest` and any number of units, from `least` to `most`."""

    rest: Fraction
    least: int
    most: int


@functools.lru_cache(maxsize=16)  # asked for again by every check of the same plan
def solve(path: WallPath, stock: tuple[StockLine, ...], smallest_cut: Fraction) -> Layout:
    """Fill every stretch of a path from the stock. Raises Refusal for what cannot be filled."""
    if len(path.stretches) > MOST_STRETCHES:
        raise Refusal("too many stretches", "Lay the wall out in parts", key="layout.sides")
    return _Program(path, stock, smallest_cut).layout()


class _Program:
    """Variables in this order: columns, whether a stretch has a cut piece, the units of that
    piece, and pieces of each line of stock to be bought."""

    def __init__(
        self, path: WallPath, stock: tuple[StockLine, ...], smallest_cut: Fraction
    ) -> None:
        self.path, self.stretches, self.stock = path, path.stretches, stock
        self.unit = functools.reduce(_common, (line.width for line in stock))
        self.widest = max(line.width for line in stock)
        if max(s.length for s in self.stretches) > MOST_UNITS * self.unit:
            cure = "Give widths in 1/16 in or mm"
            raise Refusal("widths without a common measure", cure, key="layout.stock.width")
        self.columns = [c for i, s in enumerate(self.stretches) for c in self._columns(i, s)]
        self.cuts = [self._cut(s.length, smallest_cut) for s in self.stretches]
        self.fewest = [self._fewest(i, s) for i, s in enumerate(self.stretches)]
        n, m = len(self.columns), len(self.stretches)
        self.has_cut, self.cut_units, self.bought = n, n + m, n + 2 * m
        self.size = n + 2 * m + len(stock)
        self._state()

    def _columns(self, index: int, stretch: Stretch) -> list[Column]:
        """The ways to stack each width at least to the concrete and no higher than the form."""
        heights: dict[Fraction, list[Fraction]] = {}
        for line in self.stock:
            heights.setdefault(line.width, []).append(line.height)
        low, high = self.path.height - stretch.bottom, self.path.form_top - stretch.bottom
        return [
            Column(index, width, courses)
            for width, known in heights.items() if width <= stretch.length
            for courses in _stacks(tuple(sorted(known, reverse=True)), low, high)
        ]  # fmt: skip

    def _cut(self, length: Fraction, smallest: Fraction) -> Cut:
        rest = length % self.unit
        least = max(math.ceil((smallest - rest) / self.unit), 0 if rest else 1)
        most = math.floor((min(self.widest, length) - rest) / self.unit)
        return Cut(rest, least, most)

    def _fewest(self, index: int, stretch: Stretch) -> tuple[float, float]:
        """Fewest pieces of one face from a stock without end, with no cut piece and with one.

        Infinite where it cannot be. No filling of the stretch has fewer, so the program is told:
        its bound is then close from the start.
        """
        ways: dict[int, int] = {}
        for _, width, courses in (c for c in self.columns if c.stretch == index):
            units = int(width / self.unit)
            ways[units] = min(len(courses), ways.get(units, MOST_COURSES))
        cut, most = self.cuts[index], int(stretch.length / self.unit)
        fewest = _fewest_up_to(most, tuple(ways.items()))
        plain = np.inf if cut.rest else fewest[most]
        left = fewest[max(most - cut.most, 0) : max(most - cut.least + 1, 0)]
        return float(plain), float(1.0 + left.min(initial=np.inf))

    def _state(self) -> None:
        """Write the rows of the program and what each variable costs."""
        m, size = len(self.stretches), self.size
        rows = np.zeros((4 * m + len(self.stock), size))
        low, high = np.full(len(rows), -np.inf), np.full(len(rows), np.inf)
        lower, upper = np.zeros(size), np.full(size, np.inf)
        cost, taste = np.zeros(size), np.zeros(size)
        line_of = {(line.width, line.height): 4 * m + j for j, line in enumerate(self.stock)}
        for j, (i, width, courses) in enumerate(self.columns):
            faces = len(self.stretches[i].faces)
            rows[i, j], rows[3 * m + i, j] = width / self.unit, len(courses)
            for height in courses:
                rows[line_of[width, height], j] += faces
            over = sum(courses) - (self.path.height - self.stretches[i].bottom)
            cost[j] = faces * len(courses)
            taste[j] = faces * float(1 - (width / self.widest) ** 2 + over / self.path.form_top)
        for i, (stretch, cut) in enumerate(zip(self.stretches, self.cuts, strict=True)):
            has, units = self.has_cut + i, self.cut_units + i
            plain, with_cut = self.fewest[i]
            rows[i, units] = 1.0
            low[i] = high[i] = (stretch.length - cut.rest) / self.unit
            rows[m + i, [has, units]], high[m + i] = (cut.least, -1.0), 0.0
            rows[2 * m + i, [has, units]], high[2 * m + i] = (-cut.most, 1.0), 0.0
            cost[has] = len(stretch.faces) * (CUT_WEIGHT + 1)
            lower[has] = 1.0 if plain == np.inf else 0.0
            upper[has] = 1.0 if with_cut < np.inf else 0.0
            low[3 * m + i] = plain if plain < np.inf else 0.0
            rows[3 * m + i, has] = 1.0 + low[3 * m + i] - with_cut if with_cut < np.inf else 0.0
        for j, line in enumerate(self.stock):
            rows[4 * m + j, self.bought + j], high[4 * m + j] = -1.0, line.at_hand
        upper[self.bought :] = 0.0
        self.rows, self.limits, self.bounds = rows, (low, high), (lower, upper)
        self.cost, self.taste = cost, taste

    def _solved(self, cost: Any, *, buy: bool = False, at_most: float | None = None) -> Any:
        """The solver's answer; one without `x` where there is none."""
        lower, upper = (bound.copy() for bound in self.bounds)
        if (lower > upper).any():
            return None
        if buy:
            upper[self.bought :] = np.inf
            cuts = slice(self.has_cut, self.cut_units)
            upper[cuts] = lower[cuts]
        rows, (low, high) = self.rows, self.limits
        if at_most is not None:
            rows = np.vstack([rows, self.cost])
            low, high = np.append(low, -np.inf), np.append(high, at_most)
        nodes = NODES if at_most is None else NODES_OF_TASTE
        return milp(
            cost, integrality=np.ones(self.size), bounds=Bounds(lower, upper),
            constraints=LinearConstraint(rows, low, high),
            options={"mip_rel_gap": 0.0, "node_limit": nodes},
        )  # fmt: skip

    def layout(self) -> Layout:
        """The best filling. Raises Refusal where there is none, with what would mend it."""
        best = self._solved(self.cost)
        if best is None or best.x is None:
            if best is not None and best.status != INFEASIBLE:
                cure = "Lay the wall out in parts"
                raise Refusal("too many ways to try", cure, key=KEY)
            raise self._shortage()
        least = float(self.cost @ np.round(best.x))
        finer = self._solved(self.taste, at_most=least + 0.5)
        counts = self._exact(best.x)
        if finer.x is not None and self.taste @ finer.x < self.taste @ best.x:
            counts = self._exact(finer.x) or counts
        if counts is None:
            cure = "Give widths and lengths in whole inches or mm"
            raise Refusal("the solver's answer does not come out exactly", cure, key=KEY)
        filled = tuple(self._filled(i, counts) for i in range(len(self.stretches)))
        pieces = sum(
            len(f.stretch.faces) * sum(len(p.courses) for p in f.pieces) for f in filled
        )  # fmt: skip
        cuts = sum(len(f.stretch.faces) * sum(p.cut for p in f.pieces) for f in filled)
        bound = float(best.mip_dual_bound)
        proved = math.ceil(bound - 1e-6) >= pieces + CUT_WEIGHT * cuts
        short = any(f.why == "cut_stock" for f in filled)
        mends = (self._mend() or ()) if short else ()
        return Layout(self.path, self.stock, filled, pieces, cuts, bound, proved, mends)

    def _exact(self, x: Any) -> list[int] | None:
        """Whole numbers; None unless they agree exactly with every length and with the stock."""
        counts = [round(value) for value in x]
        used = dict.fromkeys(((line.width, line.height) for line in self.stock), 0)
        lengths = [self._cut_width(i, counts) for i in range(len(self.stretches))]
        for (i, width, courses), count in zip(self.columns, counts, strict=False):
            lengths[i] += width * count
            for height in courses:
                used[width, height] += len(self.stretches[i].faces) * count
        short = any(used[line.width, line.height] > line.at_hand for line in self.stock)
        out = lengths == [stretch.length for stretch in self.stretches]
        return counts if out and not short else None

    def _cut_width(self, index: int, counts: list[int]) -> Fraction:
        if not counts[self.has_cut + index]:
            return Fraction(0)
        return self.cuts[index].rest + counts[self.cut_units + index] * self.unit

    def _filled(self, index: int, counts: list[int]) -> Filled:
        """The pieces in their places: wide ones from the first corner out, then narrower ones, the
        cut piece last, so that fillers stand before the far corner (practice)."""
        stretch = self.stretches[index]
        mine = [(c, k) for c, k in zip(self.columns, counts, strict=False)
                if c.stretch == index and k]  # fmt: skip
        mine.sort(key=lambda held: (-held[0].width, len(held[0].courses), held[0].courses))
        row, at = [], stretch.start
        for column, count in mine:
            for _ in range(count):
                row.append(Piece(at, column.width, column.courses, False))
                at += column.width
        cut = self._cut_width(index, counts)
        if not cut:
            why = "one_width" if len({p.width for p in row}) == 1 else "widths"
            return Filled(stretch, tuple(row), why)
        row.append(Piece(at, cut, (self.path.form_top - stretch.bottom,), True))
        why = "cut_stock" if self.fewest[index][0] < np.inf else "cut_widths"
        return Filled(stretch, tuple(row), why)

    def _mend(self) -> tuple[tuple[int, StockLine], ...] | None:
        """The fewest pieces more with which nothing need be cut that comes out of whole ones."""
        only_bought = np.zeros(self.size)
        only_bought[self.bought :] = 1.0
        found = self._solved(only_bought, buy=True)
        if found is None or found.x is None:
            return None
        counts = zip(self.stock, found.x[self.bought :], strict=True)
        return tuple((round(k), line) for line, k in counts if round(k))

    def _shortage(self) -> Refusal:
        """What is missing, and the fewest pieces more that would mend it."""
        lack = self._mend()
        if not lack:
            return self._impossible()
        system, count = self.path.system, sum(k for k, _ in lack)
        says = " and ".join(
            f"{k} more of {tape(line.width, system)} x {tape(line.height, system)}"
            for k, line in lack
        )
        problem = f"the stock is {count} {'piece' if count == 1 else 'pieces'} short"
        return Refusal(problem, f"{says} would mend it", key=KEY)

    def _impossible(self) -> Refusal:
        """The first stretch that no number of these pieces fills."""
        cure = (
            "Give stock of other widths or heights, wall.form_height where the form is taller "
            "than the concrete, or a smaller layout.smallest_cut"
        )
        system = self.path.system
        for stretch, fewest in zip(self.stretches, self.fewest, strict=True):
            if min(fewest) == np.inf:
                length = tape(stretch.length, system)
                high = tape(self.path.form_top - stretch.bottom, system)
                problem = f"{length} of form {high} high does not come out of these pieces"
                where = f"{stretch.side}, {stretch.kind}"
                return Refusal(problem, cure, key=KEY, value=where)
        return Refusal("the wall does not come out of these pieces", cure, key=KEY)


def _fewest_up_to(most: int, ways: tuple[tuple[int, int], ...]) -> Any:
    """Fewest pieces for every length up to `most` units, by (width, pieces of its stack)."""
    fewest = np.full(most + 1, np.inf)
    fewest[0] = 0.0
    for length in range(1, most + 1):
        fewest[length] = min(
            (fewest[length - width] + pieces for width, pieces in ways if width <= length),
            default=np.inf,
        )
    return fewest


def _common(a: Fraction, b: Fraction) -> Fraction:
    """The largest length that goes into both a whole number of times."""
    bottom = math.lcm(a.denominator, b.denominator)
    return Fraction(math.gcd(int(a * bottom), int(b * bottom)), bottom)


@functools.cache
def _stacks(
    heights: tuple[Fraction, ...], low: Fraction, high: Fraction, courses: int = MOST_COURSES
) -> tuple[tuple[Fraction, ...], ...]:
    """Stacks of a few courses, the tallest below, whose sum is from `low` to `high`."""
    found: list[tuple[Fraction, ...]] = [()] if low <= 0 else []
    if courses and low > 0:
        for i, height in enumerate(heights):
            if height <= high:
                above = _stacks(heights[i:], low - height, high - height, courses - 1)
                found += [(height, *rest) for rest in above]
    return tuple(found)


def layout_of(plan: Plan) -> Layout:
    """The layout of a plan that has one.

    Raises Refusal where its path cannot be built or its stock does not do.
    """
    given = plan.layout
    assert given is not None
    stock: dict[tuple[Fraction, Fraction], int] = {}
    try:
        for line in given.stock:
            width = exact("spacing", line.width, plan.units, f"{KEY}.width")
            height = exact("spacing", line.height, plan.units, f"{KEY}.height")
            stock[width, height] = stock.get((width, height), 0) + line.count
        cut = given.smallest_cut or read("spacing", SMALLEST_CUT[plan.units])
        smallest = exact("spacing", cut, plan.units, "layout.smallest_cut")
        lines = (StockLine(*kind, count) for kind, count in sorted(stock.items(), reverse=True))
        return solve(path_of(plan), tuple(lines), smallest)
    except Refusal as refusal:
        raise refusal.at(file=plan.file) from None
