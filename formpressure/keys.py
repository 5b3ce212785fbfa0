"""How one key of the plan file is declared: what it reads, and what a missing one does."""

from __future__ import annotations

import dataclasses
from enum import StrEnum
from typing import Any

Measure = Any  # a quantity in a Plan; a bare number in Plan.bare(system)


class Need(StrEnum):
    """What a missing key does."""

    REFUSED = "refused if missing"
    ASSUMED = "assumed at its worst, printed ASSUMED"
    OPENS = "leaves checks open"


def key(
    reads: str, need: Need, says: str, *, blank: str = "", choices: tuple[str, ...] = ()
) -> Any:
    """One key of the plan file.

    `reads` is a term of data/terms.toml, "list TERM", "text", "flag", "choice", "count", "pieces",
    "date" or "table"; a table with `choices` may be one of these words instead, such as "none";
    `blank` tells what a missing key means: the assumption made, or the checks left open.
    """
    meta = {"reads": reads, "need": need, "says": says, "blank": blank, "choices": choices}
    if need is Need.REFUSED:
        return dataclasses.field(metadata=meta)
    return dataclasses.field(metadata=meta, default=None)


REFUSED, ASSUMED, OPENS = Need.REFUSED, Need.ASSUMED, Need.OPENS
FULL_HEAD = "not known: full liquid head only"
WORST_MIX = "not known: the largest chemistry coefficient it can lead to"
NONE = ("none",)
