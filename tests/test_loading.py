"""The loading list: counts by hand and by laying out piece by piece, and what is left out."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import SMALL

from formpressure import Refusal, loading_list, read_plan
from formpressure.job.counts import run_pieces
from formpressure.job.timber import (
    comes_through,
    lapped,
    nail_that_stays,
    plank_line,
)
from formpressure.records import Label
from formpressure.report.blocks_job import loading, loading_csv

RUNS = """
[delivery]
runs = [
    { name = "north", length = "40 ft" },
    { name = "=1+1", length = "25 ft", height = "6 ft" },
]
"""
STOCK = """
[loading]
tie_spare = "5 %"
bracket_faces = 2
release_coverage = "500 ft2/gal"
[loading.straighteners]
length = "16 ft"
panel = "24 in"
rows = 1
faces = 1
panel_thickness = "1-1/8 in"
nails = 2
"""
BRACKETS = """
[form.brackets]
spacing = "8 ft"
plank = "2x10 nominal"
plank_span = "8 ft"
load = "25 psf"
end_overhang = "6 in"
platform = "16 ft"
width = "18 in"
"""


def counts(found, run=None):
    return {i.name: i.count for i in found.items if run is None or i.run == run}


def test_counts_by_hand():
    found = loading_list(read_plan(SMALL + RUNS + STOCK + BRACKETS))
    assert counts(found, "north") == {
        "tie": 4 * 21,  # rows at 1, 3, 5, 7 ft; a line every 2 ft and one more
        "clip": 2 * 4 * 21,
        "brace": 5,  # 0, 10, 20, 30, 40 ft
        "straightener": 3,  # 16, then 15 more with each
        "nail": 3 * 8 * 2,
        "bracket": 2 * (3 * 2 + 1),  # planks run 15 ft from bracket to bracket, one in the middle
        "plank": 2 * 2 * 3,  # both faces, two side by side
    }
    lower = counts(found, "=1+1")
    assert lower["tie"] == 3 * 14  # 6 ft of concrete: the row at 7 ft holds none
    assert lower["tie, above the concrete"] == 14
    assert lower["clip"] == 2 * 4 * 14
    assert counts(found, "") == {
        "tie, spare": 7,  # 5 % of 126 is 6.3
        "release agent": 2,  # 2 x (40 x 8 + 25 x 6) / 500 = 1.88
    }
    whole = {i.name: i.count for i in found.totals}
    assert whole["tie"] == 84 + 42
    assert whole["brace"] == 5 + 4
    (brace, other) = [i.size[0].bare for i in found.items if i.name == "brace"]
    assert (brace, other) == (10.0, pytest.approx(25 / 3))
    assert found.left_out == (("panel", "a layout of the panels"),)


def test_pieces_come_from_the_layout():
    pieces = {
        ("panel", "2 ft", "8 ft"): 38, ("filler", "6 in", "8 ft"): 2,
        ("inside corner", "4 in", "8 ft"): 1,
    }  # fmt: skip
    run = run_pieces("north", length="39 ft", height="8 ft", tie_lines=20, pieces=pieces)
    found = loading_list(read_plan(SMALL), [run])
    assert counts(found)["panel"] == 38
    assert counts(found)["tie"] == 80
    assert ("panel", "a layout of the panels") not in found.left_out
    stepped = run_pieces("<i>", length="39 ft", height="8 ft", tie_lines=20, pieces=pieces, ties=71)
    assert counts(loading_list(read_plan(SMALL), [stepped]))["tie"] == 71
    assert "<i>" not in loading(loading_list(read_plan(SMALL), [stepped])).html
    (tie,) = [i for i in found.items if i.name == "tie"]
    assert tie.clause.label is Label.PRACTICE
    assert "inside corner, 4 in × 8 ft" in str(loading(found))
    for bad in (-1, 2.5, True):
        with pytest.raises(Refusal, match="not a whole number"):
            run_pieces("n", length="9 ft", height="8 ft", tie_lines=bad)
    with pytest.raises(Refusal, match="bare number"):
        run_pieces("n", length=9, height="8 ft", tie_lines=2)


def test_what_is_not_told_is_left_out_by_its_key():
    found = loading_list(read_plan(SMALL + RUNS))
    assert dict(found.left_out) == {
        "panel": "a layout of the panels", "straightener": "loading.straighteners",
        "bracket": "form.brackets", "release agent": "loading.release_coverage",
        "tie, spare": "loading.tie_spare",
    }  # fmt: skip
    assert not {"bracket", "nail", "tie, spare"} & set(counts(found))
    none = loading_list(read_plan(SMALL + RUNS + '[form]\nbrackets = "none"\n'))
    assert "bracket" not in dict(none.left_out)
    with pytest.raises(Refusal, match=r"delivery\.length"):
        loading_list(read_plan(SMALL))


def test_metric_counts():
    text = SMALL.replace("US", "SI") + '[delivery]\nlength = "12 m"\n' + STOCK + BRACKETS
    found = loading_list(read_plan(text))
    assert counts(found)["brace"] == 5  # 3 m
    assert counts(found)["tie"] == 4 * 21  # 12 m over 2 ft is 19.7
    assert counts(found)["release agent"] == 5  # 39.37 x 8 x 2 / 500 gal is 4.8 L
    assert counts(found)["nail"] == counts(found)["straightener"] * 16


def test_csv_is_shown_and_not_run():
    found = loading_list(read_plan(SMALL + RUNS + STOCK))
    rows = list(csv.reader(io.StringIO(loading_csv(found))))
    assert {len(r) for r in rows[1:]} == {7}
    assert "'=1+1" in {r[0] for r in rows}
    assert not any(c.startswith(("=", "+", "-", "@")) for r in rows for c in r)
    ties = {r[0]: int(r[3]) for r in rows[2:] if r[1] == "tie"}
    assert ties == {"north": 84, "'=1+1": 42, "all runs": 126}


@given(st.floats(1, 300), st.floats(6, 20), st.floats(0.5, 2))
def test_lapped_timbers_reach_the_end(length, timber, lap):
    count, reach = 1, timber
    while reach < length - 1e-6:
        count, reach = count + 1, reach + timber - lap
    assert lapped(length, timber, lap) == count


@given(
    st.floats(4, 300), st.sampled_from([8.0, 10.0, 12.0, 16.0]), st.floats(3, 10),
    st.sampled_from([0.25, 0.5, 1.0]),
)  # fmt: skip
def test_planks_cover_the_run_and_brackets_are_close_enough(length, plank, span, overhang):
    line = plank_line(length, plank, span, overhang)
    step = plank - 2 * overhang
    assert line.planks * step + 2 * overhang >= length - 1e-6
    assert line.planks == 1 or (line.planks - 1) * step + 2 * overhang < length
    assert line.spacing <= span + 1e-6
    if line.supports > 2:
        assert step / (line.supports - 2) > span
    assert line.spacing * (line.brackets - 1) == pytest.approx(line.planks * step)


def test_a_nail_flush_with_the_back_does_not_stay():
    assert comes_through(8, 1.5, 1.0) == 0.0
    assert nail_that_stays(1.5, 1.0) == 6
    assert nail_that_stays(1.5, 1.125) == 8
    with pytest.raises(Refusal, match="every nail"):
        nail_that_stays(1.5)
    with pytest.raises(Refusal, match="not in the table"):
        comes_through(9, 1.5)
