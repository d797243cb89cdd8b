"""Who wins, and how wrong names and values are refused."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.parameters import PARAMETERS, edits, parse_settings, resolve
from stallwise.record.schema import Cook, Piece, PitUse


def cook() -> Cook:
    return Cook(
        title="two racks",
        date=dt.date(2026, 5, 16),
        serve="16:00",
        pits=[PitUse(letter="P", start="225 F")],
        pieces=[
            Piece(letter="A", cut="pork-spare-ribs-trimmed", mass="3 lb", pit="P"),
            Piece(letter="B", cut="pork-spare-ribs-trimmed", mass="3 lb", pit="P", serve="17:00"),
        ],
    )


def test_a_bare_name_means_all_pieces_or_the_first_pit() -> None:
    changed = resolve(cook(), {"mass": "1.5 kg", "pit_start": "250 F"})
    assert [piece.mass for piece in changed.pieces] == ["1.5 kg", "1.5 kg"]
    assert changed.pits[0].start == "250 F"


def test_a_letter_wins_over_the_bare_name_whatever_the_order() -> None:
    for names in (["mass__A", "mass"], ["mass", "mass__A"]):
        values = {"mass": "1 kg", "mass__A": "2 kg"}
        changed = resolve(cook(), {name: values[name] for name in names})
        assert [piece.mass for piece in changed.pieces] == ["2 kg", "1 kg"]


def test_a_bare_serving_time_takes_away_the_pieces_own() -> None:
    changed = resolve(cook(), {"serve": "18:00"})
    assert (changed.serve, [piece.serve for piece in changed.pieces]) == ("18:00", [None, None])
    assert edits(cook(), {"serve": "18:00"}) == {"serve": "18:00", "pieces.B.serve": None}


def test_none_means_as_in_the_file_and_nothing_is_touched() -> None:
    original = cook()
    assert resolve(original, dict.fromkeys(PARAMETERS)) == original
    assert resolve(original, {"wrap": "foil"}) != original
    assert original == cook()


@pytest.mark.parametrize(
    ("name", "near"), [("weigth", ""), ("pit_strat", "pit_start"), ("warp", "wrap")]
)
def test_a_misspelt_name_is_refused_with_the_nearest(name: str, near: str) -> None:
    with pytest.raises(NotFoundError) as caught:
        resolve(cook(), {name: "1 kg"})
    assert near in str(caught.value)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("pit_start", 250),
        ("pit_start", "250"),
        ("mass", "-1 kg"),
        ("count", "two"),
        ("count", 0),
        ("wrap", "cloth"),
        ("serve", "25:00"),
        ("odds", "certain"),
        ("mass__C", "1 kg"),
        ("guests__A", 3),
    ],
)
def test_a_wrong_value_is_refused(name: str, value: object) -> None:
    with pytest.raises(InputError):
        resolve(cook(), {name: value})


def test_a_bare_number_is_refused_with_both_readings() -> None:
    with pytest.raises(InputError, match=r"250 F.*250 C"):
        resolve(cook(), {"pit_start": "250"})


@pytest.mark.parametrize("name", PARAMETERS)
def test_every_parameter_lands_where_its_edit_would_write_it(name: str) -> None:
    """One value of each kind goes through `resolve` and through `edits` alike."""
    values = {
        "temperature": "130 C",
        "mass": "2 kg",
        "length": "12 cm",
        "duration": "2:30",
        "elevation": "900 m",
        "clock": "18:30",
        "date": dt.date(2027, 10, 2),
        "thickness": "thick",
        "int": 3,
        "text": "abc",
        "fraction": "80 %",
    }
    parameter = PARAMETERS[name]
    value = parameter.choices[-1] if parameter.choices else values[parameter.kind]
    if parameter.level == "run":
        value = 50
    changed = resolve(cook(), {name: value})
    written = edits(cook(), {name: value})
    assert bool(written) == (parameter.level != "run")
    for key, wrote in written.items():
        place: object = changed
        for part in key.split("."):
            if part in "ABP" and isinstance(place, list):
                place = next(item for item in place if item.letter == part)
            else:
                place = getattr(place, part)
        assert place == wrote


def test_settings_are_split_at_the_first_equals_sign() -> None:
    assert parse_settings(["finish=bites clean", "mass__A = 1 kg"]) == {
        "finish": "bites clean",
        "mass__A": "1 kg",
    }
    with pytest.raises(InputError, match="="):
        parse_settings(["mass"])
