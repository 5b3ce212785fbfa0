"""Mutants: would a test notice if one thing in the code were another? Hours for all of it.

Run from the project's root: `.venv/bin/python reference_checks/long/mutants.py FOLDER [NAME ...]`,
a name as "formpressure.rise.*". Needs mutmut 3.8 or newer. FOLDER becomes a copy of the committed
HEAD; where it is there already, its run goes on. Prints a table by module; what lived and is not
listed in mutants.md beside this file stands below it, and makes the exit status 1. One of them is
looked at by `mutmut show NAME` in FOLDER.
"""

import os
import re
import subprocess
import sys
from collections import Counter, defaultdict
from pathlib import Path

import libcst

ROOT = Path(__file__).resolve().parents[2]
WRAPPERS = {"property", "functools.cache", "functools.lru_cache", "cache"}
CAUGHT = ("killed", "timeout")
# One process runs the tests again and again: what a cache kept of a run before would hide a mutant.
FRESH = """

def pytest_sessionstart():
    import sys

    for name, module in list(sys.modules.items()):
        if name.startswith("formpressure"):
            for value in list(vars(module).values()):
                getattr(value, "cache_clear", int)()
"""
COLUMNS = (*CAUGHT, "survived", "no tests", "suspicious", "segfault")


class Undecorated(libcst.CSTTransformer):
    """Properties and caches without their decorator, which mutmut passes over: `f = wrap(f)`."""

    def leave_FunctionDef(self, original_node, updated_node):  # noqa: N802
        if len(updated_node.decorators) != 1:
            return updated_node
        wrapper = libcst.Module([]).code_for_node(updated_node.decorators[0].decorator)
        if wrapper.split("(")[0] not in WRAPPERS:
            return updated_node
        name = updated_node.name.value
        wrap = libcst.parse_statement(f"{name} = {wrapper}({name})\n")
        return libcst.FlattenSentinel([updated_node.with_changes(decorators=[]), wrap])


def copied(folder):
    subprocess.run(["git", "clone", "-q", str(ROOT), str(folder)], check=True)
    for path in (folder / "formpressure").rglob("*.py"):
        tree = libcst.parse_module(path.read_text("utf-8"))
        path.write_text(tree.visit(Undecorated()).code, "utf-8")
    for tests in ("tests", "reference_checks"):
        with (folder / tests / "conftest.py").open("a", encoding="utf-8") as conftest:
            conftest.write(FRESH)


def mutmut(folder, *arguments, **options):
    few = {"FORMPRESSURE_PLANS": "30", "FORMPRESSURE_LAYOUTS": "5"}
    return subprocess.run(
        [sys.executable, "-m", "mutmut", *arguments],
        cwd=folder, env={**os.environ, **few}, text=True, check=True, **options,
    )  # fmt: skip


def results(folder):
    """Status of every mutant, by name."""
    text = mutmut(folder, "results", "--all", "true", stdout=subprocess.PIPE).stdout
    return dict(re.findall(r"^\s*(\S+): (.+)$", text, re.M))


def main():
    folder = Path(sys.argv[1]).resolve()
    if not folder.exists():
        copied(folder)
    with (folder / "mutmut.txt").open("a") as log:  # it prints megabytes
        mutmut(folder, "run", *sys.argv[2:], stdout=log, stderr=log)
    table, lived = defaultdict(Counter), []
    known = set(re.findall(r"`(\S+)`", Path(__file__).with_suffix(".md").read_text("utf-8")))
    for name, status in results(folder).items():
        if status == "not checked":  # nobody asked for it
            continue
        module = re.sub(r"\.x_\w+$|\.xǁ.*$", "", name)
        table[module][status] += 1
        if status not in CAUGHT and name not in known:
            lived.append(f"{name}: {status}")
    for module, counts in sorted(table.items()):
        said = ", ".join(f"{c} {counts[c]}" for c in COLUMNS if counts[c])
        print(f"{module}: {counts.total()} ({said})")
    total = sum(table.values(), Counter())
    caught = sum(total[c] for c in CAUGHT)
    print(f"all: {caught} of {total.total()} caught, {caught / total.total():.1%} ({dict(total)})")
    print("\n".join(["lived, not listed:", *lived]) if lived else "all that lived are listed")
    sys.exit(bool(lived))


if __name__ == "__main__":
    main()
