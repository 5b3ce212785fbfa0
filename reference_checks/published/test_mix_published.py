"""Published temperatures of fresh concrete, evaporation, ages and setting times, row by row."""

from published_rows import published

from formpressure.job.drying import evaporation
from formpressure.job.mix import ICE_HEAT, batch, mix_temperature
from formpressure.job.setting import (
    age_factor,
    equivalent_age,
    hours_above,
    setting_time,
    temperature_time,
)

INGREDIENTS = ("cement", "aggregate", "water")


def fresh(given):
    masses = {name: f"{given[f'{name}_lb']} lb" for name in INGREDIENTS}
    temperatures = {f"{name}_temperature": f"{given[f'{name}_F']} F" for name in INGREDIENTS}
    return mix_temperature(batch(**masses, **temperatures)).value.m_as("degF")


def misprint(given):
    """Water counted like a solid; what the library gives must be something else."""
    assert given["water_F"] == given["aggregate_F"]
    together = given["aggregate_lb"] + given["water_lb"]
    found = fresh({**given, "aggregate_lb": together, "water_lb": 0})
    assert found - fresh(given) > 1.0
    return found


def degrees_for_one(given):
    key = f"{given['ingredient']}_F"
    return 1.0 / (fresh({**given, key: given[key] + 1}) - fresh(given))


def evaporated(given, form):
    return evaporation(
        concrete=f"{given['concrete_C']} C", air=f"{given['air_C']} C",
        humidity=f"{100 * given['RH']} %", wind=f"{given['wind_km_h']} km/h", form=form,
    ).value.m_as("kg/m**2/h")  # fmt: skip


def steps(given):
    return [(f"{hours} h", f"{celsius} C") for hours, celsius in given["steps"]]


def age(given):
    found = equivalent_age(steps(given), reference=f"{given['Tref_C']} C")
    return found.value.m_as("h")


def by_arrhenius(given):
    both = setting_time("1 h", at=f"{given['at_C']} C", now=f"{given['now_C']} C")
    return both.arrhenius.value.m_as("h")


def by_trade(given):
    both = setting_time("1 h", at=f"{given['at_F']} F", now=f"{given['now_F']} F")
    return both.trade.value.m_as("h")


def warm_hours(given):
    log = [(f"{hours} h", f"{fahrenheit} F") for hours, fahrenheit in given["log"]]
    return hours_above(log, f"{given['threshold_F']} F").value.m_as("h")


COMPUTE = {
    "mix_temperature": fresh,
    "mix_temperature_misprint": misprint,
    "degrees_of_ingredient_for_one": degrees_for_one,
    "ice_heat": lambda given: ICE_HEAT,
    "computed_mix_temperature": fresh,
    "computed_evaporation": lambda given: evaporated(given, given["form"]),
    "computed_evaporation_ratio": lambda given: (
        evaporated(given, "exact") / evaporated(given, "rounded")
    ),
    "computed_temperature_time": lambda given: temperature_time(
        steps(given), datum=f"{given['datum_C']} C"
    ).value.m_as("delta_degC*h"),
    "computed_age_factor": lambda given: age_factor(given["T_C"], given["Tref_C"]),
    "computed_equivalent_age": age,
    "computed_setting_ratio": by_arrhenius,
    "trade_setting_ratio": by_trade,
    "hours_above": warm_hours,
}

test_published_number = published("mix.csv", COMPUTE)
