"""Reports from notebooks of ours: run for one plan, and made into one page."""

from __future__ import annotations

import ast
import asyncio
import logging
import os
import tempfile
from pathlib import Path
from typing import Any

from formpressure.errors import Refusal
from formpressure.plan_file import load_plan
from formpressure.report.content import content
from formpressure.report.files import write_whole
from formpressure.report.plain_page import PAPER
from formpressure.report.words import say
from formpressure.verdict import check

NAME = "submittal.ipynb"
LESSON = "every_clip_needs_a_tie.ipynb"
TIMEOUT = 120  # seconds for one cell
SHOWN = {"text/html", "text/markdown"}  # what the page can show; anything else would be lost


def notebook_report(
    plan: str | Path, language: str = "en", name: str = NAME, paper: str | None = None
) -> str:
    """A notebook of ours, run for a plan, as one HTML page; same bytes for the same plan.

    `paper` is "letter" or "A4", else that of the unit system.
    Raises Refusal for a plan that `check` refuses and where the extra "report" is not installed.
    """
    verdict = check(load_plan(plan))  # refuses before a kernel is started
    try:
        from formpressure.report.page import page

        notebook = read_notebook(notebook_path(name))
        with_plan(notebook, str(Path(plan).absolute()), language)
        run(notebook)
    except ModuleNotFoundError as missing:
        cure = 'Install it: python -m pip install "formpressure[report]"'
        raise Refusal(f"needs {missing.name}", cure, key="the report") from None
    c = content(verdict, language)
    title = f"{say('notebook', Path(name).stem, language)}: {c.title}"
    paper = paper or PAPER[verdict.case.rule.system]
    return page(notebook, title=title, footer=c.footer, paper=paper, language=language,
                lesson=name == LESSON)  # fmt: skip


def write_report(plan: str | Path, path: Path, language: str = "en", name: str = NAME) -> None:
    """Write such a report whole; a run that fails leaves no file."""
    write_whole(path, notebook_report(plan, language, name))


def notebook_path(name: str = NAME) -> Path:
    """A notebook of ours: inside the installed package, or in the checkout."""
    here = Path(__file__).resolve().parent
    inside = here / "notebooks" / name
    return inside if inside.is_file() else here.parents[1] / "notebooks" / name


def read_notebook(path: Path | None = None) -> Any:
    """A notebook as nbformat reads it."""
    import nbformat

    return nbformat.reads((path or notebook_path()).read_text(encoding="utf-8"), as_version=4)


def with_plan(notebook: Any, plan: str, language: str = "en") -> Any:
    """The notebook with the plan's path in the one cell tagged "parameters".

    Where that cell sets a language too, this one. Raises ValueError unless there is exactly one
    such cell, and for a name in it that would be lost.
    """
    cells = [c for c in notebook.cells if "parameters" in c.metadata.get("tags", ())]
    if len(cells) != 1 or cells[0].cell_type != "code":
        raise ValueError(f'want one cell of code tagged "parameters", found {len(cells)}')
    given = {"plan": plan, "language": language}
    names = [ast.unparse(n.targets[0]) for n in ast.parse(cells[0].source).body
             if isinstance(n, ast.Assign)]  # fmt: skip
    if lost := set(names) - set(given):
        raise ValueError(f"parameters that nobody gives: {', '.join(sorted(lost))}")
    cells[0].source = "\n".join(f"{name} = {given[name]!r}" for name in names)
    return notebook


def run(notebook: Any, folder: Path | None = None) -> None:
    """Run a notebook in place, in a kernel of this very Python and away from the user's settings.

    It stands in `folder`, or in an empty one of its own. Raises RuntimeError with what went wrong,
    also for output that the page could not show; KeyboardInterrupt for Ctrl-C.
    """
    from jupyter_client.kernelspec import KernelSpecManager
    from jupyter_client.manager import AsyncKernelManager
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    with tempfile.TemporaryDirectory() as own:
        kernel = AsyncKernelManager(
            kernel_spec_manager=KernelSpecManager(kernel_dirs=[]),
            connection_file=str(Path(own) / "kernel.json"),
            transport="ipc" if os.name == "posix" else "tcp",  # no open port where it can be had
        )
        client = NotebookClient(
            notebook, km=kernel, timeout=TIMEOUT, record_timing=False,
            shutdown_kernel="immediate",
            resources={"metadata": {"path": str(folder or own)}},
        )  # fmt: skip
        complaints = logging.getLogger("asyncio")  # of what Ctrl-C cuts off; a fault is raised
        before, complaints.disabled = complaints.disabled, True
        try:
            client.execute(cleanup_kc=True, env={**os.environ, "IPYTHONDIR": own})
        except (Exception, asyncio.CancelledError) as error:
            if getattr(client, "_async_cleanup_kernel_future", None):  # what Ctrl-C leaves there
                raise KeyboardInterrupt from None
            if isinstance(error, CellExecutionError):
                raise RuntimeError(f"the notebook stopped: {error.ename}: {error.evalue}") from None
            if isinstance(error, CellTimeoutError | DeadKernelError):
                raise RuntimeError(f"the notebook stopped: {error}") from None
            raise
        finally:
            complaints.disabled = before
    for cell in notebook.cells:
        for output in cell.get("outputs", ()):
            if not SHOWN & set(output.get("data", ())):
                raise RuntimeError(f"a cell left what the page cannot show: {output!s:.200}")
