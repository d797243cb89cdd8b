"""Files to take from a page: made of the public view, whole, and the same each time."""

from __future__ import annotations

import dataclasses
import json
import runpy
import subprocess
import sys
import tomllib
from pathlib import Path
from zoneinfo import ZoneInfo

import icalendar
import nbformat
import pytest

from stallwise.record.schema import Cook, Number
from stallwise.surfaces.journal.downloads import downloads
from stallwise.surfaces.journal.public import public_cook, public_result
from stallwise.tables.mixbook import mix_from_mapping

_HERE = Path(__file__)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
Shelf = runpy.run_path(str(_HERE.with_name("test_journal.py")))["Shelf"]


@pytest.fixture
def shoulder():
    return _MADE["shoulder"]()


@pytest.fixture
def taken(tmp_path, shoulder):
    shelf = Shelf(tmp_path)
    events = (
        *shoulder.events,
        dataclasses.replace(shoulder.events[1], what="note", text="SECRETREMARK"),
        dataclasses.replace(shoulder.events[1], what="off", text="SECRETTEXT"),
    )
    shelf.add(
        dataclasses.replace(shoulder, events=events, time_zone="Pacific/Apia"),
        outcome="It *pulled* clean.",
        notes="SECRETNOTE",
        carried="SECRETCARRIED",
        number=Number(name="at the door", value=8.5),
        private=["notes"],
    )
    assert not shelf.publish().troubles
    return shelf.path / "journal" / "files" / shoulder.cook


def test_nothing_that_was_kept_back_is_in_a_file(taken):
    for path in taken.iterdir():
        text = path.read_text(encoding="utf-8")
        assert "SECRET" not in text, path.name
        assert "Apia" not in text, path.name


def test_data_holds_what_was_forecast_and_what_happened(taken, shoulder):
    data = json.loads((taken / "cook.json").read_text(encoding="utf-8"))
    assert data["remark"].startswith("A sample")
    tender = shoulder.pieces[0].stages["tender"].elapsed_h
    assert data["pieces"][0]["stages"]["tender"]["elapsed_h"]["p50"] == tender.p50
    assert len(data["steps"]) == len(shoulder.steps)
    assert data["number"] == {"name": "at the door", "value": 8.5, "out_of": None}
    assert "text" not in data["events"][0]


def test_notebook_runs_beside_its_data_with_nothing_but_python(taken):
    book = nbformat.read(taken / "cook.ipynb", 4)
    nbformat.validate(book)
    assert "It \\*pulled\\* clean." in book.cells[0].source
    code = "\n".join(cell.source for cell in book.cells if cell.cell_type == "code")
    done = subprocess.run(
        [sys.executable, "-I", "-c", code], cwd=taken, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "tender after" in done.stdout


def test_calendar_and_mix_are_read_by_those_who_read_such_files(taken, shoulder):
    calendar = icalendar.Calendar.from_ical((taken / "steps.ics").read_bytes())
    assert len(calendar.walk("VEVENT")) >= 5
    text = (taken / f"{shoulder.mixes[0].mix}.toml").read_text(encoding="utf-8")
    mix = shoulder.mixes[0]
    odd = dataclasses.replace(mix, name='A "rub" \\ of\nours', lines=mix.lines[:1])
    (made,) = [
        one
        for one in downloads(_plain_cook(shoulder), dataclasses.replace(shoulder, mixes=(odd,)))
        if one.file.endswith(".toml")
    ]
    assert mix_from_mapping(tomllib.loads(made.text)).name == odd.name
    read = mix_from_mapping(tomllib.loads(text))
    assert (read.name, read.kind) == (mix.name, mix.kind)
    assert len(read.lines) == len(mix.lines)


def test_a_large_brine_and_a_pinch_come_back_as_they_were_made(shoulder):
    lines = shoulder.mixes[0].lines
    water, pinch, nameless = (
        dataclasses.replace(lines[0], grams=12_346.0),
        dataclasses.replace(lines[1], grams=0.00004),
        dataclasses.replace(lines[0], ingredient="", name='stock\nname = "other"'),
    )
    mix = dataclasses.replace(shoulder.mixes[0], lines=(water, pinch, nameless))
    result = dataclasses.replace(shoulder, mixes=(mix,))
    (made,) = [
        one for one in downloads(_plain_cook(shoulder), result) if one.file.endswith(".toml")
    ]
    data = tomllib.loads(made.text)
    assert data["name"] == mix.name
    assert [line["amount"] for line in data["lines"]] == ["12350 g", "0.00004 g"]
    assert len(mix_from_mapping(data).lines) == 2


def test_a_mix_kept_back_is_not_named_by_one_that_is_made_with_it(shoulder):
    rub = shoulder.mixes[0]
    inside = dataclasses.replace(rub.lines[0], ingredient="secret-stock", name="Secret stock")
    outer = dataclasses.replace(rub, lines=(inside, *rub.lines[1:]), parts=("secret-stock",))
    secret = dataclasses.replace(rub, mix="secret-stock", name="Secret stock")
    result = public_result(
        dataclasses.replace(shoulder, mixes=(outer, secret)), ["mixes.secret-stock"]
    )
    assert "ecret" not in repr(result.mixes)
    assert result.mixes[0].lines[0].name == "a mix kept private"


@pytest.mark.parametrize(
    ("zone", "told"), [("Pacific/Apia", "Etc/GMT-13"), ("Asia/Kathmandu", ""), ("Etc/UTC", "")]
)
def test_a_calendar_names_no_region_and_keeps_its_instants(shoulder, zone, told):
    there = ZoneInfo(zone)
    steps = tuple(
        dataclasses.replace(
            step,
            **{key: getattr(step, key).astimezone(there) for key in ("at", "earliest", "latest")},
        )
        for step in shoulder.steps
    )
    result = dataclasses.replace(
        shoulder, steps=steps, time_zone=zone, hour_zero=shoulder.hour_zero.astimezone(there)
    )
    cook = _plain_cook(shoulder)
    (text,) = [one.text for one in downloads(cook, result) if one.file == "steps.ics"]
    assert zone not in text or zone == "Etc/UTC"
    assert told in text
    plain = [one.text for one in downloads(cook, shoulder) if one.file == "steps.ics"]
    assert _starts(text) == _starts(plain[0])


def _plain_cook(result):
    pieces = [{"letter": "A", "cut": result.pieces[0].cut}]
    return public_cook(Cook(schema=1, title="x", date=result.date, pieces=pieces))


def _starts(text):
    events = icalendar.Calendar.from_ical(text).walk("VEVENT")
    return sorted(event.decoded("DTSTART").timestamp() for event in events)


def test_files_of_a_page_go_with_it(tmp_path, shoulder):
    shelf = Shelf(tmp_path)
    shelf.add(shoulder)
    shelf.publish()
    record = shelf.folders[0].load()
    record.cook = record.cook.model_copy(update={"private": ["all"]})
    shelf.publish()
    assert not (shelf.path / "journal" / "files").exists()
