"""The rate table, the two unit sets, margins, and what other programs read."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from plans import CONCRETE, SMALL, STUDS_IN_DOUBT, complete

from formpressure import RULES, check, load_plan, margins, rates, read_plan
from formpressure.records import Amount
from formpressure.report.tables import (
    harmless,
    rates_csv,
    rates_json,
    rates_text,
    schema,
    verdict_json,
)

ROOT = Path(__file__).resolve().parents[1]
DEMOS = sorted((ROOT / "shared" / "plans").glob("*.toml"))
SHEET = 'data_sheet = "sheet"\n'

METRIC = """
units = "{units}"
[wall]
height = "{height}"
short_pieces = false
[ties]
load = "{load}"
basis = "working load at 2:1"
heights = ["0.5 m", "1.1 m", "1.7 m", "2.3 m", "2.9 m", "3.5 m"]
spacing = "0.6 m"
[concrete]
temperature = "15 C"
slump = "125 mm"
unit_weight = "2400 kg/m3"
mix = {{ cement = "I", retarder = false, fly_ash = "0 %", slag = "0 %" }}
vibration = {{ kind = "internal", depth = "1 m" }}
[delivery]
fastest_rise = "{rate}"
length = "30 m"
thickness = "300 mm"
"""


def metric(units="SI", height="4.25 m", rate="1.2 m/h", load="13 kN"):
    return read_plan(METRIC.format(units=units, height=height, rate=rate, load=load))


def test_between_the_rounded_limits_both_sets_are_told_and_the_higher_decides():
    """4.25 m is over 4.2 m but under 14 ft. ACI 347R-14: 7.2 + 1156/32.8 + 244 x 1.2/32.8 kPa."""
    si, us = check(metric()), check(metric("US", "13 ft 11 3/8 in"))
    assert si.envelope.p_max == pytest.approx(51.37, abs=0.005)
    assert si.envelope.other.p_max == pytest.approx(750.56, abs=0.005)
    assert us.envelope.own_p_max == pytest.approx(750.56, abs=0.005)
    assert us.envelope.p_max == pytest.approx(51.3707 / 0.04788026, rel=1e-5)
    for verdict in (si, us):
        told = verdict["pressure document"]
        assert (told.status, told.note) == ("OK", "two_sets")
        kpa, psf = pytest.approx(51.37, abs=0.005), pytest.approx(750.56, abs=0.005)
        both = Amount("pressure", kpa, "SI"), Amount("pressure", psf, "US")
        facts = dict(zip(("own", "other"), both[:: 1 if verdict is si else -1], strict=True))
        assert told.facts == {"document": "ACI 347R-14"} | facts
        assert "1/T" in str(verdict.envelope.governed_by)
    assert us.ties.load.max() == pytest.approx(si.ties.load.max() / 4.4482216e-3, rel=1e-4)


def test_on_the_same_side_of_every_limit_the_own_set_stands_alone():
    verdict = check(metric("US", "13 ft"))
    assert verdict.envelope.other is None
    assert verdict["pressure document"].note == "document_in_range"


def test_typing_the_assumed_weight_changes_nothing():
    """A blank weight is the same concrete in both unit sets as the weight it is printed as."""
    for text, weight in ((SMALL + CONCRETE, "150 pcf"), (METRIC.format(
        units="SI", height="4.25 m", rate="1 m/h", load="20 kN"
    ).replace('unit_weight = "2400 kg/m3"\n', ""), "2400 kg/m3")):  # fmt: skip
        typed = text.replace("[concrete]\n", f'[concrete]\nunit_weight = "{weight}"\n')
        blank = check(read_plan(text))
        assert check(read_plan(typed)).allowed.rate == pytest.approx(blank.allowed.rate, rel=1e-9)


def test_the_allowed_rate_is_that_of_the_stricter_set_between_the_limits():
    strong = {"load": "20 kN"}
    si, us = check(metric(**strong)), check(metric("US", "4.25 m", **strong))
    assert us.allowed.rate == pytest.approx(si.allowed.rate / 0.3048, rel=1e-6)


def test_the_clause_that_is_told_is_that_of_the_set_that_stops_it():
    """52 kPa on 4.25 m, over 4.2 m and under 14 ft. Metric (c): ((52 - 7.2) 32.8 - 1156)/244 =
    1.285 m/h; inch-pound (b): (1086 - 150) 59/9000 = 6.1 ft/h, which does not count."""
    for units, kpa, m_h in (("SI", 1.0, 1.0), ("US", 0.04788026, 0.3048)):
        case = check(metric(units)).case
        found = case.allowed_by_document(52.0 / kpa, {})
        assert found.rate * m_h == pytest.approx(((52 - 7.2) * 32.8 - 1156) / 244, rel=1e-5)
        assert found.why.says.startswith("equation with 1/T and R/T")
    # 176 mm is over 175 mm and under 7 in: by the metric set alone it is wet.
    wet = METRIC.format(units="US", height="4 m", rate="1 m/h", load="20 kN")
    found = check(read_plan(wet.replace("125 mm", "176 mm"))).case.allowed_by_document(900.0, {})
    assert (found.kind, found.why.says) == ("none", "slump over the limit: full liquid head")


@pytest.mark.parametrize("units", ["US", "SI"])
def test_forward_and_inverse_agree_around_the_steps_of_both_sets(units):
    """Every plan either stops at its allowed rate or fails just above it, steps included."""
    for height in ("4.19 m", "4.25 m", "4.3 m"):
        for load in ("9 kN", "13 kN", "17 kN", "20 kN", "23 kN"):
            verdict = check(metric(units, height, load=load))
            case, rate = verdict.case, float(verdict.allowed.rate)
            if not 0.0 < rate < np.inf:
                continue
            limit = verdict.limit.pressure
            for share in (1.0, 0.999, 0.9, 0.5, 0.1):
                assert case.envelope(rate * share).p_max <= limit * (1 + 1e-9)
            assert case.envelope(rate * (1 + 1e-6)).p_max > limit


@pytest.mark.parametrize("name", ["aci347_2004", "aci347r_2014", "aci347r_2014_si"])
def test_forward_and_inverse_agree_on_drawn_arrays(name):
    rule, rng, n = RULES[name], np.random.default_rng(7), 120_000  # over a million in all
    si = rule.system == "SI"
    common = {
        "height": rng.uniform(0.5, 8.0, n) if si else rng.uniform(2.0, 26.0, n),
        "unit_weight": rng.uniform(14.0, 28.0, n) if si else rng.uniform(90.0, 180.0, n),
        "temperature": rng.uniform(5.0, 37.0, n) if si else rng.uniform(40.0, 100.0, n),
        "chemistry": rng.choice([1.0, 1.2, 1.4], n),
        "slump": 100.0 if si else 4.0, "vibration": "internal", "vibration_depth": 1.0,
    }  # fmt: skip
    pressure = rng.uniform(10.0, 150.0, n) if si else rng.uniform(200.0, 3000.0, n)
    for element in ("wall", "column", "larger"):
        allowed = rule.allowed_bare(pressure, element=element, **common)
        some = (allowed.rate > 0.0) & np.isfinite(allowed.rate)
        assert some.sum() > n / 20
        at = rule.envelope(element=element, rate=np.where(some, allowed.rate, 1.0), **common)
        assert np.all(at.p_max[some] <= pressure[some] * (1 + 1e-9))
        above = np.where(some, allowed.rate * (1 + 1e-6), 1e-6)
        over = rule.envelope(element=element, rate=above, **common)
        fails = over.p_max > pressure * (1 - 1e-6)
        assert np.all(fails[allowed.rate < np.inf])
        head = common["unit_weight"] * common["height"]
        assert np.all(np.isinf(allowed.rate) == (head <= pressure * (1 + 1e-9)))


def test_table_agrees_with_plans_cell_by_cell():
    text = SMALL + CONCRETE
    table = rates(read_plan(text))
    for i, temperature in enumerate(table.temperatures):
        plan = read_plan(text.replace('"60 F"', f'"{temperature} F"'))
        assert table.allowed[i, 0] == pytest.approx(check(plan).allowed.rate, rel=1e-9)
    retarded = read_plan(text.replace("retarder = false", "retarder = true"))
    assert rates(retarded).allowed[:, 0] == pytest.approx(table.allowed[:, 1], rel=1e-9)


def test_table_never_allows_more_when_colder_or_worse():
    for path in DEMOS:
        table = rates(read_plan(path.read_text(encoding="utf-8"))).allowed
        assert np.all(table[1:] >= table[:-1])
        assert np.all(table[:, 1:] <= table[:, :-1])


def test_rounding_of_the_two_systems():
    us, si = rates(read_plan(SMALL + CONCRETE)), rates(metric(height="3.6 m"))
    for table, step in ((us, 0.5), (si, 0.1)):
        shown = table.shown[np.isfinite(table.shown)]
        assert np.allclose(shown / step, np.round(shown / step))
        assert np.all(table.shown <= table.allowed * (1 + 1e-9))
    assert (us.layer, si.layer) == (1.0, 0.5)


def test_minutes_keep_every_hour_under_the_rate():
    from formpressure.rise import greatest_rise

    table = rates(read_plan(SMALL + CONCRETE))
    for rate, minutes in zip(table.shown.ravel(), table.minutes.ravel(), strict=True):
        if np.isnan(minutes):
            continue
        starts = np.arange(40) * minutes
        times = np.column_stack([starts, starts + 10.0]).ravel()
        levels = np.column_stack([np.arange(40), np.arange(1, 41)]).ravel() * table.layer
        assert greatest_rise(times, levels, 60.0) <= rate * (1 + 1e-9)


def test_margins_are_where_the_verdict_turns():
    text = SMALL + SHEET + CONCRETE + '[delivery]\nfastest_rise = "3 ft/h"\n'
    verdict = check(read_plan(text))
    spare = margins(verdict)
    assert spare.rate == pytest.approx(verdict.allowed.rate - 3.0)
    for degrees, status in ((spare.temperature - 0.01, "OK"), (spare.temperature + 0.01, "NOT OK")):
        colder = check(read_plan(text.replace('"60 F"', f'"{60 - degrees:.4f} F"')))
        assert colder["ties"].status == status
    assert spare.slump == pytest.approx(175 / 25.4 - 5.0, abs=1e-6)
    failing = check(read_plan(text.replace("3 ft/h", "5 ft/h")))
    assert margins(failing).rate < 0
    assert margins(failing).temperature < 0
    assert margins(check(read_plan(complete()))).rate is None


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_json_keeps_to_the_schema_and_says_what_the_verdict_says(path):
    plan = read_plan(path.read_text(encoding="utf-8"), file=path.name)
    verdict, table = check(plan), rates(plan)
    data = json.loads(json.dumps(verdict_json(verdict), allow_nan=False))
    jsonschema.validate(data, schema())
    assert data["verdict"] == verdict.word
    assert data["plan"]["checksum"] == plan.checksum
    assert [c["name"] for c in data["checks"]] == [c.name for c in verdict.checks]
    cells = json.loads(json.dumps(rates_json(table), allow_nan=False))
    jsonschema.validate(cells, schema())
    assert len(cells["rows"]) == table.allowed.size
    data["verdict"] = "PERHAPS"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema())


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@x"])
def test_csv_is_harmless_in_a_spreadsheet(start):
    assert harmless(start) == f"'{start}"
    plan = read_plan(f'title = "{start}, \\"b\\""\n' + SMALL + CONCRETE)
    rows = list(csv.reader(io.StringIO(rates_csv(rates(plan)))))
    assert rows[0][0] == f'\'{start}, "b"'
    assert len(rows) == 2 + 13


def test_no_rate_and_any_rate_are_words():
    weak = rates_text(rates(read_plan(SMALL.replace("3000", "900") + CONCRETE)))
    assert "NO RATE" in weak
    assert "any rate" in rates_text(rates(read_plan(complete())))


def test_rates_command(tmp_path):
    for extra in ([], ["--json"], ["--csv"]):
        done = subprocess.run(
            [sys.executable, "-m", "formpressure", "rates", str(DEMOS[0]), *extra],
            capture_output=True, text=True, encoding="utf-8", check=False,
        )  # fmt: skip
        assert done.returncode == 0
        assert done.stdout.startswith("VERDICT" if not extra else ("{", '"'))


def test_a_wetter_mix_that_only_one_set_takes_for_wet_has_no_margin_left():
    """175 mm is the limit of the SI set, 7 in (177.8 mm) of the other: between them the stricter
    counts, so at 175 mm no wetter concrete passes."""
    text = METRIC.format(units="US", height="4 m", rate="1.2 m/h", load="25 kN")
    verdict = check(read_plan(text.replace("125 mm", "175 mm")))
    assert not verdict.straight_up
    assert margins(verdict).slump == pytest.approx(0.0, abs=1e-6)


BETWEEN = (SMALL + SHEET + CONCRETE).replace("8 ft", "12 ft").replace("3000 lb", "4060 lb").replace(
    '"7 ft"', '"7 ft", "9 ft", "11 ft"').replace("60 F", "85 F").replace(
    '"12 ft"', '"12 ft"\nshort_pieces = false')  # fmt: skip


@pytest.mark.parametrize("rate", [6.95, 7.0, 7.5])
def test_a_stated_rate_includes_every_lower_one(rate):
    """Between 2.1 m/h and 7 ft/h the metric set asks more than either set just above 7 ft/h."""
    sides = f'[delivery]\nfastest_rise = "{rate} ft/h"\nlength = "60 ft"\nthickness = "12 in"\n'
    verdict = check(read_plan(BETWEEN + sides))
    assert verdict.allowed.rate < 6.9
    assert verdict["ties"].status == "NOT OK"


def test_slump_margin_knows_both_unit_sets():
    """175 mm is 6.89 in: the plan fails there, before 7 in."""
    text = SMALL + SHEET + CONCRETE + '[delivery]\nfastest_rise = "3 ft/h"\n'
    spare = margins(check(read_plan(text)))
    assert spare.slump == pytest.approx(175 / 25.4 - 5.0, abs=1e-6)


def test_no_temperature_margin_outside_the_range():
    text = SMALL.replace("3000 lb", "2700 lb") + CONCRETE + '[delivery]\nfastest_rise = "2 ft/h"\n'
    assert margins(check(read_plan(text.replace("60 F", "101 F")))).temperature is None


def test_no_rate_of_the_table_goes_over_what_the_third_model_was_asked_about():
    """Studs on wales, judged at 3 ft/h: warmer concrete may go faster, never to more pressure."""
    plan = load_plan(ROOT / "shared/plans/job_built_10ft.toml")
    verdict, table = check(plan), rates(plan)
    assert verdict.carries == verdict.envelope.p_max < verdict.limit.pressure
    for temperature, rate in zip(table.temperatures, table.allowed[:, 0], strict=True):
        at = table.case.rule.envelope(
            **{**table.case.given, "temperature": float(temperature), "rate": float(rate)}
        )
        assert at.p_max <= verdict.carries * (1 + 1e-9)


def test_while_the_third_model_waits_the_table_gives_no_rate():
    plan = read_plan(STUDS_IN_DOUBT)
    assert check(plan).doubtful
    assert not rates(plan).shown.any()
    assert {row["kind"] for row in rates_json(rates(plan))["rows"]} == {"none"}


def test_without_a_temperature_only_the_slump_has_a_margin():
    """By ACI an unknown temperature is full liquid head; DIN asks it too, so it is head there."""
    text = SMALL + SHEET + CONCRETE.replace('temperature = "60 F"\n', "")
    spare = margins(check(read_plan(text + '[delivery]\nfastest_rise = "3 ft/h"\n')))
    assert spare.temperature is None
    assert spare.rate < 0.0


def test_no_gap_of_trucks_where_no_rate_is_allowed():
    trucks = """[delivery]
length = "160 ft"
thickness = "8 in"
truck = "10 yd"
gap = "60 min"
discharge = "10 min"
spread = "160 ft"
"""
    tall = SMALL.replace("3000 lb", "3400 lb").replace('"8 ft"', '"16 ft"')
    tall = tall.replace('"7 ft"', '"7 ft", "9 ft", "11 ft", "13 ft", "15 ft"')
    table = rates(read_plan(tall + CONCRETE + trucks))
    none, some = table.allowed == 0.0, (table.allowed > 0.0) & np.isfinite(table.allowed)
    assert none.any()
    assert some.any()
    assert np.isnan(table.gaps[none]).all()
    assert np.isfinite(table.gaps[some]).any()


def test_between_the_limits_without_a_rate_the_two_sets_are_told_to_differ():
    text = METRIC.format(units="SI", height="4.25 m", rate="1.2 m/h", load="13 kN")
    found = check(read_plan(text.replace('fastest_rise = "1.2 m/h"\n', "")))["pressure document"]
    assert (found.status, found.note) == ("OK", "two_sets_differ")
