"""The form in the plan: what it consists of, what holds it, and what each part may carry.

A part the form has not is stated "none"; a part left out leaves its check open.
"""

from __future__ import annotations

from dataclasses import dataclass

from formpressure.keys import ASSUMED, FULL_HEAD, NONE, OPENS, REFUSED, Measure, key

RATED = '"working load at 2:1" (the factor of the sheet) or "breaking load"'
SPECIES = ("Douglas Fir-Larch", "Hem-Fir", "Spruce-Pine-Fir", "Southern Pine")
LUMBER = ("2x4", "2x6", "2x8", "4x4")
SPANS = "not known: moment, shear and deflection each at the worst of 1, 2 and more spans"


@dataclass(frozen=True, slots=True, kw_only=True)
class Panels:
    pressure: Measure = key("pressure", REFUSED, "pressure the panels, with frames, are rated for")
    basis: str = key(
        "text", REFUSED,
        '"working pressure at 2:1", "breaking pressure", "allowable stress" (sized by a code), or '
        'by a document with partial factors "design resistance"',
    )  # fmt: skip
    overhang: Measure | None = key(
        "spacing", OPENS, "how far the sheet lets a panel run past the last tie", blank="overhangs"
    )
    data_sheet: str | None = key("text", OPENS, "the sheet the rating is from", blank="panels")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheathing:
    thickness: Measure = key("size", REFUSED, "thickness of the plywood")
    plywood: str = key(
        "choice", REFUSED, "grade of the plywood",
        choices=("form grade class I", "group 1 S-1 wet", "group 1 S-2 dry"),
    )  # fmt: skip
    face_grain: str | None = key(
        "choice", ASSUMED, "face grain against the studs", blank="along the studs (weak way)",
        choices=("across", "along"),
    )  # fmt: skip
    spans: int | None = key(
        "count", ASSUMED, "least number of equal spans that one piece runs over", blank=SPANS
    )
    reused: bool | None = key(
        "flag", ASSUMED, "used before, so that the seven-day increase does not hold", blank="yes"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lumber:
    size: str = key("choice", REFUSED, "nominal size", choices=LUMBER)
    species: str = key("choice", REFUSED, "species group", choices=SPECIES)
    grade: str = key("choice", REFUSED, "grade", choices=("No.2", "Stud"))
    spacing: Measure | None = key(
        "spacing", OPENS, "from one to the next (wales: the rows of ties)", blank="panels"
    )
    doubled: bool | None = key("flag", ASSUMED, "two members side by side", blank="no")
    spans: int | None = key(
        "count", ASSUMED, "least number of equal spans that one piece runs over", blank=SPANS
    )
    reused: bool | None = key(
        "flag", ASSUMED, "used before, so that the seven-day increase does not hold", blank="yes"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TieBearing:
    area: Measure = key("bearing_area", REFUSED, "net wood under one plate or wedge")
    species: str = key("choice", REFUSED, "species group of that wood", choices=SPECIES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Connectors:
    load: Measure = key("load", REFUSED, "load of one clip, wedge or bolt across a panel joint")
    basis: str = key("text", REFUSED, RATED)
    spacing: Measure = key("spacing", REFUSED, "from one to the next up the joint")
    data_sheet: str | None = key(
        "text", OPENS, "the sheet the load is from", blank="joint connectors"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Corners:
    first_tie: Measure = key("spacing", REFUSED, "from an outside corner to the first tie line")
    load: Measure = key("load", REFUSED, "load of one connector at the outside corner")
    basis: str = key("text", REFUSED, RATED)
    spacing: Measure = key("spacing", REFUSED, "from one connector to the next up the corner")
    data_sheet: str | None = key("text", OPENS, "the sheet the load is from", blank="corners")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulkheads:
    heights: tuple[Measure, ...] = key("list height", REFUSED, "level of every hold of the stop")
    load: Measure = key("load", REFUSED, "load of one level of holds, both ends together")
    basis: str = key("text", REFUSED, RATED)
    data_sheet: str | None = key("text", OPENS, "the sheet the load is from", blank="bulkheads")


@dataclass(frozen=True, slots=True, kw_only=True)
class Openings:
    sill: Measure = key("height", REFUSED, "underside of the lowest buck above the footing")
    head: Measure = key("height", REFUSED, "top of the highest buck above the footing")
    width: Measure = key("length", REFUSED, "width of the widest opening")
    hold_down: Measure = key("load", REFUSED, "what holds one buck down, all holds together")
    strut: Measure = key("load", REFUSED, "load of one level of struts inside the buck")
    struts: tuple[Measure, ...] = key("list height", REFUSED, "level of every row of struts")
    uneven: Measure | None = key(
        "height", ASSUMED, "most that one side of a buck may be filled higher than the other",
        blank="both sides are filled evenly",
    )  # fmt: skip
    side_hold: Measure | None = key(
        "load", ASSUMED, "what keeps one buck from being pushed along the wall", blank="nothing"
    )
    basis: str = key("text", REFUSED, RATED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    run: Measure | None = key(
        "spacing", ASSUMED, "horizontal run of a battered face over wall.height; both faces: the "
        "sum", blank="0"
    )  # fmt: skip
    ledge: Measure | None = key("spacing", ASSUMED, "width of a ledge or step", blank="0")
    ledge_height: Measure | None = key(
        "height", ASSUMED, "underside of the ledge above the footing", blank="at the footing"
    )
    hold_down: Measure | None = key(
        "line_load", ASSUMED, "what holds the form down, for each length",
        blank="nothing holds the form down",
    )  # fmt: skip
    basis: str | None = key("text", ASSUMED, RATED, blank="breaking load")


@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    hold: Measure = key("line_load", REFUSED, "what keeps each face from kicking out at its foot")
    basis: str = key("text", REFUSED, RATED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchors:
    load: Measure = key("load", REFUSED, "load of one form anchor in the hardened concrete")
    basis: str = key("text", REFUSED, RATED)
    spacing: Measure = key("spacing", REFUSED, "from one anchor to the next along the wall")
    live_load: bool | None = key(
        "flag", ASSUMED, "live load or impact reaches the anchors too", blank="yes: factor 3"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Brackets:
    spacing: Measure = key("spacing", REFUSED, "from one bracket to the next")
    plank: str = key(
        "choice", REFUSED, "scaffold planks", choices=("2x10 nominal", "2x10 undressed")
    )
    plank_span: Measure = key("spacing", REFUSED, "from one support of a plank to the next")
    load: Measure = key("pressure", REFUSED, "load on the planks: 25, 50 or 75 psf")
    end_overhang: Measure = key("size", REFUSED, "how far a plank runs past its last support")
    platform: Measure = key("length", REFUSED, "length of one plank")
    cleated: bool | None = key("flag", ASSUMED, "ends cleated or hooked", blank="no")
    width: Measure = key("size", REFUSED, "width of the platform")
    on_ties: bool | None = key("flag", ASSUMED, "brackets hang on loaded ties", blank="yes")
    spacing_limit: Measure | None = key(
        "spacing", ASSUMED, "a tighter spacing of the local code", blank="8 ft"
    )
    bracket_load: Measure | None = key(
        "load", OPENS, "people and materials that one bracket with its fixing may carry, at a "
        "factor of 4, from its sheet", blank="brackets",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracing:
    spacing: Measure = key("spacing", REFUSED, "from one brace to the next")
    size: str = key("choice", REFUSED, "nominal size of a brace", choices=LUMBER)
    species: str = key("choice", REFUSED, "species group of the braces", choices=SPECIES)
    attached: Measure = key("height", REFUSED, "level at which a brace meets the form")
    foot: Measure = key("length", REFUSED, "from the form to the foot of the brace")
    stayed: int | None = key(
        "count", ASSUMED, "stays along a brace, both ways, that cut its length", blank="0"
    )
    connection: Measure = key("load", REFUSED, "load of each end of a brace, both directions")
    anchor: Measure = key("load", REFUSED, "load of the stake, slab anchor or deadman at a foot")
    basis: str = key("text", REFUSED, RATED)
    wind: Measure | None = key(
        "pressure", OPENS, "wind pressure of the local code", blank="bracing, stages"
    )
    wind_speed: Measure | None = key(
        "wind_speed", OPENS, "wind speed of the local code, in place of its pressure",
        blank="bracing, stages",
    )  # fmt: skip
    top_wale: Lumber | None = key(
        "table", OPENS, "the member along the top between braces", blank="bracing"
    )
    top_wale_on: str | None = key(
        "choice", ASSUMED, "which side of the top wale the load meets: its narrow edge, or flat "
        "on its wide side", blank="flat", choices=("edge", "flat"),
    )  # fmt: skip
    stages: tuple[str, ...] | None = key(
        "list text", OPENS, 'when the braces stand: "first face", "poured", "stripped"',
        blank="stages",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    faces: str | None = key(
        "choice", OPENS, "how the two faces are held", blank="faces tied through",
        choices=("tied through", "one-sided", "hung"),
    )  # fmt: skip
    tight_face: bool | None = key(
        "flag", ASSUMED, "faces and joints lose no paste", blank=FULL_HEAD
    )
    panels: Panels | None = key("table", OPENS, "rating of the panels", blank="panels")
    sheathing: Sheathing | None = key(
        "table", OPENS, "job-built form, in place of panels", blank="panels"
    )
    studs: Lumber | None = key("table", OPENS, "studs of a job-built form", blank="panels")
    wales: Lumber | None = key("table", OPENS, "wales of a job-built form", blank="panels")
    tie_bearing: TieBearing | str | None = key(
        "table", OPENS, "wood under the ties, or in the tie rating where the sheet covers it",
        blank="tie bearing", choices=("in the tie rating",),
    )  # fmt: skip
    joint_connectors: Connectors | str | None = key(
        "table", OPENS, "what joins panels", blank="joint connectors", choices=NONE
    )
    corners: Corners | str | None = key(
        "table", OPENS, "outside corners", blank="corners", choices=NONE
    )
    bulkheads: Bulkheads | str | None = key(
        "table", OPENS, "end stops", blank="bulkheads", choices=NONE
    )
    openings: Openings | str | None = key(
        "table", OPENS, "windows, doors, pockets", blank="openings", choices=NONE
    )
    batter_and_ledges: Slopes | str | None = key(
        "table", OPENS, "sloping faces, ledges, steps", blank="batter and ledges", choices=NONE
    )
    base: Base | None = key("table", OPENS, "hold of the form at its foot", blank="base")
    bracing: Bracing | None = key("table", OPENS, "braces and their anchors", blank="bracing")
    brackets: Brackets | str | None = key(
        "table", OPENS, "scaffold brackets on the form", blank="brackets", choices=NONE
    )
    placement_joint: Anchors | None = key(
        "table", OPENS, "hold of the form on hardened concrete", blank="placement joint"
    )
