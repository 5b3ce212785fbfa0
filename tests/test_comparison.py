"""Documents side by side, the verdict they head, design resistances, and what plans must say."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from formpressure import Refusal, check, compare, input_spread, load_plan, margins, rates, read_plan
from formpressure.comparison import curves
from formpressure.inputs import flow_class
from formpressure.report.blocks_compare import intro, side_by_side, silent
from formpressure.report.card import card_html
from formpressure.report.figures_compare import documents
from formpressure.report.tables import schema, verdict_json
from formpressure.report.text import text, two_lines

ROOT = Path(__file__).resolve().parents[1]
CIRIA = (ROOT / "shared/plans/ciria_form_6m_pour_3m.toml").read_text("utf-8")
DIN = (ROOT / "shared/plans/din_wall_4m.toml").read_text("utf-8")
DIN_NAME = "DIN 18218:2010-01"


def changed(plan, **changes):
    for old, new in changes.values():
        assert old in plan
        plan = plan.replace(old, new)
    return plan


def by(comparison):
    return {str(d.rule.document): d for d in comparison.documents}


def test_form_of_6_m_pour_of_3_m_from_a_plan():
    """CIRIA by hand: 25 (1.4142 + 0.3 x 1.3486 x sqrt(6 - 1.4142)) = 57.0 kPa, not 48.1."""
    verdict = check(read_plan(CIRIA))
    assert verdict.envelope.p_max == pytest.approx(57.0, abs=0.05)
    lower = changed(CIRIA, form=('form_height = "6 m"', 'form_height = "3 m"'),
                    rows=(', "3.6 m", "4.4 m", "5.2 m"]', "]"))  # fmt: skip
    assert check(read_plan(lower)).envelope.p_max == pytest.approx(48.1, abs=0.05)
    blank = changed(lower, form=('form_height = "3 m"\n', ""))
    assert check(read_plan(blank)).envelope.p_max == pytest.approx(75.0)  # not known: full head


def test_one_governs_and_the_others_stand_beside_it():
    comparison = compare(read_plan(CIRIA))
    found = by(comparison)
    assert next(iter(found)) == "CIRIA Report 108"
    assert list(found)[-1] == "ACI 347-78"
    assert found[DIN_NAME].envelope.p_max == pytest.approx(46.0)  # (14 x 2 + 18) x 1.0
    told = intro(comparison).plain
    assert "CIRIA Report 108 governs. Chosen by: the temporary works coordinator" in told
    table = side_by_side(comparison).plain
    assert "57.5 kPa" in table
    assert "46 kPa" in table
    assert "51.5" not in table  # no mean of the two


def test_another_document_that_fails_heads_the_verdict():
    verdict = check(read_plan(CIRIA))
    assert [c.name for c in verdict.failed] == []
    head = "Another applicable document fails: ACI 347R-14 (ties, panels)."
    assert two_lines(verdict)[0].startswith(f"VERDICT: NOT CHECKED. {head}")
    assert "see the back" not in card_html(check(read_plan(DIN)))
    assert head in text(verdict).replace("\n", " ")
    page = card_html(verdict)
    loud = "Another pressure document that applies does not let this pass: see the back."
    assert page.index(loud) < page.index("<strong>NOT CHECKED</strong>") < page.index(head)
    both = [str(d.rule.document) for d in compare(read_plan(CIRIA)).failing]
    assert both == ["ACI 347-04", "ACI 347R-14"]
    weak = changed(CIRIA, t=('load = "55 kN"', 'load = "30 kN"'), p=('"70 kPa"', '"40 kPa"'))
    assert check(read_plan(weak)).word == "NO-GO"
    assert check(read_plan(weak)).others_failing == ()  # what fails, fails by the governing one
    data = json.loads(json.dumps(verdict_json(verdict), allow_nan=False))
    jsonschema.validate(data, schema())
    assert [(o["document"], o["fails"]) for o in data["others"]] == [
        (DIN_NAME, []), ("ACI 347R-14", ["ties", "panels"]),
    ]  # fmt: skip


def test_by_itself_a_plan_is_looked_at_by_documents_of_its_own_units():
    plan = load_plan(ROOT / "shared/plans/retaining_wall_3m6.toml")
    assert {str(o.rule.document) for o in check(plan).others} == {"CIRIA Report 108", DIN_NAME}
    us = load_plan(ROOT / "shared/plans/basement_9ft.toml")
    assert {str(o.rule.document) for o in check(us).others} == {"ACI 347-04"}


def test_a_plan_in_feet_is_told_in_feet_by_metric_documents():
    """9 ft at 4 ft/h and 60 F, Type II: CIRIA in metres, C2 0.30, then back to psf."""
    found = compare(load_plan(ROOT / "shared/plans/basement_9ft.toml"))
    ciria = by(found)["CIRIA Report 108"]
    H, R, T, D = 9 * 0.3048, 4 * 0.3048, 140 / 9, 150 * 0.157087464
    a, K = R**0.5, (36 / (T + 16)) ** 2
    kPa = D * (a + 0.3 * K * (H - a) ** 0.5)
    peak = found.amount("pressure", ciria.envelope.by_document, ciria)
    assert peak.system == "US"
    assert peak.bare == pytest.approx(kPa / 0.0478802589, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"t": ('temperature = "15 C"\nunit', 'temperature = "3 C"\nunit')}, "outside 5 to 30 C"),
        ({"f": ('form_height = "6 m"\n', ""),
          "r": (', "3.6 m", "4.4 m", "5.2 m"]', "]")}, "[wall.form_height]"),
    ],
)  # fmt: skip
def test_ciria_says_why_it_is_silent(changes, reason):
    plan = changed(CIRIA, name=('name = "CIRIA Report 108"', 'name = "ACI 347R-14"'), **changes)
    comparison = compare(read_plan(plan))
    assert not by(comparison)["CIRIA Report 108"].applies
    assert reason in silent(comparison).plain


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"s": ("setting = {", "# setting = {")}, "[concrete.setting]"),
        ({"s": ('time = "5 h"', 'time = "21 h"')}, "outside 0 to 20 h"),
        ({"r": ('fastest_rise = "2 m/h"', 'fastest_rise = "7.1 m/h"')}, "outside 0 to 7 m/h"),
        ({"t": ("tight_face = true\n", "")}, "[form.tight_face]"),
        ({"t": ("tight_face = true", "tight_face = false")}, "tight face: not yes"),
        ({"b": ('batter_and_ledges = "none"', 'batter_and_ledges = { run = "0.4 m" }')},
         "plumb: not yes"),
        ({"t": ('temperature = "15 C"\nunit', 'temperature = "14 C"\nunit')}, "colder than"),
    ],
)  # fmt: skip
def test_din_says_why_it_is_silent_and_is_never_stretched(changes, reason):
    comparison = compare(read_plan(changed(CIRIA, **changes)))
    assert not by(comparison)[DIN_NAME].applies
    assert reason in silent(comparison).plain
    governed = changed(CIRIA, name=('name = "CIRIA Report 108"', f'name = "{DIN_NAME}"'), **changes)
    verdict = check(read_plan(governed))
    assert verdict.allowed.kind in ("none", "at most")
    assert verdict.envelope.p_max == pytest.approx(75.0)
    assert verdict.word == "NO-GO"


@pytest.mark.parametrize("kind", ["F5", "SCC"])
def test_scc_and_soft_classes_by_their_own_lines(kind):
    """F5: 25 + 30 x 2 x 7/5; SCC: (1 + 0.26 x 2 x 7) 25, both over 100 kPa of head: full head."""
    plan = changed(DIN, c=('consistency = "F3"', f'consistency = "{kind}"'),
                   v=('kind = "internal"', f'kind = "{"none" if kind == "SCC" else "internal"}"'),
                   r=('fastest_rise = "2 m/h"', 'fastest_rise = "1 m/h"'))  # fmt: skip
    p = {"F5": 25 + 30 * 7 / 5, "SCC": (1 + 0.26 * 7) * 25}[kind]
    assert check(read_plan(plan)).envelope.p_max == pytest.approx(p)


def test_scc_without_a_measured_setting_time_is_full_liquid_head():
    plan = changed(DIN, c=('consistency = "F3"', "self_consolidating = true"),
                   v=('kind = "internal"', 'kind = "none"'),
                   s=("setting = {", "# setting = {"))  # fmt: skip
    verdict = check(read_plan(plan))
    assert verdict.case.given["consistency"] == "SCC"
    assert verdict.envelope.p_max == pytest.approx(100.0)
    assert verdict.allowed.kind == "none"
    assert "concrete.setting" in text(verdict).replace("\n", " ")


def test_flow_gives_the_class_and_contradictions_are_refused():
    flow = changed(DIN, c=('consistency = "F3"', 'flow = "415 mm"'))
    assert check(read_plan(flow)).case.given["consistency"] == "F3"
    inches = changed(DIN, c=('consistency = "F3"', 'flow = "21 in"'))  # 533 mm
    assert check(read_plan(inches)).case.given["consistency"] == "F4"
    for line in ('flow = "450 mm"\nconsistency = "F3"',
                 'self_consolidating = true\nconsistency = "F3"',
                 'self_consolidating = false\nconsistency = "SCC"'):  # fmt: skip
        with pytest.raises(Refusal):
            read_plan(changed(DIN, c=('consistency = "F3"', line)))


@pytest.mark.parametrize(
    ("mm", "name"),
    [
        (340.0, "F1"), (341.0, "F2"), (410.0, "F2"), (411.0, "F3"), (481.0, "F4"), (551.0, "F5"),
        (621.0, "F6"), (700.0, "F6"), (701.0, "SCC"),
    ],
)  # fmt: skip
def test_flow_between_two_classes_is_the_softer(mm, name):
    """DIN 1045-2 (EN 206): F1 up to 340 mm, F2 350 to 410, and so on; SCC beyond F6."""
    assert flow_class(mm) == name


def test_design_resistances_meet_one_and_a_half_times_the_pressure():
    """90 kN / 1.5 = 60 kN for characteristic loads; panels 90 / 1.5 = 60 kPa; all alike."""
    verdict = check(read_plan(DIN))
    assert verdict["ties"].capacity.bare == pytest.approx(60.0)
    assert verdict["ties"].clause.document == DIN_NAME
    assert verdict["panels"].capacity.bare == pytest.approx(60.0)
    assert verdict.limit.pressure <= 60.0
    rate = verdict.allowed.rate
    assert (14 * rate + 18) * 1.16 == pytest.approx(verdict.limit.pressure)  # K1 at 7 h
    assert margins(verdict).rate == pytest.approx(rate - 2.0)
    assert margins(verdict).temperature == pytest.approx(0.0, abs=1e-6)  # as cold as its test
    weak = changed(DIN, t=('load = "90 kN"', 'load = "80 kN"'))
    assert check(read_plan(weak))["ties"].status == "NOT OK"


@pytest.mark.parametrize("name", ["CIRIA Report 108", "ACI 347R-14"])
def test_design_resistances_are_refused_where_the_document_does_not_compare_them(name):
    plan = read_plan(changed(DIN, n=(f'name = "{DIN_NAME}"', f'name = "{name}"')), file="w.toml")
    with pytest.raises(Refusal, match="does not compare design resistances") as refusal:
        check(plan)
    assert str(refusal.value).startswith("w.toml: ties.basis")
    assert "working load at 2:1" in refusal.value.cure


def test_with_design_resistances_others_tell_pressure_and_loads_only():
    found = by(compare(read_plan(DIN)))
    ciria = found["CIRIA Report 108"]
    assert ciria.applies
    assert ciria.unrated
    assert ciria.allowed is None
    assert ciria.failed == ()
    a, K = 2**0.5, (36 / 31) ** 2
    assert ciria.envelope.p_max == pytest.approx(25 * (a + 0.3 * K * (4 - a) ** 0.5))
    assert ciria.ties.load.max() > 0.0


def test_a_metric_document_does_not_govern_a_plan_in_feet():
    plan = (ROOT / "shared/plans/basement_9ft.toml").read_text("utf-8")
    with pytest.raises(Refusal, match="has others only") as refusal:
        check(read_plan(plan + '[document]\nname = "CIRIA Report 108"\n'))
    assert "ACI 347R-14" in refusal.value.cure
    assert "347-78" not in refusal.value.cure
    with pytest.raises(Refusal, match="no such document"):
        check(read_plan(plan + '[document]\ncompare = ["CIRIA 108"]\n'))
    beside = check(read_plan(plan + '[document]\ncompare = ["CIRIA Report 108"]\n'))
    assert [str(o.rule.document) for o in beside.others] == ["CIRIA Report 108"]


def test_only_what_the_document_asks_for_is_assumed():
    keys = {key for key, _ in check(read_plan(CIRIA)).plan.assumed}
    assert not keys & {"concrete.flow", "form.tight_face", "concrete.setting"}
    open_face = check(read_plan(changed(DIN, t=("tight_face = true\n", ""))))
    din = {key for key, _ in open_face.plan.assumed}
    assert "form.tight_face" in din
    assert "concrete.slump" not in din


def test_pumping_from_the_base_stays_open_where_the_document_has_no_surge():
    plan = changed(CIRIA, m=("pump from above", "pump from base"))
    verdict = check(read_plan(plan))
    assert verdict["placing method"].status == "NOT CHECKED"
    assert verdict.envelope.p_max == pytest.approx(75.0)
    assert by(compare(read_plan(plan)))["ACI 347R-14"].envelope.p_max == pytest.approx(1.25 * 75.0)


def test_rate_table_keeps_to_the_range_and_the_setting_test():
    table = rates(read_plan(CIRIA))
    assert table.temperatures.min() == 5.0
    assert table.temperatures.max() == 30.0
    assert table.chemistry == (0.30, 0.45, 0.60)
    din = rates(read_plan(DIN))
    cold = din.temperatures < 15.0
    assert np.all(din.allowed[cold] == 0.0)
    assert np.all(din.allowed[~cold] == din.allowed[-1])
    tall = changed(DIN, h=('height = "4 m"\nform_height = "4 m"', 'height = "11 m"'))
    assert np.all(rates(read_plan(tall)).allowed == 0.0)
    assert check(read_plan(tall))["pressure document"].status == "NOT OK"
    assert check(read_plan(tall))["pressure document"].key == "wall.height"


def test_a_spread_asks_the_range_of_the_class():
    """F5 has no fastest rate: 8 m/h is not outside. F3 has one: nearly every pour is."""
    text = changed(DIN, r=('fastest_rise = "2 m/h"', 'fastest_rise = "6.9 m/h"'))
    text += '[spread]\nrate = "0.1 m/h"\nexpected_rate = "8 m/h"\n'
    assert input_spread(read_plan(text), samples=1000).outside == 1000
    soft = changed(text, c=('consistency = "F3"', 'consistency = "F5"'))
    assert input_spread(read_plan(soft), samples=1000).outside == 0


def test_curves_say_nothing_where_a_document_says_nothing():
    plan = read_plan(changed(CIRIA, r=('fastest_rise = "2 m/h"', 'fastest_rise = "4 m/h"')))
    drawn = {str(c.rule.document): c for c in curves(compare(plan))}
    ciria, din = drawn["CIRIA Report 108"], drawn[DIN_NAME]
    assert np.isnan(ciria.allowed[ciria.temperatures > 30.0]).all()
    assert np.isnan(din.peak[din.rates > 7.0]).all()
    assert np.isfinite(din.peak[din.rates <= 7.0]).all()
    for each in (ciria, din):  # twice the planned rate; the usual span where that is less
        assert each.rates[-1] == pytest.approx(8.0)
    usual = curves(compare(read_plan(changed(CIRIA, r=('rise = "2 m/h"', 'rise = "1 m/h"')))))
    assert usual[0].rates[-1] == pytest.approx(3.0)
    block = documents(compare(plan))
    assert block.html == documents(compare(plan)).html
    assert "CIRIA Report 108: " in block.plain


def test_nothing_is_drawn_where_nothing_applies():
    bare = changed(CIRIA, t=('temperature = "15 C"\nunit', "unit"))
    assert documents(compare(read_plan(bare))).plain.startswith("No document applies")


def test_a_document_that_cannot_take_the_panels_rating_says_so():
    ties = 'basis = "design resistance"\nheights', 'basis = "breaking load"\nheights'
    plan = changed(DIN, ties=ties)
    found = by(compare(read_plan(plan)))
    assert found[DIN_NAME].applies
    (reason,) = found["ACI 347R-14"].reasons
    assert (reason.note, reason.key) == ("refused", "form.panels.basis")
    assert "does not compare design resistances" in reason.facts["problem"]


def test_without_a_rate_nothing_fails_while_some_rate_passes():
    lines = [line for line in CIRIA.splitlines() if not line.startswith("fastest_rise")]
    found = by(compare(read_plan("\n".join(lines))))["CIRIA Report 108"]
    assert found.allowed.kind == "at most"
    assert found.envelope.p_max > found.limit.pressure
    assert found.failed == ()


def test_what_cannot_use_the_ratings_draws_its_pressure_but_no_allowed_rate():
    drawn = {str(c.rule.document): c for c in curves(compare(read_plan(DIN)))}
    assert np.isfinite(drawn[DIN_NAME].allowed).any()
    assert np.isfinite(drawn["ACI 347R-14"].peak).any()
    assert np.isnan(drawn["ACI 347R-14"].allowed).all()


def test_where_full_head_passes_it_is_the_pressure_that_is_told():
    strong = changed(CIRIA, t=('load = "55 kN"', 'load = "500 kN"'), p=('"70 kPa"', '"400 kPa"'))
    found = by(compare(read_plan(strong)))["CIRIA Report 108"]
    assert found.allowed.kind == "any"
    assert found.envelope.p_max == pytest.approx(75.0)  # 25 kN/m3 x 3 m, not 57.0 of the rate
