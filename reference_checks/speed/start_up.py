"""Whole commands: how long they take to start, against what they cannot do without; the card and
the notebook route.

The first `check` row is the published bar. Its other side loads numpy and pint but not pint's
registry of units, which `check` cannot do without; the second `check` row counts that too.

The notebook route is the `submittal` of the same plan. The last pair runs that notebook twice the
same way, from an empty kernel to the page: as it is, and without the library, where each cell of
code shows, as a literal, just what ours showed. That twin loads numpy, pint with its registry and
the drawing library, and draws one plain figure for every figure of ours. So what is left between
the two is our import, calculation, formatting, and what our figures have beyond a plain one.
"""

import copy
import tempfile
from pathlib import Path

from ratios import ELAPSED, PLAN, command, ratio, row, whole

from formpressure.report.export import notebook_path, read_notebook, run, with_plan
from formpressure.report.page import page

CHECK = ("-m", "formpressure", "check", PLAN)
REGISTRY = "import numpy, pint; pint.get_application_registry().Unit('ft')"
START = f"""import io
from IPython.display import display
from matplotlib.figure import Figure
{REGISTRY}
def figure():
    plain = Figure(figsize=(5.0, 3.6))
    plain.subplots().plot([0, 1], [0, 1])
    plain.savefig(io.BytesIO(), format="svg")
"""


def start():
    one = ratio(command("-c", "import formpressure"), command("-c", "pass"), 15, ELAPSED)
    row("import formpressure / nothing", one, 2.0, memory=whole("-c", "import formpressure"))
    memory = whole(*CHECK)
    two = ratio(command(*CHECK), command("-c", "import numpy, pint"), 15, ELAPSED)
    row("check from the shell / import numpy, pint", two, 2.0, memory=memory,
        cost="Without pint's registry of units, which every command loads anew, it would be met: "
        "that takes a second list of conversions beside the one door, or a cache file that a "
        "check leaves in the user's home and another registry than the application's.")  # fmt: skip
    three = ratio(command(*CHECK), command("-c", REGISTRY), 15, ELAPSED)
    row("check from the shell / import numpy, pint and its registry", three, 2.0)


def pages():
    with tempfile.TemporaryDirectory() as folder:
        card, submittal = (
            ("-m", "formpressure", kind, PLAN, "-o", str(Path(folder) / f"{kind}.html"))
            for kind in ("card", "submittal")
        )
        one = ratio(command(*card), command(*submittal), 7, ELAPSED)
        row("card / notebook route, both as commands", one, 0.3, memory=whole(*card))
        memory = whole(*submittal)
    shown = ours()
    run(shown)
    other = without_library(shown)
    two = ratio(lambda: report(ours()), lambda: report(copy.deepcopy(other)), 9, ELAPSED)
    row("notebook with the library / the same without it", two, 1.15, memory=memory,
        cost="Nearly half of what is over is drawing, the rest our import and the calculation. It "
        "takes plainer figures: fewer axes, and no words at their lines.")  # fmt: skip


def ours():
    return with_plan(read_notebook(notebook_path()), str(Path(PLAN).absolute()))


def report(notebook):
    run(notebook)
    page(notebook, title="-", footer="-", paper="letter")


def without_library(shown):
    """The same notebook, each cell of code showing what it showed when it ran."""
    twin = copy.deepcopy(shown)
    code = [cell for cell in twin.cells if cell.cell_type == "code"]
    for cell in code:
        shows = [f"display({dict(output.data)!r}, raw=True)" for output in cell.outputs]
        figures = sum(show.count("<svg") + show.count("<img") for show in shows)
        cell.source, cell.outputs = "\n".join(["figure()"] * figures + shows), []
    code[0].source = START + code[0].source
    return twin


def main():
    start()
    pages()


if __name__ == "__main__":
    main()
