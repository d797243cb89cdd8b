"""The command `log`: list, take back, doubts and words."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from stallwise.cli import notes
from stallwise.cli.main import main

RIBS = "2026-05-16-ribs"


@pytest.fixture
def log(book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    monkeypatch.setattr(notes, "_keep_forecast", lambda *_: None)

    def run(*words: str, status: int = 0) -> tuple[str, str]:
        capsys.readouterr()
        assert main(["log", *words]) == status
        found = capsys.readouterr()
        return found.out, found.err

    return run


def _file() -> Path:
    return Path("cooks") / RIBS / "log.jsonl"


def test_a_line_is_taken_back_and_logged_again(log) -> None:
    assert "Nothing is logged" in log(RIBS)[0]
    log(RIBS, "meat on", "--at", "10:05")
    log(RIBS, "spritz", "--at", "12:00")
    before = _file().read_bytes()
    assert log(RIBS)[0].splitlines() == [
        "  1  10:05 all pieces: meat on", "  2  12:00 all pieces: spritzed",
    ]  # fmt: skip
    assert log(RIBS, "--take-back", "1")[0] == "taken back: 10:05 all pieces: meat on\n"
    assert _file().read_bytes().startswith(before)
    after = _file().read_bytes()
    assert "was taken back already" in log(RIBS, "--take-back", "1")[0]
    assert _file().read_bytes() == after
    assert "(taken back)" in log(RIBS)[0]
    out, err = log(RIBS, "meat on", "--at", "10:05")
    assert "there already" not in out
    assert "taken back once" in err
    assert "was there already" in log(RIBS, "meat on", "--at", "10:05")[0]
    rows = json.loads(log(RIBS, "--json")[0])["lines"]
    assert [(row["number"], row["what"], row["state"]) for row in rows] == [
        (1, "meat_on", "taken back"), (3, "meat_on", "holds"), (2, "spritz", "holds"),
    ]  # fmt: skip
    found = json.loads(log(RIBS, "--take-back", rows[2]["id"], "--json")[0])
    assert found["taken_back"] == [rows[2]["id"]]
    assert "from 1 to 3" in log(RIBS, "--take-back", "9", status=2)[1]


def test_meat_that_is_on_names_the_line_to_take_back(log) -> None:
    log(RIBS, "fire lit", "--at", "8:00")
    log(RIBS, "meat on", "--at", "10:05")
    assert f"log {RIBS} --take-back 2" in log(RIBS, "meat on", "--at", "10:20", status=2)[1]


def test_a_doubt_is_said_once_and_the_line_is_written(log) -> None:
    log(RIBS, "meat on", "--at", "10:05")
    out, err = log(RIBS, "spritz", "--at", "2026-05-16 09:00")
    assert out == "09:00 all pieces: spritzed\n"
    assert err == "note: spritzed before meat on at 10:05\n"
    found = json.loads(log(RIBS, "wraped foil", "--at", "20:00", "--json")[0])
    assert found["written"]
    assert "read as 'wrapped foil'" in found["understood"]
    assert "after the serving time" in found["notes"][0]
    assert "2 ways" in log(RIBS, "wrapped foil", "--at", "8:00", status=2)[1]


def test_each_question_stands_once(log, tmp_path: Path) -> None:
    block = tmp_path / "b.txt"
    block.write_text("1005 meat on\n1100 sploosh\n2026-05-16 09:30 spritz\n", encoding="utf-8")
    out, err = log(RIBS, "--lines", str(block), status=2)
    assert (out + err).count("'sploosh' is not understood") == 1
    assert "line 2 is asked" in err
    assert "note: spritzed before meat on" in out
    found = json.loads(log(RIBS, "--lines", str(block), "--json", status=2)[0])
    assert found["notes"] == ["line 3: spritzed before meat on at 10:05"]


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n\x00\x00", b"PK\x03\x04abc\n", b"\xff\xfe\x00"]
)
def test_a_file_that_is_no_text_is_refused_in_one_message(log, tmp_path: Path, data: bytes) -> None:
    (tmp_path / "b.txt").write_bytes(data)
    out, err = log(RIBS, "--lines", str(tmp_path / "b.txt"), status=2)
    assert out == ""
    assert err.count("\n") == 1
    assert "not a text file" in err


def test_the_words_are_listed(log) -> None:
    out, _ = log("--words")
    assert "wrapped foil" in out
    assert "pit 250" in out
    rows = json.loads(log("--words", "--json")[0])["words"]
    assert {"wrapped", "note"} <= {row["key"] for row in rows}
    assert "log --words" in log("--help")[0]


@pytest.mark.parametrize(
    "words",
    [[], [RIBS, "--at", "13:10"], [RIBS, "spritz", "--take-back", "1"], [RIBS, "--take-back", ""]],
)
def test_half_a_request_is_refused(log, words: list[str]) -> None:
    log(*words, status=2)


def test_listing_is_quick(log) -> None:
    log(RIBS, "meat on", "--at", "10:05")
    start = time.perf_counter()
    log(RIBS)
    assert time.perf_counter() - start < 0.3
