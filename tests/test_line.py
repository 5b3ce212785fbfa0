"""Line and plumb: tolerances, the far end of a leaning corner, string readings, time left."""

import cmath

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import SMALL

from formpressure import OutOfRange, Refusal, far_end, read_plan, straighten
from formpressure.job.plumb import tolerance
from formpressure.job.setting import setting_time
from formpressure.report import blocks_job, figures_job

SIGNED = """
[line]
stations = ["0 ft", "8 ft", "16 ft", "24 ft"]
readings = ["0 in", "+3/8 in", "-1/4 in", "+1 1/8 in"]
plus = "away from the string"
"""
PLAIN = """
[line]
stations = ["0 ft", "8 ft", "16 ft", "24 ft"]
readings = ["1 1/2 in", "1 7/8 in", "1 1/4 in", "2 5/8 in"]
offset = "1 1/2 in"
"""
NAMED = 'tolerance = "3/8 in"\ntolerance_from = "specification 03 1000"\n'
SET = 'set = "4 h"\nset_at = "70 F"\nwarmest = "80 F"\nsince = "90 min"\n'


def line(text):
    return straighten(read_plan(SMALL + text))


@given(st.floats(0.01, 20), st.floats(2, 20), st.floats(1, 300))
def test_the_far_end_is_the_row_turned_about_its_corner(out, height, length):
    found = far_end(f"{out} in", height=f"{height} ft", length=f"{length} ft")
    turn = cmath.exp(1j * cmath.asin(out / 12 / height).real)
    corner, end = turn * 1j * height, turn * (length + 1j * height)
    assert -corner.real * 12 == pytest.approx(out, rel=1e-6)
    assert (end - corner).imag * 12 == pytest.approx(found.off_level, rel=1e-6)
    assert found.each * length / found.panel == pytest.approx(found.off_level)


def test_a_quarter_inch_at_the_corner_is_five_quarters_at_40_feet():
    assert far_end("1/4 in", height="8 ft", length="40 ft").climb.m_as("inch") == 1.25
    assert far_end("-1/4 in", height="8 ft", length="40 ft").off_level == 1.25
    metric = far_end("6 mm", height="2.4 m", length="12 m", panel="0.6 m", system="SI")
    assert (metric.off_level, metric.each) == (pytest.approx(30.0), pytest.approx(1.5))
    assert far_end("0 in", height="8 ft", length="40 ft").off_level == 0.0
    with pytest.raises(Refusal, match="its whole height"):
        far_end("12 in", height="1 ft", length="40 ft")
    with pytest.raises(Refusal, match="bare number"):
        far_end(0.25, height="8 ft", length="40 ft")


def test_a_tolerance_stops_where_its_document_does():
    assert tolerance("ACI 117", "plumb", "27 ft").value.m_as("inch") == pytest.approx(0.972)
    assert tolerance("ACI 117", "plumb", "28 ft").value.m_as("inch") == pytest.approx(1.0)
    for document, height in (("ACI 117", "84 ft"), ("NAHB", "9 ft"), ("EN 13670", "11 m")):
        with pytest.raises(OutOfRange, match="known here only up to there"):
            tolerance(document, "plumb", height)
    with pytest.raises(Refusal, match='Use "ACI 117"'):
        tolerance("ACI 318", "plumb", "8 ft")
    with pytest.raises(Refusal, match="not in the table"):
        tolerance("ACI 117", "line", "8 ft")
    with pytest.raises(Refusal, match="height: missing"):
        tolerance("ACI 117", "plumb")
    steps = [tolerance(d, "step, class C").value.m_as("inch") for d in ("ACI 347R", "ACI 117")]
    assert steps == [0.25, 0.5]  # the two documents differ
    assert "class of surface" in str(tolerance("ACI 117", "step, class C").clauses[0])
    assert "from memory" in str(tolerance("EN 13670", "plumb", "3 m").clauses[0])


def test_signs_and_plain_distances_tell_the_same():
    out = [0.0, -0.375, 0.25, -1.125]
    assert [s.out for s in line(SIGNED).stations] == pytest.approx(out)
    assert [s.out for s in line(PLAIN).stations] == pytest.approx(out, abs=1e-12)
    toward = SIGNED.replace("away from", "toward")
    assert [s.out for s in line(toward).stations] == pytest.approx([-v for v in out])


def test_furthest_out_first_and_only_what_is_over():
    found = line(SIGNED)
    assert found.order == (3, 1, 2)
    assert {s.within for s in found.stations} == {None}
    assert line(SIGNED + NAMED).order == (3,)  # 3/8 in is within 3/8 in
    assert [s.within for s in line(SIGNED + NAMED).stations] == [True, True, True, False]
    text = str(blocks_job.string_line(line(SIGNED + NAMED)))
    assert "1. At 24 ft: bring it 1 1/8 in toward the string." in text
    assert "specification 03 1000" in text
    assert "over" in str(blocks_job.string_line(line(SIGNED + 'document = "UFGS 03700"')))


def test_time_left_is_the_shorter_estimate_less_what_has_gone():
    found = line(SIGNED + SET)
    both = setting_time("4 h", at="70 F", now="80 F")
    shorter = min(both.arrhenius.value.m_as("min"), both.trade.value.m_as("min"))
    assert found.left == pytest.approx(shorter - 90)
    assert f"at most 1 h {int(shorter - 90) - 60} min" in blocks_job.time_left(found)
    late = line(SIGNED + SET.replace("90 min", "4 h"))
    assert late.left < 0
    assert "TOO LATE" in blocks_job.time_left(late)
    for key in ("set", "set_at", "warmest", "since"):
        lines = [v for v in SET.splitlines(keepends=True) if not v.startswith(f"{key} =")]
        found = line(SIGNED + "".join(lines))
        assert (found.left, found.left_key) == (None, f"line.{key}")
        assert f"line.{key}" in blocks_job.time_left(found)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (SIGNED.replace(', "-1/4 in"', ""), "line.readings.*not one for each station"),
        (SIGNED.replace('"-1/4 in"', '"-1/4"'), "line.readings.*bare number"),
        (SIGNED.replace('"8 ft"', '"18 ft"'), "line.stations.*not in order"),
        (SIGNED.replace('plus = "away from the string"', ""), "what the readings mean"),
        (SIGNED + 'offset = "2 in"', "what the readings mean"),
        (PLAIN.replace('"1 7/8', '"-1 7/8'), "below 0"),
        (SIGNED + 'tolerance = "1/4 in"', "a tolerance of no document"),
        (SIGNED + NAMED + 'document = "UFGS 03700"', "given beside line.document"),
        (SIGNED + NAMED.replace("3/8", "-3/8"), "no tolerance"),
        (SIGNED + 'document = "ACI 117"', "wall.toml: line.document.*Give line.tolerance"),
        (SIGNED + SET.replace("80 F", "110 F"), "wall.toml: line.warmest.*outside 40 to 100 F"),
        ("", "wall.toml: line: missing"),
    ],
)
def test_readings_that_cannot_be_are_refused(text, words):
    with pytest.raises(Refusal, match=words) as refusal:
        straighten(read_plan(SMALL + text, file="wall.toml"))
    assert refusal.value.cure


def test_pictures_are_the_same_twice_and_say_what_they_show():
    def corner():
        return figures_job.far_end(far_end("1/4 in", height="8 ft", length="40 ft"))

    assert corner().html == corner().html
    assert "1 1/4 in off level" in str(corner())
    for text in (SIGNED, SIGNED + NAMED):
        first, again = (figures_job.string_line(line(text)) for _ in range(2))
        assert first.html == again.html
        assert "1 1/8 in away from the string at 24 ft" in str(first)
    straight = SIGNED.replace('"+3/8 in", "-1/4 in", "+1 1/8 in"', '"0 in", "0 in", "0 in"')
    assert "0 of them are" in str(figures_job.string_line(line(straight)))
