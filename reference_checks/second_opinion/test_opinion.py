"""The second opinion itself, against published numbers and statics done by hand."""

import math
import random
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import opinion

INF = math.inf
PLAIN = {
    "start": 0.0, "top": 8.0, "ties": [1.0, 3.0, 5.0, 7.0], "width": 1.0, "capacity": 3000.0,
    "w": 150.0, "surge": 1.0, "calm": True, "temperature": 60.0, "slump": 5 / 12, "depth": 3.0,
    "Cc": 1.0, "sides": (40.0, 1.0), "all_long": True, "rise": None, "panels": None,
}  # fmt: skip


def wall(**changes):
    return opinion.Wall(**{**PLAIN, **changes})


@pytest.mark.parametrize(
    ("changes", "R", "psf", "source"),
    [
        ({"top": 15, "temperature": 80}, 10, 1042.5, "READ: Florida notes, week 7 (prints 1042)"),
        (
            {"top": 13 + 1 / 3, "temperature": 80, "w": 140},
            5,
            712.5,
            "READ: PE problem 2 (prints 712)",
        ),
        ({"top": 15}, INF, 2250, "READ: Florida notes, week 7"),
        ({"top": 8}, INF, 1200, "READ: Concrete Construction, Q&A 'Form pressure'"),
        ({"top": 8.5}, 4, 750, "(b), computed by hand"),
        ({"top": 3}, 4, 450, "w h cap wins over the 600 psf minimum, by hand"),
        ({"top": 8}, 1, 600, "600 psf minimum, by hand"),
        ({"top": 14, "temperature": 70}, 4, 664.2857, "(b) at exactly 14 ft, by hand"),
        ({"top": 14.01, "temperature": 70}, 4, 930, "(c) just above 14 ft, by hand"),
        ({"top": 34, "start": 20, "temperature": 70}, 4, 664.2857, "placement, not wall, by hand"),
        ({"top": 20, "temperature": 70}, 15, 1370, "(c) at exactly 15 ft/h, by hand"),
        ({"top": 20, "temperature": 70}, 15.1, 3000, "full liquid head above 15 ft/h, by hand"),
        (
            {"top": 12, "temperature": 70, "sides": (2.0, 2.0)},
            20,
            1800,
            "column, 2721 capped, by hand",
        ),
        ({"top": 12, "temperature": 65, "w": 120, "Cc": 1.2}, 5, 923.63, "Cw 0.9138, by hand"),
        ({"top": 12, "temperature": 80, "w": 80}, 1, 480, "Cw floor 0.80, by hand"),
        ({"top": 12, "surge": 1.25, "calm": False}, 4, 2250, "pumped from the base, by hand"),
        ({"top": 20, "temperature": 70, "sides": ()}, 10, 150 + 90000 / 70, "column (b) wins"),
        ({"top": 20, "temperature": 70, "sides": ()}, 2, 850, "wall (c) wins, by hand"),
    ],
)
def test_pressure(changes, R, psf, source):
    assert opinion.by_set(wall(**changes), R, opinion.US)[1] == pytest.approx(psf, rel=1e-5), source


@pytest.mark.parametrize(
    ("changes", "R", "kPa"),
    [
        ({"w": 2400, "temperature": 25, "top": 3}, 0.5, 30),  # minimum 30 Cw
        (
            {"w": 2400, "temperature": 15, "top": 4.25},
            1.2,
            7.2 + 1156 / 32.8 + 244 * 1.2 / 32.8,
        ),  # (c)
        ({"w": 2400, "temperature": 15, "top": 4.2}, 1.2, 7.2 + 785 * 1.2 / 32.8),  # (b)
        ({"w": 2400, "temperature": 20, "top": 4.2}, 2.1, 7.2 + 1668.4 / 37.8),  # (c) from 2.1 m/h
        ({"w": 2400, "temperature": 20, "top": 4.2}, 4.6, 2400 * 9.80665 * 4.2 / 1000),
        (
            {"w": 2500, "temperature": 20, "top": 4.2, "slump": 0.176},
            1,
            2500 * 9.80665 * 4.2 / 1000,
        ),
        ({"w": 2500, "temperature": 20, "top": 4.2}, 2, 2500 / 2320 * (7.2 + 785 * 2 / 37.8)),
    ],
)
def test_metric_set(changes, R, kPa):
    """By hand, MEMORY constants; entered in metres and left in kPa."""
    m = opinion.METRE
    feet = {k: v / m for k, v in changes.items() if k in ("top", "slump")}
    rest = {"w": changes["w"] / opinion.DENSITY, "temperature": changes["temperature"] * 1.8 + 32}
    found = opinion.by_set(wall(**{**rest, **feet}), R / m, opinion.SI)[1]
    assert found / opinion.PSF == pytest.approx(kPa, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "R", "higher"),
    [
        ({}, 4, opinion.US),
        ({"top": 13.9}, 4, opinion.SI),  # 4.237 m is tall, 13.9 ft is not
        ({"top": 14.0}, 4, opinion.SI),
        ({"top": 20.0}, 14.9, opinion.SI),  # 4.54 m/h is liquid head
        ({"slump": 7 / 12}, 4, opinion.SI),  # 177.8 mm
        ({"depth": 4.0}, 4, opinion.SI),  # 1.219 m
        ({"sides": (6.55, 1.0), "top": 20.0}, 10, opinion.SI),  # 1.996 m is a column: (b)
        ({"sides": (6.55, 1.0), "top": 20.0}, 3, opinion.US),  # wall: (c)
    ],
)
def test_the_higher_set_decides_where_the_equations_differ(changes, R, higher):
    w = wall(**changes)
    lower = opinion.US if higher is opinion.SI else opinion.SI
    found = opinion.peak_pressure(w, R)
    assert found == opinion.by_set(w, R, higher)[1]
    if changes:
        assert found > 1.001 * opinion.by_set(w, R, lower)[1]


@pytest.mark.parametrize(
    ("mix", "Cc"),
    [
        ({"cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "0 %"}, 1.0),
        ({"cement": "III", "retarder": True, "fly_ash": "0 %", "slag": "0 %"}, 1.2),
        ({"cement": "II", "fly_ash": "0 %", "slag": "0 %"}, 1.2),
        ({"cement": "V", "retarder": False, "fly_ash": "0 %", "slag": "0 %"}, 1.2),
        ({"cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "30 %"}, 1.2),
        ({"cement": "I", "retarder": False, "fly_ash": "50 %", "slag": "0 %"}, 1.4),
        ({"cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "70 %"}, 1.4),
        ({"cement": "I", "retarder": False, "fly_ash": "20 %", "slag": "35 %"}, 1.4),
        ({"cement": "I", "retarder": False, "slag": "0 %"}, 1.4),
        ({}, 1.4),
    ],
)
def test_chemistry(mix, Cc):
    assert opinion.chemistry(mix) == Cc


def test_full_head_on_four_rows():
    """8 ft, rows at 1, 3, 5, 7 ft; bottom row, tributary: mean head 7 ft over 2 ft, 2100 lb/ft."""
    rows = opinion.row_loads(wall(), 1200)
    assert [a for a, _ in rows] == pytest.approx([2100, 1500, 900, 300])
    # bottom beam, 0 to 3 ft: 1200 psf at the foot, 750 at its top; moment about the second row
    by_hand = (750 * 3 * 1.5 + (1200 - 750) * 3 / 2 * 2) / 2
    assert rows[0][1] == pytest.approx(by_hand)
    assert by_hand == pytest.approx(2362.5)


def test_one_row_is_the_moment_about_the_start():
    """6 ft of liquid head, one row 1 ft up: 2700 lb/ft, turning arm 2 ft, so 5400 on the tie."""
    [(tributary, hinged)] = opinion.row_loads(wall(top=6.0, ties=[1.0]), 900)
    assert (tributary, hinged) == pytest.approx((2700, 5400))


def test_the_peak_between_two_levels_is_found():
    """The search against 20,000 surface levels, on walls where the worst level lies in between."""
    rng = random.Random(1)
    for _ in range(12):
        t = sorted(rng.uniform(0.2, 15) for _ in range(rng.randrange(2, 6)))
        w = wall(top=t[-1] + rng.uniform(0.5, 6), ties=t)
        peak = opinion.peak_pressure(w, 3)
        dense = [[0.0, 0.0] for _ in t]
        for k in range(1, 20001):
            s = k / 20000 * w.top
            under = [x for x in t if x < s]
            if under:
                for model, loads in enumerate((opinion.tributary, opinion.hinged)):
                    for row, load in enumerate(loads(under, 0.0, s, w.w, peak)):
                        dense[row][model] = max(dense[row][model], load)
        for found, sampled in zip(opinion.row_loads(w, peak), dense, strict=True):
            assert found == pytest.approx(sampled, rel=2e-3, abs=0.5)
            assert all(f >= s * (1 - 1e-9) for f, s in zip(found, sampled, strict=True))


def test_the_integral_is_exact():
    """Simpson in two pieces against a midpoint sum of 100,000 strips."""
    force, moment, n = 0.0, 0.0, 100_000
    for k in range(n):
        z = 1 + 6.5 * (k + 0.5) / n
        force += min(150 * (9 - z), 700) * 6.5 / n
        moment += min(150 * (9 - z), 700) * z * 6.5 / n
    assert opinion.push(1, 7.5, 9, 150, 700) == pytest.approx((force, moment), rel=1e-8)


@pytest.mark.parametrize(
    ("changes", "kind", "rate"),
    [
        # p = 900 psf from (b): R = (900 - 150) 60 / 9000 = 5, by hand
        ({"top": 12.0, "capacity": INF, "panels": 900.0}, "at most", 5.0),
        # (c) at R = 0 on 18 ft and 50 F is 1018 psf already: 800 psf allows no rate
        ({"top": 18.0, "capacity": INF, "panels": 800.0, "temperature": 50.0}, "none", 0.0),
        ({"capacity": 2362.5}, "any", INF),
        (
            {"top": 20.0, "capacity": INF, "panels": 1400.0, "temperature": 70.0},
            "at most",
            4.5 / 0.3048,
        ),
        ({"capacity": 2362.5, "ties": []}, "none", 0.0),
        # the metric (c), from 2.1 m/h, is 1 % above (b): 1045 psf stops there, not at 6.96 ft/h
        (
            {"top": 12.0, "capacity": INF, "panels": 1045.0, "temperature": 70.0},
            "at most",
            2.1 / 0.3048,
        ),
    ],
)
def test_allowed_rate(changes, kind, rate):
    found = opinion.allowed_rate(wall(**changes))
    assert found[0] == kind
    assert found[1] == pytest.approx(rate, rel=1e-7)


@pytest.mark.parametrize(
    ("stated", "basis", "lb"),
    [
        (3000, "working load at 1.5:1", 2250),  # READ: Concrete Construction, 4,500 lb breaking
        (4500, "breaking load", 2250),
        (3000, "working load at 2:1", 3000),
        (3000, "working load at 3:1", 3000),
    ],
)
def test_rating(stated, basis, lb):
    assert opinion.rating(stated, basis) == lb


def test_line_width():
    """Gaps 2, 2, 5 ft: the end line takes its whole 5 ft."""
    assert opinion.line_width({"joints": ["1 ft", "3 ft", "5 ft", "10 ft"]}) == 5
    assert opinion.line_width({"joints": ["1 ft", "3 ft", "9 ft", "11 ft"]}) == 4
    assert opinion.line_width({"spacing": "2'-6\""}) == 2.5


def test_lengths():
    for text in ("8'-6\"", "8 ft 6 in", "8' 6\"", "102 in", "8.5 ft"):
        assert opinion.number(text, opinion.FEET) == pytest.approx(8.5)
    for text in ("8", "8 m", "about 8 ft", ""):
        with pytest.raises((ValueError, KeyError)):
            opinion.number(text, opinion.FEET)
