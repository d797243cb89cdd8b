"""A cook shows the mix it really used, whatever becomes of it later."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from stallwise.joins.mix.usedmixes import keep_used_mixes
from stallwise.record.folder import Cookbook
from stallwise.record.log import LogLine

AT = dt.datetime(2026, 5, 16, 14, tzinfo=dt.UTC)
COOK = """
schema = 1
title = "Ribs"
date = 2026-05-16
[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
[[mixes]]
mix = "mine"
[[mixes]]
mix = "stock-glaze"
"""
MINE = """schema = 1
name = "Mine"
kind = "rub"
per = "piece"
[[lines]]
ingredient = "paprika"
amount = "2 T"
"""


@pytest.fixture
def folder(tmp_path: Path):
    book = Cookbook.start(tmp_path / "book", "Book", units="metric")
    book.put("mixes", "mine", MINE)
    return book.new_cook("Ribs", dt.date(2026, 5, 16), COOK)


def test_a_planned_cook_follows_the_cookbook(folder):
    assert keep_used_mixes(folder) == ()
    assert folder.mixes() == {}


def test_from_meat_on_the_mixes_stay_as_they_were(folder):
    folder.append([LogLine("1", AT, "meat_on", made=AT, piece="A")])
    grams = folder.load().mixes["mine"]["lines"][0]["amount"]
    assert set(keep_used_mixes(folder)) == {"mine", "stock-glaze", "bone-stock"}
    assert keep_used_mixes(folder) == ()
    folder.home.put("mixes", "mine", MINE.replace("2 T", "9 T"), expected=MINE)
    assert folder.load().mixes["mine"]["lines"][0]["amount"] == grams == "2 T"


def test_the_spoons_that_were_meant_are_written_down(folder):
    folder.append([LogLine("1", AT, "meat_on", made=AT, piece="A")])
    keep_used_mixes(folder)
    texts = {
        path.stem: tomllib.loads(path.read_text()) for path in (folder.path / "mixes").iterdir()
    }
    assert texts["mine"]["region"] == "metric"
    assert texts["bone-stock"]["region"] == "us"
