"""The page of a notebook that was run: one HTML file that asks nothing of a network.

Equations become MathML here, so the page needs no program to draw them. A page has no script,
but for the lesson's one: inline, without a formula, and the only one that the page lets run.
"""

from __future__ import annotations

import base64
import hashlib
from typing import Any

from jinja2 import pass_context
from nbconvert.exporters.html import HTMLExporter
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath
from traitlets.config import Config

from formpressure.report.mathml import mathml
from formpressure.report.plain_page import TEMPLATES, css_text

PLAIN = "% "  # an equation starts with its plain line, which TeX takes for a comment


class _Renderer(IPythonRenderer):
    def block_math(self, body: str) -> str:
        first, _, tex = body.strip().partition("\n")
        if not first.startswith(PLAIN):
            raise ValueError(f"an equation without its plain line: {body}")
        return mathml(tex, first.removeprefix(PLAIN))

    def inline_math(self, body: str) -> str:
        raise ValueError(f"an equation in the middle of a line: {body}")

    def latex_environment(self, name: str, body: str) -> str:
        raise ValueError(f"an equation outside double dollar signs: {name}")


class ReportExporter(HTMLExporter):
    """nbconvert's exporter with our template and without code, prompts and outside addresses."""

    @property
    def default_config(self) -> Any:
        theirs, ours = super().default_config.copy(), Config({
            "TemplateExporter": {
                "extra_template_basedirs": [str(TEMPLATES)],
                "exclude_input": True, "exclude_input_prompt": True, "exclude_output_prompt": True,
            },
            "HTMLExporter": {"template_name": "fp", "exclude_anchor_links": True},
            "TagRemovePreprocessor": {
                "enabled": True, "remove_cell_tags": ["remove_cell", "parameters"],
            },
        })  # fmt: skip
        theirs.merge(ours)
        return theirs

    @pass_context
    def markdown2html(self, context: Any, source: str) -> str:
        renderer = _Renderer(escape=False, exclude_anchor_links=True)
        return str(MarkdownWithMath(renderer=renderer).render(source))


def page(
    notebook: Any, *, title: str, footer: str, paper: str, language: str = "en",
    lesson: bool = False,
) -> str:  # fmt: skip
    """The HTML of a notebook that was run; `lesson` adds the lesson's style and script.

    Raises ValueError for an equation that cannot be set.
    """
    font = base64.b64encode((TEMPLATES / "fp" / "fp-math.woff2").read_bytes()).decode("ascii")
    report = {
        "title": title, "footer": css_text(footer), "paper": paper, "language": language,
        "font": font,
    }  # fmt: skip
    if lesson:
        script = (TEMPLATES / "fp" / "lesson.js").read_text(encoding="utf-8")
        digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
        report |= {"script": script, "script_hash": f"sha256-{digest}"}
    make: Any = ReportExporter  # its base has no types
    html, _ = make().from_notebook_node(notebook, resources={"report": report})
    return str(html)
