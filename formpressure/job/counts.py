"""What the crew takes along, run by run: the loading list.

Pieces of form come from whoever laid the panels out; ties, clips, braces, timbers, planks and nails
follow from the plan. Bare numbers in the units of the plan: ft and in, or m and mm. A count is
never a check: that something is on the truck does not say that it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from formpressure.errors import Refusal
from formpressure.job.estimate import one
from formpressure.job.tie_lines import find_layout
from formpressure.job.timber import (
    HALF,
    LAPS,
    PRACTICE,
    STRAIGHTENER,
    lapped,
    nail_that_stays,
    plank_line,
)
from formpressure.plan import Plan
from formpressure.plan_job import THE_PLAN
from formpressure.records import Amount, Clause, Label
from formpressure.units import below, enter, leave, whole_up

SMALL = {"US": 12.0, "SI": 1000.0}  # inches in a foot, millimetres in a metre
INCH = {"US": 1.0, "SI": 25.4}  # in the small unit of each system
BRACES_APART = {"US": 10.0, "SI": 3.0}  # ft, m: BRACES
SPACED = ("brace", "bracket")  # their size is how far apart they stand
PLANK_WIDTH = {"2x10 nominal": 9.25, "2x10 undressed": 10.0}  # in; dressed size from memory

TIES = Clause(PRACTICE, "ties", "a tie at every clip below the top of concrete; a clip above may "
              "stay empty where the card says so", Label.PRACTICE)  # fmt: skip
LINES = Clause("formpressure", "own choice", "a tie line at both ends of a run and, between, no "
               "further apart than the plan has them", Label.OWN)  # fmt: skip
CLIPS = Clause(PRACTICE, "clips", "one on each face at every row of every joint", Label.PRACTICE)
BRACES = Clause(PRACTICE, "braces", "about every 10 ft (we take 3 m in metric plans)",
                Label.PRACTICE)  # fmt: skip
FROM_PLAN = Clause(THE_PLAN, "as stated", "spacing and sizes of the plan", Label.OWN)
LAID_OUT = Clause("the layout", "as laid out", "pieces of form, both faces", Label.OWN)
PLANKS = Clause("formpressure", "own choice", "lines of planks that meet over brackets",
                Label.OWN)  # fmt: skip
NAILED = Clause("formpressure", "own choice", "so many in every panel that a timber crosses; the "
                "longest that stay inside", Label.OWN)  # fmt: skip
FACE = Clause("formpressure", "own choice", "both faces, bottom to top of form, over the coverage "
              "of its sheet; openings are not taken off", Label.OWN)  # fmt: skip

Pieces = Mapping[tuple[str, float, float], int]  # (kind, width, height) -> how many, both faces


@dataclass(frozen=True, slots=True)
class RunPieces:
    """One run to count for: bare lengths, and the pieces of both its faces.

    `tie_lines` counts the joints with ties, both ends included. `ties` is for a tie schedule that
    knows better than rows times lines, as over a stepped footing.
    """

    name: str
    length: float
    height: float  # top of concrete
    tie_lines: int
    pieces: Pieces = field(default_factory=dict)
    ties: int | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the loading list: `run` is empty for what is counted over the whole job."""

    run: str
    name: str
    size: tuple[Amount | str, ...]
    count: int
    clause: Clause
    unit: str = ""  # of a count that is not pieces, such as gal


@dataclass(frozen=True, slots=True)
class LoadingList:
    """What was counted, and what was not, with the key that would close it."""

    plan: Plan
    items: tuple[Item, ...]
    left_out: tuple[tuple[str, str], ...]

    @property
    def totals(self) -> tuple[Item, ...]:
        """Each kind and size over all runs; how far apart it stands is of no matter there."""
        summed: dict[tuple[Any, ...], Item] = {}
        for item in self.items:
            size = () if item.name in SPACED else item.size
            key = (item.name, size)
            count = item.count + (summed[key].count if key in summed else 0)
            summed[key] = replace(item, run="", size=size, count=count)
        return tuple(summed.values())


def run_pieces(
    name: str, *, length: Any, height: Any, tie_lines: int,
    pieces: Mapping[tuple[str, Any, Any], int] | None = None, ties: int | None = None,
    system: str = "US",
) -> RunPieces:  # fmt: skip
    """A run from quantities or text: pieces={("panel", "2 ft", "8 ft"): 40}, both faces.

    Raises Refusal for a bare number or a negative count.
    """
    entered = {}
    for (kind, width, tall), count in (pieces or {}).items():
        _whole(kind, count)
        at = (kind, one(kind, "spacing", width, system), one(kind, "height", tall, system))
        entered[at] = count
    for key, number in (("tie_lines", tie_lines), ("ties", 0 if ties is None else ties)):
        _whole(key, number)
    return RunPieces(
        name, one("length", "length", length, system), one("height", "height", height, system),
        tie_lines, entered, ties,
    )  # fmt: skip


def _whole(key: str, count: Any) -> None:
    if isinstance(count, bool) or not isinstance(count, int) or count < 0:
        raise Refusal("not a whole number of pieces", "Give 0 or more", key=key, value=count)


def loading_list(plan: Plan, runs: Iterable[RunPieces] | None = None) -> LoadingList:
    """Panels, fillers, corners, ties with spare, clips, braces, timbers, planks, nails, agent.

    Without `runs`, the sides of the plan's layout count, or else its runs, without pieces of form.
    Raises Refusal where the plan names no length of wall, and for planks that cannot lie as stated.

    Labels: ties, clips, braces and laps are common practice; the clause of each item tells.
    """
    bare = plan.bare(plan.units)
    given = tuple(runs) if runs is not None else _laid_out(plan) or _runs(bare)
    items: list[Item] = []
    left_out: list[tuple[str, str]] = []
    for run in given:
        items += [
            Item(run.name, kind, _size(plan, width, tall), count, LAID_OUT)
            for (kind, width, tall), count in sorted(run.pieces.items())
        ]
        items += _ties(bare, run)
        items += [_braces(bare, run)]
        for count_some in (_straighteners, _platforms):
            found = count_some(bare, run)
            if isinstance(found, tuple):
                left_out.append(found)
            else:
                items += found
    if not any(run.pieces for run in given):
        left_out.append(("panel", "a layout of the panels"))
    ties = sum(i.count for i in items if i.name == "tie")
    for whole in (_spare(bare, ties), _agent(bare, given)):
        if isinstance(whole, Item):
            items.append(whole)
        else:
            left_out.append(whole)
    return LoadingList(plan, tuple(i for i in items if i.count), tuple(dict.fromkeys(left_out)))


def _laid_out(plan: Plan) -> tuple[RunPieces, ...]:
    """The sides of a plan's layout with their pieces and ties; none for a plan without one."""
    layout = find_layout(plan)
    if layout is None:
        return ()
    bare, found = plan.bare(plan.units), []
    for side in layout.path.sides:
        lines = layout.tie_lines(side)
        tops = [y + float(line.bottom) for line in lines for y in bare.ties.heights
                if below(bare.wall.placed_from or 0.0, y + float(line.bottom))]  # fmt: skip
        pieces = {
            (kind, float(w), float(h)): n for (kind, w, h), n in layout.counts(side).items()
        }  # fmt: skip
        found.append(RunPieces(
            side.name, float(side.length), float(layout.path.height), len(lines), pieces,
            sum(bool(below(y, bare.wall.height)) for y in tops),
        ))  # fmt: skip
    return tuple(found)


def _runs(bare: Plan) -> tuple[RunPieces, ...]:
    """The runs of the plan with as many tie lines as its spacing needs."""
    top, delivery, ties = bare.wall.height, bare.delivery, bare.ties
    if not delivery.runs and delivery.length is None:
        raise Refusal("missing", "Add delivery.length, or runs", key="delivery.length")
    stated = [(r.name, r.length, top if r.height is None else r.height) for r in delivery.runs]
    if ties.spacing is None:
        if stated:
            cure = "Give ties.spacing, or the runs with their tie lines"
            raise Refusal("uneven tie lines do not tell which run they are in", cure,
                          key="ties.joints")  # fmt: skip
        return (RunPieces("wall", float(delivery.length or 0.0), top, len(ties.joints or ())),)
    stated = stated or [("wall", float(delivery.length or 0.0), top)]
    return tuple(RunPieces(n, x, h, whole_up(x / ties.spacing) + 1) for n, x, h in stated)


def _ties(bare: Plan, run: RunPieces) -> list[Item]:
    """Ties and clips. A clip stands at every row of the form, a tie at those in concrete."""
    start = bare.wall.placed_from or 0.0
    rows = [y for y in bare.ties.heights if below(start, y)]
    wet = sum(bool(below(y, run.height)) for y in rows)
    clips, by = len(rows), CLIPS
    joint = bare.form.joint_connectors
    if joint is not None and not isinstance(joint, str):
        clips, by = max(clips, whole_up((_top(bare, run) - start) / joint.spacing)), FROM_PLAN
    known = run.pieces or run.ties is not None
    ties = wet * run.tie_lines if run.ties is None else run.ties
    return [
        Item(run.name, "tie", (), ties, TIES if known else LINES),
        Item(run.name, "tie, above the concrete", (), (len(rows) - wet) * run.tie_lines, TIES),
        Item(run.name, "clip", (), 2 * clips * run.tie_lines, by),
    ]


def _top(bare: Plan, run: RunPieces) -> float:
    """Top of the form of a run: that of the wall, or its own concrete where that is higher."""
    top: float | None = bare.wall.form_height
    return run.height if top is None or below(top, run.height) else top


def _braces(bare: Plan, run: RunPieces) -> Item:
    """A brace at both ends and, evenly between them, no further apart than stated."""
    stated = None if bare.form.bracing is None else bare.form.bracing.spacing
    most = BRACES_APART[bare.units] if stated is None else stated
    spaces = whole_up(run.length / most)
    apart = Amount("spacing", run.length / spaces, bare.units)
    return Item(run.name, "brace", (apart,), spaces + 1, BRACES if stated is None else FROM_PLAN)


def _straighteners(bare: Plan, run: RunPieces) -> list[Item] | tuple[str, str]:
    timber = None if bare.loading is None else bare.loading.straighteners
    if timber is None:
        return "straightener", "loading.straighteners"
    panel = timber.panel / SMALL[bare.units]
    lines = timber.rows * timber.faces
    each = lapped(run.length, timber.length, HALF * panel)
    size = (Amount("length", timber.length, bare.units),)
    items = [Item(run.name, "straightener", size, lines * each, LAPS)]
    if timber.nails is None or timber.panel_thickness is None:
        return items
    thick = timber.panel_thickness / INCH[bare.units]
    crossed = whole_up(timber.length / panel)
    nails = lines * each * crossed * timber.nails
    penny = nail_that_stays(STRAIGHTENER, thick)
    return [*items, Item(run.name, "nail", (f"{penny}d",), nails, NAILED)]


def _platforms(bare: Plan, run: RunPieces) -> list[Item] | tuple[str, str]:
    """Brackets no further apart than stated, and planks that meet over them."""
    brackets = bare.form.brackets
    if brackets == "none":
        return []
    faces = None if bare.loading is None else bare.loading.bracket_faces
    if brackets is None or isinstance(brackets, str) or faces is None:
        return "bracket", "form.brackets" if brackets is None else "loading.bracket_faces"
    small, feet = SMALL[bare.units], enter("length", leave("length", 1.0, bare.units))
    overhang = brackets.end_overhang / small
    if not below(2.0 * overhang, brackets.platform):
        raise Refusal("no plank between its overhangs", "Give longer planks or less overhang",
                      key="form.brackets.platform")  # fmt: skip
    found = plank_line(
        run.length * feet, brackets.platform * feet, brackets.spacing * feet, overhang * feet
    )
    width = brackets.width / INCH[bare.units]
    lines = whole_up(width / PLANK_WIDTH[brackets.plank])
    apart = Amount("spacing", found.spacing / feet, bare.units)
    plank = Amount("length", brackets.platform, bare.units)
    return [
        Item(run.name, "bracket", (apart,), faces * found.brackets, PLANKS),
        Item(run.name, "plank", (plank,), faces * lines * found.planks, PLANKS),
    ]


def _spare(bare: Plan, ties: int) -> Item | tuple[str, str]:
    share = None if bare.loading is None else bare.loading.tie_spare
    if share is None:
        return "tie, spare", "loading.tie_spare"
    return Item("", "tie, spare", (), whole_up(ties * share / 100.0), FROM_PLAN)


def _agent(bare: Plan, runs: tuple[RunPieces, ...]) -> Item | tuple[str, str]:
    coverage = None if bare.loading is None else bare.loading.release_coverage
    if coverage is None:
        return "release agent", "loading.release_coverage"
    start = bare.wall.placed_from or 0.0
    face = sum(2.0 * run.length * (_top(bare, run) - start) for run in runs)
    unit = {"US": "gal", "SI": "L"}[bare.units]
    return Item("", "release agent", (), whole_up(face / coverage), FACE, unit)


def _size(plan: Plan, width: float, tall: float) -> tuple[Amount, ...]:
    return Amount("spacing", width, plan.units), Amount("height", tall, plan.units)
