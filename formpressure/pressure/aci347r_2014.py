"""ACI 347R-14, inch-pound: pressure of fresh concrete on walls and columns.

(b) p = Cw Cc (150 + 9000 R/T); (c) p = Cw Cc (150 + 43400/T + 2800 R/T); psf, ft/h, F.
Not less than 600 Cw, never over w h.
Numbers and places from memory where `_aci347` says so; confirm against the document.
"""

from __future__ import annotations

from formpressure.pressure._aci347 import edition
from formpressure.pressure._aci347_steps import steps
from formpressure.records import Document

DOCUMENT = Document("ACI", "347R-14", "Guide to Formwork for Concrete", 2014)

aci347r_2014 = edition(
    "aci347r_2014",
    DOCUMENT,
    "US",
    equations="4.2.2.1",
    cw="Cw of Table 4.2.2.1a(b)",
    cc="Cc of Table 4.2.2.1a(c)",
    steps=steps,
)
