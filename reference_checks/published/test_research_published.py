"""The research model and the measured pressures against their texts, row by row."""

from published_rows import published

from formpressure import Q
from formpressure.research.measured import measured_pressures
from formpressure.research.ovarlez_roussel_2006 import as_printed, held

WALL = next(m for m in measured_pressures() if m.id == "MP-01")


def bare(given):
    """Depth, unit weight, thickness, rate and growth as the kernels take them."""
    weight = given["rho"] * given["g"] / 1000.0
    return given["H_m"], weight, given["e_m"], given["R_m_h"], given["Athix_Pa_s"]


def unit(given):
    assert WALL.pressure == Q(given["psi"], "psi")
    return WALL.pressure.m_as("kPa")


def ratio(given):
    assert (WALL.pressure, WALL.height) == (Q(given["p_psi"], "psi"), Q(given["H_ft"], "ft"))
    return WALL.share_of_head(f"{given['w_pcf']} pcf")


COMPUTE = {
    "computed_ovarlez_roussel.bottom": lambda given: as_printed(*bare(given)),
    "computed_ovarlez_roussel.peak": lambda given: float(held(*bare(given))),
    "measured.unit": unit,
    "measured.ratio": ratio,
}

test_published_number = published("research.csv", COMPUTE)
