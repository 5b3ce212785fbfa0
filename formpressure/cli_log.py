"""The command `log`: the pour log read against its plan, added to, and made into a report."""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from typing import Any

from formpressure.errors import Refusal

OPTIONS = ("--now", "--add", "--report")


def declare(commands: Any) -> None:
    """Its arguments."""
    log = commands.add_parser("log", help="read a pour log against its plan: go on, hold or stop?")
    log.add_argument("plan", type=Path)
    log.add_argument("log", type=Path, help="CSV: time, truck, run, level, temperature, ...")
    log.add_argument("--now", metavar="T", help='time of day, such as "9:05" (default: the clock)')
    log.add_argument("--add", metavar="LINE", help="first write one line to the end of the log")
    log.add_argument("--report", type=Path, metavar="FILE", help="also write it as one HTML page")
    log.add_argument("--json", action="store_true", help="print it as JSON")


def run(options: argparse.Namespace) -> int:
    """Print the verdict first, then how the pour stands now and stood at every line."""
    from formpressure.job.pour_log import add_line, clock_of, load_log
    from formpressure.plan_file import load_plan
    from formpressure.progress import follow
    from formpressure.report.files import write_whole
    from formpressure.report.words import say
    from formpressure.verdict import check

    now = None
    if options.now is not None:
        try:
            now = clock_of(options.now)
        except Refusal as refusal:
            raise refusal.at(key="--now") from None
    verdict = check(load_plan(options.plan))
    system, added = verdict.case.rule.system, None
    if options.add is not None:
        added = add_line(options.log, options.add, system)
    log = load_log(options.log, system)
    idle = 0.0
    if now is None and options.report is None:
        local = time.localtime()
        now = local.tm_hour * 60 + local.tm_min
        idle = (time.time() - options.log.stat().st_mtime) / 60.0
    progress = follow(verdict, log, now, idle)
    page = ""
    if options.report is not None:
        from formpressure.report.log_report import log_html

        page = log_html(progress)
    if options.json:
        from formpressure.report.log_data import log_json

        print(json.dumps(log_json(progress), indent=1, allow_nan=False))
    else:
        from formpressure.report.log_text import log_text

        print(log_text(progress), end="")
        if added is not None:
            print(say("log", "added", line=added, path=options.log))
    if options.report is not None:
        write_whole(options.report, page)
        if not options.json:
            print(say("log", "report_at", path=options.report))
    return 0
