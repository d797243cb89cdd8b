"""Panels without a kernel: what a move shows, what is kept, and what nobody may slip in."""

import datetime as dt
import importlib.util
import io
import re
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.tables import Table, stage_table
from stallwise.surfaces.desk import Desk, changes_from
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.fields import bare_to_unit, ruler
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Latest
from stallwise.surfaces.widgets.plan import PlanPanel
from stallwise.surfaces.widgets.tasting import Tasting
from stallwise.surfaces.widgets.typein import TypeIn

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

BEFORE = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
NIGHT = dt.datetime(2027, 9, 25, 22, tzinfo=dt.UTC)


def desk_of(folder, now=BEFORE, **changes):
    return Desk(folder, {**cooks.QUICK, **changes}, now=lambda: now)


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


@pytest.fixture
def panel(folder):
    return PlanPanel(desk_of(folder), raises=True)


class Held:
    """Work put off until told."""

    def __init__(self):
        self.waiting = []

    def __call__(self, _seconds, work):
        self.waiting.append(work)

    def release(self):
        waiting, self.waiting = self.waiting, []
        for work in waiting:
            work()


def rows(markup):
    body = markup.partition('class="sw-table sw-stages"')[2].partition("</table>")[0]
    return re.findall(r"<tr>(.*?)</tr>", body)


def test_a_moved_slider_shows_the_stage_table_of_its_position(panel):
    before = rows(panel.shown.value)
    panel.sliders["pit_start"].slider.value = 275
    assert panel.desk.changes["pit_start"] == "275 F"
    after = rows(panel.shown.value)
    assert len(before) > 3
    assert before != after
    for cells in stage_table(panel.desk.result).rows:
        said = [html.text(html.unbroken(cell)) for cell in cells[1:]]
        assert all(cell in panel.shown.value for cell in said)


def test_the_newest_position_wins_and_old_moves_are_not_queued(folder):
    held = Held()
    panel = PlanPanel(desk_of(folder), later=held, raises=True)
    drawn = []
    panel.desk.listen(lambda result: drawn.append(result.pieces[0].mass_kg))
    before = panel.shown.value
    for pounds in (7, 9, 11):
        panel.sliders["mass"].slider.value = pounds
    assert len(held.waiting) == 1
    assert panel.shown.value == before
    assert "sw-stale" in panel.widget._dom_classes
    held.release()
    assert [round(kg / 0.45359237) for kg in drawn] == [11]
    assert "sw-stale" not in panel.widget._dom_classes
    assert held.waiting == []


def test_what_was_drawn_for_an_older_position_is_never_shown(folder, monkeypatch):
    held = Held()
    panel = PlanPanel(desk_of(folder), later=held, raises=True)
    before = panel.shown.value
    from stallwise.surfaces.widgets import plan

    draw = plan.shown_html

    def overtaken(result):
        monkeypatch.setattr(plan, "shown_html", draw)
        panel.sliders["mass"].slider.value = 12
        return draw(result)

    monkeypatch.setattr(plan, "shown_html", overtaken)
    panel.sliders["mass"].slider.value = 9
    held.release()
    assert panel.shown.value == before
    held.release()
    assert "Not kept yet: weight of one piece 12 lb" in panel.state.value
    assert panel.shown.value != before


def test_keep_writes_what_was_typed_keeps_comments_and_a_forecast(panel, folder):
    panel.sliders["mass"].box.value = "3.9 kg"
    panel.wrap.box.value = "foil"
    panel.keep.click()
    text = folder.text()
    assert 'mass = "3.9 kg"' in text
    assert 'wrap = "foil"' in text
    assert "# for the hall" in text
    assert len(folder.forecasts()) == 1
    assert panel.desk.unkept == {}
    assert "Kept" in panel.guard.box.value


def test_nothing_is_written_until_it_is_kept(panel, folder):
    before = folder.text()
    panel.sliders["serve"].slider.value = 18
    panel.thickness.box.value = "thick"
    assert folder.text() == before
    assert folder.forecasts() == ()


def test_what_would_change_it_is_worked_out_only_when_opened(folder, monkeypatch):
    held = Held()
    panel = PlanPanel(desk_of(folder), later=held, raises=True)
    tried = []
    what_if = Desk.what_if
    monkeypatch.setattr(
        Desk, "what_if", lambda desk, *letters: tried.append(letters) or what_if(desk, *letters)
    )
    panel.sliders["mass"].slider.value = 9
    held.release()
    assert tried == []
    panel.what_if.widget.selected_index = 0
    held.release()
    assert tried == [("A",)]
    shown = panel.what_if.shown.value
    assert "pit 20 °F hotter" in shown.replace("\N{NO-BREAK SPACE}", " ")
    assert shown.count("<svg") == 2
    assert "as planned" in shown
    # A change while it is open dims what is shown, and it comes anew once, when the plan rests.
    for degrees in (230, 240, 250):
        panel.sliders["pit_start"].slider.value = degrees
    held.release()
    assert (len(tried), panel.what_if.shown.value) == (1, shown)
    assert "sw-stale" in panel.what_if.widget._dom_classes
    held.release()
    assert len(tried) == 2
    assert panel.what_if.shown.value != shown
    assert "sw-stale" not in panel.what_if.widget._dom_classes
    panel.what_if.widget.selected_index = None
    held.release()
    assert len(tried) == 2


def test_what_would_change_it_follows_the_piece_looked_at(tmp_path):
    folder = cooks.ribs(cooks.start_book(tmp_path))
    panel = PlanPanel(desk_of(folder), raises=True)
    panel.what_if.widget.selected_index = 0
    assert "wrapped in paper" in panel.what_if.shown.value
    assert "not wrapped" in panel.what_if.shown.value
    panel.piece.value = "B"
    assert "wrapped in foil" in panel.what_if.shown.value
    assert "not wrapped" not in panel.what_if.shown.value


def test_undo_takes_back_a_whole_stroke_and_back_to_kept_everything(panel):
    first = panel.shown.value
    for degrees in (230, 235, 240):
        panel.sliders["pit_start"].slider.value = degrees
    second = panel.shown.value
    panel.wrap.box.value = "paper"
    panel.undo.click()
    assert panel.shown.value == second
    panel.undo.click()
    assert panel.shown.value == first
    assert panel.sliders["pit_start"].slider.value == 225
    assert panel.undo.disabled
    panel.sliders["pit_start"].slider.value = 300
    panel.wrap.box.value = "foil"
    panel.back.click()
    assert panel.shown.value == first


def test_a_change_by_somebody_else_is_shown_not_overwritten(folder):
    panel = PlanPanel(desk_of(folder))
    panel.sliders["mass"].slider.value = 9
    path = folder.path / "cook.toml"
    path.write_text(path.read_text().replace("16:00", "17:30"))
    panel.keep.click()
    assert 'serve = "17:30"' in folder.text()
    assert 'mass = "8 lb"' in folder.text()
    assert "17:30" in panel.guard.box.value


def test_a_wrong_value_is_told_in_the_panel_and_the_last_forecast_stays(folder):
    panel = PlanPanel(desk_of(folder))
    before = panel.shown.value
    panel.sliders["pit_start"].box.value = "hot"
    assert "hot" in panel.guard.box.value
    assert "alert" in panel.guard.box.value
    assert panel.shown.value == before
    assert panel.desk.changes == cooks.QUICK


def test_a_bare_number_gets_the_unit_that_stands_beside_its_box(panel):
    panel.sliders["pit_start"].box.value = "250"
    assert panel.desk.changes["pit_start"] == "250 F"
    panel.sliders["pit_start"].box.value = "120 C"
    assert panel.desk.changes["pit_start"] == "120 C"
    assert panel.sliders["pit_start"].slider.value == 250


def test_an_empty_box_goes_back_to_what_is_kept(panel):
    panel.sliders["mass"].box.value = "10 lb"
    panel.sliders["mass"].box.value = ""
    assert "mass" not in panel.desk.changes
    assert panel.sliders["mass"].slider.value == 8


def test_showing_a_cook_changes_nothing(panel):
    assert panel.desk.changes == cooks.QUICK
    assert panel.state.value == ""


def test_a_position_that_the_page_wrote_back_is_no_move(panel):
    slider = panel.sliders["wrap_from"].slider
    panel.wrap.box.value = "foil"
    before = dict(panel.desk.changes)
    slider.value = slider.value - 1e-9
    assert panel.desk.changes == before


def test_another_cut_brings_its_own_finishes_and_weight(panel):
    panel.cut.box.value = "pork-spare-ribs-trimmed"
    assert panel.desk.cook.pieces[0].cut == "pork-spare-ribs-trimmed"
    assert panel.finish.box.value in dict(panel.finish.box.options)
    assert panel.desk.result.pieces[0].mass_kg < 2.5


def test_the_pit_climbs_only_when_told(panel):
    assert panel.climb.layout.display == "none"
    panel.climbs.value = True
    assert panel.desk.changes["pit_climb_to"] == "250 F"
    assert panel.climb.layout.display is None
    panel.climbs.value = False
    assert panel.desk.changes["pit_climb_to"] == "225 F"
    assert panel.climb.layout.display == "none"


def test_with_several_pieces_a_change_is_the_chosen_ones(tmp_path):
    folder = cooks.ribs(cooks.start_book(tmp_path))
    panel = PlanPanel(desk_of(folder), raises=True)
    panel.piece.value = "B"
    assert panel.wrap.box.value == "none"
    panel.sliders["mass"].box.value = "3 lb"
    panel.sliders["serve"].box.value = "18:00"
    assert {k: v for k, v in panel.desk.changes.items() if k != "members"} == {
        "mass__B": "3 lb",
        "serve": "18:00",
    }
    panel.keep.click()
    cook = folder.read()
    assert [piece.mass for piece in cook.pieces] == [None, "3 lb"]
    assert cook.serve == "18:00"


def test_the_line_of_last_time_stands_on_top_until_it_is_ticked(panel, folder):
    assert "light the fire half an hour earlier" in panel.carried.children[0].value
    panel.ticked.value = True
    assert folder.read().carried_done is True
    assert PlanPanel(desk_of(folder)).carried.layout.display == "none"


def test_every_input_has_a_label_and_a_class_of_its_own(panel):
    from ipywidgets import Widget

    def walk(widget):
        yield widget
        for child in getattr(widget, "children", ()):
            yield from walk(child)

    inputs = [w for w in walk(panel.widget) if isinstance(w, Widget) and hasattr(w, "description")]
    inputs = [w for w in inputs if type(w).__name__ != "HTML"]
    assert len(inputs) > 30
    assert all(w.description for w in inputs)
    for name in ("mass", "serve", "pit-start", "wrap", "finish", "thickness", "count", "cut"):
        assert any(f"sw-{name}" in w._dom_classes for w in walk(panel.widget))


# ---- typing in


def test_lines_are_understood_first_and_written_once(folder):
    desk = desk_of(folder, NIGHT)
    typed = TypeIn(desk, raises=True)
    typed.lines.value = "0200 on\n+6:00 wrapped foil\nhm\n14:40 probe tender"
    assert "wrapped" in typed.understood.value
    assert not desk.folder.log().lines
    assert typed.write.description == "Write these 3"
    typed.write.click()
    assert len(desk.folder.log().lines) == 3
    assert "1 not written" in typed.guard.box.value
    again = TypeIn(desk_of(folder, NIGHT), raises=True)
    again.lines.value = typed.lines.value
    assert again.write.disabled
    assert "in the log already" in again.understood.value


def test_a_logged_line_is_taken_back_and_can_be_typed_again(folder):
    typed = TypeIn(desk_of(folder, NIGHT), raises=True)
    assert typed.withdraw.layout.display == "none"
    typed.lines.value = "0200 on"
    typed.write.click()
    typed.wrong.index = 1
    typed.take_back.click()
    assert "Nothing is logged yet" in typed.logged.value
    # No error: what is offered to be taken back is dressed as a field, with room for its button.
    assert not any("sw-wrong" in child._dom_classes for child in typed.withdraw.children)
    assert "sw-row" in typed.withdraw._dom_classes
    typed.lines.value = "0210 on"
    assert not typed.write.disabled
    typed.lines.value = "0200 on"
    assert "was taken back once" in typed.understood.value
    typed.write.click()
    assert "1 line" in typed.logged.value
    assert len(folder.log().lines) == 3


def test_what_is_written_is_what_was_shown(folder):
    held = Held()
    typed = TypeIn(desk_of(folder, NIGHT), later=held, raises=True)
    typed.lines.value = "0200 on"
    held.release()
    typed.lines.value = "0300 on"
    assert typed.write.disabled
    typed.write.click()
    assert not typed.desk.folder.log().lines


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


def test_text_of_a_cook_does_not_become_markup(tmp_path):
    evil = "<img src=x onerror=alert(1)>"
    text = cooks.SHOULDER.replace("Harvest shoulder", evil).replace("light the fire half", evil)
    folder = cooks.start_book(tmp_path).new_cook("evil", dt.date(2027, 9, 25), text)
    panel = PlanPanel(desk_of(folder), raises=True)
    from ipywidgets import HTML

    def walk(widget):
        yield widget
        for child in getattr(widget, "children", ()):
            yield from walk(child)

    shown = [w.value for w in walk(panel.widget) if isinstance(w, HTML)]
    assert any("&lt;img" in value for value in shown)
    assert not any("<img" in value for value in shown)


def test_a_guarded_callback_shows_what_it_raised():
    guard = Guard()

    def broken():
        raise KeyError("x<y")

    guard(broken)()
    assert "KeyError" in guard.box.value
    assert "x<y" not in guard.box.value
    guard.raises = True
    with pytest.raises(KeyError):
        guard(broken)()


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


def test_the_page_is_made_and_its_place_is_said(folder):
    from stallwise.surfaces.widgets.publish import PublishPanel

    panel = PublishPanel(desk_of(folder), raises=True)
    panel.button.click()
    assert f"journal/cooks/{folder.name}.html" in panel.guard.box.value
    assert (folder.home.path / "journal" / "cooks" / f"{folder.name}.html").is_file()


def test_tables_follow_the_plan(folder):
    from stallwise.surfaces.widgets.sheet import SheetPanel

    desk = desk_of(folder)
    panel, sheet = PlanPanel(desk, raises=True), SheetPanel(desk, raises=True)
    live = sheet.widget.children[0].children[-1]
    before = live.value
    panel.sliders["serve"].slider.value = 19
    assert live.value != before


def test_what_a_serving_holds_is_behind_a_fold_that_follows_and_stays_open(folder):
    from stallwise.joins.salttables import nutrition_table
    from stallwise.surfaces.widgets.sheet import LiveTables

    desk = desk_of(folder)
    panel = PlanPanel(desk, raises=True)
    live = LiveTables(
        desk, lambda _: [], folded=lambda result: [nutrition_table(result)], summary="Holds"
    )
    assert live.fold in live.widget.children
    assert live.fold.selected_index is None
    before = live.fold.children[0].value
    assert "no label" in before
    live.fold.selected_index = 0
    panel.sliders["mass"].slider.value += 1
    assert live.fold.children[0].value != before
    assert live.fold.selected_index == 0
