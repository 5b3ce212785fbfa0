"""The card: self-contained, without script, the same bytes twice, whole or not there."""

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, read_plan
from formpressure.errors import Refusal
from formpressure.records import CHECKS, Status
from formpressure.report.card import card_html
from formpressure.report.content import content
from formpressure.report.files import write_whole
from formpressure.report.text import text
from formpressure.report.words import feet_and_inches, words

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))


def card(plan_text):
    return card_html(check(read_plan(plan_text)))


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
            "NOT CHECKED", say["card"]["fill"], say["card"]["how_fast"], ">STOP<",
            say["card"]["cautions"],
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


def test_go_asks_for_signatures_and_others_do_not():
    assert content(check(read_plan(complete()))).sign
    assert not content(check(read_plan(SMALL))).sign


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
            ROOT / "formpressure" / "verdict.py",
            *(ROOT / "formpressure").glob("checks/*.py"),
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
