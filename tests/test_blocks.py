"""The parts of a worked report: what each shows, of every kind of plan."""

import os
import re
import subprocess
import sys
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import pytest
from audit import audit
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, rates, read_plan
from formpressure.errors import Refusal
from formpressure.plan_file import LONGEST_TEXT
from formpressure.records import CHECKS, Status
from formpressure.report import blocks, drawing, figures
from formpressure.report.parts import Block, badge, figure, safe, table
from formpressure.report.words import words

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "shared" / "plans" / "basement_9ft.toml"
NASTY = "<b>$x$</b> *a* _b_ | `c` $$y$$ & </style>"
RATE = '[delivery]\nfastest_rise = "{}"\n'
OF_A_VERDICT = (
    blocks.summary, blocks.inputs, blocks.document, blocks.equations, blocks.tie_table,
    blocks.allowed, blocks.checks, blocks.cautions, figures.pressure,
)  # fmt: skip
OF_RATES = (blocks.rate_table, figures.rates)


def verdict(text):
    return check(read_plan(text))


def test_notebook_parts_do_not_load_the_exporter():
    code = (
        "from formpressure.report import blocks, figures\n"
        "import sys; print(*({'matplotlib', 'nbconvert', 'nbclient', 'nbformat', 'math_core',"
        " 'jinja2'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []


PLANS = {
    "no rate stated": complete("3000 lb"),
    "any rate": complete(),
    "no rate": SMALL.replace("at 2:1", "at 1.5:1") + CONCRETE,
    "nothing known": SMALL,
    "breaking load": complete("8000 lb", basis=("working load at 2:1", "breaking load")),
    "stated": SMALL + CONCRETE + RATE.format("3 ft/h"),
    "too cold": SMALL + CONCRETE.replace("60 F", "35 F") + RATE.format("3 ft/h"),
    "from the base": complete(method="pump from base"),
    "on hardened": complete(
        s=('height = "8 ft"', 'height = "8 ft"\nplaced_from = "2 ft"\nhardened = "3 days"')
    ),
    "metric": (ROOT / "shared/plans/retaining_wall_3m6.toml").read_text("utf-8"),
}


@pytest.mark.parametrize("text", PLANS.values(), ids=PLANS.keys())
def test_every_part_shows_every_kind_of_plan(text):
    found = verdict(text)
    made = [part(found) for part in OF_A_VERDICT] + [part(rates(found.plan)) for part in OF_RATES]
    for block in made:
        kinds = block._repr_mimebundle_()
        assert set(kinds) in ({"text/plain", "text/html"}, {"text/plain", "text/markdown"})
        assert not re.search(r"\bNone\b|\bnan\b|\binf\b|\{|<\w", kinds["text/plain"])
    html = "".join(b.html for b in made)
    assert audit(f'<html lang="en"><h1>a</h1>{html}</html>') == []


def test_longest_texts_do_not_break_the_page():
    long = verdict(f'title = "{"w" * LONGEST_TEXT}"\n' + SMALL)
    assert "w" * LONGEST_TEXT in blocks.inputs(long).html


def test_inputs_hold_every_value_and_every_assumption():
    found = verdict(complete("3000 lb", title=('units = "US"', f"units = 'US'\ntitle = '{NASTY}'")))
    text = blocks.inputs(found).plain
    for value in (NASTY, "3,000 lb", "1 ft, 3 ft, 5 ft, 7 ft", "60 °F", "internal", "sheet T"):
        assert value in text
    assert text.count("ASSUMED") == len(found.plan.assumed) > 3


def test_tie_table_tells_each_row():
    rows = blocks.tie_table(verdict(PLANS["no rate"])).plain.splitlines()
    bottom = next(r for r in rows if r.startswith("1 ft"))
    assert bottom.split() == ["1", "ft", "NOT", "OK", "4,730", "2,250", "2.10", "4,200", "4,730"]
    assert next(r for r in rows if r.startswith("7 ft")).split()[2] == "OK"
    below = blocks.tie_table(verdict(PLANS["on hardened"])).plain
    assert re.search(r"^1 ft +DOES NOT APPLY +– +–", below, re.M)


def test_checks_are_the_closed_list_with_status_word():
    block = blocks.checks(verdict(PLANS["stated"]))
    for name in CHECKS:
        assert words()["check"][name] in block.plain
    assert block.html.count('class="status') == len(CHECKS)
    assert "NOT CHECKED" in block.plain


def test_rate_table_has_colder_rows_first_and_marks_the_plan():
    lines = blocks.rate_table(rates(load_plan(DEMO))).plain.splitlines()
    assert lines[3].startswith("40 °F  ")
    assert next(x for x in lines if "this plan" in x).startswith("60 °F this plan")
    assert lines[-2].startswith("Between rows use the colder row.")


@pytest.mark.parametrize("planned", ["62 F", "64.9 F"])
def test_between_rows_the_colder_row_is_marked(planned):
    text = (SMALL + CONCRETE).replace("60 F", planned)
    lines = blocks.rate_table(rates(read_plan(text))).plain.splitlines()
    assert next(x for x in lines if "this plan" in x).startswith("60 °F")


def test_both_sets_of_numbers_are_worked_where_they_differ():
    """14 ft is not over 14 ft but over 4.2 m: (b) in ft, (c) in m."""
    rows = '"7 ft", "9 ft", "11 ft", "13 ft"'
    text = complete("5000 lb", h=('"8 ft"', '"14 ft"'), r=('"7 ft"', rows),
                    rate=("[delivery]", '[delivery]\nfastest_rise = "4 ft/h"'))  # fmt: skip
    block = blocks.equations(verdict(text))
    assert "another side of a limit" in block.plain
    assert "p(b) = Cw Cc (150 + 9,000 R/T)" in block.plain
    assert "p(c) = Cw Cc (7.2 + 1,156/(T + 17.8) + 244 R/(T + 17.8))" in block.plain


def test_no_rate_stated_shows_the_largest_allowed_as_well():
    text = blocks.equations(verdict(PLANS["no rate stated"])).plain
    assert "filled straight up" in text
    assert "At 3 ft/h, the largest rate allowed" in text
    assert "p(b) = Cw Cc (150 + 9,000 R/T) = 1 × 1 × (150 + 9,000 × 3/60) = 600 psf" in text


def test_markdown_never_holds_text_of_the_plan():
    found = verdict(f"title = '{NASTY}'\n" + complete("3000 lb", c=('"I"', '"I $a$ *b*"')))
    markdown = blocks.equations(found).markdown
    assert "$$" in markdown
    assert "*b*" not in markdown.replace("**", "")


def test_safe_text_and_badges():
    assert safe("a < b & $c$") == "a &lt; b &amp; <span>$</span>c<span>$</span>"
    marks = {badge(s).html for s in Status}
    assert len(marks) == len(Status)
    assert badge(Status.NOT_OK).plain == "NOT OK"
    assert "<td>&lt;i&gt;</td>" in table("c", ("a", "b"), [("x", "<i>")]).html
    assert str(Block("plain")) == "plain"


def test_figures_are_the_same_twice_and_say_what_they_show():
    found, allowed = check(load_plan(DEMO)), rates(load_plan(DEMO))
    assert figures.pressure(found).html == figures.pressure(found).html
    assert figures.rates(allowed).html == figures.rates(allowed).html
    alt = BeautifulSoup(figures.pressure(found).html, "html.parser").img["alt"]
    for number in ("750 psf", "1,350 psf", "2,250 lb", "3,000 lb", "1,000 psf", "5 ft", "8 in"):
        assert number in alt
    alt = BeautifulSoup(figures.rates(allowed).html, "html.parser").img["alt"]
    for number in ("3.5 ft/h", "13 ft/h", "2.5 ft/h", "60 °F", "4 ft/h"):
        assert number in alt
    with pytest.raises(ValueError, match="without a text"):
        figure("<svg/>", " ", "caption")


def test_figures_do_not_depend_on_the_users_settings():
    import matplotlib as mpl

    found = check(load_plan(DEMO))
    before = figures.pressure(found).html
    with mpl.rc_context({"font.size": 30, "lines.linewidth": 9, "axes.facecolor": "red"}):
        assert figures.pressure(found).html == before


def test_figures_say_nothing_on_the_error_stream():
    """Where the drawing library cannot keep its cache it says so there; a report must not."""
    code = (
        "from formpressure import check, load_plan; from formpressure.report import figures;"
        f"figures.pressure(check(load_plan({str(DEMO)!r})))"
    )
    env = {**os.environ, "MPLCONFIGDIR": str(DEMO / "not a folder")}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_figure_with_nothing_to_draw_is_a_sentence():
    block = figures.rates(rates(read_plan(PLANS["any rate"])))
    assert "img" not in block.html
    assert "any rate" in block.plain


def test_many_rows_of_ties_keep_their_labels_apart():
    levels = [0.5 * i for i in range(1, 60)]
    kept = drawing.apart(levels, 7, 1.6)
    assert 7 in kept
    assert all(b - a >= 4 for a, b in pairwise(kept))
    levels = [1.0, 1.0, 0.0, 5.0]
    moved = drawing.spread(levels, 2.0)
    assert all(m >= level for m, level in zip(moved, levels, strict=True))
    assert all(b - a >= 2.0 for a, b in pairwise(sorted(moved)))
    assert moved[3] == max(moved)


def test_plan_is_found_from_a_folder_below(tmp_path, monkeypatch):
    (tmp_path / "plans").mkdir()
    (tmp_path / "notebooks").mkdir()
    (tmp_path / "plans" / "a.toml").write_text(SMALL)
    monkeypatch.chdir(tmp_path / "notebooks")
    assert Path(blocks.find("plans/a.toml")).samefile(tmp_path / "plans" / "a.toml")
    with pytest.raises(Refusal, match="no such plan file"):
        blocks.find("plans/b.toml")


def test_every_word_that_reports_use_is_in_the_table():
    used = set()
    for name in ("blocks", "figures", "export", "parts"):
        source = (files("formpressure") / "report" / f"{name}.py").read_text("utf-8")
        used |= set(re.findall(r'say\(\s*"(\w+)", "(\w+)"', source))
    assert len(used) > 20
    assert {(s, n) for s, n in used if n not in words()[s]} == set()
