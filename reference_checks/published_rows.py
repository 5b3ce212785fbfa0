"""Rows of published answers: read them, and compare one with what the library gives."""

import csv
import json
from pathlib import Path

import pytest

# Worked out from an equation, not printed as an answer: counted apart.
ALONE = ("computed_", "coefficient_", "ciria108.", "din18218.", "envelope.")
ROUNDING = 1e-12  # of the answer: what "exact" leaves to the arithmetic of a computer


def published(name, compute):
    """The test of every row of one table, each under its own id."""
    table = _rows(name)

    @pytest.mark.parametrize("row", table, ids=[row["id"] for row in table])
    def test(row, pytestconfig):
        compare(row, compute, pytestconfig.published_rows)

    return test


def row_of(name, id):
    """One row of one table."""
    return next(row for row in _rows(name) if row["id"] == id)


def _rows(name):
    text = (Path(__file__).parent / "published" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def allowance(row):
    """The row's own tolerance: absolute, or percent, or exact. A unit or reason may follow it."""
    text = row["tolerance"].split()[0]
    if text == "exact":
        return ROUNDING * abs(float(row["expected"]))
    if text.endswith("%"):
        return float(text[:-1]) / 100 * abs(float(row["expected"]))
    return float(text)


def compare(row, compute, counts):
    """What `compute` has for the topic of a row against its answer; then count the row's label."""
    found = compute[row["topic"]](json.loads(row["inputs"]))
    try:
        expected = float(row["expected"])
    except ValueError:
        assert found == row["expected"]
    else:
        assert found == pytest.approx(expected, abs=allowance(row), rel=0)
    alone = row["topic"].startswith(ALONE)
    counts[f"{row['label']} (from the equation alone)" if alone else row["label"]] += 1
