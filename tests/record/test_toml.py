"""A wrong edit is told with file, line, key, what came and what is allowed, all at once."""

import re

import pytest

from stallwise.record import toml
from stallwise.record.problems import RecordError
from stallwise.record.schema import Book, Cook, Pit

GOOD = """\
schema = 1
title = "Ribs"
date = 2026-09-26
serve = "16:00"

[[pits]]
letter = "P"
start = "225 F"
schedule = [["0 min", "225 F"], ["3 h", "275 F"]]

[[pieces]]
letter = "A"
cut = "ribs"
mass = "2 lb 8 oz"
"""


def _problems(text, model=Cook):
    with pytest.raises(RecordError) as error:
        toml.parse(text, model, file="cooks/x/cook.toml")
    assert error.value.status == 2
    return error.value.problems


def test_a_good_cook_is_read_and_its_quantities_stay_as_typed():
    cook = toml.parse(GOOD, Cook, file="cook.toml")
    assert cook.pieces[0].mass == "2 lb 8 oz"
    assert cook.pits[0].schedule == [("0 min", "225 F"), ("3 h", "275 F")]


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "words"),
    [
        ('mass = "2 lb 8 oz"', 'mass = "-2 lb"', 14, "pieces.A.mass", "'-2 lb' is negative"),
        ('mass = "2 lb 8 oz"', "mass = 2.5", 14, "pieces.A.mass", "'2.5 lb' or '2.5 oz'"),
        ('mass = "2 lb 8 oz"', 'mass = "0 g"', 14, "pieces.A.mass", "more than zero"),
        ('mass = "2 lb 8 oz"', 'mas = "2 lb"', 14, "pieces.A.mas", "no key 'mas'.*'mass'"),
        ('mass = "2 lb 8 oz"', "mass_kg = 2.5", 14, "pieces.A.mass_kg", "'mass'"),
        ('mass = "2 lb 8 oz"', 'wrap = "leaf"', 14, "pieces.A.wrap", "'leaf' came.*'foil'"),
        ('mass = "2 lb 8 oz"', "count = 1.5", 14, "pieces.A.count", "whole number"),
        ('mass = "2 lb 8 oz"', "opened = 1", 14, "pieces.A.opened", "true or false"),
        ('mass = "2 lb 8 oz"', 'on = "25:00"', 14, "pieces.A.on", '"16:00", "4 pm" or'),
        ('mass = "2 lb 8 oz"', 'on = "2026-02-30 10:00"', 14, "pieces.A.on", "no day"),
        ('mass = "2 lb 8 oz"', 'pit = "Q"', 14, "pieces.A.pit", "names pit 'Q'.*P"),
        (
            'mass = "2 lb 8 oz"',
            'moves = [{to = "Q", at = "04:30"}]',
            14,
            "pieces.A.moves[1].to",
            "'Q'",
        ),
        ('mass = "2 lb 8 oz"', 'thickness = "fat"', 14, "pieces.A.thickness", "thin, usual, thick"),
        ('letter = "A"', 'letter = "P"', 7, "pits.P.letter", "used twice"),
        ('letter = "A"', 'letter = "a"', 12, "pieces.a.letter", "one capital letter"),
        ('cut = "ribs"\n', "", 11, "pieces.A.cut", "missing"),
        ('start = "225 F"', 'start = "225"', 8, "pits.P.start", "'225 F' .*or '225 C'"),
        ('["3 h", "275 F"]', '["3 h", "275"]', 9, "pits.P.schedule[2][2]", "no unit"),
        ("date = 2026-09-26", 'date = "26.9.2026"', 3, "date", "year-month-day"),
        (
            "date = 2026-09-26",
            'time_zone = "Eastern Standard Time"\ndate = 2026-09-26',
            3,
            "time_zone",
            "IANA",
        ),
        (
            "date = 2026-09-26",
            'time_zone = "EST"\ndate = 2026-09-26',
            3,
            "time_zone",
            "Region/City",
        ),
        (
            'serve = "16:00"',
            'photos = [{file = "../../x.jpg"}]',
            4,
            "photos[1].file",
            "plain file name",
        ),
        ('serve = "16:00"', "number = {name = 'n', value = nan}", 4, "number.value", "a number"),
        ('title = "Ribs"', "title = 7", 2, "title", "text in quotes"),
        ('title = "Ribs"', 'title = "Ribs', 2, "", "cannot be read"),
        ('title = "Ribs"', 'title = "Ribs"\ntitle = "x"', 3, "", "cannot be read"),
        ('serve = "16:00"', "serve = 16:00", 4, "", "'serve = 16:00' cannot be read"),
        ("[[pieces]]", "[[pieces", 11, "", "cannot be read"),
        ("schema = 1", "schema = 2", 1, "schema", "of schema 2.*newer stallwise"),
        ("schema = 1", 'schema = "1"', 1, "schema", "whole number"),
    ],
)
def test_a_wrong_edit_names_its_line(old, new, line, key, words):
    assert old in GOOD
    (problem,) = _problems(GOOD.replace(old, new))
    assert problem.file == "cooks/x/cook.toml"
    assert problem.line == line
    assert problem.key == key
    assert re.search(words, str(problem))
    assert f"line {line}" in str(problem)


def test_all_problems_of_a_file_are_told_at_once_in_its_order():
    text = GOOD.replace('"2 lb 8 oz"', '"-2 lb"\npit = "Q"').replace("serve", "serv")
    found = _problems(text)
    assert [problem.line for problem in found] == [4, 14, 15]
    with pytest.raises(RecordError) as error:
        toml.parse(text, Cook, file="cook.toml")
    assert str(error.value).count("\n") == 2


@pytest.mark.parametrize("key", ["butcher", "x_mas", "wood_pile", "grandmother"])
def test_a_key_of_the_cook_s_own_is_kept_and_listed(key):
    text = f'{GOOD}{key} = "mine"\n'
    cook = toml.parse(text, Cook, file="cook.toml")
    assert cook.pieces[0].model_extra == {key: "mine"}
    assert toml.unknown_keys(text, cook) == [(15, f"pieces.A.{key}")]


def test_times_and_dates_may_be_typed_either_way():
    text = GOOD.replace("date = 2026-09-26", 'date = "2026-09-26"').replace('"16:00"', "16:00:00")
    cook = toml.parse(f"{text}on = 2026-09-25 21:30:00\n", Cook, file="cook.toml")
    assert cook == toml.parse(f'{GOOD}on = "2026-09-25 21:30"\n', Cook, file="cook.toml")


def test_the_other_files_are_checked_too():
    (problem,) = _problems('title = "x"\nunits = "imperial"\n', Book)
    assert problem.line == 2
    (problem,) = _problems('name = "x"\nkind = "ofset"\n', Pit)
    assert "'offset'" in problem.allowed


def test_plain_data_is_validated_under_the_name_of_its_place():
    piece = {"letter": "A", "cut": "c", "mass": "1"}
    data = {"title": "x", "date": "2026-09-26", "pieces": [piece]}
    with pytest.raises(RecordError, match=r"changed plan, pieces\.A\.mass"):
        toml.validated(Cook, data, where="changed plan")
    cook = toml.parse(GOOD, Cook, file="cook.toml")
    assert toml.validated(Cook, cook.model_dump(by_alias=True), where="again") == cook
