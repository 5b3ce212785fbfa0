"""What the report says of margins, input spread, research model and measurements."""

import re
from pathlib import Path

import pytest
from audit import audit
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL, complete

from formpressure import check, input_spread, load_plan, read_plan
from formpressure.beside import GROWTHS, beside_measured, beside_plan
from formpressure.report import blocks_research, blocks_spread, export, figures_research
from formpressure.report.blocks_spread import percent
from formpressure.research.ovarlez_roussel_2006 import ovarlez_roussel

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "shared" / "plans" / "stem_wall_10ft.toml"
SPREAD = '[spread]\ntemperature = "3 F"\n'
RATED = SMALL + CONCRETE + '[delivery]\nfastest_rise = "3 ft/h"\n'


@pytest.fixture(scope="module")
def page():
    return export.notebook_report(DEMO, name="how_close.ipynb")


@pytest.fixture(scope="module")
def found():
    return input_spread(load_plan(DEMO), samples=30_000)


def test_page_passes_the_audit_and_is_the_same_twice(page):
    assert audit(page) == []
    assert export.notebook_report(DEMO, name="how_close.ipynb") == page


def test_margins_stand_before_anything_drawn_and_the_words_are_there(page):
    text = " ".join(BeautifulSoup(page, "html.parser").get_text(" ").split())
    places = [
        text.index(words)
        for words in (
            "Exact margins", "What varies", "Input spread only, not a probability of failure",
            "seed 1, PCG64", "Research comparison, never a verdict",
            "from memory", "Too few to validate any model", "MP-12",
        )
    ]  # fmt: skip
    assert places == sorted(places)
    assert "safe" not in text.casefold().split()
    assert len(re.findall(r"probability", text)) == len(re.findall(r"not a probability", text))


def test_counts_are_told_with_seed_interval_and_what_is_fixed(found):
    text = blocks_spread.sampled(found).plain
    for count in (found.within, found.over, found.outside, found.samples):
        assert f"{count:,}" in text
    assert "seed 1, PCG64" in text
    assert percent(found.interval[0], "down") in text
    assert percent(found.interval[1], "up") in text
    assert "none is held fixed" in blocks_spread.spreads(found).plain
    one = input_spread(read_plan(RATED + SPREAD), samples=1000)
    assert "Not varied" in blocks_spread.spreads(one).plain
    assert "fastest rise, unit weight, slump" in blocks_spread.spreads(one).plain


def margins_of(found):
    return blocks_spread.margins(found.verdict, found.margins).plain


def test_a_plan_without_margins_says_why():
    strong = complete() + SPREAD
    assert "full liquid head" in margins_of(input_spread(read_plan(strong)))
    text = SMALL + CONCRETE + SPREAD
    assert "no rate" in margins_of(input_spread(read_plan(text)))


def test_a_plan_without_a_spread_still_has_its_margins():
    found = input_spread(read_plan(RATED))
    assert "ft/h faster" in margins_of(found)
    assert "no [spread] table" in blocks_spread.spreads(found).plain
    assert "nothing was drawn" in blocks_spread.sampled(found).plain
    assert "nothing to draw" in figures_research.peaks(found).plain


@pytest.mark.parametrize(
    ("share", "down", "up"),
    [
        (0.0, "0 %", "0 %"), (1.0, "100 %", "100 %"), (0.00401, "0.40 %", "0.41 %"),
        (0.99799, "99.79 %", "99.80 %"), (0.123, "12 %", "13 %"), (1e-6, "0.00010 %", "0.00010 %"),
    ],
)  # fmt: skip
def test_shares_are_never_rounded_to_nothing_or_to_all(share, down, up):
    assert (percent(share, "down"), percent(share, "up")) == (down, up)


def test_pictures_say_what_they_show(found):
    assert "19 of 20" in figures_research.peaks(found).plain
    assert "1,000 psf" in figures_research.peaks(found).plain
    assert figures_research.peaks(found) == figures_research.peaks(found)
    assert "never a verdict" in figures_research.model(found.verdict).plain
    assert "too few to validate any" in figures_research.measured().plain


def test_the_model_is_that_of_the_plan():
    verdict = check(load_plan(DEMO))
    beside = beside_plan(verdict)
    for growth, curve in zip(GROWTHS, beside.curves, strict=True):
        alone = ovarlez_roussel(height="10 ft", thickness="12 in", rate="5 ft/h",
                                unit_weight="150 pcf", growth=f"{growth} Pa/s")  # fmt: skip
        assert curve.max() == pytest.approx(alone.peak.m_as("lbf/ft**2"), rel=1e-9)
        assert (curve <= beside.full * (1.0 + 1e-9)).all()
    without = check(read_plan(RATED))
    assert beside_plan(without) is None
    for block in (blocks_research.model(without), figures_research.model(without)):
        assert "nothing to work with" in block.plain


def test_the_two_measured_pressures_beside_the_models():
    """28 ft of 145 pcf is 28.2 psi; the second text gives its own liquid head, and no inputs."""
    first, second = beside_measured()
    assert first.share == pytest.approx(5.5 / (28.0 * 145.0 / 144.0))
    assert second.share == pytest.approx(0.35)
    assert second.by_model is None
    assert first.by_document == pytest.approx(1.0)
    assert len(first.by_model) == len(GROWTHS)
    assert list(first.by_model) == sorted(first.by_model, reverse=True)
