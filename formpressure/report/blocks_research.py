"""A research model and measured pressures in text: beside the documents, never a verdict."""

from __future__ import annotations

from formpressure.beside import GROWTHS, beside_plan
from formpressure.records import Amount
from formpressure.report.figures import judged_at
from formpressure.report.parts import Block, Cell, bullets, joined, line, paragraphs, table
from formpressure.report.words import Shown, say
from formpressure.research.measured import measured_pressures
from formpressure.research.ovarlez_roussel_2006 import EQUATION, PLATEAU, stiffening_class
from formpressure.units import up
from formpressure.verdict import Verdict

SECTION = "research_report"


def model(verdict: Verdict, language: str = "en") -> Block:
    """The model's largest pressure for three rates of stiffening beside the judged one."""
    found = beside_plan(verdict)
    title = line(say(SECTION, "title", language), "lead")
    lead = paragraphs(say(SECTION, "model_lead", language))
    if found is None:
        return joined(title, lead, paragraphs(say(SECTION, "not_enough", language)))
    system = verdict.case.rule.system
    rows: list[tuple[str | Cell, ...]] = []
    for growth, curve in zip(GROWTHS, found.curves, strict=True):
        peak = float(curve.max())
        rows.append((
            f"{growth:g}", stiffening_class(growth).name,
            format(Shown(Amount("pressure", peak, system)), "up"),
            whole(peak / float(found.full.max())),
        ))  # fmt: skip
    head = tuple(say(SECTION, h, language) for h in ("growth", "class", "peak", "of_head"))
    caption = say(
        SECTION, "model_table", language, judged=judged_at(verdict, language),
        pressure=Amount("pressure", float(verdict.envelope.p_max), system),
        head=Amount("pressure", float(found.full.max()), system),
    )  # fmt: skip
    rests = [str(c) for c in (EQUATION, PLATEAU, stiffening_class(GROWTHS[0]).clause)]
    return joined(
        title, lead, table(caption, head, rows), paragraphs(say(SECTION, "clauses", language)),
        bullets(rests),
    )  # fmt: skip


def measured(language: str = "en") -> Block:
    """Every programme of measurement that was found, with its source and how it was seen."""
    found = measured_pressures()
    rows: list[tuple[str | Cell, ...]] = [
        (
            f"{m.id}: {m.element}", say(SECTION, m.kind, language), m.states, m.enough,
            f"{say('short_label', m.label, language)}: {m.source} ({m.place})",
        )
        for m in found
    ]  # fmt: skip
    names = ("programme", "kind", "states", "enough", "how_seen")
    head = tuple(say(SECTION, h, language) for h in names)
    return joined(
        paragraphs(measured_lead(language)),
        table(say(SECTION, "measured_table", language), head, rows, wide=True),
    )


def measured_lead(language: str = "en") -> str:
    """How many programmes of each kind, and that they are too few."""
    kinds = [m.kind for m in measured_pressures()]
    return say(SECTION, "measured_lead", language, rows=len(kinds),
               pressures=kinds.count("pressure"), ratios=kinds.count("ratio"),
               indices=kinds.count("index"))  # fmt: skip


def whole(share: float) -> str:
    """A share in percent, up to a whole one."""
    return f"{up(100.0 * share, 1.0):.0f} %"
