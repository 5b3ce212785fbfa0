"""The table of strings and how amounts are written; the rounding of every shown number is here."""

from __future__ import annotations

import functools
import tomllib
from fractions import Fraction
from importlib import resources
from typing import Any

from formpressure import units
from formpressure.comparison import Reason
from formpressure.records import Amount, Check, Status

# Display step of each term: US, SI. Allowed values are rounded down to it, demands up.
STEPS = {
    "load": (10.0, 0.1), "pressure": (10.0, 0.5), "rate": (0.5, 0.1), "height": (1 / 12, 0.05),
    "duration": (1.0, 1.0), "volume": (0.25, 0.25), "temperature": (1.0, 0.5),
    "rate_spread": (0.05, 0.01), "temperature_spread": (0.5, 0.25), "slump_spread": (0.05, 1.0),
    "line_load": (10.0, 0.1), "wind_speed": (1.0, 0.5), "bearing_area": (0.1, 100.0),
    "deviation": (1 / 16, 1.0), "temperature_time": (1.0, 1.0),
}  # fmt: skip
LANGUAGES = ("en", "es")


@functools.cache
def words(language: str = "en") -> dict[str, dict[str, str]]:
    """The table of one language."""
    file = resources.files("formpressure.data").joinpath(f"words_{language}.toml")
    return tomllib.loads(file.read_text(encoding="utf-8"))


def say(section: str, name: str, language: str = "en", /, **facts: Any) -> str:
    """One sentence of the table with its amounts filled in."""
    shown = {k: Shown(v, language) if isinstance(v, Amount) else v for k, v in facts.items()}
    return words(language)[section][name].format(**shown)


def unit_word(unit: str, language: str = "en") -> str:
    """How a unit is written; as it stands where the table has no word for it."""
    return words(language)["unit"].get(unit, unit)


def note(check: Check, language: str = "en") -> str:
    """The sentence of a check, with demand against capacity where it has them."""
    text = say("note", check.note, language, **check.facts)
    if check.demand is None or check.capacity is None:
        return text
    pair = against(check.demand, check.capacity, check.status is not Status.NOT_OK)
    return f"{text}: {' / '.join(pair)}"


def against(demand: Amount, capacity: Amount, passes: bool) -> tuple[str, str]:
    """Demand rounded up and capacity down; both as they are where a pass would look like a fail."""
    step = STEPS[demand.term][units.SYSTEMS.index(demand.system)]
    if passes and units.up(demand.bare, step) > units.down(capacity.bare, step):
        return str(Shown(demand)), str(Shown(capacity))
    return f"{Shown(demand):up}", f"{Shown(capacity):down}"


def reason_words(reason: Reason, language: str = "en") -> str:
    """Why a document says nothing, with the plan key to fill or change."""
    key = f" [{reason.key}]" if reason.key else ""
    return say("silence", reason.note, language, **reason.facts) + key


class Shown:
    """An amount that formats itself: "up" for a demand, "down" for what is allowed, "" as given."""

    def __init__(self, amount: Amount, language: str = "en") -> None:
        self.amount, self.language = amount, language

    def __format__(self, how: str) -> str:
        a = self.amount
        bare, unit = a.bare, units.terms()[a.term].unit[a.system]
        if unit == "kN/m3":  # said in kg/m³ on site
            bare, unit = bare * 1000.0 / units.GRAVITY, "kg/m³"
        if how:
            step = STEPS[a.term][units.SYSTEMS.index(a.system)]
            bare = units.up(bare, step) if how == "up" else units.down(bare, step)
        if unit == "ft":
            return feet_and_inches(bare, self.language)
        if a.term == "deviation" and unit == "in":
            near = abs(bare) < 1 / 32
            return "0 in" if near else feet_and_inches(bare / 12.0, self.language)
        if not how:
            bare = float(f"{bare:.4g}")
        text = f"{bare:,.10g}"
        return f"{text} {unit_word(unit, self.language)}".replace("% %", "%")

    def __str__(self) -> str:
        return format(self, "")


def hours(minutes: float, how: str = "up") -> str:
    """720 -> "12 h", to the whole minute, up for what must pass and down for what is left."""
    whole = int(units.up(minutes, 1.0) if how == "up" else units.down(minutes, 1.0))
    h, rest = divmod(whole, 60)
    if not h:
        return f"{rest} min"
    return f"{h} h {rest} min" if rest else f"{h} h"


def feet_and_inches(feet: float, language: str = "en") -> str:
    """8.5 -> "8 ft 6 in", to the nearest 1/16 in."""
    sixteenths = round(feet * 192.0)
    whole, rest = divmod(sixteenths, 192)
    inches, part = divmod(rest, 16)
    fraction = f" {Fraction(part, 16)}" if part else ""
    foot = unit_word("one ft" if whole == 1 else "ft", language)
    text = f"{inches if inches or not part else ''}{fraction} {unit_word('in', language)}".strip()
    if not rest:
        return f"{whole} {foot}"
    return f"{whole} {foot} {text}" if whole else text
