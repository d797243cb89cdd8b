"""Panels without a kernel: what is typed, what is written, and what nobody may slip in."""

import importlib.util
import io
import re
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.tables import Table
from stallwise.surfaces.desk import Desk, changes_from
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.fields import bare_to_unit, ruler
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Latest
from stallwise.surfaces.widgets.plan import PlanPanel
from stallwise.surfaces.widgets.tasting import Tasting

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

BEFORE, NIGHT, Held, desk_of = cooks.BEFORE, cooks.NIGHT, cooks.Held, cooks.desk_of


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


# ---- afterwards


def test_notes_and_the_number_go_to_the_cooks_file(folder):
    tasting = Tasting(desk_of(folder, NIGHT), raises=True)
    tasting.notes.value = "Good bark & a little dry"
    tasting.name.value, tasting.number.value, tasting.out_of.value = "plates back empty", "26", "28"
    tasting.next_time.value = "wrap earlier"
    tasting.keep.click()
    cook = folder.read()
    assert (cook.tasting, cook.next_time) == ("Good bark & a little dry", "wrap earlier")
    assert (cook.number.name, cook.number.value, cook.number.out_of) == (
        "plates back empty",
        26,
        28,
    )
    tasting.name.value = tasting.number.value = ""
    tasting.keep.click()
    assert folder.read().number is None


def test_a_photo_needs_a_caption_and_keeps_within_its_folder(folder):
    from PIL import Image

    picture = io.BytesIO()
    Image.new("RGB", (64, 48), "brown").save(picture, "JPEG")
    tasting = Tasting(desk_of(folder, NIGHT))
    upload = {
        "name": "../../bark.jpg", "type": "image/jpeg", "size": 1,
        "content": memoryview(picture.getvalue()), "last_modified": BEFORE,
    }  # fmt: skip
    tasting.photo.set_trait("value", (upload,))
    tasting.attach.click()
    assert "caption" in tasting.guard.box.value
    tasting.caption.value = "Bark <b>set</b>"
    tasting.attach.click()
    assert "Attached" in tasting.guard.box.value
    (photo,) = folder.read().photos
    assert photo.caption == "Bark <b>set</b>"
    assert (folder.path / "photos" / photo.file).is_file()
    assert "<b>" not in tasting.photos.value


# ---- parts


def test_markup_is_only_what_was_made_here():
    with pytest.raises(TypeError):
        html.show("<b>hello</b>")
    evil = '<img src=x onerror="alert(1)">'
    made = html.table(Table(evil, (evil,), ((evil,),)))
    assert "<img" not in made
    assert "<img" not in html.element("p", evil, title=evil)
    for tag in ("script", "a", "iframe", "style", "img"):
        with pytest.raises(ValueError, match=tag):
            html.element(tag)
    with pytest.raises(ValueError, match="onclick"):
        html.element("p", onclick="1")


def test_a_guarded_callback_shows_what_it_raised_and_logs_where(caplog):
    guard = Guard()

    def broken():
        raise KeyError("x<y")

    guard(broken)()
    assert "KeyError" in guard.box.value
    assert "x<y" not in guard.box.value
    assert "Traceback" in caplog.text
    assert 'data-shown="1" data-state="wrong"' in guard.box.value
    guard(guard.clear)()
    assert guard.box.value == '<span data-shown="2" data-state="rest"></span>'
    guard.raises = True
    with pytest.raises(KeyError):
        guard(broken)()


def test_what_nobody_waits_for_is_done_when_the_requests_rest():
    held, done = Held(), []
    latest = Latest(lambda: done.append(latest.generation), held, rest_s=0.4)
    for _ in range(3):
        latest.ask()
    held.release()
    assert done == [3]


def test_latest_does_the_work_once_for_many_requests():
    held, done = Held(), []
    latest = Latest(lambda: done.append(latest.generation), held)
    for _ in range(5):
        latest.ask()
    held.release()
    assert done == [5]
    latest.ask()
    held.release()
    assert done == [5, 6]


@pytest.mark.parametrize(
    ("text", "made"),
    [("250", "250 F"), (" 6,5 ", "6,5 F"), ("250 C", "250 C"), ("", ""), ("6 lb 8", "6 lb 8")],
)
def test_only_a_bare_number_gets_a_unit(text, made):
    assert bare_to_unit(text, "F") == made


def test_a_slider_stands_on_its_steps():
    scale = ruler("temperature", "us")
    assert scale.position(107.0, "temperature") == 225
    assert scale.position(500.0, "temperature") == scale.high
    assert ruler("mass", "us", 3.6).text(6.5, "mass") == "6 lb 8 oz"
    assert ruler("mass", "metric", 3.6).text(3.2, "mass") == "3.20 kg"
    assert ruler("clock", "us").text(16.25, "clock") == "16:15"
    assert ruler("duration", "us").text(2.75, "duration") == "2 h 45 min"


def test_names_of_a_notebook_that_are_no_parameters_are_left_alone():
    names = {"folder": "x", "mass": "8 lb", "wrap": None, "mass__B": "2 lb", "cook": 3, "_": 1}
    assert changes_from(names) == {"mass": "8 lb", "mass__B": "2 lb"}
    with pytest.raises(InputError):
        changes_from({"mass__bb": "8 lb"})


def test_a_desk_refuses_what_the_cook_does_not_have(folder):
    with pytest.raises(NotFoundError):
        Desk(folder, {"mass__Z": "8 lb"})


def test_the_sheet_is_made_to_print_and_as_a_calendar(folder):
    from stallwise.surfaces.widgets.sheet import SheetPanel

    panel = SheetPanel(desk_of(folder), raises=True)
    panel.print.click()
    panel.calendar.click()
    assert "Meat on" in (folder.path / "sheet.html").read_text()
    assert (folder.path / "sheet.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    panel.print.click()  # again, over the one that was made before
    panel.whose.value = "serving"
    panel.print.click()
    panel.labels.click()
    assert "to go" in (folder.path / "sheet-serving.html").read_text()
    assert "use by" in (folder.path / "labels.html").read_text()
    assert "sw-if-narrow" in panel.picture.value


def test_the_page_is_made_and_its_place_is_said(folder):
    from stallwise.surfaces.widgets.publish import PublishPanel

    panel = PublishPanel(desk_of(folder), raises=True)
    panel.button.click()
    assert f"journal/cooks/{folder.name}.html" in panel.guard.box.value
    page = folder.home.path / "journal" / "cooks" / f"{folder.name}.html"
    # Every table has its mark, and every mark its words.
    html = page.read_text("utf-8")
    assert set(re.findall(r'href="#from-(\w+)"', html)) >= {"forecast", "serving", "odds", "sheet"}


def test_a_page_is_said_to_be_where_it_is_and_none_where_there_is_none(folder):
    from stallwise.surfaces.widgets.publish import PublishPanel

    book, odd = folder.home, folder.path.with_name("2027-09-25 Schälrippe")
    folder.path.rename(odd)
    panel = PublishPanel(desk_of(book.cook(odd.name)), raises=True)
    panel.button.click()
    assert "journal/cooks/2027-09-25-Schalrippe.html" in panel.guard.box.value
    kept_back = odd / "cook.toml"
    kept_back.write_text(
        kept_back.read_text().replace("schema = 1", 'schema = 1\nprivate = ["all"]')
    )
    panel.button.click()
    assert "Made" not in panel.guard.box.value
    assert "keeps this cook back" in panel.guard.box.value


def test_what_a_serving_holds_is_behind_a_fold_that_follows_and_stays_open(folder):
    from stallwise.joins.mix.salttables import nutrition_tables
    from stallwise.surfaces.widgets.sheet import LiveTables

    desk = desk_of(folder)
    panel = PlanPanel(desk, raises=True)
    live = LiveTables(desk, lambda _: [], folded=nutrition_tables, summary="Holds")
    assert live.fold in live.widget.children
    assert live.fold.selected_index is None
    before = live.fold.children[0].value
    assert "no label" in before
    live.fold.selected_index = 0
    panel.fields["mass"].slider.value += 1
    assert live.fold.children[0].value != before
    assert live.fold.selected_index == 0
