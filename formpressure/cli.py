"""Commands. `check` exits 0 GO, 3 NO-GO, 4 NOT CHECKED; 2 is bad input, 1 a program fault."""

from __future__ import annotations

import argparse
import contextlib
import difflib
import json
import os
import sys
from importlib import resources
from pathlib import Path
from typing import Any, NoReturn

from formpressure import __version__, cli_log
from formpressure.errors import Refusal

LANGUAGES = ("en", "es")  # those of report.words, which costs too much to load here
EXIT = {"GO": 0, "NO-GO": 3, "NOT CHECKED": 4}
BAD_INPUT = 2
UNREAD, STOPPED = 141, 130  # as a shell tells a closed pipe and Ctrl-C


class _Parser(argparse.ArgumentParser):
    """argparse that offers the closest command or option."""

    def error(self, message: str) -> NoReturn:
        known = [
            *COMMANDS,
            "--help",
            "--version",
            "--units",
            "--output",
            "--json",
            "--csv",
            "--pdf",
            "--paper",
            "--language",
            *cli_log.OPTIONS,
        ]
        for word in sys.argv[1:]:
            if word not in known and (near := difflib.get_close_matches(word, known, n=1)):
                message += f". Did you mean {near[0]}?"
                break
        self.exit(BAD_INPUT, f"{self.prog}: {message}\n")


class _Version(argparse.Action):
    """What a record of a calculation needs: versions, and the editions that are known."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        import platform
        from importlib.metadata import version

        from formpressure.rule import RULES

        print(f"formpressure {__version__}")
        print(f"Python {platform.python_version()}, {platform.system()} {platform.machine()}")
        print(", ".join(f"{name} {version(name)}" for name in ("numpy", "pint")))
        for rule in RULES.values():
            d = rule.document
            old = f", superseded by {d.superseded_by}: never governs" if d.superseded_by else ""
            print(f"{d}, {d.title}, {d.year}, {rule.system} constants{old}")
        parser.exit()


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status, with one line for what cannot be had."""
    try:
        status = _run(arguments)
        if sys.stdout is not None:
            sys.stdout.flush()  # here, where a full disk can still be told
        return status
    except Refusal as refusal:
        return _refused(refusal)
    except BrokenPipeError:  # whoever reads us, such as `head`, has seen enough: no verdict is told
        _drop_output()
        return UNREAD
    except OSError as error:
        _drop_output()
        what = os.fsdecode(error.filename) if error.filename else "standard output"
        cure = "Look at the disk, the folder and who may write there"
        problem = f"cannot be read or written ({error.strerror or error})"
        return _refused(Refusal(problem, cure, file=what))
    except KeyboardInterrupt:
        import logging

        logging.disable()  # the library that ran a notebook complains of it on leaving
        _drop_output()
        return STOPPED


def _refused(refusal: Refusal) -> int:
    with contextlib.suppress(OSError):  # nobody is left to tell
        print(refusal, file=sys.stderr)
    return BAD_INPUT


def _drop_output() -> None:
    """What is still to be printed goes nowhere, so that leaving cannot fail on it."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(arguments: list[str] | None) -> int:
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    parser = _Parser(
        prog="formpressure",
        description="May these wall forms be filled straight up, and if not, how fast?",
    )
    parser.add_argument(
        "--version", action=_Version, nargs=0, help="print versions and documents, for a record"
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    new = commands.add_parser("new", help="write a plan file to fill in")
    new.add_argument("plan", type=Path)
    new.add_argument("--units", choices=("US", "SI"), default="US")
    check = commands.add_parser("check", help="print the verdict and every check")
    check.add_argument("plan", type=Path)
    check.add_argument("--json", action="store_true", help="print it as JSON")
    rates = commands.add_parser(
        "rates", help="print what is allowed at other temperatures and mixes"
    )
    rates.add_argument("plan", type=Path)
    form = rates.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print it as JSON")
    form.add_argument("--csv", action="store_true", help="print it as CSV")
    card = _page(commands, "card", "write the pour card as one HTML page")
    submittal = _page(commands, "submittal", "write the calculation package as one HTML page")
    submittal.add_argument(
        "--pdf", action="store_true", help="also print it to PDF beside the HTML"
    )
    submittal.add_argument(
        "--paper", choices=("letter", "A4"), help="default: letter for US units, A4 for SI"
    )
    lesson = _page(commands, "lesson", "write the lesson on the plan's wall as one HTML page")
    for page in (card, lesson):
        page.add_argument(
            "--language", choices=LANGUAGES, default="en", help="of the page (default: en)"
        )
    cli_log.declare(commands)
    layout = commands.add_parser("layout", help="print where panels, fillers and ties stand")
    layout.add_argument("plan", type=Path)
    kind = layout.add_mutually_exclusive_group()
    kind.add_argument("--json", action="store_true", help="print it as JSON")
    kind.add_argument("--csv", action="store_true", help="print the loading list as CSV")
    layout.add_argument("-o", "--output", type=Path, help="also write it as one HTML page")
    options = parser.parse_args(arguments)
    return COMMANDS[options.command](options)


def _page(commands: Any, name: str, help: str) -> argparse.ArgumentParser:
    """A command that writes one page of a plan."""
    page: argparse.ArgumentParser = commands.add_parser(name, help=help)
    page.add_argument("plan", type=Path)
    page.add_argument(
        "-o", "--output", type=Path, help=f"file to write (default: PLAN.{name}.html here)"
    )
    return page


def _output(options: argparse.Namespace) -> Path:
    """The file asked for, else by the plan's name; another language stands beside the English."""
    language = getattr(options, "language", "en")
    kind = options.command if language == "en" else f"{options.command}.{language}"
    asked: Path | None = options.output
    return asked or Path(f"{options.plan.stem}.{kind}.html")


def _new(options: argparse.Namespace) -> int:
    """Write a plan of about ten live lines; never over an existing file."""
    from formpressure.report.files import write_whole

    if options.plan.exists():
        raise Refusal("is there already", "Name another file", file=str(options.plan))
    template = resources.files("formpressure.data").joinpath(f"new_{options.units}.toml")
    write_whole(options.plan, template.read_text(encoding="utf-8"))
    print(f"Plan to fill in: {options.plan}")
    return 0


def _check(options: argparse.Namespace) -> int:
    from formpressure.plan_file import load_plan
    from formpressure.report.text import text
    from formpressure.verdict import check

    verdict = check(load_plan(options.plan))
    if options.json:
        from formpressure.report.tables import verdict_json

        _print_json(verdict_json(verdict))
    else:
        print(text(verdict), end="")
    return EXIT[verdict.word]


def _rates(options: argparse.Namespace) -> int:
    """Print the verdict first, then the table; JSON and CSV hold the table alone."""
    from formpressure.plan_file import load_plan
    from formpressure.report.tables import rates_csv, rates_json, rates_text
    from formpressure.report.text import two_lines
    from formpressure.report.words import say
    from formpressure.table import rates
    from formpressure.verdict import check

    plan = load_plan(options.plan)
    verdict, table = check(plan), rates(plan)
    if options.json:
        _print_json(rates_json(table))
    elif options.csv:
        print(rates_csv(table), end="")
    else:
        doubt = [say("rates", "doubt")] if verdict.doubtful else []
        print("\n".join([*two_lines(verdict), *doubt]), rates_text(table), sep="\n\n", end="")
    return 0


def _print_json(data: dict[str, object]) -> None:
    print(json.dumps(data, indent=1, allow_nan=False))


def _card(options: argparse.Namespace) -> int:
    """Print the verdict first, then write the card and say where it is."""
    from formpressure.plan_file import load_plan
    from formpressure.report.card import card_html
    from formpressure.report.files import write_whole
    from formpressure.report.text import two_lines
    from formpressure.verdict import check

    verdict = check(load_plan(options.plan))
    output = _output(options)
    page = card_html(verdict, options.language)
    print("\n".join(two_lines(verdict, options.language)))
    write_whole(output, page)
    print(f"Card: {output}")
    return 0


def _submittal(options: argparse.Namespace) -> int:
    """Print the verdict first, then write the package; PDF only once the page is whole."""
    from formpressure.plan_file import load_plan
    from formpressure.report.export import notebook_report
    from formpressure.report.files import write_whole
    from formpressure.report.text import two_lines
    from formpressure.verdict import check

    output = _output(options)
    print("\n".join(two_lines(check(load_plan(options.plan)))))
    page = notebook_report(options.plan, paper=options.paper)
    write_whole(output, page)
    print(f"Submittal: {output}")
    if options.pdf:
        from formpressure.report.pdf import pdf

        printed = output.with_suffix(".pdf")
        write_whole(printed, pdf(page))
        print(f"PDF: {printed}")
    return 0


def _lesson(options: argparse.Namespace) -> int:
    """Print the verdict first, then write the lesson and say where it is."""
    from formpressure.plan_file import load_plan
    from formpressure.report.export import LESSON, write_report
    from formpressure.report.text import two_lines
    from formpressure.verdict import check

    output = _output(options)
    print("\n".join(two_lines(check(load_plan(options.plan)), options.language)), flush=True)
    write_report(options.plan, output, options.language, LESSON)
    print(f"Lesson: {output}")
    return 0


def _layout(options: argparse.Namespace) -> int:
    """Print the verdict first, then what to set where; the page is written before anything.

    JSON holds the layout alone, CSV what to load for the whole job.
    """
    from formpressure.plan_file import load_plan
    from formpressure.tie_schedule import tie_schedule
    from formpressure.verdict import check

    plan = load_plan(options.plan)
    if plan.layout is None:
        cure = "Add [layout] with leg, sides and stock"
        raise Refusal("missing", cure, file=plan.file, key="layout")
    schedule = tie_schedule(check(plan))
    if options.output is not None:
        from formpressure.report.files import write_whole
        from formpressure.report.page_layout import layout_html

        try:
            page = layout_html(schedule)
        except ModuleNotFoundError as missing:
            cure = 'Install it: python -m pip install "formpressure[report]"'
            raise Refusal(f"needs {missing.name}", cure, key="the page") from None
        write_whole(options.output, page)
    if options.json:
        from formpressure.report.page_layout import layout_json

        _print_json(layout_json(schedule))
    elif options.csv:
        from formpressure.job.counts import loading_list
        from formpressure.report.blocks_job import loading_csv

        print(loading_csv(loading_list(plan)), end="")
    else:
        from formpressure.report.text_layout import layout_text

        print(layout_text(schedule), end="")
        if options.output is not None:
            print(f"Page: {options.output}")
    return 0


COMMANDS = {
    "new": _new, "check": _check, "rates": _rates, "card": _card, "submittal": _submittal,
    "lesson": _lesson, "log": cli_log.run, "layout": _layout,
}  # fmt: skip
