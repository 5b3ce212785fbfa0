"""Rise of the concrete by one truck: the simulated pour against volume over plan area."""

from published_rows import compare, each, rows

from formpressure.pour import Load, Pass, Run, fill, stations_of

ROWS = rows("rise.csv")
YARD = 27.0
TALL = 50.0  # ft: no truck of these rows over-tops it


def truck_rise(given):
    run = Run("run", given["length_ft"], given["thickness_in"] / 12, 0.0, TALL)
    stations = stations_of(run, run.length)
    pour = fill(stations, [Pass(0, TALL)], [Load(0.0, 10.0, given["yards"] * YARD)])
    return float(pour.levels[0][-1])


COMPUTE = {"truck_rise": truck_rise}


@each(ROWS)
def test_published_rise(row, pytestconfig):
    compare(row, COMPUTE, pytestconfig.published_rows)
