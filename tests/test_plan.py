"""Plan files: the small one works, and every broken one gets one clear message."""

import subprocess
import sys

import pytest
from plans import CONCRETE, SMALL, complete, refusal_of

from formpressure import Refusal, load_plan, read_plan
from formpressure.keys import Need
from formpressure.plan import keys_table_markdown, walk_keys


def changed(old, new, text=SMALL):
    assert old in text
    return text.replace(old, new)


HEIGHTS = 'heights = ["1 ft", "3 ft", "5 ft", "7 ft"]'
BROKEN = {
    "empty": "",
    "units missing": changed('units = "US"', ""),
    "units unknown": changed('"US"', '"imperial"'),
    "units a number": changed('"US"', "1"),
    "wall missing": changed('[wall]\nheight = "8 ft"', ""),
    "wall not a table": 'wall = "8 ft"\n' + changed('[wall]\nheight = "8 ft"', ""),
    "height missing": changed('height = "8 ft"', ""),
    "height bare": changed('"8 ft"', "8"),
    "height in pounds": changed('"8 ft"', '"8 lb"'),
    "height zero": changed('"8 ft"', '"0 ft"'),
    "height huge": changed('"8 ft"', '"8000 ft"'),
    "height astronomic": changed('"8 ft"', '"' + "9" * 5000 + ' ft"'),
    "height negative": changed('"8 ft"', '"-8 ft"'),
    "height unicode minus": changed('"8 ft"', '"−8 ft"'),
    "height nan": changed('"8 ft"', "nan"),
    "height inf": changed('"8 ft"', "inf"),
    "height a list": changed('"8 ft"', '["8 ft"]'),
    "height true": changed('"8 ft"', "true"),
    "key misspelt": changed("height =", "hieght ="),
    "key unknown": SMALL + 'colour = "grey"\n',
    "key twice": changed('height = "8 ft"', 'height = "8 ft"\nheight = "9 ft"'),
    "table twice": SMALL + '[wall]\nheight = "9 ft"\n',
    "quote open": changed('"8 ft"', '"8 ft'),
    "nested deep": "a = " + "[" * 3000,
    "ties missing": SMALL[: SMALL.index("[ties]")],
    "basis missing": changed('basis = "working load at 2:1"', ""),
    "heights empty": changed(HEIGHTS, "heights = []"),
    "heights text": changed(HEIGHTS, 'heights = "1 ft"'),
    "heights bare": changed(HEIGHTS, "heights = [1, 3, 5, 7]"),
    "heights duplicate": changed('"3 ft"', '"1 ft"'),
    "tie above the form": changed('"7 ft"', '"9 ft"'),
    "tie at the footing": changed('"1 ft"', '"0 ft"'),
    "too many ties": changed(HEIGHTS, "heights = [" + '"1 ft",' * 600 + "]"),
    "no spacing": changed('spacing = "2 ft"', ""),
    "spacing and joints": SMALL + 'joints = ["0 ft", "2 ft"]\n',
    "one joint": changed('spacing = "2 ft"', 'joints = ["0 ft"]'),
    "form below concrete": changed('height = "8 ft"', 'height = "8 ft"\nform_height = "7 ft"'),
    "placed from above": changed('"8 ft"', '"8 ft"\nplaced_from = "8 ft"\nhardened = "3 days"'),
    "placed from, not hardened": changed('"8 ft"', '"8 ft"\nplaced_from = "4 ft"'),
    "no ties in the placement": changed(
        HEIGHTS, 'heights = ["1 ft", "3 ft"]', changed(
            '"8 ft"', '"8 ft"\nplaced_from = "4 ft"\nhardened = "3 days"')),
    "slump out of reason": SMALL + '[concrete]\nslump = "30 in"\n',
    "cement a number": SMALL + "[concrete]\nmix = { cement = 1 }\n",
    "retarder a text": SMALL + '[concrete]\nmix = { retarder = "no" }\n',
    "vibration unknown": SMALL + '[concrete]\nvibration = { kind = "shaking" }\n',
    "text too long": 'title = "' + "x" * 500 + '"\n' + SMALL,
    "text with control letters": 'title = "a\\u0007b"\n' + SMALL,
    "ties by others": SMALL + '[[by_others]]\nchecks = ["ties"]\nwho = "a"\n'
    'document = "b"\ndate = 2026-01-01\n',
    "by others misspelt": SMALL + '[[by_others]]\nchecks = ["bracings"]\nwho = "a"\n'
    'document = "b"\ndate = 2026-01-01\n',
    "by others without date": SMALL + '[[by_others]]\nchecks = ["bracing"]\nwho = "a"\n'
    'document = "b"\n',
    "none and by others": changed('"stages"', '"stages", "corners"', complete()),
    "panel basis missing": SMALL + '[form]\npanels = { pressure = "700 psf" }\n',
}  # fmt: skip


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN.keys())
def test_broken_text_is_refused_in_one_line(text):
    refusal_of(text)


def run(*arguments, cwd):
    return subprocess.run(
        [sys.executable, "-m", "formpressure", *map(str, arguments)],
        cwd=cwd, capture_output=True, text=True, encoding="utf-8", timeout=60,
    )  # fmt: skip


def broken_files(folder):
    (folder / "folder.toml").mkdir()
    (folder / "binary.toml").write_bytes(bytes(range(256)) * 10)
    (folder / "latin1.toml").write_bytes('title = "caf\xe9"'.encode("latin-1"))
    (folder / "utf16.toml").write_bytes(SMALL.encode("utf-16"))
    with (folder / "huge.toml").open("wb") as stream:
        stream.truncate(100_000_000)
    (folder / "nul.toml").write_bytes(b"units = \x00")
    (folder / "basis.toml").write_text(SMALL.replace(" at 2:1", ""))
    (folder / "broken.toml").write_text("units = US")
    return [*sorted(folder.iterdir()), folder / "missing.toml", folder / "no" / "plan.toml"]


def test_broken_files_exit_2_with_one_line_and_write_nothing(tmp_path):
    work = tmp_path / "work"
    work.mkdir()
    (tmp_path / "plans").mkdir()
    for path in broken_files(tmp_path / "plans"):
        done = run("card", path, cwd=work)
        assert done.returncode == 2, path
        assert done.stdout == ""
        assert done.stderr.count("\n") == 1, done.stderr
        assert path.name in done.stderr
        assert "Traceback" not in done.stderr
    assert list(work.iterdir()) == []


def test_messages_name_file_key_value_and_cure():
    with pytest.raises(Refusal) as refusal:
        read_plan(changed('"3000 lb"', "3000"), file="north.toml")
    assert str(refusal.value) == (
        'north.toml: ties.load = 3000: a bare number has no unit. Write "3000 lb" or "3000 kN", '
        "in quotes."
    )
    with pytest.raises(Refusal, match="Did you mean height"):
        read_plan(changed("height =", "hieght ="))


def test_what_is_missing_is_assumed_and_listed():
    plan = read_plan(SMALL)
    listed = dict(plan.assumed)
    assert listed["concrete.unit_weight"].startswith("150 pcf")
    assert "full liquid head" in listed["concrete.slump"]
    assert "concrete.slump" not in dict(read_plan(SMALL + CONCRETE).assumed)


def test_values_keep_their_unit_and_are_converted_once():
    plan = read_plan(changed('"8 ft"', '"2.4 m"'))
    assert f"{plan.wall.height:~}" == "2.4 m"
    assert plan.bare("SI").wall.height == 2.4
    assert plan.bare("US").wall.height == pytest.approx(7.874015748)
    assert plan.bare("SI").ties.heights[1] == pytest.approx(0.9144)


def test_a_document_that_is_not_here_is_refused_with_those_that_are():
    from formpressure import check

    with pytest.raises(Refusal) as refusal:
        check(read_plan(SMALL + '[document]\nname = "rule of thumb"\n', file="w.toml"))
    assert str(refusal.value).startswith("w.toml: document.name")
    assert "ACI 347-04" in refusal.value.cure


def test_order_of_rows_does_not_matter():
    from formpressure import check

    shuffled = changed(HEIGHTS, 'heights = ["5 ft", "1 ft", "7 ft", "3 ft"]')
    a, b = check(read_plan(SMALL)), check(read_plan(shuffled))
    assert a.ties.load.tolist() == b.ties.load.tolist()


def test_checksum_and_file_tell_which_plan(tmp_path):
    path = tmp_path / "wall.toml"
    path.write_text(SMALL, encoding="utf-8")
    plan = load_plan(path)
    assert plan.file == str(path)
    assert plan.checksum != read_plan(SMALL + "# note\n").checksum


def test_every_key_is_one_of_three_kinds_and_stands_in_the_docs_table():
    table = keys_table_markdown()
    for name, meta in walk_keys():
        assert meta["need"] in tuple(Need)
        assert f"`{name}`" in table
        assert meta["need"] is Need.REFUSED or meta["blank"], name
