"""The second opinion on the parts itself, against published numbers and hand statics.

Short names of the sources as in `members_opinion.py`.
"""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import bracing_opinion
import parts_opinion
from members_opinion import CLASS_I, adjusted, beam, column, section, sheathing
from parts_opinion import Job

FIR = "Douglas Fir-Larch"
SHEET = "sheet in the job file"


@pytest.mark.parametrize(
    ("size", "grade", "CD", "repetitive", "name", "psi", "source"),
    [
        ("2x4", "No.2", 1.25, True, "Fb", 1649.53, "READ, Florida week 7, studs"),
        ("2x4", "No.2", 1.25, False, "Fb", 1434.375, "READ, Florida week 7, double wale"),
        ("2x4", "No.2", 1.25, False, "Fv", 218.25, "READ, Florida week 7, studs"),
        ("2x4", "No.2", 1.25, False, "E", 1.44e6, "READ, Florida week 7, studs"),
        ("2x4", "No.2", 1.6, False, "Ft", 1380, "READ, Florida: brace in tension"),
        ("2x4", "Stud", 1.0, False, "Fb", 770, "by hand: 700 x 1.1, no wet factor to 1150"),
    ],
)
def test_adjusted(size, grade, CD, repetitive, name, psi, source):
    found = adjusted(size, FIR, grade, CD, repetitive=repetitive)[name]
    assert found == pytest.approx(psi, rel=1e-5), source


def test_two_inch_lumber_laid_flat():
    """2x8 flat: 900 x 1.2 = 1080, no wet factor to 1150, Cfu 1.15 (READ, Florida)."""
    assert adjusted("2x8", FIR, "No.2", 1.0, flat=True)["Fb"] == pytest.approx(1080 * 1.15)
    assert section("2x8", flat=True)[2] == pytest.approx(2.719, abs=5e-4)


@pytest.mark.parametrize(
    ("part", "length", "w", "Fb", "Fv", "E", "shape", "source"),
    [
        ("bending", 22.48, 2085, 1434.375, 1, 1, (3.0, 3.5, 6.125, 10.719), "READ, Florida, wale"),
        ("deflection", 35.63, 521.25, 1, 1, 1.44e6, (1.5, 3.5, 3.0625, 5.359), "READ, Florida"),
        ("shear", 24.8, 825, 1, 218, 1, (1.5, 3.5, 3.0625, 5.359), "READ, Peurifoy p. 139"),
    ],
)
def test_allowed_spans_are_just_allowed(part, length, w, Fb, Fv, E, shape, source):
    found = beam(w, length, {"Fb": Fb, "Fv": Fv, "E": E}, shape, 3, 3)[part]
    assert found == pytest.approx(1, abs=0.005), source


@pytest.mark.parametrize(
    ("thickness", "spacing", "psf"),
    [
        ("1/2 in", 4, 2945), ("1/2 in", 12, 405), ("5/8 in", 12, 575), ("5/8 in", 19.2, 160),
        ("3/4 in", 4, 4110), ("3/4 in", 12, 730), ("3/4 in", 19.2, 225), ("1-1/8 in", 12, 1370),
    ],
)  # fmt: skip
def test_class_i_pressures(thickness, spacing, psf):
    """READ, Peurifoy Tables 4-13, 9-7, printed in steps of 5 psf."""
    sheet = {"thickness": thickness, "plywood": "form grade class I", "face_grain": "across",
             "spans": 3, "reused": False}  # fmt: skip
    assert thickness in CLASS_I
    assert max(sheathing(psf, sheet, spacing, 1.5).values()) == pytest.approx(1, abs=0.016)


@pytest.mark.parametrize(
    ("Fc", "Emin", "feet", "lb"),
    [(1650, 580e3, 8, 7020), (1650, 580e3, 12, 3318), (1650, 580e3, 14, 2462)],
)
def test_columns(Fc, Emin, feet, lb):
    """4x4. READ, Peurifoy, column table, p. 133 by its neighbours."""
    found = column("4x4", feet * 12, {"Fc*": Fc, "Emin": Emin})
    assert found == pytest.approx(lb, rel=2e-3)


def test_longest_brace_between_stays():
    """6.25 ft for 2 in. nominal: READ, Army subcourse EN5466A."""
    values = adjusted("2x6", FIR, "No.2", 1.6)
    assert column("2x6", 75, values) > 0
    assert column("2x6", 75.1, values) == 0


def wall(height, peak, **form):
    """A job 10 in. thick, ties every 2 ft from 1 ft up; ratings of 1 make ratios loads."""
    rows = [f"{z} ft" for z in range(1, height, 2)]
    plan = {
        "wall": {"height": f"{height} ft"},
        "ties": {"load": "1 lb", "basis": "working load at 2:1", "heights": rows,
                 "spacing": "2 ft"},
        "delivery": {"thickness": "10 in"}, "form": form,
    }  # fmt: skip
    return Job(plan, peak)


ONE = {"load": "1 lb", "basis": "working load at 2:1", "data_sheet": SHEET}


def test_ends_by_hand():
    job = wall(8, 600, corners={**ONE, "first_tie": "8 in", "spacing": "1 ft"},
               joint_connectors={**ONE, "spacing": "1 ft"}, bulkheads=ONE)  # fmt: skip
    assert parts_opinion.corner_pull(job)["pull"] == pytest.approx(600 * 1.5 / 2)  # 450 lb/ft
    assert parts_opinion.joint_pull(job)["pull"] == pytest.approx(450)
    job.form["corners"] = "none"
    assert parts_opinion.joint_pull(job)["pull"] == pytest.approx(600 * (10 / 12) / 2)


def test_one_hold_carries_the_whole_stop():
    """8 ft, 10 in.: 4000 lb by half of w h2 t; held at a third of the height it does not turn."""
    job = wall(8, 1200, bulkheads={**ONE, "heights": ["2.6666667 ft"]})
    assert parts_opinion.bulkhead_hold(job)["hold"] == pytest.approx(4000, rel=1e-6)


def test_opening_by_hand():
    """Buck 2 ft to 5 ft, 3 ft wide: 450 psf on 2.5 ft2; one strut all of 1050 to 600 psf."""
    job = wall(9, 1350, openings={"sill": "2 ft", "head": "5 ft", "width": "3 ft",
               "hold_down": "1 lb", "strut": "1 lb", "struts": ["3 ft"],
               "basis": "working load at 2:1"})  # fmt: skip
    found = parts_opinion.opening(job)
    assert found["uplift"] == pytest.approx(150 * 3 * 3 * 10 / 12)
    assert found["strut"] == pytest.approx((1050 + 600) / 2 * 3 * 10 / 12)
    assert parts_opinion.opening(job, relief=False)["strut"] > found["strut"]


def test_batter_base_and_joint_by_hand():
    hold = {"hold_down": "1 lb/ft", "basis": "working load at 2:1"}
    job = wall(10, 1500, batter_and_ledges={**hold, "run": "20 in"},
               base={"hold": "1 lb/ft", "basis": "working load at 2:1"},
               placement_joint={"load": "3 lb", "basis": "breaking load",
                                "spacing": "2 ft"})  # fmt: skip
    assert parts_opinion.uplift(job)["uplift"] == pytest.approx(1250)  # w h2 tan / 2
    assert parts_opinion.base(job)["kick-out"] == pytest.approx((1500 + 1425) / 2 / 2)
    assert parts_opinion.joint(job)["kick-out"] == pytest.approx((1500 + 1425) / 2)  # factor 3
    job.form["batter_and_ledges"] = {**hold, "ledge": "6 in", "ledge_height": "4 ft"}
    assert parts_opinion.uplift(job)["uplift"] == pytest.approx(900 * 0.5)


@pytest.mark.parametrize(
    ("height", "attached", "foot", "wind", "spacing", "lb", "source"),
    [
        ("10 ft", "10 ft", "6 ft", "25 psf", "9 ft", 2187, "READ, Peurifoy p. 147: 2,188"),
        ("8 ft", "6 ft", "5 ft", "15 psf", "1 ft", 208.3, "100 lb/ft, moments by hand"),
    ],
)
def test_braces(height, attached, foot, wind, spacing, lb, source):
    wale = {"size": "4x4", "species": FIR, "grade": "No.2"}
    brace = {"size": "4x4", "species": FIR, "attached": attached, "foot": foot, "wind": wind,
             "spacing": spacing, "connection": "1 lb", "anchor": "2 lb", "top_wale": wale,
             "basis": "working load at 2:1"}  # fmt: skip
    found = bracing_opinion.bracing({"wall": {"height": height}, "form": {"bracing": brace}})
    assert found["connection"] == pytest.approx(lb, rel=1e-3), source
    assert found["anchor"] == pytest.approx(lb / 2, rel=1e-3)
