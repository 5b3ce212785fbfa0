"""Make every kind of report of every demo plan into one folder, for the eye or for axe-core."""

import sys
from pathlib import Path

from formpressure import check, follow, load_log, load_plan
from formpressure.report.card import card_html
from formpressure.report.export import notebook_path, notebook_report
from formpressure.report.files import write_whole
from formpressure.report.log_report import log_html
from formpressure.report.page_layout import layout_html
from formpressure.report.words import LANGUAGES
from formpressure.tie_schedule import tie_schedule

ROOT = Path(__file__).resolve().parents[1]
NOTEBOOKS = sorted(p.name for p in (ROOT / "notebooks").glob("*.ipynb"))


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for plan in sorted((ROOT / "shared" / "plans").glob("*.toml")):
        for language in LANGUAGES:
            page = card_html(check(load_plan(plan)), language)
            write_whole(folder / f"{plan.stem}.card.{language}.html", page)
        if (laid_out := check(load_plan(plan))).case.layout is not None:
            write_whole(folder / f"{plan.stem}.layout.html", layout_html(tie_schedule(laid_out)))
        for name in NOTEBOOKS:
            page = notebook_report(plan, name=notebook_path(name).name)
            write_whole(folder / f"{plan.stem}.{Path(name).stem}.html", page)
    for log in sorted((ROOT / "shared" / "logs").glob("*.csv")):
        verdict = check(load_plan(ROOT / "shared" / "plans" / f"{log.stem}.toml"))
        page = log_html(follow(verdict, load_log(log)))
        write_whole(folder / f"{log.stem}.log.html", page)
    print(f"reports in {folder}")


if __name__ == "__main__":
    main()
