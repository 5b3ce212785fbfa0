"""One key of a plan changed, as if it had been written so in the file."""

import dataclasses

import pytest
from plans import CONCRETE, SMALL, complete

from formpressure import Refusal, check, read_plan, what_if


def same(changed, text):
    """The changed plan is the plan of that text, but for file and checksum."""
    plan = read_plan(text)
    told = dataclasses.replace(changed, file=plan.file, checksum=plan.checksum)
    assert told == plan
    assert check(told).word == check(plan).word


@pytest.mark.parametrize(
    ("key", "value", "old", "new"),
    [
        ("concrete.temperature", "45 F", '"60 F"', '"45 F"'),
        ("concrete.mix.retarder", True, "retarder = false", "retarder = true"),
        ("ties.heights", ["1 ft", "5 ft"], '["1 ft", "3 ft", "5 ft", "7 ft"]', '["1 ft", "5 ft"]'),
        ("concrete.slump", None, 'slump = "5 in"\n', ""),
        ("concrete.mix", {"cement": "II"}, complete().split("mix = ")[1].split("\n")[0],
         '{ cement = "II" }'),
        ("delivery.fastest_rise", "4 ft/h", "[delivery]", '[delivery]\nfastest_rise = "4 ft/h"'),
        ("form.corners", None, 'corners = "none"\n', ""),
        ("by_others", None, complete()[complete().index("[[by_others]]"):], ""),
    ],
)  # fmt: skip
def test_a_changed_plan_is_that_of_the_changed_text(key, value, old, new):
    text = complete()
    assert text.count(old) == 1
    same(what_if(read_plan(text), key, value), text.replace(old, new))


def test_assumptions_follow_the_change():
    small, full = read_plan(SMALL), read_plan(SMALL + CONCRETE)
    key = "concrete.temperature"
    assert key in dict(small.assumed)
    assert key not in dict(what_if(small, key, "60 F").assumed)
    assert key in dict(what_if(full, key, None).assumed)


def test_file_and_checksum_tell_the_change():
    plan = read_plan(SMALL, file="wall.toml")
    one, two = (what_if(plan, "ties.load", load) for load in ("2000 lb", "2001 lb"))
    assert one.file == "wall.toml with ties.load = 2000 lb"
    assert len({plan.checksum, one.checksum, two.checksum}) == 3


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("concrete.temprature", "45 F", "not a key of the plan. Did you mean temperature"),
        ("concrete.temperature", 45, "bare number"),
        ("ties.load", None, "missing. Add ties.load"),
        ("form.corners.load", "1 lb", "form.corners: holds no single keys in this plan"),
        ("wall.height.ft", "8 ft", "wall.height: holds no single keys"),
        ("ties.heights", ["9 ft"], "a tie above the form"),
        ("", "x", "not a key"),
    ],
)
def test_what_the_file_would_not_take_is_refused(key, value, message):
    with pytest.raises(Refusal) as refused:
        what_if(read_plan(SMALL, file="wall.toml"), key, value)
    assert str(refused.value).startswith("wall.toml: ")
    assert message in str(refused.value)
