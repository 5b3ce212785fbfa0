"""What a notebook shows: HTML for pages, Markdown for equations, and the same in plain letters."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from formpressure.records import Amount, Status
from formpressure.report.words import Shown, say

# Word, mark and shape tell a status apart where colour, style sheet or ink are missing.
MARKS = {
    Status.OK: ("✓", "ok"),
    Status.NOT_OK: ("✗", "bad"),
    Status.NOT_CHECKED: ("?", "open"),
    Status.DOES_NOT_APPLY: ("–", "none"),
    Status.BY_OTHERS: ("✓", "others"),
}


@dataclass(frozen=True, slots=True)
class Block:
    """One thing to show. Notebooks pick HTML or Markdown, terminals the plain text."""

    plain: str
    html: str = ""
    markdown: str = ""

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        kinds = {
            "text/plain": self.plain, "text/html": self.html, "text/markdown": self.markdown,
        }  # fmt: skip
        return {kind: text for kind, text in kinds.items() if text}

    def __str__(self) -> str:
        return self.plain


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a table that is more than text."""

    plain: str
    html: str


def write(term: str, bare: Any, system: str) -> str:
    """A bare number with its unit, as given."""
    return str(Shown(Amount(term, float(bare), system)))


def rate_word(rate: float, system: str, language: str = "en") -> str:
    """A rate of the table: a number with its unit, any rate, or no rate."""
    if rate == float("inf"):
        return say("rates", "any", language)
    return write("rate", rate, system) if rate > 0.0 else say("rates", "none", language)


def safe(text: str) -> str:
    """Text for HTML that no reader of the page takes for markup, code or an equation.

    Notebook viewers set a pair of dollar signs as an equation even in HTML; a tag breaks the pair.
    """
    return escape(text).replace("$", "<span>$</span>")


def badge(status: Status, language: str = "en") -> Cell:
    """The status of a check as word, mark and shape."""
    mark, shape = MARKS[status]
    word = say("status", status, language)
    return Cell(word, f'<span class="status {shape}">{mark}&nbsp;{safe(word)}</span>')


def line(text: str, shape: str) -> Block:
    """One line that the style sheet gives a shape."""
    return Block(text, f'<p class="{shape}">{safe(text)}</p>')


def paragraphs(*lines: str) -> Block:
    """Plain sentences."""
    return Block("\n".join(lines), "".join(f"<p>{safe(line)}</p>" for line in lines))


def bullets(lines: Sequence[str]) -> Block:
    """A list of sentences."""
    items = "".join(f"<li>{safe(line)}</li>" for line in lines)
    return Block("\n".join(f"- {line}" for line in lines), f"<ul>{items}</ul>")


def joined(*blocks: Block) -> Block:
    """Several blocks of HTML shown as one."""
    return Block("\n\n".join(b.plain for b in blocks), "\n".join(b.html for b in blocks))


def heading(text: str, level: int) -> Block:
    """A heading of a page or of a part of it."""
    return Block(text, f"<h{level}>{safe(text)}</h{level}>")


def table(
    caption: str, head: tuple[str, ...], rows: list[tuple[str | Cell, ...]], *, wide: bool = False
) -> Block:
    """A table with a caption; a wide one scrolls inside its own box, its first column held.

    The first cell of a row is its heading.
    """
    cells = [[c if isinstance(c, Cell) else Cell(c, safe(c)) for c in row] for row in rows]
    top = "".join(f'<th scope="col">{safe(h)}</th>' for h in head)
    body = "\n".join(
        f'<tr><th scope="row">{first.html}</th>' + "".join(f"<td>{c.html}</td>" for c in rest)
        + "</tr>"
        for first, *rest in cells
    )  # fmt: skip
    body = f"<thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody>"
    html = f"<table><caption>{safe(caption)}</caption>\n{body}</table>"
    if wide:  # a caption inside would be as wide as the table, and cut with it
        label = f'aria-label="{escape(caption)}"'
        html = (
            f'<p class="caption">{safe(caption)}</p>\n<div class="wide" role="region" tabindex="0" '
            f"{label}><table {label}>\n{body}</table></div>"
        )
    return Block(_plain_table(caption, head, [[c.plain for c in row] for row in cells]), html)


def _plain_table(caption: str, head: tuple[str, ...], rows: list[list[str]]) -> str:
    widths = [max(len(row[i]) for row in [list(head), *rows]) for i in range(len(head))]
    lines = [
        "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()
        for row in [list(head), *rows]
    ]
    return "\n".join([caption, "", *lines])


def figure(picture: str | bytes, alt: str, caption: str) -> Block:
    """A drawing, SVG or PNG, with its text alternative. Raises ValueError where that is missing."""
    if not alt.strip():
        raise ValueError("a figure without a text that says what it shows")
    kind, raw = ("svg+xml", picture.encode()) if isinstance(picture, str) else ("png", picture)
    data = base64.b64encode(raw).decode("ascii")
    html = (
        f'<figure><img src="data:image/{kind};base64,{data}" alt="{escape(alt)}">'
        f"<figcaption>{safe(caption)}</figcaption></figure>"
    )
    return Block(f"{caption}\n{alt}", html)
