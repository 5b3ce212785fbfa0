"""Tie loads for a reader: one tie by hand, all models, a tie gone, unzipping; and their page."""

import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from audit import audit, in_another_process
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL, complete
from test_browser import CHROMIUM, PHONES, fits_a_phone

from formpressure import check, missing_tie_study, read_plan
from formpressure.demand.explain import LEAST_RISE, by_hand, each_gone, model_loads
from formpressure.demand.frames import BOUNDS
from formpressure.demand.ties import tie_loads
from formpressure.errors import Refusal
from formpressure.report import blocks_ties, export, figures_ties
from formpressure.report.parts import write
from formpressure.report.words import words
from formpressure.statics.missing import Removals
from formpressure.statics.unzip import Unzipping
from formpressure.units import up

ROOT = Path(__file__).resolve().parents[1]
PLANS = ROOT / "shared" / "plans"
DEMO = PLANS / "job_built_10ft.toml"
JOB = DEMO.read_text("utf-8")
ROWS = '["1 ft", "3 ft", "5 ft", "7 ft"]'
ACCEPTED = (
    'spacing = "2 ft"\ncontinuous = { engineer = "A. Engineer", method = "frame", why = "w" }'
)
BLOCKS = (
    blocks_ties.intro, blocks_ties.one_tie, blocks_ties.models, blocks_ties.missing_table,
    blocks_ties.unzip_story,
)  # fmt: skip
FIGURES = (figures_ties.models, figures_ties.missing, figures_ties.unzipping)


def rows(*heights):
    return SMALL.replace(ROWS, "[" + ", ".join(f'"{h} ft"' for h in heights) + "]")


TEXTS = {
    "wall": JOB,
    "wall in SI": JOB.replace('units = "US"', 'units = "SI"'),
    "short wall": JOB.replace('length = "60 ft"', 'length = "7 ft"'),
    "length not known": JOB.replace('length = "60 ft"\n', ""),
    "accepted": JOB.replace('spacing = "2 ft"', ACCEPTED, 1),
    "panels": (PLANS / "basement_9ft.toml").read_text("utf-8"),
    "metric": (PLANS / "retaining_wall_3m6.toml").read_text("utf-8"),
    "ties at 1.5:1": (PLANS / "tall_wall_16ft.toml").read_text("utf-8"),
    "breaking load": complete("8000 lb", basis=("working load at 2:1", "breaking load")),
    "rate not known": SMALL + CONCRETE,
    "two rows": rows(2, 6),
    "never held": rows(0.5, 1),
    "uneven": rows(0.25, 0.5, 4, 7),
    "many weak ties": rows(*np.arange(0.5, 8, 0.5)).replace("3000 lb", "300 lb"),
    "on hardened": complete(
        s=('height = "8 ft"', 'height = "8 ft"\nplaced_from = "2 ft"\nhardened = "3 days"')
    ),
    "uneven lines": SMALL.replace('spacing = "2 ft"', 'joints = ["0 ft", "2 ft", "5 ft"]'),
}


@pytest.fixture(scope="module")
def studies():
    return {name: missing_tie_study(read_plan(text)) for name, text in TEXTS.items()}


@pytest.fixture(scope="module")
def page():
    return export.notebook_report(DEMO, name="tie_loads.ipynb")


def alt(block):
    return BeautifulSoup(block.html, "html.parser").img["alt"]


def shown(study, load):
    step = 10.0 if study.case.rule.system == "US" else 0.1
    return f"{up(float(load), step):,.10g}"


# ------------------------------------------------------------------ taken apart


@pytest.mark.parametrize("name", TEXTS)
def test_parts_by_hand_make_up_the_load_of_the_tie(studies, name):
    case, envelope = studies[name].case, studies[name].envelope
    tie, loads = by_hand(case.rows, envelope), tie_loads(case.rows, envelope)
    sums = [sum(p.load for p in parts) for parts in (tie.tributary, tie.hinged)]
    assert max(sums) == pytest.approx(float(loads.load[loads.worst]), rel=1e-9)
    for part in (*tie.tributary, *tie.hinged):
        assert part.force == pytest.approx(part.pressure * tie.width * (part.high - part.low))
        if part.pivot is not None:
            share = abs(part.middle - part.pivot) / abs(tie.height - part.pivot)
            assert part.load == pytest.approx(part.force * share)


def test_the_demo_by_hand(studies):
    """600 psf: 2 x 2 x 600 = 2,400 lb; the foot of the form, 3 x 2 x 600 = 3,600 lb with its middle
    1.5 ft from the tie at 3 ft, which is 2 ft from ours: 3,600 x 1.5/2 = 2,700 lb."""
    text = blocks_ties.one_tie(studies["wall"]).plain
    assert "2 ft × 2 ft × 600 psf = 2,400 lb" in text
    assert "3,600 lb × 1 ft 6 in / 2 ft = 2,700 lb" in text
    assert "The larger of the two counts: 2,700 lb. A tie may carry 3,000 lb." in text


def removals(before, after, held=None):
    held = np.ones(len(before), bool) if held is None else np.array(held)
    return Removals(np.array(before), np.array(after, float), held)


def test_of_every_row_the_worst_tie_is_told_and_lost_lines_come_first():
    """Two lines of two rows: ties 0 and 1 in the first, 2 and 3 in the second."""
    nothing = [np.nan] * 4
    one = removals([4.0, 1, 4, 1], [[0, 2, 6, 1], [5, 0, 4, 2], [8, 1, 0, 2], nothing],
                   [True, True, True, False])  # fmt: skip
    two = removals([4.0, 1, 4, 1], [[0, 2, 5, 1], [9, 0, 4, 1], [5, 1, 0, 1], [5, 1, 4, 0]])
    first, second = each_gone(("a", "b"), (one, two), rows=2)
    assert (first.tie, first.lost, first.lost_by_all) == (3, ("a",), False)
    assert (first.model, first.hit, first.load, first.times) == ("b", 0, 5.0, 1.25)
    assert (second.tie, second.lost, second.hit, second.load) == (2, (), 0, 8.0)


def test_a_tie_that_takes_no_more_is_not_named():
    """The most loaded tie, 9 before and after, takes nothing of the first; 2 takes it all."""
    (gone, *_) = each_gone(("a",), (removals([1.0, 9, 1], [[0, 9, 2], [1, 0, 1], [1, 9, 0]]),), 3)
    assert (gone.tie, gone.hit, gone.load, gone.times) == (0, 2, 2.0, 2.0)
    idle = each_gone(("a",), (removals([0.0, 9, 1], [[0, 9, 1], [0, 0, 1], [0, 9, 0]]),), 3)[-1]
    assert (idle.hit, idle.load, idle.lost_by_all) == (None, 0.0, False)


def test_a_tie_that_carried_nothing_has_no_times():
    gone = each_gone(("a",), (removals([3.0, 0], [[0, 3], [3, 0]]),), 2)[0]
    assert (gone.hit, gone.load) == (1, 3.0)
    assert np.isnan(gone.times)


@pytest.mark.parametrize("name", [name for name in TEXTS if name != "uneven"])
def test_study_names_the_same_worst_tie(studies, name):
    """Where more than one tie loses the line by some model, the study takes the lowest of them."""
    study = studies[name]
    gone = blocks_ties.worst_gone(study, in_wall=False)[0]
    assert gone.tie == study.line.worst == int(np.argmax(study.unzipping[0].gone[0]))


# ------------------------------------------------------------------ blocks


@pytest.mark.parametrize("name", TEXTS)
def test_every_part_shows_every_kind_of_plan(studies, name):
    made = [make(studies[name]) for make in (*BLOCKS, *FIGURES)]
    for block in made:
        assert not re.search(r"\bNone\b|\bnan\b|\binf\b|\{|<\w|\de[+-]?\d", block.plain)
    html = "".join(b.html for b in made)
    assert audit(f'<html lang="en"><h1>a</h1>{html}</html>') == []
    assert not re.search(r"\bsafe\b", "".join(b.plain for b in made), re.I)


@pytest.mark.parametrize("name", TEXTS)
def test_status_of_the_rows_is_that_of_the_verdict(studies, name):
    verdict = check(studies[name].case.plan)
    text = blocks_ties.models(verdict).plain
    assert text == blocks_ties.models(studies[name]).plain
    lines = text.splitlines()[3:]
    found = [s for s in ("NOT OK", "NOT CHECKED") if any(f" {s} " in line for line in lines)]
    judged = verdict["ties"]
    over = {"continuous_over": ["NOT CHECKED"], "over": ["NOT OK"]}
    if judged.note == "needs_a_rate":
        assert found[0] == "NOT OK"
    else:
        assert found[:1] == over.get(judged.note, [])


def test_third_model_of_the_table_is_that_of_the_verdict(studies):
    study = studies["wall"]
    third = model_loads(study.case.rows, study.envelope, study.case.bare).third
    assert third.max() == pytest.approx(check(study.case.plan)["ties"].facts["load"].bare)
    panels = studies["panels"]
    assert model_loads(panels.case.rows, panels.envelope, panels.case.bare).third is None


def test_missing_table_tells_wall_and_line(studies):
    study = studies["wall"]
    text = blocks_ties.missing_table(study).plain
    wall, line = text.split("One tie gone from a line by itself")
    worst = study.wall.removals[0].after[0].max()
    assert re.search(
        rf"^1 ft, line 1 +no +✗ [\d.]+ +3 ft, line 1 .* {shown(study, worst)} ", wall, re.M
    )
    loads = [r.after[0].max() for r in study.line.removals if r.held[0]]
    assert re.search(rf"^1 ft +✗ if hinged .* {shown(study, max(loads))} ", line, re.M)
    assert "One tie gone from the wall" not in blocks_ties.missing_table(studies["panels"]).plain


def test_story_tells_every_round_and_that_it_is_no_pass(studies):
    for study in studies.values():
        text = blocks_ties.unzip_story(study).plain
        assert "never a pass" in text
        assert "a sudden loss can put more on the others" in text
        rounds = [len(run.force) for run in study.unzipping]
        assert re.findall(r"Round (\d+)", text) == [str(i + 1) for n in rounds for i in range(n)]
        lost = sum(run.line_gone for run in study.unzipping)
        assert text.count("The line is lost.") == lost


# ------------------------------------------------------------------ drawings


@pytest.mark.parametrize("name", ["wall", "wall in SI", "panels", "metric", "ties at 1.5:1"])
def test_alt_texts_agree_with_the_study(studies, name):
    study = studies[name]
    loads = model_loads(study.case.rows, study.envelope, study.case.bare).load
    said = alt(figures_ties.models(study))
    worst = int(np.argmax(loads.max(axis=0)))
    for load in loads[:, worst]:
        assert f" {shown(study, load)}" in said
    over = int((loads.max(axis=0) > study.line.capacity).sum())
    assert f"in {over} of {loads.shape[1]} rows" in said

    said = alt(figures_ties.missing(study))
    gone = blocks_ties.worst_gone(study, study.wall is not None)[0]
    found = dict(zip(BOUNDS, study.wall.removals, strict=True) if study.wall
                 else zip(study.line.models, study.line.removals, strict=True))  # fmt: skip
    after, before = found[gone.model].after[gone.tie], found[gone.model].before
    assert f": {shown(study, after[gone.hit])} " in said
    assert f"{up(after[gone.hit] / before[gone.hit], 0.01):,.2f}×" in said
    assert f"{int((after > study.line.capacity).sum())} of " in said
    assert f"{int((after > study.breaking).sum())} of them pass" in said

    said = alt(figures_ties.unzipping(study))
    run = next((r for r in study.unzipping if r.line_gone), study.unzipping[0])
    for force in run.force:
        for load in force[force > study.breaking]:
            assert f"({shown(study, load)} " in said
    assert ("The line is lost." in said) == run.line_gone


def test_units_are_those_of_the_plan(studies):
    for make in FIGURES:
        assert " lb" in alt(make(studies["wall"]))
        assert " kN" not in alt(make(studies["wall"]))
        assert " kN" in alt(make(studies["wall in SI"]))
        assert " lb" not in alt(make(studies["wall in SI"]))


def test_drawings_are_the_same_twice_and_of_an_own_kind_for_each_study(studies):
    for make in FIGURES:
        made = {name: make(study).html for name, study in studies.items()}
        assert {name: make(study).html for name, study in studies.items()} == made
        assert made["wall"] != made["panels"] != made["metric"]


def test_long_unzipping_is_cut_and_the_count_told(studies):
    study = studies["panels"]
    ties = len(study.line.heights)
    gone = np.tri(8, ties, 0, bool)
    force = np.where(gone, 0.0, 2.0 * study.breaking)
    long = replace(study, unzipping=(Unzipping(force, gone, False), study.unzipping[1]))
    assert "6 of 9 pictures shown." in figures_ties.unzipping(long).plain
    assert "pictures shown" not in figures_ties.unzipping(study).plain


def test_growth_is_told_from_the_rise_that_counts():
    least = f"{LEAST_RISE:.2f}×"
    for text in (JOB, TEXTS["panels"]):
        assert least in figures_ties.missing(missing_tie_study(read_plan(text))).plain
    assert f"{round(100 * (LEAST_RISE - 1))} % or more" in words()["ties_report"]["missing_read"]


def test_large_loads_are_written_in_full():
    assert [write("load", x, "US") for x in (9999.4, 10125.0, 0.5)] == [
        "9,999 lb", "10,120 lb", "0.5 lb",
    ]  # fmt: skip


def test_one_row_has_no_study():
    with pytest.raises(Refusal, match="two"):
        missing_tie_study(read_plan(rows(2)))


# ------------------------------------------------------------------ the page


def test_page_passes_the_audit_and_is_small(page):
    assert audit(page) == []
    assert len(page.encode()) < 300_000
    assert str(ROOT) not in page
    tree = BeautifulSoup(page, "html.parser")
    assert tree.title.get_text() == "Tie loads: Job-built wall, 10 ft (invented)"
    assert len(tree.find_all("img")) == len(FIGURES)


def test_page_is_the_same_in_another_process(page, tmp_path):
    assert in_another_process(DEMO, tmp_path, "tie_loads.ipynb") == page


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: layout on a phone not looked at")
@pytest.mark.parametrize("width", PHONES)
def test_page_fits_a_phone_and_asks_for_nothing(page, tmp_path, width):
    fits_a_phone(page, tmp_path, width)


def test_every_word_that_these_reports_use_is_in_the_table():
    used = set()
    for name in ("blocks_ties", "figures_ties", "drawing"):
        source = (files("formpressure") / "report" / f"{name}.py").read_text("utf-8")
        used |= set(re.findall(r'say\(\s*"(\w+)", "(\w+)"', source))
    assert len(used) > 20
    assert {(s, n) for s, n in used if n not in words()[s]} == set()
    notebooks = {path.stem for path in (ROOT / "notebooks").glob("*.ipynb")}
    assert notebooks <= set(words()["notebook"])
