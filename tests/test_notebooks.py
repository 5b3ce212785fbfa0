"""Every notebook: parameters, calls and prose; stored without output; runs where it stands."""

import ast
import json
from pathlib import Path

import nbformat
import pytest
from audit import audit
from bs4 import BeautifulSoup

from formpressure import check, load_plan
from formpressure.report import blocks, blocks_log, blocks_whole, export

ROOT = Path(__file__).resolve().parents[1]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
LONGEST = 10
WHOLE_JOB = (
    "Far corner", "straightener", "scaffold bracket", "release agent", "NOT BEFORE",
    "Every place stands at its top, and nothing passed what is allowed",
)  # fmt: skip
UNTESTED = (
    ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.AsyncFor,
    ast.While, ast.comprehension, ast.If, ast.IfExp, ast.BinOp, ast.AugAssign, ast.Try,
)  # fmt: skip


def complaints(source):
    """What a cell of code must not hold."""
    found = [
        f"line {node.lineno}: {type(node).__name__}"
        for node in ast.walk(ast.parse(source))
        if isinstance(node, UNTESTED) and hasattr(node, "lineno")
    ]
    found += ["a loop" for n in ast.walk(ast.parse(source)) if isinstance(n, ast.comprehension)]
    if len(source.splitlines()) > LONGEST:
        found.append("too long")
    return found


def test_there_are_notebooks():
    assert "submittal.ipynb" in [p.name for p in NOTEBOOKS]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_cells_hold_calls_and_prose_only(path):
    notebook = export.read_notebook(path)
    code = [c for c in notebook.cells if c.cell_type == "code"]
    assert [c.id for c in code if complaints(c.source)] == []
    assert [c.id for c in code if c.outputs or c.execution_count is not None] == []
    ids = [c.id for c in notebook.cells]
    assert ids == [str(i) for i in range(len(ids))], "run nbstripout, so that ids stay as they are"
    assert json.loads(path.read_text("utf-8"))["nbformat_minor"] >= 5


@pytest.mark.parametrize(
    "source",
    [
        "def f(): pass", "x = 2 + 2", "for i in y: print(i)", "[f(i) for i in y]", "f = lambda: 1",
        "x += 1", "if a: b()", "class A: pass", "a()\n" * 11,
    ],
)  # fmt: skip
def test_a_bad_cell_is_reported(source):
    assert complaints(source)


def test_a_good_cell_is_not():
    assert complaints('from formpressure import check\nverdict = check(plan, "a")\nverdict') == []


def test_notebook_runs_where_it_stands():
    """One of them; tests/run_notebooks.py runs all, and the tests of reports most."""
    path = NOTEBOOKS[0]
    notebook = export.read_notebook(path)
    export.run(notebook, path.parent)
    assert any(c.get("outputs") for c in notebook.cells)


def test_the_whole_job_is_one_page_with_its_log():
    """From set-out to strip, found from the plan wherever the notebook runs."""
    html = export.notebook_report(ROOT / "shared/plans/crew_day_8ft.toml", name="whole_job.ipynb")
    assert audit(html) == []
    text = BeautifulSoup(html, "html.parser").get_text(" ", strip=True)
    assert [word for word in WHOLE_JOB if word not in text] == []


def test_a_plan_that_tells_less_is_shown_as_far_as_it_goes():
    verdict = check(load_plan(ROOT / "shared" / "plans" / "garage_8ft_complete.toml"))
    assert "No log of this pour" in blocks_log.afterwards(verdict).plain
    assert "no layout" in blocks_whole.set_out(verdict).plain
    assert blocks_whole.faces(verdict) == blocks_whole.set_out(verdict)
    assert blocks_whole.ties(verdict) == blocks.tie_table(verdict)
    assert blocks_whole.string_line(verdict).plain.endswith("give line.")
    assert blocks_whole.stripping(verdict).plain.endswith("give strip.")


def test_a_notebook_that_fails_is_told():
    cell = nbformat.v4.new_code_cell("raise ValueError('no such wall')")
    with pytest.raises(RuntimeError, match="ValueError: no such wall"):
        export.run(nbformat.v4.new_notebook(cells=[cell]))


def test_output_that_the_page_cannot_show_is_told():
    cell = nbformat.v4.new_code_cell("import sys\nprint('careful', file=sys.stderr)")
    with pytest.raises(RuntimeError, match="careful"):
        export.run(nbformat.v4.new_notebook(cells=[cell]))
