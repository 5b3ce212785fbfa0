"""Array rules against plain numpy, and the rate table against cell by cell, in one run.

Run from the project's root: `.venv/bin/python reference_checks/speed/arrays.py`. Only the ratios
say something about another machine. Extra memory is measured by tracemalloc, results left out.
"""

import time
import tracemalloc

import numpy as np

from formpressure import RULES, Q, load_plan, rates
from formpressure.allowed import allowable_pressure
from formpressure.case import set_up
from formpressure.units import enter

RULE = RULES["aci347r_2014"]
FIXED = {
    "unit_weight": 150.0, "slump": 5.0, "chemistry": 1.0, "element": "wall",
    "vibration": "internal", "vibration_depth": 3.0,
}  # fmt: skip


def where_as_written(height, rate, temperature):
    """The wall rule as one would write it first."""
    b = 150 + 9000 * rate / temperature
    c = 150 + 43400 / temperature + 2800 * rate / temperature
    p = np.where((rate < 7) & (height <= 14), b, c)
    p = np.maximum(p, 600.0)
    p = np.where(rate > 15, 150 * height, p)
    return np.minimum(p, 150 * height)


def best(function, runs=5):
    """Shortest of some runs, seconds, and what it returned."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        result = function()
        times.append(time.perf_counter() - start)
    return min(times), result


def extra_memory(function):
    """Peak memory over what the returned result itself holds, MB."""
    tracemalloc.start()
    result = function()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    held = sum(a.nbytes for a in result if isinstance(a, np.ndarray))
    return (peak - held) / 1e6


def tell(name, ratio, bar):
    print(f"{name}: {ratio:.3g}, bar {bar:g}: {'met' if ratio <= bar else 'missed'}")


def array_rule():
    rng, n = np.random.default_rng(1), 10_000_000
    height, rate = rng.uniform(2, 25, n), rng.uniform(0.1, 18, n)
    warm = rng.uniform(40, 100, n)

    def ours():
        return RULE.envelope(height=height, rate=rate, temperature=warm, **FIXED)

    seconds, envelope = best(ours, 3)
    other, plain = best(lambda: where_as_written(height, rate, warm), 3)
    assert np.allclose(envelope.p_max, plain)
    tell("array rule with its clauses, 1e7 / np.where without", seconds / other, 0.35)
    held = extra_memory(lambda: (lambda e: (e.p_max, e.branch))(ours()))
    tell("  extra memory, MB", held, 16)
    n = 1_000_000
    quantities = {"height": Q(height[:n], "ft"), "rate": Q(rate[:n], "ft/h"),
                  "temperature": Q(warm[:n], "degF")}  # fmt: skip
    said = {**FIXED, "unit_weight": Q(150.0, "pcf"), "slump": Q(5.0, "inch"),
            "vibration_depth": Q(3.0, "ft")}  # fmt: skip
    with_units, _ = best(lambda: RULE(**quantities, **said))
    bare, _ = best(lambda: RULE.envelope(
        height=height[:n], rate=rate[:n], temperature=warm[:n], **FIXED))  # fmt: skip
    tell("quantity arrays / bare arrays, 1e6", with_units / bare, 1.2)
    one = {"height": Q(8.0, "ft"), "rate": Q(4.0, "ft/h"), "temperature": Q(60.0, "degF")} | said
    measured = {k: v for k, v in one.items() if hasattr(v, "m_as")}
    calls = 200
    whole, _ = best(lambda: [RULE(**one) for _ in range(calls)])
    inside, _ = best(lambda: [[enter(k, v) for k, v in measured.items()] for _ in range(calls)])
    tell("one quantity call / its conversions", whole / inside, 1.8)


def grid():
    height = np.linspace(2, 25, 120)[:, None, None]
    rate = np.linspace(0.1, 18, 120)[None, :, None]
    warm = np.linspace(40, 100, 200)[None, None, :]
    ours, envelope = best(
        lambda: RULE.envelope(height=height, rate=rate, temperature=warm, **FIXED)
    )
    other, plain = best(lambda: where_as_written(height, rate, warm))
    assert np.allclose(envelope.p_max, plain)
    tell("grid by axes with its clauses / broadcast np.where without", ours / other, 0.6)


def table():
    from scipy.optimize import brentq

    warm = np.linspace(40.0, 100.0, 70)[:, None]
    cc = np.linspace(1.0, 1.4, 8)[None, :]
    common = {**FIXED, "height": 9.0}
    del common["chemistry"]
    ours, found = best(
        lambda: RULE.allowed_bare(900.0, temperature=warm, chemistry=cc, **common).rate
    )

    def by_roots():
        return np.array([
            [
                brentq(lambda r, t=t, c=c: RULE.kernel(
                    rate=r, temperature=t, chemistry=c, **common)[0] - 900.0, 1e-6, 14.999)
                for c in cc.ravel()
            ]
            for t in warm.ravel()
        ])  # fmt: skip

    other, roots = best(by_roots, 1)
    assert np.allclose(found, roots)
    tell("560 cells in closed form / one root each", ours / other, 0.02)
    plan = load_plan("shared/plans/basement_9ft.toml")
    case = set_up(plan)
    through, whole = best(lambda: rates(plan).allowed)
    cell_by_cell, _ = best(
        lambda: [
            case.allowed_with(allowable_pressure(case).pressure, {"temperature": t, **changed})
            for t in rates(plan).temperatures
            for _, changed in case.rule.mixes(**case.given)
        ],
        1,
    )
    tell(f"rate table of {whole.size} cells / cell by cell", through / cell_by_cell, 0.01)


if __name__ == "__main__":
    array_rule()
    grid()
    table()
