"""`readings` as a cook meets it: shown, asked, brought in, listed, left out and brought back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli import notes
from stallwise.cli.main import main
from tests.models import traces as made

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


@pytest.fixture
def off(book, monkeypatch):
    """A shoulder's log by a clock that is an hour ahead of what was written down."""
    monkeypatch.setattr(notes, "_keep_forecast", lambda *_: None)
    time_s = made.times(6.0, 300.0)
    core_c = made.curve(time_s, [(0, 4), (0.5, 6), (3.5, 62), (6.0, 68)])
    rows = [
        f"2026-05-16 {7 + int(s // 3600):02d}:{int(s % 3600 // 60):02d},{c:.1f}"
        for s, c in zip(time_s, core_c, strict=True)
    ]
    (book / "slow.csv").write_text("time,core A (C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    for at, what in (("06:00", "meat on"), ("08:00", "core 32 C"), ("09:00", "core 52 C")):
        assert main(["log", COOK, what, "--piece", "A", "--at", at]) == 0


def test_a_clock_an_hour_off_is_asked_shown_dry_and_moved_once_said(book, off, run):
    _, err = run("slow.csv", "--dry-run")
    assert "--shift '1 h earlier'" in err
    run("slow.csv", status=2)
    assert folder(book) == []
    out, err = run("slow.csv", "--shift", "1 h earlier")
    assert "All times were moved 1 h earlier, as was said." in out
    assert "question" not in err
    assert "2026-05-16 06:00 to" in run()[0]
    assert json.loads((book / "cooks" / COOK / "readings" / "slow.json").read_text())[
        "shift_s"
    ] == (-3600.0)


def test_a_wrong_clock_that_is_in_already_is_replaced_whole(book, off, run):
    run("slow.csv", "--shift", "0")
    assert "clocks" not in run()[1]
    _, err = run("slow.csv", "--shift=-1 h", status=2)
    assert "--overlap replace" in err
    run("slow.csv", "--shift=-1 h", "--overlap", "replace")
    listed = json.loads(run("--json")[0])["channels"]
    assert [(one["file"].rpartition("/")[2], one["count"]) for one in listed] == [
        ("slow-2.csv", 72),
        ("slow.csv", 0),
    ]


def test_a_clock_said_to_be_right_afterwards_loses_nothing(off, run):
    run("slow.csv", "--start", "2026-05-16 07:00")
    run("slow.csv", "--shift", "0", "--overlap", "replace")
    listed = json.loads(run("--json")[0])["channels"]
    assert [one["count"] for one in listed] == [72, 0]


@pytest.mark.parametrize("shift", ["1 h", "earlier", "+1 h earlier", "1 h sooner"])
def test_a_shift_without_a_way_is_refused(book, run, shift):
    _, err = run("probe.csv", f"--shift={shift}", status=2)
    assert "'1 h earlier', '35 min later', or 0" in err


@pytest.fixture
def watch(book, monkeypatch):
    """Looks at a growing file, with what happens to it between them; then Ctrl-C."""
    from stallwise.cli import follow

    def between(*happens):
        steps = list(happens)

        def sleep(_seconds):
            if not steps:
                raise KeyboardInterrupt
            steps.pop(0)()

        monkeypatch.setattr(follow, "sleep", sleep)

    return between


def test_a_growing_file_is_followed_with_the_forecast(book, run, watch):
    live = book / "live.csv"
    lines = LOG.splitlines(keepends=True)
    live.write_text("".join(lines[:30]))
    _, err = run("live.csv", "--follow", status=2)
    assert "--unit F" in err
    assert folder(book) == []

    watch(
        lambda: live.write_text("".join(lines[:40]) + "06:39,2"),
        live.unlink,
        lambda: live.write_text("".join(lines)),
    )
    out, err = run("live.csv", *SAID[1:], "--follow")
    assert "live.csv: 57 new readings." in out
    assert "not there now" in out
    assert "four times in five" in out
    assert err == ""
    assert json.loads(run("--json").out)["channels"][0]["count"] == 90
    # Started again it needs no answers and adds nothing; a JSON answer is a line a look.
    watch()
    assert "new" not in run("live.csv", "--follow").out
    watch(lambda: live.write_text("".join(lines) + "07:30,226,91\n"))
    (told,) = [json.loads(line) for line in run("live.csv", "--follow", "--json").out.splitlines()]
    assert (told["state"], told["added"]) == ("new", 2)


@pytest.mark.parametrize(
    "words", [("--follow",), ("probe.csv", "--follow", "--dry-run"), ("probe.csv", "--look-every", "5 s"),
              ("probe.csv", "--follow", "--look-every", "0.1 s")]
)  # fmt: skip
def test_following_needs_a_file_and_a_span(book, run, words):
    assert "follow" in run(*words, status=2).err or "look-every" in run(*words, status=2).err
