"""What may be used of a stated rating, by its basis."""

from dataclasses import replace

import pytest

from formpressure import RULES, Refusal
from formpressure.capacity.ratings import CLAUSE, OWN, rating

DIN, ACI = RULES["din18218_2010"], RULES["aci347r_2014"]


@pytest.mark.parametrize(
    ("basis", "clause", "usable", "breaking"),
    [
        ("working load at 2:1", CLAUSE, 3000.0, False),
        ("Working  load at 1.5 to 1", CLAUSE, 2250.0, False),
        ("working load at 1:1", CLAUSE, 1500.0, False),
        ("working load at 3:1", CLAUSE, 3000.0, False),  # never more than was stated
        ("working load at 10:1", CLAUSE, 3000.0, False),
        ("breaking load", CLAUSE, 1500.0, True),
        ("breaking pressure", OWN, 1500.0, True),
        ("working pressure at 1.25:1", OWN, 1875.0, False),
        ("allowable stress", OWN, 3000.0, False),
    ],
)
def test_usable(basis, clause, usable, breaking):
    found = rating(3000.0, basis, clause)
    assert (found.usable, found.stated, found.clause) == (usable, 3000.0, clause)
    assert (found.is_breaking, found.is_design) == (breaking, False)


def test_a_design_resistance_is_divided_by_the_partial_factor_of_its_document():
    found = rating(90.0, "design resistance", by=DIN)
    assert (found.usable, found.is_design, found.factor) == (60.0, True, 1.0)
    assert found.clause is DIN.partial_clause


@pytest.mark.parametrize(
    ("basis", "clause", "by", "cure"),
    [
        ("working load", CLAUSE, None, 'Write "working load at 2:1" with the factor'),
        ("working load at 0.9:1", CLAUSE, None, "with the factor"),
        ("working load at 11:1", CLAUSE, None, "with the factor"),
        ("allowable stress", CLAUSE, None, "with the factor"),  # of ties there is none
        ("working pressure", OWN, None, '"working pressure at 2:1", "breaking pressure" or'),
        ("design resistance", CLAUSE, ACI, "name a document that does"),
        ("design resistance", CLAUSE, None, "name a document that does"),
        ("design resistance", CLAUSE, None, "this check does not compare design resistances"),
        ("design resistance", CLAUSE, replace(DIN, partial_clause=None), "name a document"),
        ("design resistance", CLAUSE, replace(DIN, partial_factor=None), "name a document"),
    ],
)
def test_a_basis_that_does_not_tell_the_factor_is_refused(basis, clause, by, cure):
    with pytest.raises(Refusal) as refused:
        rating(3000.0, basis, clause, by)
    assert cure in str(refused.value)
    assert basis in str(refused.value)
