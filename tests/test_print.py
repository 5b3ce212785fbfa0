"""The card on paper, through an installed browser: front on one page, back on the next."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from plans import complete

from formpressure import check, load_plan, read_plan
from formpressure.report.card import card_html

BROWSER = next((b for b in ("chromium", "google-chrome", "chrome") if shutil.which(b)), None)
PLANS = Path(__file__).resolve().parents[1] / "shared" / "plans"
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(BROWSER is None, reason="no Chromium-type browser is installed"),
]
# The longest front: half marks all the way up, and the longer language.
TALL = complete(
    "6000 lb", rate=("[delivery]\n", '[delivery]\nfastest_rise = "2 ft/h"\ntruck = "10 yd"\n'),
    height=('"8 ft"', '"18 ft"'), hot=('"60 F"', '"90 F"'),
    rows=('"7 ft"]', '"7 ft", "9 ft", "11 ft", "13 ft", "15 ft", "17 ft"]'),
    title=("units", f"title = \"{'A long name of a wall. ' * 4}\"\nunits"),
)  # fmt: skip


def cards():
    yield pytest.param(load_plan(PLANS / "basement_9ft.toml"), "en", id="basement")
    yield pytest.param(load_plan(PLANS / "basement_9ft.toml"), "es", id="basement es")
    yield pytest.param(load_plan(PLANS / "garage_L_12in.toml"), "es", id="layout es")
    yield pytest.param(load_plan(PLANS / "retaining_wall_3m6.toml"), "en", id="A4")
    yield pytest.param(read_plan(TALL), "en", id="tall")


def printed(page, folder):
    """How many pages of paper, and their width."""
    source, paper = folder / "card.html", folder / "card.pdf"
    source.write_text(page, encoding="utf-8")
    subprocess.run(
        [BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", f"--user-data-dir={folder / 'profile'}",
         "--no-pdf-header-footer", f"--print-to-pdf={paper}", source.as_uri()],
        check=True, capture_output=True, timeout=60,
    )  # fmt: skip
    made = paper.read_bytes()
    width = re.search(rb"/MediaBox \[0 0 ([\d.]+)", made)
    return len(re.findall(rb"/Type /Page\b(?!s)", made)), round(float(width[1]))


@pytest.mark.parametrize(("plan", "language"), list(cards()))
def test_card_prints_on_two_pages(tmp_path, plan, language):
    width = {"US": 612, "SI": 595}[plan.units]  # letter and A4, points
    assert printed(card_html(check(plan), language), tmp_path) == (2, width)


def test_the_break_falls_between_front_and_back(tmp_path):
    """Each half by itself is one page, so that neither runs over into the other."""
    page = card_html(check(read_plan(TALL)), "es")
    front, rest = page.split('<div class="back">')
    assert printed(front + "</main></body></html>", tmp_path) == (1, 612)
    top = page.split('<div class="front">')[0]
    assert printed(f'{top}<div class="back">{rest}', tmp_path) == (1, 612)
