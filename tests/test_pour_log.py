"""The pour log as a file: nothing lost, nothing guessed, whatever end of it is missing."""

import os
from pathlib import Path

import pytest

from formpressure import Refusal
from formpressure.job.pour_log import (
    COLUMNS,
    HALF,
    HEADER,
    add_line,
    clock_of,
    load_log,
    nearest,
    read_log,
)

ROOT = Path(__file__).resolve().parents[1]
DEMO = (ROOT / "shared" / "logs" / "two_runs_9ft.csv").read_bytes()


def log_of(*lines, head=HEADER, system="US"):
    return read_log("".join(f"{line}\n" for line in (head, *lines)).encode(), system)


def only(text, **more):
    (line,) = log_of(text, **more).lines
    return line


def test_a_line_is_read_into_bare_numbers_of_the_plan():
    line = only('8:20, 3, north, 3\'-6", 55 F, 5 in, "bulge, at the door"')
    assert (line.time, line.truck, line.run) == (500.0, "3", "north")
    assert (line.level, line.temperature, line.slump) == (3.5, 55.0, 5.0)
    assert line.event == "bulge, at the door"
    assert line.alarm == "bulge"
    metric = only("8:20,,north,1.2 m,13 C,125 mm,", system="SI")
    assert (metric.level, metric.temperature, metric.slump) == pytest.approx((1.2, 13.0, 125.0))
    assert only("8:20,,,,,,").problems == ()


@pytest.mark.parametrize(
    ("text", "column", "told"),
    [
        (
            "8:20,,north,3,,,",
            "level",
            'level = "3": a bare number has no unit. Add the unit: "3 ft"',
        ),
        ("8:20,,north,300 ft,,,", "level", "out of reason"),
        ("8:20,,,,55,,", "temperature", "bare number"),
        ("8:20,,,,,five in,", "slump", "cannot be read"),
        ("25:20,,,,,,x", "time", "is not a time of day"),
        ("8:20,1,north,3 ft", "line", "has 4 cells"),
        ('8:20,"1,north,3 ft,,,', "line", "is not CSV"),
        ("8:20,,north,3 ft,,,x" + HALF, "line", "half-written"),
        ("8:20,,,,,,a\x00b", "line", "do not print"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place_and_the_rest_is_kept(text, column, told):
    log = log_of("8:10,1,north,1 ft,,,", text, "8:30,,north,3 ft,,,")
    assert [line.number for line in log.lines] == [2, 3, 4]
    assert log.lines[1].text == text
    ((where, message),) = log.lines[1].problems
    assert where == column
    assert message.startswith("log: line 3")
    assert told in message
    assert log.lines[2].level == 3.0


def test_bytes_that_are_no_text_spoil_one_line_only():
    log = read_log(HEADER.encode() + b"\r\n8:00,,,,,,caf\xe9\r\n8:10,,,1 ft,,,\r\n")
    assert [line.unread for line in log.lines] == [True, False]
    assert log.lines[1].event == ""


def test_a_file_that_is_no_pour_log_is_refused(tmp_path):
    for content in (b"units = 'US'\n", b"time;truck;run\n8:00;;\n", b"8:00,,,,,,\n"):
        with pytest.raises(Refusal, match=r"is not a pour log|Write"):
            read_log(content)
    with pytest.raises(Refusal, match="cannot be opened"):
        load_log(tmp_path / "none.csv")
    with pytest.raises(Refusal, match="cannot be opened"):
        load_log(tmp_path)


def test_clock():
    cases = {"8:05": 485, "08:05": 485, "20:05": 1205, "8:05 pm": 1205, "12:10am": 10, "0:00": 0}
    assert {text: clock_of(text) for text in cases} == cases
    for text in ("24:00", "8:60", "13:00 pm", "0:10 am", "8.05", "8:5", "8", "", "8:05:10"):
        with pytest.raises(Refusal, match="time of day"):
            clock_of(text)


def test_midnight_and_lines_out_of_order():
    log = log_of(*(f"{t},,,,,,x" for t in ("23:50", "0:10", "23:55", "0:20", "7:00", "0:30")))
    assert [line.time - 1430 for line in log.lines] == [0, 20, 5, 30, 430, 40]
    assert [line.earlier for line in log.lines] == [False, False, True, False, False, True]
    assert [line.number for line in log.in_time] == [2, 4, 3, 5, 7, 6]
    assert nearest(10, 1435) == 1450
    assert nearest(715, 1435) == 2155  # twelve hours back is half a day on
    assert nearest(716, 1435) == 716


def test_events_that_act_and_events_that_are_kept():
    alarms = ("Bulge at door", "noise", "LEAKING", "tie lost", "2 ties gone", "wedge out",
              "crack", "leaning", "blew out", "burst", "stopped for lunch",
              "loud thud", "ping", "a clip snapped", "Panza", "fuga en la esquina", "MOÑO",
              "falta un tirante", "crujidos", "paro", "se revienta")  # fmt: skip
    assert all(only(f"8:00,,,,,,{text}").alarm for text in alarms)
    notes = ("near miss: hose whipped", "21 min late", "beautiful", "untied boat", "empty")
    assert not any(only(f"8:00,,,,,,{text}").alarm for text in notes)
    assert only("8:00,,,,,,restart: A. Foreman").restart == "A. Foreman"
    assert only("8:00,,,,,,restart").restart == ""
    assert only("8:00,,,,,,restart A. Foreman after leak").restart == ""
    for text in ("restart not allowed", "restart when A. Foreman says so", "restart?",
                 "restart A. Foreman?", "restart wait for A. Foreman"):  # fmt: skip
        assert only(f"8:00,,,,,,{text}").restart == ""
    slipped = ("8:00,bulge,,,,,", "8:00,,,bulge,,,", "noise,,,,,,", "8:00,,,,leak,,")
    assert all(only(text).alarm for text in slipped)
    assert only("8:00,,,,,,Replaces line 12").replaces == 12
    starts = {"": True, "start": True, "arrived": False, "waits": False, "sent back": False}
    assert {e: only(f"8:00,3,,,,,{e}").starts_truck for e in starts} == starts
    assert not only("8:00,,,,,,start").starts_truck


# ---------------------------------------------------------------- cut and added to


def test_cut_at_every_byte_nothing_before_is_lost():
    content = b"".join(DEMO.splitlines(keepends=True)[:22])
    whole = read_log(content)
    ends = [i + 1 for i, byte in enumerate(content) if byte == 10]
    for cut in range(len(content) + 1):
        log = read_log(content[:cut])
        kept = max(0, sum(end <= cut for end in ends) - 1)  # without the header
        assert log.lines == whole.lines[:kept]
        at_end = cut == 0 or cut in ends
        assert (log.half is None) is at_end
        if log.half is not None:
            assert content[:cut].decode().endswith(log.half.text)
            assert "half-written" in log.half.problems[0][1]


def test_a_log_cut_at_every_byte_can_be_added_to(tmp_path):
    lines = HEADER, "8:00,1,north,0 ft,61 F,5 in,start", '8:10,,north,2 ft,,,"leak, stopped"', ""
    content = "\n".join(lines).encode()
    for cut in range(len(content) + 1):
        path = tmp_path / f"{cut}.csv"
        path.write_bytes(content[:cut])
        before = read_log(content[:cut])
        number = add_line(path, "8:20, 2, north, 3 ft")
        after = path.read_bytes()
        assert after.startswith(content[:cut])
        assert after.endswith(b"\n8:20, 2, north, 3 ft,,,\n")
        log = load_log(path)
        assert log.half is None
        assert log.lines[: len(before.lines)] == before.lines
        assert log.lines[-1].number == number
        assert log.lines[-1].level == 3.0
        pieces = log.lines[len(before.lines) : -1]
        if before.half is None or HEADER.startswith(before.half.text):
            assert pieces == ()
        else:
            assert [(p.text, p.unread) for p in pieces] == [(before.half.text + HALF, True)]
            assert bool(pieces[0].alarm) is bool(before.half.alarm)


def test_a_line_that_could_not_be_read_again_is_not_written(tmp_path):
    path = tmp_path / "log.csv"
    assert add_line(path, "8:00,1,north,0 ft") == 2
    before = path.read_bytes()
    assert before.decode().splitlines() == [HEADER, "8:00,1,north,0 ft,,,"]
    cures = {
        "8:10,,north,3": 'level = "3": a bare number has no unit. Add the unit: "3 ft"',
        "late,,north": "is not a time of day. Write hours and minutes",
        "8:10,,,,,,a,b": "has 8 cells",
        '8:10,"x': "is not CSV",
        "8:10,,,\n8:20,,,": "more than one line",
    }
    for text, told in cures.items():
        with pytest.raises(Refusal) as refusal:
            add_line(path, text)
        assert told in str(refusal.value)
        assert str(path) in str(refusal.value)
        assert path.read_bytes() == before
    (tmp_path / "plan.toml").write_text("units = 'US'\n")
    with pytest.raises(Refusal, match="is not a pour log"):
        add_line(tmp_path / "plan.toml", "8:00")
    assert len(COLUMNS) == 7


def test_half_a_write_is_told(tmp_path, monkeypatch):
    path = tmp_path / "log.csv"
    add_line(path, "8:00,1,north,0 ft")
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, content: real(handle, content[:9]))
    with pytest.raises(Refusal, match="half of the line"):
        add_line(path, "8:10,1,north,1 ft")
    monkeypatch.undo()
    log = load_log(path)
    assert log.half.text == "8:10,1,no"
    assert log.lines[0].level == 0.0
