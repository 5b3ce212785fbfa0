"""Published quantities: areas, volumes, hours and counts, row by row."""

from published_rows import compare, each, rows

from formpressure.job import quantities as q

ROWS = rows("quantities.csv")
YARD = 27.0


def tie_load(given):
    return given.get("tie_strength_lb", given.get("tie_breaking_lb"))


def wale_load(given):
    return given.get("wale_load_plf", given.get("uniform_load_on_wale_plf"))


def area(given):
    return q.plan_area(given["length_ft"], given["thickness_in"] / 12)


COMPUTE = {
    "mixer_output": lambda g: q.mixer_output(g["capacity_ft3"], g["batch_min"], g["mixers"]),
    "plan_area": area,
    "pour_volume_per_foot": lambda g: area(g) / YARD,
    "pour_volume": lambda g: (
        q.volume(g["length_ft"], g["thickness_in"] / 12, g["height_ft"]) / YARD
    ),
    "pour_time": lambda g: q.filling_hours(g["height_ft"], g["R_ft_h"]),
    "pour_time_rounding": lambda g: q.whole_up(g["hours_exact"]),
    "stud_count": lambda g: q.stud_count(g["length_ft"], g["stud_spacing_in"] / 12),
    "wale_count": lambda g: q.wale_count(g["height_ft"], g["wale_spacing_in"] / 12),
    "tie_count_per_wale": lambda g: q.tie_count(g["wale_length_in"], g["tie_spacing_in"]),
    "tie_spacing_from_strength": lambda g: q.tie_spacing(tie_load(g), wale_load(g)),
    "tie_spacing_final": lambda g: min(g["by_wale_in"], g["by_strength_in"]),
    "tie_at_stud_crossing": lambda g: q.tie_at_crossing(g["stud_spacing_in"], g["tie_spacing_in"]),
    "delivery_rate": lambda g: g["rate_ft_per_h"] * area(g) / YARD,
    "minutes_per_lift": lambda g: 60 * q.filling_hours(g["lift_in"] / 12, g["rate_ft_per_h"]),
}


@each(ROWS)
def test_published_quantity(row, pytestconfig):
    compare(row, COMPUTE, pytestconfig.published_rows)
