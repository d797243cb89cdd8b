"""A picture lies with the step that its caption tells of, and with none where it could be of several."""

import pytest

from stallwise.joins.film.captioned import captioned
from stallwise.joins.film.shots import Picture, Shot
from stallwise.tables.shots import shot_rows
from tests.joins.cooks import NOW


def _shot(kind, who=""):
    return Shot(kind, NOW, "", "", who, kind, "", "close", "", "", False, ())


SHOTS = (
    _shot("rub", "A B"),
    _shot("wrap", "A"),
    _shot("wrap", "B"),
    _shot("glaze"),
    _shot("carve"),
)


@pytest.mark.parametrize(
    ("caption", "at"),
    [
        ("Wrapped in foil (B)", 2),
        ("wrapped in foil (A), the other day", 1),
        ("Wrapped in foil", None),  # whose?
        ("Rub on", 0),
        ("Pulled, the rub on it still", 4),
        ("GLAZED and set, before it is sliced", 3),
        ("Unwrapped (A)", None),  # no such step here
        ("A scrub board", None),
        ("", None),
    ],
)
def test_the_first_word_of_a_step_counts_and_the_letter_says_whose(caption, at):
    found = captioned(SHOTS, [Picture("a.jpg", caption, None)])
    assert [n for n, shot in enumerate(found) if shot.pictures] == ([] if at is None else [at])


def test_when_a_picture_was_taken_is_not_asked():
    timed = [Picture("a.jpg", "no word of it", NOW), Picture("b.jpg", "Sliced", NOW)]
    found = captioned(SHOTS, timed)
    assert found == captioned(SHOTS, [Picture(one.file, one.caption, None) for one in timed])
    assert found[4].pictures == ("b.jpg",)


def test_words_of_captions_tell_of_one_kind_of_step():
    words = [
        word for row in shot_rows().values() if row.step != "trim_brisket" for word in row.captions
    ]
    assert all(words)
    assert len(words) == len(set(words))
