"""`stallwise tally` on a cookbook's files."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

HOURS = {"p05": 9.0, "p10": 10.0, "p25": 11.5, "p50": 13.0, "p75": 14.5, "p90": 16.5, "p95": 18.0}


@pytest.fixture
def book(tmp_path: Path) -> Cookbook:
    made = Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC")
    bring_sample(made)
    for cook in made.cooks():  # the sample keeps forecasts; here each test keeps its own
        (cook.path / "results" / "forecasts.jsonl").unlink()
    return made


def keep(book: Cookbook, *, as_of: str = "2026-09-26T06:00:00Z") -> Path:
    folder = book.cook("2026-09-26-harvest-supper")
    stages = {"tender": {**HOURS, "reached": 1.0}}
    pieces = {"A": {"cut": "pork-shoulder-bone-in", "wrap": "foil", "stages": stages}}
    folder.keep_forecast({"made_at": as_of, "as_of": as_of, "pieces": pieces})
    return folder.path / "results" / "forecasts.jsonl"


def tally(book: Cookbook, *words: str) -> None:
    assert main(["tally", *words, "--cookbook", str(book.path)]) == 0


def test_a_book_without_a_kept_forecast_says_what_to_do(book, capsys) -> None:
    tally(book)
    assert "stallwise forecast COOK --keep" in capsys.readouterr().out
    tally(book, "--json")
    assert json.loads(capsys.readouterr().out)["forecasts"] == 0


def test_an_empty_book_is_no_error(tmp_path, capsys) -> None:
    tally(Cookbook.start(tmp_path / "none", title="b", time_zone="Etc/UTC"))
    assert "No forecast is kept" in capsys.readouterr().out


def test_one_sentence_first_and_the_rest_when_asked(book, capsys) -> None:
    keep(book)
    tally(book)
    said = capsys.readouterr().out
    assert said.startswith("The last piece was inside the window; it was 6 h 30 wide;")
    assert "1 cook says little" in said
    assert "Against" not in said
    tally(book, "--all")
    said = capsys.readouterr().out
    assert "Against hours per pound, the same pieces" in said
    assert "13 h to 13 h 28" in said


def test_hindcasts_are_made_for_the_tally_and_kept_nowhere(book, capsys) -> None:
    kept = keep(book).read_bytes()
    tally(book, "--hindcast", "--json")
    found = json.loads(capsys.readouterr().out)
    assert found["forecasts"] == 1
    assert (found["hindcasts"]["forecasts"], found["hindcasts"]["cooks"]) == (10, 6)
    (only,) = book.path.glob("cooks/*/results/*")
    assert only.read_bytes() == kept


def test_a_torn_last_line_is_told_and_the_rest_counts(book, capsys) -> None:
    with keep(book).open("a", encoding="utf-8") as file:
        file.write('{"schema": 1, "id": "x", "made_at": "20')
    tally(book, "--json")
    out = capsys.readouterr()
    assert json.loads(out.out)["forecasts"] == 1
    assert "harvest-supper" in out.err
    assert "cannot be read" in out.err


def test_a_cook_that_cannot_be_read_hides_no_other(book, capsys) -> None:
    keep(book)
    spring = book.cook("2026-05-16-spring-ribs")
    spring.keep_forecast({"made_at": "x", "as_of": "x", "pieces": {}})
    (spring.path / "cook.toml").write_text("schema = 1\ntitle = 3\n", encoding="utf-8")
    tally(book, "--json")
    out = capsys.readouterr()
    assert json.loads(out.out)["forecasts"] == 1
    assert "2026-05-16-spring-ribs cannot be read" in out.err


ENTRY = '"cook": "a", "date": "2026-01-01", "knowledge": "k", "pits": {}, "cuts": {}'


SPOILT = (
    "{",
    "[1]",
    '{"schema": 1, "cooks": [{"cook": "a"}, 3]}',
    f'{{"schema": 1, "cooks": [{{{ENTRY}, "missed": {{"half_widths": 3}}}}]}}',
)


def test_a_spoilt_learned_file_is_told_and_made_anew(book, capsys) -> None:
    keep(book)
    ribs = book.cook("2026-05-16-spring-ribs").name
    for cook in book.cooks():  # two cooks teach as six do, in a third of the time
        if cook.name not in {ribs, "2026-09-26-harvest-supper"}:
            shutil.rmtree(cook.path)
    where = ["--cookbook", str(book.path)]
    assert main(["learn", *where]) == 0
    good = (book.path / "learned.json").read_bytes()
    capsys.readouterr()
    tally(book)
    told = capsys.readouterr().out
    for spoilt in SPOILT:
        (book.path / "learned.json").write_text(spoilt, encoding="utf-8")
        tally(book)
        assert capsys.readouterr().out == told, spoilt
        assert main(["forecast", ribs, *where]) == 2, spoilt
        assert "stallwise learn" in capsys.readouterr().err
        assert main(["learn", *where]) == 0, spoilt
        assert (book.path / "learned.json").read_bytes() == good, spoilt
        capsys.readouterr()
