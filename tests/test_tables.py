"""The loader of tables, and the tables of wood that ship with the package."""

import math
from itertools import pairwise

import pytest

from formpressure.capacity.lumber import (
    ONCE,
    adjusted_bending,
    allowed_loads,
    bearing_value,
    duration_factor,
    form_lumber,
    wet_bending_factor,
    wet_compression_factor,
)
from formpressure.capacity.plywood import (
    allowed_pressures,
    form_plywood,
    panel_deflection,
)
from formpressure.capacity.spans import (
    ONE,
    THREE,
    TWO,
    WORST,
    inch_pound,
    load_by_rolling_shear,
    load_by_shear,
    own_units,
    spans_of,
)
from formpressure.errors import Refusal
from formpressure.plan_form import LUMBER, SPECIES
from formpressure.records import Label
from formpressure.tables import load_tables, read_tables

GOOD = """
[sizes.source]
body = "B"
title = "T"
year = 2000
place = "p. 1"
label = "READ"
says = "sizes"
[sizes.units]
b = "in"
[[sizes.row]]
size = "2x4"
b = 1.5
[[sizes.row]]
size = ["2x6", "2x8"]
b = 1.5
label = "MEMORY"
place = "p. 2"
"""


def test_a_table_tells_where_each_row_stands():
    table = read_tables(GOOD)["sizes"]
    first, second = table.find(size="2x4"), table.find(size="2x8")
    assert (first["b"], str(first.clause)) == (1.5, "B, T, 2000, p. 1: sizes")
    assert second.clause.label is Label.MEMORY
    assert "p. 2, from memory" in str(second.clause)
    with pytest.raises(Refusal, match="2x4; 2x6/2x8"):
        table.find(size="2x10")


@pytest.mark.parametrize(
    ("line", "instead", "problem"),
    [
        ('body = "B"\n', "", "lacks its body"),
        ('title = "T"\n', "", "lacks its title"),
        ("year = 2000\n", 'year = "2000"\n', "lacks its year"),
        ("year = 2000\n", 'undated = ""\n', "lacks its year"),
        ('place = "p. 1"\n', 'place = ""\n', "lacks its place"),
        ('says = "sizes"\n', "", "lacks its says"),
        ('label = "READ"\n', "", "lacks its label"),
        ('label = "READ"\n', 'label = "SURE"\n', "not a label"),
        ('label = "MEMORY"\n', 'label = "SURE"\n', "not a label"),
        ('[sizes.units]\nb = "in"\n', "", "without units"),
        ('b = "in"\n', "", "without a unit"),
        ("[sizes.source]\n", "[sizes.origin]\n", "without a source"),
        ("[[sizes.row]]", "[[sizes.line]]", "without rows"),
    ],
)
def test_a_table_without_source_units_or_label_is_refused(line, instead, problem):
    assert line in GOOD
    with pytest.raises(Refusal, match=problem):
        read_tables(GOOD.replace(line, instead))


def test_what_ships_from_memory_is_known_and_counted():
    memory = [
        (name, *[v for v in row.values.values() if isinstance(v, str | list)])
        for file in ("lumber", "plywood")
        for name, table in load_tables(file).items()
        for row in table.rows
        if row.clause.label is Label.MEMORY
    ]
    assert memory == [
        ("sizes", "2x6"),
        ("sizes", "2x8"),
        ("values", "Southern Pine", "No.2", ["2x8"]),
        ("values", "Southern Pine", "No.2", ["4x4"]),
        ("size_factor", "Stud", ["2x6"]),
        ("stresses", "form grade class I", [True], "normal"),
    ]


@pytest.mark.parametrize("species", SPECIES)
@pytest.mark.parametrize("size", LUMBER)
def test_every_choice_of_the_plan_is_tabulated_in_no_2(size, species):
    member = form_lumber(size, species, "No.2")
    assert member.F_cp == pytest.approx(bearing_value(species))
    assert member.F_cp == form_lumber(size, species, "No.2", load=ONCE).F_cp  # never CD
    assert member.E == form_lumber(size, species, "No.2", load=ONCE).E
    assert form_lumber(size, species, "No.2", load=ONCE).F_v == pytest.approx(1.25 * member.F_v)


def test_what_is_not_tabulated_is_refused():
    with pytest.raises(Refusal):
        form_lumber("2x4", "Hem-Fir", "Stud")
    with pytest.raises(Refusal):
        form_lumber("2x8", "Douglas Fir-Larch", "Stud")


@pytest.mark.parametrize(
    ("grade", "face_grain", "cure"),
    [
        ("form grade class I", "across", "Use (.+ in, )*3/4 in(, .+ in)*"),
        ("group 1 S-1 wet", "along", "Only face grain across the studs is tabulated here"),
    ],
)
def test_a_panel_that_is_not_tabulated_is_refused_with_what_is(grade, face_grain, cure):
    problem = f"not a tabulated thickness of {grade}, face grain {face_grain}"
    with pytest.raises(Refusal, match=f'^"0.7 in": {problem}. {cure}.$'):
        form_plywood(0.7, grade, face_grain, reused=True)


def test_size_factor_is_not_applied_to_southern_pine_again():
    pine = form_lumber("2x4", "Southern Pine", "No.2")
    assert pine.F_b == pytest.approx(1100)  # CF 1, and CM spared under 1,150 psi
    assert pine.F_c == pytest.approx(1450 * 0.8)
    assert len(form_lumber("2x4", "Hem-Fir", "No.2").clauses) == len(pine.clauses) + 1
    assert form_lumber("2x6", "Hem-Fir", "No.2").F_b == pytest.approx(850 * 1.3)  # 1,105: spared
    assert form_lumber("2x4", "Hem-Fir", "No.2").F_b == pytest.approx(850 * 1.5 * 0.85)


def test_wet_factors_are_spared_up_to_their_limits():
    assert wet_bending_factor(1150) == 1.0
    assert wet_bending_factor(1150.1) == 0.85
    assert wet_compression_factor(750) == 1.0
    assert wet_compression_factor(750.1) == 0.8
    assert adjusted_bending(1000, 1.0, 1.0) == 1000


def test_studs_take_the_repetitive_factor_up_to_24_inches():
    plain = form_lumber("2x4", "Hem-Fir", "No.2")
    assert form_lumber("2x4", "Hem-Fir", "No.2", spacing=24.0).F_b == pytest.approx(
        1.15 * plain.F_b
    )
    assert form_lumber("2x4", "Hem-Fir", "No.2", spacing=24.1).F_b == plain.F_b
    assert duration_factor("ten minutes") == 1.6


def test_a_member_names_the_least_sure_of_its_sources():
    assert form_lumber("2x4", "Hem-Fir", "No.2").clause.label is Label.QUOTED
    assert form_lumber("2x6", "Hem-Fir", "No.2").clause.label is Label.MEMORY  # its dressed size


def test_two_pieces_carry_twice_and_sag_half():
    one, two = (form_lumber("2x4", "Hem-Fir", "No.2", pieces=n) for n in (1, 2))
    for how, load in allowed_loads(one, 30.0).items():
        assert allowed_loads(two, 30.0)[how] == pytest.approx(2 * load)


def test_plywood_keeps_the_seven_days_it_is_printed_with():
    once = form_plywood(0.75, "form grade class I", "across", reused=False)
    again = form_plywood(0.75, "form grade class I", "across", reused=True)
    assert (once.F_b, once.F_s) == (1930, 72)
    assert (again.F_b, again.F_s) == (1545, 57)
    assert again.clause.label is Label.MEMORY
    assert once.clause.label is Label.READ
    assert once.deflection_clause.label is Label.MEMORY  # the term for shear
    assert form_plywood(0.75, "group 1 S-1 wet", "across", reused=True).F_b == 1430


def test_no_span_is_refused_with_the_cure():
    with pytest.raises(Refusal, match=r"^0: no span at all\. Write 1 or more\.$"):
        spans_of(0)


def test_worst_spans_are_the_least_of_each():
    for part in ("moment", "shear", "rolling", "deflection"):
        assert getattr(WORST, part) == min(getattr(s, part) for s in (ONE, TWO, THREE))
    assert spans_of(None) == WORST
    with pytest.raises(Refusal):
        spans_of(0)


def test_two_spans_and_one_by_statics():
    """Against the beam integrated numerically: M'' = -w, EI v'' = -M."""
    n = 20_000
    x = [i / n for i in range(n + 1)]
    for spans, reaction in ((ONE, 0.5), (TWO, 0.375)):
        moment = [reaction * y - y * y / 2 for y in x]
        slope = deflected = 0.0
        path = [0.0]
        for a, b in pairwise(moment):
            middle = slope - (a + b) / 4 / n
            deflected += middle / n
            slope -= (a + b) / 2 / n
            path.append(deflected)
        sag = max(v - path[-1] * y for v, y in zip(path, x, strict=True))
        assert 12 / spans.deflection == pytest.approx(sag, rel=1e-4)
        assert 12 / spans.moment == pytest.approx(max(map(abs, moment)))
        assert 12 / spans.shear == pytest.approx(max(reaction, 1 - reaction))


def test_a_load_within_d_of_the_supports_needs_no_shear():
    assert load_by_shear(180, 1.5, 3.5, 7.0) == math.inf
    assert load_by_rolling_shear(57.0, 6.2, 0.0) == math.inf  # no clear span
    assert load_by_shear(180, 1.5, 3.5, 7.1) > load_by_shear(180, 1.5, 3.5, 8.0)


def test_one_span_of_plywood_by_hand():
    """Statics: 5 w l^4 / 384 EI and w l / 2, w in plf on 1 ft. The group 1 panel's E allows for
    shear; the form grade has it apart, over the clear 10.5 in."""
    group = form_plywood(0.75, "group 1 S-1 wet", "across", reused=True)
    assert group.E_shear == 0.0
    bent = 5 * (50 / 12) * 12**4 / (384 * group.E * group.inertia)
    assert panel_deflection(group, 50.0, 12.0, 1.5, ONE) == pytest.approx(bent)
    form = form_plywood(0.75, "form grade class I", "across", reused=True)
    bent = 5 * (50 / 12) * 10.75**4 / (384 * form.E * form.inertia)
    sheared = 120 * 50 * 0.75**2 * 10.5**2 / (1270 * form.E_shear * form.inertia)
    assert panel_deflection(form, 50.0, 12.0, 1.5, ONE) == pytest.approx(bent + sheared)
    rolling = allowed_pressures(form, 12.0, 1.5, ONE)["rolling shear"]
    assert rolling / 12 * 10.5 / 2 == pytest.approx(form.F_s * form.IbQ)


def test_plywood_bends_less_over_wide_supports():
    panel = form_plywood(0.75, "form grade class I", "across", reused=False)
    assert panel_deflection(panel, 600.0, 12.0, 1.5) < panel_deflection(panel, 600.0, 12.0, 0.0)


def test_the_door_of_si_plans_goes_both_ways():
    assert inch_pound("load", 4.4482216152605e-3, "SI") == pytest.approx(1.0)  # kN, by definition
    assert inch_pound("size", 25.4, "SI") == pytest.approx(1.0)
    assert inch_pound("bearing_area", 645.16, "SI") == pytest.approx(1.0)
    assert inch_pound("pressure", 7.0, "US") == 7.0
    for term in ("pressure", "load", "line_load", "spacing", "height", "size"):
        assert own_units(term, inch_pound(term, 3.0, "SI"), "SI") == pytest.approx(3.0)
