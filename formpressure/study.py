"""What one missing tie does to this wall: every tie gone in turn, and how far a first fault runs.

A study, never a pass: a sudden loss can exceed every number here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from formpressure.capacity.ratings import Rating
from formpressure.case import Case
from formpressure.checks import members
from formpressure.demand.frames import BOUNDS, MissingTies, line_load, missing_ties, unzip
from formpressure.verdict import check

if TYPE_CHECKING:
    from formpressure.envelope import Envelope
    from formpressure.plan import Plan
    from formpressure.statics.missing import Removals
    from formpressure.statics.unzip import Unzipping

MOST_LINES = 25  # tie lines looked at; what is farther off carries nothing of a missing tie
USUAL_LINES = 11  # where the length of the wall is not known
STIFF, SOFT = 1e4, 1e-4  # stiffness of a tie over EI / span**3 of its rail, at the two bounds


@dataclass(frozen=True, slots=True)
class WallStudy:
    """A job-built wall, its studs coupled by wales: places of the tie lines and, at each bound,
    every single removal; ties counted line by line, in each line from the lowest row up."""

    lines: NDArray[np.floating[Any]]
    removals: tuple[Removals, ...]


@dataclass(frozen=True, slots=True)
class Study:
    """Missing ties of a plan at the pressure that is judged, bare, in the units of the plan.

    `line` is one tie line by itself; `wall` is None where the plan has no studs and wales with
    known stiffness to couple the lines. `unzipping` starts with the worst tie to forget, at each of
    `demand.frames.BOUNDS`; `breaking` is the load at which a tie is taken to break.
    """

    case: Case
    envelope: Envelope
    line: MissingTies
    breaking: float
    unzipping: tuple[Unzipping, ...]
    wall: WallStudy | None

    @property
    def furthest(self) -> int:
        """Index of the bound at which the unzipping runs further."""

        def severity(run: Unzipping) -> tuple[bool, int, float]:
            return run.line_gone, int(run.broken.sum()), float(np.nanmax([*run.force.flat, 0.0]))

        return max(range(len(self.unzipping)), key=lambda i: severity(self.unzipping[i]))


def missing_tie_study(plan: Plan) -> Study:
    """Every tie gone in turn, the form full, at the pressure the verdict judges.

    Raises Refusal as `check` does, and where fewer than two rows hold the placement.
    """
    verdict = check(plan)
    case, envelope = verdict.case, verdict.envelope
    breaking = breaking_load(case.tie)
    line = missing_ties(case.rows, envelope, case.tie.usable)
    runs = tuple(unzip(case.rows, envelope, breaking, line.worst, bound) for bound in BOUNDS)
    return Study(case, envelope, line, breaking, runs, _wall(case, envelope))


def breaking_load(rating: Rating) -> float:
    """Breaking load behind a rating: the working load times its factor."""
    return rating.stated * rating.factor


def _wall(case: Case, envelope: Envelope) -> WallStudy | None:
    """Studs on wales on ties, solved whole from one factorisation at each bound."""
    from formpressure.statics.grillage import Wall  # these need scipy, an extra
    from formpressure.statics.missing import remove_each
    from formpressure.statics.wall import wall_response

    form = case.bare.form
    if form.sheathing is None or form.studs is None or form.wales is None:
        return None
    built, rows, length = members.build(case), case.rows, case.bare.delivery.length
    count = USUAL_LINES if length is None else int(length / rows.width) + 1
    lines = np.arange(min(max(count, 2), MOST_LINES)) * rows.width
    ties = rows.heights[rows.loaded]
    rail = built.stud.E * built.stud.inertia * rows.width / built.stud_spacing
    wale = built.wale.E * built.wale.inertia
    span = float(np.diff(ties, prepend=rows.start).max())
    found = []
    for share in (STIFF, SOFT):
        wall = Wall(rows.start, rows.top, lines, ties, rail, share * rail / span**3, ties, wale)
        load = line_load(rows, envelope, np.full(len(lines), rows.top))
        found.append(remove_each(wall_response(wall, load)))
    return WallStudy(lines, tuple(found))
