"""Disk full, killed in mid-write, Ctrl-C: the earlier file is whole, and one line is said."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from plans import complete

from formpressure import Refusal
from formpressure.job.pour_log import HEADER, load_log
from formpressure.report.files import write_whole

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and limits of POSIX")

LAYOUT = Path(__file__).resolve().parents[1] / "shared" / "plans" / "garage_L_12in.toml"
EARLIER = "an earlier report\n" * 10
LOG = f"{HEADER}\n8:00,1,,0 ft,61 F,5 in,start\n"
WRITERS = {
    "card": ["card", "wall.toml", "-o", "out.html"],
    "submittal": ["submittal", "wall.toml", "-o", "out.html"],
    "its PDF": ["submittal", "wall.toml", "--pdf", "-o", "out.html"],
    "lesson": ["lesson", "wall.toml", "-o", "out.html"],
    "log report": ["log", "wall.toml", "log.csv", "--report", "out.html"],
    "layout": ["layout", "layout.toml", "-o", "out.html"],
}
# Pages that take seconds are stood in for; what is written goes its own way.
DRIVER = """
import os, resource, signal, sys
from formpressure import cli
from formpressure import tie_schedule
from formpressure.report import export, log_report, page_layout, pdf
tie_schedule.tie_schedule = lambda verdict: None
log_report.log_html = page_layout.layout_html = lambda given: "page " * 10_000
export.notebook_report = lambda *_, **__: "page " * 10_000
pdf.pdf = lambda page: b"%PDF" + page.encode()
def die(): os.kill(os.getpid(), signal.SIGKILL)
{}
sys.exit(cli.main(sys.argv[1:]))
"""
DIES_IN_MID_WRITE = """
real = os.fdopen
class Dying:
    def __init__(self, *given): self.stream = real(*given)
    def __enter__(self): return self
    def __exit__(self, *_): self.stream.close()
    def __getattr__(self, name): return getattr(self.stream, name)
    def write(self, content):
        self.stream.write(content[: len(content) // 2])
        self.stream.flush()
        if "--pdf" not in sys.argv or content[:4] == b"%PDF": die()
        self.stream.write(content[len(content) // 2 :])
os.fdopen = Dying
"""
DIES_IN_MID_LINE = """
real = os.write
def write(handle, content):
    real(handle, content[: len(content) // 2])
    die()
os.write = write
"""
DIES_BEFORE_THE_END = "os.fsync = lambda handle: die()"
DISK_FULL = "resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))"
DISK_ALMOST_FULL = (
    "resource.setrlimit(resource.RLIMIT_FSIZE, (len(open('log.csv').read()) + 9,) * 2)"
)
CTRL_C = "from formpressure import verdict; verdict.check = lambda plan: os.kill(os.getpid(), 2)"


IN_A_NOTEBOOK = """
import os, sys
from nbclient import NotebookClient
from formpressure import cli
real = NotebookClient.async_execute_cell
async def execute_cell(self, *given, **more):
    os.kill(os.getpid(), 2)
    return await real(self, *given, **more)
NotebookClient.async_execute_cell = execute_cell
sys.exit(cli.main(sys.argv[1:]))
"""


def drive(what, arguments, folder, **more):
    more = {"stdout": subprocess.PIPE, **more}
    return subprocess.run(
        [sys.executable, "-c", DRIVER.format(what), *arguments],
        cwd=folder, stderr=subprocess.PIPE, text=True, timeout=60, **more,
    )  # fmt: skip


@pytest.fixture
def site(tmp_path):
    (tmp_path / "wall.toml").write_text(complete(), encoding="utf-8")
    (tmp_path / "layout.toml").write_bytes(LAYOUT.read_bytes())
    (tmp_path / "log.csv").write_text(LOG)
    (tmp_path / "out.html").write_text(EARLIER)
    (tmp_path / "out.pdf").write_text(EARLIER)
    return tmp_path


def seen(folder):
    """What looks finished to whoever lists the folder."""
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".")}


def one_line(done):
    assert "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1, done.stderr
    return done.stderr


@pytest.mark.parametrize("writer", WRITERS)
def test_killed_in_mid_write_the_earlier_file_is_whole(site, writer):
    before = seen(site)
    done = drive(DIES_IN_MID_WRITE, WRITERS[writer], site)
    assert done.returncode == -signal.SIGKILL, done.stderr
    half = [p for p in site.iterdir() if p.name.startswith(".")]
    assert len(half) == 1
    assert half[0].stat().st_size
    assert half[0].suffix not in (".html", ".pdf")
    if writer == "its PDF":  # the page is whole by then
        assert (site / "out.html").read_text() == "page " * 10_000
        before["out.html"] = (site / "out.html").read_bytes()
    assert seen(site) == before


def test_killed_before_the_new_one_takes_its_place_the_earlier_file_is_whole(site):
    before = seen(site)
    assert drive(DIES_BEFORE_THE_END, WRITERS["card"], site).returncode == -signal.SIGKILL
    assert drive(DIES_BEFORE_THE_END, ["new", "x.toml"], site).returncode == -signal.SIGKILL
    assert seen(site) == before


def test_killed_in_mid_line_the_log_keeps_every_line_before(site):
    add = ["log", "wall.toml", "log.csv", "--add", "8:10,,,2 ft,60 F,5 in"]
    assert drive(DIES_IN_MID_LINE, add, site).returncode == -signal.SIGKILL
    assert (site / "log.csv").read_text().startswith(LOG)
    log = load_log(site / "log.csv")
    assert len(log.lines) == 1
    assert log.half.text == "8:10,,,2 ft"


@pytest.mark.parametrize("writer", ["card", "lesson", "log report"])
def test_where_the_disk_is_full_the_earlier_file_is_whole_and_nothing_is_left(site, writer):
    files = set(os.listdir(site))
    before = seen(site)
    done = drive(DISK_FULL, WRITERS[writer], site)
    assert done.returncode == 2
    assert "out.html: cannot be written (File too large)" in one_line(done)
    assert seen(site) == before
    assert set(os.listdir(site)) == files


def test_a_log_on_a_full_disk_tells_that_half_of_the_line_is_there(site):
    add = ["log", "wall.toml", "log.csv", "--add", "8:10,,,2 ft,60 F,5 in"]
    done = drive(DISK_ALMOST_FULL, add, site)
    assert done.returncode == 2
    assert "the disk is full: half of the line was written" in one_line(done)
    assert (site / "log.csv").read_text() == LOG + "8:10,,,2 "


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device")
@pytest.mark.parametrize("arguments", [["check", "wall.toml"], ["--version"]])
def test_where_the_answer_cannot_be_printed_it_is_not_a_go(site, arguments):
    with open("/dev/full", "w") as full:
        done = drive("", arguments, site, stdout=full)
    assert done.returncode == 2
    told = "standard output: cannot be read or written (No space left on device)"
    assert one_line(done).startswith(told)


def test_nobody_who_reads_the_answer_is_not_a_go_either(site):
    reading, writing = os.pipe()
    os.close(reading)
    done = drive("", ["check", "wall.toml"], site, stdout=writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.parametrize("command", ["check", "card"])
def test_ctrl_c_leaves_without_a_traceback(site, command):
    before = seen(site)
    done = drive(CTRL_C, [command, "wall.toml"], site)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")
    assert seen(site) == before


def test_ctrl_c_while_a_notebook_runs(site):
    pytest.importorskip("nbclient")
    before = seen(site)
    done = subprocess.run(
        [sys.executable, "-c", IN_A_NOTEBOOK, "submittal", "wall.toml", "-o", "out.html"],
        cwd=site, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (130, "")
    assert seen(site) == before


def test_where_nothing_can_be_written_is_told(site):
    os.mkfifo(site / "pipe")
    (site / "folder").mkdir()
    cures = {
        "wall.toml/out.html": "Not a directory", "none/out.html": "No such file",
        "folder": "not a file", "pipe": "not a file", "x" * 300: "too long",
    }  # fmt: skip
    before = seen(site / "folder")
    for name, told in cures.items():
        with pytest.raises(Refusal, match=told):
            write_whole(site / name, "page")
    assert (site / "pipe").is_fifo()
    assert seen(site / "folder") == before
    if os.geteuid():
        (site / "folder").chmod(0o500)
        with pytest.raises(Refusal, match="Permission denied"):
            write_whole(site / "folder" / "out.html", "page")
