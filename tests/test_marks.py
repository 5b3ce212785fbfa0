"""Minutes by marks and their temperature rows, against arithmetic by hand and the rule itself."""

from math import ceil
from pathlib import Path

import numpy as np
import pytest
from plans import complete

from formpressure import check, load_plan, read_plan
from formpressure.marks import about, mark_pace
from formpressure.rise import greatest_rise

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
GRID = np.arange(40.0, 101.0, 5.0)


def marks(plan):
    return mark_pace(check(read_plan(plan)))


def planned(rate, load="3400 lb", **changes):
    """A plan whose ties need a rate, placed at `rate`."""
    at = ("[delivery]\n", f'[delivery]\nfastest_rise = "{rate}"\n')
    return complete(load, rate=at, **changes)


@pytest.mark.parametrize(
    ("planned", "rows"),
    [
        (60.0, [50, 55, 60, 65, 70]),
        (52.0, [45, 50, 52, 55, 60]),
        (40.0, [40, 45, 50, 55, 60]),
        (41.0, [40, 41, 45, 50, 55]),
        (100.0, [80, 85, 90, 95, 100]),
    ],
)
def test_five_rows_about_the_temperature_of_the_plan(planned, rows):
    assert about(planned, GRID, 40.0, 100.0).tolist() == rows


def test_minutes_of_a_planned_rate():
    """4 ft/h with marks a foot apart: three marks, and a foot less a hair at the ends, is the
    most of an hour at 20 min; at 19 min it would be four."""
    found = marks(planned("4 ft/h"))
    assert found.step == 1.0
    assert found.levels == tuple(range(1, 9))
    assert (found.minutes, found.rows[found.here].temperature) == (20, 60.0)
    assert all(row.rate <= 4.0 for row in found.rows)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_no_row_brings_more_than_the_form_may_carry_or_the_plan_was_judged_for(path):
    verdict = check(load_plan(path))
    found = mark_pace(verdict)
    assert (found is None) is (verdict.allowed.kind != "at most")
    if found is None:
        return
    case, most = verdict.case, verdict.limit.pressure
    if case.bare.form.studs:  # the third model was asked about this pressure only
        most = min(most, float(verdict.envelope.p_max))
    for row in found.rows:
        if row.rate == 0.0:  # the card says STOP there
            assert row.minutes is None
            continue
        at = case.rule.envelope(rate=row.rate, **{**case.given, "temperature": row.temperature})
        assert float(at.p_max) <= most * (1 + 1e-9)
        if case.filling is None:  # a rate that the plan states; that of its trucks is no limit
            assert row.rate <= case.rate
    assert [r.temperature for r in found.rows] == sorted({r.temperature for r in found.rows})
    waits = [np.inf if row.minutes is None else row.minutes for row in found.rows]
    assert waits == sorted(waits, reverse=True)  # colder is never quicker


def test_a_truck_that_keeps_its_gap_never_waits_for_the_marks():
    verdict = check(load_plan(ROOT / "shared/plans/basement_9ft.toml"))
    rise = 10 * 27 / (200 * 10 / 12)
    for row in mark_pace(verdict).rows:
        assert row.gap >= rise * row.minutes
        assert row.gap == max(ceil(rise * row.minutes), verdict.pace.truck_gap)


def test_half_marks_where_whole_ones_would_ask_for_an_hour():
    """2 ft/h: whole marks 60 min apart, half marks 20, so 40 min for each foot."""
    found = marks(planned("2 ft/h", hot=('"60 F"', '"90 F"')))
    assert (found.step, found.minutes) == (0.5, 20)
    assert found.levels[:3] == (0.5, 1.0, 1.5)
    cold = marks(complete("2900 lb"))  # 2.5 ft/h at 50 F: whole marks 60 min apart, half marks 15
    assert (cold.step, cold.rows[0].rate, cold.rows[0].minutes) == (0.5, 2.5, 15)


def test_no_marks_where_any_rate_or_no_rate_holds():
    assert marks(complete("5000 lb")) is None
    assert marks(complete("1000 lb")) is None
    assert marks(planned("2 ft/h", unknown=('slump = "5 in"\n', ""))) is None


def test_after_the_wait_no_window_mixes_two_rows():
    """Row of 20 min, then the wait, then one of 30 min: each hour keeps to 4, then to 3 ft/h."""
    found = marks(planned("4 ft/h"))
    assert found.wait == 60.0
    e = 1e-6  # jumps to just short of the next mark, the worst there is
    warm = [(20.0 * k + j, k + j * (1 - e)) for k in range(4) for j in (0, e)]
    stop = warm[-1][0] + found.wait
    cold = [(stop + 30.0 * k + j, 4.0 + k + j) for k in range(4) for j in (0, e)]
    times, levels = (np.array(x) for x in zip(*warm, *cold, strict=True))
    assert greatest_rise(times[times >= stop], levels[times >= stop], 60.0) <= 3.0 + 1e-3
    assert greatest_rise(times, levels, 60.0) <= 4.0
    assert found.wait >= 60.0


def test_a_shorter_window_of_the_plan_shortens_the_wait():
    trucks = (
        'thickness = "8 in"\n',
        'thickness = "8 in"\ntruck = "10 yd"\ngap = "60 min"\ndischarge = "10 min"\n'
        'spread = "160 ft"\nrate_window = "45 min"\n',
    )
    assert marks(complete("3400 lb", trucks=trucks)).wait == 45.0


LOW = 'fastest_rise = "5 ft/h"\nruns = [{name = "a", length = "80 ft"}, {name = "b", length = "80 ft", height = "2 ft"}]\n'  # noqa: E501
CURB = 'height = "4 ft"\nform_height = "5 ft"'


@pytest.mark.parametrize(
    ("plan", "top"),
    [
        (complete("4200 lb", runs=("[delivery]\n", f"[delivery]\n{LOW}")), 2.0),
        (
            complete(
                "1500 lb",
                wall=('height = "8 ft"', CURB),
                rows=('"1 ft", "3 ft", "5 ft", "7 ft"', '"6 in", "1 ft 6 in", "2 ft 6 in", "4 ft"'),
                warm=("60 F", "100 F"),
                panel=("1300 psf", "700 psf"),
            ),
            4.0,
        ),
    ],
    ids=["a low run beside a high one", "a form taller than its wall"],
)
def test_a_piece_that_is_full_within_the_hour_keeps_the_rate_of_its_filling(plan, top):
    """Marks a foot apart up to `top`: the last is reached `top - 1` waits after the first, and
    nothing is to be waited for below that one, so all of `top` comes in that time."""
    found = marks(plan)
    assert found.step == 1.0
    for row in found.rows:
        filling = (top - 1.0) * row.minutes
        assert filling >= 60.0 or top * 60.0 / filling <= row.rate


def test_no_marks_where_even_half_ones_rise_faster():
    """Half marks in any hour: one and a bit, 1 ft, however long the wait."""
    assert marks(planned("1 ft/h")).minutes == 60
    verdict = check(read_plan(planned("0.5 ft/h")))
    assert verdict.pace.rate == 0.5
    assert mark_pace(verdict) is None
