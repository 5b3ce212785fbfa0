"""README.md does what it says: its Python runs, its commands have the agreed shape."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"


def blocks(text: str, language: str) -> list[str]:
    """The insides of all fenced blocks in one language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.M | re.S)


def section(text: str, heading: str) -> str:
    """What stands under one second-level heading."""
    found = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", text, re.M | re.S)
    assert found, f"no section {heading!r}"
    return found[1]


def complaints(text: str) -> list[str]:
    """What is wrong with the command of one section."""
    fences = re.findall(r"^```(sh|bat)$", text, re.M)
    if fences != ["sh", "bat"]:
        return [f"want one sh block, then its bat twin; found {fences}"]
    (line,), (twin,) = blocks(text, "sh"), blocks(text, "bat")
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)
    wrong = {
        "the command is not one line": line.count("\n") != 1,
        "the command does not call .venv/bin/": ".venv/bin/" not in line,
        "the twin does not call .venv\\Scripts\\": ".venv\\Scripts\\" not in twin,
        "a command activates the environment": "activate" in (line + twin).lower(),
        "nothing says whether the twin was tried": not re.search(r"\b(un)?tried\b", prose),
    }
    return [words for words, is_wrong in wrong.items() if is_wrong]


@pytest.mark.parametrize("heading", ["Run it", "Pass the tests"])
def test_command_has_the_agreed_shape(heading):
    assert complaints(section(README.read_text("utf-8"), heading)) == []


GOOD = "```sh\n.venv/bin/x\n```\n```bat\n.venv\\Scripts\\x\n```\nuntried\n"


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ("x\n```\n```bat", "x\ny\n```\n```bat", "not one line"),
        (".venv/bin/x", "x", "does not call .venv/bin/"),
        (".venv/bin/x", ". .venv/bin/activate && x", "activates"),
        ("Scripts", "bin", "does not call .venv\\Scripts\\"),
        ("untried", "", "tried"),
        ("```bat", "```text", "bat twin"),
    ],
)
def test_a_bad_command_is_reported(old, new, complaint):
    assert complaints(GOOD) == []
    assert any(complaint in words for words in complaints(GOOD.replace(old, new)))


def test_python_block_runs():
    (code,) = blocks(README.read_text("utf-8"), "python")
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
