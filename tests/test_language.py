"""A second language lacks no string, tells no English, and says both regional words."""

import re
import string
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL, complete

from formpressure import check, load_plan, read_plan
from formpressure.keys import ASSUMED
from formpressure.plan import walk_keys
from formpressure.report.card import card_html
from formpressure.report.words import LANGUAGES, feet_and_inches, words

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
CARD = ("word", "unit", "check", "card", "ways", "walk", "trouble", "caution")  # what the card says
OTHERS = [name for name in LANGUAGES if name != "en"]
# Site words that differ by region; in Spanish both must stand.
PAIRS = (
    (r"moños?", r"tirantes?"), ("concreto", "hormigón"), (r"colad?[or]", r"vacia[dr]o?"),
    (r"revenimiento", "asentamiento"), (r"\bgis\b", "tiza"), (r"tapones", "tapes"),
    (r"huecos", "vanos|marcos"), ("retardante", "retardador"), ("descimbrar", "desencofrar"),
    ("cimbra\\b", "encofrado"), ("cuña", "chaveta"), (r"pared\b", "muro"),
)  # fmt: skip
SAME = {"no", "NO", "min", "{minutes} min", "°F", "°C", "m³", "base", ""}  # the same in both


def fields(text):
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def complaints(ours, english):
    """What a section of a second language lacks, or has too much."""
    bad = [f"{key} is missing" for key in english.keys() - ours.keys()]
    bad += [f"{key} is not in English" for key in ours.keys() - english.keys()]
    for key in english.keys() & ours.keys():
        if fields(ours[key]) != fields(english[key]):
            bad.append(f"{key} fills in {fields(ours[key])}, not {fields(english[key])}")
        if ours[key] == english[key] and ours[key] not in SAME:
            bad.append(f"{key} is still English")
    return bad


@pytest.mark.parametrize("language", OTHERS)
def test_no_string_is_missing(language):
    """Every section that the second language has is whole, and the card's are all there."""
    ours, english = words(language), words("en")
    assert set(CARD) <= ours.keys()
    told = {name: complaints(ours[name], english[name]) for name in ours if name != "assumed"}
    assert {name: bad for name, bad in told.items() if bad} == {}
    blanks = {meta["blank"] for _, meta in walk_keys() if meta["need"] is ASSUMED}
    assert ours["assumed"].keys() == blanks


def test_a_gap_is_noticed():
    english = {"a": "in {minutes} min", "b": "a wall of some length"}
    assert complaints({"a": "en {minutes} min"}, english) == ["b is missing"]
    assert complaints({"a": "en min", "b": "x"}, english)[0].startswith("a fills in")
    assert complaints({**english, "a": "en {minutes}"}, english) == ["b is still English"]


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_both_regional_words_stand(one, other):
    texts = [text for name in CARD for text in words("es")[name].values()]
    having = [text for text in texts if re.search(one, text, re.I)]
    assert having
    assert [text for text in having if not re.search(other, text, re.I)] == []


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_the_spanish_card_tells_no_english(path):
    html = card_html(check(load_plan(path)), "es")
    shown = BeautifulSoup(html, "html.parser")
    assert shown.html["lang"] == "es"
    text = " ".join(shown.get_text(" ").split())
    english = [
        part.strip()
        for name in (*CARD, "note")
        for sentence in words("en")[name].values()
        for part in re.split(r"{[^}]*}", sentence)
        if len(part.split()) > 2
    ]
    assert english
    assert [part for part in english if part in text] == []
    line = shown.find(class_="read").get_text()
    assert "bilingüe" in line
    assert "bilingual foreman" in line
    assert shown.find(class_="read").find_next("strong").get_text().split(" / ")[0] in (
        "GO", "NO-GO", "NOT CHECKED",
    )  # fmt: skip


def test_the_english_card_needs_no_such_line():
    assert "bilingual" not in card_html(check(read_plan(SMALL)))


@pytest.mark.parametrize("plan", [SMALL, SMALL + CONCRETE, complete(), complete(method="bucket")])
def test_spanish_of_plans_with_little_and_with_much(plan):
    assert '<html lang="es">' in card_html(check(read_plan(plan)), "es")


def test_feet_in_spanish():
    assert feet_and_inches(1.0, "es") == "1 pie"
    assert feet_and_inches(8.5, "es") == "8 pies 6 pulg"
