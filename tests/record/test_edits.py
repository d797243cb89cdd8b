"""Editing TOML in place: what is asked changes, every other byte stays."""

import datetime as dt
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.edits import as_toml, edit, rewrite
from stallwise.record.layout import scan

TEXT = """\
# head
schema = 1
title = "x"   # keep
date = 2026-09-25
mood.smoke = "blue"

# about the weather
[weather]
ambient = "60 F"  # cool

# the pits
[[pits]]
letter = "P"
start = "225 F"

# --- pieces ---
[[pieces]]
letter = "A"  # first
cut = "ribs"
# wrap = "foil"

# second one
[[pieces]]
letter = "B"
cut = "ribs"
moves = [{ to = "Q", at = "04:30" }]
# trailing
"""

CASES = [
    ({"title": "y"}, "title", "y"),
    ({"serve": "16:00"}, "serve", "16:00"),
    ({"weather.rain": True}, "weather.rain", True),
    ({"weather.ambient": None}, "weather.ambient", None),
    ({"pieces.A.wrap": "foil"}, "pieces.0.wrap", "foil"),
    ({"pieces.B.moves": []}, "pieces.1.moves", []),
    ({"pieces.B.cut": None}, "pieces.1.cut", None),
    ({"pits.P.schedule": [["0 min", "225 F"]]}, "pits.0.schedule", [["0 min", "225 F"]]),
    ({"mood.fire": 2}, "mood.fire", 2),
    ({"number": {"name": "n", "value": 3.5}}, "number.value", 3.5),
    ({"number.name": "n"}, "number.name", "n"),
    ({"photos+": {"file": "a.b.jpg"}}, "photos.0.file", "a.b.jpg"),
    ({"pieces+": {"letter": "C"}}, "pieces.2.letter", "C"),
    ({"notes": 'two\nlines with "quotes" and a \\'}, "notes", 'two\nlines with "quotes" and a \\'),
    ({"date": dt.date(2027, 1, 2)}, "date", dt.date(2027, 1, 2)),
]


def _at(data, path):
    for step in path.split("."):
        data = data.get(step) if isinstance(data, dict) else data[int(step)]
    return data


def _comments(text):
    return sorted(line.partition("#")[2].strip() for line in text.splitlines() if "#" in line)


@pytest.mark.parametrize(("changes", "path", "value"), CASES, ids=[str(case[0]) for case in CASES])
def test_one_change_is_made_and_no_comment_is_lost(changes, path, value):
    new = edit(TEXT, changes)
    assert _at(tomllib.loads(new), path) == value
    assert _comments(new) == _comments(TEXT)
    kept = [line for line in TEXT.splitlines() if line in new.splitlines()]
    assert len(TEXT.splitlines()) - len(kept) <= 1


def test_a_new_key_stands_with_its_own_table_not_behind_the_next_one_s_comment():
    new = edit(TEXT, {"pieces.A.wrap": "foil", "weather.rain": False})
    assert 'cut = "ribs"\nwrap = "foil"\n# wrap = "foil"\n' in new
    assert 'ambient = "60 F"  # cool\nrain = false\n\n# the pits\n' in new


def test_a_photo_whose_name_has_dots_is_found():
    new = edit(TEXT, {"photos+": {"file": "a.b.jpg"}, "photos.a.b.jpg.caption": "bark"})
    assert tomllib.loads(new)["photos"] == [{"file": "a.b.jpg", "caption": "bark"}]
    assert tomllib.loads(edit(new, {"photos.a.b.jpg": None})) == tomllib.loads(TEXT)


def test_inline_tables_are_edited_where_they_stand():
    text = 'pieces = [{letter = "A"},  {letter="B", cut="c"},] # k\n'
    new = edit(text, {"pieces.A.wrap": "foil", "pieces.B.letter": None, "pieces+": {"letter": "Z"}})
    assert new == 'pieces = [{letter = "A", wrap = "foil"},  {cut="c"}, { letter = "Z" },] # k\n'
    assert edit(text, {"pieces.A": None}) == 'pieces = [{letter="B", cut="c"},] # k\n'


def test_a_pit_that_names_no_letter_is_the_first():
    assert tomllib.loads(edit("[[pits]]\npit = 'x'\n", {"pits.P.start": "225 F"}))["pits"] == [
        {"pit": "x", "start": "225 F"}
    ]
    assert tomllib.loads(edit("a = 1\n", {"pits.P.start": "225 F"}))["pits"] == [
        {"letter": "P", "start": "225 F"}
    ]


def test_a_piece_that_is_not_there_is_told():
    with pytest.raises(NotFoundError, match="no piece is called 'C'"):
        edit(TEXT, {"pieces.C.wrap": "foil"})


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "half \ud800", object()])
def test_what_toml_cannot_hold_is_refused(value):
    with pytest.raises(InputError):
        edit(TEXT, {"notes": value})


def test_line_ends_of_another_system_stay():
    text = TEXT.replace("\n", "\r\n")
    new = edit(text, {"serve": "16:00", "notes": "a\nb"})
    assert "\n" not in new.replace("\r\n", "")
    assert new.startswith(text[:20])


def test_a_file_without_a_last_line_end_and_an_empty_one():
    assert edit("a = 1", {"b": 2}) == "a = 1\nb = 2\n"
    assert edit("", {"a": 1}) == "a = 1\n"
    assert edit("# only words\n[t]\n", {"t.a": 1}) == "# only words\n[t]\na = 1\n"


KEYS = st.sampled_from(["one", "two", "three words", "4", "ü"])
TEXTS = st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=20)
SCALARS = st.one_of(
    st.booleans(),
    st.integers(-(2**62), 2**62),
    st.floats(allow_nan=False, allow_infinity=False),
    TEXTS,
    st.dates(),
    st.times().map(lambda time: time.replace(tzinfo=None)),
)
VALUES = st.one_of(
    SCALARS, st.lists(SCALARS, max_size=3), st.dictionaries(KEYS, SCALARS, max_size=3)
)


@given(value=VALUES, depth=st.sampled_from([0, 1]))
def test_every_value_reads_back_as_it_was_written(value, depth):
    assert tomllib.loads(f"x = {as_toml(value, depth)}")["x"] == value


@given(
    comments=st.lists(st.text("abc #\"'[]=,{}", max_size=8), min_size=4, max_size=4),
    new=st.dictionaries(KEYS, VALUES, max_size=4),
    again=st.dictionaries(KEYS, st.one_of(st.none(), VALUES), max_size=4),
)
def test_edits_round_trip_and_keep_every_comment(comments, new, again):
    head, top, header, inner = comments
    text = f"#{head}\nold = 1 #{top}\n[table] #{header}\nkey = [1,\n 2] #{inner}\n"
    edited = edit(text, {f"table.{key}": value for key, value in new.items()})
    assert tomllib.loads(edited) == {"old": 1, "table": {"key": [1, 2], **new}}
    edited = edit(edited, {f"table.{key}": value for key, value in again.items()})
    wanted = {k: v for k, v in {"key": [1, 2], **new, **again}.items() if v is not None}
    assert tomllib.loads(edited) == {"old": 1, "table": wanted}
    for comment in comments:
        assert f"#{comment}" in edited
    edited = edit(edited, dict.fromkeys((f"table.{key}" for key in wanted if key != "key"), None))
    assert edited == text


@given(new=st.dictionaries(KEYS, VALUES, min_size=1, max_size=4))
def test_a_text_can_be_made_to_say_anything(new):
    assert tomllib.loads(rewrite(TEXT, new)) == new


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 3),
        (("mood", "smoke"), 5),
        (("weather", "ambient"), 9),
        (("pieces", 1, "moves", 0, "at"), 26),
        (("pieces", 1, "absent"), 23),
        (("absent",), None),
    ],
)
def test_each_key_has_its_line(path, line):
    assert scan(TEXT).line(path) == line
