"""Rise of the concrete by one truck: the simulated pour against volume over plan area."""

import csv
import json
from pathlib import Path

import pytest

from formpressure.pour import Load, Pass, Run, fill, stations_of

CSV = Path(__file__).with_name("rise.csv").read_text(encoding="utf-8")
ROWS = list(csv.DictReader(CSV.splitlines()))
YARD = 27.0
TALL = 50.0  # ft: no truck of these rows over-tops it


def truck_rise(given):
    run = Run("run", given["length_ft"], given["thickness_in"] / 12, 0.0, TALL)
    stations = stations_of(run, run.length)
    pour = fill(stations, [Pass(0, TALL)], [Load(0.0, 10.0, given["yards"] * YARD)])
    return float(pour.levels[0][-1])


COMPUTE = {"truck_rise": truck_rise}


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_rise(row, pytestconfig):
    found = COMPUTE[row["topic"]](json.loads(row["inputs"]))
    assert row["tolerance"] == "exact"
    assert found == pytest.approx(float(row["expected"]), rel=1e-12, abs=0)
    pytestconfig.published_rows[row["label"]] += 1
