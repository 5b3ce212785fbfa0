"""Every ratio in one run, and the table of them last.

Run from the project's root, with nothing else at work: `.venv/bin/python
reference_checks/speed/run_all.py`. One row needs `pip install PyNiteFEA` and says so without it.
"""

import arrays
import spread
import start_up
import statics_ratios
from ratios import table

for part in (start_up, arrays, statics_ratios, spread):
    print(f"-- {part.__name__}", flush=True)
    part.main()
print(f"\n{table()}")
