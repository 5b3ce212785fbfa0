"""Sphinx settings. The version is read as text; tables and example reports are made by the code."""

import re
import sys
from pathlib import Path

from formpressure.plan import keys_table_markdown
from formpressure.units import terms_table_markdown

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
import collect  # noqa: E402  (beside this file)

project = "formpressure"
author = "the formpressure contributors"
copyright = "2026, the formpressure contributors"
release = version = re.search(
    r'^__version__ = "(.+)"$', (HERE.parent / "formpressure/__init__.py").read_text("utf-8"), re.M
)[1]

extensions = ["myst_parser", "sphinx.ext.autodoc"]
exclude_patterns = ["_build", "_generated"]
myst_heading_anchors = 3
autodoc_typehints = "description"
autodoc_member_order = "bysource"
html_extra_path = ["_generated/extra"]
html_theme = "alabaster"
html_theme_options = {
    "description": "How hard does wet concrete push, and what holds it?",
    "page_width": "60rem",
}

(HERE / "_generated").mkdir(exist_ok=True)
(HERE / "_generated/plan-keys.md").write_text(keys_table_markdown(), "utf-8")
(HERE / "_generated/terms.md").write_text(terms_table_markdown(), "utf-8")
(HERE / "_generated/values.md").write_text(collect.values_markdown(), "utf-8")
collect.examples(HERE / "_generated/extra/examples")
