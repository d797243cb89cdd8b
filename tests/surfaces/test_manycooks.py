"""A shelf of many cooks: how much is read for each, the same bytes whoever makes them, and in what time."""

from __future__ import annotations

import datetime as dt
import importlib.util
import json
import os
import resource
import runpy
import subprocess
import sys
import time
from pathlib import Path

import pytest
from figures import keep

from stallwise.pictures.charts import Picture
from stallwise.record.folder import Cookbook
from stallwise.surfaces.journal import hands, publish, view

_HERE = Path(__file__)
_SPEC = importlib.util.spec_from_file_location("manycooks", _HERE.with_name("manycooks.py"))
manycooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(manycooks)
MADE_AT = dt.datetime(2027, 11, 1, tzinfo=dt.UTC)
#: Asked of a build of a thousand cooks with two kept pictures each, on two processors.
BUILD_S, BUILD_BYTES, REBUILD_S, ONE_S = 90.0, 1_000_000_000, 1.5, 0.6

_PUBLISH = """
import datetime as dt, sys
from pathlib import Path
from stallwise.record.folder import Cookbook
from stallwise.surfaces.journal import hands, publish
book, out, worth = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
hands._WORTH = worth
hands._processors = lambda: 2
report = publish(Cookbook.open(book), [], out, made_at=dt.datetime(2027, 11, 1, tzinfo=dt.UTC))
assert not report.troubles and len(report.written) > 4, report
"""


def built(book, out, worth, **env):
    """Publish in a process of its own."""
    command = [sys.executable, "-P", "-c", _PUBLISH, str(book.path), str(out), str(worth)]
    subprocess.run(command, check=True, env={**os.environ, **env}, timeout=600)
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and path.name != ".journal.lock"
    }


def test_same_cooks_same_bytes_whoever_makes_them_wherever(tmp_path):
    book = manycooks.many_cooks(tmp_path, 4)
    alone = built(book, tmp_path / "one", 99, PYTHONHASHSEED="1", TZ="AAA+5", LC_ALL="C")
    helped = built(book, tmp_path / "two", 2, PYTHONHASHSEED="2", TZ="BBB-9", LC_ALL="C.UTF-8")
    assert sorted(alone) == sorted(helped)
    assert [name for name in alone if alone[name] != helped[name]] == []
    assert len([name for name in alone if name.startswith("cooks/")]) == 4
    assert b"no. 3" in alone["index.html"]


def test_a_helper_that_ends_costs_its_page_and_no_other(tmp_path, monkeypatch):
    lost = subprocess.Popen
    monkeypatch.setattr(
        hands.subprocess,
        "Popen",
        lambda _, **more: lost([sys.executable, "-c", "input(); input()"], **more),
    )
    made = []

    def alone(job):
        time.sleep(0.05)  # so that the helper comes to have one
        made.append(job.name)
        return hands.Made("hidden")

    jobs = [hands.Job(str(n), str(n), asked=False) for n in range(20)]
    found = hands.make_all(jobs, alone, {"told": 1}, helpers=1)
    (one,) = [name for name, what in found.items() if what.state == "failed"]
    assert sorted({*made, one}) == sorted(job.name for job in jobs)
    assert "the process that made it ended" in found[one].troubles[0]


def test_what_is_read_grows_as_the_cooks_do(tmp_path, monkeypatch):
    """Files that are opened, not seconds: twice the cooks, twice the files and no more."""
    result = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))["ribs"]()
    monkeypatch.setattr(view, "day_picture", lambda *_, **__: Picture("<svg/>", "", ((), ())))
    counted = []
    sys.addaudithook(
        lambda event, _: counted.append(event) if event in {"open", "os.scandir"} else None
    )

    def opened(count):
        book = manycooks.many_cooks(tmp_path / str(count), count)
        manycooks.keep_photos(book, book.path / "journal")
        counted.clear()
        book = book.held()
        records = [folder.load() for folder in book.cooks()]
        assert len(records) == count
        assert len(records[0].weighed) > len(records[-1].weighed)
        loads = len(counted)
        publish(book, [], book.path / "journal", made_at=MADE_AT, answer=lambda *_, **__: result)
        return loads, len(counted) - loads

    few, many = opened(7), opened(21)
    for one, three in zip(few, many, strict=True):
        assert three < 3.1 * one, (few, many)


# --- the long ones ----------------------------------------------------------------------


@pytest.fixture(scope="module")
def thousand(tmp_path_factory):
    """A thousand cooks whose photos were developed before."""
    book = manycooks.many_cooks(tmp_path_factory.mktemp("thousand"), 1000)
    manycooks.keep_photos(book, book.path / "journal")
    return book


def _published(book):
    """Wall clock [s] and largest sum of memory [bytes] of a publishing as a command."""
    command = [sys.executable, "-P", "-m", "stallwise", "publish", "--cookbook", str(book.path)]
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    most = 0
    while process.poll() is None:
        most = max(most, _memory(process.pid))
        time.sleep(0.1)
    assert process.returncode == 0
    return time.perf_counter() - start, most


def _memory(pid):
    """Memory of a process and its children [bytes], what they share counted once each."""
    total = 0
    for path in Path("/proc").glob("[0-9]*"):
        try:
            stat = (path / "stat").read_text().rpartition(")")[2].split()
            if pid in {int(path.name), int(stat[1])}:
                rollup = (path / "smaps_rollup").read_text()
                total += 1024 * int(rollup.partition("\nPss:")[2].split()[0])
        except (OSError, ValueError, IndexError):
            continue
    return total


@pytest.fixture
def told(capsys):
    """Tell a figure to whoever runs the audit."""

    def tell(text):
        with capsys.disabled():
            sys.stdout.write(f"\n{text}\n")

    return tell


@pytest.mark.audit
@pytest.mark.benchmark
def test_a_thousand_cooks_are_built_in_time_and_one_changed_in_no_time(thousand, told):
    wall, most = _published(thousand)
    out = thousand.path / "journal"
    assert len([*(out / "cooks").glob("*.html")]) == 1000
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    told(
        f"\nbuilt in {wall:.1f} s, {used.ru_utime + used.ru_stime:.0f} s of processors, {most / 1e6:.0f} MB"
    )
    before = {path: path.stat().st_mtime_ns for path in (out / "cooks").glob("*.html")}
    cook = thousand.cooks()[500]
    times = []
    for n in range(3):
        cook.save({"outcome": f"It was told again, {n}."})
        times.append(_published(thousand)[0])
    after = {path: path.stat().st_mtime_ns for path in before}
    told(f"one changed: {', '.join(f'{each:.2f}' for each in times)} s")
    keep("A journal of a thousand cooks built", [wall], asked=f"at most {BUILD_S:.0f} s")
    keep("Memory of that, at most", [most], unit="B", asked="at most 1000 MB")
    keep("One of a thousand pages changed, command to end", times, asked=f"at most {REBUILD_S} s")
    assert [path.stem for path in before if before[path] != after[path]] == [cook.name]
    index = (out / "index.html").read_text("utf-8")
    assert index.count('class="h-entry') == 50
    assert "index~2.html" in index
    assert (
        len(json.loads((out / "search-rows.js").read_text().partition(" = ")[2].rpartition(";")[0]))
        == 1000
    )
    assert min(times) < REBUILD_S
    assert most < BUILD_BYTES
    assert wall < BUILD_S


@pytest.mark.benchmark
def test_one_page_from_record_to_file(tmp_path):
    """What a started program needs for one more page; how long it takes to start is another's figure."""
    book = manycooks.many_cooks(tmp_path, 7)
    manycooks.keep_photos(book, book.path / "journal")
    cooks = Cookbook.open(book.path).cooks()
    publish(book, [cooks[0]], book.path / "journal", made_at=MADE_AT)
    times = []
    for cook in cooks[1:]:
        start = time.process_time()
        assert not publish(book, [cook], book.path / "journal", made_at=MADE_AT).troubles
        times.append(time.process_time() - start)
    keep("One more page, from record to file, processor", times, asked=f"at most {ONE_S} s")
    assert sorted(times)[len(times) // 2] < ONE_S, times
