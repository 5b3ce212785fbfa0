"""What the scripts beside it share: how both sides are measured, and the table at the end.

Only the ratios say something about another machine. Both sides of one are measured in turn in the
same run, and the median of the pairs counts: time of the processor, all threads of it, for work in
this process; time elapsed for whole commands and for notebooks. Memory is named in the table:

- "extra": the most that Python's allocators held (tracemalloc) beyond what the result itself holds,
  in a run of its own, after one that fills the caches;
- "whole": the resident set of a whole command at its largest, or of the largest of its processes
  (POSIX);
- nothing, where the row's memory stands in another row.
"""

import os
import statistics
import subprocess
import sys
import textwrap
import time
import tracemalloc
from dataclasses import dataclass

PLAN = "shared/plans/basement_9ft.toml"
ELAPSED = time.perf_counter
CHANGED = "It was met when this was written: look for what has changed."
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed package has its bytecode
WIDTH = 100
PEAK = """import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"""  # of its child, not of us


@dataclass(frozen=True)
class Row:
    """One bar. `cost` is what it would take to meet it, told only where it is missed; a row that
    could not be measured has no figure, and `cost` says what to install."""

    name: str
    figure: float | None
    bar: float
    memory: str
    cost: str

    @property
    def word(self):
        if self.figure is None:
            return "NOT MEASURED"
        return "met" if self.figure <= self.bar else "missed"

    def __str__(self):
        figure = "-" if self.figure is None else f"{self.figure:.3g}"
        line = f"{self.name:<60}{figure:>9}{self.bar:>8g}  {self.word:<13}{self.memory}".rstrip()
        if self.word == "met":
            return line
        return line + "\n" + textwrap.fill(self.cost, WIDTH, initial_indent="    ",
                                           subsequent_indent="    ")  # fmt: skip


ROWS = []


def row(name, figure, bar, *, memory="", cost=CHANGED):
    """Enter a row of the table, and print it at once."""
    ROWS.append(Row(name, figure, bar, memory, cost))
    print(ROWS[-1], flush=True)


def table():
    """All rows."""
    head = f"{'what is compared':<60}{'figure':>9}{'bar':>8}  {'':<13}memory"
    return "\n".join([head, "-" * WIDTH, *map(str, ROWS)])


def seconds(function, clock=time.process_time):
    start = clock()
    function()
    return clock() - start


def ratio(ours, other, runs, clock=time.process_time):
    """Median of the pairs, after one of each that is not counted; prints the times."""
    ours(), other()
    pairs = [(seconds(ours, clock), seconds(other, clock)) for _ in range(runs)]
    a, b = (1000.0 * statistics.median(side) for side in zip(*pairs, strict=True))
    print(f"  {a:.3g} / {b:.3g} ms")
    return statistics.median(a / b for a, b in pairs)


def extra_mb(function):
    function()
    tracemalloc.start()
    result = function()
    held, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    del result
    return (most - held) / 1e6


def extra(function):
    return f"{extra_mb(function):.2g} MB extra"


def command(*arguments):
    """A function that runs this Python with these arguments; a verdict is no failure."""

    def run():
        done = subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=False)
        if done.returncode in (1, 2):
            raise RuntimeError(f"it failed: {' '.join(arguments)}")

    return run


def whole(*arguments):
    measured = [sys.executable, "-c", PEAK, sys.executable, *arguments]
    told = int(subprocess.run(measured, capture_output=True, check=True).stdout)
    return f"{told * (1 if sys.platform == 'darwin' else 1024) / 1e6:.0f} MB whole"
