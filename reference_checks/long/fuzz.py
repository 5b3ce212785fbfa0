"""Broken input, led on by the branches it reaches: no traceback, no hang, no gigabyte.

Needs the package atheris. Run from the project's root, one target at a time:
`.venv/bin/python reference_checks/long/fuzz.py plan 600` for 600 s; the targets are in `TARGETS`.
Any exception but a Refusal of one line is a finding, so is a run over 5 s of the processor and
memory over 1 GB. Prints executions, edges of the program reached, and findings with the folder that
holds their inputs; exits 1 where there is one.
"""

import contextlib
import io
import json
import os
import random
import re
import subprocess
import sys
import tempfile
import time
import traceback
import zlib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT / "shared"
SLOW = 5.0  # seconds of the processor for one input
MEMORY = 1024  # MB
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


# ---------------------------------------------------------------- what is tried


def told(refusal):
    """A refusal is one line with a cure; 0 for an input that was not taken."""
    assert refusal.cure, "no cure"
    assert str(refusal).isprintable(), "more than one line"
    return 0


def plan_target():
    """Plan text read, checked, rated and written as text, JSON and card, with the crew's lists."""
    from formpressure import Refusal, check, loading_list, rates, read_plan, straighten, strip_times
    from formpressure.report.blocks_job import loading_csv, string_line, stripping
    from formpressure.report.card import card_html
    from formpressure.report.page_layout import layout_json
    from formpressure.report.tables import rates_json, rates_text, verdict_json
    from formpressure.report.text import text
    from formpressure.report.text_layout import layout_text
    from formpressure.tie_schedule import tie_schedule

    def set_out(verdict):
        if verdict.case.plan.layout is not None:
            schedule = tie_schedule(verdict)
            layout_text(schedule)
            json.dumps(layout_json(schedule), allow_nan=False)

    def one(data):
        try:
            plan = read_plan(data.decode("utf-8", "replace"))
            verdict = check(plan)
        except Refusal as refusal:
            return told(refusal)
        for write in (
            lambda: text(verdict),
            lambda: card_html(verdict),
            lambda: card_html(verdict, "es"),
            lambda: json.dumps(verdict_json(verdict), allow_nan=False),
            lambda: (table := rates(plan), rates_text(table), rates_json(table)),
            lambda: loading_csv(loading_list(plan)),
            lambda: string_line(straighten(plan)),
            lambda: stripping(strip_times(plan)),
            lambda: set_out(verdict),
        ):
            try:
                write()
            except Refusal as refusal:
                told(refusal)
        return 1

    return one


def units_target():
    """One text read as every term."""
    import math

    from formpressure import Refusal
    from formpressure.units import SYSTEMS, enter, read, terms

    def one(data):
        text, taken = data.decode("utf-8", "replace"), 0
        for term in terms():
            try:
                quantity = read(term, text)
            except Refusal as refusal:
                told(refusal)
            else:
                assert all(math.isfinite(enter(term, quantity, s)) for s in SYSTEMS), term
                taken = 1
        return taken

    return one


def verdicts():
    from formpressure import check, load_plan

    names = "two_runs_9ft", "basement_9ft_cold", "retaining_wall_3m6", "house_wall_8ft"
    return [check(load_plan(SHARED / "plans" / f"{name}.toml")) for name in names]


def log_target():
    """A pour log read and followed; its checksum picks the plan and what time it is."""
    from formpressure import Refusal, follow
    from formpressure.job.pour_log import read_log
    from formpressure.report.log_data import log_json
    from formpressure.report.log_text import log_text

    known = verdicts()

    def one(data):
        pick = zlib.crc32(data)
        verdict = known[pick % len(known)]
        try:
            log = read_log(data, verdict.case.rule.system)
            progress = follow(verdict, log, pick % 1440 if pick % 3 else None)
        except Refusal as refusal:
            return told(refusal)
        log_text(progress)
        json.dumps(log_json(progress), allow_nan=False)
        return 1

    return one


def page_target():
    """The same as a page with its pictures, which is slow."""
    from formpressure import Refusal, follow
    from formpressure.job.pour_log import read_log
    from formpressure.report.log_report import log_html

    known = verdicts()

    def one(data):
        verdict = known[zlib.crc32(data) % len(known)]
        try:
            log = read_log(data, verdict.case.rule.system)
        except Refusal as refusal:
            return told(refusal)
        log_html(follow(verdict, log))
        return 1

    return one


def add_target():
    """The first line added to a log made of the others: it stands there, after all that was."""
    from formpressure import Refusal, add_line, load_log

    path = Path(tempfile.mkdtemp(dir=memory())) / "log.csv"
    os.fsync = lambda _: None  # a disk is not what is tried here

    def one(data):
        line, _, rest = data.partition(b"\n")
        path.write_bytes(rest)
        try:
            number = add_line(path, line.decode("utf-8", "replace"))
        except Refusal as refusal:
            assert path.read_bytes() == rest, "written and refused"
            return told(refusal)
        assert path.read_bytes().startswith(rest), "not kept"
        log = load_log(path)
        assert log.half is None, "not whole"
        assert log.lines[-1].number == number, "not there"
        assert not log.lines[-1].problems, "not read"
        return 1

    return one


def command_target():
    """Arguments of the command, one a line; nothing is written, no notebook is run."""
    import shutil

    from formpressure import cli
    from formpressure.job import pour_log
    from formpressure.report import export, files

    folder = Path(tempfile.mkdtemp(dir=memory()))
    shutil.copy(SHARED / "plans" / "two_runs_9ft.toml", folder / "p.toml")
    shutil.copy(SHARED / "logs" / "two_runs_9ft.csv", folder / "l.csv")
    os.chdir(folder)
    files.write_whole = export.write_whole = lambda path, content: None
    pour_log._append = lambda path, content: None
    export.notebook_report = lambda *_, **__: ""
    export.write_report = lambda *_, **__: None

    def one(data):
        arguments = data.decode("utf-8", "surrogateescape").replace("\0", "").split("\n")
        sys.argv[1:] = arguments
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            try:
                status = cli.main(arguments)
            except SystemExit as leave:
                status = leave.code or 0
        assert status in (0, 2, 3, 4), status
        assert status != 2 or said.getvalue().strip(), "refused without a word"
        return int(status != 2)

    return one


def memory():
    """A folder that is no disk, where there is one."""
    return "/dev/shm" if os.path.isdir("/dev/shm") else None


TARGETS = {
    "plan": plan_target, "units": units_target, "log": log_target, "page": page_target,
    "add": add_target, "command": command_target,
}  # fmt: skip


# ---------------------------------------------------------------- what it starts from


def seeds(target):
    """Inputs that are good, or nearly."""
    import plans

    from formpressure.units import terms

    logs = [path.read_bytes() for path in sorted((SHARED / "logs").glob("*.csv"))]
    if target == "plan":
        files = [path.read_bytes() for path in sorted((SHARED / "plans").glob("*.toml"))]
        more = [path.read_bytes() for path in (ROOT / "formpressure" / "data").glob("new_*.toml")]
        return [*files, *more, plans.SMALL.encode(), plans.complete().encode()]
    if target == "units":
        examples = {e for term in terms().values() for e in term.example.values()}
        odd = ("8'-6 1/2\"", "5⅝″", "8' 6''", "3,000 lbs", "−5 °C", "15 min per ft", "1/3 in")
        return [e.encode() for e in sorted(examples) + list(odd)]
    if target == "add":
        return [b"8:20,2,north,3 ft\n" + log for log in logs]
    if target == "command":
        return [
            "\n".join(a.split(" ")).encode() for a in (
                "check p.toml", "check p.toml --json", "rates p.toml --csv", "rates p.toml --json",
                "card p.toml -o x.html --language es", "log p.toml l.csv --now 9:05",
                "log p.toml l.csv --add 8:00,1,north --json", "new x.toml --units SI", "--version",
                "layout p.toml --json", "log p.toml l.csv --report x.html",
                "submittal p.toml --pdf --paper A4", "check .",
                "lesson p.toml --language es", "card l.csv", "log l.csv p.toml", "--help",
            )
        ]  # fmt: skip
    return [log[:cut] for log in logs for cut in range(len(log), 50, -80)]


def word_pool(target):
    """Lines and values to put in; for plans every key with its example."""
    lines = [line for seed in seeds(target) for line in seed.splitlines()]
    values = [v for line in lines for v in re.findall(rb'"[^"]*"', line)]
    values += [b"true", b"false", b"[]", b"{}", b"0", b"-1", b"1e308", b'"none"', b'"0 ft"',
               b'"0.01 in"', b'"199 ft"', b'"1 lb"', b'"100 %"', b'"0 %"', b'"1/3 in"']  # fmt: skip
    if target == "plan":
        from formpressure.plan import walk_keys
        from formpressure.units import terms

        for name, meta in walk_keys():
            reads = meta["reads"].removeprefix("list ")
            found = terms()[reads].example.values() if reads in terms() else meta["choices"]
            for value in found or ("2026-03-01",):
                shown = f'["{value}"]' if meta["reads"].startswith("list ") else f'"{value}"'
                lines += [f"{name} = {shown}".encode(), f"{name.split('.')[-1]} = {shown}".encode()]
        lines += [f"[{name.rpartition('.')[0]}]".encode() for name, _ in walk_keys()]
    return lines, values


def mutator(target, mutate):
    """Whole lines and values changed by those of other inputs, else some bytes."""
    lines, values = word_pool(target)

    def change(data, most, seed):
        rng = random.Random(seed)
        if not data or rng.random() < 0.1:
            return mutate(data, most)
        rows = data.split(b"\n")
        for _ in range(rng.choice((1, 1, 2, 3))):
            i = rng.randrange(len(rows))
            kind = rng.choice(("lose", "put", "value", "value", "digit", "digit", "move"))
            if kind == "lose" and len(rows) > 1:
                del rows[i]
            elif kind == "put":
                rows.insert(i, rng.choice(lines))
            elif kind == "value":
                found = list(re.finditer(rb'"[^"]*"|[^,\[\]= {}]+', rows[i]))
                if found:
                    a, b = rng.choice(found).span()
                    rows[i] = rows[i][:a] + rng.choice(values or lines) + rows[i][b:]
            elif kind == "digit":
                digits = [m.start() for m in re.finditer(rb"[0-9]", rows[i])]
                if digits:
                    at = rng.choice(digits)
                    rows[i] = rows[i][:at] + rng.choice(b"0123456789.-/").to_bytes() + rows[i][at + 1:]  # fmt: skip  # noqa: E501
            else:
                rows.insert(rng.randrange(len(rows)), rows.pop(i))
        return b"\n".join(rows)[:most]

    return change


# ---------------------------------------------------------------- one run


def inside(target, folder, seconds):
    """The run itself, in a process of its own: the fuzzer ends it without coming back."""
    import atheris

    with atheris.instrument_imports(include=["formpressure"]):
        one = TARGETS[target]()
    change = mutator(target, lambda data, most: atheris.Mutate(data, most))  # known once it runs
    found, counts = set(), [0, 0]

    def keep(place, data, error):
        if place not in found:
            found.add(place)
            name = folder / f"finding_{len(found)}"
            name.write_bytes(data)
            name.with_suffix(".txt").write_text(error, encoding="utf-8")

    def watched(data):
        start = time.process_time()
        try:
            counts[1] += one(data)
        except Exception as error:  # what the program may not let out is what is looked for
            frames = traceback.extract_tb(error.__traceback__)
            where = [(f.filename, f.lineno) for f in frames][-1]
            keep((type(error).__name__, where), data, traceback.format_exc())
        if (spent := time.process_time() - start) > SLOW:
            keep("slow", data, f"{spent:.1f} s of the processor")
        counts[0] += 1
        if counts[0] % 100 == 0:
            (folder / "taken.txt").write_text(f"{counts[1]} of {counts[0]}")

    options = [
        sys.argv[0], str(folder / "corpus"), f"-max_total_time={seconds}", "-max_len=6000",
        f"-rss_limit_mb={MEMORY}", "-timeout=60", f"-artifact_prefix={folder}/finding_",
        "-print_final_stats=1", "-seed=1",
    ]  # fmt: skip
    atheris.Setup(options, watched, custom_mutator=change)
    atheris.Fuzz()


def main():
    target, seconds = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 600
    if len(sys.argv) > 3:
        return inside(target, Path(sys.argv[3]), seconds)
    folder = Path(tempfile.mkdtemp(prefix=f"fuzz_{target}_"))
    (folder / "corpus").mkdir()
    for number, seed in enumerate(seeds(target)):
        (folder / "corpus" / f"seed_{number}").write_bytes(seed)
    with (folder / "fuzzer.txt").open("wb") as stream:
        done = subprocess.run(
            [sys.executable, __file__, target, str(seconds), str(folder)],
            stdout=stream, stderr=stream, env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )  # fmt: skip
    said = (folder / "fuzzer.txt").read_text("utf-8", "replace")
    edges = [int(n) for n in re.findall(r"cov: (\d+)", said)]
    runs = re.findall(r"number_of_executed_units: (\d+)", said)
    taken = folder / "taken.txt"
    print(f"{target}: {runs[-1] if runs else '?'} executions in {seconds} s, fuzzer's exit "
          f"{done.returncode}; taken, not refused: {taken.read_text() if taken.exists() else '?'}; "
          f"edges {edges[0] if edges else 0} from the seeds, {max(edges, default=0)} at the end"
    )  # fmt: skip
    findings = sorted(p for p in folder.glob("finding_*") if p.suffix != ".txt")
    for path in findings:
        story = path.with_suffix(".txt")
        last = story.read_text("utf-8").strip().splitlines()[-1] if story.exists() else "ended"
        print(f"finding {path}: {last}")
    print(f"{len(findings)} findings; inputs and the fuzzer's words are in {folder}")
    return int(bool(findings) or done.returncode != 0)


if __name__ == "__main__":
    sys.exit(main())
