"""The page of a re-run: what moved, by how much, who crosses a limit; nothing in it is a program."""

import datetime as dt
import importlib.util
import re
from dataclasses import replace
from pathlib import Path

import pytest

from stallwise.cli.main import main
from stallwise.ground.errors import InputError
from stallwise.pictures.labels import text_width
from stallwise.pictures.moved import Moved, moved_finding, moved_picture, moved_scene
from stallwise.surfaces.rerun import rerun, write_page
from stallwise.surfaces.rerun.moved import Crossing
from stallwise.surfaces.rerun.page import comparison_page
from stallwise.surfaces.rerun.rows import Report
from stallwise.tables.rerunning import Tolerances, tolerances

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
HOTTER = {"pit_start": "250 F", "members": "20"}
ROWS = [Moved("Late brisket", -2.1), Moved("Turkey, A", 1.4, crosses=True), Moved("Ribs", 0.01)]


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    book = cooks.start_book(tmp_path_factory.mktemp("page"))
    cooks.shoulder(book)
    cooks.ribs(book)
    return book, rerun(book, numbers=True, changes=HOTTER, made_at=NOW)


def page(ran, report=None, within=None):
    book, found = ran
    return comparison_page(book, report or found, HOTTER, within or tolerances(), NOW)


def test_a_page_says_what_moved_and_lies_in_the_books_results(ran):
    book, report = ran
    path = write_page(book, report, HOTTER, tolerances(), NOW)
    assert path.parent == book.path / "results"
    text = path.read_text()
    for said in ("pit held at first: 250 F", "Harvest shoulder", "shorter", "in time", "30 s"):
        assert said in text
    row = next(row for row in report.rows if "shoulder" in row.cook)
    assert f"{row.differences.count} figures moved" in text
    assert text.count("<svg") == 2
    assert not re.search(r"<script|https?://(?!www\.w3\.org)|@import|url\(", text)
    assert re.search(r"default-src 'none'", text)


def test_what_a_title_holds_is_words(ran):
    _, report = ran
    rows = tuple(replace(row, title="<b onclick=x>&") for row in report.rows)
    bad = replace(rows[0], state="failed", changed=None, message="<script>x</script>")
    text = page(ran, Report((*rows, bad)))
    assert "<b onclick" not in text
    assert "<script" not in text
    assert "&lt;script&gt;x" in text


def test_crossings_and_faults_have_a_place(ran):
    _, report = ran
    good = replace(report.rows[0], crossings=(Crossing("A", "Time out, A: met → missed"),))
    text = page(ran, Report((good, replace(good, state="timeout", message="stopped after 1 s"))))
    assert "Time out, A: met → missed" in text
    assert "stopped after 1 s" in text
    assert "1 of 2 cooks have their result; 1 changed, 1 crosses a limit" in text
    assert "any difference of a figure counts" in page(ran, within=Tolerances())


def test_a_page_goes_where_it_is_wanted(ran, tmp_path):
    book, report = ran
    for out in (tmp_path, tmp_path / "mine.html"):
        assert write_page(book, report, HOTTER, tolerances(), NOW, out).parent == tmp_path
    with pytest.raises(InputError, match="nowhere"):
        write_page(book, report, HOTTER, tolerances(), NOW, tmp_path / "nowhere" / "mine.html")


def test_a_page_that_has_no_folder_is_refused_before_anything_runs(ran, capsys):
    book, _ = ran
    where = ["--cookbook", str(book.path), "--out", str(book.path / "nowhere" / "mine.html")]
    assert main(["rerun", "--numbers", "--set", "members=21", *where]) == 2
    assert "nowhere" in capsys.readouterr().err
    assert not list(book.path.glob("cooks/*/results/*members-21*"))


def test_a_run_without_results_makes_a_page_too(ran):
    _, report = ran
    text = page(ran, Report((replace(report.rows[0], state="no cluster", changed=None, moves=()),)))
    assert "no cluster" in text
    assert "<svg" not in text


def test_the_finding_names_the_farthest_on_either_side():
    assert moved_finding(ROWS) == (
        "1 piece takes less time, Late brisket: 2 h 05 shorter. 1 piece takes more time, "
        "Turkey, A: 1 h 25 longer. About as before: 1. 1 of these pieces crosses a limit or the odds "
        "asked for."
    )


@pytest.mark.parametrize("width", [344, 720])
def test_dots_stand_at_their_hours_and_words_inside_the_picture(width):
    many = [Moved(f"A cook with a rather long name {i}", (i - 30) / 7) for i in range(70)]
    for rows in (ROWS, many, [Moved("one", 0.0)], [Moved("far", 16.0), Moved("near", -0.1)]):
        scene = moved_scene(rows, width)
        dots = [mark for mark in scene.data["marks"] if mark["size"] == 40]
        shown = {round(row.longer_h, 9) for row in rows}
        assert {round(dot["h"], 9) for dot in dots[: min(len(rows), 40)]} <= shown
        for word in scene.data["words"]:
            wide = text_width(word["text"], word["size"])
            left = (
                scene.hours.px(word["h"])
                - wide * {"left": 0, "center": 0.5, "right": 1}[word["align"]]
            )
            assert left >= -1, word
            assert left + wide <= width + 1, word


def test_a_picture_has_its_finding_and_table():
    picture = moved_picture(ROWS, "Hotter")
    assert picture.finding in picture.svg
    assert picture.table[1][1] == ("Turkey, A", "1 h 25 longer")
