"""Published pressures, coefficients, choices of equation, tie loads and ratings, row by row."""

import numpy as np
from published_rows import published

from formpressure import RULES, Q
from formpressure.capacity.ratings import FACTOR, rating
from formpressure.demand.ties import tie_rows
from formpressure.pressure import _aci347
from formpressure.pressure._aci347 import INCH_POUND, chemistry_coefficient, unit_weight_coefficient

PLAIN = {
    "cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "0 %", "slump": "5 in",
    "vibration": "internal", "vibration_depth": "3 ft",
}  # fmt: skip
CC = {1.0: "I", 1.2: "IV"}  # a cement that gives the coefficient without a retarder


def inch_pound(given, edition="aci347r_2014", **more):
    inputs = {
        **PLAIN,
        "height": f"{given.get('h_ft', 14)} ft",
        "unit_weight": f"{given.get('w_pcf', 150)} pcf",
        "element": given.get("element", "wall"),
        "cement": CC[given.get("Cc", 1.0)],
    }
    if "R_ft_h" in given:
        inputs |= {"rate": f"{given['R_ft_h']} ft/h", "temperature": f"{given['T_F']} F"}
    if "vibration_depth_ft" in given:
        inputs["vibration_depth"] = f"{given['vibration_depth_ft']} ft"
    return RULES[edition](**{**inputs, **more})


def pressure_wall(given):
    edition = "aci347_2004" if given["edition"] == "ACI 347-04" else "aci347r_2014"
    return inch_pound(given, edition).peak.m_as("lbf/ft**2")


def pressure_hydrostatic(given):
    full = {"height": f"{given['h_ft']} ft", "unit_weight": f"{given['w_pcf']} pcf"}
    return RULES["aci347r_2014"](**full).peak.m_as("lbf/ft**2")


def raw_b(given):
    return INCH_POUND.base + INCH_POUND.rate_b * given["R_ft_h"] / given["T_F"]


def raw_c(given):
    k = INCH_POUND
    return k.base + (k.constant_c + k.rate_c * given["R_ft_h"]) / given["T_F"]


def equation_choice(given):
    envelope = inch_pound({**given, "T_F": 70, "Cc": 1.0})
    return {
        _aci347.EQUATION_B: "b", _aci347.EQUATION_C: "c", _aci347.FAST: "hydrostatic",
        _aci347.VIBRATED: "hydrostatic",
    }[envelope.branch]  # fmt: skip


def unit_conversion(given):
    if "psf" in given:
        return Q(given["psf"], "psf").m_as("kPa")
    return Q(given["pcf"], "pcf").m_as("kN/m**3") * 1000 / 9.80665


def uniform(pressure, spacing_ft, width_ft, rows):
    """Tributary loads of rows of ties under one pressure over their whole height."""
    heights = tuple((np.arange(rows) + 0.5) * spacing_ft)
    ties = tie_rows(heights, 0.0, rows * spacing_ft, spacing=width_ft)
    return ties.width * ties.tributary.loads(1e12, pressure)[-1]


def tie_load(given):
    pressure = given.get("p_psf", given.get("pressure_psf"))
    rows = uniform(pressure, given["wale_spacing_in"] / 12, given["tie_spacing_in"] / 12, 5)
    return rows[2]


def tie_load_average(given):
    lines = 10
    rows = given["ties"] // lines
    loads = uniform(
        given["p_psf"], given["wall_height_ft"] / rows, given["wall_length_ft"] / lines, rows
    )
    return loads.mean()


def tie_row_full_head(given):
    heights = tuple(given["tie_height_in"] / 12 + 2.0 * i for i in range(4))
    ties = tie_rows(heights, 0.0, given["wall_height_ft"], spacing=2.0)
    w = given["unit_weight_pcf"]
    return (ties.width * ties.tributary.loads(w, w * given["wall_height_ft"]))[-1][0]


def tie_rating(given):
    if "breaking_lb" in given:
        return rating(given["breaking_lb"], "breaking load").usable
    stated = given["ultimate_lb"] / given["safety_factor"]
    assert rating(stated, f"working load at {given['safety_factor']}:1").usable == 0.75 * stated
    return stated


def chemistry(given):
    if "blend" in given:
        kind, share, _ = given["blend"].rsplit(" ", 2)
        shares = {"fly_ash": 0.0, "slag": 0.0, kind.replace(" ", "_"): float(share)}
        return chemistry_coefficient("I", given["retarder"], **shares)
    found = {chemistry_coefficient(c, given["retarder"], 0.0, 0.0) for c in ("I", "II", "III")}
    assert len(found) == 1
    return found.pop()


def si(given):
    inputs = {
        **PLAIN, "height": f"{given['h_m']} m", "unit_weight": f"{given['w_kg_m3']} kg/m3",
        "rate": f"{given['R_m_h']} m/h", "temperature": f"{given['T_C']} C", "element": "wall",
    }  # fmt: skip
    return RULES["aci347r_2014_si"](**inputs).peak.m_as("kPa")


def from_base(given):
    full = {"height": f"{given['h_ft']} ft", "unit_weight": f"{given['w_pcf']} pcf"}
    return RULES["aci347r_2014"](**full, from_base=True).peak.m_as("lbf/ft**2")


def largest_rate(given):
    allowed = RULES["aci347r_2014"].allowed(
        f"{given['p_psf']} psf", **PLAIN, element="wall", height=f"{given['h_ft']} ft",
        unit_weight=f"{given['w_pcf']} pcf", temperature=f"{given['T_F']} F",
    )  # fmt: skip
    return "infeasible" if allowed.kind == "none" else allowed.rate


COMPUTE = {
    "pressure_wall": pressure_wall,
    "pressure_hydrostatic": pressure_hydrostatic,
    "pressure_table_equation_b_raw": raw_b,
    "pressure_table_equation_c_raw": raw_c,
    "equation_choice": equation_choice,
    "unit_conversion": unit_conversion,
    "tie_load": tie_load,
    "tie_load_average": tie_load_average,
    "tie_row_full_head": tie_row_full_head,
    "tie_rating": tie_rating,
    "tie_safety_factor_min": lambda given: FACTOR,
    "computed_wall": lambda given: inch_pound(given).peak.m_as("lbf/ft**2"),
    "computed_column": lambda given: inch_pound(given, element="column").peak.m_as("lbf/ft**2"),
    "computed_wall_si": si,
    "computed_pumped_from_base": from_base,
    "computed_max_rate_for_capacity": largest_rate,
    "coefficient_Cw": lambda given: float(unit_weight_coefficient(INCH_POUND, given["w_pcf"])),
    "coefficient_Cc": chemistry,
}

test_published_number = published("pressure_and_ties.csv", COMPUTE)
