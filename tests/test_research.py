"""The research model by its own statics, and what was measured: neither ever a verdict."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from formpressure import RULES, Q
from formpressure.errors import Refusal
from formpressure.records import Label
from formpressure.research.measured import measured_pressures, read_measured
from formpressure.research.ovarlez_roussel_2006 import (
    as_printed,
    balance_depth,
    held,
    ovarlez_roussel,
    stiffening_class,
)

WALL = {
    "height": "6.6 m", "thickness": "0.2 m", "rate": "2 m/h", "unit_weight": "2400 kg/m3",
    "growth": "0.2 Pa/s",
}  # fmt: skip
DRAWN = [(24.0, 0.2, 2.0, 0.2), (23.0, 0.6, 8.0, 0.05), (25.0, 1.5, 1.5, 1.0)]


@pytest.mark.parametrize(("w", "e", "rate", "growth"), DRAWN)
@pytest.mark.parametrize("rest", [0.0, 0.4])
def test_slice_by_slice(w, e, rate, growth, rest):
    """Both faces rub on a slice with a yield stress that has grown since it came to rest."""

    def slope(z, _):
        seconds = 3600.0 * (z / rate + rest)
        return w - 2.0 * growth * seconds / 1000.0 / e

    balance = float(balance_depth(w, e, rate, growth, rest))
    deep = 2.0 * max(balance, 0.1)
    walked = solve_ivp(slope, (0.0, deep), [0.0], rtol=1e-10, atol=1e-10, dense_output=True)
    for z in np.linspace(0.0, balance, 7):
        assert held(z, w, e, rate, growth, rest) == pytest.approx(
            float(walked.sol(z)[0]), rel=1e-7, abs=1e-7
        )
    assert slope(balance, 0.0) == pytest.approx(0.0 if balance else slope(0.0, 0.0), abs=1e-9)
    assert held(deep, w, e, rate, growth, rest) == held(balance, w, e, rate, growth, rest)
    if not rest:
        assert held(deep, w, e, rate, growth) == pytest.approx(w * balance / 2.0)  # half the head
        assert as_printed(2.0 * balance, w, e, rate, growth) == pytest.approx(0.0, abs=1e-9)


def test_never_over_liquid_head_never_negative_and_never_more_for_more_stiffening():
    rng = np.random.default_rng(3)
    w, e = rng.uniform(15.0, 30.0, 4000), rng.uniform(0.1, 3.0, 4000)
    rate, growth = rng.uniform(0.05, 20.0, 4000), rng.uniform(0.0, 2.0, 4000)
    depth, rest = rng.uniform(0.0, 30.0, 4000), rng.uniform(0.0, 5.0, 4000)
    p = held(depth, w, e, rate, growth, rest)
    assert np.all(p >= -1e-9)
    assert np.all(p <= w * depth * (1.0 + 1e-12))
    for worse in (
        held(depth, w, e, rate * 1.1, growth, rest), held(depth, w, e * 1.1, rate, growth, rest),
        held(depth, w, e, rate, growth * 0.9, rest), held(depth, w, e, rate, growth, rest * 0.9),
        held(depth * 1.1, w, e, rate, growth, rest),
    ):  # fmt: skip
        assert np.all(worse >= p - 1e-9)
    assert np.all(held(-depth, w, e, rate, growth, rest) == 0.0)


def test_quantities_in_and_out():
    found = ovarlez_roussel(**WALL)
    weight = 2400.0 * 9.80665 / 1000.0
    assert found.peak.m_as("kPa") == pytest.approx(float(held(6.6, weight, 0.2, 2.0, 0.2)))
    assert found.share < 0.5
    assert found.thixotropy.name == "thixotropic"
    assert {c.label for c in found.clauses} == {Label.MEMORY, Label.OWN}
    feet = ovarlez_roussel(**{**WALL, "height": Q(6.6 / 0.3048, "ft")})
    assert feet.peak.m_as("kPa") == pytest.approx(found.peak.m_as("kPa"))
    rested = ovarlez_roussel(**WALL, rest="30 min")
    assert rested.peak < found.peak
    stirred = ovarlez_roussel(**WALL, disturbed=True)
    assert stirred.peak == stirred.liquid_head
    plain = ovarlez_roussel(**{**WALL, "growth": "0 Pa/s"})
    assert plain.share == 1.0
    assert plain.thixotropy.name == "non-thixotropic"


@pytest.mark.parametrize(
    ("growth", "name"),
    [
        (0.1, "non-thixotropic"), (0.11, "thixotropic"), (0.5, "thixotropic"),
        (0.6, "highly thixotropic"),
    ],
)  # fmt: skip
def test_classes(growth, name):
    assert stiffening_class(growth).name == name
    assert stiffening_class(growth).clause.label is Label.MEMORY


@pytest.mark.parametrize(
    "changed",
    [{"thickness": 0.2}, {"rate": Q(0.0, "m/h")}, {"growth": "0.2 kPa"}, {"height": Q(-1.0, "m")}],
)
def test_what_will_not_do_is_refused(changed):
    with pytest.raises(Refusal):
        ovarlez_roussel(**{**WALL, **changed})


def test_no_plan_can_name_it():
    assert not any("ovarlez" in name or "2006" in name for name in RULES)
    assert not any("Ovarlez" in str(rule.document) for rule in RULES.values())


# ------------------------------------------------------------------ what was measured


def test_two_pressures_and_no_more():
    found = measured_pressures()
    kinds = [m.kind for m in found]
    assert {kind: kinds.count(kind) for kind in kinds} == {"pressure": 2, "ratio": 3, "index": 7}
    assert all(m.pressure is None for m in found if m.kind != "pressure")
    assert {m.label for m in found if m.kind == "pressure"} == {Label.QUOTED}
    assert len({m.id for m in found}) == len(found)
    field = next(m for m in found if m.id == "MP-02")
    assert field.share_of_head() == pytest.approx(7.0 / 20.0)
    with pytest.raises(Refusal, match="MP-06"):
        next(m for m in found if m.id == "MP-06").share_of_head("145 pcf")


ROW = """[[row]]
id = "X"
kind = "ratio"
source = "a text"
place = "p. 1"
label = "READ"
element = "a wall"
states = "half"
enough = "no"
"""


@pytest.mark.parametrize("missing", ["source", "place", "label", "kind", "states"])
def test_a_row_without_its_source_is_refused(missing):
    assert len(read_measured(ROW)) == 1
    lines = [line for line in ROW.splitlines() if not line.startswith(missing)]
    with pytest.raises(Refusal, match=missing):
        read_measured("\n".join(lines))
    with pytest.raises(Refusal, match="not a kind"):
        read_measured(ROW.replace('"ratio"', '"guess"'))
