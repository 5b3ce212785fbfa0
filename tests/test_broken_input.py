"""Broken input: judged or refused in one line; plan text runs nothing and reaches no other file."""

import ast
import json
import subprocess
import sys
from html import escape
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import CONCRETE, SMALL, complete

from formpressure import Refusal, add_line, check, follow, load_plan, read_plan, report
from formpressure.job.pour_log import HEADER, MOST_LINES, load_log, read_log
from formpressure.report.card import card_html
from formpressure.report.export import read_notebook, with_plan
from formpressure.report.log_data import log_json
from formpressure.report.text import text
from formpressure.units import SYSTEMS, enter, read, terms

LINES = (SMALL + CONCRETE).splitlines()
VERDICT = check(read_plan(complete()))


def told(refusal):
    """The refusal as one printable line with its cure."""
    assert refusal.cure
    assert str(refusal).isprintable()
    return str(refusal)


def refused(call, *arguments):
    with pytest.raises(Refusal) as caught:
        call(*arguments)
    return told(caught.value)


# ---------------------------------------------------------------- drawn


marks = st.text(alphabet="0123456789.,/-+'\" ftinmkgNPa%°FChlbp½\x1b\n٣\ud800", max_size=12)


@settings(max_examples=300)
@given(marks)
def test_any_text_is_a_value_within_reason_or_refused(written):
    for term in terms():
        try:
            quantity = read(term, written)
        except Refusal as refusal:
            told(refusal)
        else:
            assert all(abs(enter(term, quantity, system)) < 1e12 for system in SYSTEMS)


@settings(max_examples=150)
@given(st.lists(st.tuples(st.integers(0, len(LINES) - 1), st.text(max_size=20)), max_size=3))
def test_any_plan_text_is_judged_or_refused(changes):
    lines = list(LINES)
    for at, put in changes:
        name, equals, _ = lines[at].partition("=")
        lines[at] = f"{name}{equals} {json.dumps(put)}" if equals else put
    try:
        verdict = check(read_plan("\n".join(lines)))
    except Refusal as refusal:
        told(refusal)
    else:
        assert verdict.word in text(verdict)
        assert verdict.word in card_html(verdict)


cells = st.sampled_from(
    ["", "8:05", "23:59", "0:00 am", "1", "north", "3 ft", "0 ft", "99 ft", "61 F", "5 in", "-1",
     "restart: A", "replaces 2", "replaces 999999", "leak", "empty", "sent back", '"', "\x00", "é"]
)  # fmt: skip


@settings(max_examples=60)
@given(
    st.lists(st.lists(cells, min_size=6, max_size=8).map(",".join), max_size=12),
    st.sampled_from([None, 0, 500, 1439]), st.binary(max_size=6),
)  # fmt: skip
def test_any_log_is_followed_line_by_line(lines, now, rest):
    content = "\n".join([HEADER, *lines, ""]).encode() + rest
    log = read_log(content)
    progress = follow(VERDICT, log, now)
    whole = content.count(b"\n")
    assert len(progress.lines) == sum(
        bool(t.strip(b" \t,\r")) for t in content.split(b"\n")[1:whole]
    )
    json.dumps(log_json(progress), allow_nan=False)


# ---------------------------------------------------------------- found once


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        ("x = " + "9" * 5000, "thousands of digits"),
        (SMALL.replace('"8 ft"', "0x" + "f" * 5000), "wall.height = a number of thousands"),
        (SMALL.replace('"2 ft"', "[0x" + "f" * 5000 + "]"), "ties.spacing = a number of thousands"),
        ("a." * 90_000 + "b = 1", "nested too deeply"),
        ("[" + "a . " * 40_000 + "b]", "nested too deeply"),
        ('"\\"".' * 30_000 + "b = 1", "nested too deeply"),
        ("a = " + "[" * 90_000, "nested too deeply"),
        ('"\\' * 60_000, "not TOML"),
        ("a" * 190_000, "not TOML"),
        (SMALL.replace('"8 ft"', '"8 f\\u001b[2Jt"'), "'f?[2jt' is not a unit"),
        (SMALL.replace('["1 ft"', str([f"{i} in" for i in range(101)]).replace("'", '"')[:-1])
         .replace("100 in", '100 in", "8 ft'), "has over 100 rows"),
    ],
    ids=range(11),
)  # fmt: skip
def test_plans_that_filled_memory_or_broke_the_message(plan, says):
    assert says in refused(read_plan, plan)


@pytest.mark.parametrize("name", ["bare", "checksum", "concrete.__doc__", "__class__.__mro__"])
def test_what_was_measured_is_a_key_of_the_plan_and_nothing_else(name):
    measured = f'[[measured]]\nkeys = ["{name}"]\nwho = "A"\ndate = 2026-03-01\n'
    assert "no value of this plan" in refused(read_plan, complete() + measured)
    assert read_plan(complete() + measured.replace(name, "concrete.temperature")).measured


def test_no_time_for_a_foot_is_refused():
    assert "no time at all" in refused(read, "rate", "0 min/ft")


def test_text_that_no_file_could_hold_is_read_all_the_same(tmp_path):
    assert read_plan(SMALL + "# \ud800").checksum
    path = tmp_path / "wall\n\udcff.toml"
    path.write_text(SMALL, encoding="utf-8")
    plan = load_plan(path)
    assert plan.file == str(tmp_path / "wall??.toml")
    assert card_html(check(plan)).encode()


def test_a_log_is_short_enough_to_be_judged_and_no_other_file_is_added_to(tmp_path):
    long = (HEADER + "\n" + "8:00,,,,,,\n" * MOST_LINES).encode()
    assert f"has over {MOST_LINES} lines" in refused(read_log, long)
    path = tmp_path / "note"
    for content in (b'"tim"3.e', b"units", b"x [half-written]", b"\xff\xfex"):
        path.write_bytes(content)
        assert "is not a pour log" in refused(add_line, path, "8:00")
        assert path.read_bytes() == content
    path.write_bytes(HEADER.encode() + b"\r")
    assert load_log(path).half is not None
    assert add_line(path, "8:00") == 2


# ---------------------------------------------------------------- hostile


HOSTILE = (
    "__import__('os').system('touch owned')", "{0.__class__} {title} {{7*7}} %s %(x)s",
    "${HOME} `touch owned` $(touch owned) ; touch owned", "../../../../etc/passwd",
    "file:///etc/passwd", "</title><script>alert(1)</script>",
    "$\\\\input{/etc/passwd}$ \\\\write18",
    "=cmd|' /c calc'!A0", "\\\" + open('owned', 'w').name + \\\"",
)  # fmt: skip
WATCHED = """
import sys, json
from pathlib import Path
from formpressure import check, rates, load_plan, read_plan
from formpressure.report.card import card_html
from formpressure.report.tables import rates_text, verdict_json
from formpressure.report.text import text

def all_of(path):
    plan = load_plan(path)
    verdict = check(plan)
    return text(verdict), card_html(verdict), rates_text(rates(plan)), verdict_json(verdict)

all_of("plain.toml")  # what is imported and compiled on first use is so by now
seen = set()
def note(event, given):
    what = str(given[0]) if given and event in ("open", "compile", "import") else ""
    seen.add((event, what))
sys.addaudithook(note)
all_of("plain.toml")
plain = set(seen)  # such as the types of our own keys, which are compiled
for path in sys.argv[1:]:
    all_of(path)
print(json.dumps(sorted(seen - plain)))
print(json.dumps(sorted(plain)))
"""


def test_plan_text_runs_no_code_and_reaches_no_other_file(tmp_path):
    """Every event that the interpreter tells of while hostile plans are read and written out."""
    (tmp_path / "plain.toml").write_text('title = "x"\n' + complete(), encoding="utf-8")
    names = []
    for number, hostile in enumerate(HOSTILE):
        names.append(f"plan{number}.toml")
        plan = f'title = "{hostile}"\n' + complete()
        plan = plan.replace('"sheet T"', f'"{hostile}"').replace("A. Engineer", hostile)
        (tmp_path / names[-1]).write_text(plan, encoding="utf-8")
        assert escape(load_plan(tmp_path / names[-1]).title) in card_html(
            check(load_plan(tmp_path / names[-1]))
        )
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, *names],
        cwd=tmp_path, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    more, plain = (json.loads(line) for line in done.stdout.splitlines())
    assert more == sorted(["open", name] for name in names)
    opened = {Path(what) for event, what in plain if event == "open"}
    ours = Path(report.__path__[0])
    assert all(p == Path("plain.toml") or ours in p.parents for p in opened), opened
    events = {event.partition(".")[0] for event, _ in plain}
    assert events.isdisjoint({"subprocess", "os", "socket", "shutil", "ctypes", "import"}), plain
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted([*names, "plain.toml"])


def test_a_notebook_gets_the_path_of_the_plan_and_only_as_text():
    for hostile in HOSTILE:
        path = f"/tmp/{hostile}\n.toml"
        notebook = with_plan(read_notebook(), path)
        (cell,) = (c for c in notebook.cells if "parameters" in c.metadata.get("tags", ()))
        for statement in ast.parse(cell.source).body:
            assert isinstance(statement, ast.Assign)
            assert ast.literal_eval(statement.value) in (path, "en")
