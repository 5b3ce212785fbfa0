"""What all drawings share: one look for grey paper and phones, and the same bytes each time.

Lines and marks differ by stroke, shape and label, never by hue alone. Checked settings: 5 inches
wide in letters of 12 points stays legible at 320 px.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from formpressure.records import Amount
from formpressure.report.words import Shown, say, unit_word
from formpressure.units import terms

STYLE = {
    "font.family": "DejaVu Sans", "font.size": 12, "figure.figsize": (5.0, 3.6),
    "svg.fonttype": "path", "svg.hashsalt": "formpressure", "hatch.linewidth": 0.6,
    "axes.spines.top": False, "axes.spines.right": False,
}  # fmt: skip
DARK, LIGHT = "#00557f", "#d9e4ea"  # 8.1 to 1 on white; the light one only fills
BLANK = {"facecolor": "white", "edgecolor": "none", "pad": 0.6}  # keeps lines out of a label
PNG_DPI, PNG_COLOURS = 110, 8  # lines, dots and a tint: legible on paper, a tenth of the bytes
CLOSEST = 0.21  # inches between labels one above the other


def number(term: str, bare: float, system: str, how: str) -> str:
    """The rounded number without its unit, which the axis tells."""
    return format(Shown(Amount(term, float(bare), system)), how).split(" ")[0]


def axis_label(name: str, term: str, system: str, language: str) -> str:
    unit = terms()[term].unit[system]
    return f"{say('figure', name, language)}, {unit_word(unit, language)}"


def apart(levels: Any, always: int, gap: float) -> list[int]:
    """Which labels fit one above the other: the worst row always, others as they fit."""
    kept = [always]
    for i in range(len(levels)):
        if all(abs(levels[i] - levels[k]) >= gap for k in kept):
            kept.append(i)
    return sorted(kept)


def spread(levels: list[float], gap: float) -> list[float]:
    """The same levels moved apart upwards, in their order, so that labels do not touch."""
    moved: dict[int, float] = {}
    last = -0.4 * gap  # the lowest stands clear of the axis
    for i in sorted(range(len(levels)), key=lambda i: (levels[i], -i)):
        last = moved[i] = max(levels[i], last + gap)
    return [moved[i] for i in range(len(levels))]


@contextmanager
def style() -> Iterator[None]:
    """Our own settings whatever the user's: drawings look the same on every machine.

    The library tells of its font cache on the error stream, which a report must not carry.
    """
    log = logging.getLogger("matplotlib")
    level = log.level
    log.setLevel(logging.ERROR)
    try:
        import matplotlib as mpl

        settings: dict[Any, Any] = {**mpl.rcParamsDefault, **STYLE}
        del settings["backend"]  # the user's stays; only to ask which it is would load pyplot
        with mpl.rc_context(settings):
            yield
    finally:
        log.setLevel(level)


def canvas(ncols: int, nrows: int = 1, height: float | None = None, **more: Any) -> tuple[Any, Any]:
    """A figure of the usual width and its axes, row by row."""
    from matplotlib.figure import Figure  # pyplot, which keeps a list of figures, is not needed

    drawn = Figure(layout="constrained")
    if height is not None:
        drawn.set_figheight(height)
    return drawn, drawn.subplots(nrows, ncols, squeeze=False, **more).ravel()


def svg_of(drawn: Any) -> str:
    """The figure as SVG, without what changes from one run to the next."""
    out = io.StringIO()
    drawn.savefig(out, format="svg", metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
    return out.getvalue()


def png_of(drawn: Any) -> bytes:
    """The figure as PNG of few colours, for drawings of so many marks that SVG would be larger."""
    from PIL import Image  # comes with the drawing library

    raw, out = io.BytesIO(), io.BytesIO()
    drawn.savefig(raw, format="png", dpi=PNG_DPI, metadata={"Software": None})
    with Image.open(raw) as image:
        image.convert("RGB").quantize(PNG_COLOURS).save(out, format="png", optimize=True)
    return out.getvalue()
