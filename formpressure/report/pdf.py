"""A report as PDF, printed by a browser that is installed already: tagged, with bookmarks.

Folders of Windows and macOS are from memory and untried.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from formpressure.errors import Refusal

VARIABLE = "FORMPRESSURE_BROWSER"  # the path of a browser that prints without a window
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "msedge")
FOLDERS = (
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
)
PATIENCE = 120  # seconds


def pdf(html: str) -> bytes:
    """The page as PDF. Raises Refusal where no browser is found, or it does not print."""
    browser = find_browser()
    with tempfile.TemporaryDirectory() as folder:
        page, printed = Path(folder) / "page.html", Path(folder) / "page.pdf"
        page.write_text(html, encoding="utf-8")
        command = [
            browser, "--headless", "--disable-gpu", "--no-first-run", "--disable-sync",
            "--disable-background-networking", "--disable-component-update",
            f"--user-data-dir={Path(folder) / 'profile'}", "--no-pdf-header-footer",
            "--generate-pdf-document-outline", f"--print-to-pdf={printed}", page.as_uri(),
        ]  # fmt: skip
        if getattr(os, "geteuid", lambda: 1)() == 0:
            command.insert(1, "--no-sandbox")  # root in a container has no other way
        try:
            subprocess.run(command, capture_output=True, timeout=PATIENCE, check=True)
            return printed.read_bytes()
        except (OSError, subprocess.SubprocessError):
            raise Refusal("did not print the page", OTHERWISE, key=browser) from None


OTHERWISE = "Open the HTML in any browser and print it to PDF there"


def find_browser() -> str:
    """The browser that `VARIABLE` names, else one on the path or in its usual folder."""
    for candidate in _candidates():
        if found := shutil.which(candidate):
            return found
    cure = f"{OTHERWISE}, or name a browser in {VARIABLE}"
    raise Refusal("no browser found that prints", cure, key="PDF")


def _candidates() -> Iterator[str]:
    if named := os.environ.get(VARIABLE):
        yield named
        return
    yield from NAMES
    yield from FOLDERS
