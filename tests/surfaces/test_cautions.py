"""Each caution stands once, short and with its source, on the sheet, in the notebook, on the page."""

from __future__ import annotations

import csv
import datetime as dt
import html
import io
import re

import pytest

from stallwise.cli.main import main
from stallwise.ground import assets
from stallwise.joins.ask import ask
from stallwise.record.folder import Cookbook
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.notebook import CookNotebook
from stallwise.surfaces.sheetprint import sheet_html
from stallwise.surfaces.widgets.sheet import cautions

COOK = """\
schema = 1
title = "Everything at once"
date = 2027-09-25
serve = "17:00"

[[pieces]]
letter = "A"
cut = "turkey-half"
mass = "6 lb"

[[pieces]]
letter = "B"
cut = "pork-spare-ribs-trimmed"
mass = "3 lb"
wrap = "foil"

[[mixes]]
mix = "plain-rub"

[[mixes]]
mix = "stock-glaze"
on = ["B"]

[[mixes]]
mix = "pink"
on = ["B"]
"""
CURE = """\
schema = 1
name = "Pink brine"
kind = "brine"
for = "3 kg"

[[lines]]
ingredient = "water_tap"
amount = "1 l"

[[lines]]
ingredient = "curing_salt_1"
amount = "2 g"
strength = "6.25 %"
"""
#: What may hurt at a step, and a word of the sentence that says so.
ASKED = {
    "carbon_monoxide": "carbon monoxide",
    "clearance": "siding",
    "hot_fat_steam": "away from your face",
    "glass": "Glass",
    "bristles": "bristle",
    "weak_fire": "weak fire",
    "raw_juice": "drips",
    "poultry": "165 °F",
    "raw_baste": "brush",
    "wood": "treated",
    "cure": "by weight",
}
NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)


def rows():
    table = csv.DictReader(io.StringIO(assets.read_text("data", "cautions.csv")))
    return {row["key"]: row for row in table}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    place = tmp_path_factory.mktemp("cautions") / "book"
    made = Cookbook.start(place, title="Try", units="us", time_zone="Etc/UTC")
    made.put("mixes", "pink", CURE)
    made.new_cook("everything", dt.date(2027, 9, 25), COOK)
    return made


@pytest.fixture(scope="module")
def cook(book):
    return next(iter(book.cooks()))


@pytest.fixture(scope="module")
def result(cook):
    return ask(cook.load(), made_at=NOW, changes={"members": 20})


def plain(page):
    words = html.unescape(re.sub(r"<[^>]+>", "", page))
    return re.sub(r"\s+", " ", words.replace("\N{WORD JOINER}", ""))


@pytest.mark.parametrize("key", ASKED)
def test_it_says_what_may_hurt_and_who_says_so(key, result):
    row = rows()[key]
    assert ASKED[key] in row["text"]
    assert len(row["text"].split()) <= 42
    assert row["short"], "on paper too"
    assert row["tag"]
    found = [step for step in result.steps if row["text"] in step.caution]
    assert len(found) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_has_each_once(result, paper):
    page = plain(sheet_html(result, paper=paper))
    for key in ASKED:
        row = rows()[key]
        assert page.count(f"{row['short']} ({row['tag']})") == 1, key


def test_the_notebook_has_each_once(cook, result, capsys):
    said = " ".join(care for _, care in cautions(result).rows)
    desk = Desk(cook, {"members": 20}, now=lambda: NOW)
    CookNotebook(desk, panels=False).sheet()
    printed = re.sub(r"\s+", " ", capsys.readouterr().out)
    for key in ASKED:
        assert said.count(rows()[key]["text"]) == 1, key
        assert printed.count(rows()[key]["text"]) == 1, key


def test_the_page_has_each_once(book, cook, tmp_path):
    out = tmp_path / "journal"
    place = str(book.path)
    assert main(["--cookbook", place, "publish", cook.path.name, "--out", str(out)]) == 0
    page = plain((out / "cooks" / f"{cook.path.name}.html").read_text(encoding="utf-8"))
    for key in ASKED:
        assert page.count(rows()[key]["text"]) == 1, key
