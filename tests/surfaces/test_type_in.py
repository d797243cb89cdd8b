"""Typing in without a browser: read back, tried on, written once, and still there whatever died."""

import importlib.util
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stallwise.ground.errors import WorkError
from stallwise.record import disk
from stallwise.record.check import check
from stallwise.record.log import effective
from stallwise.record.unwritten import keep_unwritten, unwritten
from stallwise.surfaces.widgets.typein import TypeIn

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NIGHT, Held, desk_of = cooks.NIGHT, cooks.Held, cooks.desk_of

SHEET = "0200 on\n+6:00 wrapped foil\n1400 probe not yet\n1440 probe tender\n1450 off\n1600 served"


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


def _panel(folder, now=NIGHT, **options):
    return TypeIn(desk_of(folder, now), **{"raises": True, **options})


def _held(folder):
    """Lines in force, as text: what a cook would find again."""
    return [(line.at.strftime("%H%M"), line.what) for line in effective(folder.log().lines)]


def _said(panel):
    return re.sub(r"<[^>]+>", " ", panel.guard.box.value)


# ---- read back, then written


def test_lines_are_understood_first_and_written_once(folder):
    panel = _panel(folder)
    panel.paper.lines.value = "0200 on\n+6:00 wrapped foil\nhm\n14:40 probe tender"
    assert "wrapped" in panel.paper.understood.value
    assert not folder.log().lines
    assert panel.paper.write.description == "Write these 3"
    panel.paper.write.click()
    assert len(folder.log().lines) == 3
    assert "1 not written" in _said(panel)
    # What is asked stays in the box with its neighbours: a ditto may stand on them.
    again = _panel(folder)
    assert again.paper.lines.value == panel.paper.lines.value
    assert again.paper.write.disabled
    assert "in the log already" in again.paper.understood.value


def test_a_logged_line_is_taken_back_and_can_be_typed_again(folder):
    panel = _panel(folder)
    assert panel.book.withdraw.layout.display == "none"
    panel.paper.lines.value = "0200 on"
    panel.paper.write.click()
    panel.book.wrong.index = 1
    panel.book.take_back.click()
    assert "Nothing is logged yet" in panel.book.shown.value
    panel.paper.lines.value = "0210 on"
    assert not panel.paper.write.disabled
    panel.paper.lines.value = "0200 on"
    assert "was taken back once" in panel.paper.understood.value
    panel.paper.write.click()
    assert "1 line" in panel.book.shown.value
    assert len(folder.log().lines) == 3


def test_what_is_written_is_what_was_shown(folder):
    held = Held()
    panel = _panel(folder, later=held)
    panel.paper.lines.value = "0200 on"
    held.release()
    panel.paper.lines.value = "0300 on"
    assert panel.paper.write.disabled
    panel.paper.write.click()
    assert not folder.log().lines


def test_the_day_fills_as_lines_are_understood_and_nothing_is_written(folder):
    panel = _panel(folder)
    before = folder.text()
    seen, bands = [panel.day.value], []
    rows = SHEET.splitlines()
    for count in range(1, len(rows) + 1):
        panel.paper.lines.value = "\n".join(rows[:count])
        seen.append(panel.day.value)
        bands.append(panel.desk.tried(panel.paper.entries).pieces[0].core_c)
    assert len(set(seen)) == len(seen)
    for word in ("meat on", "wrapped, foil", "not yet", "tender", "off", "served"):
        assert f">{word}<" not in seen[0]
        assert f">{word}<" in seen[-1]
    # One forecast throughout, that of meat on: only what happened is laid over it.
    assert all(band == bands[0] for band in bands)
    assert panel.published.widget.value.count('data-state="shown"') == 1
    assert not folder.log().lines
    assert folder.text() == before
    assert not (folder.path / "results" / "forecasts.jsonl").exists()


def test_a_line_read_for_another_hour_moves_its_mark(folder):
    panel = _panel(folder)
    panel.paper.lines.value = SHEET
    right = panel.day.value
    panel.paper.lines.value = SHEET.replace("+6:00", "+9:00")
    assert panel.day.value != right


def test_a_drawing_that_waits_is_dropped_when_somebody_types_on(folder):
    held = Held()
    panel = _panel(folder, later=held)
    panel.paper.lines.value = "0200 on"
    held.release()  # read, and a drawing waits for a rest
    panel.paper.lines.value = "0200 on\n+6:00 wrapped foil"
    reading, drawing = held.waiting[-1], held.waiting[0]
    drawing()
    assert 'data-state="working"' in panel.published.widget.value
    held.waiting = []
    reading()
    held.release()
    assert ">wrapped, foil<" in panel.day.value
    assert 'data-state="shown"' in panel.published.widget.value


# ---- nothing acknowledged is lost, nothing doubled


def test_what_is_typed_and_not_written_is_there_after_the_kernel_died(folder):
    _panel(folder).paper.lines.value = "0200 on\nhm"
    assert any("2 lines typed in" in one.text for one in check(folder.home.path).findings)
    panel = _panel(folder)
    assert panel.paper.lines.value == "0200 on\nhm"
    assert panel.paper.write.description == "Write these 1"
    assert "here again" in _said(panel)
    panel.paper.lines.value = "0200 on"
    panel.paper.write.click()
    # Written, no draft is left, and a new kernel begins with an empty box.
    assert panel.paper.lines.value == ""
    assert unwritten(folder) == ()
    assert _panel(folder).paper.lines.value == ""


def test_a_draft_whose_lines_came_into_the_log_is_not_brought_back(folder):
    draft = keep_unwritten(folder, "0200 on\n", None)
    panel = _panel(folder)
    panel.paper.write.click()
    # As if the kernel had died between the log and the draft.
    keep_unwritten(folder, draft.text, None)
    assert _panel(folder).paper.lines.value == ""
    assert unwritten(folder) == ()


def test_two_notebooks_that_type_at_once_keep_both_texts_and_double_nothing(folder):
    one, two = _panel(folder), _panel(folder)
    one.paper.lines.value = "0200 on"
    two.paper.lines.value = "0200 on\n+6:00 wrapped foil"
    one.paper.lines.value = "0200 on\n1400 probe not yet"
    assert {draft.text for draft in unwritten(folder)} == {
        one.paper.lines.value, two.paper.lines.value
    }  # fmt: skip
    two.paper.write.click()
    # The other's log changed under it: it is shown anew before anything is written.
    one.paper.write.click()
    assert "Nothing was written" in _said(one)
    assert "in the log already" in one.paper.understood.value
    one.paper.write.click()
    assert _held(folder) == [("0200", "meat_on"), ("0800", "wrapped"), ("1400", "feel_check")]
    assert len(folder.log().lines) == 3
    assert unwritten(folder) == ()


def test_another_draft_is_offered_and_this_one_waits(folder):
    keep_unwritten(folder, "0200 on", None)
    keep_unwritten(folder, "1400 probe not yet\nhm", None)
    panel = _panel(folder)
    assert panel.paper.lines.value.startswith("1400")
    assert "1 line was typed elsewhere" in panel.paper.other.description
    panel.paper.other.click()
    assert panel.paper.lines.value == "0200 on"
    panel.paper.write.click()
    panel.paper.other.click()
    assert panel.paper.lines.value.startswith("1400")
    assert panel.paper.other.layout.display == "none"
    assert len(unwritten(folder)) == 1


def test_a_disk_that_is_full_is_told_and_what_is_typed_stays(folder, monkeypatch):
    panel = _panel(folder, raises=False)
    panel.paper.lines.value = "0200 on"
    monkeypatch.setattr(disk, "append", _full)
    panel.paper.write.click()
    assert "disk is full" in _said(panel)
    assert "None of the lines was added" in _said(panel)
    assert panel.paper.lines.value == "0200 on"
    monkeypatch.undo()
    panel.paper.write.click()
    assert "1 written" in _said(panel)
    monkeypatch.setattr(disk, "replace", _full)
    panel.paper.lines.value = "0800 wrapped foil"
    # The draft could not be kept; what was understood is shown and can be written all the same.
    assert "disk is full" in _said(panel)
    assert "wrapped in foil" in panel.paper.understood.value
    assert not panel.paper.write.disabled


def _full(*_args, **_options):
    raise WorkError("log.jsonl could not be written: the disk is full", "", "None of the lines was added")  # fmt: skip


def test_a_folder_that_is_gone_is_told_and_what_is_typed_stays(folder):
    panel = _panel(folder, raises=False)
    panel.paper.lines.value = "0200 on"
    folder.path.rename(folder.path.with_name("elsewhere"))
    panel.paper.write.click()
    assert "wrong" in panel.guard.box.value
    assert panel.paper.lines.value == "0200 on"
    assert not folder.path.exists()
    folder.path.with_name("elsewhere").rename(folder.path)
    panel.paper.write.click()
    assert _held(folder) == [("0200", "meat_on")]


def test_a_forecast_that_fails_after_the_writing_takes_nothing_back(folder, monkeypatch):
    held = Held()
    panel = _panel(folder, later=held, raises=False)
    panel.paper.lines.value = "0200 on"
    held.release()
    monkeypatch.setattr(type(panel.desk), "tell", _broken)
    panel.paper.write.click()
    assert "1 written" in _said(panel)
    assert _held(folder) == [("0200", "meat_on")]
    held.release()
    assert "our mistake" in _said(panel)
    assert "1 line" in panel.book.shown.value


def _broken(*_args):
    raise ZeroDivisionError("a slip")


#: A kernel: a panel that is typed into and written from, one line more each time, saying what it was told.
KERNEL = """
import importlib.util, os, signal, sys
from pathlib import Path
spec = importlib.util.spec_from_file_location("cooks", sys.argv[1])
cooks = importlib.util.module_from_spec(spec)
spec.loader.exec_module(cooks)
from stallwise.record.folder import Cookbook
from stallwise.surfaces.widgets.typein import TypeIn
folder = Cookbook.open(Path(sys.argv[2])).cooks()[0]
TypeIn._draw = lambda self: None  # only what is on the disk counts here
panel = TypeIn(cooks.desk_of(folder, cooks.NIGHT))
panel.book._follow._work = lambda: None
if "torn" in sys.argv:
    whole = os.write
    def half(handle, data):
        whole(handle, bytes(data)[: len(data) // 2])
        os.kill(os.getpid(), signal.SIGKILL)
print("ready", flush=True)
for minute in range(300 if "together" not in sys.argv else 25):
    typed = f"{3 + minute // 60:02d}{minute % 60:02d} note: look {minute}"
    panel.paper.lines.value = typed
    print("typed", typed, flush=True)
    if "torn" in sys.argv and minute == 5:
        os.write = half
    panel.paper.write.click()
    while "log is another one" in panel.guard.box.value and panel.paper.entries:
        panel.paper.write.click()
    if "1 written" in panel.guard.box.value:
        print("written", typed, flush=True)
"""


def _kernel(folder, *more):
    return subprocess.Popen(
        [sys.executable, "-c", KERNEL, str(Path(__file__).with_name("cooks.py")),
         str(folder.home.path), *more],
        stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONSAFEPATH": "1"},
    )  # fmt: skip


def _after(kernel, folder, first=()):
    """What the dead kernel had said, and the notes that a new one finds and writes."""
    told = [line.partition(" ") for line in (*first, *kernel.stdout.read().splitlines())]
    kernel.wait(timeout=10)
    kernel.stdout.close()
    said = {kind: [text for k, _, text in told if k == kind] for kind in ("typed", "written")}
    panel = _panel(folder)
    panel.paper.write.click()
    notes = [line.note for line in effective(folder.log().lines)]
    return said, notes


@pytest.mark.parametrize("wait_s", [0.03, 0.2])
def test_a_killed_kernel_loses_no_line_it_said_was_written_and_doubles_none(folder, wait_s):
    kernel = _kernel(folder)
    first = []
    while not (first and first[-1].startswith("written")):
        first.append(kernel.stdout.readline().rstrip("\n"))
    time.sleep(wait_s)
    kernel.send_signal(signal.SIGKILL)
    said, notes = _after(kernel, folder, first)
    assert len(notes) == len(set(notes))
    written = {text[5:].removeprefix("note: ") for text in said["written"]}
    assert written <= set(notes)
    # The line that was typed last and said to be kept as a draft is not lost either.
    assert said["typed"][-1][5:].removeprefix("note: ") in notes


def test_a_kernel_killed_in_the_middle_of_a_write_is_made_good_by_the_next(folder):
    kernel = _kernel(folder, "torn")
    said, notes = _after(kernel, folder)
    assert kernel.returncode == -signal.SIGKILL
    assert len(said["written"]) == 5
    assert notes == [f"look {minute}" for minute in range(6)]
    assert len(folder.log().torn) == 1


def test_two_kernels_that_write_the_same_sheet_at_once_double_nothing(folder):
    both = [_kernel(folder, "together") for _ in range(2)]
    said = [_after(kernel, folder)[0]["written"] for kernel in both]
    notes = [line.note for line in effective(folder.log().lines)]
    assert sorted(notes) == sorted(f"look {minute}" for minute in range(25))
    assert len(folder.log().lines) == 25
    # Each line was written by one of them, and neither says so of the other's.
    assert len(said[0]) + len(said[1]) == 25
    assert not set(said[0]) & set(said[1])
    assert unwritten(folder) == ()
