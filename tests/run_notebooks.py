"""Run every notebook of notebooks/; the first error ends it. Nothing is written."""

from pathlib import Path

import nbformat
from nbclient import NotebookClient

for path in sorted(Path(__file__).resolve().parents[1].glob("notebooks/*.ipynb")):
    print(path.name, flush=True)
    NotebookClient(
        nbformat.read(path, as_version=4),
        timeout=120,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
    ).execute()
