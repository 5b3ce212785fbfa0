"""How long the command takes to start, against what it cannot do without; whole processes.

Run from the project's root: `.venv/bin/python reference_checks/speed/start_up.py`. Prints medians
of pairs run in turn and their ratio; only the ratios say something about another machine.
"""

import statistics
import subprocess
import sys
import time

PAIRS = [
    ("import formpressure / nothing", ["-c", "import formpressure"], ["-c", "pass"], 2.0),
    (
        "check from the shell / import numpy, pint and its registry",
        ["-m", "formpressure", "check", "shared/plans/basement_9ft.toml"],
        ["-c", "import numpy, pint; pint.get_application_registry().Unit('ft')"],
        2.0,
    ),
    (
        "check from the shell / import numpy, pint",
        ["-m", "formpressure", "check", "shared/plans/basement_9ft.toml"],
        ["-c", "import numpy, pint"],
        2.0,
    ),
]
RUNS = 15


def seconds(arguments):
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=False)
    return time.perf_counter() - start


def main():
    for name, ours, other, bar in PAIRS:
        seconds(ours), seconds(other)
        pairs = [(seconds(ours), seconds(other)) for _ in range(RUNS)]
        ratio = statistics.median(a / b for a, b in pairs)
        a, b = (statistics.median(x) * 1000 for x in zip(*pairs, strict=True))
        word = "met" if ratio <= bar else "missed"
        print(f"{name}: {a:.0f} / {b:.0f} ms, ratio {ratio:.2f}, bar {bar:g}: {word}")


if __name__ == "__main__":
    main()
