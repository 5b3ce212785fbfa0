"""Commands as the office runs them."""

import subprocess
import sys
import tomllib

import pytest
from plans import SMALL, complete

from formpressure import RULES, __version__, read_plan


def run(*arguments, cwd):
    return subprocess.run(
        [sys.executable, "-m", "formpressure", *map(str, arguments)],
        cwd=cwd, capture_output=True, text=True, encoding="utf-8", timeout=60,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "status", "word"),
    [
        (complete(), 0, "GO"),
        (complete(faces=("tied through", "hung")), 3, "NO-GO"),
        (complete(gone=('"bracing", ', "")), 4, "NOT CHECKED"),
        (SMALL.replace("8 ft", "8"), 2, ""),
    ],
)
def test_exit_status_of_check(tmp_path, text, status, word):
    (tmp_path / "wall.toml").write_text(text, encoding="utf-8")
    done = run("check", "wall.toml", cwd=tmp_path)
    assert done.returncode == status
    assert (f"VERDICT: {word}" in done.stdout) is bool(word)


def test_card_prints_the_verdict_first_and_where_the_card_is(tmp_path):
    folder = tmp_path / "a folder with spaces"
    folder.mkdir()
    (folder / "north wall.toml").write_text(complete(), encoding="utf-8")
    done = run("card", "north wall.toml", cwd=folder)
    assert done.returncode == 0
    assert done.stdout.startswith("VERDICT: GO")
    assert done.stdout.rstrip().endswith("north wall.card.html")
    assert (folder / "north wall.card.html").exists()


@pytest.mark.parametrize("system", ["US", "SI"])
def test_new_writes_a_plan_of_about_ten_live_lines_that_reads(tmp_path, system):
    done = run("new", "wall.toml", "--units", system, cwd=tmp_path)
    assert done.returncode == 0
    text = (tmp_path / "wall.toml").read_text(encoding="utf-8")
    live = [x for x in text.splitlines() if x and not x.startswith(("#", "["))]
    assert 8 <= len(live) <= 12
    assert read_plan(text).units == system
    again = run("new", "wall.toml", cwd=tmp_path)
    assert again.returncode == 2
    assert "is there already" in again.stderr
    assert (tmp_path / "wall.toml").read_text(encoding="utf-8") == text


@pytest.mark.parametrize("system", ["US", "SI"])
def test_the_commented_lines_of_new_are_a_plan_too(tmp_path, system):
    run("new", "wall.toml", "--units", system, cwd=tmp_path)
    lines = (tmp_path / "wall.toml").read_text(encoding="utf-8").splitlines()
    lines = [x.removeprefix("# ") if "=" in x or x.startswith("# [") else x for x in lines]
    text = "\n".join(lines)
    assert tomllib.loads(text)["delivery"]["method"] == "chute"
    assert read_plan(text).by_others


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [(["chek", "wall.toml"], "check"), (["card", "wall.toml", "--outptu", "x"], "--output")],
)
def test_a_slip_is_answered_with_the_nearest_word(tmp_path, arguments, hint):
    done = run(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert f"Did you mean {hint}" in done.stderr


def test_version(tmp_path):
    told = run("--version", cwd=tmp_path).stdout.splitlines()
    assert told[0] == f"formpressure {__version__}"
    assert told[1].startswith(f"Python {sys.version.split()[0]}")
    assert "numpy" in told[2]
    assert "ACI 347R-14, Guide to Formwork for Concrete, 2014, US constants" in told
    assert len(told) == 3 + len(RULES)


def test_submittal_writes_one_page_of_the_paper_asked_for(tmp_path):
    (tmp_path / "wall.toml").write_text(complete(), encoding="utf-8")
    done = run("submittal", "wall.toml", "--paper", "A4", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.rstrip().endswith("wall.submittal.html")
    assert [p.name for p in tmp_path.glob("*.html")] == ["wall.submittal.html"]
    assert "@page{size:A4" in (tmp_path / "wall.submittal.html").read_text("utf-8")
