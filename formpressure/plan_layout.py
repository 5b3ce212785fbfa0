"""The layout in the plan: the path of the wall, the stock at hand, and what interrupts the wall.

Walk along the outside of the wall with the wall on your right hand, clockwise around a closed one.
"""

from __future__ import annotations

from dataclasses import dataclass

from formpressure.keys import ASSUMED, OPENS, REFUSED, Measure, key

SMALLEST_CUT = {"US": "2 in", "SI": "50 mm"}  # OWN: nothing narrower is cut on the job


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    width: Measure = key("spacing", REFUSED, "width of a panel or filler")
    height: Measure = key("spacing", REFUSED, "its height")
    count: int = key("pieces", REFUSED, "how many of them are at hand")


@dataclass(frozen=True, slots=True, kw_only=True)
class FootingStep:
    at: Measure = key("position", REFUSED, "where the footing steps, from the start of the side")
    bottom: Measure = key("height", REFUSED, "level of the footing from there on, over the deepest")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pilaster:
    at: Measure = key("position", REFUSED, "its near edge, from the start of the side")
    width: Measure = key("spacing", REFUSED, "its width along the wall")
    projection: Measure = key("spacing", REFUSED, "how far it stands out from the face")
    face: str | None = key(
        "choice", ASSUMED, "the face it stands on", blank="outer", choices=("outer", "inner")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WallOpening:
    at: Measure = key("position", REFUSED, "its near edge, from the start of the side")
    width: Measure = key("length", REFUSED, "its width along the wall")
    sill: Measure = key("height", REFUSED, "its lower edge above the deepest footing")
    head: Measure = key("height", REFUSED, "its upper edge")


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSide:
    name: str = key("text", REFUSED, "what the crew calls this side")
    length: Measure = key("length", REFUSED, "its outside length, from corner to corner")
    turn: str = key(
        "choice", REFUSED, "where the next side goes: right at an outside corner, left at an "
        "inside one; end where the wall ends open", choices=("right", "left", "end"),
    )  # fmt: skip
    thickness: Measure | None = key(
        "thickness", OPENS, "its thickness", blank="`delivery.thickness`"
    )
    steps: tuple[FootingStep, ...] = key(
        "tables", OPENS, "steps of the footing, in order", blank="none"
    )
    pilasters: tuple[Pilaster, ...] = key("tables", OPENS, "pilasters", blank="none")
    openings: tuple[WallOpening, ...] = key("tables", OPENS, "windows, doors", blank="none")


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutPlan:
    leg: Measure = key("spacing", REFUSED, "leg of the inside corner, each way")
    sides: tuple[WallSide, ...] = key("tables", REFUSED, "sides of the wall in order")
    stock: tuple[Stock, ...] = key("tables", REFUSED, "panels and fillers at hand")
    smallest_cut: Measure | None = key(
        "spacing", ASSUMED, "narrowest piece the crew will cut on the job", blank="2 in (50 mm)"
    )
    end_ties: bool | None = key(
        "flag", ASSUMED, "at an open end a tie in every end clip, outside the stop",
        blank="no: the form runs past the last joint to the end",
    )  # fmt: skip
