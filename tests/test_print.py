"""The card on paper, through an installed browser: one page."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from formpressure import check, load_plan
from formpressure.report.card import card_html

BROWSER = next((b for b in ("chromium", "google-chrome", "chrome") if shutil.which(b)), None)
PLANS = sorted((Path(__file__).resolve().parents[1] / "shared" / "plans").glob("*.toml"))


@pytest.mark.browser
@pytest.mark.skipif(BROWSER is None, reason="no Chromium-type browser is installed")
@pytest.mark.parametrize("path", PLANS, ids=lambda p: p.stem)
def test_card_prints_on_one_page(tmp_path, path):
    page, paper = tmp_path / "card.html", tmp_path / "card.pdf"
    page.write_text(card_html(check(load_plan(path))), encoding="utf-8")
    subprocess.run(
        [BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", f"--user-data-dir={tmp_path / 'profile'}",
         "--no-pdf-header-footer", f"--print-to-pdf={paper}", page.as_uri()],
        check=True, capture_output=True, timeout=60,
    )  # fmt: skip
    assert len(re.findall(rb"/Type /Page\b(?!s)", paper.read_bytes())) == 1
