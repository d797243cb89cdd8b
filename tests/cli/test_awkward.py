"""Awkward input as a cook meets it: what is no log, what was there already, units that disagree.

Each is refused or asked about in words, and nothing is half written; the forecast goes on as it was.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli import notes
from stallwise.cli.main import main

COOK = "2026-05-16-ribs"
AS_OF = ("--as-of", "2026-05-16 09:00")
PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4
NO_LOGS = {
    "letter.txt": b"Dear cook,\nthe ribs were lovely.\n",
    "empty.csv": b"",
    "header.csv": b"time,meat A\n",
    "noise.csv": bytes(range(256)) * 16,
    "export.csv": b'{"readings": [1, 2, 3]}',
    "photo.csv": PICTURE,
    "sheet.csv": b"PK\x03\x04" + bytes(64),
    "shopping.csv": b"name,price\napples,3\npears,4\n",
    "page.csv": b"<!doctype html><html><body>not here</body></html>",
}


def log(first: int, count: int, core, pit=lambda n: 250 + n % 5) -> str:
    """So many minutes from a minute of the day on."""
    rows = (
        f"2026-05-16 {n // 60:02d}:{n % 60:02d},{core(n - first):.1f},{pit(n)}\n"
        for n in range(first, first + count)
    )
    return "time,meat A,pit P\n" + "".join(rows)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    assert main(["init", str(tmp_path / "book"), "--units", "us", "--timezone", "Etc/UTC"]) == 0
    monkeypatch.setattr(notes, "_keep_forecast", lambda *_: None)
    monkeypatch.chdir(tmp_path / "book")
    new = ("--title", "Ribs", "--on", "2026-05-16", "--set", "on=06:00", "--set", "pit_start=250 F")
    more = ("--set", "serve=11:30", "--set", "odds=usual")
    assert main(["new", "--cut", "pork-spare-ribs-trimmed", *new, *more]) == 0
    assert main(["log", COOK, "meat on", "--at", "06:00"]) == 0
    return tmp_path / "book"


@pytest.fixture
def run(capsys):
    def words(*given: str, status: int = 0) -> tuple[str, str]:
        capsys.readouterr()
        assert main(list(given)) == status, given
        return capsys.readouterr()

    return words


def files(book: Path) -> dict[str, bytes]:
    """All that lies in the cook's folder."""
    folder = book / "cooks" / COOK
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def put(book: Path, name: str, content: str | bytes) -> str:
    (book / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return name


@pytest.mark.parametrize("name", NO_LOGS)
def test_a_file_that_is_no_log_is_named_and_writes_nothing(book, run, name) -> None:
    put(book, name, NO_LOGS[name])
    before = files(book)
    for dry in ((), ("--dry-run",)):
        _, err = run("readings", COOK, name, *dry, status=2)
        assert err.startswith(f"stallwise: {name}: ")
        assert "Allowed: " in err
    assert files(book) == before


def test_overlapping_readings_are_offered_three_ways_and_each_gives_one_trace(book, run) -> None:
    put(book, "one.csv", log(360, 120, lambda n: 45 + n / 2))
    put(book, "two.csv", log(420, 120, lambda n: 90 + n / 3, lambda _: 255))
    run("readings", COOK, "one.csv", "--unit", "F")
    before = files(book)
    _, err = run("readings", COOK, "two.csv", "--unit", "F", status=2)
    assert all(f"--overlap {way}" in err for way in ("skip", "merge", "replace"))
    assert files(book) == before
    for way in ("skip", "merge", "replace"):
        run("readings", COOK, "two.csv", "--unit", "F", "--overlap", way, "--dry-run")
        assert files(book) == before
    run("readings", COOK, "two.csv", "--unit", "F", "--overlap", "replace")
    # What was replaced stays in its file, and the raw files are as they came.
    raw = (book / "cooks" / COOK / "readings" / "two.raw.csv").read_bytes()
    assert raw == (book / "two.csv").read_bytes()
    assert "60 replaced by two (07:00 to 07:59)" in run("readings", COOK).out
    shown = json.loads(run("forecast", COOK, *AS_OF, "--json").out)
    traces = shown["readings"]
    assert all(
        times == sorted(set(times)) for times in (one["elapsed_h"] for one in traces.values())
    )


def test_a_unit_that_the_pit_s_setting_contradicts_is_asked_whichever_way_it_is_wrong(
    book, run
) -> None:
    cold = put(book, "cold.csv", log(360, 60, lambda n: 8 + n / 4, lambda n: 121 + n % 3))
    before = files(book)
    _, err = run("readings", COOK, cold, "--unit", "F", status=2)
    assert "the pit was set to 121 °C (250 °F)" in err
    hot = put(book, "hot.csv", log(360, 60, lambda n: 45 + n / 2))
    _, err = run("readings", COOK, hot, "--unit", "C", status=2)
    assert "pit P" in err
    assert files(book) == before


def test_after_all_that_was_refused_the_forecast_is_what_it_was(book, run) -> None:
    was = run("forecast", COOK, *AS_OF).out
    put(book, "letter.txt", NO_LOGS["letter.txt"])
    run("readings", COOK, "letter.txt", status=2)
    run("log", COOK, "wrapped", "--at", "25:99", status=2)
    run("forecast", COOK, "--set", "mass=heavy", status=2)
    run("forecast", COOK, "--as-of", "teatime", status=2)
    assert run("forecast", COOK, *AS_OF).out == was


def test_a_cook_at_risk_is_told_on_the_terminal_and_for_json(book, run) -> None:
    run("log", COOK, "pit to 200 F", "--at", "06:30")
    out, err = run("forecast", COOK, "--set", "serve=10:30", *AS_OF)
    assert "is at risk: ready in time" in err
    assert "What can still be done now" in out
    assert "wrap now in foil" in out
    plain = json.loads(run("forecast", COOK, "--set", "serve=10:30", *AS_OF, "--json").out)
    (piece,) = plain["pieces"]
    assert {one["key"].partition(".")[0] for one in plain["remedies"]} == {"now"}
    assert all(one["own"]["piece"] == piece["piece"] for one in plain["remedies"])
    assert (plain["widening"], plain["widening_cooks"]) == (1.0, 0)
    calm = json.loads(run("forecast", COOK, "--set", "serve=23:30", *AS_OF, "--json").out)
    assert calm["remedies"] == []
