"""Sampling of the input spread against drawing its normals alone.

The verdict, the margins and the form's strength, worked once before the sampling, are timed apart
and taken off.
"""

import statistics

import numpy as np
from ratios import CHANGED, extra_mb, row, seconds

from formpressure import read_plan
from formpressure.spread import input_spread
from formpressure.spread_pours import CHUNK

SAMPLES, RUNS = 10_000_000, 5
WIDTHS = {
    "rate": 'rate = "0.5 ft/h"', "temperature": 'temperature = "2 F"',
    "slump": 'slump = "0.5 in"', "unit_weight": 'unit_weight = "1 pcf"',
}  # fmt: skip
OPEN = (
    "Pours of cells that their corners do not settle are worked one by one: with three inputs one "
    "in twenty, with four one in seven. Twice and four times the cells were tried and cost what "
    "they spare: it takes a proof for the inside of a cell."
)


def normals(inputs):
    """The same numbers in the same chunks, and nothing done with them."""
    streams = [np.random.Generator(np.random.PCG64(i)) for i in range(inputs)]
    for _ in range(0, SAMPLES, CHUNK):
        for stream in streams:
            stream.standard_normal(CHUNK)


def measure(text, names):
    plan = read_plan("\n".join([text.split("[spread]")[0], "[spread]", *map(WIDTHS.get, names)]))
    pairs = []
    for _ in range(RUNS):
        once = seconds(lambda: input_spread(plan, samples=1))
        ours = seconds(lambda: input_spread(plan, samples=SAMPLES)) - once
        pairs.append(ours / seconds(lambda: normals(len(names))))
    row(f"spread of {', '.join(names)} / drawing it", statistics.median(pairs), 1.6,
        cost=OPEN if len(names) > 2 else CHANGED)  # fmt: skip


def main():
    with open("shared/plans/stem_wall_10ft.toml", encoding="utf-8") as file:
        text = file.read()
    for count in range(1, len(WIDTHS) + 1):
        measure(text, list(WIDTHS)[:count])
    plan = read_plan(text)
    for samples in (100_000, SAMPLES):
        row(f"spread: extra memory of {samples:,} samples, MB",
            extra_mb(lambda n=samples: input_spread(plan, samples=n)), 48.0)  # fmt: skip


if __name__ == "__main__":
    main()
