"""DIN 18218:2010-01: pressure on vertical forms by consistency class and setting time; SI only.

F1 to F4 (a v + b) K1, F5 and F6 25 + a v K1, SCC (1.0 m + 0.26 v tE) gamma; kPa, m/h, h.
Only the SCC equation was read; numbers and conditions are from memory, see `_din18218`; confirm
them against the document.
"""

from __future__ import annotations

from formpressure.pressure._din18218 import (
    CLAUSES,
    DOCUMENT,
    FAST,
    FASTEST,
    GAMMA_F,
    LONGEST,
    PARTIAL,
    STIFF,
    allowed_rate,
    clause,
    pressure,
)
from formpressure.pressure._din18218_steps import steps
from formpressure.records import Range
from formpressure.rule import pressure_rule

din18218_2010 = pressure_rule(
    name="din18218_2010",
    document=DOCUMENT,
    system="SI",
    clauses=CLAUSES,
    inverse=allowed_rate,
    ranges=(
        Range("height", 0.0, 10.0, clause("pours up to 10 m", place="conditions")),
        Range("rate", 0.0, FASTEST, CLAUSES[FAST], among=("consistency", tuple(STIFF))),
        Range("setting_time", 0.0, LONGEST, clause("setting times up to 20 h")),
        Range("plumb", 0.0, 0.0, clause("faces within 5 degrees of plumb", place="conditions"),
              only=(True,)),
        Range("tight_face", 0.0, 0.0, clause("a tight face", place="conditions"), only=(True,)),
    ),
    steps=steps,
    needs=("consistency", "setting_time", "setting_temperature", "temperature", "vibration",
           "plumb", "tight_face"),
    symbols="din18218",
    usual_weight="25 kN/m3",
    partial_factor=GAMMA_F,
    partial_clause=PARTIAL,
)(pressure)  # fmt: skip
