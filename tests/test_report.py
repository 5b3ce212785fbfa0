"""The worked report: alone, honest, the same twice, whole or not there."""

import ast
import re
import sys
from pathlib import Path

import nbformat
import pytest
from audit import RULES, audit, in_another_process
from bs4 import BeautifulSoup
from plans import SMALL, complete

from formpressure import check, load_plan
from formpressure.errors import Refusal
from formpressure.report import export, page
from formpressure.report.card import card_html
from formpressure.report.mathml import mathml

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
DEMO = ROOT / "shared" / "plans" / "basement_9ft.toml"
NASTY = "<b>$x$</b> *a* _b_ | `c` $$y$$ & </style>"


def shown(html):
    return " ".join(BeautifulSoup(html, "html.parser").get_text(" ").split())


@pytest.fixture(scope="module")
def worked():
    return export.notebook_report(DEMO)


@pytest.fixture(scope="module")
def nasty_plan(tmp_path_factory):
    path = tmp_path_factory.mktemp("a folder, it's odd") / "it's one.toml"
    path.write_text(f"title = '''{NASTY}'''\n" + complete(), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def nasty(nasty_plan):
    return export.notebook_report(nasty_plan)


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
        '<img src="data:," alt="No description has been provided for this image">', "<svg></svg>",
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
    assert in_another_process(nasty_plan, tmp_path, export.NAME) == nasty


def test_footer_text_cannot_end_its_style():
    assert page.css_text('a"}</style>\\') == r"a\22 \7d \3c \2f style\3e \5c "
    assert page.css_text("Plan b_1.toml, 66a.") == "Plan b_1.toml, 66a."


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
    monkeypatch.setattr(export, "read_notebook", lambda *_: broken)
    with pytest.raises(RuntimeError, match="ZeroDivisionError"):
        export.write_report(DEMO, target)
    assert [p.read_text() for p in tmp_path.iterdir()] == ["first"]


def test_a_plan_that_is_refused_starts_no_kernel(tmp_path, monkeypatch):
    monkeypatch.setattr(export, "run", lambda *_: pytest.fail("a kernel was started"))
    (tmp_path / "wall.toml").write_text(SMALL.replace("8 ft", "8"), encoding="utf-8")
    with pytest.raises(Refusal, match="bare number"):
        export.notebook_report(tmp_path / "wall.toml")


def test_without_the_extra_the_cure_is_told(monkeypatch):
    monkeypatch.delitem(sys.modules, "formpressure.report.page")
    monkeypatch.setitem(sys.modules, "nbconvert.exporters.html", None)
    with pytest.raises(Refusal, match=r'pip install "formpressure\[report\]"'):
        export.notebook_report(DEMO)


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
