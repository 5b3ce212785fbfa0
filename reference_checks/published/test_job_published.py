"""Published tolerances, hours before stripping, maturity, nails, and what crews go by."""

from published_rows import published

from formpressure import read_plan
from formpressure.job.counts import loading_list
from formpressure.job.plumb import tolerance
from formpressure.job.setting import hours_above, temperature_time
from formpressure.job.strip import crossing, strip_times
from formpressure.job.timber import (
    HALF,
    comes_through,
    nail_length,
    nail_that_stays,
    plank_line,
)

PLAN = """
units = "US"
wall = { height = "8 ft" }
ties = { load = "3000 lb", basis = "breaking load", heights = ["1 ft"], spacing = "2 ft" }
delivery = { length = "100 ft" }
[strip]
strength_specified = false
carries_forms = false
"""


def out(given, what, unit="inch"):
    height = f"{given['height_ft']} ft" if "height_ft" in given else f"{given['height_m']} m"
    return tolerance(given["document"], what, height).value.m_as(unit)


def hours_needed(given):
    record = f'record = [{{ time = "40 h", air = "{given["air_F"]} F" }}]'
    return strip_times(read_plan(PLAN + record)).strip.hour / 60


def hour_reached(given):
    log = [(f"{h} h", f"{f} F") for h, f in given["log"]]
    return crossing(lambda s: hours_above(s).value.m_as("h"), log, given["needed_h"]) / 60


def factor_reached(given):
    def factor(steps):
        return temperature_time(steps, datum=f"{given['datum_C']} C", system="SI").value.magnitude

    log = [(f"{h} h", f"{c} C") for h, c in given["steps"]]
    return crossing(factor, log, given["needed"]) / 60


def supports(given):
    line = plank_line(40.0, given["plank_ft"], given["span_ft"], given["overhang_in"] / 12)
    return line.supports


def brace_spacing(given):
    found = loading_list(read_plan(PLAN))
    (brace,) = [i for i in found.items if i.name == "brace"]
    assert brace.count == 11
    return brace.size[0].bare


COMPUTE = {
    "plumb_tolerance": lambda given: out(given, "plumb"),
    "line_tolerance": lambda given: out(given, "line"),
    "face_tolerance": lambda given: tolerance(given["document"], given["what"]).value.m_as("inch"),
    "plumb_tolerance_mm": lambda given: out(given, "plumb", "mm"),
    "hours_needed": hours_needed,
    "hour_reached": hour_reached,
    "factor_reached": factor_reached,
    "nail_length": lambda given: nail_length(given["penny"]),
    "nail_through": lambda given: (
        "stays" if comes_through(given["penny"], *given["layers_in"]) < 0 else "comes through"
    ),
    "nail_that_stays": lambda given: nail_that_stays(*given["layers_in"]),
    "plank_supports": supports,
    "lap": lambda given: HALF * given["panel_in"],
    "brace_spacing": brace_spacing,
}

test_published_number = published("job.csv", COMPUTE)
