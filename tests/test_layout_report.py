"""The layout as text, page and data."""

import dataclasses
import json

import jsonschema
import pytest
from audit import audit
from layouts import CLOSED, straight

from formpressure import check, read_plan
from formpressure.cli import main
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
