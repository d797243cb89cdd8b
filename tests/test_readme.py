"""What the README shows works as shown."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from stallwise.cli.main import COMMANDS
from stallwise.joins.log.paper import PaperContext, read_block
from stallwise.record.schema import Cook
from stallwise.record.toml import validated

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


def block(language: str, holding: str) -> str:
    (found,) = [text for name, text in BLOCKS if name == language and holding in text]
    return found


def test_the_day_with_people_and_jobs_is_valid() -> None:
    data = tomllib.loads(block("toml", "[[jobs]]"))
    data["jobs"].append({"job": "stock", "takes": "3 h"})  # which it needs
    piece = {"letter": "A", "cut": "turkey-whole"}
    whole = {
        "schema": 1,
        "title": "made up",
        "date": dt.date(2027, 6, 5),
        "pieces": [piece],
        **data,
    }
    assert validated(Cook, whole, where="README.md").jobs[0].needs == ["stock", "A"]


def test_the_plan_with_two_pits_and_two_serving_times_is_valid() -> None:
    data = tomllib.loads(block("toml", "[[pieces]]"))
    cook = validated(Cook, {"title": "t", "date": dt.date(2026, 12, 5)} | data, where="README")
    assert [piece.letter for piece in cook.pieces] == ["A", "B"]
    assert not cook.model_extra


def test_the_short_lines_are_all_understood() -> None:
    context = PaperContext(
        dt.date(2026, 12, 5), ZoneInfo("Etc/UTC"), ("A", "B"), served=dt.datetime(2026, 12, 5, 17, tzinfo=dt.UTC),
        cuts={"A": "pork-spare-ribs-trimmed", "B": "pork-spare-ribs-trimmed"},
    )  # fmt: skip
    read = read_block(block("", "wrapped foil\n"), context=context)
    assert {line.state for line in read.lines} == {"clear"}


SHOWN = re.findall(r"^stallwise (\w+)", "".join(text for _, text in BLOCKS), re.MULTILINE)


@pytest.mark.parametrize("name", SHOWN)
def test_every_command_shown_is_one(name: str) -> None:
    assert name in COMMANDS


def test_pictures_shown_are_there() -> None:
    for name in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README):
        assert (Path(__file__).parents[1] / name).is_file()
