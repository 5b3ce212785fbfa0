"""The one door for units: what crews write comes in here, bare numbers and answers leave here.

Only this module knows pint. Everything behind it works on bare numbers in the units of one
system, "US" (ft, lb, psf, F, ft/h) or "SI" (m, kN, kPa, C, m/h); `data/terms.toml` is the list.
Text from a plan is matched against closed lists of spellings, so it is never evaluated.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from typing import Any

import numpy as np
import pint

from formpressure.errors import Refusal

SYSTEMS = ("US", "SI")
TOLERANCE = 1e-9  # the one tolerance for comparing with a bound and for rounding
HALVINGS = 100  # of a searched interval, at most: far below the one tolerance
LARGEST = 1e9  # no bare number over it is repeated in a cure
GRAVITY = 9.80665  # m/s2, standard gravity (BIPM, SI Brochure, 3rd CGPM 1901)

# Spellings by kind, as said on site -> as pint reads them. "yd" is a cubic yard where a volume
# is meant and "lb" a force where a force is meant, which no general list of units can know.
SPELLINGS: dict[str, dict[str, str]] = {
    "length": {
        "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft", "in": "inch", "inch": "inch",
        "inches": "inch", '"': "inch", "m": "m", "metre": "m", "metres": "m", "meter": "m",
        "meters": "m", "cm": "cm", "mm": "mm",
    },
    "volume": {
        "yd": "yd**3", "yds": "yd**3", "yard": "yd**3", "yards": "yd**3", "yd3": "yd**3",
        "cy": "yd**3", "cu yd": "yd**3", "cubic yard": "yd**3", "cubic yards": "yd**3",
        "ft3": "ft**3", "cu ft": "ft**3", "cubic feet": "ft**3", "m3": "m**3",
        "cubic metres": "m**3", "cubic meters": "m**3",
    },
    "force": {
        "lb": "lbf", "lbs": "lbf", "lbf": "lbf", "pound": "lbf", "pounds": "lbf",
        "kip": "kip", "kips": "kip", "kn": "kN", "n": "N",
    },
    "pressure": {
        "psf": "lbf/ft**2", "lb/ft2": "lbf/ft**2", "lb/sq ft": "lbf/ft**2", "psi": "lbf/inch**2",
        "lb/in2": "lbf/inch**2", "kpa": "kPa", "kn/m2": "kPa", "mpa": "MPa", "n/mm2": "MPa",
    },
    "line_load": {
        "plf": "lbf/ft", "lb/ft": "lbf/ft", "klf": "kip/ft", "kn/m": "kN/m", "n/m": "N/m",
    },
    "unit_weight": {
        "pcf": "lbf/ft**3", "lb/ft3": "lbf/ft**3", "lb/cu ft": "lbf/ft**3", "kn/m3": "kN/m**3",
        "kg/m3": "kg/m**3", "t/m3": "t/m**3",
    },
    "temperature": {
        "f": "degF", "°f": "degF", "degf": "degF", "deg f": "degF",
        "c": "degC", "°c": "degC", "degc": "degC", "deg c": "degC",
    },
    "temperature_difference": {
        "f": "delta_degF", "°f": "delta_degF", "degf": "delta_degF", "deg f": "delta_degF",
        "c": "delta_degC", "°c": "delta_degC", "degc": "delta_degC", "deg c": "delta_degC",
    },
    "stiffening": {"pa/s": "Pa/s", "pa/min": "Pa/min", "psf/min": "lbf/ft**2/min"},
    "rate": {
        "ft/h": "ft/h", "ft/hr": "ft/h", "ft/hour": "ft/h", "foot/hour": "ft/h",
        "feet/hour": "ft/h", "in/h": "inch/h", "in/hr": "inch/h", "in/min": "inch/min",
        "m/h": "m/h", "m/hr": "m/h", "m/hour": "m/h", "mm/min": "mm/min",
        "min/ft": "min/ft", "min/foot": "min/ft", "minutes/foot": "min/ft", "min/m": "min/m",
    },
    "time": {
        "s": "s", "min": "min", "minute": "min", "minutes": "min", "h": "h", "hr": "h",
        "hrs": "h", "hour": "h", "hours": "h", "day": "day", "days": "day",
    },
    "area": {
        "in2": "inch**2", "sq in": "inch**2", "ft2": "ft**2", "sq ft": "ft**2", "mm2": "mm**2",
        "cm2": "cm**2", "m2": "m**2",
    },
    "speed": {"mph": "mile/h", "m/s": "m/s", "km/h": "km/h"},
    "share": {"%": "percent", "percent": "percent"},
    "mass": {
        "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "kg": "kg", "t": "t", "g": "g",
    },
    "evaporation": {
        "lb/ft2/h": "lb/ft**2/h", "lb/ft2/hr": "lb/ft**2/h", "lb/sq ft/h": "lb/ft**2/h",
        "lb/sq ft/hr": "lb/ft**2/h", "kg/m2/h": "kg/m**2/h", "kg/m2/hr": "kg/m**2/h",
    },
    "coverage": {
        "ft2/gal": "ft**2/gallon", "sq ft/gal": "ft**2/gallon", "ft2/gallon": "ft**2/gallon",
        "sq ft/gallon": "ft**2/gallon", "m2/l": "m**2/liter", "m2/litre": "m**2/liter",
        "m2/liter": "m**2/liter",
    },
    "temperature_time": {
        "f h": "delta_degF*h", "°f h": "delta_degF*h",
        "c h": "delta_degC*h", "°c h": "delta_degC*h",
    },
}  # fmt: skip

_WEIGHED = ("force", "pressure", "line_load", "unit_weight")  # kinds where "lb" means a force
_MARKS = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "´": "'", "`": "'", "″": '"', "”": '"', "“": '"',
    "−": "-", "–": "-", "‐": "-", "‑": "-", "²": "2", "³": "3", "⁄": "/", "º": "°",
    "\u00a0": " ", "\u202f": " ", "\u2009": " ",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "⅓": " 1/3", "⅔": " 2/3",
})  # fmt: skip
_NUMBER = r"(?:(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]*)?|\.[0-9]+)"
_AMOUNT = rf"(?:[0-9]+[ -]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|{_NUMBER})"
_PLAIN = re.compile(rf"(?P<sign>[-+]?)\s*(?P<amount>{_AMOUNT})\s*(?P<unit>[A-Za-z%°'\"].*)?")
_FEET = r"(?:'|ft\.?|foot|feet)"
_INCHES = r'(?:"|in\.?|inch|inches)'
_FEET_INCHES = re.compile(
    rf"(?P<ft>{_AMOUNT})\s*{_FEET}\s*[-,]?\s*(?:(?P<inch>{_AMOUNT})\s*(?P<mark>{_INCHES})?)"
)


@dataclass(frozen=True, slots=True)
class Term:
    """A named input: what it means, its unit in each system, and our bounds of reason."""

    name: str
    meaning: str
    kind: str
    unit: dict[str, str]
    least: str
    most: str
    example: dict[str, str]


@functools.cache
def terms() -> dict[str, Term]:
    """All terms by name, from data/terms.toml."""
    rows = tomllib.loads(resources.files("formpressure.data").joinpath("terms.toml").read_text())
    return {
        name: Term(
            name, row["meaning"], row["kind"], {s: row[s] for s in SYSTEMS},
            row["least"], row["most"], row["example"],
        )
        for name, row in rows.items()
    }  # fmt: skip


@functools.cache
def _pint_unit(kind: str, spelling: str) -> Any:
    """Prepared pint unit; each spelling is parsed once, not on every call."""
    return pint.get_application_registry().Unit(SPELLINGS[kind][spelling.casefold()])


@functools.cache
def _bounds(term: str) -> tuple[float, float]:
    """Our bounds of reason for a term, bare in US units."""
    row = terms()[term]
    unit = _pint_unit(row.kind, row.unit["US"])
    return _quantity(row, row.least).m_as(unit), _quantity(row, row.most).m_as(unit)


def Q(value: Any, unit: str) -> Any:
    """Quantity in the application's own unit registry; also reads "psf", "pcf", "plf".

    >>> Q(750, "psf").m_as("psi")  # doctest: +ELLIPSIS
    5.208...
    """
    for spellings in ("pressure", "unit_weight", "line_load"):
        unit = SPELLINGS[spellings].get(unit, unit)
    registry = pint.get_application_registry()
    return registry.Quantity(value, {"F": "degF", "C": "degC"}.get(unit, unit))


def _fraction(amount: str) -> Fraction:
    """ "8-1/2", "6 1/2", "1/2", "3,000" or "8.5" -> exact number."""
    parts = [p for p in re.split(r"[ -]+", amount.replace(",", "")) if p]
    try:
        return sum((Fraction(p.rstrip(".") or "0") for p in parts), Fraction(0))
    except ZeroDivisionError:
        raise Refusal("a fraction over zero", "Write the number again") from None


def _tidy_unit(unit: str) -> str:
    unit = re.sub(r"\s+per\s+", "/", f" {unit.strip()} ".casefold())
    unit = unit.replace("**", "").replace("^", "")
    return re.sub(r"\s*/\s*", "/", re.sub(r"\s+", " ", unit)).strip().rstrip(".")


def read(term: str, text: object) -> Any:
    """Text as crews write it -> quantity, within the bounds of reason of `term`.

    Feet and inches come out in exact feet. Raises Refusal with the cure for a bare number, an
    unknown unit, a negative or an out-of-reason value.

    >>> read("height", "8'-6 1/2\\"").m_as("inch")
    102.5
    """
    row = terms()[term]
    example = " or ".join(f'"{row.example[s]}"' for s in SYSTEMS)
    if isinstance(text, bool) or not isinstance(text, str):
        if isinstance(text, (int, float)) and not isinstance(text, bool) and abs(text) < LARGEST:
            cure = f'Write "{text} {row.unit["US"]}" or "{text} {row.unit["SI"]}", in quotes'
            raise Refusal("a bare number has no unit", cure, value=text)
        raise Refusal("not a measured value", f"Write it in quotes, such as {example}", value=text)
    if len(text) > 40:
        raise Refusal("too long for a measured value", f"Write it as {example}", value=text)
    try:
        quantity = _quantity(row, text)
        bare = enter(term, quantity)
    except Refusal as refusal:
        refusal.value = text
        raise
    low, high = _bounds(term)
    if not low <= bare <= high:
        side = f"under {row.least}" if bare < low else f"over {row.most}"
        raise Refusal(f"out of reason ({side})", "Check the number and its unit", value=text)
    return quantity


def _quantity(row: Term, text: str) -> Any:
    """Text as crews write it -> quantity, whatever its size."""
    tidy = re.sub(r"''", '"', text.translate(_MARKS)).strip()
    unread = Refusal(
        "cannot be read as a value with a unit",
        f'Write it as "{row.example["US"]}" or "{row.example["SI"]}"',
    )
    if row.kind == "length" and (found := _FEET_INCHES.fullmatch(tidy)):
        inches = _fraction(found["inch"])
        if inches >= 12:
            raise Refusal("12 inches or more beside feet", "Carry them over into feet")
        if not found["mark"] and "'" not in tidy:
            raise unread
        return Q(float(_fraction(found["ft"]) + inches / 12), "ft")
    found = _PLAIN.fullmatch(tidy)
    if not found:
        raise unread
    unit = _tidy_unit(found["unit"] or "")
    if not unit:
        cure = f'Add the unit: "{tidy} {row.unit["US"]}" or "{tidy} {row.unit["SI"]}"'
        raise Refusal("a bare number has no unit", cure)
    if unit not in SPELLINGS[row.kind]:
        units = ", ".join(dict.fromkeys(SPELLINGS[row.kind]))
        raise Refusal(f"'{unit}' is not a unit of {row.kind.replace('_', ' ')}", f"Use {units}")
    amount = _fraction(found["amount"])
    if found["sign"] == "-":
        if row.kind != "temperature" and not row.least.startswith("-"):
            raise Refusal("a negative value", "Write it without the minus, or check it")
        amount = -amount
    pint_unit = SPELLINGS[row.kind][unit]
    if pint_unit == "inch" and row.unit["US"] == "ft":
        return Q(float(amount / 12), "ft")  # whole inches survive exactly
    return Q(float(amount), pint_unit)


def enter(term: str, value: Any, system: str = "US") -> Any:
    """Quantity, or text such as "6 m" -> bare float (or array) in the unit of `term`.

    A mass counts as its weight where a force is meant; a time for each height ("15 min/ft") is
    turned into a rate. Raises Refusal for a bare number and for a wrong dimension.
    """
    row = terms()[term]
    if isinstance(value, str):
        value = read(term, value)
    if not hasattr(value, "m_as"):
        value = value if isinstance(value, (int, float)) else type(value).__name__
        cure = f'Write Q({value}, "{row.unit[system]}") or "{value} {row.unit[system]}"'
        raise Refusal("a bare number has no unit", cure, key=term, value=value)
    unit = _pint_unit(row.kind, row.unit[system])
    try:
        return value.m_as(unit)
    except pint.DimensionalityError as error:
        other = _by_meaning(row.kind, value)
        if other is not None:
            return other.m_as(unit)
        cure = f"Give it in {row.unit['US']} or {row.unit['SI']}"
        problem = f"{error.units1} is not a unit of {row.kind.replace('_', ' ')}"
        raise Refusal(problem, cure, key=term, value=str(value)) from None


def _by_meaning(kind: str, value: Any) -> Any:
    """A mass as its weight, or minutes for each foot as feet for each hour; else None."""
    value = Q(value.magnitude, str(value.units))  # it may come from another registry
    try:
        if kind in _WEIGHED:
            weight = value * Q(GRAVITY, "m/s**2")
            return weight.to(_pint_unit(kind, next(iter(SPELLINGS[kind]))))
        if kind == "rate":
            return (1 / value).to("ft/h")
    except pint.DimensionalityError:
        pass
    except ZeroDivisionError:
        raise Refusal("no time at all", "Give the minutes for each foot, or ft/h") from None
    return None


def leave(term: str, bare: Any, system: str = "US") -> Any:
    """Bare number in the unit of `term` -> quantity."""
    row = terms()[term]
    return pint.get_application_registry().Quantity(bare, _pint_unit(row.kind, row.unit[system]))


@functools.cache
def _line(term: str, start: str, end: str) -> tuple[float, float]:
    """Every conversion between two units of a term is a straight line: its factor and zero."""
    zero, ten = (enter(term, leave(term, x, start), end) for x in (0.0, 10.0))
    return (ten - zero) / 10.0, zero


def across(term: str, bare: Any, start: str, end: str) -> Any:
    """Bare number or array in the unit of `term` in one system -> in that of another."""
    factor, zero = _line(term, start, end)
    return bare * factor + zero


def at_most(value: Any, bound: Any) -> Any:
    """value <= bound, within the one tolerance; scalars and arrays."""
    return np.less_equal(value, bound + TOLERANCE * abs(bound))


def below(value: Any, bound: Any) -> Any:
    """value < bound by more than the one tolerance; scalars and arrays."""
    return np.less(value, bound - TOLERANCE * abs(bound))


def down(value: float, step: float) -> float:
    """Round an allowed value down to a whole number of steps, within the one tolerance."""
    return float(np.floor(value / step * (1.0 + TOLERANCE)) * step)


def up(value: float, step: float) -> float:
    """Round a demanded value up to a whole number of steps, within the one tolerance."""
    return float(np.ceil(value / step * (1.0 - TOLERANCE)) * step)


def last_that_passes(passes: Callable[[float], bool], good: float, bad: float) -> float:
    """The value nearest to `bad` that still passes, by halving; `good` does, `bad` does not."""
    for _ in range(HALVINGS):
        middle = (good + bad) / 2.0
        if middle in (good, bad):  # there is no number between them
            break
        good, bad = (middle, bad) if passes(middle) else (good, middle)
    return good


def whole_up(value: float) -> int:
    """The next whole number, unless the value is whole within the one tolerance."""
    return int(up(value, 1.0))


def terms_table_markdown() -> str:
    """The nomenclature that the docs print."""
    lines = ["| term | meaning | US | SI | from | to |", "| --- | --- | --- | --- | --- | --- |"]
    for t in terms().values():
        cells = (f"`{t.name}`", t.meaning, t.unit["US"], t.unit["SI"], t.least, t.most)
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"
