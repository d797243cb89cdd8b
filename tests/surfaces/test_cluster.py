"""A real cluster on the loopback: the same results, whoever of it dies; nobody there is told."""

import datetime as dt
import importlib.util
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError
from stallwise.record.sample import bring_sample
from stallwise.surfaces.rerun import cluster as cluster_module
from stallwise.surfaces.rerun import rerun, running
from stallwise.surfaces.rerun.hindcasts import hindcasts
from stallwise.surfaces.templates import copy_template

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
HOTTER = {"pit_start": "250 F", "members": "20"}
#: It closes sockets of its own accord, some of them late.
pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning")


@pytest.fixture
def cluster(tmp_path):
    """Address of a scheduler, and its two workers, each a process of its own."""
    place = tmp_path / "cluster"
    place.mkdir()
    contact = place / "contact.json"
    started = []

    def start(*words):
        with (place / "said.log").open("ab") as said:
            started.append(
                subprocess.Popen(
                    [sys.executable, "-P", "-m", "dask", *words], cwd=place, stdout=said, stderr=said,
                    env={**os.environ, "DASK_DISTRIBUTED__WORKER__USE_FILE_LOCKING": "false"},
                )
            )  # fmt: skip

    try:
        start(
            "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--no-show",
            "--scheduler-file", str(contact),
        )  # fmt: skip
        end = time.monotonic() + 60
        while not contact.exists() and time.monotonic() < end:
            time.sleep(0.1)
        for _ in range(2):
            start(
                "worker", "--scheduler-file", str(contact), "--no-nanny", "--no-dashboard",
                "--nthreads", "1", "--host", "127.0.0.1", "--local-directory", str(place),
            )  # fmt: skip
        yield json.loads(contact.read_text())["address"], started[1:]
    finally:
        for process in started[::-1]:
            process.kill()
        for process in started:
            process.wait()


def many(tmp_path, count):
    book = cooks.start_book(tmp_path)
    for number in range(count):
        text = cooks.SHOULDER if number % 2 else cooks.RIBS
        book.new_cook(f"cook {number}", dt.date(2027, 9, 1) + dt.timedelta(number), text)
    return book


def figures(book):
    """Result files by cook, without the moment of their making."""
    return {
        path.parents[1].name: path.read_text()
        for path in sorted(book.path.glob("cooks/*/results/rerun-*.json"))
    }


def kill_one(monkeypatch, workers, at):
    """Kill a worker in the middle of the run, when so many cooks are done."""
    seen = []

    def progress(*_):
        def done(name, run):
            seen.append(name)
            if len(seen) == at:
                workers[0].kill()

        return done

    monkeypatch.setattr(running, "progress", progress)
    return seen


def test_figures_are_those_of_here_though_a_worker_is_killed(tmp_path, cluster, monkeypatch):
    address, workers = cluster
    book = many(tmp_path, 14)
    rerun(book, numbers=True, changes=HOTTER, made_at=NOW)
    here = figures(book)
    for path in book.path.glob("cooks/*/results/rerun-*.json"):
        path.unlink()
    seen = kill_one(monkeypatch, workers, at=3)
    report = rerun(book, numbers=True, changes=HOTTER, made_at=NOW, dask=address)
    assert [row.state for row in report.rows] == ["done"] * 14
    assert sorted(seen) == sorted({row.cook for row in report.rows}) == sorted(here)
    assert figures(book) == here
    kept = {path: path.stat().st_mtime_ns for path in book.path.glob("cooks/*/results/*")}
    again = rerun(book, numbers=True, changes=HOTTER, made_at=NOW, dask=address)
    assert {row.state for row in again.rows} == {"kept"}
    assert {path: path.stat().st_mtime_ns for path in book.path.glob("cooks/*/results/*")} == kept
    assert workers[0].wait(timeout=5) == -9
    bring_sample(book)  # finished cooks, for the tally's ensembles
    alone, _ = hindcasts(book, NOW)
    assert hindcasts(book, NOW, address) == (alone, [])
    assert len(alone) == 6


@pytest.mark.audit
@pytest.mark.notebook
def test_notebooks_on_a_cluster_one_result_each_though_a_worker_is_killed(
    tmp_path, cluster, monkeypatch
):
    address, workers = cluster
    book = many(tmp_path, 4)
    for one in book.cooks():
        copy_template("cook", one.path)
    kill_one(monkeypatch, workers, at=1)
    report = rerun(book, changes=HOTTER, made_at=NOW, dask=address)
    assert [row.state for row in report.rows] == ["done"] * 4, report.text()
    for one in book.cooks():
        names = sorted(path.name for path in (one.path / "results").iterdir())
        assert [Path(name).suffix for name in names] == [".ipynb", ".json"], names
    there = figures(book)
    again = rerun(book, changes=HOTTER, made_at=NOW)
    assert {row.state for row in again.rows} == {"kept"}
    rerun(book, changes=HOTTER, made_at=NOW, again=True)
    assert figures(book) == there


def test_a_cluster_that_is_not_there_is_a_row_with_the_reason(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster_module, "_ANSWER_S", 1.0)
    book = many(tmp_path, 2)
    report = rerun(book, numbers=True, changes=HOTTER, made_at=NOW, dask="tcp://127.0.0.1:9")
    assert [row.state for row in report.rows] == ["no cluster"] * 2
    assert report.failed
    assert "nobody answers at tcp://127.0.0.1:9" in report.text()
    assert not list(book.path.glob("cooks/*/results/*"))
    bring_sample(book)
    found, untold = hindcasts(book, NOW, "tcp://127.0.0.1:9")
    assert (found, len(untold)) == ({}, 6)
    for wrong in ("here", "tcp://127.0.0.1"):
        with pytest.raises(InputError, match="tcp://127"):
            rerun(book, numbers=True, made_at=NOW, dask=wrong)


def test_a_worker_of_another_release_does_nothing():
    outcome = cluster_module._attempt(len, {}, "9.9.9 of another day")
    assert (outcome.state, "9.9.9" in outcome.message) == ("no cluster", True)
