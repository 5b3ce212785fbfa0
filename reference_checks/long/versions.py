"""The same answers under other Pythons and other versions of what we stand on.

Run from the project's root with the Pythons to try:
`.venv/bin/python reference_checks/long/versions.py python3.11 python3.12 python3.13`.
For each Python: the lowest versions that pyproject.toml allows, where they install, and the newest.
Every demo plan: numbers of `check --json` and `rates --json` to 1e-12, words and the card as text.
"""

import json
import math
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLANS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
NEEDS = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["frames"]]


def lowest():
    return [need.replace(">=", "==") + (".*" if need.count(".") else "") for need in NEEDS]


def environment(python, needs, folder):
    """A fresh environment; None where its versions do not install under this Python."""
    subprocess.run([python, "-m", "venv", folder], check=True)
    inside = str(Path(folder) / "bin" / "python")
    pip = [inside, "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    if subprocess.run([*pip, "--only-binary=:all:", *needs], capture_output=True).returncode:
        return None
    subprocess.run([*pip, str(ROOT)], check=True, capture_output=True)
    return inside


def answers(python, folder):
    """Everything that the commands say of every plan."""
    said = {}
    for plan in PLANS:
        for words in (["check", "--json"], ["rates", "--json"], ["check"]):
            done = subprocess.run(
                [python, "-m", "formpressure", words[0], str(plan), *words[1:]],
                capture_output=True, text=True, cwd=folder, check=False,
            )  # fmt: skip
            assert done.returncode in (0, 3, 4), done.stderr
            text = done.stdout
            said[plan.stem, *words] = json.loads(text) if "--json" in words else text
        card = Path(folder) / f"{plan.stem}.html"
        subprocess.run(
            [python, "-m", "formpressure", "card", str(plan), "-o", str(card)],
            capture_output=True, cwd=folder, check=True,
        )  # fmt: skip
        said[plan.stem, "card"] = card.read_text("utf-8")
    return said


def differences(one, other, place=""):
    """Where two answers differ: numbers by more than 1e-12 of their size, all else at all."""
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        for key in one:
            if key != "versions":
                yield from differences(one[key], other[key], f"{place}/{key}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            yield from differences(a, b, f"{place}/{i}")
    elif isinstance(one, float) and isinstance(other, float):
        if not math.isclose(one, other, rel_tol=1e-12, abs_tol=1e-12):
            yield f"{place}: {one!r} and {other!r}"
    elif one != other:
        yield f"{place}: differs"


def main():
    pythons = sys.argv[1:] or [sys.executable]
    first, failed = None, False
    for python in pythons:
        for name, needs in (("lowest", lowest()), ("newest", NEEDS)):
            with tempfile.TemporaryDirectory() as folder:
                inside = environment(python, needs, folder)
                if inside is None:
                    print(f"{python}, {name}: cannot be installed, skipped")
                    continue
                told = subprocess.run(
                    [inside, "-m", "formpressure", "--version"],
                    capture_output=True, text=True, check=True, cwd=folder,
                ).stdout.splitlines()  # fmt: skip
                said = answers(inside, folder)
                first = first or said
                found = [f"{key}{d}" for key in first for d in differences(first[key], said[key])]
                failed = failed or bool(found)
                print(f"{told[1]}; {told[2]}: {len(said)} answers, {len(found)} differ")
                print("\n".join(found[:10]), end="\n" if found else "")
    sys.exit(failed)


if __name__ == "__main__":
    main()
