"""The log report: what was planned against what was written down, one page with its pictures."""

from __future__ import annotations

from formpressure.errors import Refusal
from formpressure.moment import STALE
from formpressure.progress import Progress
from formpressure.records import Amount
from formpressure.report.content import content
from formpressure.report.log_text import (
    allowed_line,
    clock,
    log_footer,
    most_shown,
    now_lines,
    row,
    state_word,
    told_lines,
    why,
)
from formpressure.report.parts import Block, Cell, bullets, heading, paragraphs, safe, table, write
from formpressure.report.plain_page import PAPER, plain_page
from formpressure.report.text import two_lines
from formpressure.report.words import Shown, say
from formpressure.rise import HOUR
from formpressure.standing import Local, Standing, State, Truck

MARKS = {State.ON_PLAN: ("✓", "ok"), State.HOLD: ("‖", "others"), State.STOP: ("✗", "bad"),
         State.NOT_KNOWN: ("?", "open")}  # fmt: skip
FRAMES = {State.ON_PLAN: "go", State.HOLD: "not", State.STOP: "no", State.NOT_KNOWN: "not"}
MOST_PICTURES = 12


def log_html(progress: Progress, language: str = "en") -> str:
    """The report as a complete HTML page, the same bytes for the same plan, log and version.

    Raises Refusal where the extra "report" is not installed.
    """
    try:
        drawn = pictures(progress, language)
    except ModuleNotFoundError as missing:
        cure = 'Install it: python -m pip install "formpressure[report]"'
        raise Refusal(f"needs {missing.name}", cure, key="the log report") from None
    c = content(progress.verdict, language)
    title = f"{say('log', 'title', language)}: {c.title}"
    parts = [
        now(progress, language), *_section("rises", [rise_table(progress, language)], language),
        *_section("levels_figure", drawn, language),
        *_section("trucks", [trucks(progress, language)], language),
        *_section("events", [_events(progress, language)], language),
        *_section("told", [_told(progress, language)], language),
        *_section("lines", [lines(progress, language)], language),
        heading(say("card", "cautions", language), 2),
        bullets([say("log", "how", language, stale=f"{STALE:g}"), *c.cautions]),
        Block("", f"<p><small>{safe(c.footer)} {safe(log_footer(progress, language))}</small></p>"),
    ]  # fmt: skip
    body = "\n".join([f"<h1>{safe(title)}</h1>", *(part.html for part in parts)])
    footer = f"{log_footer(progress, language)} {c.footer}"
    paper = PAPER[progress.system]
    return plain_page(title, body, footer=footer, paper=paper, language=language)


def _section(name: str, blocks: list[Block], language: str) -> list[Block]:
    return [heading(say("log", name, language), 2), *blocks]


def now(progress: Progress, language: str) -> Block:
    """The verdict of the plan first, then how the pour stands at the end of the log."""
    verdict, *_ = two_lines(progress.verdict, language)
    last, (_, *rest) = progress.now, now_lines(progress, language)
    time = say("log", "now", language, time=clock(last.time))
    head = (
        f'<p class="verdict {FRAMES[last.state]}">{safe(time)}'
        f"<strong>{safe(state_word(last, language))}</strong>{safe(why(last, language))}</p>"
    )
    return Block("", f"<p>{safe(verdict)}</p>\n{head}\n{paragraphs(*rest).html}")


def rise_table(progress: Progress, language: str) -> Block:
    """Both windows: the most that came and what is allowed at the end."""
    now, (hour, half) = progress.now, progress.windows
    most = now.most
    rows: list[tuple[str | Cell, ...]] = [
        _rise_row(now.hour, hour, None if most is None else most.rate * hour / HOUR, progress),
        _rise_row(now.half, half, None if most is None else most.rise, progress),
    ]
    names = ("window", "rise_in", "place", "time", "allowed_in")
    caption = allowed_line(progress, language)
    return table(caption, tuple(say("log", n, language) for n in names), rows)


def _rise_row(
    local: Local | None, window: float, allowed: float | None, progress: Progress
) -> tuple[str, ...]:
    system = progress.system
    minutes = f"{Shown(Amount('duration', window, system)):up}"
    most = "–"
    if not progress.verdict.free and allowed is not None and allowed != float("inf"):
        most = f"{Shown(Amount('height', allowed, system)):down}"
    if local is None:
        return minutes, "–", "–", "–", most
    start = "" if local.start == float("-inf") else f"{clock(local.start)} "
    return (
        minutes,
        most_shown(local.most, system),
        local.place,
        f"{start}– {clock(local.end)}",
        most,
    )


def pictures(progress: Progress, language: str) -> list[Block]:
    from formpressure.report import figures_log

    read = [place for place in progress.places if place.times]
    found = [figures_log.levels(progress, place, language) for place in read[:MOST_PICTURES]]
    if read:
        found.append(figures_log.rises(progress, language))
    return found or [paragraphs(say("log", "rise_none", language))]


def trucks(progress: Progress, language: str) -> Block:
    if not progress.trucks:
        return paragraphs(say("log", "trucks_none", language))
    names = ("truck", "late", "planned", "started", "temperature", "slump")
    rows: list[tuple[str | Cell, ...]] = [
        _truck(truck, progress.system, language) for truck in progress.trucks
    ]
    caption = say("log", "trucks_caption", language)
    return table(caption, tuple(say("log", n, language) for n in names), rows, wide=True)


def _truck(truck: Truck, system: str, language: str) -> tuple[str, ...]:
    late = say("log", "sent_back" if truck.sent_back else "not_started", language)
    if truck.started is not None and truck.planned is not None:
        minutes = int(truck.started - truck.planned)
        late = say("log", "minutes" if minutes >= 0 else "early", language, minutes=abs(minutes))
    elif truck.started is not None:
        late = say("log", "not_planned", language)
    return (
        truck.name, late, "–" if truck.planned is None else clock(truck.planned),
        "–" if truck.started is None else clock(truck.started),
        "–" if truck.temperature is None else write("temperature", truck.temperature, system),
        "–" if truck.slump is None else write("slump", truck.slump, system),
    )  # fmt: skip


def _events(progress: Progress, language: str) -> Block:
    """Every event in the words of the crew, alarms with their state."""
    rows: list[tuple[str | Cell, ...]] = [
        (clock(seen.time), _badge(found, language) if seen.alarm else "", seen.shown)
        for seen, found in progress.lines
        if seen.event or seen.alarm
    ]
    if not rows:
        return paragraphs(say("log", "events_none", language))
    names = ("time", "status", "event")
    return table(
        say("log", "events_caption", language), tuple(say("log", n, language) for n in names), rows
    )


def _told(progress: Progress, language: str) -> Block:
    told = told_lines(progress, language)
    return bullets(told) if told else paragraphs(say("log", "told_none", language))


def lines(progress: Progress, language: str) -> Block:
    names = ("line", "status", "time", "rise_column", "coldest_column", "next_column", "why")
    rows: list[tuple[str | Cell, ...]] = []
    before = ""  # a reason is said once, where it begins
    for seen, found in progress.lines:
        number, time, _, rise, coldest, start = row(seen, found, progress.system, language)
        said = "" if found.state is State.ON_PLAN else why(found, language)
        begins, before = said if said != before else "", said
        reason = Cell(begins, f'<span class="text">{safe(begins)}</span>' if begins else "")
        rows.append((number, _badge(found, language), time, rise, coldest, start, reason))
    caption = say("log", "lines_caption", language)
    return table(caption, tuple(say("log", n, language) for n in names), rows, wide=True)


def _badge(found: Standing, language: str) -> Cell:
    mark, shape = MARKS[found.state]
    word = state_word(found, language)
    return Cell(word, f'<span class="status {shape}">{mark}&nbsp;{safe(word)}</span>')
