"""The second opinion over many more plans than CI looks at, shared between the cores.

Run from the project's root: `.venv/bin/python reference_checks/long/second_opinion.py 100000`.
Prints the last lines of each share; exits 1 if any share failed.
"""

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
TEST = HERE.parent / "second_opinion" / "test_agreement.py"


def main():
    plans = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    cores = os.cpu_count() or 1
    share = -(-plans // cores)
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "pytest", "-q", "-s", str(TEST)],
            env={**os.environ, "FORMPRESSURE_PLANS": str(share),
                 "FORMPRESSURE_FIRST": str(3000 + core * share)},
            stdout=subprocess.PIPE, text=True,
        )
        for core in range(cores)
    ]  # fmt: skip
    failed = False
    for core, process in enumerate(running):
        output, _ = process.communicate()
        print(f"plans {3000 + core * share} to {3000 + (core + 1) * share - 1}:")
        print("\n".join(output.splitlines()[-6:]))
        failed = failed or process.returncode != 0
    sys.exit(failed)


if __name__ == "__main__":
    main()
