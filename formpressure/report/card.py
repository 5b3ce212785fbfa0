"""The pour card: one self-contained page without script, for a phone or the side of the form."""

from __future__ import annotations

from html import escape

from formpressure.report.content import Content, content
from formpressure.report.words import say
from formpressure.verdict import Verdict

STYLE = """
:root{color-scheme:light dark}
body{font:17px/1.4 system-ui,sans-serif;max-width:42rem;margin:0 auto;padding:.6rem;
 overflow-wrap:anywhere}
h1{font-size:1.05rem;margin:.2rem 0 .5rem}
h2{font-size:1rem;margin:1rem 0 .2rem;border-bottom:1px solid}
p,ul{margin:.3rem 0}
ul{padding-left:1.2rem}
.verdict{padding:.5rem .7rem;margin:0;font-size:1.05rem}
.verdict strong{font-size:1.9rem;line-height:1.2;display:block}
.GO{border:3px solid}
.NOT{border:3px dashed}
.NO{border:7px double}
.big{font-size:1.9rem;font-weight:700;line-height:1.2}
.stop{border-left:7px solid;padding-left:.7rem}
.blank{display:flex;gap:.5rem;margin:.5rem 0}
.blank i{flex:1;border-bottom:1px solid;min-width:6rem}
.small{font-size:.82rem;line-height:1.3}
@media print{@page{size:letter;margin:.4in}
 body{font-size:11.5px;line-height:1.3;max-width:none;padding:0;color:#000;background:#fff}
 h2{margin:.45rem 0 .1rem}p,ul{margin:.2rem 0}ul.small{columns:2;column-gap:2rem}
 section,li{break-inside:avoid}}
"""


def card_html(verdict: Verdict, language: str = "en") -> str:
    """The card as a complete HTML page, the same bytes for the same plan and version."""
    c = content(verdict, language)
    parts = [
        _verdict(c, verdict.word, language),
        _section(say("card", "fill", language), f"<p><b>{escape(c.fill[0])}.</b> "
                 f"{escape(c.fill[1])}</p>"),
        _section(say("card", "how_fast", language), _pace(c)),
        _section(say("word", "stop", language), _stop(c, language), "stop"),
    ]  # fmt: skip
    if c.trucks:
        parts.insert(3, _section(say("card", "trucks", language), _list(c.trucks)))
    if c.sign:
        blanks = "".join(f'<p class="blank">{escape(s)} <i></i></p>' for s in c.sign)
        parts.append(_section(say("card", "signed", language), blanks))
    if c.assumed:
        parts.append(_section(say("card", "assumed_lead", language),
                              _list(c.assumed, "small")))  # fmt: skip
    parts.append(_section(say("card", "cautions", language), _list(c.cautions, "small")))
    body = "\n".join(parts)
    title = f"{say('card', 'title', language)}: {c.title}"
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"<h1>{escape(title)}</h1>\n{body}\n"
        f'<p class="small">{escape(c.footer)}</p>\n</main>\n</body>\n</html>\n'
    )


def _verdict(c: Content, word: str, language: str) -> str:
    lines = ""
    for lead, names in (("failed_lead", c.failed), ("open_lead", c.open)):
        if names:
            lines += f"<br>{escape(say('card', lead, language))} {escape(', '.join(names))}."
    if c.sign:
        lines = f"<br>{escape(say('card', 'go_lead', language))}"
    shape = word.split("-")[0].split()[0]  # GO, NO or NOT: three borders that survive grey
    facts = "".join(f"<p>{escape(f)}</p>" for f in c.facts)
    return f'<p class="verdict {shape}"><strong>{escape(c.word)}</strong>{lines[4:]}</p>\n{facts}'


def _pace(c: Content) -> str:
    headline, beside, lines = c.pace
    big = f'<p><span class="big">{escape(headline)}</span> {escape(beside)}</p>'
    if not beside:
        big = f"<p><b>{escape(headline)}</b></p>"
    return big + "".join(f"<p>{escape(line)}</p>" for line in lines)


def _stop(c: Content, language: str) -> str:
    rework = escape(say("card", "stop_rework", language))
    danger = "".join(f"<p><b>{escape(d)}</b></p>" for d in c.danger)
    return f"{_list(c.stop)}<p>{rework}</p>{danger}"


def _section(heading: str, body: str, shape: str = "") -> str:
    attribute = f' class="{shape}"' if shape else ""
    return f"<section{attribute}>\n<h2>{escape(heading)}</h2>\n{body}\n</section>"


def _list(lines: tuple[str, ...], shape: str = "") -> str:
    attribute = f' class="{shape}"' if shape else ""
    return f"<ul{attribute}>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"
