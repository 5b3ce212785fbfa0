"""The command `log` and its report: the verdict first, nothing from outside, the same twice."""

import json
import os
from pathlib import Path

import jsonschema
import pytest
from audit import audit
from bs4 import BeautifulSoup
from plans import complete
from test_cli import run

from formpressure import check, load_plan, read_plan
from formpressure.cli import main
from formpressure.job.pour_log import HEADER, load_log, read_log
from formpressure.progress import follow
from formpressure.report.log_data import log_json
from formpressure.report.log_report import log_html
from formpressure.report.log_text import log_text
from formpressure.report.tables import schema

ROOT = Path(__file__).resolve().parents[1]
PLAN, LOG = ROOT / "shared/plans/two_runs_9ft.toml", ROOT / "shared/logs/two_runs_9ft.csv"
NASTY = "<b>$x$</b> *a* `c` $$y$$ & </style>"
BEGIN = "8:00,1,,0 ft,60 F,5 in,start"


def progress_of(*lines, plan=None, half=""):
    content = "".join(f"{x}\n" for x in (HEADER, *lines)) + half
    return follow(check(read_plan(plan or complete("4200 lb"))), read_log(content.encode()))


@pytest.fixture(scope="module")
def demo():
    return follow(check(load_plan(PLAN)), load_log(LOG))


def shown(html):
    return " ".join(BeautifulSoup(html, "html.parser").get_text(" ").split())


def test_the_report_of_the_demo(demo):
    html = log_html(demo)
    assert html == log_html(follow(check(load_plan(PLAN)), load_log(LOG)))
    assert audit(html) == []
    text = shown(html)
    assert text.index("VERDICT: NOT CHECKED") < text.index("NOW 11:38 ON PLAN")
    for told in (
        "21 min", "near miss: hose whipped", "Coldest concrete so far 56 °F", "STOP",
        "earlier than one before it", demo.log.checksum, demo.verdict.plan.checksum,
        "A calculation, not a design", "worst instant", "Not a permit to pour",
    ):  # fmt: skip
        assert told in text
    pictures = BeautifulSoup(html, "html.parser").find_all("img")
    assert len(pictures) == 3  # two runs, and the greatest rise
    assert "9 ft" in pictures[0]["alt"]


def test_an_alarm_and_a_half_line_are_on_the_page():
    found = progress_of(BEGIN, "8:05,,,1 ft,,,bulge", half="8:10,,,2")
    html = log_html(found)
    assert audit(html) == []
    assert "STOP" in shown(html)
    assert "half-written" in shown(html)
    assert 'class="verdict no"' in html


@pytest.mark.parametrize(
    "lines", [(), ("8:00,,,,,,walked",), (BEGIN,), (BEGIN.replace(",start", ""),)]
)
def test_a_short_log_has_a_page_too(lines):
    found = progress_of(*lines)
    assert audit(log_html(found)) == []
    assert "NOW" in log_text(found)
    jsonschema.validate(log_json(found), schema())


def test_what_the_crew_wrote_is_text_on_the_page():
    found = progress_of(BEGIN, f'8:05,{NASTY[:20]},{NASTY[:20]},1 ft,,,"{NASTY}"', f"8:06,{NASTY}",
                        plan=f"title = '''{NASTY}'''\n" + complete("4200 lb"))  # fmt: skip
    html = log_html(found)
    assert audit(html) == []
    page = BeautifulSoup(html, "html.parser")
    assert page.find_all("b") == []
    assert NASTY in shown(html)


def test_json_keeps_to_the_schema(demo):
    data = log_json(demo)
    jsonschema.validate(data, schema())
    assert data["now"]["state"] == "ON PLAN"
    assert data["lines"][1]["time"] == "8:00"
    assert data["trucks"][1] == {
        "name": "2", "planned": "9:00", "started": "9:21", "sent_back": False,
        "temperature": {"value": pytest.approx(60.0), "unit": "F"},
        "slump": {"value": pytest.approx(5.0), "unit": "in"},
    }  # fmt: skip


def test_the_command(tmp_path):
    done = run("log", PLAN, LOG, "--now", "11:40", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.index("VERDICT: NOT CHECKED") < done.stdout.index("NOW 11:40: ON PLAN")


def command(capsys, *arguments):
    """Exit status, output and error of the command `log`, in this process."""
    status = main(["log", *map(str, arguments)])
    return (status, *capsys.readouterr())


def test_report_and_json_in_one(tmp_path, capsys):
    page = tmp_path / "day.html"
    status, out, _ = command(capsys, PLAN, LOG, "--report", page, "--json")
    assert (status, json.loads(out)["now"]["time"]) == (0, "11:38")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")


def test_the_command_adds_a_line_and_looks_at_the_clock(tmp_path, capsys):
    plan, log = tmp_path / "wall.toml", tmp_path / "day.csv"
    plan.write_text(complete("4200 lb"), encoding="utf-8")
    status, out, _ = command(capsys, plan, log, "--add", BEGIN, "--now", "8:00")
    assert status == 0
    assert "NOW 8:00: ON PLAN" in out
    assert f"Added: line 2 of {log}" in out
    before = log.read_bytes()
    status, out, error = command(capsys, plan, log, "--add", "8:10,,,3", "--now", "8:10")
    assert (status, out) == (2, "")
    assert error.startswith(f"{log}: level")
    assert "Add the unit" in error
    assert log.read_bytes() == before
    os.utime(log, (0, 0))  # last written long ago, whatever the clock says
    _, out, _ = command(capsys, plan, log)
    assert ": NOT KNOWN. wall was last read" in out


def test_refusals_of_the_command(tmp_path, capsys):
    cases = {
        "time of day": (PLAN, LOG, "--now", "noon"),
        "cannot be opened": (PLAN, tmp_path / "none.csv"),
        "is not TOML": (LOG, LOG),
        "is not a pour log": (PLAN, PLAN),
    }
    for told, arguments in cases.items():
        status, out, error = command(capsys, *arguments)
        assert (status, out) == (2, "")
        assert told in error
        assert error.count("\n") == 1
