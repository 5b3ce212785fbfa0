"""ACI 347R-14, SI set with its own rounded constants: pressure on walls and columns.

(b) p = Cw Cc (7.2 + 785 R/(T + 17.8)); (c) p = Cw Cc (7.2 + 1156/(T + 17.8) + 244 R/(T + 17.8));
kPa, m/h, C. Not less than 30 Cw, never over the liquid head.
Numbers and places from memory where `_aci347` says so; confirm against the document.
"""

from __future__ import annotations

from formpressure.pressure._aci347 import edition
from formpressure.pressure._aci347_steps import steps
from formpressure.records import Document

DOCUMENT = Document("ACI", "347R-14", "Guide to Formwork for Concrete", 2014)

aci347r_2014_si = edition(
    "aci347r_2014_si",
    DOCUMENT,
    "SI",
    equations="4.2.2.1",
    cw="Cw of Table 4.2.2.1a(b)",
    cc="Cc of Table 4.2.2.1a(c)",
    steps=steps,
)
