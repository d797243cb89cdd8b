"""`readings` as a cook meets it: shown, asked, brought in, listed, left out and brought back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli.main import main

COOK = "2026-05-16-ribs"
LOG = "time,pit,probe 2\n" + "".join(
    f"{6 + n // 60:02d}:{n % 60:02d},{225 + n % 7},{190 if n == 20 else 45.5 + n / 2}\n"
    for n in range(90)
)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    assert main(["init", str(tmp_path / "book"), "--units", "us", "--timezone", "Etc/GMT+5"]) == 0
    monkeypatch.chdir(tmp_path / "book")
    new = ("--title", "Ribs", "--on", "2026-05-16", "--set", "on=06:00", "--set", "pit_start=225 F")
    assert main(["new", "--cut", "pork-spare-ribs-trimmed", *new]) == 0
    (tmp_path / "book" / "probe.csv").write_text(LOG, encoding="utf-8")
    return tmp_path / "book"


@pytest.fixture
def run(capsys):
    def words(*given: str, status: int = 0) -> tuple[str, str]:
        capsys.readouterr()
        assert main(["readings", COOK, *given]) == status
        return capsys.readouterr()

    return words


def folder(book: Path) -> list[str]:
    return sorted(path.name for path in (book / "cooks" / COOK / "readings").iterdir())


SAID = ("probe.csv", "--unit", "F", "--column", "probe 2=A")


def test_from_a_dry_run_to_readings_that_count(book, run):
    out, err = run("probe.csv", "--dry-run")
    assert "unit asked" in out
    assert "--unit F if so" in err
    assert "'probe 2=A'" in err
    assert folder(book) == []
    run("probe.csv", status=2)
    assert folder(book) == []
    out, _ = run(*SAID, "--dry-run")
    assert "1 left out: a leap and back" in out
    assert folder(book) == []
    run(*SAID)
    assert folder(book) == ["probe.csv", "probe.json", "probe.raw.csv"]
    out, _ = run()
    assert "  1  1 left out: a leap and back" in out
    assert "06:20" in out
    run("--restore", "1")
    assert "left out" not in run().out
    run("--leave-out", "probe 2", "--from", "07:00", "--to", "07:10")
    assert "11 left out: left out by hand (07:00 to 07:10)" in run().out
    assert json.loads(run("--json").out)["left_out"][0]["count"] == 11
    assert run("--restore", "all").out == "11 readings count again.\n"


def test_the_answer_for_json(book, run):
    plain = json.loads(run("probe.csv", "--dry-run", "--json").out)
    assert set(plain) >= {"channels", "zone", "questions"}
    assert len(plain["questions"]) == 2
    pit, probe = plain["channels"]
    assert set(pit) >= {"name", "unit", "count", "first", "last", "gaps", "dropped"}
    assert (pit["unit"], pit["unit_guess"], pit["first"]) == (
        None,
        "F",
        "2026-05-16T06:00:00-05:00",
    )
    assert (probe["name"], probe["count"]) == ("probe 2", 90)


def test_the_pit_s_setting_in_the_plan_is_asked_about(book, run):
    (book / "wrong.csv").write_text("time,pit (F)\n06:00,107\n06:05,108\n06:10,109\n")
    _, err = run("wrong.csv", status=2)
    assert "set to 107 °C (225 °F)" in err
    assert "--column 'pit (F)=P C'" in err
    run("wrong.csv", "--column", "pit=pit C")


def test_other_readings_of_the_same_time(book, run):
    run(*SAID)
    other = LOG.replace(":00,", ":00,9").replace("06:01", "06:01:30")
    (book / "other.csv").write_text(other, encoding="utf-8")
    _, err = run("other.csv", *SAID[1:], status=2)
    assert "--overlap replace" in err
    run("other.csv", *SAID[1:], "--overlap", "merge")
    assert "other.csv" in folder(book)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["probe.csv", "--restore", "1"], "a file, something to restore"),
        (["--from", "07:00"], "a file, something to restore"),
        (["--leave-out", "pit"], "--from TIME --to TIME"),
        (["--restore", "x"], "a number of the list, or all"),
        (["--restore", "3"], "no stretch is called '3'"),
        (["probe.csv", "--column", "pit"], "has no '='"),
        (["probe.csv", "--every", "never"], "--every"),
        (["probe.csv", "--start", "9:45"], "09:45 or 21:45"),
        (["probe.csv", "--day-first", "--month-first"], "not allowed with"),
        (["probe.csv", "--zone", "EST"], "time zone"),
        (["nothing.csv"], "no file nothing.csv"),
    ],
)
def test_what_cannot_be_is_refused(book, run, words, said):
    assert said in run(*words, status=2).err


def test_no_readings_yet(book, run):
    assert run().out == "There are no readings yet.\n"
