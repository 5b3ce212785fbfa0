"""The pour log: one line for each thing seen, kept as it was written, read without losing any.

A line is CSV with the seven cells of `COLUMNS`; a cell may be blank. It is whole when it ends with
a newline. What cannot be read is kept with its message, since a line that is dropped in silence may
be the one that matters. All rules here are our own (OWN).
"""

from __future__ import annotations

import csv
import hashlib
import os
import re
from dataclasses import dataclass, replace
from pathlib import Path

from formpressure.errors import Refusal, printable
from formpressure.units import enter

COLUMNS = ("time", "truck", "run", "level", "temperature", "slump", "event")
MEASURED = {"level": "height", "temperature": "temperature", "slump": "slump"}  # column, term
HEADER = ",".join(COLUMNS)
HALF = " [half-written]"  # ends a piece of a line that a later line was written behind
_REWRITE = 'Write it again, with "replaces" and its number among its events'
LARGEST_FILE = 2_000_000  # bytes
MOST_LINES = 2000  # a line a minute for more than a day; each line is judged by all before it
LONGEST_CELL = 200
DAY = 1440.0  # minutes
# Words that act: those by which the card, English or Spanish, names trouble. Others are notes.
_ALARM = re.compile(
    r"\b(bulg\w*|nois\w*|leak\w*|ties?|wedges?|crack\w*|lean(?:s|ed|ing)?|burst\w*|bl[eo]w\w*|stop\w*"
    r"|thud\w*|ping(?:s|ed)?|snap\w*|panz\w*|lade\w*|ruid\w*|cruji\w*|golpe\w*|chasquid\w*|fug\w*"
    r"|mo[nñ]os?|tirantes?|cu[nñ]as?|chavetas?|grietas?|revent\w*|revient\w*|alto|par(?:o|ar|aron|amos))\b",
    re.IGNORECASE,
)
_RESTART = re.compile(r"\s*restart\b\W*(?P<who>\w.*)", re.IGNORECASE)
_NOT_YET = re.compile(
    r"\b(no|not|never|\w+n't|when|if|unless|until|wait\w*|pending|refused?|denied)\b|\?",
    re.IGNORECASE,
)
_REPLACES = re.compile(r"\breplaces\s+(?:line\s+)?(?P<line>\d{1,6})\b", re.IGNORECASE)
_AWAY = re.compile(r"\s*(arriv|wait|sent back)", re.IGNORECASE)
_EMPTY = re.compile(r"\s*empty\b", re.IGNORECASE)
_CLOCK = re.compile(r"(?P<hour>\d{1,2}):(?P<minute>\d\d)\s*(?P<half>[ap]m)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file, `number` as an editor counts it; measured cells bare.

    `problems` are what could not be read, by column; "line" where nothing of it could. `time` is in
    minutes from the midnight before the first line, `earlier` tells that a line before it in the
    file has a later time.
    """

    number: int
    text: str
    clock: int | None = None  # minutes after midnight
    truck: str = ""
    run: str = ""
    level: float | None = None
    temperature: float | None = None
    slump: float | None = None
    event: str = ""
    problems: tuple[tuple[str, str], ...] = ()
    time: float = 0.0
    earlier: bool = False

    @property
    def unread(self) -> bool:
        """Whether nothing of it could be read."""
        return any(column == "line" for column, _ in self.problems)

    @property
    def shown(self) -> str:
        """The event, or the line itself where nothing of it could be read, as it may be printed."""
        return printable(self.text if self.unread else self.event)

    @property
    def alarm(self) -> str:
        """The word that means STOP: in the event or, lest it slipped a cell, in the truck's;
        wherever it stands in a line of which something cannot be read."""
        found = _ALARM.search(self.text if self.problems else f"{self.event},{self.truck}")
        return found[0] if found else ""

    @property
    def restart(self) -> str:
        """Who said to start again; a line that tells of an alarm, of a condition or that somebody
        has not said so never does."""
        found = _RESTART.match(self.event)
        if not found or self.alarm or _NOT_YET.search(self.event):
            return ""
        return found["who"].strip()

    @property
    def replaces(self) -> int | None:
        """The number of the line that this one is written for instead."""
        found = _REPLACES.search(self.event)
        return int(found["line"]) if found else None

    @property
    def starts_truck(self) -> bool:
        """Whether the truck named here discharges; not where it only came, waits or was sent
        back."""
        return bool(self.truck) and not _AWAY.match(self.event)

    @property
    def sent_back(self) -> bool:
        return self.event.strip().lower().startswith("sent back")

    @property
    def empty(self) -> bool:
        """Whether the truck named here has nothing more to discharge."""
        return bool(_EMPTY.match(self.event))


@dataclass(frozen=True, slots=True)
class PourLog:
    """A log as it stands in its file: every line in the order of the file.

    `half` is what stands after the last newline: a line that was perhaps not written to its end.
    """

    file: str
    system: str
    checksum: str
    lines: tuple[Line, ...]
    half: Line | None = None

    @property
    def name(self) -> str:
        """The name of the file without its folder."""
        return Path(self.file).name

    @property
    def in_time(self) -> tuple[Line, ...]:
        """The lines by their times; those of one minute as the file has them."""
        return tuple(sorted(self.lines, key=lambda line: line.time))


def load_log(path: str | Path, system: str = "US") -> PourLog:
    """Read a pour log in bare numbers of a unit system.

    Raises Refusal for a file that cannot be opened or is no pour log; never for one of its lines.
    """
    return read_log(_content(Path(path)), system, printable(str(path)))


def read_log(content: bytes, system: str = "US", file: str = "log") -> PourLog:
    """The same from the bytes of a file; whatever end of it is missing."""
    name = Path(file).name  # the same messages, whatever folder it stands in
    checksum = hashlib.sha256(content).hexdigest()[:12]
    *whole, rest = content.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    if len(whole) > MOST_LINES:
        raise Refusal(f"has over {MOST_LINES} lines", "Start a log for each pour", file=file)
    lines: list[Line] = []
    latest: float | None = None
    header = False
    for number, raw in enumerate(whole, start=1):
        text = raw.decode("utf-8", "replace").rstrip("\r")
        if not header and _is_header(text):
            header = True
        elif not header:
            if not (text.endswith(HALF) and _begins_header(text)):
                raise _no_log(text, file)
        elif text.strip(" \t,"):
            line = _placed(_line(text, number, system, name), latest)
            latest = line.time if latest is None else max(latest, line.time)
            lines.append(line)
    half = None
    if rest:
        text = rest.decode("utf-8", "replace")
        if not header and not _begins_header(text):
            raise _no_log(text, file)
        problem = Refusal(
            "half-written: it does not end with a new line",
            _REWRITE,
            file=name, key=f"line {len(whole) + 1}", value=text,
        )  # fmt: skip
        half = Line(len(whole) + 1, text, problems=(("line", str(problem)),), time=latest or 0.0)
    return PourLog(file, system, checksum, tuple(lines), half)


def add_line(path: str | Path, text: str, system: str = "US") -> int:
    """Write one line to the end of a log, whole and through to the disk; its number in the file.

    A new file gets its header first. Half a line that stands at the end is kept, and marked as such
    before the new one. Blank cells at the end of `text` may be left out.

    Raises Refusal, and writes nothing, for a line that could not be read again.
    """
    path, file = Path(path), str(path)
    content = _content(path) if path.exists() else b""
    log = read_log(content, system, file)  # refuses what is no log
    number = content.count(b"\n") + 1
    if log.half is not None and log.half.number == 1 and _is_header(log.half.text):
        content, before = content + b"\n", "\n"  # all of the header but its end
        number += 1
    elif log.half is not None:
        before, number = HALF + "\n", number + 1
    else:
        before = ""
    if not any(_is_header(t) for t in content.decode("utf-8-sig", "replace").split("\n")):
        before, number = before + HEADER + "\n", number + 1
    cells = _padded(text, file)
    for column, refusal in _parsed(cells, system)[1]:
        raise refusal.at(file=file, key=column)
    _append(path, f"{before}{cells}\n".encode())
    return number


def clock_of(text: str) -> int:
    """ "8:05", "20:05" or "8:05 pm" -> minutes after midnight.

    Raises Refusal for anything else.
    """
    found = _CLOCK.fullmatch(text.strip())
    if found:
        hour, minute, half = int(found["hour"]), int(found["minute"]), found["half"]
        if minute < 60 and (1 <= hour <= 12 if half else hour < 24):
            if half:
                hour = hour % 12 + (12 if half.lower() == "pm" else 0)
            return hour * 60 + minute
    cure = 'Write hours and minutes, such as "8:05", "20:05" or "8:05 pm"'
    raise Refusal("is not a time of day", cure, value=text)


def nearest(clock: float, latest: float) -> float:
    """The minute with this clock that lies nearest to `latest`: a step back of more than twelve
    hours is midnight, a smaller one a line out of order."""
    return clock + (latest + DAY / 2.0 - clock) // DAY * DAY


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        problem = f"cannot be opened ({why})"
        raise Refusal(problem, "Check the name and path", file=str(path)) from None
    if len(content) > LARGEST_FILE:
        problem = f"is larger than {LARGEST_FILE // 1_000_000} MB"
        raise Refusal(problem, "Start a log for each pour", file=str(path))
    return content


def _is_header(text: str) -> bool:
    return tuple(cell.strip().lower() for cell in text.split(",")) == COLUMNS


def _begins_header(text: str) -> bool:
    """Whether it is a piece of the header, cut anywhere."""
    piece = text.removesuffix(HALF).rstrip("\r").strip("\ufffd").lower().replace(" ", "")
    return HEADER.startswith(piece)


def _no_log(text: str, file: str) -> Refusal:
    cure = f'Write "{HEADER}" as its first line, with commas between'
    return Refusal("is not a pour log", cure, file=file, value=text)


def _line(text: str, number: int, system: str, file: str) -> Line:
    """One whole line. What cannot be read is told by column and never guessed."""
    line, refusals = _parsed(text, system)
    problems = []
    for column, refusal in refusals:
        place = f"line {number}" if column == "line" else f"line {number}, {column}"
        problems.append((column, str(refusal.at(file=file, key=place))))
    return replace(line, number=number, problems=tuple(problems))


def _parsed(text: str, system: str) -> tuple[Line, list[tuple[str, Refusal]]]:
    """A line without its place in a file, and what of it is not taken, by column."""
    try:
        if text.endswith(HALF):
            raise Refusal("half-written", _REWRITE)
        if "\ufffd" in text:
            raise Refusal("is not UTF-8 text", "Save the log as plain text, UTF-8")
        cells = dict(zip(COLUMNS, _cells(text), strict=True))
    except Refusal as refusal:
        refusal.value = text
        return Line(0, text), [("line", refusal)]
    refusals: list[tuple[str, Refusal]] = []
    bare: dict[str, float] = {}
    clock = None
    try:
        clock = clock_of(cells["time"])
    except Refusal as refusal:
        refusals.append(("time", refusal))
    for column, term in MEASURED.items():
        if cells[column]:
            try:
                bare[column] = float(enter(term, cells[column], system))
            except Refusal as refusal:
                refusals.append((column, refusal))
    line = Line(
        0, text, clock, cells["truck"], cells["run"], bare.get("level"),
        bare.get("temperature"), bare.get("slump"), cells["event"],
    )  # fmt: skip
    return line, refusals


def _cells(text: str) -> list[str]:
    try:
        (cells,) = csv.reader([text], strict=True, skipinitialspace=True)
    except (csv.Error, ValueError) as error:
        cure = "Close the quotation mark, and write a mark inside one twice"
        raise Refusal(f"is not CSV ({error})", cure) from None
    cells = [cell.strip() for cell in cells]
    if len(cells) != len(COLUMNS):
        cure = f"Write {len(COLUMNS)}: {', '.join(COLUMNS)}; leave blank what was not seen"
        raise Refusal(f"has {len(cells)} cells", cure)
    if any(len(cell) > LONGEST_CELL or not cell.isprintable() for cell in cells):
        cure = f"Write cells of at most {LONGEST_CELL} letters"
        raise Refusal("too long, or has letters that do not print", cure)
    return cells


def _placed(line: Line, latest: float | None) -> Line:
    """The line with its minute; one whose clock cannot be read stands where it was written."""
    if line.clock is None:
        return replace(line, time=latest or 0.0)
    if latest is None:
        return replace(line, time=float(line.clock))
    time = nearest(line.clock, latest)
    return replace(line, time=time, earlier=time < latest)


def _padded(text: str, file: str) -> str:
    """The line with its last commas, and no end of its own."""
    text = text.strip()
    if "\n" in text or "\r" in text:
        raise Refusal(
            "is more than one line", "Add them one by one", file=file, key="line", value=text
        )
    try:
        (cells,) = csv.reader([text], strict=True, skipinitialspace=True)
    except (csv.Error, ValueError):
        return text  # told when it is read again
    return text + "," * (len(COLUMNS) - len(cells))


def _append(path: Path, content: bytes) -> None:
    """In one go and through to the disk; of a new file its name too."""
    new = not path.exists()
    try:
        handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0))
        try:
            written = os.write(handle, content)
            os.fsync(handle)
        finally:
            os.close(handle)
        if new and os.name == "posix":
            folder = os.open(path.parent, os.O_RDONLY)
            os.fsync(folder)
            os.close(folder)
    except OSError as error:
        why = error.strerror or str(error)
        cure = "Write it on paper and name another file"
        raise Refusal(f"cannot be written ({why})", cure, file=str(path)) from None
    if written != len(content):
        cure = "Make room and add it again"
        raise Refusal("the disk is full: half of the line was written", cure, file=str(path))
