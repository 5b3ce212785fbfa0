"""What is said of a pour log: for the terminal, and piece by piece for the report."""

from __future__ import annotations

import textwrap

import numpy as np

from formpressure.job.pour_log import DAY, Line
from formpressure.progress import Progress
from formpressure.records import Amount
from formpressure.report.content import content
from formpressure.report.parts import write
from formpressure.report.text import WIDTH, two_lines
from formpressure.report.words import Shown, say
from formpressure.rise import HOUR
from formpressure.standing import Local, Standing, State


def clock(minute: float) -> str:
    """Minutes since a midnight -> "8:05", rounded up: a start is never told early."""
    hours, minutes = divmod(int(np.ceil(minute % DAY - 1e-9)) % int(DAY), 60)
    return f"{hours}:{minutes:02}"


def state_word(found: Standing, language: str = "en") -> str:
    until = found.reason.until
    return say("state", found.state, language, until="" if until is None else clock(until))


def why(found: Standing, language: str = "en") -> str:
    """The sentence that says why it stands so."""
    until = found.reason.until
    facts = {**found.reason.facts, "until": "" if until is None else clock(until)}
    return say("reason", found.reason.note, language, **facts)


def rise_line(local: Local | None, window: float, system: str, language: str = "en") -> str:
    """The greatest rise within a window so far."""
    if local is None:
        return say("log", "rise_none", language)
    name = "rise" if np.isfinite(local.start) else "rise_first"
    start = clock(local.start) if np.isfinite(local.start) else ""
    return say(
        "log", name, language, place=local.place, start=start, end=clock(local.end),
        rise=Amount("height", local.most, system), minutes=Amount("duration", window, system),
    )  # fmt: skip


def allowed_line(progress: Progress, language: str = "en") -> str:
    """What is allowed from now on."""
    most = progress.now.most
    if progress.verdict.doubtful:
        return say("log", "allowed_doubt", language)
    if progress.verdict.free or (most is not None and most.rate == np.inf):
        return say("log", "allowed_any", language)
    if most is None:
        return say("log", "allowed_none", language)
    system, (hour, half) = progress.system, progress.windows
    return say(
        "log", "allowed", language,
        hour=Amount("height", most.rate * hour / HOUR, system),
        minutes=Amount("duration", hour, system),
        half=Amount("height", most.rise, system), fresh=Amount("duration", half, system),
    )  # fmt: skip


def measured_line(progress: Progress, language: str = "en") -> str:
    """The coldest and the wettest concrete."""
    now, blank = progress.now, say("card", "not_given", language)
    coldest = blank if now.coldest is None else write("temperature", now.coldest, progress.system)
    wettest = blank if now.wettest is None else write("slump", now.wettest, progress.system)
    return say("log", "measured", language, coldest=coldest, wettest=wettest)


def starts_line(progress: Progress, language: str = "en") -> str:
    """When the next trucks may start, or the next layer."""
    found = [
        say("log", "layer_at", language, time=clock(start))
        if progress.next_truck is None
        else say("log", "truck_at", language, truck=progress.next_truck + k, time=clock(start))
        for k, start in enumerate(progress.now.starts)
    ]
    if not found:
        return say("log", "starts_none", language)
    return say("log", "starts", language, starts=", ".join(found))


def now_lines(progress: Progress, language: str = "en") -> list[str]:
    """How it stands now, the word first."""
    now, (hour, half), system = progress.now, progress.windows, progress.system
    time = say("log", "now", language, time=clock(now.time))
    return [
        f"{time}: {state_word(now, language)}. {why(now, language)}",
        rise_line(now.hour, hour, system, language),
        *([rise_line(now.half, half, system, language)] if now.half else []),
        allowed_line(progress, language),
        measured_line(progress, language),
        starts_line(progress, language),
    ]


def told_lines(progress: Progress, language: str = "en") -> list[str]:
    """What is to be said of the log itself."""
    return [say("told", name, language, **facts) for name, facts in progress.told]


def row(line: Line, found: Standing, system: str, language: str = "en") -> tuple[str, ...]:
    """Line, time, state, greatest rise so far, coldest and next start."""
    return (
        str(line.number), clock(line.time), state_word(found, language),
        "–" if found.hour is None else f"{most_shown(found.hour.most, system)}",
        "–" if found.coldest is None else write("temperature", found.coldest, system),
        clock(found.starts[0]) if found.starts else "–",
    )  # fmt: skip


def most_shown(rise: float, system: str) -> str:
    """A rise, rounded up."""
    return f"{Shown(Amount('height', rise, system)):up}"


def log_text(progress: Progress, language: str = "en") -> str:
    """The whole log for a terminal: verdict of the plan, now, then every line."""
    lines = [content(progress.verdict, language).title, ""]
    for line in two_lines(progress.verdict, language):
        lines += [*textwrap.wrap(line, WIDTH), ""]
    first, *rest = now_lines(progress, language)
    lines += [*textwrap.wrap(first, WIDTH), ""]
    for line in rest:
        lines += textwrap.wrap(line, WIDTH, subsequent_indent="  ")
    told = told_lines(progress, language)
    if told:
        lines += ["", say("log", "told", language)]
        for line in told:
            lines += textwrap.wrap(line, WIDTH, initial_indent="- ", subsequent_indent="  ")
    lines += ["", say("log", "lines", language)]
    names = ("line", "time", "status", "rise_column", "coldest_column", "next_column")
    lines.append(_columns(tuple(say("log", name, language) for name in names)))
    before, indent = "", " " * 13
    for seen, found in progress.lines:
        lines.append(_columns(row(seen, found, progress.system, language)))
        said = why(found, language)
        if found.state is not State.ON_PLAN and said != before:
            lines += textwrap.wrap(said, WIDTH, initial_indent=indent, subsequent_indent=indent)
        before = said
        if seen.event or seen.problems:
            text = f'"{seen.shown}"'
            lines += textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)
    lines += ["", *textwrap.wrap(content(progress.verdict, language).footer, WIDTH)]
    lines += textwrap.wrap(log_footer(progress, language), WIDTH)
    return "\n".join(lines) + "\n"


def log_footer(progress: Progress, language: str = "en") -> str:
    """Which log this was."""
    log = progress.log
    return say("log", "footer", language, file=log.name, checksum=log.checksum,
               lines=len(log.lines))  # fmt: skip


def _columns(cells: tuple[str, ...]) -> str:
    number, time, state, rise, coldest, start = cells
    return f"{number:>5}  {time:>5} {state:<19}{rise:<13}{coldest:<10}{start}".rstrip()
