"""Figures of many cooks: what one costs, that a thousand cost a thousand times as much, and memory."""

import datetime as dt
import json
import shutil
import subprocess
import sys
import time

import pytest
from figures import keep

from stallwise.joins.learn.learning import learn
from stallwise.record import disk
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces.rerun import rerun

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
#: A whole batch in a process of its own: its processor [s] and the most memory it had [MB].
RUN = """\
import contextlib, io, resource, sys
from stallwise.cli.main import main
with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
    status = main(["rerun", "--numbers", "--set", "pit_start=250 F", "--cookbook", sys.argv[1]])
used = resource.getrusage(resource.RUSAGE_SELF)
print(status, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
"""


def many(place, count, *, lessons=True):
    """A book of so many whole cooks, logs, readings and lessons with them: the sample's over and over."""
    book = Cookbook.start(place, title="Many", units="us", time_zone="Europe/London")
    bring_sample(book)
    originals = sorted((place / "cooks").iterdir())
    learned = learn([one.load(learned=False) for one in book.cooks()]) if lessons else {}
    entries = {entry["cook"]: entry for entry in learned.get("cooks", ())}
    for number in range(count - len(originals)):
        old = originals[number % len(originals)]
        name = f"{old.name}-{number}"
        shutil.copytree(old, old.with_name(name))
        if old.name in entries:
            entries[name] = entries[old.name] | {"cook": name}
    if entries:
        cooks = sorted(entries.values(), key=lambda entry: (entry["date"], entry["cook"]))
        (place / "learned.json").write_text(json.dumps({**learned, "schema": 1, "cooks": cooks}))
    return Cookbook.open(place)


def test_cost_grows_with_the_number_of_cooks_and_no_faster(tmp_path, monkeypatch):
    read, reads = disk.read, []
    monkeypatch.setattr(disk, "read", lambda *words: reads.append(1) or read(*words))

    def cost(count):
        book = many(tmp_path / str(count), count, lessons=False)
        reads.clear()
        start = time.process_time()
        report = rerun(book, numbers=True, changes={"members": "20"}, made_at=NOW)
        assert not report.failed
        return len(reads), (time.process_time() - start) / count

    (six, _), (twelve, _), (eighteen, share_s) = map(cost, (6, 12, 18))
    # Files are counted, not seconds: a machine that is busy reads as many.
    assert eighteen - twelve == twelve - six
    assert share_s < 0.25


@pytest.mark.audit
@pytest.mark.benchmark
def test_a_thousand_cooks_in_five_minutes_and_half_a_gigabyte(tmp_path):
    shares = {}
    for count in (100, 1000):
        book = many(tmp_path / str(count), count)
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", RUN, str(book.path)], capture_output=True, text=True, check=True
        )
        wall_s = time.perf_counter() - start
        status, cpu_s, most_mb = map(float, done.stdout.split())
        assert status == 0
        shares[count] = cpu_s / count
        print(f"{count} cooks: {wall_s:.0f} s, {shares[count]:.3f} s of CPU each, {most_mb:.0f} MB")  # noqa: T201
        assert most_mb < 500
    keep("A thousand cooks run again for their figures", [wall_s], asked="at most 300 s")
    keep("Processor a cook of these", [shares[1000]], asked="at most 0.25 s")
    keep("Memory of that, at most", [most_mb * 1e6], unit="B", asked="at most 500 MB")
    assert cpu_s < 300  # of processor; on a machine with nothing else to do also of the clock
    assert shares[1000] < 0.25
    assert shares[1000] < 1.2 * shares[100]
    assert len(list(book.path.glob("cooks/*/results/rerun-*.json"))) == 1000
