"""The pour card: one self-contained page without script, for a phone or the side of the form.

On paper the front is one page and the back the next.
"""

from __future__ import annotations

from html import escape
from importlib import resources

from formpressure.report.card_back import back
from formpressure.report.card_front import front
from formpressure.report.content import Sentences
from formpressure.report.plain_page import PAPER
from formpressure.verdict import Verdict


def card_html(verdict: Verdict, language: str = "en") -> str:
    """The card as a complete HTML page, the same bytes for the same plan and version."""
    make = Sentences(verdict, language)
    title = escape(f"{make.say('card', 'title')}: {make.title()}")
    style = resources.files("formpressure.report").joinpath("templates", "card.css")
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{title}</title>\n<style>\n{style.read_text(encoding='utf-8')}"
        f"@media print{{@page{{size:{PAPER[make.system]}}}}}\n</style>\n</head>\n<body>\n<main>\n"
        f'<div class="front">\n<h1>{title}</h1>\n{front(make)}\n</div>\n'
        f'<div class="back">\n{back(make)}\n</div>\n</main>\n</body>\n</html>\n'
    )
