"""The worked report and its parts: alone, honest, the same twice, whole or not there."""

import ast
import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import nbformat
import pytest
from audit import RULES, audit
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, rates, read_plan
from formpressure.errors import Refusal
from formpressure.plan_file import LONGEST_TEXT
from formpressure.records import CHECKS, Status
from formpressure.report import blocks, export, figures, page
from formpressure.report.card import card_html
from formpressure.report.mathml import mathml
from formpressure.report.parts import Block, badge, figure, safe, table
from formpressure.report.words import words

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
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


def shown(html):
    return " ".join(BeautifulSoup(html, "html.parser").get_text(" ").split())


@pytest.fixture(scope="module")
def worked():
    return export.worked_report(DEMO)


@pytest.fixture(scope="module")
def nasty_plan(tmp_path_factory):
    path = tmp_path_factory.mktemp('a folder, it\'s "odd"') / "it's one.toml"
    path.write_text(f"title = '''{NASTY}'''\n" + complete(), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def nasty(nasty_plan):
    return export.worked_report(nasty_plan)


# ------------------------------------------------------------------ the page


def test_page_passes_the_audit(worked, nasty):
    assert audit(worked) == []
    assert audit(nasty) == []


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_card_passes_the_audit(path):
    assert audit(card_html(check(load_plan(path)))) == []


GOOD = '<html lang="en"><body><h1>a</h1><h2>b</h2><table><caption>c</caption></table></body></html>'


@pytest.mark.parametrize(
    "bad",
    [
        '<img src="http://a.test/x.png" alt="a picture of a wall form">',
        '<link href="//a.test/x.css">', "<style>p{background:url('x.png')}</style>",
        '<p style="background:url(x.png)">', "<style>@import 'x.css'</style>",
        "<script>1</script>", '<p onclick="x()">', '<a href="javascript:x()">', "<p>$$p = w h$$",
        r"<p>\frac{1}{2}", '<img src="data:," alt="">', '<img src="data:,">',
        '<img src="data:," alt="No description has been provided for this image">',
        "<h1>again</h1>", "<h4>jump</h4>", '<p id="a"><p id="a">', "<table><tr><td>1</table>",
        "<pre>Traceback (most recent call last)</pre>", "<p>ValueError: x",
        '<div data-mime-type="application/vnd.jupyter.stderr">',
    ],
)  # fmt: skip
def test_a_bad_page_is_reported(bad):
    assert audit(GOOD) == []
    assert audit(GOOD.replace("</body>", bad + "</body>"))


def test_every_rule_of_the_audit_can_fail():
    bad = (
        '<img src="x.png"><script></script><p>$$</p><h3>a</h3><p id="a"></p><p id="a"></p>'
        "<table></table><pre>Error: x</pre>"
    )
    silent = [rule.__name__ for rule in RULES if not list(rule(BeautifulSoup(bad, "html.parser")))]
    assert silent == []


def test_numbers_of_the_demo(worked):
    """By hand: 150 + 9000 x 4/60 = 750 psf; the bottom tie 1.5 ft x 2 ft x 750 = 2,250 lb."""
    text = shown(worked)
    assert "Largest pressure, rounded up: 750 psf" in text
    assert "(150 + 9,000 × 4/60) = 750 psf" in worked
    row = shown(re.search(r'<tr><th scope="row">8 in</th>.*?</tr>', worked)[0])
    assert row == "8 in ✓ OK 2,250 3,000 0.75 2,000 2,250"
    assert "5.5 ft/h 11 min" in text


def test_every_equation_has_its_plain_line(worked):
    tree = BeautifulSoup(worked, "html.parser")
    assert len(tree.find_all("math")) >= 9
    for math in tree.find_all("math"):
        plain = math.parent.find_next_sibling(class_="mp")
        assert math["alttext"] == plain.get_text()
        assert math.get("display") is None  # centred and wide on a phone otherwise


def test_what_is_from_memory_is_told(worked):
    text = shown(worked)
    assert "from memory, confirm against the document" in text
    assert "not yet confirmed against the printed document" in text
    assert re.search(r"pressure constants FROM MEMORY", text)


def test_no_verdict_word_is_safe(worked, nasty):
    assert not re.search(r"\bsafe(?!ty factor)", shown(worked) + shown(nasty), re.I)


def test_size_and_no_path_of_this_machine(worked, nasty, nasty_plan):
    assert len(worked.encode()) < 300_000
    assert str(ROOT) not in worked
    assert str(nasty_plan.parent) not in nasty
    assert "it's one.toml" in shown(nasty)


def test_user_text_is_shown_as_it_is(nasty):
    tree = BeautifulSoup(nasty, "html.parser")
    assert tree.find("p", class_="title").get_text() == NASTY
    assert NASTY in tree.title.get_text()
    assert tree.find("b", string="$x$") is None


def test_same_bytes_in_another_process(nasty, nasty_plan, tmp_path):
    out = tmp_path / "again.html"
    code = (
        "import sys; from pathlib import Path; from formpressure.report.export import write_worked;"
        "write_worked(sys.argv[1], Path(sys.argv[2]))"
    )
    subprocess.run(
        [sys.executable, "-W", "error", "-c", code, str(nasty_plan), str(out)],
        check=True, cwd=tmp_path, env={**os.environ, "PYTHONHASHSEED": "3"},
    )  # fmt: skip
    assert out.read_bytes() == nasty.encode()


def test_longest_texts_do_not_break_the_page():
    long = verdict(f'title = "{"w" * LONGEST_TEXT}"\n' + SMALL)
    assert "w" * LONGEST_TEXT in blocks.inputs(long).html


def test_footer_text_cannot_end_its_style():
    assert page._css_text('a"}</style>\\') == r"a\22 \7d \3c \2f style\3e \5c "
    assert page._css_text("Plan b_1.toml, 66a.") == "Plan b_1.toml, 66a."


# ------------------------------------------------------------------ running the notebook


def test_the_plan_goes_into_the_one_cell_of_parameters():
    for name in ("it's.toml", 'a "b".toml', "c\\d.toml", "é\n.toml"):
        notebook = export.with_plan(export.read_notebook(), name)
        (cell,) = [c for c in notebook.cells if "parameters" in c.metadata.get("tags", ())]
        assert ast.literal_eval(cell.source.removeprefix("plan = ")) == name


@pytest.mark.parametrize("count", [0, 2])
def test_none_or_two_cells_of_parameters_are_refused(count):
    tags = {"tags": ["parameters"]}
    cells = [nbformat.v4.new_code_cell("plan = 1", metadata=tags) for _ in range(count)]
    with pytest.raises(ValueError, match=f"found {count}"):
        export.with_plan(nbformat.v4.new_notebook(cells=cells), "x")


def test_a_failed_run_leaves_the_earlier_report_whole(tmp_path, monkeypatch):
    target = tmp_path / "wall.worked.html"
    target.write_text("first")
    broken = nbformat.v4.new_notebook(cells=[
        nbformat.v4.new_code_cell("plan = 1", metadata={"tags": ["parameters"]}),
        nbformat.v4.new_code_cell("1 / 0"),
    ])  # fmt: skip
    monkeypatch.setattr(export, "read_notebook", lambda: broken)
    with pytest.raises(RuntimeError, match="ZeroDivisionError"):
        export.write_worked(DEMO, target)
    assert [p.read_text() for p in tmp_path.iterdir()] == ["first"]


def test_a_plan_that_is_refused_starts_no_kernel(tmp_path, monkeypatch):
    monkeypatch.setattr(export, "run", lambda *_: pytest.fail("a kernel was started"))
    (tmp_path / "wall.toml").write_text(SMALL.replace("8 ft", "8"), encoding="utf-8")
    with pytest.raises(Refusal, match="bare number"):
        export.worked_report(tmp_path / "wall.toml")


def test_without_the_extra_the_cure_is_told(monkeypatch):
    monkeypatch.delitem(sys.modules, "formpressure.report.page")
    monkeypatch.setitem(sys.modules, "nbconvert.exporters.html", None)
    with pytest.raises(Refusal, match=r'pip install "formpressure\[report\]"'):
        export.worked_report(DEMO)


def test_an_equation_in_the_text_needs_its_own_line_and_its_plain_one():
    def render(source):
        return page.MarkdownWithMath(renderer=page._Renderer(escape=False)).render(source)

    assert "<math" in render("$$\n% p = w h\np = w h\n$$")
    for bad in ("so $p = w h$ is", "$$\np = w h\n$$", r"\begin{align}p\end{align}"):
        with pytest.raises(ValueError, match="an equation"):
            render(bad)
    with pytest.raises(ValueError, match="cannot be read"):
        mathml(r"\frac{1}", "1/")
    with pytest.raises(ValueError, match="without a plain line"):
        mathml("p", "")


def test_notebook_parts_do_not_load_the_exporter():
    code = (
        "from formpressure.report import blocks, figures\n"
        "import sys; print(*({'matplotlib', 'nbconvert', 'nbclient', 'nbformat', 'math_core',"
        " 'jinja2'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []


# ------------------------------------------------------------------ the parts


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
    assert lines[-1].startswith("Between rows use the colder row.")


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
    for number in ("3.5 ft/h", "14.5 ft/h", "2.5 ft/h", "60 °F", "4 ft/h"):
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
    kept = figures._apart(levels, 7, 1.6)
    assert 7 in kept
    assert all(b - a >= 4 for a, b in pairwise(kept))
    levels = [1.0, 1.0, 0.0, 5.0]
    moved = figures._spread(levels, 2.0)
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
        source = (ROOT / "formpressure" / "report" / f"{name}.py").read_text("utf-8")
        used |= set(re.findall(r'say\(\s*"(\w+)", "(\w+)"', source))
    assert len(used) > 20
    assert {(s, n) for s, n in used if n not in words()[s]} == set()
