"""The lesson: its numbers by hand, both languages, stills with and without script, same bytes."""

import html
import json
import os
import re
import string
import subprocess
import sys
from importlib.resources import files
from math import ceil, pi
from pathlib import Path

import nbformat
import pytest
from audit import audit
from bs4 import BeautifulSoup
from plans import CONCRETE, SMALL
from test_browser import CHROMIUM, PHONES, fits_a_phone

from formpressure import cli, load_plan, read_plan
from formpressure.report import export, figures_lesson
from formpressure.report.lesson import PARTS, QUESTIONS, TAILGATE, lesson_of
from formpressure.report.words import LANGUAGES, words
from formpressure.teaching import prepare

ROOT = Path(__file__).resolve().parents[1]
PLANS = ROOT / "shared" / "plans"
DEMO = PLANS / "basement_9ft.toml"
NASTY = "<b>$x$</b> *a* _b_ | `c` $$y$$ & </script></style>"


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    """The demo plan under a nasty title."""
    path = tmp_path_factory.mktemp("a folder, it's odd") / "wall.toml"
    text = re.sub("title = .*", lambda _: f"title = '''{NASTY}'''", DEMO.read_text("utf-8"))
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def page(plan):
    """As the command writes it, in Spanish."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "formpressure", "lesson", plan.name,
         "--language", "es"],
        cwd=plan.parent, capture_output=True, text=True, encoding="utf-8", timeout=120,
        env={**os.environ, "PYTHONHASHSEED": "3"},
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1] == "Lesson: wall.lesson.es.html"
    assert re.match(r"[A-Z]+: .*\n.*\?", done.stdout)
    return (plan.parent / "wall.lesson.es.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def demo():
    return lesson_of(load_plan(DEMO))


def plain(block):
    return block.plain.replace("\n", " ")


# ------------------------------------------------------------------ numbers


def test_pushing_like_water_by_hand(demo):
    """150 lb on the square foot for each foot; a plate of 10 in has pi 10^2/4/144 of one."""
    text = plain(demo.part("head"))
    plate = 1350.0 * pi * 10.0**2 / 4.0 / 144.0
    assert "One foot down it pushes with 150 psf" in text
    assert "it is 1,350 psf" in text
    assert f"{ceil(plate / 10) * 10} lb would push it off" in text
    assert f"That is {ceil(plate / 94)} bags of cement of 94 lb each" in text


def test_stiffening_by_hand(demo):
    """150 + 9000 x 4/60 = 750 psf, which is 5 ft of liquid."""
    text = plain(demo.part("stiffening"))
    assert "the top 5 ft act like a liquid. Further down the push stays at 750 psf" in text


def test_one_thing_changed_at_a_time_by_hand():
    """(b) and, over 7 ft/h, (c) of ACI 347; the retarder takes Cc from 1 to 1.2."""
    pressure = {
        "planned": 150 + 9000 * 4 / 60, "slower": 600.0, "colder": 150 + 9000 * 4 / 40,
        "faster": 150 + 43400 / 60 + 2800 * 8 / 60, "retarder": 1.2 * (150 + 9000 * 4 / 60),
    }  # fmt: skip
    found = prepare(load_plan(DEMO))
    assert {t.name: pytest.approx(float(t.envelope.p_max)) for t in found.trials} == pressure
    bottom = found.trial("planned").load  # hinged: the overhang of 8 in and 16 in of span
    assert bottom == pytest.approx(2 * 750 * 2 - 2 * 750 * 2 * (1 - 8 / 12) / (16 / 12))


def test_one_tie_in_things_to_lift_by_hand(demo):
    """2,250 lb over 150 lb for a cubic foot, and over 94 lb for a bag."""
    text = plain(demo.part("tie"))
    assert "Its piece is 1 ft 4 in high and 2 ft wide, and carries 2,000 lb" in text
    assert "2,250 lb is the weight of 15 cubic feet of this concrete, or of 24 bags" in text


def test_a_forgotten_tie_by_hand():
    """The tie at 3 ft 4 in gone: the beam from 2 ft to 4 ft 8 in has 1,500 plf up to 4 ft, then
    300 plf less for each foot; besides, the tie at 2 ft keeps the 750 lb of the beam below it."""
    found = prepare(load_plan(DEMO)).forgotten
    span, rest = 8 / 3, 2 / 3
    upper_moment = 1500 * span**2 / 2 - 300 * rest**2 / 2 * rest / 3
    assert found.tie == 2
    assert found.before[1] == pytest.approx(750 + 1000)
    assert found.after[1] == pytest.approx(750 + upper_moment / span)
    assert found.worst == 1
    assert found.grown == (1, 3)
    assert found.times == pytest.approx((750 + upper_moment / span) / 1750)


def test_a_corner_by_hand():
    """First line at 10 + 6 in: (16 + 10)/2 in of push; 5 ft of it triangular, 4 ft full."""
    found = prepare(load_plan(DEMO)).corner
    assert found.filler == pytest.approx(16 / 12)
    assert not found.stated
    assert found.pull == pytest.approx(750 * 13 / 12)
    assert found.whole == pytest.approx((750 * 5 / 2 + 750 * 4) * 13 / 12)
    stated = prepare(load_plan(PLANS / "garage_8ft_complete.toml")).corner
    assert stated.stated
    assert stated.width == pytest.approx((12 + 8) / 2 / 12)


def test_bags_in_si_weigh_what_their_mass_does():
    found = prepare(load_plan(PLANS / "retaining_wall_3m6.toml"))
    assert found.bags(1.0) == pytest.approx(1000 / (25 * 9.80665))
    assert found.concrete(1.0) == pytest.approx(1000 / (2400 * 9.80665))


def test_stills_follow_the_unzipping(demo):
    study = demo.lesson.study
    shown = figures_lesson.stills(study)
    run = study.unzipping[study.furthest]
    assert [s.round for s in shown] == list(range(len(run.force) + 1))
    for still, gone, after in zip(shown[1:], run.gone, [*run.gone[1:], run.gone[-1]], strict=True):
        assert (still.gone == gone).all()
        if not still.lost:
            assert ((gone | still.breaks) == after).all()
    text = plain(demo.part("unzip"))
    assert "Round 1. Gone: 8 in. Over the breaking load: 2 ft (6,150 lb)." in text
    assert "Round 3. Gone: 8 in, 2 ft, 3 ft 4 in. What is left cannot hold the load" in text
    assert "That it stops in some calculation is never a pass" in text


def test_a_changed_number_is_seen(demo):
    text = demo.changed("concrete.temperature", "45 F").plain
    assert re.search(r"pressure judged +750 psf +950 psf", text)  # 150 + 9000 x 4/45
    assert re.search(r"most loaded tie +2,250 lb +2,850 lb", text)
    metric = demo.changed("units", "SI").plain
    assert re.search(r"most loaded tie +2,250 lb +10(\.\d)? kN", metric)  # 2,250 lb is 10.0 kN
    bare = demo.changed("concrete.temperature", 45).plain
    assert "concrete.temperature = 45: a bare number" in bare


def test_what_cannot_be_changed_alone_is_told_in_place():
    """Spacing follows from a layout; the lesson on such a wall still runs."""
    laid_out = lesson_of(load_plan(PLANS / "garage_L_12in.toml"))
    text = laid_out.changed("ties.spacing", "3 ft").plain
    assert "ties.spacing: given beside a layout" in text
    assert str(ROOT) not in text


def test_a_tailgate_talk_takes_ten_minutes(demo):
    assert sum(TAILGATE) == 10
    assert demo.part("tailgate").html.count('class="step"') == len(TAILGATE)


# ------------------------------------------------------------------ plans of every kind

ODD = {
    "two first tables": SMALL,
    "one row": SMALL.replace('["1 ft", "3 ft", "5 ft", "7 ft"]', '["3 ft"]'),
    "two rows": SMALL.replace('["1 ft", "3 ft", "5 ft", "7 ft"]', '["2 ft", "6 ft"]'),
    "too warm": SMALL + CONCRETE.replace("60 F", "110 F"),
    "weak ties": SMALL.replace("3000 lb", "500 lb") + CONCRETE,
}
SAYS = {
    "two first tables": "The plan does not tell how thick the wall is",
    "one row": "a single row of ties",
    "two rows": "no tie can be missed at all",
    "too warm": "The document does not cover the concrete of this plan",
    "weak ties": "The plan names no rate; 4 ft/h is an example",
}


@pytest.mark.parametrize("name", ODD)
def test_every_plan_has_a_lesson(name):
    found = lesson_of(read_plan(ODD[name]), "en")
    text = " ".join(plain(found.part(part)) for part in PARTS)
    assert SAYS[name] in text
    assert not re.search(r"\b[Ss]afe|\bnan\b|\binf\b|\{|\bNone\b", text)


def test_spanish_of_a_metric_plan():
    found = lesson_of(load_plan(PLANS / "retaining_wall_3m6.toml"), "es")
    text = " ".join(plain(found.part(part)) for part in PARTS)
    assert "bultos de cemento de 25 kg" in text
    assert "Este español no lo ha leído nadie en obra" in text
    both = words("es")["lesson"]["unread"].split(" / ")[1]  # this caution stands in English too
    text = text.replace(both, "").split("Precauciones")[0]
    assert not re.search(r"\b(the|of|with|ties at|bags?|round)\b", text)


def test_a_line_that_breaks_with_all_ties_in_is_told():
    found = lesson_of(load_plan(PLANS / "tall_wall_16ft.toml"))
    told = plain(found.part("unzip"))
    assert "This line fails with every tie in its clip" in told
    assert figures_lesson.stills(found.lesson.study)[0].breaks.any()


def test_a_least_pressure_is_told():
    """600 psf at 3 ft/h and 70 F, since 150 + 9000 x 3/70 = 536 is under the minimum."""
    assert prepare(load_plan(PLANS / "job_built_10ft.toml")).at_least
    assert not prepare(load_plan(DEMO)).at_least
    assert not prepare(read_plan(SMALL)).at_least


def test_full_head_is_told_where_the_form_may_be_filled_straight_up():
    found = lesson_of(load_plan(PLANS / "house_wall_8ft.toml"))
    assert "taken here with nothing stiffened" in plain(found.part("title"))
    assert "The verdict of this plan counts on none of that" in plain(found.part("stiffening"))


# ------------------------------------------------------------------ words

SAME = {"minutes"}  # nothing to translate


def test_the_command_offers_the_languages_there_are():
    assert cli.LANGUAGES == LANGUAGES


def slots(sentence):
    return sorted(f"{name}:{how}" for _, name, how, _ in string.Formatter().parse(sentence) if name)


def test_both_languages_say_the_same_with_the_same_numbers():
    english, spanish = words("en")["lesson"], words("es")["lesson"]
    assert list(english) == list(spanish)
    assert {k: slots(v) for k, v in english.items()} == {k: slots(v) for k, v in spanish.items()}
    assert {k for k in english if english[k] == spanish[k]} == SAME
    assert slots("{load:up} {row}") == ["load:up", "row:"]


def test_no_sentence_is_idle_and_none_is_missing():
    code = "".join(
        (files("formpressure") / "report" / f"{name}.py").read_text("utf-8")
        for name in ("lesson", "figures_lesson")
    )
    named = set(re.findall(r"[\"']([a-z]\w*)[\"']", code))
    built = ("head_2_", "volume_", "unzip_rigid", "unzip_straight", "trial_", "told_", "tie_",
             "corner_2_", "q_", "a_", "tail_", "label_", "changed_", "still_", "gone_")  # fmt: skip
    idle = [k for k in words()["lesson"] if k not in named and not k.startswith(built)
            and not k.endswith("_title")]  # fmt: skip
    assert idle == []
    assert {f"q_{n}" for n in QUESTIONS} <= set(words()["lesson"])


# ------------------------------------------------------------------ the page


def test_page_passes_the_audit_with_its_one_script(page):
    assert audit(page, script=True) == []
    assert audit(page) == ["a script"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("show();\n}", "show();\nfetch('x');\n}"), ("show();\n}", "setInterval(show);\n}"),
        ("Number(slider.value)", "1 + Number(slider.value)"), ("<script>", '<script src="x.js">'),
        ("</main>", "<script>show()</script></main>"), ("sha256-", "sha256-x"),
        ("<main>", '<main onclick="x()">'), ("<script>", "<script defer>"),
    ],
)  # fmt: skip
def test_any_other_script_is_reported(page, old, new):
    assert old in page
    assert audit(page.replace(old, new), script=True)


def test_page_is_small_and_tells_no_path(page, plan):
    assert len(page.encode()) < 1_500_000
    assert str(ROOT) not in page
    assert str(plan.parent) not in page
    assert '<html lang="es">' in page


def test_page_is_the_same_in_another_process(page, plan):
    assert export.notebook_report(plan, "es", export.LESSON) == page


def test_user_text_is_shown_as_it_is(page):
    assert NASTY in BeautifulSoup(page, "html.parser").get_text()


def test_without_script_every_still_is_there_with_its_words(page):
    box = BeautifulSoup(page, "html.parser").find(class_="stills")
    figures = box.find_all("figure")
    assert len(figures) == int(box["data-last"]) + 1 >= 4
    assert box.find("input") is None  # nothing dead where no script runs
    for still in figures:
        assert still.figcaption.get_text() in still.img["alt"]


def test_nothing_moves_by_itself(page):
    style = "".join(s.get_text() for s in BeautifulSoup(page, "html.parser").find_all("style"))
    assert not re.search(r"animation|transition|scroll-behavior|autoplay", style)
    assert "height:44px" in style


def test_answers_are_on_paper_too(page):
    tree = BeautifulSoup(page, "html.parser")
    opened = [d.p.get_text() for d in tree.find_all("details")]
    printed = tree.find(class_="answers").get_text()
    assert len(opened) == len(QUESTIONS)
    assert all(answer in printed for answer in opened)


# A frame as wide as a phone in which the slider is moved; what is then seen is the title.
SLIDE = """<!DOCTYPE html><title></title><iframe id="f" style="width:320px;height:900px"
srcdoc="%s"></iframe><script>
const frame = document.getElementById("f");
frame.onload = () => {
  const page = frame.contentDocument, box = page.querySelector(".stills");
  const slider = box.querySelector("input"), seen = [];
  for (const at of [0, 2, 3]) {
    slider.value = at;
    slider.dispatchEvent(new Event("input"));
    const figures = [...box.querySelectorAll("figure")];
    seen.push([figures.map(f => f.getBoundingClientRect().height > 0 ? 1 : 0).join(""),
      box.querySelector("[aria-live]").textContent]);
  }
  document.title = JSON.stringify({seen, tall: slider.getBoundingClientRect().height,
    name: slider.labels[0].textContent});
};
</script>"""


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: the slider not moved")
def test_slider_shows_one_still_and_tells_it(page, tmp_path):
    probe = tmp_path / "probe.html"
    probe.write_text(SLIDE % html.escape(page), encoding="utf-8")
    command = [
        CHROMIUM, "--headless", "--disable-gpu", "--no-first-run", "--disable-sync",
        "--disable-background-networking", "--disable-component-update",
        f"--user-data-dir={tmp_path / 'profile'}", "--virtual-time-budget=5000", "--dump-dom",
        probe.as_uri(),
    ]  # fmt: skip
    if getattr(os, "geteuid", lambda: 1)() == 0:
        command.insert(1, "--no-sandbox")
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    found = json.loads(html.unescape(re.search(r"<title>(.*?)</title>", done.stdout, re.S)[1]))
    assert [seen for seen, _ in found["seen"]] == ["1000", "0010", "0001"]
    assert [told.split(".")[0] for _, told in found["seen"]] == [
        "Todos los tirantes puestos", "Vuelta 2", "Vuelta 3",
    ]  # fmt: skip
    assert found["tall"] >= 44
    assert found["name"] == "Cuadro por cuadro"


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: layout on a phone not looked at")
@pytest.mark.parametrize("width", PHONES)
def test_page_fits_a_phone_and_asks_for_nothing(page, tmp_path, width):
    fits_a_phone(page, tmp_path, width)


# ------------------------------------------------------------------ parameters


def test_a_language_goes_where_the_notebook_asks_for_one():
    made = export.with_plan(export.read_notebook(export.notebook_path(export.LESSON)), "p", "es")
    (cell,) = [c for c in made.cells if "parameters" in c.metadata.get("tags", ())]
    assert cell.source == "plan = 'p'\nlanguage = 'es'"


def test_a_parameter_that_nobody_gives_is_refused():
    cell = nbformat.v4.new_code_cell("plan = 1\nlangauge = 2", metadata={"tags": ["parameters"]})
    with pytest.raises(ValueError, match="langauge"):
        export.with_plan(nbformat.v4.new_notebook(cells=[cell]), "x")


def test_an_unknown_language_or_part_is_refused(tmp_path, demo):
    done = subprocess.run(
        [sys.executable, "-m", "formpressure", "lesson", str(DEMO), "--language", "fr"],
        cwd=tmp_path, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert "es" in done.stderr
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(KeyError):
        demo.part("heads")
