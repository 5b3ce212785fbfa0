"""What every HTML page of ours must keep; each rule is fed a bad page in test_report.py."""

import base64
import hashlib
import os
import re
import subprocess
import sys

from bs4 import BeautifulSoup

ADDRESSES = ("src", "href", "srcset", "action", "data", "poster", "formaction", "xlink:href")
TEX = re.compile(r"\$\$|\\(?:begin|end|frac|text|left|right|times|le|ge|max|min)\b|\\[a-z]+\{")
NO_ALT = "No description has been provided"
FORBIDDEN_CODE = re.compile(
    r"fetch|XMLHttp|WebSocket|EventSource|Beacon|import|eval|Function|https?:|setTimeout|"
    r"setInterval|requestAnimationFrame|animate|innerHTML|Math| [-+*/%] |\*\*"
)
SHORTEST_ALT = 20  # letters; less cannot say what a figure shows


def in_another_process(plan, folder, name):
    """A notebook's page as another process writes it, from another folder and with another hash."""
    out = folder / "again.html"
    code = (
        "import sys; from pathlib import Path; from formpressure.report.export import write_report;"
        "write_report(sys.argv[1], Path(sys.argv[2]), name=sys.argv[3])"
    )
    subprocess.run(
        [sys.executable, "-W", "error", "-c", code, str(plan), str(out), name],
        check=True, cwd=folder, env={**os.environ, "PYTHONHASHSEED": "3"},
    )  # fmt: skip
    return out.read_text("utf-8")


def audit(html, script=False):
    """Everything that is wrong with a page, in words; `script`: the lesson's one may be there."""
    page = BeautifulSoup(html, "html.parser")
    rules = [one_still_script if script and rule is no_script else rule for rule in RULES]
    return [complaint for rule in rules for complaint in rule(page)]


def no_outside_address(page):
    for tag in page.find_all(True):
        for name in ADDRESSES:
            value = str(tag.get(name, "")).strip()
            if value and not value.startswith(("data:", "#")):
                yield f"{tag.name} {name} asks for {value[:40]}"
    styles = [s.get_text() for s in page.find_all("style")]
    styles += [t["style"] for t in page.find_all(style=True)]
    for style in styles:
        for found in re.findall(r"url\(\s*['\"]?([^)]{0,30})", style):
            if not found.startswith("data:"):
                yield f"a style asks for {found}"
        if "@import" in style:
            yield "a style imports another"


def no_script(page):
    for tag in page.find_all(True):
        if tag.name in ("script", "iframe", "object", "embed"):
            yield f"a {tag.name}"
        for name, value in tag.attrs.items():
            if name.startswith("on") or "javascript:" in str(value):
                yield f"{tag.name} {name} runs a script"


def one_still_script(page):
    """One inline script, let run by its own digest, that asks nothing, counts nothing and moves
    nothing by itself; everything else as without a script."""
    scripts = page.find_all("script")
    if len(scripts) != 1:
        yield f"{len(scripts)} scripts"
    policy = page.find("meta", attrs={"http-equiv": "Content-Security-Policy"})
    allowed = str(policy["content"]) if policy else ""
    for script in scripts:
        code = script.extract().get_text()
        digest = base64.b64encode(hashlib.sha256(code.encode()).digest()).decode("ascii")
        if f"script-src 'sha256-{digest}'" not in allowed:
            yield "a script that the page does not let run"
        if script.attrs:
            yield f"a script with {', '.join(script.attrs)}"
        code = re.sub(r"//.*", "", code)
        if found := FORBIDDEN_CODE.search(code):
            yield f"a script with {found[0]!r}"
    yield from no_script(page)


def no_raw_tex(page):
    for text in page.find_all(string=True):
        shown = text.find_parent(("code", "pre", "style", "head")) is None
        if shown and (found := TEX.search(text)):
            yield f"raw TeX: {found[0]}"


def every_picture_says_what_it_shows(page):
    for image in page.find_all(["img", "svg"]):
        alt = str(image.get("aria-label" if image.name == "svg" else "alt", ""))
        if len(alt.strip()) < SHORTEST_ALT or alt.startswith(NO_ALT):
            yield f"a picture whose text is {alt!r}"


def headings_in_order(page):
    levels = [int(h.name[1]) for h in page.find_all(re.compile(r"^h[1-6]$"))]
    if levels.count(1) != 1:
        yield f"{levels.count(1)} headings of the first level"
    for above, below in zip([0, *levels], levels, strict=False):
        if below > above + 1:
            yield f"a heading of level {below} after one of level {above}"


def ids_once(page):
    ids = [tag["id"] for tag in page.find_all(id=True)]
    yield from (f"id {name} twice" for name in sorted({i for i in ids if ids.count(i) > 1}))


def language_told(page):
    if not page.html or not page.html.get("lang"):
        yield "no language"


def every_table_is_named(page):
    for table in page.find_all("table"):
        caption = table.find("caption")
        named = caption.get_text(strip=True) if caption else table.get("aria-label")
        if not named:
            yield "a table without caption or label"


def no_error_shown(page):
    text = page.get_text()
    for sign in ("Traceback (most recent call last)", "Error:", "Warning:"):
        if sign in text:
            yield f"an error on the page: {sign}"
    if page.find(attrs={"data-mime-type": re.compile("stderr")}):
        yield "an error stream on the page"


RULES = (
    no_outside_address, no_script, no_raw_tex, every_picture_says_what_it_shows, headings_in_order,
    ids_once, language_told, every_table_is_named, no_error_shown,
)  # fmt: skip
