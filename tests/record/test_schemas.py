"""The JSON Schemas on the disk are those of the models, and the frozen books obey them."""

import datetime as dt
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from stallwise.ground import assets
from stallwise.record import schemas

BOOK = Path(__file__).resolve().parents[1] / "books" / "v1"


@pytest.mark.parametrize("name", schemas.MODELS)
def test_schemas_are_fresh(name):
    assert assets.read_text("data", "schemas", name) == schemas.text_of(name), (
        "run: python -m stallwise.record.schemas"
    )


def test_they_are_written_where_one_says(tmp_path):
    assert schemas.main(tmp_path) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(schemas.MODELS)


def _plain(value):
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value.isoformat() if isinstance(value, (dt.date, dt.time)) else value


@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("cookbook.json", "cookbook.toml"),
        ("pit.json", "pits/*.toml"),
        ("cook.json", "cooks/*/cook.toml"),
    ],
)
def test_the_frozen_book_obeys_them(name, pattern):
    schema = json.loads(schemas.text_of(name))
    jsonschema.Draft202012Validator.check_schema(schema)
    for path in BOOK.glob(pattern):
        jsonschema.validate(_plain(tomllib.loads(path.read_text())), schema)


def test_log_lines_obey_theirs():
    schema = json.loads(schemas.text_of("log_line.json"))
    for path in BOOK.glob("cooks/*/log.jsonl"):
        for line in path.read_text().splitlines():
            jsonschema.validate(json.loads(line), schema)
