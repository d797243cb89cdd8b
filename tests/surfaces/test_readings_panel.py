"""Readings in the notebook: shown dry, asked in boxes, brought in once and only when said."""

import asyncio
import datetime as dt
import importlib.util
import subprocess
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.log.readingsaid import asked, in_boxes
from stallwise.record.log import LogLine
from stallwise.surfaces.notebook import CookNotebook
from stallwise.surfaces.widgets.plan import PlanPanel
from stallwise.surfaces.widgets.readings import ReadingsPanel

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

LOG = "time,pit,probe 2\n" + "".join(
    f"{6 + n // 60:02d}:{n % 60:02d},{225 + n % 7},{190 if n == 20 else 45.5 + n / 2}\n"
    for n in range(90)
)

GROWN = LOG.replace("pit", "pit (F)").replace("probe 2", "core A (F)").splitlines(keepends=True)


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


@pytest.fixture
def panel(folder):
    return ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True)


def drop(panel, text=LOG, name="probe.csv"):
    content = memoryview(text.encode())
    came = {
        "name": name, "type": "text/csv", "size": len(content), "content": content,
        "last_modified": cooks.BEFORE,
    }  # fmt: skip
    panel.file.set_trait("value", (came,))


def questions(panel):
    return [box.children[0].value for box in panel.asked.children]


def answer(panel, words):
    buttons = [b for box in panel.asked.children for b in box.children[1].children]
    next(button for button in buttons if button.description == words).click()


def kept(folder):
    place = folder.path / "readings"
    return sorted(path.name for path in place.iterdir()) if place.is_dir() else []


def test_dropped_shown_answered_and_brought_in_once(panel, folder):
    drop(panel)
    assert "asked, like\N{NO-BREAK SPACE}°F" in panel.understood.value
    assert len(questions(panel)) == 2
    assert panel.bring.disabled
    answer(panel, "°F")
    answer(panel, "probe 2 is A")
    assert questions(panel) == []
    assert "piece A, core" in panel.understood.value
    assert "a leap and back" in panel.understood.value
    assert kept(folder) == []
    panel.bring.click()
    assert "179 readings brought in" in panel.guard.box.value
    assert kept(folder) == ["probe.csv", "probe.json", "probe.raw.csv"]
    assert "There: 179 readings of 2 probes" in panel.there.value
    assert "<svg" in panel.day.value
    panel.bring.click()
    drop(panel)
    assert "there already" in panel.understood.value
    assert panel.bring.disabled
    assert len(kept(folder)) == 3


def test_boxes_say_what_options_say(panel, folder):
    drop(panel)
    row = panel.fields.columns["probe 2"]
    row.what.value, row.place.value, row.unit.value = "A", "flat", "F"
    panel.fields.of_file["unit"].box.value = "F"
    panel.fields.of_file["shift"].box.value = "1 h later"
    assert "piece A, flat" in panel.understood.value
    assert "25\N{NO-BREAK SPACE}Sep\N{NO-BREAK SPACE}07:00" in panel.understood.value
    panel.fields.of_file["zone"].box.value = "Etc/GMT+5"
    assert "12:00" in panel.understood.value
    row.what.value = "skip"
    assert "piece A" not in panel.understood.value
    panel.bring.click()
    assert {one.channel for one in folder.readings()} == {"pit"}


def test_what_is_brought_in_is_what_was_shown(folder):
    held = cooks.Held()
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), later=held, raises=True)
    drop(panel, LOG.replace("pit", "pit (F)").replace("probe 2", "core A (F)"))
    held.release()
    assert not panel.bring.disabled
    panel.fields.columns["core A (F)"].what.value = "skip"
    panel.bring.click()
    assert kept(folder) == []


def test_what_is_no_log_is_told_in_words_of_boxes_and_can_be_mended(folder):
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT))
    drop(panel, "when did I,pit (F)\nearly,225\nlater,226\nlate,227\n")
    said = panel.guard.box.value
    assert "--" not in said
    assert "From row to row" in said or "rows 10 s apart" in said
    panel.fields.of_file["every"].box.value = "10 min"
    panel.fields.of_file["start"].box.value = "06:10"
    assert "06:30" in panel.understood.value
    drop(panel, "PK\x03\x04 no text", "sheet.csv")
    assert "spreadsheet" in panel.guard.box.value
    assert panel.bring.disabled


def test_the_same_file_read_in_another_way_is_offered_to_count_instead(folder):
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT))
    drop(panel, "".join(GROWN))
    panel.bring.click()
    drop(panel, "".join(GROWN))
    panel.fields.of_file["shift"].box.value = "2 h later"
    assert "in another way" in panel.guard.box.value
    answer(panel, "replace")
    panel.bring.click()
    assert kept(folder)[:2] == ["probe-2.csv", "probe-2.json"]
    first = min(one.kept()[0][0] for one in folder.readings() if one.kept())
    assert first.hour == 8


def test_a_named_file_from_the_cooks_folder_on(panel, folder):
    (folder.path / "mine.csv").write_text("time,pit (F)\n06:00,225\n06:10,230\n")
    panel.path.value = "mine.csv"
    assert "pit P" in panel.understood.value
    panel.path.value = "yours.csv"
    assert "nothing in yours.csv yet" in panel.guard.box.value
    assert panel.bring.disabled
    with pytest.raises(InputError, match="plain file"):
        panel.path.value = "readings"


def test_readings_move_the_plan_at_once(folder):
    desk = cooks.desk_of(folder, cooks.NIGHT)
    plan = PlanPanel(desk, raises=True)
    before = plan.answer.value
    panel = ReadingsPanel(desk, raises=True)
    drop(panel, LOG.replace("pit", "pit (F)").replace("probe 2", "core A (F)"))
    panel.bring.click()
    assert plan.answer.value != before


def test_a_deleted_folder_is_said_and_nothing_comes_of_it(folder):
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT))
    drop(panel, LOG.replace("pit", "pit (F)").replace("probe 2", "core A (F)"))
    folder.path.rename(folder.path.with_name("elsewhere"))
    panel.bring.click()
    assert "is gone" in panel.guard.box.value
    assert not folder.path.exists()
    folder.path.with_name("elsewhere").rename(folder.path)
    panel.bring.click()
    assert "179 readings" in panel.guard.box.value


def test_where_nobody_looks_the_table_is_printed(panel, folder, capsys):
    cook = CookNotebook(panel.desk, panels=False)
    cook.readings()
    assert "no readings yet" in capsys.readouterr().out
    drop(panel, LOG.replace("pit", "pit (F)").replace("probe 2", "core A (F)"))
    panel.bring.click()
    cook.readings()
    assert "piece A" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("question", "words", "offers"),
    [
        (
            "Say --clock 24 or --clock 12",
            "Say “a clock of 24 h” or “a clock of 12 h”",
            ["24", "12"],
        ),
        ("Say --start TIME", "Say in the box “First reading at”", []),
        ("or --zone if it stood", "or “Time zone of the file” if it stood", []),
        ("say --shift 0 and mend", "say “the clock was right” and mend", ["0"]),
        ("--column 'x=A until 13:05 B'", "“x is A until 13:05 B”", ["x=A until 13:05 B"]),
    ],
)
def test_options_are_put_in_boxes(question, words, offers):
    found = asked(question)
    assert (found.words, [one.value for one in found.offers]) == (words, offers)
    assert in_boxes(question) == words


def test_the_panels_script_can_be_read(root):
    """Two hands wrote one name twice once, and no panel had its script any more."""
    script = root / "templates" / "notebooks" / "panels.js"
    done = subprocess.run(["node", "--check", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


# ---- a file that grows


async def _until(fits):
    for _ in range(2000):
        if fits():
            return
        await asyncio.sleep(0.005)
    raise AssertionError("it never came")


def test_a_file_is_followed_while_the_kernel_does_other_things(folder):
    live = folder.path / "live.csv"
    live.write_text("".join(GROWN[:30]))
    desk = cooks.desk_of(folder, cooks.NIGHT)
    plan = PlanPanel(desk, raises=True)
    panel = ReadingsPanel(desk, raises=True, every_s=0.01)

    async def evening():
        panel.path.value = "live.csv"
        await _until(lambda: not panel.follow.disabled)
        panel.follow.click()
        assert panel.follow.description == "Stop following"
        await _until(lambda: len(folder.readings()) == 2)
        before = plan.answer.value
        # While a look is under way the loop turns: a slider would be answered.
        live.write_text("".join(GROWN[:60]) + "06:59,2")
        await _until(lambda: "There: 117 readings" in panel.there.value)
        await _until(lambda: plan.answer.value != before)
        live.unlink()
        await _until(lambda: "not there now" in panel.followed.value)
        live.write_text("".join(GROWN))
        await _until(lambda: "There: 179 readings" in panel.there.value)
        panel.follow.click()
        assert panel.follow.description == "Follow this file"
        assert not panel.watch.runs

    asyncio.run(evening())
    # A kernel started anew goes on, and doubles nothing.
    again = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    again.path.value = "live.csv"
    again.follow.click()
    assert "nothing new" in again.followed.value
    assert "179 readings of 2 probes" in again.there.value


def test_answers_given_once_stand_when_it_is_followed_again(folder):
    live = folder.path / "live.csv"
    live.write_text("".join(LOG.splitlines(keepends=True)[:30]))
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    panel.path.value = "live.csv"
    assert panel.follow.disabled
    answer(panel, "°F")
    answer(panel, "probe 2 is A")
    panel.follow.click()
    assert "57 new readings" in panel.followed.value
    live.write_text(LOG)
    again = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    again.path.value = "live.csv"
    assert questions(again) == []
    again.follow.click()
    assert "122 new readings" in again.followed.value


def test_a_dropped_file_cannot_be_followed_for_it_does_not_grow(panel):
    drop(panel, "".join(GROWN))
    assert panel.follow.disabled
    assert not panel.bring.disabled


def test_a_file_that_comes_later_asks_and_goes_on_once_answered(folder):
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True, every_s=0.01)
    live = folder.path / "live.csv"
    lines = LOG.splitlines(keepends=True)

    async def evening():
        panel.path.value = "live.csv"
        await _until(lambda: not panel.follow.disabled)
        assert "taken up when it comes" in panel.guard.box.value
        panel.follow.click()
        await _until(lambda: "not there now" in panel.followed.value)
        live.write_text("".join(lines[:30]))
        await _until(lambda: len(questions(panel)) == 2)
        answer(panel, "°F")
        await _until(lambda: len(questions(panel)) == 1 and "probe 2" in questions(panel)[0])
        answer(panel, "probe 2 is A")
        await _until(lambda: "There: 57 readings" in panel.there.value)
        live.write_text("".join(lines))
        await _until(lambda: "There: 179 readings" in panel.there.value)
        # The cell is run again: the old panel's looks end when the new one begins.
        again = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), raises=True, every_s=0.01)
        again.path.value = "live.csv"
        await _until(lambda: not again.follow.disabled)
        again.follow.click()
        assert (panel.watch.runs, again.watch.runs) == (False, True)
        again.watch.stop()

    asyncio.run(evening())


def test_what_breaks_in_a_look_is_said_and_logged(folder, monkeypatch, caplog):
    (folder.path / "live.csv").write_text("".join(GROWN[:30]))
    panel = ReadingsPanel(cooks.desk_of(folder, cooks.NIGHT), every_s=0.01)

    def broken(_self):
        raise ZeroDivisionError("by a slip of ours")

    monkeypatch.setattr("stallwise.record.following.Follow.look", broken)

    async def evening():
        panel.path.value = "live.csv"
        await _until(lambda: not panel.follow.disabled)
        panel.follow.click()
        await _until(lambda: "our mistake" in panel.guard.box.value)
        assert panel.follow.description == "Follow this file"

    asyncio.run(evening())
    assert "by a slip of ours" in caplog.text


def test_a_new_kernel_names_the_file_that_was_followed_while_the_cook_runs(folder):
    desk = cooks.desk_of(folder, dt.datetime(2027, 9, 25, 8, tzinfo=dt.UTC))
    (folder.path / "live.csv").write_text("".join(GROWN[:30]))
    panel = ReadingsPanel(desk, raises=True)
    panel.path.value = "live.csv"
    panel.follow.click()
    assert ReadingsPanel(desk, raises=True).path.value == ""
    folder.append([LogLine(id="a", at=desk.now, what="meat_on", piece="A", made=desk.now)])
    desk.reload()
    again = ReadingsPanel(desk, raises=True)
    assert again.path.value == "live.csv"
    assert not again.follow.disabled
