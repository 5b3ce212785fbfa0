"""Plans for the tests, all invented; and how a bad one is refused."""

import pytest

from formpressure import Refusal, read_plan

SMALL = """
units = "US"
[wall]
height = "8 ft"
[ties]
load = "3000 lb"
basis = "working load at 2:1"
heights = ["1 ft", "3 ft", "5 ft", "7 ft"]
spacing = "2 ft"
"""

CONCRETE = """
[concrete]
temperature = "60 F"
slump = "5 in"
mix = { cement = "I", retarder = false, fly_ash = "0 %", slag = "0 %" }
vibration = { kind = "internal", depth = "3 ft" }
"""

REST = """
[form]
faces = "tied through"
corners = "none"
bulkheads = "none"
openings = "none"
batter_and_ledges = "none"
brackets = "none"
panels = { pressure = "1300 psf", basis = "working pressure at 2:1", data_sheet = "sheet P" }
[[by_others]]
checks = ["tie bearing", "joint connectors", "overhangs", "base", "bracing", "stages"]
who = "A. Engineer"
document = "calculation 7"
date = 2026-03-01
"""


_MEMBER = 'size = "2x8", species = "Douglas Fir-Larch", grade = "No.2", reused = false'
# By the two plain models any rate, by the third more than a tie may carry.
STUDS_IN_DOUBT = (
    SMALL.replace("3000 lb", "4800 lb") + 'data_sheet = "sheet T"\n' + CONCRETE
    + '[form]\nfaces = "tied through"\nsheathing = { thickness = "1 in", '
    'plywood = "form grade class I", face_grain = "across", reused = false }\n'
    f'studs = {{ {_MEMBER}, spacing = "4 in" }}\n'
    f'wales = {{ {_MEMBER}, spacing = "2 ft", doubled = true }}\n'
)  # fmt: skip


def complete(load="5000 lb", method="chute", **changes):
    """A plan whose every other check is made by others; `changes` replace whole lines of text."""
    text = SMALL.replace("3000 lb", load) + 'data_sheet = "sheet T"\n' + CONCRETE
    text += f'[delivery]\nmethod = "{method}"\nlength = "160 ft"\nthickness = "8 in"\n' + REST
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    return text


def refusal_of(text):
    """With which a plan is refused: one line that names the file, and a cure."""
    with pytest.raises(Refusal) as refusal:
        read_plan(text, file="wall.toml")
    message = str(refusal.value)
    assert message.startswith("wall.toml: ")
    assert "\n" not in message
    assert len(message) < 600
    assert refusal.value.cure
    return refusal.value
