"""Published loads and strengths of braces, and limits of scaffold brackets, row by row."""

import json
from math import sqrt

import pytest
from published_rows import allowance, published, row_of
from scipy.optimize import bisect

from formpressure.capacity import column
from formpressure.capacity.lumber import form_lumber
from formpressure.demand import bracing, brackets


def stability_factor(given):
    FcE = column.buckling_stress(given["Emin_psi"], given["le_over_d"])
    return column.stability_factor(given["Fc_star_psi"], FcE, given["c"])


def column_load(given):
    return column.allowable_load(
        given["Fc_star_psi"], given["Emin_psi"], given["area_in2"], given["length_ft"] * 12,
        given["d_in"],
    )  # fmt: skip


def column_from_values(given):
    Fc_star = given["Fc_psi"] * given["CD"] * given["CF"]
    b, d = given["b_in"], given["d_in"]
    return column.allowable_load(
        Fc_star, given["Emin_psi"], b * d, given["length_ft"] * 12, min(b, d)
    )


def column_from_factor(given):
    """CP printed with four digits times the stress and area; CP itself from le/d of the same row.

    The row is the 16 ft brace of the source, so the length is known.
    """
    found = column.allowable_load(
        given["Fc_star_psi"], 580_000, given["b_in"] * given["d_in"], 192, given["d_in"]
    )
    assert found / (given["Fc_star_psi"] * given["b_in"] * given["d_in"]) == pytest.approx(
        given["C_P"], abs=0.00005
    )
    return found


def axial(height, attached, foot, spacing, top):
    force = bracing.horizontal_at(attached, height, top)
    return bracing.Brace(attached, foot, spacing).axial(force)


def axial_from_line_load(given):
    h = given["form_height_ft"]
    return axial(
        h, h, given["foot_distance_ft"], given["brace_spacing_ft"], given["line_load_top_plf"]
    )


def axial_from_wind(given):
    h, length = given["form_height_ft"], given["brace_length_ft"]
    foot = sqrt(length**2 - h**2)
    push = bracing.wind_push(given["wind_psf"], h, h)
    return axial(h, h, foot, given["brace_spacing_ft"], push.top)


def axial_below_top(given):
    return axial(
        given["form_height_ft"], given["brace_top_height_ft"], given["foot_distance_ft"], 1.0,
        given["top_line_load_plf"],
    )  # fmt: skip


def governing(given):
    height = given.get("h_ft", given.get("form_height_ft"))
    if "minimum_plf" in given:
        assert bracing.LEAST_TOP["US"] == given["minimum_plf"]
    both = bracing.pushes(given.get("wind_psf", 0.0), "US", height, attached=height)
    return max(push.top for push in both)


def height_where_wind_overtakes(given):
    assert bracing.LEAST_TOP["US"] == given["minimum_plf"]
    least = bracing.LEAST_TOP["US"]
    return bisect(lambda height: bracing.top_load(given["wind_psf"], height) - least, 1.0, 100.0)


def longest_unstayed(given):
    """By asking the column for a load at every hundredth of a foot."""
    lengths = [i / 100 for i in range(1, 3000)]
    carried = [
        length
        for length in lengths
        if column.allowable_load(1000.0, 500_000, 1.0, length * 12, given["least_in"]) is not None
    ]
    return max(carried)


def plank_span(given):
    plank = " ".join(reversed(given["plank"].split()))
    return brackets.plank_span(plank, given["load_psf"]) or "none"


COMPUTE = {
    "stability_factor": stability_factor,
    "column_load": column_load,
    "column_from_values": column_from_values,
    "column_from_factor": column_from_factor,
    "brace_axial_from_line_load": axial_from_line_load,
    "brace_axial_from_wind": axial_from_wind,
    "brace_axial_below_top": axial_below_top,
    "governing_top_load": governing,
    "top_load": lambda given: bracing.top_load(given["wind_psf"], given["h_ft"]),
    "height_where_wind_overtakes": height_where_wind_overtakes,
    "tension_stress": lambda given: form_lumber(**given).F_t,
    "longest_unstayed_ft": longest_unstayed,
    "angle_limit": lambda given: getattr(bracing, given["which"].upper()),
    "plank_span": plank_span,
    "sag": lambda given: brackets.allowed_sag(given["span_ft"]),
    "sag_share": lambda given: round(brackets.MOST_SAG.value, 6),
    "bracket_spacing_max": lambda given: brackets.MOST_SPACING.value,
    "plank_overhang_min": lambda given: brackets.LEAST_OVERHANG.value,
    "plank_overhang_max": lambda given: brackets.most_overhang(given["platform_ft"]),
}

test_published_number = published("bracing.csv", COMPUTE)


def test_a_wrong_answer_would_be_seen():
    row = row_of("bracing.csv", "CAP-B03")
    dry = json.loads(row["inputs"])
    longer = {**dry, "length_ft": dry["length_ft"] * 1.005}
    assert abs(column_from_values(longer) - float(row["expected"])) > allowance(row)
