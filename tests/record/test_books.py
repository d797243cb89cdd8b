"""The frozen cookbooks: everything in them opens, and nobody edits them."""

import hashlib
from pathlib import Path

import pytest

from stallwise.record.folder import Cookbook
from stallwise.record.trimming import trimming

BOOKS = Path(__file__).resolve().parents[1] / "books"

#: Made with `python tests/record/test_books.py`. A change here is a broken promise: add v2 instead.
SUMS = {
    "v0": "f74894921904fd14177b5aedf38b09d98ae94b43b3dbb5f9ddc92b0c294171b5",
    "v1": "cca75d673c59ba6fb83fee7c38d087c0d4befde3a3f7e2379fa70bb2958cb25e",
}


def _sum(book: str) -> str:
    whole = hashlib.sha256()
    for path in sorted((BOOKS / book).rglob("*")):
        if path.is_file() and not path.name.startswith("."):
            whole.update(f"{path.relative_to(BOOKS).as_posix()}\n".encode())
            whole.update(path.read_bytes())
    return whole.hexdigest()


@pytest.mark.parametrize("book", SUMS)
def test_the_frozen_books_are_as_they_were(book):
    assert _sum(book) == SUMS[book]


def test_every_file_of_schema_1_opens():
    book = Cookbook.open(BOOKS / "v1")
    assert book.book.model_extra == {"house_rule": "no peeking"}
    assert book.book.measures == {"ladle": "120 g"}
    assert [cook.name for cook in book.cooks()] == [
        "2024-06-15-ribs-two-ways",
        "2024-05-11-shoulder-for-the-fair",
    ]
    assert set(book.pits()) == {"backyard", "oven"}
    assert set(book.overlay("cuts")) == {"thin-ribs"}
    assert set(book.overlay("ingredients")) == {"orchard-salt"}
    assert set(book.overlay("mixes")) == {"house-rub"}
    assert book.learned() == {
        "schema": 1,
        "id": "k-0001",
        "cooks": ["2024-05-11-shoulder-for-the-fair"],
        "pits": {},
    }


def test_the_ribs_of_schema_1():
    record = Cookbook.open(BOOKS / "v1").cook("ribs").load()
    first, second = record.cook.pieces
    assert (first.mass, first.place, second.wrap, second.unwrap) == (
        "2 lb 8 oz",
        "hot end",
        "foil",
        "4 h 15 min",
    )
    assert trimming(first) is None
    assert record.cook.number is not None
    assert record.cook.number.value == 3.0
    assert record.cook.model_extra == {"smoke_colour": "thin and blue"}
    wrapped = [line for line in record.log if line.what == "wrapped"]
    assert [(line.id, line.corrects, line.at.hour) for line in wrapped] == [("0006", "0005", 14)]
    assert record.log[-2].extra == {"weather_then": "a cloud — a big one"}
    assert record.mixes["house-rub"]["lines"][0]["amount"] == "45 g"
    assert record.forecasts[0]["id"] == "f-0001"
    assert record.state == "finished"
    assert [warning.key for warning in record.warnings] == ["unused-smoke_colour"]


def test_the_shoulder_of_schema_1():
    record = Cookbook.open(BOOKS / "v1").cook("shoulder").load()
    (piece,) = record.cook.pieces
    assert (piece.moves[0].to, piece.moves[0].at) == ("Q", "04:30")
    assert record.cook.pits[0].schedule == [("0 min", "225 F"), ("6 h", "250 F")]
    assert not record.cook.teaches
    assert [
        (one.pit or one.piece, one.place, len(one.at), len(one.gaps)) for one in record.readings
    ] == [
        ("P", "", 49, 1),
        ("A", "core", 48, 2),
    ]


if __name__ == "__main__":
    for name in SUMS:
        print(f'    "{name}": "{_sum(name)}",')  # noqa: T201 - for a person to copy
