"""The comparison itself: an answer off by more than the tolerance fails and is not counted."""

from collections import Counter

import pytest
from published_rows import allowance, compare, row_of

ROW = {"topic": "computed_sum", "inputs": '{"a": 2}', "expected": "5", "label": "READ"}


@pytest.mark.parametrize(
    ("tolerance", "wide"),
    [("0.5", 0.5), ("2 psf", 2.0), ("10%", 0.5), ("exact", 5e-12), ("exact (round up)", 5e-12)],
)
def test_a_row_passes_within_its_tolerance_only(tolerance, wide):
    row, counts = {**ROW, "tolerance": tolerance}, Counter()
    assert allowance(row) == pytest.approx(wide)
    compare(row, {"computed_sum": lambda given: given["a"] + 3 + 0.9 * wide}, counts)
    assert counts == {"READ (from the equation alone)": 1}
    with pytest.raises(AssertionError):
        compare(row, {"computed_sum": lambda given: given["a"] + 3 - 1.1 * wide}, counts)
    with pytest.raises(AssertionError):
        compare({**row, "expected": "none"}, {"computed_sum": lambda _: "some"}, counts)
    assert counts.total() == 1


@pytest.mark.parametrize(
    ("table", "id"), [("ends.csv", "US-A10"), ("pressure_and_ties.csv", "US-G01")]
)
def test_a_slightly_wrong_answer_would_be_seen(table, id):
    row = row_of(table, id)
    assert 0.002 * float(row["expected"]) > allowance(row)
