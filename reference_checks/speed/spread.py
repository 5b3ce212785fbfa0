"""Sampling of the input spread against drawing its normals alone, in one run.

Run from the project's root: `.venv/bin/python reference_checks/speed/spread.py`. Both sides in
turn, time of the processor, the median of the pairs is printed; only ratios say something about
another machine. The verdict, the margins and the form's strength, worked once before the sampling,
are timed apart and taken off. Memory is the most that Python's allocators held beyond the start, in
a run of its own.
"""

import statistics
import time
import tracemalloc

import numpy as np

from formpressure import read_plan
from formpressure.spread import input_spread
from formpressure.spread_pours import CHUNK

SAMPLES, RUNS, BAR, MOST_MB = 10_000_000, 3, 1.6, 48.0
WIDTHS = {
    "rate": 'rate = "0.5 ft/h"', "temperature": 'temperature = "2 F"',
    "slump": 'slump = "0.5 in"', "unit_weight": 'unit_weight = "1 pcf"',
}  # fmt: skip


def seconds(function):
    start = time.process_time()
    function()
    return time.process_time() - start


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
        pairs.append((ours, seconds(lambda: normals(len(names)))))
    ratio = statistics.median(a / b for a, b in pairs)
    a, b = (statistics.median(x) * 1e9 / SAMPLES for x in zip(*pairs, strict=True))
    word = "met" if ratio <= BAR else "missed"
    print(
        f"{', '.join(names)}: {a:.1f} / {b:.1f} ns a sample, ratio {ratio:.2f}, bar {BAR}: {word}"
    )


def memory(text):
    plan = read_plan(text)
    for samples in (100_000, SAMPLES):
        tracemalloc.start()
        input_spread(plan, samples=samples)
        held = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        word = "met" if held <= MOST_MB else "missed"
        print(f"extra memory with {samples:,} samples: {held:.1f} MB, bar {MOST_MB:g}: {word}")


if __name__ == "__main__":
    with open("shared/plans/stem_wall_10ft.toml", encoding="utf-8") as file:
        stem_wall = file.read()
    for count in range(1, len(WIDTHS) + 1):
        measure(stem_wall, list(WIDTHS)[:count])
    memory(stem_wall)
