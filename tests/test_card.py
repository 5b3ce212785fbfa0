"""The card: self-contained, without script, the same bytes twice, whole or not there."""

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from audit import audit
from bs4 import BeautifulSoup
from layouts import CLOSED, changed, straight
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, read_plan
from formpressure.errors import Refusal
from formpressure.records import CHECKS, Status
from formpressure.report.card import card_html
from formpressure.report.files import write_whole
from formpressure.report.text import text
from formpressure.report.words import feet_and_inches, words
from formpressure.tie_schedule import tie_schedule

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))


def card(plan_text):
    return card_html(check(read_plan(plan_text)))


def front(html):
    """The text of the front, as read."""
    return read(BeautifulSoup(html, "html.parser").find(class_="front"))


def back(html):
    return read(BeautifulSoup(html, "html.parser").find(class_="back"))


def read(part):
    return " ".join(part.get_text(" ").split())


class Page(HTMLParser):
    """Tags, attributes and text of a page, with a check that tags close in order."""

    VOID = ("meta", "br", "!doctype", "link", "img", "hr")

    def __init__(self, html):
        super().__init__()
        self.tags, self.attributes, self.texts, self._open = [], [], [], []
        self.feed(html)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in self.VOID:
            self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        self.texts.append(data)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_page_stands_alone(path):
    html = card_html(check(load_plan(path)))
    page = Page(html)
    assert "script" not in page.tags
    assert not {"src", "href"} & {name for name, _ in page.attributes}
    assert not any(name.startswith("on") for name, _ in page.attributes)
    assert "url(" not in html
    assert "@import" not in html
    assert page.tags.count("h1") == 1
    assert len(html.encode()) < 60_000


def test_order_is_verdict_fill_pace_stop_cautions():
    html = card(SMALL + CONCRETE)
    say = words("en")
    places = [
        html.index(t)
        for t in (
            "NOT CHECKED", say["card"]["fill"], "How long for each ", ">STOP<",
            say["card"]["do"], say["card"]["cautions"],
        )
    ]  # fmt: skip
    assert places == sorted(places)


def test_what_is_open_and_what_fails_is_named_on_the_card():
    verdict = check(read_plan(SMALL + CONCRETE))
    html = card_html(verdict)
    for c in verdict.open:
        assert words("en")["check"][c.name] in html
    assert check(read_plan(complete(faces=("tied through", "hung")))).failed
    assert "faces tied through" in card(complete(faces=("tied through", "hung")))


def test_the_card_shows_the_larger_of_the_two_models():
    html = card(SMALL + CONCRETE)
    assert "4,730 lb" in html  # 4,725 lb hinged, a demand, rounded up
    assert "4,200 lb" not in html


def test_user_text_is_shown_as_it_is_and_runs_nothing():
    title = '<script>alert(1)</script> $x$ *a* | b & \\"c\\"'
    html = card(f'title = "{title}"\n' + SMALL)
    page = Page(html)
    assert "script" not in page.tags
    assert any('<script>alert(1)</script> $x$ *a* | b & "c"' in t for t in page.texts)


def test_same_bytes_in_two_processes(tmp_path):
    plan = DEMOS[0]
    pages = []
    for name, seed in (("a.html", "1"), ("b.html", "2")):
        subprocess.run(
            [sys.executable, "-m", "formpressure", "card", str(plan), "-o", str(tmp_path / name)],
            check=True, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed},
        )  # fmt: skip
        pages.append((tmp_path / name).read_bytes())
    assert pages[0] == pages[1]


def test_blanks_to_fill_in():
    """Initials and marks wherever the crew may come to pour, never on a NO-GO; a revision told in
    the plan leaves no blank for it."""
    say = words("en")["card"]
    rate = ("[delivery]\n", '[delivery]\nfastest_rise = "4 ft/h"\n')
    go = front(card(complete("3400 lb", rate=rate)))
    assert say["note_initials"] in go
    assert say["note_revision"] in go
    assert say["marks_rule"] in go
    assert say["signing"] not in go
    open_yet = front(card(complete("3400 lb", rate=rate, gone=('"bracing", ', ""))))
    assert say["note_initials"] in open_yet
    assert say["signing"] in open_yet
    no_go = front(card(complete("3400 lb", rate=rate, faces=("tied through", "hung"))))
    assert say["no_go"] in no_go
    assert say["note_initials"] not in no_go
    assert say["marks_rule"] not in no_go
    told = front(card('revision = "B <1>"\n' + complete()))
    assert "Revision B <1>." in told
    assert say["note_revision"] not in told


def test_every_report_carries_cautions_checksum_and_the_unconfirmed_line():
    for plan_text in (SMALL, complete()):
        verdict = check(read_plan(plan_text, file="north.toml"))
        for report in (card_html(verdict), " ".join(text(verdict).split())):
            assert "not yet confirmed against the printed document" in report
            assert "qualified engineer" in report
            assert "north.toml" in report
            assert verdict.plan.checksum in report
            assert "Not a permit to pour" in report
    confirmed = complete() + '[document.confirmed]\nwho = "B. Checker"\nedition = "first"\n'
    assert "not yet confirmed" not in card(confirmed + "date = 2026-05-01\n")


def test_no_verdict_word_is_safe():
    for plan_text in (SMALL, SMALL + CONCRETE, complete()):
        assert not re.search(r"\bsafe", card(plan_text), re.I)


def test_every_note_and_name_that_checks_use_is_in_the_table():
    table = words("en")
    assert set(table["check"]) == set(CHECKS)
    assert set(table["status"]) == {str(s) for s in Status}
    source = "".join(
        path.read_text("utf-8")
        for path in [
            files("formpressure") / "verdict.py",
            *(files("formpressure") / "checks").glob("*.py"),
        ]
    )
    used = set(re.findall(r'Status\.\w+, "(\w+)"', source))
    assert used
    assert used <= set(table["note"])


@pytest.mark.parametrize(
    ("feet", "shown"),
    [(14.0, "14 ft"), (8.5, "8 ft 6 in"), (8.541666667, "8 ft 6 1/2 in"), (0.0625, "3/4 in"),
     (2 / 3, "8 in"), (0.0, "0 ft"), (13.9479166, "13 ft 11 3/8 in")],
)  # fmt: skip
def test_feet_and_inches(feet, shown):
    assert feet_and_inches(feet) == shown


def test_a_failed_write_leaves_the_earlier_card_whole(tmp_path, monkeypatch):
    target = tmp_path / "wall.card.html"
    write_whole(target, "first")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal, match="cannot be written"):
        write_whole(target, "second, longer")
    assert target.read_text() == "first"
    assert [p.name for p in tmp_path.iterdir()] == ["wall.card.html"]
    monkeypatch.undo()
    with pytest.raises(Refusal, match="cannot be written"):
        write_whole(tmp_path / "no folder" / "card.html", "x")


# ---------------------------------------------------------------- what the crew asks


@pytest.fixture(scope="module")
def basement():
    return card_html(check(load_plan(ROOT / "shared" / "plans" / "basement_9ft.toml")))


def test_the_card_alone_answers_the_foreman(basement):
    """May it be filled straight up; how long for each foot at 52 F; which clips may stay empty;
    3 ft reached at 8:20, when 4 ft; what if a tie snaps."""
    face, reverse = front(basement), back(basement)
    assert "Fill it straight up? NO." in face
    assert "How long for each foot? 20 min for each foot, at 60 °F or warmer." in face
    assert "between rows the colder row" in face
    assert "50 °F 20 min 33 min 55 °F" in face
    assert "3 ft reached at 8:20, so 4 ft not before 8:40" in face
    assert "After a stop, a time written ahead is void" in face
    assert "A tie in every clip; none may stay empty." in reverse
    assert "A tie snaps or is lost. Stop everywhere. Everyone away" in reverse
    cold = front(card_html(check(load_plan(ROOT / "shared/plans/basement_9ft_cold.toml"))))
    assert "50 °F 30 min 49 min 55 °F" in cold


def test_one_number_for_each_foot(basement):
    """The layers would allow 15 min: only the back names it, with the reason."""
    assert "15 min" not in front(basement)
    assert re.search("15 min from the start .* the marks count on nothing of that", back(basement))


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_no_pressure_ratio_or_edition_on_the_front(path, language):
    html = card_html(check(load_plan(path)), language)
    face, office = front(html), r"psf|kPa|pcf|kN|\blb\b|lb/|\b\d:1\b|ACI|\b(19|20)\d\d\b|kg/m"
    assert not re.search(office, face)
    assert re.search(office, back(html))
    assert audit(html) == []
    assert len(html.encode()) < 60_000


# ---------------------------------------------------------------- the elevation


def dots(html, shape):
    """How many dots each row of one shape has: dashes of no length along the row."""
    found = []
    for path in BeautifulSoup(html, "html.parser").select(f"svg path.{shape}"):
        lengths = [float(v) for v in path.parent["stroke-dasharray"].split()]
        assert set(lengths[::2]) == {0.0}
        start, end = re.match(r"M([\d.]+) [\d.]+H([\d.]+)$", path["d"]).groups()
        places = np.cumsum([float(start), *lengths[1::2]])
        found.append(int(np.sum(places <= float(end))))
    return found


def test_every_tie_is_a_dot_and_the_governing_row_is_ringed(basement):
    page = BeautifulSoup(basement, "html.parser")
    assert sum(dots(basement, "tie")) == 7 * 101  # rows, and lines 2 ft apart along 200 ft
    assert dots(basement, "gone") == []
    rings, strips = page.select("svg .ring"), page.select("svg > g")
    assert len(rings) == len(strips) == 2
    alt = page.svg["aria-label"]
    assert "7 rows of ties at 8 in, 2 ft," in alt
    assert "101 tie lines" in alt
    assert "the row at 8 in carries most" in alt
    labels = [t.get_text() for t in page.select("svg > g")[0].select("text")]
    assert {"1 ft", "9 ft", "8 in", "8 ft 8 in"} <= set(labels)


def test_a_clip_above_the_concrete_is_hollow_and_says_what_may_be_left():
    low = ('height = "8 ft"', 'height = "6 ft"\nform_height = "8 ft"\noverfilling_prevented = true')
    held = card(complete(low=low))
    assert dots(held, "gone") == [41, 40]  # two strips of the row at 7 ft
    assert "may stay empty" in BeautifulSoup(held, "html.parser").svg.get_text()
    assert "A tie in every clip up to 6 ft; a clip above may stay empty." in back(held)
    bare = card(complete(low=low, gone=('"overhangs", ', "")))
    assert "tie here too" in BeautifulSoup(bare, "html.parser").svg.get_text()
    assert "also above the concrete" in back(bare)


def test_the_widest_of_uneven_lines_is_ringed():
    joints = 'joints = ["0 ft", "2 ft", "4 ft", "6.5 ft", "8.5 ft", "10 ft"]'
    page = BeautifulSoup(card(SMALL.replace('spacing = "2 ft"', joints)), "html.parser")
    (ring,) = page.select("svg circle.ring")
    row = page.select("svg path.tie")[0]
    start, level = re.match(r"M([\d.]+) ([\d.]+)H", row["d"]).groups()
    gaps = [float(v) for v in row.parent["stroke-dasharray"].split()[1::2]]
    assert ring["cy"] == level
    assert float(ring["cx"]) == pytest.approx(float(start) + sum(gaps[:2]))  # 2 ft, then 2 ft 6 in
    assert "row 1 ft, line 3" in page.svg["aria-label"]


def test_a_layout_puts_every_tie_at_its_joint_and_rings_the_worst():
    schedule = tie_schedule(check(read_plan(CLOSED)))
    page = BeautifulSoup(card_html(schedule.verdict), "html.parser")
    north = page.select("svg > g")[0]
    row = north.select("path.tie")[0]  # the lowest
    start, level = re.match(r"M([\d.]+) ([\d.]+)H", row["d"]).groups()
    gaps = [float(v) for v in row.parent["stroke-dasharray"].split()[1:-2:2]]
    places = np.array([tie.place for tie in schedule.ties if tie.side == "north"][::5], float)
    left, right = (float(edge["d"][1:].split()[0]) for edge in north.select("path.edge"))
    drawn = np.cumsum([float(start), *gaps])
    np.testing.assert_allclose((drawn - left) / (right - left), places / 40.0, atol=2e-3)
    joints = [float(x) for x in re.findall(r"M([\d.]+)", north.select_one("path.joint")["d"])]
    np.testing.assert_allclose(joints, [left, *drawn, right], atol=0.11)
    (ring,) = page.select("svg circle.ring")
    worst = schedule.worst
    assert float(ring["cy"]) == float(level)
    assert float(ring["cx"]) == pytest.approx(
        left + float(worst.place) / 40.0 * (right - left), abs=0.1
    )
    place = feet_and_inches(float(worst.place))
    assert "lines as laid out, none holds more than 2 ft." in back(str(page))
    told = f"{worst.side}, joint at {place}, row 8 in carries most; "
    assert f"{told}{len(schedule.alike) - 1} more" in page.svg["aria-label"]


def test_a_step_and_a_side_of_many_joints_are_drawn_as_they_are():
    stock = ('{ width = "24 in", height = "8 ft", count = 90 }, '
             '{ width = "24 in", height = "6 ft", count = 90 }')  # fmt: skip
    stepped = card(straight(', steps = [{ at = "10 ft", bottom = "2 ft" }]', stock))
    low, high = 5, 6  # joints at 2 to 10 ft and at 12 to 22 ft; rows from the bottom up
    assert dots(stepped, "tie") == [low, low, high, low, high, low, high, low, high]
    long = card(changed(("40 ft", "240 ft"), ("count = 120", "count = 520")))
    assert len(long.encode()) < 60_000
    strips = BeautifulSoup(long, "html.parser").select("svg > g")
    names = [strip.select("text")[1].get_text() for strip in strips]  # after the word "ties"
    assert names == ["north, 0 ft – 80 ft", "north, 80 ft – 160 ft", "north, 160 ft – 240 ft"]
    assert "Not the whole wall is drawn" in back(long)


def test_a_long_wall_shows_some_of_its_lines_and_says_so():
    joints = ", ".join(f'"{2 * k} ft"' for k in range(398)) + ', "797 ft"'
    html = card(SMALL.replace('spacing = "2 ft"', f"joints = [{joints}]"))
    page = BeautifulSoup(html, "html.parser")
    assert len(page.select("svg > g")) == 3
    assert re.search(r"\d+ of 399 tie lines are drawn", back(html))
    assert len(page.select("svg circle.ring")) == 1  # the strip of the widest line is shown
    guess = back(card(SMALL))
    assert "The length of the wall is not in the plan: 11 tie lines are drawn." in guess


def test_a_huge_wall_stays_a_small_file():
    rows = ", ".join(f'"{1.5 * k + 1} ft"' for k in range(60))
    tall = ('"8 ft"', '"92 ft"')
    long, rows = ('"160 ft"', '"5000 ft"'), ('"1 ft", "3 ft", "5 ft", "7 ft"', rows)
    rate = ("[delivery]\n", '[delivery]\nfastest_rise = "4 ft/h"\n')
    html = card(complete("60000 lb", tall=tall, long=long, rows=rows, rate=rate))
    assert len(html.encode()) < 60_000
    assert "Above 24 ft: go on the same way on another sheet." in front(html)


def test_no_straight_up_while_an_engineer_must_accept_the_ties():
    """Studs and wales that run on past the ties bring more than the two plain models say."""
    member = 'size = "2x8", species = "Douglas Fir-Larch", grade = "No.2", reused = false'
    built = (
        SMALL.replace("3000 lb", "4800 lb") + 'data_sheet = "sheet T"\n' + CONCRETE
        + '[form]\nfaces = "tied through"\nsheathing = { thickness = "1 in", '
        'plywood = "form grade class I", face_grain = "across", reused = false }\n'
        f'studs = {{ {member}, spacing = "4 in" }}\n'
        f'wales = {{ {member}, spacing = "2 ft", doubled = true }}\n'
    )  # fmt: skip
    verdict = check(read_plan(built))
    assert verdict.straight_up
    assert verdict["ties"].note == "continuous_over"
    face = front(card_html(verdict))
    assert "Fill it straight up? NOT CHECKED. By both plain models yes" in face
    assert "NO WAIT" not in face
    assert "YES" not in face
