"""The layout as text, page and data."""

import csv
import dataclasses
import io
import json

import jsonschema
import pytest
from audit import audit
from layouts import CLOSED, straight
from plans import SMALL

from formpressure import check, read_plan
from formpressure.cli import main
from formpressure.report import blocks_layout
from formpressure.report.page_layout import layout_html, layout_json
from formpressure.report.tables import schema
from formpressure.report.text_layout import layout_text
from formpressure.tie_schedule import tie_schedule


def test_the_command_prints_the_verdict_first_and_writes_one_page(tmp_path, capsys):
    plan, page = tmp_path / "w.toml", tmp_path / "w.html"
    plan.write_text(straight().replace('"a"', '"<north> & $x$"'), encoding="utf-8")
    assert main(["layout", str(plan), "-o", str(page)]) == 0
    printed = capsys.readouterr().out
    assert printed.index("VERDICT") < printed.index("Set out")
    assert "12 x 24 in" in printed
    html = page.read_text(encoding="utf-8")
    assert audit(html) == []
    assert "<north>" not in html
    assert html == layout_html(tie_schedule(check(read_plan(plan.read_text(), file=str(plan)))))
    plan.write_text(
        CLOSED[: CLOSED.index("[layout]")].replace("[delivery]", 'spacing = "2 ft"\n[delivery]')
    )
    assert main(["layout", str(plan)]) == 2
    assert "Add [layout]" in capsys.readouterr().err


def test_the_loading_list_comes_as_csv(tmp_path, capsys):
    plan = tmp_path / "w.toml"
    plan.write_text(CLOSED, encoding="utf-8")
    assert main(["layout", str(plan), "--csv"]) == 0
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    found = {(run, item, size): count for run, item, size, count, *_ in rows[2:] if count}
    assert found["north", "panel", "2 ft × 8 ft"] == "36"  # 37 ft 4 in hold 18, on both faces
    assert found["north", "filler", "1 ft 4 in × 8 ft"] == "4"  # two closers, one in each face
    assert found["all runs", "outside corner", "8 ft"] == "4"
    schedule = tie_schedule(check(read_plan(CLOSED)))
    assert found["all runs", "tie", ""] == str(len(schedule.ties))
    pieces = [int(n) for (run, item, _), n in found.items()
              if run == "all runs" and item in ("panel", "filler")]  # fmt: skip
    assert sum(pieces) == schedule.layout.pieces


def test_blocks_say_where_there_is_no_layout_and_show_all_where_there_is():
    bare = blocks_layout.layout(check(read_plan(SMALL)))
    assert "no layout" in bare.plain
    schedule = tie_schedule(check(read_plan(CLOSED)))
    whole = blocks_layout.layout(schedule.verdict)
    assert audit(f'<html lang="en"><h1>x</h1><h2>y</h2>{whole.html}</html>') == []
    assert "Far corner" in whole.plain
    assert whole.html.count("<figure>") == 1 + 4
    joints = {(tie.side, tie.place) for tie in schedule.ties}
    assert blocks_layout.joints(schedule).html.count("<tr>") == 1 + len(joints)
    assert blocks_layout.every_tie(schedule).html.count("<tr>") == 1 + len(schedule.ties)


def test_joints_name_their_most_loaded_tie():
    schedule = tie_schedule(check(read_plan(CLOSED)))
    for ties in schedule.by_joint:
        assert len({(tie.side, tie.place) for tie in ties}) == 1
    assert sum(len(ties) for ties in schedule.by_joint) == len(schedule.ties)
    most = max(tie.load for tie in schedule.ties)
    assert all(tie.load == pytest.approx(most, rel=1e-8) for tie in schedule.alike)
    assert schedule.worst == schedule.alike[0]


def test_json_follows_the_schema_and_counts_every_piece():
    schedule = tie_schedule(check(read_plan(CLOSED)))
    data = json.loads(json.dumps(layout_json(schedule), allow_nan=False))
    jsonschema.validate(data, schema())
    assert len(data["panels"]) == data["pieces"] == schedule.layout.pieces
    assert len(data["ties"]) == len(schedule.ties)
    assert data["joints"]["north"]["outer"] == data["joints"]["north"]["inner"]
    data["panels"][0]["face"] = "upper"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema())


def test_what_is_not_proved_is_said():
    schedule = tie_schedule(check(read_plan(straight())))
    open_end = dataclasses.replace(schedule.layout, proved=False)
    text = layout_text(dataclasses.replace(schedule, layout=open_end))
    assert "was not proved" in " ".join(text.split())
    assert "not proved" not in layout_text(schedule)


def test_the_far_corner_check_tells_the_filler():
    text = layout_text(tie_schedule(check(read_plan(CLOSED))))
    flat = " ".join(text.split())
    assert ("Far corner: mark 1 ft back from the line, add the leg, 4 in: pieces end at 38 ft 8 "
            "in. Panels end at 37 ft 4 in, the rest is filler: 1 ft 4 in.") in flat  # fmt: skip
