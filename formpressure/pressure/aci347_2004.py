"""ACI 347-04, inch-pound: pressure of fresh concrete on walls and columns.

The equations of ACI 347R-14 under their older section and table numbers.
Numbers and places from memory where `_aci347` says so; confirm against the document.
"""

from __future__ import annotations

from formpressure.pressure._aci347 import edition
from formpressure.pressure._aci347_steps import steps
from formpressure.records import Document

DOCUMENT = Document("ACI", "347-04", "Guide to Formwork for Concrete", 2004)

aci347_2004 = edition(
    "aci347_2004",
    DOCUMENT,
    "US",
    equations="2.2.2",
    cw="Cw of Table 2.1",
    cc="Cc of Table 2.2",
    steps=steps,
)
