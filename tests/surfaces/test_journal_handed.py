"""What was handed in and what to show: on the page where the cook wants it, and else in no file."""

import dataclasses
import re

import pytest

from stallwise.ground.errors import NotFoundError
from stallwise.record.schema import Photo
from stallwise.surfaces.journal.public import public_cook
from tests.pictures import results as made
from tests.surfaces.test_journal import HOSTILE, Shelf, camera, picture

WORDS = ("CANARYNAME", "CANARYWHY", "CANARYSAID", "CANARYNUMBER")
FILE = "CANARYFILE.jpg"


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def ribs():
    return made.ribs()


@pytest.fixture
def shoulder():
    return made.shoulder()


def _contest(**more):
    return {
        "hand_ins": [
            {"name": WORDS[0], "at": "16:30", "pieces": ["A", "B"], "picked": ["B"], "why": WORDS[1],
             "photo": FILE, "comments": [WORDS[2], HOSTILE], "number": {"name": WORDS[3], "value": 7.5, "out_of": 9.0}}
            | more
        ]
    }  # fmt: skip


def _published(shelf, result, **words):
    folder = shelf.add(result, **words)
    for n, file in enumerate([FILE, *(one.file for one in words.get("photos", ()))]):
        picture((90 + n, 60)).save(folder / file, exif=camera())
    assert not shelf.publish(result.cook).troubles
    files = [path for path in (shelf.path / "journal").rglob("*") if path.is_file()]
    every = b"\n".join(path.read_bytes() + path.name.encode() for path in files)
    return shelf.page(result.cook), every, [path for path in files if path.suffix == ".webp"]


def test_what_was_picked_and_said_of_it_is_on_the_page(shelf, ribs):
    html, every, photos = _published(shelf, ribs, contest=_contest())
    section = html.partition('aria-labelledby="handed-in"')[2].partition("</section>")[0]
    said = " ".join(re.sub(r"<[^>]*>", " ", section).split())
    assert f"16:30 {WORDS[0]} Picked B over A {WORDS[1]} 7.5 of 9 {WORDS[3]} {WORDS[2]}" in said
    assert HOSTILE not in html
    assert photos
    assert all(f"/{photo.name}" in section for photo in photos)
    assert 'class="lead"' not in html
    assert FILE.encode() not in every


@pytest.mark.parametrize("private", ["contest", "pieces.A", "pieces.B"])
def test_a_contest_kept_back_is_in_no_file(shelf, ribs, private):
    html, every, photos = _published(shelf, ribs, contest=_contest(), private=[private])
    assert "Handed in" not in html
    assert not [word for word in (*WORDS, FILE) if word.encode() in every]
    assert photos == []


@pytest.mark.parametrize(
    "words",
    [
        {"private": ["photos"]},
        {"private": [f"photos.{FILE}"]},
        {"photos": [Photo(file=FILE, caption="CANARYCAPTION", private=True)]},
    ],
)
def test_a_picture_kept_back_leaves_the_words(shelf, ribs, words):
    html, every, photos = _published(shelf, ribs, contest=_contest(), **words)
    assert WORDS[1] in html
    assert photos == []
    assert b"CANARYCAPTION" not in every


def test_a_listed_picture_stands_with_its_hand_in_alone(shelf, ribs):
    html, _, photos = _published(
        shelf, ribs, contest=_contest(),
        photos=[Photo(file="top.jpg", lead=True), Photo(file=FILE, caption="Rack B.")],
        public=["shots"],
    )  # fmt: skip
    assert html.count('class="photo') == 2
    assert len(set(re.findall(r'id="(photo-\w+)', html))) == 2
    assert 'id="the-photos"' not in html
    assert photos


def test_before_the_day_nothing_was_handed_in(shelf, ribs):
    plain = {"hand_ins": [{"name": "ribs", "at": "16:30", "pieces": ["A", "B"]}]}
    html, *_ = _published(shelf, ribs, contest=plain)
    assert "Handed in" not in html


def test_what_to_show_is_told_where_the_cook_says_so(shelf, shoulder):
    steps = tuple(dataclasses.replace(step, person="1 2") for step in shoulder.steps)
    html, *_ = _published(
        shelf, dataclasses.replace(shoulder, steps=steps, roles=("CANARYROLE", "board")),
        photos=[Photo(file=FILE, caption="Wrapped in paper.")], public=["shots"],
    )  # fmt: skip
    section = html.partition('aria-labelledby="to-show"')[2].partition("</section>")[0]
    wrap = next(part for part in section.split("<dt>") if "the folds go" in part)
    link = re.search(r'href="#(photo-\w+)"[^>]*>Wrapped in paper\.<', wrap)
    assert link
    assert f'id="{link[1]}"' in html
    assert "Raw meat and its juice" in section
    # No hour of a step or a picture, and nobody's hands.
    assert not re.search(r"\d:\d\d|CANARYROLE|hands:", section)


@pytest.mark.parametrize(
    "words",
    [
        {},
        {"public": ["costs"]},
        {"public": ["shots"], "private": ["shots"]},
        {"public": ["shots"], "private": ["sheet"]},
    ],
)
def test_what_to_show_is_else_kept_back(shelf, shoulder, words):
    html, *_ = _published(shelf, shoulder, **words)
    assert "What to show" not in html
    assert 'id="photo-' not in html


def test_a_slip_in_public_says_what_is_allowed(shelf, shoulder):
    shelf.add(shoulder, public=["shot"])
    with pytest.raises(NotFoundError, match="shots"):
        public_cook(shelf.folders[0].load().cook)
