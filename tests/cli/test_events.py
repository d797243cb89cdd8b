"""Crowd, quote, lesson and contest at the command line: what a cook types, and what is refused in words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli.main import main
from tests.joins.eventbook import event_book

CROWD = ["crowd", "--guests", "90", "--cut", "pork-shoulder-bone-in", "--piece", "8 lb"]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return event_book(tmp_path_factory.mktemp("events")).path


@pytest.fixture
def said(book: Path, capsys: pytest.CaptureFixture[str]):
    def say(*words: str, status: int = 0) -> tuple[str, str]:
        capsys.readouterr()
        assert main(["--cookbook", str(book), *words]) == status, capsys.readouterr()
        return capsys.readouterr()

    return say


def test_a_crowd_becomes_a_cook_with_a_quote_and_a_page(said, book, tmp_path):
    out, _ = said(
        *CROWD, "--pit", "trailer-offset", "--pit", "barrel", "--box", "hot-box", "--serve", "13:00=60",
        "--serve", "15:00", "--no-shows", "5 %", "--price", "$2.89/lb", "--start", "Hall supper",
        "--on", "2027-06-20", "--people", "3",
    )  # fmt: skip
    name = out.split()[1].rstrip(".")
    assert (book / "cooks" / name / "cook.ipynb").is_file()
    found = json.loads(said("quote", name, "--json")[0])
    assert found["guests"]["heads"] == 90
    assert found["sums"]["per_head"] is None
    assert set(found["sums"]["blank"]) == {
        "kitchen", "fuel", "work", "hire", "travel", "disposables",
    }  # fmt: skip
    page = tmp_path / "quote.html"
    out, _ = said("quote", name, "--print", str(page))
    assert "a head, at least" not in out  # no margin is said
    assert '<span class="blank">' in page.read_text()
    assert "no price to keep" in said("quote", name, "--keep", status=2)[1]


def test_papers_and_files_of_a_class_and_a_contest(said, tmp_path):
    said("lesson", "class-of-twelve", "--print", str(tmp_path / "class"))
    names = {path.name for path in (tmp_path / "class").iterdir()}
    assert {"teacher.html", "pits.html", "slips.html", "handouts.html"} < names
    assert len([name for name in names if name.endswith(".toml")]) == 12
    out, _ = said(
        "new",
        "--from",
        str(tmp_path / "class" / "B2.toml"),
        "--on",
        "2027-08-01",
        "--title",
        "Ribs at home",
    )
    assert "pre-filled from B2" in out
    said("contest", "four-hand-ins", "--print", str(tmp_path / "contest"))
    assert {path.name for path in (tmp_path / "contest").iterdir()} == {
        "hand-ins.html", "minutes.html", "sheet.html",
    }  # fmt: skip
    assert "Hand in at 17:00" in (tmp_path / "contest" / "minutes.html").read_text()


def test_answers_as_json(said):
    lesson = json.loads(said("lesson", "class-of-twelve", "--json")[0])
    assert [show["shown"] for show in lesson["shows"]] == ["stall", "slicing"]
    contest = json.loads(said("contest", "four-hand-ins", "--json")[0])
    assert [one["wanted"] for one in contest["hand_ins"]] == [1, 4, 1, 1]
    crowd = json.loads(
        said(
            "crowd",
            "--guests",
            "400",
            "--cut",
            "pork-shoulder-bone-in",
            "--pit",
            "barrel",
            "--json",
        )[0]
    )
    assert crowd["most_heads"] < 400
    assert crowd["hire_m2"] > 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([*CROWD, "--serve", "25:00"], "25:00"),
        ([*CROWD, "--serve", "13:00=many"], "how many of the guests"),
        ([*CROWD, "--serve", "13:00=40"], "40 of 90 guests"),
        ([*CROWD, "--box", "barrel"], "pans = 6"),
        ([*CROWD, "--box", "hotbox"], "Nearest: hot-box"),
        ([*CROWD, "--no-shows", "100 %"], "0 to under 1"),
        ([*CROWD, "--loads", "0"], "at least one"),
        ([*CROWD, "--cut", "beef-brisket-whole", "--piece", "beef-brisket-whole=13 lb"], "of which cut"),
        ([*CROWD, "--liked", "70 %"], "100 % over all meats"),
        ([*CROWD, "--pit", "barrel", "--guests", "4000", "--start", "x"], "Hire a pit with"),
        ([*CROWD, "--pit", "barrel", "--guests", "180", "--loads", "3", "--start", "x"], "one load a cook"),
        (["quote", "class-of-twelve"], "guests = 90"),
        (["lesson", "fete-for-ninety"], "is no class"),
        (["contest", "fete-for-ninety"], "is no contest day"),
        (["quote", "fete-for-ninety", "--set", "pans__D=2"], "7 pans in"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_in_words(said, words, told):
    assert told in said(*words, status=2)[1]


def test_teams_and_shows_that_are_not_there_are_told(said, book):
    path = book / "cooks" / "2027-07-10-class-of-twelve" / "cook.toml"
    text = path.read_text()
    try:
        for old, new, told in (
            ('[[lesson.teams]]\npit = "B"', '[[lesson.teams]]\npit = "A"', "each pit one team"),
            ('[[lesson.teams]]\npit = "B"', '[[lesson.teams]]\npit = "Z"', "pits of this cook"),
            ('pieces = ["U", "V"]', 'pieces = ["U", "X"]', "pieces of this cook"),
            ('shown = "slicing"', 'shown = "sliced"', "slicing"),
        ):
            path.write_text(text.replace(old, new))
            assert told in said("lesson", "class-of-twelve", status=2)[1]
    finally:
        path.write_text(text)
