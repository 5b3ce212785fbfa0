"""The form past its outermost ties, against lengths and closed forms worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import SMALL
from test_ends import STEADY, ask

from formpressure.capacity.lumber import form_lumber
from formpressure.checks.ends import _end_load
from formpressure.errors import Refusal
from formpressure.records import Status
from formpressure.report.words import note

# Overhangs: 1 ft below the first tie and 1 ft above the last; 3 in and 3 ft where three rows hold.

PANELS = """[form.panels]
pressure = "1300 psf"
basis = "working pressure at 2:1"
overhang = "LONG"
data_sheet = "sheet P"
"""
STUDS = """[form.studs]
size = "2x4"
species = "Douglas Fir-Larch"
grade = "No.2"
spacing = "SPACING"
"""
HIGH_TOP = SMALL.replace('"1 ft", "3 ft", "5 ft", "7 ft"', '"3 in", "3 ft", "5 ft"')


def test_an_end_with_no_load_may_carry_its_shear():
    stud = form_lumber("2x4", "Douglas Fir-Larch", "No.2")
    assert _end_load(stud, 0.0, 0.0, "US") == pytest.approx(2 / 3 * 180 * 0.97 * 1.5 * 3.5)


@pytest.mark.parametrize(
    ("wall", "long", "status", "part", "length"),
    [
        (SMALL, "1 ft", Status.OK, "overhang_below", 1.0),
        (SMALL, "11 in", Status.NOT_OK, "overhang_below", 1.0),
        (HIGH_TOP, "3 ft", Status.OK, "overhang_above", 3.0),
        (HIGH_TOP, "2 ft 11 in", Status.NOT_OK, "overhang_above", 3.0),
        (SMALL.replace('"8 ft"', '"8 ft"\nform_height = "9 ft"'), "23 in", Status.NOT_OK,
         "overhang_above", 2.0),
        (SMALL.replace('"8 ft"', '"6 ft 6 in"\nform_height = "8 ft"\noverfilling_prevented = true'),
         "18 in", Status.OK, "overhang_above", 1.5),  # the row at 7 ft stays empty
        (SMALL.replace('"8 ft"', '"8 ft"\nplaced_from = "4 ft"\nhardened = "cube test"'), "1 ft",
         Status.OK, "overhang_below", 1.0),
    ],
)  # fmt: skip
def test_panels_run_no_further_than_their_sheet_lets_them(wall, long, status, part, length):
    for p_max in (300.0, 1200.0):  # a length, whatever the pressure
        found = ask("overhangs", wall + PANELS.replace("LONG", long), p_max)
        assert found.status is status
        assert found.note == part
        assert found.demand.bare == pytest.approx(length)
        assert note(found).startswith("form ")


def test_overhangs_stay_open_until_something_is_stated():
    assert ask("overhangs", SMALL).key == "form.panels.overhang"
    blank = PANELS.replace('overhang = "LONG"\n', "")
    assert ask("overhangs", SMALL + blank).key == "form.panels.overhang"
    sheetless = PANELS.replace("LONG", "2 ft").replace('data_sheet = "sheet P"\n', "")
    found = ask("overhangs", SMALL + sheetless)
    assert (found.status, found.key) == (Status.NOT_CHECKED, "form.panels.data_sheet")
    wales = STUDS.replace("studs", "wales").replace("SPACING", "2 ft")
    assert ask("overhangs", SMALL + wales).key == "form.studs"
    unspaced = STUDS.replace('spacing = "SPACING"\n', "")
    assert ask("overhangs", SMALL + unspaced).key == "form.studs.spacing"
    by = '[[by_others]]\nchecks = ["overhangs"]\nwho = "A"\ndocument = "B"\ndate = 2026-03-01\n'
    for form in ("", blank, STUDS.replace("SPACING", "2 ft")):
        assert ask("overhangs", SMALL + form + by).status is Status.BY_OTHERS


# 2x4 No.2 Douglas Fir-Larch, reused, wet, studs: F'b = 900 x 1.5 x 0.85 x 1.15 psi, S = 3.0625 in3;
# F'v = 180 x 0.97 psi, b d = 5.25 in2.
STUD_MOMENT = 900 * 1.5 * 0.85 * 1.15 * 3.0625 / 12  # 336.8 lb ft
STUD_SHEAR = 2 / 3 * 180 * 0.97 * 5.25  # 611.1 lb


def test_a_stud_past_its_ties_by_shear():
    """Below the first tie 150 x 7.5 ft x 1 ft on each foot of width."""
    found = ask("overhangs", SMALL + STUDS.replace("SPACING", "6 in"))
    assert (found.status, found.note) == (Status.OK, "stud_below")
    assert found.demand.bare == pytest.approx(562.5)
    assert found.capacity.bare == pytest.approx(STUD_SHEAR)
    found = ask("overhangs", SMALL + STUDS.replace("SPACING", "7 in"))
    assert found.status is Status.NOT_OK
    assert found.ratio == pytest.approx(7 / 12 * 1125 / STUD_SHEAR)


def test_a_stud_past_its_ties_by_bending():
    """Above the last tie 150 x 3^3 / 6 lb ft on each foot of width, and 150 x 3^2 / 2 lb."""
    found = ask("overhangs", HIGH_TOP + STUDS.replace("SPACING", "6 in"))
    assert (found.status, found.note) == (Status.NOT_OK, "stud_above")
    assert found.demand.bare == pytest.approx(337.5)
    assert found.ratio == pytest.approx(337.5 / STUD_MOMENT)
    for better in ("doubled = true\n", "reused = false\n"):
        stronger = ask("overhangs", HIGH_TOP + STUDS.replace("SPACING", "6 in") + better)
        assert stronger.status is Status.OK
    capped = ask("overhangs", HIGH_TOP + STUDS.replace("SPACING", "6 in"), p_max=300.0)
    # 2 ft of liquid below which 300 psf: 300 (1 x 0.5 + 1 x (1 + 2/3)) lb ft, about the tie
    assert capped.ratio == pytest.approx(300 * (0.5 + 5 / 3) / 2 / STUD_MOMENT)


def test_a_stud_that_is_not_in_the_tables_is_refused_with_its_key():
    unknown = STUDS.replace("2x4", "2x8").replace("No.2", "Stud").replace("SPACING", "1 ft")
    with pytest.raises(Refusal) as refusal:
        ask("overhangs", SMALL + unknown)
    assert refusal.value.key.startswith("form.studs")


@STEADY
@given(st.floats(0.0, 1200.0), st.floats(0.0, 1200.0), st.sampled_from([SMALL, HIGH_TOP]))
def test_more_pressure_never_helps_a_stud(one, two, wall):
    text = wall + STUDS.replace("SPACING", "8 in")
    less, more = (ask("overhangs", text, p) for p in sorted((one, two)))
    assert more.ratio >= less.ratio * (1.0 - 1e-9)


@pytest.mark.parametrize("wall", [SMALL, HIGH_TOP])
def test_si_studs_and_panels_equal_us(wall):
    weight = '[concrete]\nunit_weight = "150 pcf"\n'
    for form in (STUDS.replace("SPACING", "8 in"), PANELS.replace("LONG", "2 ft")):
        us, si = (
            ask("overhangs", wall.replace('"US"', f'"{system}"') + form + weight)
            for system in ("US", "SI")
        )
        assert us.demand.system != si.demand.system
        assert si.ratio == pytest.approx(us.ratio, rel=1e-6)
