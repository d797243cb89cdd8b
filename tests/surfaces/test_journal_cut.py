"""A publishing that is cut short at any step leaves a site that opens, and the next one heals it.

Every step that touches the published folder is found by Python's own audit events, which the disk
functions raise before they act; the run is killed before each of them, and in the middle of each file
that is written.
"""

from __future__ import annotations

import dataclasses
import json
import os
import re
import runpy
import shutil
import signal
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from PIL import Image

from stallwise.pictures.charts import Picture
from stallwise.record.schema import Photo
from stallwise.surfaces.journal import photos, view

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")

_HERE = Path(__file__)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
Shelf = runpy.run_path(str(_HERE.with_name("test_journal.py")))["Shelf"]
#: What the disk functions tell before they act; opening counts where it is for writing.
STEPS = {
    "open",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.mkdir",
    "os.link",
    "os.symlink",
    "os.truncate",
}


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """Three cooks published once, then one changed, one gone and one come."""
    # Neither is what is looked at here, and neither may be started in a process that was forked.
    monkeypatch.setattr(
        view, "day_picture", lambda *_, **__: Picture("<svg/>", "It went.", ((), ()))
    )
    monkeypatch.setattr(photos, "_made", _drawn)
    shelf = Shelf(tmp_path)
    ribs = _MADE["ribs"]()
    for n, name in enumerate(("old", "changed", "gone", "come")):
        made = dataclasses.replace(ribs, cook=f"2027-06-0{n + 1}-{name}", title=name)
        place = shelf.add(
            made, photos=[Photo(file="a.jpg", lead=True)], tags=[name], outcome="One."
        )
        (place / "a.jpg").write_bytes(name.encode())
    come = shelf.folders.pop()
    assert not shelf.publish().troubles
    record = shelf.folders[1].load()
    words = {
        "outcome": "Another.",
        "tags": ["other", "old"],
        "photos": [Photo(file="b.jpg", lead=True)],
    }
    record.cook = record.cook.model_copy(update=words)
    (shelf.folders[1].path / "photos" / "b.jpg").write_bytes(b"another")
    shelf.folders[2:] = [come]
    return shelf


def _drawn(path, staging, stem):
    """Stands for the darkroom: three sizes of the right shape."""
    staging.mkdir(parents=True, exist_ok=True)
    sizes = []
    for edge in (1600, 800, 400):
        file = staging / f"{stem}-{edge}.webp"
        Image.new("RGB", (edge, edge // 2), "white").save(file, "WEBP", quality=1, method=0)
        sizes.append(photos.Size(file.name, edge, edge // 2))
    return tuple(sizes)


def _writes(event, args):
    if event != "open":
        return event in STEPS
    mode, flags = args[1], args[2]
    return any(letter in (mode or "") for letter in "wax+") or bool(
        flags and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC)
    )


def _run(shelf, out, at=None, *, within=False):
    """Publish in a child; killed before step `at`, or in the middle of the file that it begins.

    Returns
    -------
    list of (str, str)
        Steps that were taken and where, if it came to its end.
    """
    read, write = os.pipe()
    child = os.fork()
    if not child:
        _publish_and_die(shelf, out, at, within, write)
    os.close(write)
    with os.fdopen(read) as told:
        said = told.read()
    _, status = os.waitpid(child, 0)
    if at is None:
        assert status == 0, said
        return json.loads(said)
    assert os.WIFSIGNALED(status) or within, at
    return []


def _publish_and_die(shelf, out, at, within, write):
    """Never return: this is the child."""
    try:
        steps = _watched(out, at, within)
        report = shelf.publish(out=out)
        os.write(write, json.dumps(steps).encode())
        os._exit(3 if report.troubles else 0)
    finally:
        os._exit(4)


def _watched(out, at, within):
    """Count the steps from here on, and end the process at one of them."""
    steps, begun = [], []
    clearing = {"os.remove", "os.rmdir"}

    def watch(event, args):
        if event not in STEPS or isinstance(args[0], int) or not _writes(event, args):
            return
        path = os.fsdecode(args[0])
        if event in clearing and args[1] != -1:
            path = (
                f"{out}/.journal-staging-/{path}"  # a name in a folder that is being cleared away
            )
        if path.startswith(str(out)):
            steps.append((event, path[len(str(out)) :]))
            begun[:] = [len(steps) - 1]
            if begun == [at] and not within:
                os.kill(os.getpid(), signal.SIGKILL)

    def write_half(path, data):
        with path.open("wb") as file:
            if begun == [at]:
                file.write(data[: len(data) // 2])
                file.flush()
                os.kill(os.getpid(), signal.SIGKILL)
            file.write(data)

    if within:
        Path.write_bytes = write_half
    sys.addaudithook(watch)
    return steps


class _Links(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.found = []
        self.feed(text)

    def handle_starttag(self, _tag, attrs):
        attrs = dict(attrs)
        self.found += [attrs[key] for key in ("href", "src") if attrs.get(key)]
        self.found += [one.split()[0] for one in attrs.get("srcset", "").split(",") if one]


def _leads_nowhere(out):
    """Links to no file, from all that can be reached from index, feed and search."""
    rows = json.loads(
        (out / "search-rows.js").read_text("utf-8").partition(" = ")[2].rpartition(";")[0]
    )
    feed = re.findall(r'href="([^"]*)"', (out / "feed.xml").read_text("utf-8"))
    waiting = [out / name for name in ("index.html", *(row[0] for row in rows), *feed)]
    seen, missing = set(), []
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        seen.add(path)
        if not path.is_file():
            missing.append(path.relative_to(out).as_posix())
        elif path.suffix == ".html":
            text = path.read_text("utf-8")
            assert text.rstrip().endswith("</html>"), path.name
            links = filter(None, (urlsplit(link).path for link in _Links(text).found))
            waiting += [Path(os.path.normpath(path.parent / unquote(link))) for link in links]
    assert len(seen) > 20
    return missing


def _bytes(out):
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in out.rglob("*")
        if path.is_file() and not path.name.startswith(".journal")
    }


def _cut_at(shelf, place, steps, *, healed_each=1):
    """Cut a run short at each of these steps, look at what is left, and let another run heal it."""
    before = shelf.path / "journal"
    whole = place / "whole"
    shutil.copytree(before, whole)
    _run(shelf, whole)
    wanted = _bytes(whole)
    assert not _leads_nowhere(whole)
    for n, (at, within) in enumerate(steps):
        out = place / f"cut-{at}-{within}"
        shutil.copytree(before, out)
        _run(shelf, out, at, within=within)
        assert _leads_nowhere(out) == [], (at, within)
        if n % healed_each:
            continue
        _run(shelf, out)
        assert _bytes(out) == wanted, (at, within)
        assert not list(out.glob(".journal-staging-*"))
        shutil.rmtree(out)


def _steps(shelf, place):
    out = place / "counted"
    shutil.copytree(shelf.path / "journal", out)
    return _run(shelf, out)


def test_cut_short_at_every_step_that_moves_or_takes_away_a_file(shelf, tmp_path):
    steps = _steps(shelf, tmp_path)
    moves = [
        n for n, (what, path) in enumerate(steps) if "staging" not in path or what == "os.rename"
    ]
    assert len([n for n in moves if steps[n][0] == "os.rename"]) > 20
    assert len([n for n in moves if steps[n][0] == "os.remove"]) > 5
    _cut_at(shelf, tmp_path, [(n, False) for n in moves], healed_each=4)


@pytest.mark.audit
def test_cut_short_at_every_step_and_in_the_middle_of_every_file(shelf, tmp_path):
    steps = _steps(shelf, tmp_path)
    files = [n for n, (what, _) in enumerate(steps) if what == "open"]
    assert len(files) > 20
    _cut_at(
        shelf, tmp_path, [*((n, False) for n in range(len(steps))), *((n, True) for n in files)]
    )


def test_a_run_cut_short_is_cleared_away_also_where_its_cook_is_gone(shelf, tmp_path):
    """What came before the list of files was written stays nobody's, unless it was told beforehand."""
    steps = _steps(shelf, tmp_path)
    out = tmp_path / "out"
    shutil.copytree(shelf.path / "journal", out)
    renamed = [
        n for n, (what, path) in enumerate(steps) if what == "os.rename" and "/cooks/" in path
    ]
    at = renamed[0] + 1
    _run(shelf, out, at)
    assert list(out.rglob("*come*"))
    del shelf.folders[-1]
    _run(shelf, out)
    assert not list(out.rglob("*come*"))
