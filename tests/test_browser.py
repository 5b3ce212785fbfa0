"""Pages as a browser lays them out on a phone. Skipped, with a word, where there is no Chromium."""

import html
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from formpressure import check, follow, load_log, load_plan
from formpressure.report.card import card_html
from formpressure.report.export import notebook_report
from formpressure.report.log_report import log_html
from formpressure.report.page_layout import layout_html
from formpressure.tie_schedule import tie_schedule

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "shared" / "plans" / "basement_9ft.toml"
LAID_OUT = DEMO.with_name("garage_L_12in.toml")
LOG = "logs/two_runs_9ft.csv"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
CHROMIUM = next(filter(None, map(shutil.which, NAMES)), None)
PHONES = (360, 320)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        CHROMIUM is None, reason="no Chromium here: layout on a phone not looked at"
    ),
]

# A frame as wide as a phone; what it measures is written into the title.
PROBE = """<!DOCTYPE html><title></title><iframe id="f" style="width:%dpx;height:800px;border:0"
srcdoc="%s"></iframe><script>
const frame = document.getElementById("f");
frame.onload = () => {
  const page = frame.contentDocument, root = page.documentElement;
  const boxes = [...page.body.querySelectorAll("*")].filter(e => !e.closest(".wide, .m"));
  const maths = [...page.querySelectorAll("math")];
  const tall = e => e.getBoundingClientRect().height;
  const name = e => e.tagName + "." + e.className;
  document.title = JSON.stringify({
    page: [root.clientWidth, root.scrollWidth],
    wide: boxes.filter(e => e.getBoundingClientRect().right > %d + 0.5).map(name),
    flat: maths.filter(e => tall(e) < 8).length,
    math: maths.length,
    plain: [...page.querySelectorAll(".mp")].filter(e => tall(e) > 0).length,
    letters: Math.min(99, ...[...page.querySelectorAll("svg text")].map(tall)),
    outside: [...page.querySelectorAll("svg text")].filter(e => {
      const b = e.getBoundingClientRect(), s = e.ownerSVGElement.getBoundingClientRect();
      return b.left < s.left - 0.5 || b.right > s.right + 0.5 || b.top < s.top - 0.5;
    }).length,
    asked: frame.contentWindow.performance.getEntriesByType("resource").map(e => e.name)
      .filter(n => !n.startsWith("data:")),
  });
};
</script>"""


def measured(page, folder, width=360):
    """What a phone-wide frame with this page measures."""
    probe = folder / "probe.html"
    probe.write_text(PROBE % (width, html.escape(page), width), encoding="utf-8")
    command = [
        CHROMIUM, "--headless", "--hide-scrollbars", "--disable-gpu", "--no-first-run",
        "--disable-sync", "--disable-background-networking", "--disable-component-update",
        f"--user-data-dir={folder / 'profile'}", "--window-size=800,900",
        "--virtual-time-budget=5000", "--dump-dom", probe.as_uri(),
    ]  # fmt: skip
    if getattr(os, "geteuid", lambda: 1)() == 0:
        command.insert(1, "--no-sandbox")  # root in a container has no other way
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    return json.loads(html.unescape(re.search(r"<title>(.*?)</title>", done.stdout, re.S)[1]))


def fits_a_phone(page, folder, width):
    """That nothing is wider than the frame and nothing is asked for; and what it measures."""
    found = measured(page, folder, width)
    assert found["page"] == [width, width]
    assert found["wide"] == []
    assert found["asked"] == []
    return found


@pytest.fixture(scope="module")
def worked():
    return notebook_report(DEMO)


@pytest.mark.parametrize("width", PHONES)
def test_notebook_report_fits_a_phone_and_asks_for_nothing(worked, tmp_path, width):
    found = fits_a_phone(worked, tmp_path, width)
    assert found["math"] >= 9
    assert found["flat"] == 0
    assert found["plain"] == 0  # equations are drawn, so their plain lines are hidden


@pytest.mark.parametrize("width", PHONES)
def test_log_report_fits_a_phone_and_asks_for_nothing(tmp_path, width):
    plan, log = (ROOT / "shared" / name for name in ("plans/two_runs_9ft.toml", LOG))
    fits_a_phone(log_html(follow(check(load_plan(plan)), load_log(log))), tmp_path, width)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("width", PHONES)
def test_card_fits_a_phone_and_asks_for_nothing(tmp_path, width, language):
    found = fits_a_phone(card_html(check(load_plan(DEMO)), language), tmp_path, width)
    assert found["letters"] >= 10.0  # of the elevation, in pixels
    assert found["outside"] == 0


@pytest.mark.parametrize("width", PHONES)
def test_a_wall_with_a_layout_fits_a_phone_on_card_and_page(tmp_path, width):
    schedule = tie_schedule(check(load_plan(LAID_OUT)))
    for page in (card_html(schedule.verdict, "es"), layout_html(schedule)):
        found = fits_a_phone(page, tmp_path, width)
        assert found["letters"] >= 10.0
        assert found["outside"] == 0


def test_a_bad_page_is_noticed(tmp_path):
    bad = (
        '<body><p style="width:500px">x</p><img src="http://127.0.0.1:9/x.png">'
        '<math style="display:none"><mi>p</mi></math></body>'
    )
    found = measured(bad, tmp_path)
    assert found["page"][1] > found["page"][0]
    assert found["wide"]
    assert found["flat"] == 1
    assert found["asked"] == ["http://127.0.0.1:9/x.png"]
