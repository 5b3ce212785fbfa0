"""Array rules against plain numpy, and the rate table against cell by cell.

The table is that of a wall: 560 cells from the form's own strength to the rate, and also the 39 of
the command `rates` as it prints them.
"""

from itertools import product

import numpy as np
from ratios import PLAN, extra, extra_mb, ratio, row
from scipy.optimize import brentq

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


def array_rule():
    rng, n = np.random.default_rng(1), 10_000_000
    height, rate = rng.uniform(2, 25, n), rng.uniform(0.1, 18, n)
    warm = rng.uniform(40, 100, n)

    def ours(part=slice(None)):
        return RULE.envelope(height=height[part], rate=rate[part], temperature=warm[part], **FIXED)

    def plain():
        return where_as_written(height, rate, warm)

    assert np.allclose(ours().p_max, plain())
    row("array rule with its clauses, 1e7 / np.where without", ratio(ours, plain, 7), 0.35,
        cost="Scratch rows handed from step to step were tried: three tenths less time, four "
        "without the clause of each element. It would also take minima and maxima for the choice "
        "between the equations, which holds for the numbers of one unit system only.")  # fmt: skip
    row("array rule: extra memory, MB", extra_mb(ours), 16.0)
    some = slice(1_000_000)
    said = {**FIXED, "unit_weight": Q(150.0, "pcf"), "slump": Q(5.0, "inch"),
            "vibration_depth": Q(3.0, "ft")}  # fmt: skip
    quantities = {"height": Q(height[some], "ft"), "rate": Q(rate[some], "ft/h"),
                  "temperature": Q(warm[some], "degF"), **said}  # fmt: skip
    row("quantity arrays / bare arrays, 1e6",
        ratio(lambda: RULE(**quantities), lambda: ours(some), 25), 1.2,
        memory=extra(lambda: RULE(**quantities)))  # fmt: skip
    one = {**said, "height": Q(8.0, "ft"), "rate": Q(4.0, "ft/h"), "temperature": Q(60.0, "degF")}
    measured = {k: v for k, v in one.items() if hasattr(v, "m_as")}

    def calls():
        return [RULE(**one) for _ in range(500)]

    def conversions():
        return [[enter(term, value) for term, value in measured.items()] for _ in range(500)]

    row("one quantity call / its conversions", ratio(calls, conversions, 15), 1.8,
        memory=extra(calls),
        cost="A rule is array arithmetic, which on single numbers costs most of what is over: "
        "it takes a second copy of every rule and of its ranges, for single numbers.")  # fmt: skip


def grid():
    height = np.linspace(2, 25, 120)[:, None, None]
    rate = np.linspace(0.1, 18, 120)[None, :, None]
    warm = np.linspace(40, 100, 200)[None, None, :]

    def ours():
        return RULE.envelope(height=height, rate=rate, temperature=warm, **FIXED)

    def plain():
        return where_as_written(height, rate, warm)

    assert np.allclose(ours().p_max, plain())
    row("grid by axes with its clauses / broadcast np.where without", ratio(ours, plain, 15), 0.6,
        memory=extra(ours),
        cost="The clause of each element is a fifth of it. Without that and with every step worked "
        "in place, in scratch rows, it would come near, by the count of its steps.")  # fmt: skip


def rate_table():
    warm = np.linspace(40.0, 100.0, 70)[:, None]
    cc = np.linspace(1.0, 1.4, 8)[None, :]
    common = {**FIXED, "height": 9.0}
    del common["chemistry"]

    def over(rate, *of):
        inputs = dict(zip(("temperature", "chemistry"), of, strict=True))
        return RULE.kernel(rate=rate, **inputs, **common)[0] - 900.0

    def ours():
        return RULE.allowed_bare(900.0, temperature=warm, chemistry=cc, **common).rate

    def roots():
        return [brentq(over, 1e-6, 14.999, args=of) for of in product(warm.flat, cc.flat)]

    assert np.allclose(ours().ravel(), roots())
    row("560 rates in closed form / one root each", ratio(ours, roots, 3), 0.02, memory=extra(ours))

    plan = load_plan(PLAN)
    case = set_up(plan)

    def wall(changed):
        return case.allowed_with(allowable_pressure(case).pressure, changed).rate

    def through():
        return wall({"temperature": warm, "chemistry": cc})

    def cells():
        return [wall({"temperature": t, "chemistry": c}) for t, c in product(warm.flat, cc.flat)]

    assert np.allclose(through().ravel(), cells())
    row("560 rates through a wall / cell by cell", ratio(through, cells, 3), 0.01,
        memory=extra(through))  # fmt: skip

    printed = rates(plan)
    mixes = [changed for _, changed in case.rule.mixes(**case.given)]

    def printed_cells():
        return [wall({"temperature": t, **mix}) for t, mix in product(printed.temperatures, mixes)]

    assert np.allclose(printed.allowed.ravel(), printed_cells())
    row(f"the printed table, {printed.allowed.size} rates / cell by cell",
        ratio(lambda: rates(plan), printed_cells, 7), 0.01, memory=extra(lambda: rates(plan)),
        cost="One search of the form's strength serves every cell, so one in 39, 0.026, is the "
        "least there can be; the bar was set for the 560 cells of the row above.")  # fmt: skip


def main():
    array_rule()
    grid()
    rate_table()


if __name__ == "__main__":
    main()
