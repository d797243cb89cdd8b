"""A callback that breaks says so in its panel and in the log, with where; what was typed stays."""

import importlib.util
from pathlib import Path

import ipywidgets as ui
import pytest

from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import guard
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.logbook import Logbook
from stallwise.surfaces.widgets.tasting import Tasting
from stallwise.surfaces.widgets.typein import TypeIn

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)
_PICTURES = importlib.util.spec_from_file_location(
    "snapshots", Path(__file__).with_name("test_snapshots.py")
)
snapshots = importlib.util.module_from_spec(_PICTURES)
_PICTURES.loader.exec_module(snapshots)


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


def _every(widget, kind):
    """Controls of a kind in a panel, however deep."""
    found = [widget] if isinstance(widget, kind) else []
    for child in getattr(widget, "children", ()):
        found += _every(child, kind)
    return found


def _broken(*_args, **_options):
    raise ZeroDivisionError("a slip of ours")


def _boxes(panel):
    return [box.value for box in _every(panel.widget, ui.HTML) if "sw-message" in box._dom_classes]


def _press(control):
    if isinstance(control, ui.FileUpload):
        came = {"name": "x.jpg", "type": "image/jpeg", "size": 1, "last_modified": cooks.NIGHT,
                "content": memoryview(snapshots.picture("2027:09:25 08:00:00"))}  # fmt: skip
        control.set_trait("value", (came,))
    elif isinstance(control, ui.Button):
        control.click()
    else:
        control.value = "3 min ahead"


def test_every_control_of_the_evening_that_breaks_says_so_and_logs_where(
    folder, monkeypatch, caplog
):
    panel = TypeIn(cooks.desk_of(folder, cooks.NIGHT))
    panel.paper.lines.value = "0200 on"
    panel.paper.write.click()
    panel.paper.lines.value = "0200 on\n+6:00 wrapped foil"
    panel.book.wrong.index = 1
    panel.pit.number.value = "3"
    panel.photos.file.set_trait(
        "value",
        ({"name": "a.jpg", "type": "image/jpeg", "size": 1, "last_modified": cooks.NIGHT,
          "content": memoryview(snapshots.picture("2027:09:25 08:00:00"))},),
    )  # fmt: skip
    panel.photos.rows[0].happened.value = panel.photos.rows[0].caption.value = "foil"
    typed = panel.paper.lines.value
    for owner, name in ((Logbook, "context"), (Desk, "note"), (Desk, "log"), (Desk, "reload")):
        monkeypatch.setattr(owner, name, _broken)
    monkeypatch.setattr(type(folder), "add_photo", _broken)
    panel.pit._changed = -10.0
    controls = [
        *(each for each in _every(panel.widget, ui.Button) if each.layout.display != "none"),
        panel.photos.camera, panel.next_time, panel.paper.lines, panel.photos.file,
    ]  # fmt: skip
    assert len(controls) > 25
    for control in controls:
        said, logged = _boxes(panel), len(caplog.records)
        _press(control)
        name = getattr(control, "description", control)
        assert _boxes(panel) != said, name
        told = " ".join(_boxes(panel))
        if "no picture waits" not in told:  # it looked, and there was none: nothing broke
            assert "our mistake" in told, name
            assert len(caplog.records) > logged, name
    assert all(record.exc_info for record in caplog.records)
    assert panel.paper.lines.value == "3 min ahead"
    assert typed.splitlines()[0] == "0200 on"
    # On the disk as well, with the line of ours that broke.
    assert "a slip of ours" in guard.log_file().read_text()
    assert "test_broken_callbacks.py" in guard.log_file().read_text()


def test_notes_that_cannot_be_kept_stay_in_their_boxes(folder, monkeypatch):
    tasting = Tasting(cooks.desk_of(folder, cooks.NIGHT))
    tasting.notes.value = "Good bark"
    monkeypatch.setattr(Desk, "note", _broken)
    tasting.keep.click()
    assert "our mistake" in tasting.guard.box.value
    assert tasting.notes.value == "Good bark"
    monkeypatch.undo()
    tasting.keep.click()
    assert folder.read().tasting == "Good bark"


def test_a_log_that_cannot_be_written_keeps_no_words_back(monkeypatch, tmp_path):
    monkeypatch.setattr(guard, "log_file", lambda: tmp_path / "file" / "panels.log")
    (tmp_path / "file").write_text("in the way")
    guard._written_down.cache_clear()
    one = Guard()
    one(_broken)()
    assert "our mistake" in one.box.value
    guard._written_down.cache_clear()
