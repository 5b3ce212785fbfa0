"""A page in the look of all reports, made without a notebook: no script, nothing from outside."""

from __future__ import annotations

from html import escape
from pathlib import Path

TEMPLATES = Path(__file__).with_name("templates")
PAPER = {"US": "letter", "SI": "A4"}
POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:"


def plain_page(title: str, body: str, *, footer: str, paper: str, language: str = "en") -> str:
    """The whole page; `body` is HTML, the rest is text. It holds no equations, so no font."""
    style = (TEMPLATES / "fp" / "style.css").read_text(encoding="utf-8")
    style = style.split("\n", 1)[1]  # the first line is the font of equations
    for name, value in (("paper", paper), ("footer", css_text(footer))):
        style = style.replace(f"{{{{ resources.report.{name} }}}}", value)
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        f"<title>{escape(title)}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n"
        f"{body}\n</main>\n</body>\n</html>\n"
    )


def css_text(text: str) -> str:
    """Text inside a quoted string of a style sheet: what could end it is written as a number."""
    plain = " .,-_:"
    return "".join(
        c if (c.isascii() and c.isalnum()) or c in plain else f"\\{ord(c):x} " for c in text
    )
