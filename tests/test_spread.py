"""Input spread: as the verdict pour by pour, and as exact integrals where there are some."""

import tracemalloc
from statistics import NormalDist

import numpy as np
import pytest
from plans import CONCRETE, SMALL
from scipy.integrate import quad

from formpressure import check, input_spread, margins, read_plan
from formpressure.errors import Refusal
from formpressure.spread import _draws, _varied, wilson
from formpressure.spread_pours import CHUNK, DOUBTFUL, OVER, WITHIN, Pours

SHEET = 'data_sheet = "sheet T"\n'
RATE = '[delivery]\nfastest_rise = "3 ft/h"\n'
PLAN = SMALL + SHEET + CONCRETE + RATE
NORMAL = NormalDist().cdf


def plan(spread, text=PLAN, **changes):
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    return read_plan(text + "[spread]\n" + spread)


def contains(found, share, sigmas=4.0):
    """Whether the exact share is within so many standard errors of what was found."""
    error = max((share * (1.0 - share) / found.samples) ** 0.5, 1.0 / found.samples)
    return abs(found.share - share) <= sigmas * error


# ------------------------------------------------------------------ exact integrals


@pytest.mark.parametrize("seed", range(5))
def test_temperature_alone_is_the_normal_integral(seed):
    """Too cold, or outside the document: all below the edge that the margin finds."""
    found = input_spread(plan('temperature = "4 F"'), seed=seed, samples=200_000)
    edge = 60.0 - found.margins.temperature
    exact = NORMAL((edge - 60.0) / 4.0) + NORMAL((60.0 - 100.0) / 4.0)
    assert 0.02 < exact < 0.5
    assert contains(found, exact)


@pytest.mark.parametrize("seed", range(5))
def test_rate_alone_is_the_normal_integral(seed):
    found = input_spread(plan('rate = "0.4 ft/h"'), seed=seed, samples=200_000)
    assert contains(found, 1.0 - NORMAL(found.margins.rate / 0.4))


def test_uniform_rate_is_a_length():
    found = input_spread(plan('shape = "uniform"\nrate = "1 ft/h"'), samples=200_000)
    assert contains(found, (1.0 - found.margins.rate) / 2.0)


def test_slump_alone_knows_both_unit_sets():
    found = input_spread(plan('slump = "1 in"'), samples=200_000)
    assert contains(found, 1.0 - NORMAL((175.0 / 25.4 - 5.0) / 1.0))


def test_two_inputs_are_the_double_integral():
    """P(rate > what the temperature allows), by quadrature over the temperature."""
    given = plan('rate = "0.4 ft/h"\ntemperature = "3 F"')
    case, limit = check(given).case, check(given).limit.pressure

    def over(z):
        most = float(case.allowed_with(limit, {"temperature": 60.0 + 3.0 * z}).rate)
        return (1.0 - NORMAL((most - 3.0) / 0.4)) * np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi)

    exact, _ = quad(over, -6.0, 6.0, limit=200)
    assert contains(input_spread(given, samples=1_000_000), exact)


def test_the_interval_covers_as_often_as_it_says():
    """Exact sum over the binomial distribution, not draws."""
    n = 60
    logs = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, n + 1)))])
    counts = np.arange(n + 1)
    ends = np.array([wilson(int(k), n) for k in counts])
    covered = []
    for p in np.linspace(0.02, 0.98, 97):
        weights = np.exp(
            logs[n] - logs - logs[::-1] + counts * np.log(p) + (n - counts) * np.log1p(-p)
        )
        covered.append(weights[(ends[:, 0] <= p) & (p <= ends[:, 1])].sum())
    assert np.mean(covered) == pytest.approx(0.95, abs=0.01)
    assert wilson(0, n)[0] == 0.0
    assert wilson(n, n)[1] == 1.0


# ------------------------------------------------------------------ the same as the verdict

ALL = 'rate = "0.4 ft/h"\ntemperature = "4 F"\nunit_weight = "3 pcf"\nslump = "0.9 in"\n'
TALL = {
    "a": ("8 ft", "12 ft"), "b": ("3000 lb", "4060 lb"), "c": ('"7 ft"', '"7 ft", "9 ft", "11 ft"'),
    "d": ("60 F", "85 F"), "e": ('"12 ft"', '"12 ft"\nshort_pieces = false'),
    "f": ("3 ft/h", "6.8 ft/h"),
}  # fmt: skip


@pytest.mark.parametrize("changes", [{}, TALL], ids=["low", "between the limits of both sets"])
def test_every_pour_is_what_the_verdict_says(changes):
    given = plan(ALL, **changes)
    case = check(given).case
    varied = _varied(case, "normal")
    pours = Pours(case, varied, 5.0, 1)
    _, units = next(_draws(varied, "normal", 3, 60))
    found, _ = pours.judge(units)
    seen = set()
    for state, row in zip(found, units.T, strict=True):
        value = {v.term: float(v.middle + v.width * u) for v, u in zip(varied, row, strict=True)}
        text = PLAN
        for old, new in changes.values():
            text = text.replace(old, new)
        text = text.replace("6.8 ft/h" if changes else "3 ft/h", f"{value['rate']!r} ft/h")
        text = text.replace("85 F" if changes else "60 F", f"{value['temperature']!r} F")
        slump = f'"{value["slump"]!r} in"\nunit_weight = "{value["unit_weight"]!r} pcf"'
        verdict = check(read_plan(text.replace('"5 in"', slump)))
        assert verdict["pressure document"].status == "OK"
        passes = verdict["ties"].status == "OK"
        seen.add(passes)
        assert state in ((WITHIN, DOUBTFUL) if passes else (OVER, OVER)), value
    assert seen == {True, False}


def test_many_pressures_at_once_are_those_one_by_one():
    case = check(plan(ALL, **TALL)).case
    rates = np.linspace(0.5, 16.0, 60)
    warm = np.linspace(45.0, 95.0, 60)[::-1]
    found = case.peaks(rates, case.steady_rise(rates), {"temperature": warm})
    for rate, t, p in zip(rates, warm, found, strict=True):
        text = PLAN
        for old, new in {**TALL, "g": ("85 F", f"{float(t)!r} F")}.values():
            text = text.replace(old, new)
        one = check(read_plan(text)).case.envelope(float(rate))
        assert p == pytest.approx(float(one.p_max), rel=1e-12)


@pytest.mark.parametrize("names", [["rate"], ["temperature", "rate"], ["slump", "temperature"],
                                   ["rate", "temperature", "unit_weight", "slump"]])  # fmt: skip
def test_sorting_into_cells_changes_no_count(names):
    lines = [line for line in ALL.splitlines() if line.split(" ")[0] in names]
    given = plan("\n".join(lines), **TALL)
    case = check(given).case
    varied = _varied(case, "normal")
    pours = Pours(case, varied, 5.0, 200_000)
    pours.sort()
    by_cells, one_by_one, told = np.zeros(4, int), np.zeros(4, int), 0
    for _, units in _draws(varied, "normal", 5, 3 * CHUNK):
        one_by_one += np.bincount(pours.judge(units)[0], minlength=4)
        by_cells += pours.count(units)
        told += int(by_cells.sum())
    assert told > CHUNK  # the cells did tell something
    assert (by_cells + pours.rest() == one_by_one).all()


def test_what_the_document_gives_no_answer_for_never_passes():
    found = input_spread(plan('temperature = "8 F"\nexpected_temperature = "43 F"'), samples=50_000)
    assert contains(found, NORMAL((60.0 - found.margins.temperature - 43.0) / 8.0))
    cold = NORMAL((40.0 - 43.0) / 8.0)
    assert found.outside / found.samples == pytest.approx(cold, abs=0.01)
    strong = plan('temperature = "8 F"', a=("3000 lb", "9000 lb"), b=("60 F", "43 F"))
    assert input_spread(strong, samples=20_000).within == 20_000  # full liquid head passes


def test_a_heavier_pour_is_judged_by_a_heavier_form():
    """Full liquid head against the ties: over wherever the weight passes one edge."""
    text = SMALL.replace("3000 lb", "4680 lb") + SHEET
    given = plan('unit_weight = "2 pcf"\nexpected_unit_weight = "148 pcf"', text)
    found = input_spread(given, samples=200_000)

    def passes(weight):
        heavy = text + f'[concrete]\nunit_weight = "{weight!r} pcf"\n'
        return check(read_plan(heavy)).straight_up

    low, high = 130.0, 170.0
    assert passes(low)
    assert not passes(high)
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if passes(middle) else (low, middle)
    exact = 1.0 - NORMAL((low - 148.0) / 2.0)
    assert 0.02 < exact < 0.98
    assert found.share >= exact - 4.0 * (0.25 / found.samples) ** 0.5
    sure = (found.over - found.doubtful) / found.samples
    assert sure <= exact + 4.0 * (0.25 / found.samples) ** 0.5
    assert found.doubtful / found.samples < 0.1


# ------------------------------------------------------------------ told, repeated, refused


def test_same_seed_same_counts_whatever_the_chunk(monkeypatch):
    given = plan('rate = "0.4 ft/h"\ntemperature = "3 F"')
    first = input_spread(given, seed=7, samples=90_000)
    again = input_spread(given, seed=7, samples=90_000)
    assert (first.over, first.outside, first.most) == (again.over, again.outside, again.most)
    assert (first.peaks == again.peaks).all()
    monkeypatch.setattr("formpressure.spread.CHUNK", 1000)
    other = input_spread(given, seed=7, samples=90_000)
    assert (other.over, other.outside) == (first.over, first.outside)
    assert input_spread(given, seed=8, samples=90_000).over != first.over


def test_margins_come_with_it_and_quantiles_rise():
    found = input_spread(plan(ALL), samples=30_000)
    assert found.margins == margins(found.verdict)
    assert found.counted == found.within + found.over
    q = [found.quantile(s) for s in (0.05, 0.5, 0.95, 1.0)]
    assert q == sorted(q)
    assert q[-1] == found.most
    assert found.not_varied == ()
    rate = input_spread(plan('rate = "0.4 ft/h"'), samples=30_000)
    exact = check(plan('rate = "0.4 ft/h"')).case.envelope(3.0).p_max
    assert rate.quantile(0.5) == pytest.approx(exact, abs=0.02 * exact)
    assert rate.not_varied == ("temperature", "unit_weight", "slump")


def test_memory_does_not_grow_with_the_samples():
    given = plan('rate = "0.4 ft/h"\ntemperature = "3 F"')
    held = []
    for samples in (100_000, 2_000_000):
        tracemalloc.start()
        input_spread(given, samples=samples)
        held.append(tracemalloc.get_traced_memory()[1] / 1e6)
        tracemalloc.stop()
    assert max(held) < 48.0
    assert held[1] < held[0] + 8.0


@pytest.mark.parametrize(
    ("spread", "key"),
    [
        ("", "spread"),  # a table with nothing in it
        ('shape = "normal"', "spread"),
        ('shape = "round"\nrate = "1 ft/h"', "shape"),
        ('expected_rate = "3 ft/h"', "spread.expected_rate"), ('rate = "2 ft/h"', "spread.rate"),
        ("rate = 1", "spread.rate"), ('temperature = "-2 F"', "spread.temperature"),
        ('temperature = "0 F"', "spread.temperature"), ('unit_weight = "3 F"', "unit_weight"),
    ],
)  # fmt: skip
def test_a_spread_that_will_not_do_is_refused(spread, key):
    with pytest.raises(Refusal) as refused:
        input_spread(plan(spread))
    assert key in str(refused.value)


def test_a_spread_of_what_is_not_given_is_refused():
    with pytest.raises(Refusal, match=r"spread\.temperature.*concrete\.temperature"):
        plan('temperature = "2 F"', SMALL)
    with pytest.raises(Refusal, match=r"spread\.rate.*delivery\.fastest_rise"):
        input_spread(plan('rate = "1 ft/h"', SMALL))
    for wrong in ({"samples": 0}, {"samples": 10**10}, {"seed": -1}, {"seed": 1.5}):
        with pytest.raises(Refusal, match=next(iter(wrong))):
            input_spread(plan('rate = "0.4 ft/h"'), **wrong)


def test_without_a_spread_nothing_is_drawn():
    found = input_spread(read_plan(PLAN))
    assert (found.samples, found.varied, found.within, found.counted) == (0, (), 0, 0)
    assert np.isnan(found.share)
    assert found.interval == (0.0, 1.0)  # nothing is known
    assert found.margins == margins(found.verdict)
    assert found.margins.rate > 0.0


def test_a_verdict_knows_nothing_of_the_spread():
    with_it, without = check(plan(ALL)), check(read_plan(PLAN))
    assert [(c.name, c.status) for c in with_it.checks] == [
        (c.name, c.status) for c in without.checks
    ]
    assert with_it.plan.assumed == without.plan.assumed
