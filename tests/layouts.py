"""Plans with a layout for the tests, all invented."""

import re

CLOSED = """
units = "US"
[wall]
height = "8 ft"
[ties]
load = "5000 lb"
basis = "working load at 2:1"
heights = ["8 in", "2'-4\\"", "4 ft", "5'-8\\"", "7'-4\\""]
[delivery]
thickness = "12 in"
[layout]
leg = "4 in"
sides = [
 { name = "north", length = "40 ft", turn = "right" },
 { name = "east", length = "20'-10\\"", turn = "right" },
 { name = "south", length = "40 ft", turn = "right" },
 { name = "west", length = "20'-10\\"", turn = "right" },
]
stock = [
 { width = "24 in", height = "8 ft", count = 120 },
 { width = "16 in", height = "8 ft", count = 24 },
 { width = "12 in", height = "8 ft", count = 12 },
 { width = "6 in", height = "8 ft", count = 12 },
]
"""
NORTH = '{ name = "north", length = "40 ft", turn = "right" }'
SIDES = re.compile(r"sides = \[.*?\n\]", re.S)


def changed(*pairs, text=CLOSED):
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def straight(side="", stock='{ width = "24 in", height = "8 ft", count = 90 }', wall="", more=""):
    """One open side of 24 ft, with or without something in it."""
    text = SIDES.sub(
        f'sides = [{{ name = "a", length = "24 ft", turn = "end"{side} }}]\n{more}', CLOSED
    )
    text = re.sub(r"stock = \[.*?\n\]", f"stock = [{stock}]", text, flags=re.S)
    return text.replace('height = "8 ft"\n[ties]', f'height = "8 ft"\n{wall}\n[ties]')
