"""Published loads of corners, stops, sloping faces and anchors, row by row."""

from dataclasses import replace
from math import sqrt

from published_rows import published

from formpressure import RULES, read_plan
from formpressure.case import set_up
from formpressure.checks.ends import placement_joint
from formpressure.demand import ends
from formpressure.demand.ties import tie_rows


def liquid(height, unit_weight=150):
    """Full liquid head and the rows of a wall with one row of ties."""
    rule = RULES["aci347r_2014"]
    full = rule(height=f"{height} ft", unit_weight=f"{unit_weight} pcf")
    return full, tie_rows((height / 2,), 0.0, float(height), spacing=2.0)


def uniform(pressure):
    """So tall a wall that its lowest part is under one pressure."""
    full, rows = liquid(40)
    return replace(full, own_p_max=float(pressure)), rows


def bulkhead_thrust(given):
    full, rows = liquid(given["height_ft"], given["unit_weight_pcf"])
    one_hold = (given["height_ft"] / 2,)
    return ends.bulkhead_holds(full, one_hold, rows, given["thickness_in"] / 12).tributary[0]


def corner_joint_tension(given):
    envelope, rows = uniform(given["pressure_psf"])
    width = ends.corner_width(given["corner_to_first_tie_in"] / 12, thickness=0.0)
    return ends.on_connector(envelope, rows, width, spacing=1.0)


def batter_uplift(given):
    full, rows = liquid(given["height_ft"], given["unit_weight_pcf"])
    return ends.slope_uplift(full, rows, given["batter_run_per_rise"])


def two_faces_at_a_corner(given):
    envelope, rows = uniform(given["p_psf"])
    width = ends.corner_width(given["column_width_in"] / 12, thickness=0.0)
    return sqrt(2) * ends.on_connector(envelope, rows, width, given["yoke_spacing_in"] / 12)


def anchor_factor(given):
    """Breaking load over what the check lets be used of it."""
    plan = read_plan(f"""
        units = "US"
        wall = {{ height = "12 ft", placed_from = "2 ft", hardened = "3 days" }}
        ties = {{ load = "5000 lb", basis = "breaking load", heights = ["4 ft"], spacing = "2 ft" }}
        [form.placement_joint]
        load = "6000 lb"
        basis = "breaking load"
        spacing = "4 ft"
        live_load = {str(given["live_load"]).lower()}
    """)
    case = set_up(plan)
    return 6000.0 / placement_joint(case, case.liquid_head()).capacity.bare


COMPUTE = {
    "bulkhead_thrust": bulkhead_thrust,
    "corner_joint_tension": corner_joint_tension,
    "batter_uplift": batter_uplift,
    "two_faces_at_a_corner": two_faces_at_a_corner,
    "anchor_factor": anchor_factor,
}

test_published_number = published("ends.csv", COMPUTE)
