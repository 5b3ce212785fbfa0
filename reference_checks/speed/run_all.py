"""All ratios in one run: `.venv/bin/python reference_checks/speed/run_all.py` from the root."""

import runpy
from pathlib import Path

for name in ("start_up", "arrays", "statics_ratios", "spread"):
    print(f"-- {name}")
    runpy.run_path(str(Path(__file__).with_name(f"{name}.py")), run_name="__main__")
