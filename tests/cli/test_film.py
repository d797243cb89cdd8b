"""`film` at the command line: what to show, chapters, captions, the still."""

import json

import pytest

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

COOK = "2026-09-26-harvest-supper"


@pytest.fixture
def folder(tmp_path):
    book = Cookbook.start(tmp_path / "book", "Sample")
    bring_sample(book)
    return book.cook(COOK)


def film(folder, *words):
    return main(["film", COOK, "--cookbook", str(folder.home.path), *words])


def test_pictures_of_the_sample_lie_with_their_steps(folder, capsys):
    assert film(folder, "--json") == 0
    found = {row["kind"]: row for row in json.loads(capsys.readouterr().out)["shots"]}
    assert found["rub"]["pictures"] == ["rubbed-shoulder.jpg"]
    assert found["carve"]["pictures"] == ["pulled-shoulder.jpg"]
    assert found["wrap"]["missing"]
    assert not found["rub"]["missing"]
    assert film(folder) == 0
    assert "Logged, and no picture of it:" in capsys.readouterr().out


def test_chapters_are_text_that_begins_at_nought(folder, capsys):
    assert film(folder, "--start", "01:30") == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("0:00:00 Meat on\n")
    assert film(folder, "--start", "half past") == 2
    assert film(folder, "--start", "2026-09-28 10:00") == 2
    assert "nothing is logged" in capsys.readouterr().err


def test_captions_come_from_the_log_and_are_written_when_said(folder, capsys):
    folder.save({"photos.rubbed-shoulder.jpg.caption": None})
    before = folder.text()
    assert film(folder, "--captions") == 0
    assert "rubbed-shoulder.jpg: Rub on" in capsys.readouterr().out
    assert folder.text() == before
    assert film(folder, "--captions", "--accept") == 0
    captions = {photo.file: photo.caption for photo in folder.read().photos}
    assert captions["rubbed-shoulder.jpg"] == "Rub on"
    assert film(folder, "--accept") == 2


def test_the_still_stands_first_and_alone(folder, capsys):
    assert film(folder, "--still", "pulled-shoulder.jpg") == 0
    assert [p.file for p in folder.read().photos if p.lead] == ["pulled-shoulder.jpg"]
    assert film(folder, "--still", "pulled.jpg") == 2
    assert "pulled-shoulder.jpg" in capsys.readouterr().err


def test_an_empty_word_is_no_time_and_no_picture(folder):
    assert film(folder, "--start", "") == 2
    assert film(folder, "--still", "") == 2


def test_what_writes_answers_for_a_program_too(folder, capsys):
    assert film(folder, "--still", "pulled-shoulder.jpg", "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"still": "pulled-shoulder.jpg"}
    crowd = ["crowd", "--guests", "28", "--cut", "lamb-shoulder", "--json", "--on", "2027-09-04"]
    crowd += ["--cookbook", str(folder.home.path), "--start"]
    assert main([*crowd, "Village do"]) == 0
    assert json.loads(capsys.readouterr().out)["cook"] == "2027-09-04-village-do"
    assert main([*crowd, ""]) == 2
