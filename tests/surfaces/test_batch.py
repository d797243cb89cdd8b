"""A batch over many cooks: chosen, checked, kept, one row each; a fault of one stops no other."""

import datetime as dt
import errno
import importlib.util
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record import disk
from stallwise.record.cookfolder import CookFolder
from stallwise.surfaces.rerun import rerun, running
from stallwise.surfaces.rerun.checking import output_name
from stallwise.surfaces.rerun.choosing import choose_cooks, span_of
from stallwise.surfaces.rerun.keys import NUMBERS, key_of
from stallwise.surfaces.templates import copy_template

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
HOTTER = {"pit_start": "250 F", "members": "20"}
D = dt.date


@pytest.fixture
def book(tmp_path):
    book = cooks.start_book(tmp_path)
    cooks.shoulder(book)
    cooks.ribs(book)
    return book


def states(report):
    return {row.cook.partition("-")[2][6:]: row.state for row in report.rows}


def numbers(book, **settings):
    return rerun(book, numbers=True, **{"made_at": NOW, "changes": HOTTER, **settings})


def named(report):
    return [row.cook for row in report.rows]


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2027", D(2027, 1, 1), D(2027, 12, 31)),
        ("2027-02", D(2027, 2, 1), D(2027, 2, 28)),
        ("2027-12", D(2027, 12, 1), D(2027, 12, 31)),
        ("2027-05-16", D(2027, 5, 16), D(2027, 5, 16)),
        ("2026..2027-02", D(2026, 1, 1), D(2027, 2, 28)),
        ("2027-05..", D(2027, 5, 1), D.max),
        ("..2027", D.min, D(2027, 12, 31)),
    ],
)
def test_spans_of_dates(text, first, last):
    assert span_of(text) == (first, last)


@pytest.mark.parametrize("text", ["27", "2027-13", "2027-02-30", "2028..2027", "..x", "0000"])
def test_what_is_no_date_is_refused(text):
    with pytest.raises(InputError):
        span_of(text)


def test_cooks_are_chosen_by_what_they_are(book):
    def chosen(*where):
        return [one.folder.name for one in choose_cooks(book, where=where)]

    shoulder, ribs = "2027-09-25-harvest-shoulder", "2027-10-02-ribs"
    assert chosen() == [ribs, shoulder]
    assert chosen("date=..2027-09") == [shoulder]
    assert chosen("date=2027-10-02") == [ribs]
    assert chosen("cut=pork-spare-ribs-trimmed", "date=2027") == [ribs]
    assert chosen("cut=pork-spare-ribs-trimmed", "date=2026") == []
    for where in ("cut=pork-spare-rib", "tag=party", "colour=red", "cut=", "cut"):
        with pytest.raises(InputError):
            chosen(where)


def test_a_second_run_does_only_what_is_missing_or_changed(book, monkeypatch):
    assert set(states(numbers(book)).values()) == {"done"}
    first = numbers(book)
    assert set(states(first).values()) == {"kept"}
    assert first.changed  # what moved is told again
    ribs = book.cook("ribs")
    (ribs.path / "results" / f"{output_name(HOTTER)}.json").unlink()
    assert states(numbers(book)) == {"ribs": "done", "harvest-shoulder": "kept"}
    ribs.save({"pieces.A.mass": "4 lb"})
    assert states(numbers(book)) == {"ribs": "done", "harvest-shoulder": "kept"}
    assert set(states(numbers(book, again=True)).values()) == {"done"}
    assert set(states(numbers(book, changes={**HOTTER, "seed": "2"})).values()) == {"done"}
    monkeypatch.setattr("stallwise.surfaces.rerun.keys.program", lambda: "another version")
    assert set(states(numbers(book)).values()) == {"done"}


def test_a_plan_is_asked_anew_each_day_and_an_old_cook_never(book):
    from stallwise.record.log import LogLine

    folder = book.cook("shoulder")

    def key(made_at):
        return key_of(folder.load(), {}, way=NUMBERS, made_at=made_at)

    assert key(NOW) == key(NOW + dt.timedelta(hours=3))
    assert key(NOW) != key(NOW + dt.timedelta(days=1))
    at = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
    folder.append([LogLine("1", at, "meat_on", at, piece="A")])
    later = at + dt.timedelta(hours=3)
    assert key(later) != key(later + dt.timedelta(minutes=5))
    folder.append([LogLine("2", at + dt.timedelta(hours=9), "off", at, piece="A")])
    later = at + dt.timedelta(days=3)
    assert key(later) == key(later + dt.timedelta(days=400))


def test_a_key_is_the_same_in_another_process(book):
    ask = (
        "import sys, datetime as dt; from pathlib import Path\n"
        "from stallwise.record.folder import Cookbook\n"
        "from stallwise.surfaces.rerun.keys import key_of\n"
        "record = Cookbook.open(Path(sys.argv[1])).cook('ribs').load()\n"
        "at = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)\n"
        "print(key_of(record, {'wrap': 'foil'}, way='numbers', made_at=at))"
    )
    said = subprocess.run(
        [sys.executable, "-c", ask, str(book.path)], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONHASHSEED": "7"},
    ).stdout.strip()  # fmt: skip
    assert said == key_of(book.cook("ribs").load(), {"wrap": "foil"}, way=NUMBERS, made_at=NOW)


def test_a_cook_that_cannot_be_read_or_cannot_take_it_is_one_row(book):
    third = book.new_cook("newer", D(2027, 11, 6), cooks.SHOULDER)
    path = third.path / "cook.toml"
    path.write_text(path.read_text().replace("schema = 1", "schema = 99"))
    report = numbers(book, changes={**HOTTER, "mass__B": "4 lb"})
    assert states(report) == {"newer": "refused", "ribs": "done", "harvest-shoulder": "refused"}
    assert report.failed
    assert "schema" in report.rows[0].message
    assert "B" in report.rows[2].message
    with pytest.raises(NotFoundError):  # none of these has a piece B: the request was wrong
        numbers(book, names=["harvest-shoulder"], changes={"mass__B": "4 lb"})


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pit_start": Path("250 F")}, "PosixPath"),
        ({"thickness": "3 mm"}, "0.3 cm thick"),
        ({"mass": "900 lb"}, "weight|mass"),
        ({"finish": "al dente"}, "finish"),
    ],
)
def test_values_are_checked_in_full_before_the_first_run(book, changes, words):
    with pytest.raises(InputError, match=words):
        numbers(book, changes=changes)
    assert not list(book.path.glob("cooks/*/results/*.json"))


def test_a_full_disk_is_its_own_state_and_leaves_what_was_there(book, monkeypatch):
    numbers(book)
    before = {path: path.read_bytes() for path in book.path.glob("cooks/*/results/*")}

    def full(path, data, *, like):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))

    monkeypatch.setattr(disk, "_write", full)
    report = numbers(book, again=True)
    assert set(states(report).values()) == {"disk full"}
    assert "2 cooks" in report.text() or report.text().count("disk full") == 2
    assert {path: path.read_bytes() for path in book.path.glob("cooks/*/results/*")} == before


def test_ctrl_c_keeps_what_is_finished_and_the_next_run_does_the_rest(book, monkeypatch):
    def stop_at_second(*_, **__):
        if ran:
            raise KeyboardInterrupt
        ran.append(1)
        return answers(*_, **__)

    ran, answers = [], running.answers
    with monkeypatch.context() as patch:
        patch.setattr(running, "answers", stop_at_second)
        report = numbers(book)
    assert states(report) == {"ribs": "done", "harvest-shoulder": "stopped"}
    assert report.stopped
    assert "the same command again does the rest" in report.text()
    assert states(numbers(book)) == {"ribs": "kept", "harvest-shoulder": "done"}


@pytest.mark.audit
@pytest.mark.notebook
def test_ctrl_c_at_the_keyboard_leaves_no_process_and_no_half_file(book, tmp_path):
    third = book.new_cook("third", D(2027, 11, 6), cooks.SHOULDER)
    place = tmp_path / "tmp"
    place.mkdir()
    command = [
        sys.executable, "-m", "stallwise", "rerun", "--set", "members=20", "--workers", "1",
        "--cookbook", str(book.path),
    ]  # fmt: skip
    env = {**os.environ, "TMPDIR": str(place)}
    running_now = subprocess.Popen(
        command, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    first = running_now.stderr.readline()
    assert first.startswith("1 of 3"), first
    time.sleep(1.0)  # into the next notebook
    os.killpg(running_now.pid, signal.SIGINT)
    out, err = running_now.communicate(timeout=30)
    assert running_now.returncode == 130
    assert "the same command again does the rest" in out + err
    assert "Traceback" not in out + err
    assert list(place.iterdir()) == []
    assert not [path for path in Path("/proc").glob("[0-9]*/cwd") if str(place) in _target(path)]
    left = {
        one.name: sorted(p.name for p in (one.path / "results").iterdir()) for one in book.cooks()
    }
    assert [Path(name).suffix for name in left[third.name]] == [".ipynb", ".json"]
    assert [name for name in left if not left[name]] == [one.name for one in book.cooks()[1:]]
    again = subprocess.run(command, env=env, capture_output=True, text=True, check=True)
    assert "3 of 3 cooks have their result, 1 of them from before" in again.stdout


def _target(link):
    try:
        return str(link.readlink())
    except OSError:
        return ""


def test_a_held_book_reads_what_all_share_once_and_says_the_same(book, monkeypatch):
    plain = [one.load() for one in book.cooks()]
    read = []
    text = CookFolder.text
    monkeypatch.setattr(CookFolder, "text", lambda self: read.append(self.name) or text(self))
    held = book.held()
    assert [one.load() for one in held.cooks()] == plain
    assert len(read) <= 3 * len(plain)  # itself twice, all once
    assert book.memo is None


def test_the_kept_notebook_is_left_alone_and_a_hand_broken_one_is_one_row(book, monkeypatch):
    from stallwise.surfaces.rerun import request
    from stallwise.surfaces.rerun.execute import Run

    for name in ("ribs", "shoulder"):
        copy_template("cook", book.cook(name).path)
    path = book.cook("ribs").path / "cook.ipynb"
    path.write_text(path.read_text()[:-200])
    jobs = {}

    def run_all(given, **_):
        jobs.update(given)
        return {name: Run("timeout", "stopped after 1 s") for name in given}

    monkeypatch.setattr(request, "run_all", run_all)
    report = rerun(book, made_at=NOW)
    assert states(report) == {"ribs": "refused", "harvest-shoulder": "timeout"}
    assert "no notebook" in report.text()
    (job,) = jobs.values()
    assert job.moment == NOW.isoformat()
    assert json.dumps(job.notebook)


def test_what_a_killed_batch_left_is_swept_and_what_another_runs_is_not(book, monkeypatch):
    from stallwise.surfaces.rerun import request
    from stallwise.surfaces.rerun.execute import Run

    results = book.cook("ribs").path / "results"
    old, other = (results / f".rerun-as-it-is.{token}.running.ipynb" for token in ("old", "other"))

    def run_all(jobs, **_):
        for path in (
            old,
            other,
            results / f".rerun-as-it-is.{jobs['2027-10-02-ribs'].run}.running.json",
        ):
            path.write_text("half")
        os.utime(old, (0, 0))
        return {name: Run("kernel lost") for name in jobs}

    monkeypatch.setattr(request, "run_all", run_all)
    rerun(book, made_at=NOW)
    assert [path.name for path in results.iterdir()] == [other.name]


def test_what_is_kept_of_a_thousand_cooks_is_small(book):
    (row, _) = numbers(book).rows
    plain = row.plain()["differences"]
    assert len(plain) == row.differences.count > 100
    assert len(row.differences.packed) < 20_000
    assert len(row.differences.first) <= 12
