"""Concrete in a plain wall, and its rise by one truck by the simulated pour."""

from published_rows import published

from formpressure.pour import Load, Pass, Run, fill, stations_of

YARD = 27.0
TALL = 50.0  # ft: no truck of these rows over-tops it


def truck_rise(given):
    run = Run("run", given["length_ft"], given["thickness_in"] / 12, 0.0, TALL)
    stations = stations_of(run, run.length)
    pour = fill(stations, [Pass(0, TALL)], [Load(0.0, 10.0, given["yards"] * YARD)])
    return float(pour.levels[0][-1])


def concrete(given, height=1.0):
    """Cubic feet; of one foot of height it is the plan area."""
    return Run("run", given["length_ft"], given["thickness_in"] / 12, 0.0, height).volume


COMPUTE = {
    "truck_rise": truck_rise,
    "plan_area": concrete,
    "pour_volume_per_foot": lambda given: concrete(given) / YARD,
    "pour_volume": lambda given: concrete(given, given["height_ft"]) / YARD,
    "delivery_rate": lambda given: concrete(given, given["rate_ft_per_h"]) / YARD,
}

test_published_rise = published("rise.csv", COMPUTE)
