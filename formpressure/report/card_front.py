"""Front of the pour card: what the crew needs while the concrete goes in, and nothing else.

Neither pressures nor ratios nor documents stand here; the back has them.
"""

from __future__ import annotations

from html import escape
from pathlib import PurePath

from formpressure.marks import Marks
from formpressure.report.card_parts import blank, listed, paragraph, section
from formpressure.report.content import Sentences
from formpressure.units import at_most
from formpressure.verdict import GO, NO_GO

MOST_MARKS, FEW_MARKS = 24, 10  # that fit on the page, and with more room to write
EXAMPLE = 8 * 60 + 20  # minutes of the day


def front(make: Sentences) -> str:
    """All sections of the front."""
    say = make.say
    stop = section(
        say("word", "stop"), listed(make.stop()), paragraph(say("card", "stop_rework")),
        f"<p><b>{escape(say('card', 'danger'))}</b></p>", shape="stop",
    )  # fmt: skip
    parts = [
        paragraph(say("card", "read_first"), "read"), _verdict(make),
        '<div class="two">\n<div>', section(say("card", "fill"), _straight_up(make)),
        section(say("card", "how_long", each=make.each()), *_how_long(make)), "</div>\n<div>",
        stop, _blanks(make), "</div>\n</div>",
    ]  # fmt: skip
    if make.marks is not None and make.verdict.word != NO_GO:
        parts.append(section(say("card", "marks"), *_marks(make, make.marks)))
    return "\n".join(p for p in [*parts, _identity(make)] if p)


def _verdict(make: Sentences) -> str:
    verdict, lines = make.verdict, []
    loud = f"<b>{escape(make.say('card', 'other_fails_front'))}</b><br>"  # the back names it
    loud = loud if verdict.others_failing else ""
    for lead, found in (("failed_lead", verdict.failed), ("open_lead", verdict.open)):
        if found:
            names = ", ".join(make.say("check", c.name) for c in found)
            lines.append(f"{make.say('card', lead)} {names}.")
    if verdict.word == GO:
        lines.append(make.say("card", "go_lead"))
    if verdict.word == NO_GO:
        lines.append(make.say("card", "no_go"))
    shape = verdict.word.split("-")[0].split()[0]  # GO, NO or NOT: three borders that survive grey
    text = "<br>".join(escape(line) for line in lines)
    word = escape(make.say("word", verdict.word))
    return f'<p class="verdict {shape}">{loud}<strong>{word}</strong>{text}</p>'


def _straight_up(make: Sentences) -> str:
    verdict, case = make.verdict, make.case
    loads = verdict.ties_full
    if make.doubtful:
        answer, why = "NOT CHECKED", make.say("card", "fill_doubt")
    elif verdict.straight_up:
        answer, why = "yes", make.say("card", "straight_yes", by=make.carriers())
    elif at_most(float(loads.load[loads.worst]), case.tie.usable):
        failing = next(c for c in verdict.fails_at_full if c.name != "ties")
        answer = "no"
        why = make.say("card", "straight_no_other", name=make.say("check", failing.name))
    else:
        row = make.write("height", loads.heights[loads.worst])
        answer, why = "no", make.say("card", "straight_no", row=row)
    return f'<p><b class="big">{escape(make.say("word", answer))}.</b> {escape(why)}</p>'


def _how_long(make: Sentences) -> list[str]:
    """The minutes by the row of the concrete measured, and the trucks that go with them."""
    marks, say = make.marks, make.say
    if make.verdict.allowed.kind == "any" and not make.doubtful:
        return [_big(say("card", "no_wait"), say("card", "no_wait_beside", by=make.carriers()))]
    headline, beside, lines = make.pace()
    if marks is None:
        return [_big(headline, beside), *map(paragraph, lines)]
    wait = f"{marks.wait:g}"
    found = [_big(headline, beside), _rows(make, marks), paragraph(say("card", "rows_rule")),
             paragraph(say("card", "rows_colder", wait=wait))]  # fmt: skip
    if make.rate_over is not None:
        found.append(paragraph(say("card", "stated_over", rate=make.rate_over)))
    elif marks.held is not None:
        rate = make.amount("rate", marks.held)
        found.append(paragraph(say("card", "rows_held", rate=rate)))
    filling, trucks = make.case.filling, make.verdict.trucks
    if filling is not None and trucks is not None:
        found += map(paragraph, make.gaps(trucks, filling))
    elif make.truck_rise is not None:
        truck = make.write("volume", make.case.bare.delivery.truck)
        rise = make.amount("height", make.truck_rise)
        found.append(paragraph(say("card", "rises", truck=truck, rise=rise)))
    return found


def _big(headline: str, beside: str) -> str:
    return f'<p><b class="big">{escape(headline)}</b> {escape(beside)}</p>'


def _rows(make: Sentences, marks: Marks) -> str:
    say, gaps = make.say, make.case.filling is None and make.truck_rise is not None
    heads = [say("card", "rows_temperature"), make.each(), *([say("card", "rows_gap")] * gaps)]
    body = ""
    for k, row in enumerate(marks.rows):
        cells = [say("card", "minutes", minutes=row.minutes)]
        gap = "rows_split" if row.gap is None else "minutes"
        cells += [say("card", gap, minutes=row.gap)] * gaps
        if row.minutes is None:
            cells = [say("card", "rows_stop")] * len(cells)
        here = ' class="here"' if k == marks.here else ""
        temperature = escape(make.write("temperature", row.temperature))
        cells = [f"<td>{escape(cell)}</td>" for cell in cells]
        body += f'<tr{here}><th scope="row">{temperature}</th>{"".join(cells)}</tr>'
    top = "".join(f'<th scope="col">{escape(head)}</th>' for head in heads)
    caption = escape(say("card", "rows"))
    return (
        f"<table><caption>{caption}</caption><thead><tr>{top}</tr></thead>"
        f"<tbody>{body}</tbody></table>"
    )


def _marks(make: Sentences, marks: Marks) -> list[str]:
    """Every mark with blanks for the time it was reached and the earliest time of the next."""
    say, names = make.say, [make.write("height", level) for level in marks.levels]
    at, then = escape(say("card", "marks_at")), escape(say("card", "marks_next"))
    shown = names[:MOST_MARKS]
    cells = "".join(
        f"<li><b>{escape(name)}</b><span>{at} <i></i></span>"
        + (f"<span>{then} <i></i></span>" if name != names[-1] else "")
        + "</li>"
        for name in shown
    )
    found = [paragraph(f"{say('card', 'marks_rule')} {say('card', 'marks_decide')}")]
    if len(names) > 1:
        low = 2 if len(names) > 3 else 0
        time = EXAMPLE + marks.minutes
        found.append(paragraph(say(
            "card", "marks_example", minutes=marks.minutes, low=names[low], high=names[low + 1],
            time=f"{time // 60}:{time % 60:02d}",
        )))  # fmt: skip
    shape = "marks few" if len(shown) <= FEW_MARKS else "marks"
    found.append(f'<ol class="{shape}">{cells}</ol>')
    if len(names) > len(shown):
        found.append(paragraph(say("card", "marks_more", top=shown[-1])))
    return found


def _blanks(make: Sentences) -> str:
    """What is filled in by hand; nothing to measure or initial on a NO-GO."""
    names = [] if make.verdict.word == NO_GO else ["measured", "row", "initials"]
    if make.verdict.allowed.kind == "any" and names:
        names.remove("row")
    names += [] if make.verdict.plan.revision else ["revision"]
    warning = "" if make.verdict.word in (GO, NO_GO) else make.say("card", "signing")
    return "\n".join(blank(make.say("card", f"note_{n}")) for n in names) + paragraph(warning)


def _identity(make: Sentences) -> str:
    """Which plan the card is of."""
    plan, say = make.verdict.plan, make.say
    which = say("card", "identity" if plan.revision else "identity_blank", revision=plan.revision,
                file=PurePath(plan.file).name, checksum=plan.checksum)  # fmt: skip
    return f'<p class="small">{escape(which)} <b>{escape(say("card", "void"))}</b></p>'
