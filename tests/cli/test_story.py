"""A cook's whole way through the command line, in a folder of its own."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from stallwise.cli.main import main

RIBS = "2026-05-16-ribs"


def run(*words: str, status: int = 0) -> None:
    assert main(list(words)) == status


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict:
    capsys.readouterr()
    run(*words, "--json")
    return json.loads(capsys.readouterr().out)


def test_plan_forecast_sheet(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "forecast", RIBS)
    (piece,) = found["pieces"]
    tender = piece["stages"]["tender"]
    assert set(tender["elapsed_h"]) >= {"p10", "p50", "p90", "reached"}
    assert tender["clock"]["p50"].endswith("+00:00")
    assert {"core_c", "loss_fraction", "serve_at", "odds_in_time", "finish"} <= set(piece)
    assert {"cook", "made_at", "as_of", "seed", "members", "model_version"} <= set(found)
    hotter = answer(capsys, "forecast", RIBS, "--set", "pit_start=275 F")
    assert hotter["pieces"][0]["stages"]["tender"]["elapsed_h"]["p50"] < tender["elapsed_h"]["p50"]
    sheet = answer(capsys, "sheet", RIBS)
    assert {
        "id",
        "what",
        "piece",
        "pit",
        "at",
        "earliest",
        "latest",
        "until_sign",
        "done_at",
    } <= set(sheet["steps"][0])
    assert sheet["odds"] >= 0.9
    assert answer(capsys, "cooks")["cooks"][0]["state"] == "planned"
    run("sheet", RIBS, "--print", "sheet.html", "--ics", "sheet.ics")
    assert "@page" in Path("sheet.html").read_text(encoding="utf-8")
    assert "BEGIN:VEVENT" in Path("sheet.ics").read_text(encoding="utf-8")


def test_what_would_change_it(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "forecast", RIBS, "--what-if")
    assert "what_if" not in answer(capsys, "forecast", RIBS)
    levers = {lever["key"]: lever for lever in found["what_if"]}
    assert {"piece", "words", "changes", "shift_h", "odds_in_time", "source"} <= set(
        levers["pit.hotter"]
    )
    assert levers["pit.hotter"]["shift_h"]["p50"] < 0 < levers["pit.cooler"]["shift_h"]["p50"]
    # What it offers as a setting can be set.
    name, value = next(iter(levers["mass.lighter"]["changes"].items()))
    lighter = answer(capsys, "forecast", RIBS, "--set", f"{name}={value}")
    assert lighter["pieces"][0]["mass_kg"] < found["pieces"][0]["mass_kg"]
    capsys.readouterr()
    run("forecast", RIBS, "--what-if")
    said = capsys.readouterr().out
    assert "What would change it" in said
    assert "pit 20 °F hotter" in said


def test_a_log_line_that_changes_the_plan_keeps_a_forecast_without_holding_the_cook_up(
    book: Path,
) -> None:
    kept = book / "cooks" / RIBS / "results" / "forecasts.jsonl"
    for what, at in (("meat on", "10:00"), ("wrapped foil", "13:05")):
        words = [sys.executable, "-P", "-m", "stallwise", "log", RIBS, what, "--at", at]
        subprocess.run(words, check=True, timeout=20)
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline:
        lines = kept.read_text(encoding="utf-8").splitlines() if kept.exists() else []
        if len(lines) >= 2:
            break
        time.sleep(0.2)
    as_of = {json.loads(line)["as_of"] for line in lines}
    assert {"2026-05-16T10:00:00+00:00", "2026-05-16T13:05:00+00:00"} == as_of


def test_a_block_typed_twice_doubles_nothing(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    block = book / "tonight.txt"
    block.write_text(
        "1000 meat on\n+2:10 spritz\nabout 1pm spritz\n1310 wrapped foil\n"
        "1420 bend not yet\n1450 bend tender\n1520 served\n",
        encoding="utf-8",
    )
    run("log", RIBS, "--lines", str(block))
    assert not (book / "cooks" / RIBS / "log.jsonl").exists()
    run("log", RIBS, "--lines", str(block), "--accept")
    once = (book / "cooks" / RIBS / "log.jsonl").read_bytes()
    run("log", RIBS, "--lines", str(block), "--accept")
    assert (book / "cooks" / RIBS / "log.jsonl").read_bytes() == once
    assert answer(capsys, "cooks")["cooks"][0]["state"] == "finished"
    block.write_text("1530 sploosh\n", encoding="utf-8")
    run("log", RIBS, "--lines", str(block), "--accept", status=2)


def test_next_time_is_the_first_thing_when_that_cut_comes_back(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cook = book / "cooks" / RIBS / "cook.toml"
    cook.write_text('next_time = "foil 20 min later"\n' + cook.read_text(encoding="utf-8"), "utf-8")
    capsys.readouterr()
    run("new", "--cut", "pork-spare-ribs-trimmed", "--title", "Again", "--on", "2026-06-01")
    assert "foil 20 min later" in capsys.readouterr().out
    made = tomllib.loads((book / "cooks/2026-06-01-again/cook.toml").read_text(encoding="utf-8"))
    assert (made["carried"], made["pieces"][0]["mass"]) == ("foil 20 min later", "3 lb")
    run("new", "--from", str(cook), "--title", "Friend", "--on", "2026-06-02")
    assert (book / "cooks/2026-06-02-friend/cook.ipynb").is_file()


WRONG = {
    "a misspelt key": ('finsh = "bites clean"', "finish"),
    "a wrong value": ('serve = "four"', "16:00"),
    "no unit": ("mass_bought = 4", "mass_bought"),
    "negative": ('mass_bought = "-4 lb"', "-4 lb"),
}


@pytest.mark.parametrize(("line", "said"), WRONG.values(), ids=list(WRONG))
def test_a_wrong_edit_is_told_by_file_line_and_key(
    book: Path, capsys: pytest.CaptureFixture[str], line: str, said: str
) -> None:
    cook = book / "cooks" / RIBS / "cook.toml"
    before = cook.read_text(encoding="utf-8")
    cook.write_text(before + line + "\n", encoding="utf-8")
    run("forecast", RIBS, status=2)
    told = capsys.readouterr().err
    assert "cook.toml, line" in told
    assert line.split(" =", maxsplit=1)[0] in told
    assert said in told or "key" in told
    assert cook.read_text(encoding="utf-8") == before + line + "\n"


def test_a_key_that_is_none_of_ours_is_kept_and_said(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cook = book / "cooks" / RIBS / "cook.toml"
    with cook.open("a", encoding="utf-8") as file:
        file.write('weight = "3 lb"\nx_knife = "the long one"\n')
    run("forecast", RIBS)
    told = capsys.readouterr().err
    assert "weight is not a key of ours" in told
    assert "x_knife" not in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["forecast", RIBS, "--set", "mass=-3 lb"], "-3 lb"),
        (["forecast", RIBS, "--set", "thickness=60 cm"], "thick"),
        (["forecast", RIBS, "--set", "serve=2020-01-01 12:00"], "past"),
        (["forecast", RIBS, "--set", "on=12:00", "--set", "wrap_from=6:00", "--set", "wrap_to=7:00"], "after it is served"),
        (["forecast", RIBS, "--set", "pit_start=250"], "250 F"),
        (["forecast", RIBS, "--as-of", "half past"], "14:30"),
        (["forecast", RIBS, "--as-of", "+1:00"], "not logged"),
        (["rerun", RIBS, "--set", "pit_strat=250 F"], "pit_start"),
        (["log", RIBS, "sploosh"], "sploosh"),
        (["new", "--cut", "pork-spare-rib"], "pork-spare-ribs-trimmed"),
        (["publish", "no-such-cook"], "no-such-cook"),
        (["explain", "no such number at all"], "no such number"),
        (["mix", "plain-rub", "--for", "4"], "4 kg"),
    ],
)  # fmt: skip
def test_a_wrong_request_changes_nothing(
    book: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    before = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    run(*words, status=2)
    told = capsys.readouterr().err
    assert said in told
    assert "Traceback" not in told
    after = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    assert after == before


def test_readings_without_a_time_column_are_refused_whole(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    probe = book / "probe.csv"
    probe.write_text("meat,pit\n40,225\n41,226\n", encoding="utf-8")
    run("readings", RIBS, str(probe), "--unit", "F", status=2)
    assert "time" in capsys.readouterr().err
    assert not list((book / "cooks" / RIBS / "readings").iterdir())


def test_a_full_disk_loses_nothing_and_says_so(
    book: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run("log", RIBS, "fire lit", "--at", "09:00")
    before = (book / "cooks" / RIBS / "log.jsonl").read_bytes()

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    run("log", RIBS, "spritz", "--at", "12:00", status=1)
    run("forecast", RIBS, "--keep", status=1)
    monkeypatch.undo()
    assert "the disk is full" in capsys.readouterr().err
    assert (book / "cooks" / RIBS / "log.jsonl").read_bytes() == before


def test_a_shell_sees_the_same() -> None:
    done = subprocess.run(
        [sys.executable, "-P", "-m", "stallwise", "forecast"], capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("stallwise: ")
