"""The few pieces of HTML that both pages of the card are made of; all text is escaped here."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape


def section(heading: str, *body: str, shape: str = "") -> str:
    attribute = f' class="{shape}"' if shape else ""
    inside = "\n".join(b for b in body if b)
    return f"<section{attribute}>\n<h2>{escape(heading)}</h2>\n{inside}\n</section>"


def paragraph(text: str, shape: str = "") -> str:
    """A line of text; nothing where there is none."""
    attribute = f' class="{shape}"' if shape else ""
    return f"<p{attribute}>{escape(text)}</p>" if text else ""


def listed(lines: Iterable[str], shape: str = "") -> str:
    attribute = f' class="{shape}"' if shape else ""
    return f"<ul{attribute}>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def blank(label: str) -> str:
    """A line to fill in by hand."""
    return f'<p class="blank">{escape(label)} <i></i></p>'
