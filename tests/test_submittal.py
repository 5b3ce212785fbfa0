"""The submittal: what is open, members, margins, drawing note, review, and the same as PDF."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, rates, read_plan
from formpressure.checks import bracing, members
from formpressure.errors import Refusal
from formpressure.report import blocks, blocks_submittal, pdf
from formpressure.report.content import content
from formpressure.report.export import notebook_report

ROOT = Path(__file__).resolve().parents[1]
PLANS = ROOT / "shared" / "plans"
JOB_BUILT = check(load_plan(PLANS / "job_built_10ft.toml"))
MEASURED = '[[measured]]\nkeys = ["concrete.temperature"]\nwho = "the lab"\ndate = 2026-05-04\n'


def verdict(text):
    return check(read_plan(text))


def test_what_is_open_stands_first_with_its_key():
    text = str(blocks_submittal.not_checked(verdict(SMALL + CONCRETE)))
    assert "- bracing: not stated in the plan [form.bracing]" in text
    assert "what really stands on site" in text
    whole = str(blocks_submittal.not_checked(verdict(complete())))
    assert "- bracing: not looked at here, checked by A. Engineer" in whole


def test_a_plan_without_an_open_check_says_so():
    done = load_plan(PLANS / "garage_8ft_complete.toml")
    text = str(blocks_submittal.not_checked(check(done)))
    assert ("Every check of the list was made" in text) == (not done.by_others)


def test_every_member_stands_by_itself_and_the_worst_is_the_check():
    parts = members.parts(JOB_BUILT.case, JOB_BUILT.envelope)
    names = [p.name for p in parts]
    assert len(names) == len(set(names))
    assert {n.split(",")[0] for n in names} == {"sheathing", "stud", "wale", "stud on wale"}
    assert max(p.ratio for p in parts) == JOB_BUILT["panels"].ratio
    text = str(blocks_submittal.member_table(JOB_BUILT))
    assert all(name in text for name in names)


def test_braces_stand_in_the_same_table():
    braced = check(load_plan(PLANS / "garage_8ft_complete.toml"))
    path = bracing.path(braced.case)
    assert {p.note for p in path} >= {"brace_compression", "brace_anchor", "top_wale_bending"}
    assert max(p.ratio for p in path) == braced["bracing"].ratio
    assert "brace, pushed, under" in str(blocks_submittal.member_table(braced))


def test_rated_panels_have_no_members():
    assert "no members" in str(blocks_submittal.member_table(verdict(SMALL)))


def test_drawing_note_holds_the_limits():
    slow = verdict(SMALL + CONCRETE + '[delivery]\nfastest_rise = "3 ft/h"\n')
    text = str(blocks_submittal.drawing_note(slow, rates(slow.plan)))
    for part in (
        "3 ft/h", "NOT LESS THAN 60 °F", "cement I", "SLUMP NOT OVER 5 in", "internal",
        "NOT DEEPER THAN 3 ft", "HEIGHT OF ONE PLACEMENT 8 ft", "3,000 lb", "2:1",
    ):  # fmt: skip
        assert part in text, part
    rows = re.findall(r"^(\d+) °F  ", text, re.M)
    assert rows == ["50", "55", "60", "65", "70"]


def test_drawing_note_where_no_number_limits_the_rate():
    full = verdict(complete())
    assert "FULL LIQUID HEAD, SO ANY RATE" in str(
        blocks_submittal.drawing_note(full, rates(full.plan))
    )
    none = verdict(SMALL)
    assert "NO RATE OF PLACEMENT" in str(blocks_submittal.drawing_note(none, rates(none.plan)))


@pytest.mark.parametrize(("planned", "first"), [("40 F", "40"), ("100 F", "80")])
def test_five_rows_also_at_the_ends_of_the_table(planned, first):
    found = verdict(SMALL + CONCRETE.replace("60 F", planned))
    text = str(blocks_submittal.drawing_note(found, rates(found.plan)))
    rows = re.findall(r"^(\d+) °F  ", text, re.M)
    assert len(rows) == 5
    assert rows[0] == first


def test_sheets_named_and_not_named():
    text = str(blocks_submittal.sheets(verdict(complete())))
    assert text == "- ties: sheet T\n- form panels: sheet P"
    assert "- ties: no data sheet named" in str(blocks_submittal.sheets(verdict(SMALL)))


def test_measured_values_say_who_and_when():
    text = str(blocks.inputs(verdict(SMALL + CONCRETE + MEASURED)))
    assert re.search(r"concrete temperature\s+measured by the lab, 2026-05-04\s+60 °F", text)
    assert re.search(r"concrete slump\s+given\s+5 in", text)


@pytest.mark.parametrize("name", ["concrete.weather", "concrete.unit_weight", "concrete", "file.x"])
def test_measured_must_name_a_value_of_the_plan(name):
    with pytest.raises(Refusal, match=r"measured.keys = .* no value of this plan"):
        read_plan(SMALL + CONCRETE + MEASURED.replace("concrete.temperature", name))


def test_review_block_claims_nothing():
    block = blocks_submittal.review()
    assert "nobody has reviewed this" in str(block)
    assert block.html.count('class="fill"></span>') == len(blocks_submittal.BLANK_LINES)


def test_one_row_of_ties_still_makes_a_submittal():
    text = str(blocks_submittal.missing(verdict(SMALL.replace('"1 ft", "3 ft", "5 ft", "7 ft"',
                                                              '"3 ft"'))))  # fmt: skip
    assert "two heights or more" in text
    assert "Traceback" not in text


# ------------------------------------------------------------------ PDF


def test_no_browser_is_told_with_its_cure(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(pdf.VARIABLE, raising=False)
    monkeypatch.setattr(pdf, "FOLDERS", ())
    with pytest.raises(Refusal, match=r"PDF: no browser found .* Open the HTML"):
        pdf.pdf("<p>x</p>")


@pytest.mark.skipif(os.name != "posix", reason="a shell script stands in for the browser")
@pytest.mark.parametrize("script", ["exit 3", "exit 0"])
def test_a_browser_that_prints_nothing_is_told(monkeypatch, tmp_path, script):
    browser = tmp_path / "browser"
    browser.write_text(f"#!/bin/sh\n{script}\n")
    browser.chmod(0o755)
    monkeypatch.setenv(pdf.VARIABLE, str(browser))
    with pytest.raises(Refusal, match="did not print the page"):
        pdf.pdf("<p>x</p>")


@pytest.mark.browser
@pytest.mark.skipif(
    not any(map(shutil.which, pdf.NAMES)) or shutil.which("pdfinfo") is None,
    reason="no Chromium or no pdfinfo here: the PDF was not looked at",
)
def test_pdf_is_tagged_titled_and_of_its_paper(tmp_path):
    page = notebook_report(PLANS / "basement_9ft.toml", paper="A4")
    target = tmp_path / "x.pdf"
    target.write_bytes(pdf.pdf(page))
    told = subprocess.run(["pdfinfo", target], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Tagged:\s+yes", told)
    assert re.search(r"Title:\s+Submittal: ", told)
    assert re.search(r"Page size:\s+59[45]\.?\d* x 84[12]\.?\d* pts \(A4\)", told)
    assert b"/Outlines" in target.read_bytes()


def test_no_row_of_the_drawing_note_passes_the_limit_above_it():
    """5 ft/h would pass at 70 F, but the plan was judged at 2 ft/h and says so."""
    slow = verdict(SMALL + CONCRETE + '[delivery]\nfastest_rise = "2 ft/h"\n')
    text = str(blocks_submittal.drawing_note(slow, rates(slow.plan)))
    assert "MAXIMUM RATE OF PLACEMENT 2 ft/h" in text
    assert set(re.findall(r"°F +([\d.]+) ft/h", text)) == {"2"}


def test_the_drawing_note_asks_for_the_ties_that_the_card_asks_for():
    """A row above the concrete, and nobody checked the overhang: no clip may stay empty."""
    low = verdict(
        SMALL.replace('"8 ft"', '"6 ft"\nform_height = "8 ft"\noverfilling_prevented = true')
        + CONCRETE
    )
    text = str(blocks_submittal.drawing_note(low, rates(low.plan)))
    assert content(low).facts[-1] in text
    assert "also above the concrete" in text
    assert "BELOW THE TOP" not in text
