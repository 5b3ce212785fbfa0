"""A second opinion on the pour by trucks: the same wall filled in small steps, plain loops only.

From the delivery of a plan (a dict, US units) to the level of every place over time, and from the
levels to the rise in any window, the longest wait for a layer, and what is over the top. Nothing
here is taken from `formpressure`; it follows the words of its docs: one truck after the other, a
place no longer than the spread, passes up to a mark, an opening wherever the place may be, the last
truck bringing what is left. All statics of volume (OWN). ft, cubic feet, minutes.
"""

import bisect
from dataclasses import dataclass

from opinion import FEET, number, pairs

YARD = 27.0  # cubic feet. Definition
STEP = 1.0  # minutes
SAME = 1e-9
MINUTES = {"min": 1.0, "h": 60.0}


@dataclass
class Place:
    """A length of wall that one discharge point is spread over."""

    run: str
    length: float
    thickness: float
    bottom: float
    top: float
    holes: list  # (sill, head, width)

    def area(self, level):
        """Plan area just above a level."""
        gone = sum(width for sill, head, width in self.holes if sill <= level + SAME < head)
        return (self.length - gone) * self.thickness

    def edge(self, level):
        """The next level at which the plan area changes, or the top."""
        edges = [y for sill, head, _ in self.holes for y in (sill, head)]
        return min([y for y in edges if level + SAME < y < self.top] + [self.top])

    def volume(self, low, high):
        """Concrete between two levels, slice by slice."""
        total = 0.0
        while low < high - SAME:
            up = min(self.edge(low), high)
            total += self.area(low) * (up - low)
            low = up
        return total


def places_and_passes(plan):
    """(places, passes): each pass is (place, mark), in the order in which they are made."""
    delivery, wall = plan["delivery"], plan["wall"]
    bottom = number(wall["placed_from"], FEET) if "placed_from" in wall else 0.0
    spread, truck = number(delivery["spread"], FEET), volume(delivery["truck"])
    named, marks = {}, {}
    for run in delivery.get("runs") or [{"name": "wall", "length": delivery["length"]}]:
        length = number(run["length"], FEET)
        thickness = number(run.get("thickness", delivery.get("thickness")), FEET)
        top = number(run.get("height", wall["height"]), FEET)
        holes = [tuple(number(o[k], FEET) for k in ("sill", "head", "width"))
                 for o in run.get("openings", [])]  # fmt: skip
        count = 1
        while length / count > spread * (1 + SAME):
            count += 1
        place = Place(run["name"], length / count, thickness, bottom, top, holes)
        named[run["name"]] = [place] * count
        height = truck / (min(spread, length) * thickness)
        if "layer" in delivery:
            height = number(delivery["layer"], FEET)
        levels, level = [], bottom + height
        while level < top - (top - bottom) * 1e-7:
            levels.append(level)
            level += height
        marks[run["name"]] = [*levels, top]

    places, first = [], {}
    for name, some in named.items():
        first[name] = len(places)
        places += some
    turns = []
    if "order" in delivery:
        seen = dict.fromkeys(named, 0)
        for name in delivery["order"]:
            turns.append((name, min(seen[name], len(marks[name]) - 1)))
            seen[name] += 1
    elif delivery.get("sequence") == "run by run":
        turns = [(name, k) for name in named for k in range(len(marks[name]))]
    else:
        k = 0
        while any(k < len(levels) for levels in marks.values()):
            turns += [(name, k) for name in named if k < len(marks[name])]
            k += 1
    passes = []
    for name, k in turns:
        for n in range(len(named[name])):
            passes.append((first[name] + n, marks[name][k]))
    return places, passes


def volume(text):
    return number(text, {"yd": 1.0}) * YARD


@dataclass
class Filled:
    """What comes of it: for every place its times and levels, and the concrete left over."""

    places: list
    history: list  # for every place [(minute, level), ...]
    needed: float
    trucks: int
    over: float

    def rise(self, minutes):
        """(rate in ft/h, rise): the largest of any place in so many minutes; the rate over the
        whole filling of a place where that is shorter."""
        rate = most = 0.0
        for points in self.history:
            times, levels = [t for t, _ in points], [y for _, y in points]
            if len(points) < 2:
                continue
            length = min(minutes, times[-1] - times[0])
            starts = [*times, *(t - length for t in times)]
            best = max(at(times, levels, t + length) - at(times, levels, t) for t in starts)
            rate, most = max(rate, best * 60.0 / length), max(most, best)
        return rate, most

    def longest_wait(self):
        """The longest time for which a place that holds concrete stands still before more comes."""
        return max(
            (b - a for points in self.history
             for (a, low), (b, high) in pairs(points) if high - low < SAME),
            default=0.0,
        )  # fmt: skip


def at(times, levels, minute):
    """Level at a minute, on the straight line between two points."""
    k = bisect.bisect_right(times, minute)
    if k == 0:
        return levels[0]
    if k == len(times):
        return levels[-1]
    part = (minute - times[k - 1]) / (times[k] - times[k - 1])
    return levels[k - 1] + part * (levels[k] - levels[k - 1])


def fill(plan, starts=None, gap=None):
    """Fill the wall of a plan step by step; with `starts`, or a `gap` of one truck at a time."""
    delivery = plan["delivery"]
    places, passes = places_and_passes(plan)
    load, minutes = volume(delivery["truck"]), number(delivery["discharge"], MINUTES)
    needed = sum(place.volume(place.bottom, place.top) for place in places)
    brought, left = [], needed
    while left > needed * 1e-9:
        brought.append(min(load, left))
        left -= brought[-1]
    at_once = delivery.get("at_once", 1) if gap is None else 1
    gap = number(delivery["gap"], MINUTES) if gap is None else gap
    if starts is None:
        starts = [gap * (k // at_once) for k in range(len(brought))]
    flows = [(start, start + minutes * v / load) for start, v in zip(starts, brought, strict=True)]

    moments = {t for flow in flows for t in flow}
    for start, end in flows:
        t = start
        while t < end:
            moments.add(t)
            t += STEP
    moments = sorted(moments)
    levels = [place.bottom for place in places]
    history = [[] for _ in places]
    turn, over = 0, 0.0
    for now, then in pairs(moments):
        flow = sum(load / minutes for start, end in flows if start <= (now + then) / 2 < end)
        coming, clock = flow * (then - now), now
        while coming > 1e-12 * load:
            while turn < len(passes) and levels[passes[turn][0]] >= passes[turn][1] - SAME:
                turn += 1
            if turn == len(passes):
                over += coming
                break
            n, mark = passes[turn]
            place, level = places[n], levels[n]
            goal = min(mark, place.edge(level))
            taken = min(coming, place.area(level) * (goal - level))
            if not history[n] or history[n][-1][0] < clock:
                history[n].append((clock, level))
            clock += taken / flow
            coming -= taken
            full = taken >= place.area(level) * (goal - level) - 1e-12 * load
            levels[n] = goal if full else level + taken / place.area(level)
            history[n].append((clock, levels[n]))
    return Filled(places, history, needed, len(brought), over)


def over_the_top(plan):
    """Whether one load is more than the place it is put in holds; with layers it moves on."""
    places, _ = places_and_passes(plan)
    rooms = [place.volume(place.bottom, place.top) for place in places]
    load = volume(plan["delivery"]["truck"])
    room = sum(rooms) if "layer" in plan["delivery"] else min(rooms)
    return load > room * (1 + SAME)
