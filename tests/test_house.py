"""The rules of the house, read from syntax trees. Each rule is also fed what it must report."""

import ast
import graphlib
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

import formpressure

ROOT = Path(__file__).resolve().parents[1]
TOP = "formpressure"
PACKAGE = Path(formpressure.__file__).parent  # in this tree, or where a wheel put it

FLOORS = (  # lowest first; a part is a module or a folder of the package
    ("errors", "data"),
    ("units", "records", "tables"),
    ("statics",),
    (
        "keys", "plan", "plan_form", "plan_delivery", "plan_job", "plan_spread", "plan_layout",
        "plan_agree", "plan_file", "plan_path", "wall_path", "envelope", "rule", "rise", "pour",
        "readings",
    ),
    ("pressure", "capacity", "research"),
    ("demand", "job"),
    (
        "inputs", "case", "comparison", "checks", "allowed", "verdict", "table", "margin", "spread",
        "spread_pours", "beside", "study", "dispatch", "gaps", "joints", "helps", "marks",
        "teaching", "replan", "standing", "watch", "moment", "progress", "tie_schedule",
    ),
    ("report",),
    ("__init__", "__main__", "cli", "cli_log"),
)  # fmt: skip
FLOOR = {part: height for height, parts in enumerate(FLOORS) for part in parts}

DOORS = {"pint": "units"} | dict.fromkeys(
    ("pandas", "matplotlib", "nbconvert", "nbformat", "nbclient"), "report"
)
SCIPY_AT_IMPORT = ("statics", "job")  # elsewhere scipy waits inside a function
LONGEST = 400
FORBIDDEN = re.compile(r"\.\./share[d]|(?<![\w.])/wor[k]\b|transcrip[t]|seed documen[t]", re.I)

Modules = dict[str, str]  # dotted name (a package's own module ends in __init__) -> source


def package() -> Modules:
    """The package that is under test."""
    return {
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts): path.read_text("utf-8")
        for path in sorted(PACKAGE.rglob("*.py"))
    }


class Import(NamedTuple):
    """One imported name and the circumstances of its import."""

    name: str
    in_function: bool
    for_types: bool  # under `if TYPE_CHECKING:`, so it never runs


def imports(module: str, modules: Modules) -> Iterator[Import]:
    """Every import of one module; names inside the package are resolved to modules."""

    def resolve(base: str, name: str = "") -> str:
        for full in (f"{base}.{name}", base):
            for found in (full, f"{full}.__init__"):
                if found in modules:
                    return found
        return base

    def walk(node: ast.AST, in_function: bool, for_types: bool) -> Iterator[Import]:
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(resolve(alias.name), in_function, for_types)
        elif isinstance(node, ast.ImportFrom):
            above = module.split(".")[: -node.level] if node.level else []
            base = ".".join([*above, *filter(None, [node.module])])
            for alias in node.names:
                if alias.name != "__version__":  # a plain text, there before any module runs
                    yield Import(resolve(base, alias.name), in_function, for_types)
        elif isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            for child in node.body:
                yield from walk(child, in_function, True)
            for child in node.orelse:
                yield from walk(child, in_function, for_types)
        else:
            inner = in_function or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            for child in ast.iter_child_nodes(node):
                yield from walk(child, inner, for_types)

    return walk(ast.parse(modules[module]), False, False)


def part(module: str) -> str:
    """The module or folder of the package that a dotted name belongs to."""
    return [*module.split("."), "__init__"][1]


def inside(name: str) -> bool:
    return name.split(".")[0] == TOP


def floors(modules: Modules) -> list[str]:
    """Imports point down, or stay on their floor; every part has a floor."""
    bad = [f"{m}: no floor for {part(m)!r}" for m in modules if part(m) not in FLOOR]
    return bad or [
        f"{module} imports {found.name}, a floor above"
        for module in modules
        for found in imports(module, modules)
        if inside(found.name)
        and not found.for_types
        and FLOOR.get(part(found.name), len(FLOORS)) > FLOOR[part(module)]
    ]


def circles(modules: Modules) -> list[str]:
    """No module imports itself by way of others."""
    graph = {
        module: {f.name for f in imports(module, modules) if inside(f.name) and not f.for_types}
        for module in modules
    }
    try:
        graphlib.TopologicalSorter(graph).prepare()
    except graphlib.CycleError as error:
        return ["a circle: " + " <- ".join(error.args[1])]
    return []


def doors(modules: Modules) -> list[str]:
    """pint only in units; tables, figures and notebooks only in report; scipy not at import."""
    bad = []
    for module in modules:
        for name, in_function, for_types in imports(module, modules):
            library = name.split(".")[0]
            if DOORS.get(library, part(module)) != part(module):
                bad.append(f"{module} imports {library}; only {DOORS[library]} may")
            late = in_function or for_types or part(module) in SCIPY_AT_IMPORT
            if library == "scipy" and not late:
                bad.append(f"{module} imports scipy at its top; move it into the function")
    return bad


def lengths(modules: Modules) -> list[str]:
    """A module over the limit is two modules."""
    sizes = {module: len(source.splitlines()) for module, source in modules.items()}
    return [f"{module}: {size} lines" for module, size in sizes.items() if size > LONGEST]


def clashes(modules: Modules) -> list[str]:
    """No package offers a function under the name of its own submodule: one would hide the other.

    Offered are functions it defines or imports, and the keys of its tables of lazy names.
    """
    bad = []
    for module in modules:
        package, _, last = module.rpartition(".")
        if last != "__init__":
            continue
        offered = set()
        for node in ast.parse(modules[module]).body:
            if isinstance(node, ast.FunctionDef):
                offered.add(node.name)
            if isinstance(node, ast.ImportFrom) and node.module not in (None, package):
                offered |= {alias.asname or alias.name for alias in node.names}
            for table in ast.walk(node):
                if isinstance(table, ast.Dict):
                    offered |= {key.value for key in table.keys if isinstance(key, ast.Constant)}
        bad += [
            f"{package}.{name} is a module and something else"
            for name in sorted(map(str, offered))
            if {f"{package}.{name}", f"{package}.{name}.__init__"} & modules.keys()
        ]
    return bad


def docstrings(modules: Modules) -> list[str]:
    """Every module says what it is for."""
    return [
        f"{module} has no docstring"
        for module, source in modules.items()
        if not ast.get_docstring(ast.parse(source))
    ]


@pytest.mark.parametrize("rule", [floors, circles, doors, lengths, clashes, docstrings])
def test_the_package_keeps(rule):
    modules = package()
    assert f"{TOP}.__init__" in modules
    assert rule(modules) == []


INIT = "formpressure.__init__"
UNITS = "formpressure.units"
PLAN = "formpressure.plan"
VERDICT = "formpressure.verdict"
ACI = "formpressure.pressure.__init__"


@pytest.mark.parametrize(
    ("rule", "modules", "complaint"),
    [
        (floors, {UNITS: "from formpressure.plan import Plan", PLAN: ""}, "floor above"),
        (floors, {UNITS: "from . import plan", PLAN: ""}, "floor above"),
        (floors, {ACI: "from ..verdict import check", VERDICT: ""}, "floor above"),
        (floors, {PLAN: "def f():\n    import formpressure.verdict", VERDICT: ""}, "floor above"),
        (floors, {PLAN: "from formpressure import Q", INIT: ""}, "floor above"),
        (floors, {PLAN: "if TYPE_CHECKING:\n    pass\nelse:\n    from . import cli"}, "above"),
        (floors, {"formpressure.attic": ""}, "no floor for 'attic'"),
        (circles, {PLAN: "from .rise import a", "formpressure.rise": "from . import plan"}, "circ"),
        (doors, {PLAN: "import pint"}, "only units may"),
        (doors, {PLAN: "from pint import Quantity"}, "only units may"),
        (doors, {VERDICT: "def f():\n    from matplotlib import pyplot"}, "only report may"),
        (doors, {VERDICT: "from scipy.optimize import brentq"}, "scipy at its top"),
        (lengths, {PLAN: "\n" * 401}, "401 lines"),
        (clashes, {INIT: "def plan(): ...", PLAN: ""}, "formpressure.plan is"),
        (clashes, {INIT: "_HOME = {'plan': 'rise'}", PLAN: ""}, "formpressure.plan is"),
        (
            clashes,
            {INIT: "from .plan import plan", PLAN: "def plan(): ..."},
            "formpressure.plan is",
        ),
        (docstrings, {PLAN: "x = 1"}, "no docstring"),
    ],
)
def test_a_breach_is_reported(rule, modules, complaint):
    assert any(complaint in line for line in rule(modules))


@pytest.mark.parametrize(
    ("rule", "modules"),
    [
        (floors, {PLAN: "from .rise import a", "formpressure.rise": ""}),
        (floors, {PLAN: "if TYPE_CHECKING:\n    from .verdict import Verdict", VERDICT: ""}),
        (
            circles,
            {
                PLAN: "if typing.TYPE_CHECKING:\n    from . import rise",
                "formpressure.rise": "from . import plan",
            },
        ),
        (doors, {UNITS: "import pint", "formpressure.report.figures": "import matplotlib"}),
        (
            doors,
            {VERDICT: "def f():\n    import scipy", "formpressure.statics.beam": "import scipy"},
        ),
        (lengths, {PLAN: "\n" * 400}),
        (clashes, {INIT: "from . import plan\n_HOME = {'check': 'plan'}", PLAN: "def plan(): ..."}),
    ],
)
def test_what_is_allowed_passes(rule, modules):
    assert rule(modules) == []


def loaded_by(code: str) -> set[str]:
    """Which heavy libraries a fresh interpreter has loaded after running `code`."""
    code += "\nimport sys; print(*({'numpy', 'pint', 'scipy', 'matplotlib'} & set(sys.modules)))"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return set(run.stdout.split())


def test_import_is_light():
    assert loaded_by("import formpressure") == set()
    assert loaded_by("import numpy, pint") >= {"numpy", "pint"}


def test_every_public_name_is_on_the_api_page():
    page = (ROOT / "docs/api.md").read_text("utf-8")

    def missing(names: list[str]) -> list[str]:
        return [name for name in names if not re.search(rf":: {name}$", page, re.M)]

    assert missing(formpressure.__all__) == []
    assert missing(["RULE"]) == ["RULE"]


def forbidden(text: str) -> list[str]:
    return [found.group() for found in FORBIDDEN.finditer(text)]


def kept() -> list[Path]:
    """Every file of the checkout, but what git ignores; of an unpacked release, every file."""
    if not (ROOT / ".git").exists():
        return [path for path in ROOT.rglob("*") if path.is_file() and ".venv" not in path.parts]
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\0")
    return [ROOT / name for name in listed if (ROOT / name).is_file()]


def test_no_forbidden_text():
    files = kept()
    assert Path(__file__).resolve() in files
    assert {
        str(file.relative_to(ROOT)): words
        for file in files
        if (words := forbidden(file.read_bytes().decode("utf-8", "replace")))
    } == {}


@pytest.mark.parametrize(
    "text",
    ["see .." + "/shared/a", "in /wor" + "k/main", "the Trans" + "cript", "a seed " + "document"],
)
def test_forbidden_text_is_reported(text):
    assert forbidden(text)
    assert not forbidden("shared/plan.toml does the work/play of https://example.org/network")
