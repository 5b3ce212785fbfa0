"""What must hold for every pressure rule, also for one that is added tomorrow."""

import importlib
import sys

import draws
import numpy as np
import pytest

from formpressure import RULES, OutOfRange, Refusal, check, compare, rates, read_plan
from formpressure.inputs import INPUTS
from formpressure.records import Label
from formpressure.report.card import card_html
from formpressure.rule import CHOICES
from formpressure.units import terms

HEAD = 0  # the branch of every rule that says "never over full liquid head"
CASES = 25  # sets of inputs for each rule, each an array of draws.COUNT

TOY = '''"""A toy document, invented: depth 0.5 m + 20 min of rise + more when cold. From memory."""

import numpy as np

from formpressure.records import Clause, Document, Label, Range
from formpressure.rule import pressure_rule

TOY = Document("TOY", "1", "Invented for a test", 2026)
CLAUSES = (
    Clause("TOY 1", "1", "liquid head", Label.MEMORY),
    Clause("TOY 1", "2", "depth grows with rate", Label.MEMORY),
    Clause("TOY 1", "own", "not known, or not placed as it says: liquid head", Label.OWN),
)


def liquid(temperature, vibration, self_consolidating, from_base):
    usual = vibration == "internal" and not self_consolidating and not from_base
    return temperature is None or not usual


def allowed(pressure, height, unit_weight, temperature=None, vibration=None,
            self_consolidating=True, from_base=False):
    if liquid(temperature, vibration, self_consolidating, from_base):
        free = unit_weight * height <= pressure
        return np.where(free, np.inf, 0.0)[()], np.where(free, 0, 2)[()]
    rate = 3.0 * np.maximum(pressure / unit_weight - 0.5 - 10.0 / (temperature + 10.0), 0.0)
    free = unit_weight * height <= pressure
    return np.where(free, np.inf, rate)[()], np.where(free, 0, 1)[()]


@pressure_rule(TOY, "SI", CLAUSES, allowed, needs=("temperature",),
               ranges=(Range("temperature", 0.0, 35.0, CLAUSES[1]),))
def toy_2026(height, unit_weight, rate=None, temperature=None, vibration=None,
             self_consolidating=True, from_base=False):
    head = unit_weight * height
    if rate is None or liquid(temperature, vibration, self_consolidating, from_base):
        return head, np.full(np.shape(head), 2), {}
    p = unit_weight * (0.5 + rate / 3.0 + 10.0 / (temperature + 10.0))
    return np.minimum(p, head), np.where(p < head, 1, 0), {}
'''

PLAN = """
units = "SI"
[document]
name = "TOY 1"
[wall]
height = "3 m"
[ties]
load = "60 kN"
basis = "working load at 2:1"
heights = ["0.5 m", "1.5 m", "2.5 m"]
spacing = "1 m"
data_sheet = "invented"
[concrete]
temperature = "10 C"
unit_weight = "25 kN/m3"
self_consolidating = false
vibration = { kind = "internal", depth = "1 m" }
[delivery]
fastest_rise = "0.3 m/h"
"""


@pytest.fixture(scope="module")
def toy(tmp_path_factory):
    """One file put where pressure documents are looked for, and taken away again."""
    folder = tmp_path_factory.mktemp("documents")
    (folder / "toy_2026.py").write_text(TOY, encoding="utf-8")
    package = importlib.import_module("formpressure.pressure")
    package.__path__.append(str(folder))
    RULES._searched = False  # the package was looked through before the file stood there
    yield RULES.find("TOY 1", "SI")
    package.__path__.remove(str(folder))
    sys.modules.pop("formpressure.pressure.toy_2026")
    RULES._rules.pop("toy_2026")


@pytest.fixture(params=[*RULES, "toy"])
def rule(request):
    name = request.param
    return request.getfixturevalue("toy") if name == "toy" else RULES[name]


@pytest.fixture
def cases(rule):
    rng = np.random.default_rng(11)
    return [draws.inputs(rule, rng) for _ in range(CASES)]


def test_it_says_where_it_stands(rule):
    assert rule.document.title
    assert len({c.place + c.says for c in rule.clauses}) == len(rule.clauses)
    module = importlib.import_module(f"formpressure.pressure.{rule.name}")
    held = {c.label for c in rule.clauses}
    assert (Label.MEMORY in held) <= ("from memory" in module.__doc__.casefold())


def test_a_plan_can_tell_it_what_it_needs(rule):
    defaults = {p for p in rule.terms if p not in INPUTS}
    assert defaults <= {"chemistry"}
    assert set(rule.needs) <= set(rule.terms)
    for limit in rule.ranges:
        assert limit.term in rule.terms
        assert limit.only or limit.term in terms()


def test_it_is_found_by_its_document_and_units(rule):
    assert RULES.find(str(rule.document), rule.system) is rule
    assert RULES.find("rule of thumb", rule.system) is None


def test_never_over_liquid_head_and_nothing_above_the_surface(rule, cases):
    for given in cases:
        found = rule.envelope(**given)
        head = found.surge * given["unit_weight"] * given["height"]
        assert np.all(found.p_max <= head * (1 + 1e-12))
        assert np.all(found.p_max > 0.0)
        assert not np.any(found.pressure(-0.1))
        depth = 0.4 * given["height"]
        assert np.all(found.pressure(depth) <= found.slope * depth * (1 + 1e-12))
        assert np.all((found.branch >= 0) & (np.asarray(found.branch) < len(rule.clauses)))
        everything = rule.liquid_head(**draws.one(given, 0)).p_max
        assert everything == pytest.approx(np.ravel(head)[0], rel=1e-12)


def test_faster_taller_colder_never_lower(rule, cases):
    for term in {"rate", "height", "temperature"} & set(rule.terms):  # what it asks for
        for given in cases:
            if given[term] is None:
                continue
            high = draws.span(rule, term)[1]
            more = np.minimum(given[term] * 1.3 + 0.01, high)
            before, after = (given[term], more) if term != "temperature" else (more, given[term])
            p = [rule.envelope(**{**given, term: value}).p_max for value in (before, after)]
            assert np.all(p[1] >= p[0] * (1 - 1e-9)), term


def test_forward_and_inverse_agree(rule, cases):
    rng = np.random.default_rng(5)
    fastest = min([r.most for r in rule.ranges if r.term == "rate"], default=np.inf)
    some_seen = 0
    for given in cases:
        rates_free = {k: v for k, v in given.items() if k != "rate"}
        head = rule.liquid_head(**rates_free).p_max
        pressure = head * rng.uniform(0.05, 1.05, np.shape(given["height"]))
        allowed = rule.allowed_bare(pressure, **rates_free)
        any_rate = np.isinf(allowed.rate)
        assert np.all(any_rate[pressure >= head])
        if np.any(any_rate):
            fast = rule.envelope(**{**given, "rate": np.minimum(1e4, fastest)}).p_max
            assert np.all((fast <= pressure * (1 + 1e-9))[any_rate])
        some = (allowed.rate > 0.0) & ~any_rate
        some_seen += int(some.sum())
        for share in (1.0, 0.999, 0.6, 0.2, 1e-3):
            rate = np.where(some, allowed.rate * share, 1e-3)
            at = rule.envelope(**{**given, "rate": rate}).p_max
            assert np.all(at[some] <= pressure[some] * (1 + 1e-9))
        faster = np.where(any_rate, 1e-6, allowed.rate * (1 + 1e-6) + 1e-9)
        over = ~any_rate & (faster <= fastest)
        found = rule.envelope(**{**given, "rate": np.minimum(faster, fastest)})
        assert np.all(found.p_max[over] > pressure[over] * (1 - 1e-6))
        # What is told is what stops it: the clause of a pour just faster, or the head it jumps to.
        assert np.all(((allowed.branch == found.branch) | (found.branch == HEAD))[over & some])
    assert some_seen > 50


def test_scalar_equals_array(rule, cases):
    for given in cases:
        many = rule.envelope(**given)
        free = {k: v for k, v in given.items() if k != "rate"}
        allowed = rule.allowed_bare(0.5 * many.slope * given["height"], **free)
        for k in (0, draws.COUNT - 1):
            single = rule.envelope(**draws.one(given, k))
            assert isinstance(single.p_max, float)
            p = np.broadcast_to(many.p_max, draws.COUNT)[k]
            assert single.p_max == pytest.approx(p, rel=1e-12)
            assert single.branch == np.broadcast_to(many.branch, draws.COUNT)[k]
            half = 0.5 * single.slope * float(given["height"][k])
            one = rule.allowed_bare(half, **draws.one(free, k)).rate
            assert one == pytest.approx(np.broadcast_to(allowed.rate, draws.COUNT)[k], rel=1e-9)


def test_what_it_needs_left_out_is_full_liquid_head(rule, cases):
    for term in rule.needs:
        for given in cases[:6]:
            found = rule.envelope(**{**given, term: None})
            head = found.surge * given["unit_weight"] * given["height"]
            assert found.p_max == pytest.approx(head, rel=1e-12), term
            free = {k: None if k == term else v for k, v in given.items() if k != "rate"}
            under, over = (rule.allowed_bare(share * head, **free) for share in (0.99, 1.0))
            assert np.all((under.rate == 0.0) & (under.branch == found.branch))
            assert np.all(np.isinf(over.rate))
            if not given.get("from_base"):
                assert np.all(over.branch == HEAD)
    for given in cases[:6]:
        assert rule.envelope(**{**given, "rate": None}).p_max == pytest.approx(
            rule.liquid_head(**given).p_max
        )


def test_pumped_from_the_base_is_no_less_than_liquid_head(rule, cases):
    for given in cases[:6]:
        from_base = {**given, "from_base": True}
        head = given["unit_weight"] * given["height"]
        assert np.all(rule.envelope(**from_base).p_max >= head * (1 - 1e-12))
        free = {k: v for k, v in from_base.items() if k != "rate"}
        assert np.all(rule.allowed_bare(0.99 * head, **free).rate == 0.0)


def test_every_range_refuses_outside_and_not_inside(rule, cases):
    whole = next(c for c in cases if all(v is not None for v in c.values()))
    for limit in rule.ranges:
        given = draws.one(whole, 0)
        if limit.among:
            given |= {limit.among[0]: limit.among[1][0], "vibration": "internal"}
        if limit.only:
            values = {"inside": limit.only, "outside": ["something else"]}
        else:
            inside, outside = [limit.least, limit.most], [limit.most * 1.001 + 1e-6]
            outside += [limit.least * 0.999] if limit.least > 0.0 else []
            values = {"inside": inside, "outside": outside}
        for value in values["inside"]:
            refusals = rule.outside({**given, limit.term: value})
            assert limit.term not in [refusal.key for refusal in refusals]
        for value in values["outside"]:
            with pytest.raises(OutOfRange, match=str(rule.document)) as refusal:
                rule.envelope(**{**given, limit.term: value})
            assert refusal.value.key == limit.term


def test_a_new_document_takes_one_file(toy):
    """Used from a plan by its name: 25 (0.5 + 0.1 + 0.5) = 27.5 kPa; nothing else was edited."""
    plan = read_plan(PLAN)
    verdict = check(plan)
    assert verdict.case.rule is toy
    assert verdict.envelope.p_max == pytest.approx(27.5)
    assert verdict["ties"].status == "OK"
    assert verdict.allowed.rate > 0.3
    assert [key for key, _ in verdict.plan.assumed if "slump" in key or "cement" in key] == []
    assert compare(plan).governing.rule is toy


@pytest.mark.parametrize("says", ["pump from base", "external", "flowing"])
def test_a_new_document_hears_of_what_brings_liquid_head(toy, says):
    text = {
        "pump from base": PLAN + 'method = "pump from base"\n',
        "external": PLAN.replace('"internal"', '"external"'),
        "flowing": PLAN.replace("self_consolidating = false", "self_consolidating = true"),
    }[says]
    assert check(read_plan(text)).allowed.rate == 0.0


def test_a_kernel_that_would_not_hear_of_it_is_refused():
    for missing in ("from_base", "vibration", "self_consolidating"):
        source = TOY.replace(f"{missing}=", f"not_{missing}=")
        with pytest.raises(TypeError, match=f"must take .*{missing}"):
            exec(source, {})


@pytest.mark.parametrize("takes", ["temperature=None, ", ""], ids=["ignored", "not asked for"])
def test_card_and_rates_of_a_document_that_temperature_does_not_touch(toy, takes, monkeypatch):
    source = TOY.replace("temperature=None, ", takes).replace(', needs=("temperature",),', ",")
    source = source.replace("temperature is None or ", "").replace(
        "liquid(temperature, ", "liquid("
    )
    source = source.replace('ranges=(Range("temperature", 0.0, 35.0, CLAUSES[1]),)', "")
    source = source.replace("10.0 / (temperature + 10.0)", "0.5").replace("TOY 1", "TOY 2")
    source = source.replace('"TOY", "1"', '"TOY", "2"').replace("toy_2026", "toy_2027")
    source = source.replace("def liquid(temperature, ", "def liquid(")
    exec(source, {})
    plan = read_plan(PLAN.replace("TOY 1", "TOY 2"))
    try:
        page = card_html(check(plan))
        assert rates(plan).shown[0, 0] == rates(plan).shown[-1, 0] > 0.0
    finally:
        RULES._rules.pop("toy_2027")
    assert "min" in page


def test_a_broken_rule_is_noticed(toy, monkeypatch):
    """The properties are fed an inverse that allows 1 % more than it may."""
    rng = np.random.default_rng(11)
    given = [draws.inputs(toy, rng) for _ in range(CASES)]
    import dataclasses

    def generous(pressure, **more):
        return toy.inverse(pressure * 1.01, **more)

    with pytest.raises(AssertionError):
        test_forward_and_inverse_agree(dataclasses.replace(toy, inverse=generous), given)


def test_unknown_inputs_and_choices_are_refused_with_the_known_ones(rule):
    with pytest.raises(Refusal, match="not an input of this rule") as refused:
        rule(height="3 m", heigth="4 m")
    said = refused.value
    assert (said.key, said.value, said.problem) == ("heigth", "4 m", "not an input of this rule")
    assert said.cure.startswith("Use height, unit_weight, rate, ")
    for term in set(CHOICES) & set(rule.terms):
        with pytest.raises(Refusal, match="not one of its choices") as refused:
            rule(height="3 m", unit_weight="24 kN/m3", **{term: "round"})
        said = refused.value
        assert (said.key, said.value, said.problem) == (term, "round", "not one of its choices")
        assert (
            said.cure
            == {
                "element": "Use wall, column, larger",
                "vibration": "Use internal, external, hammering, rodding, none",
                "consistency": "Use F1, F2, F3, F4, F5, F6, SCC",
            }[term]
        )


@pytest.mark.parametrize(
    ("cement", "retarder", "fly_ash", "slag", "cc", "c2"),
    [
        ("I", False, 0.0, 0.0, 1.0, 0.30), ("I", True, 0.0, 0.0, 1.2, 0.45),
        ("I", None, 0.0, 0.0, 1.2, 0.45), ("IL", False, 0.0, 0.0, 1.2, 0.60),
        ("IL", True, 0.0, 0.0, 1.4, 0.60), (None, False, 0.0, 0.0, 1.2, 0.60),
        ("low-heat Portland", False, 0.0, 0.0, 1.2, 0.45),
        ("Low-Heat Portland cement", True, 0.0, 0.0, 1.4, 0.60),
        ("I", False, 20.0, 0.0, 1.2, 0.45), ("I", False, 20.0, 35.0, 1.4, 0.60),
        ("I", False, 0.0, 69.0, 1.2, 0.45), ("I", False, 0.0, 70.0, 1.4, 0.60),
        ("I", False, 40.0, 0.0, 1.4, 0.60), ("I", False, None, 0.0, 1.4, 0.60),
    ],
)  # fmt: skip
def test_the_row_of_a_mix(cement, retarder, fly_ash, slag, cc, c2):
    """Cc of ACI 347R-14 and C2 of CIRIA Report 108, from memory; what is not known at its worst."""
    mix = {"cement": cement, "retarder": retarder, "fly_ash": fly_ash, "slag": slag}
    for name, coefficient in (("aci347r_2014", cc), ("ciria108_1985", c2)):
        assert RULES[name].mixes(**mix)[0][1]["chemistry"] == pytest.approx(coefficient)


@pytest.mark.parametrize(
    ("name", "side"),
    [
        ("aci347_1978", 6.5), ("aci347_2004", 6.5), ("aci347r_2014", 6.5), ("aci347r_2014_si", 2.0),
        ("ciria108_1985", 2.0),
    ],
)  # fmt: skip
def test_no_side_of_a_column_is_over_the_limit(name, side):
    """Feet or metres; the limit itself is still a column."""
    is_column = RULES[name].is_column
    assert [is_column(0.5, s) for s in (1.0, side, side + 0.01)] == [True, True, False]
    assert is_column(side + 0.01, 0.5) is False


@pytest.mark.parametrize(
    ("name", "given", "mixes"),
    [
        ("aci347r_2014", {"chemistry": 1.0}, {"as_planned": 1.0, "next_worse": 1.2, "worst": 1.4}),
        ("aci347r_2014", {"cement": "I", "retarder": True, "fly_ash": 0.0, "slag": 0.0},
         {"as_planned": 1.2, "worst": 1.4}),
        ("aci347r_2014_si", {}, {"as_planned": 1.4}),  # nothing known counts at the worst
        ("ciria108_1985", {"chemistry": 0.3},
         {"as_planned": 0.3, "next_worse": 0.45, "worst": 0.6}),
        ("ciria108_1985", {"cement": "I", "retarder": False, "fly_ash": 20.0, "slag": 0.0},
         {"as_planned": 0.45, "worst": 0.6}),
        ("ciria108_1985", {}, {"as_planned": 0.6}),
    ],
)  # fmt: skip
def test_the_mixes_of_the_rate_table_are_the_rows_that_are_worse(name, given, mixes):
    """Cc 1.0, 1.2, 1.4 of ACI; C2 0.30, 0.45, 0.60 of CIRIA."""
    found = RULES[name].mixes(height=3.0, **given)
    assert {mix: changed["chemistry"] for mix, changed in found} == mixes
    assert RULES["din18218_2010"].mixes(height=3.0) == (("as_planned", {}),)


@pytest.mark.parametrize("name", [n for n in RULES if "vibration_depth" in RULES[n].terms])
def test_vibration_of_unknown_depth_is_liquid_head_both_ways(name):
    rule = RULES[name]
    inputs = {
        "height": 4.0, "unit_weight": 24.0 if rule.system == "SI" else 150.0, "rate": 1.0,
        "temperature": 60.0 if rule.system == "US" else 20.0, "slump": 3.0, "cement": "I",
        "retarder": False, "fly_ash": 0.0, "slag": 0.0, "consistency": "F3", "setting_time": 7.0,
        "setting_temperature": 15.0, "plumb": True, "tight_face": True, "vibration": "internal",
    }  # fmt: skip
    inputs = {term: value for term, value in inputs.items() if term in rule.terms}
    found = rule.envelope(**inputs)
    assert found.p_max == found.given["unit_weight"] * 4.0
    assert found.governed_by.label is Label.OWN  # an input is not known
    allowed = rule.allowed_bare(
        found.p_max / 2.0, **{term: v for term, v in inputs.items() if term != "rate"}
    )
    assert (allowed.kind, allowed.why) == ("none", found.governed_by)


def test_pressure_at_a_depth_by_quantities():
    found = RULES["aci347r_2014"](height="8 ft", unit_weight="150 pcf")
    assert found.at("3 ft").m_as("lbf/ft**2") == pytest.approx(450.0)
    metric = RULES["aci347r_2014_si"](height="3 m", unit_weight="24 kN/m3")
    assert metric.at("1 m").m_as("kPa") == pytest.approx(24.0)


def test_between_the_two_equations_the_slower_goes_to_its_last_rate():
    """Metric set at 15 C and 2.1 m/h: (b) 7.2 + 785 x 2.1/32.8 = 57.46 kPa, (c) 7.2 + (1156 +
    244 x 2.1)/32.8 = 58.07. At 57.8 kPa all of (b) passes; (c), which starts there, does not."""
    given = {
        "height": 3.0, "unit_weight": 23.0, "temperature": 15.0, "slump": 100.0, "cement": "I",
        "retarder": False, "fly_ash": 0.0, "slag": 0.0, "element": "wall",
        "vibration": "internal", "vibration_depth": 1.0,
    }  # fmt: skip
    found = RULES["aci347r_2014_si"].allowed_bare(57.8, **given)
    assert found.rate == pytest.approx(2.1, rel=1e-6)
    assert found.rate < 2.1
    assert found.why.says.startswith("equation with 1/T and R/T")


def test_the_rates_that_pass_do_not_hear_of_a_rate():
    """Equation (b) turned round: (750 - 150) 60/9000 = 4 ft/h, at whatever rate it is asked."""
    given = {
        "height": "12 ft", "unit_weight": "150 pcf", "temperature": "60 F", "slump": "5 in",
        "cement": "I", "retarder": False, "fly_ash": "0 %", "slag": "0 %", "element": "wall",
        "vibration": "internal", "vibration_depth": "3 ft",
    }  # fmt: skip
    rule = RULES["aci347r_2014"]
    for more in ({}, {"rate": "9 ft/h"}):
        assert rule.allowed("750 psf", **given, **more).rate == pytest.approx(4.0)


def test_what_a_document_leaves_out(toy):
    """No side of it makes a column, no limit of its is crossed, and it writes no steps."""
    assert toy.is_column(0.5, 0.5) is False
    assert toy.side_of_limits(height=3.0) == ()
    assert toy.steps(toy.envelope(height=3.0, unit_weight=25.0)) == ()


@pytest.mark.parametrize(
    ("consistency", "vibration", "told"),
    [
        ("F3", "internal", False), ("F3", "none", True), ("F3", "external", True),
        ("F3", "rodding", True), ("SCC", "none", False), ("SCC", "rodding", False),
        ("SCC", "internal", True), (None, "none", False), ("F3", None, False),
    ],
)  # fmt: skip
def test_din_asks_how_the_concrete_is_compacted(consistency, vibration, told):
    """F classes by internal vibrators, self-compacting concrete by none: else full head. The rod
    is our reading. With one of the two not known, that is what is told."""
    found = RULES["din18218_2010"].envelope(
        height=4.0, unit_weight=25.0, rate=1.0, consistency=consistency, setting_time=5.0,
        setting_temperature=15.0, temperature=15.0, vibration=vibration, vibration_depth=0.5,
        plumb=True, tight_face=True,
    )  # fmt: skip
    assert found.governed_by.says.startswith("not vibrated") is told
    if told or None in (consistency, vibration):
        assert found.p_max == pytest.approx(100.0)
    else:
        assert found.p_max < 100.0


def test_many_walls_at_once_are_those_one_by_one():
    """Rates down, temperatures across, more than are worked on at once."""
    rule = RULES["aci347r_2014"]
    rate, temperature = np.linspace(0.5, 14.0, 70_000)[:, None], np.array([50.0, 80.0])
    given = {
        "height": 12.0, "unit_weight": 150.0, "slump": 5.0, "cement": "I", "retarder": False,
        "fly_ash": 0.0, "slag": 0.0, "element": "wall", "vibration": "internal",
        "vibration_depth": 3.0,
    }  # fmt: skip
    found = rule.envelope(rate=rate, temperature=temperature, **given)
    assert found.p_max.shape == (70_000, 2)
    for row in (0, 30_000, 69_999):
        for column in (0, 1):
            alone = rule.envelope(rate=rate[row, 0], temperature=temperature[column], **given)
            assert found.p_max[row, column] == alone.p_max
