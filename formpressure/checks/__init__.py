"""The closed list of checks: one function for each name, gathered here.

A check of strength takes the case and a pressure envelope and says OK, NOT OK, or why it cannot
tell; the verdict decides which pressure is judged. The others take the case alone.
"""

from __future__ import annotations

from collections.abc import Callable

from formpressure.case import Case
from formpressure.checks import bracing, brackets, ends, members, site, strength
from formpressure.envelope import Envelope
from formpressure.records import Check

StrengthCheck = Callable[[Case, Envelope], Check]
SiteCheck = Callable[[Case], Check]

# What must carry the pressure; these together set the allowed rate.
STRENGTH: dict[str, StrengthCheck] = {"ties": strength.ties, **members.CHECKS, **ends.CHECKS}
SITE: dict[str, SiteCheck] = {**site.CHECKS, **bracing.CHECKS, **brackets.CHECKS}
