"""The research model and the measured pressures against their texts, row by row."""

import csv
import json
from pathlib import Path

import pytest

from formpressure import Q
from formpressure.research.measured import measured_pressures
from formpressure.research.ovarlez_roussel_2006 import as_printed, held

CSV = Path(__file__).with_name("research.csv").read_text(encoding="utf-8")
ROWS = list(csv.DictReader(CSV.splitlines()))
WALL = next(m for m in measured_pressures() if m.id == "MP-01")


def bare(given):
    """Depth, unit weight, thickness, rate and growth as the kernels take them."""
    weight = given["rho"] * given["g"] / 1000.0
    return given["H_m"], weight, given["e_m"], given["R_m_h"], given["Athix_Pa_s"]


def unit(given):
    assert WALL.pressure == Q(given["psi"], "psi")
    return WALL.pressure.m_as("kPa")


def ratio(given):
    assert (WALL.pressure, WALL.height) == (Q(given["p_psi"], "psi"), Q(given["H_ft"], "ft"))
    return WALL.share_of_head(f"{given['w_pcf']} pcf")


COMPUTE = {
    "ovarlez_roussel.bottom": lambda given: as_printed(*bare(given)),
    "ovarlez_roussel.peak": lambda given: float(held(*bare(given))),
    "measured.unit": unit,
    "measured.ratio": ratio,
}


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_number(row, pytestconfig):
    found = COMPUTE[row["topic"]](json.loads(row["inputs"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)
    alone = row["topic"].startswith("ovarlez_roussel.")
    label = f"{row['label']} (from the equation alone)" if alone else row["label"]
    pytestconfig.published_rows[label] += 1
