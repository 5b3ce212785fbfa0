"""The second opinions over many more plans than CI looks at, shared between the cores.

Run from the project's root: `.venv/bin/python reference_checks/long/second_opinion.py 100000`.
All of them together look at that many random plans: ties, other checks, trucks, CIRIA and DIN,
metric plans with rate tables and margins; the slow ones at fewer. Plans that CI has seen are left
out. Prints the last lines of each piece; exits 1 if any failed.
"""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

OPINIONS = Path(__file__).resolve().parents[1] / "second_opinion"
SHARES = {  # of all plans, in percent
    "test_agreement.py": 60, "test_parts_agreement.py": 20, "test_trucks_agreement.py": 10,
    "test_ciria_din.py": 8, "test_metric_rates_margins.py": 2,
}  # fmt: skip
SEEN = 3000  # more than CI looks at
PIECE = 5000  # plans of one process at most
COMPARE = "no_plan or no_pour or say_the_same"  # not the tests of the opinions themselves


def pieces(plans):
    """Test, first plan and number of plans of every process."""
    for test, share in SHARES.items():
        total = plans * share // 100
        for first in range(0, total, PIECE):
            yield test, SEEN + first, min(PIECE, total - first)


def look(piece):
    test, first, count = piece
    start = time.monotonic()
    options = ["-q", "-s", "-p", "no:cacheprovider", "-k", COMPARE]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *options, str(OPINIONS / test)],
        env={**os.environ, "FORMPRESSURE_PLANS": str(count), "FORMPRESSURE_FIRST": str(first)},
        stdout=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    print(f"{test}, plans {first} to {first + count - 1}, {time.monotonic() - start:.0f} s:")
    print("\n".join(done.stdout.splitlines()[-6:]), flush=True)
    return done.returncode


def main():
    plans = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    with ThreadPoolExecutor(os.cpu_count() or 1) as cores:
        codes = list(cores.map(look, pieces(plans)))
    print(f"{sum(count for _, _, count in pieces(plans)):,} plans, {sum(map(bool, codes))} failed")
    sys.exit(any(codes))


if __name__ == "__main__":
    main()
