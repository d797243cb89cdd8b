"""Mixes of a cook side by side: each keeps its own steps, and its writer's words are shown."""

from __future__ import annotations

import dataclasses

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.mix.mixanswer import enough_for
from stallwise.joins.tables import as_text, mix_tables
from stallwise.surfaces.journal.public import public_result
from stallwise.surfaces.widgets import html
from tests.joins.cooks import NOW, record


def _glaze(name: str, note: str = "") -> dict[str, object]:
    return {
        "name": name,
        "kind": "glaze",
        "per": "batch",
        **({"note": note} if note else {}),
        "lines": [
            {"ingredient": "water_tap", "amount": "3 cup"},
            {"ingredient": "honey", "amount": "1/4 cup", "note": "warm it first"},
            {"ingredient": "salt_kosher_rolled", "amount": "2 t", "when": "after reducing"},
        ],
        "reduce": {"to": "3/4 cup"},
    }


@pytest.fixture(scope="module")
def result():
    cook = record(mixes=("one", "two"))
    own = {"one": _glaze("One", "Off the heat when it coats a spoon."), "two": _glaze("Two")}
    return answer(dataclasses.replace(cook, mixes=own), made_at=NOW)


def test_every_glaze_says_what_goes_in_after_reducing(result):
    late = [[n for n in mix.notes if n.startswith("After reducing")] for mix in result.mixes]
    assert all(len(one) == 1 for one in late), late


def test_what_holds_for_all_mixes_is_said_once(result):
    first, second = result.mixes
    assert any(note.startswith("Spoons and cup are") for note in first.notes)
    assert not any(note.startswith("Spoons and cup are") for note in second.notes)
    assert not any("a teaspoon weighs" in note for note in second.notes)


def test_the_writers_own_words_are_shown_and_kept_back_with_the_notes(result):
    assert result.mixes[0].own == ("Off the heat when it coats a spoon.", "Honey: warm it first")
    assert result.mixes[1].own == ("Honey: warm it first",)
    assert public_result(result, []).mixes[0].own == result.mixes[0].own
    assert not any(mix.own for mix in public_result(result, ["notes"]).mixes)


@pytest.mark.parametrize(
    ("kind", "count", "system", "said"),
    [
        ("area", 0.25, "us", "388 square inches of surface"),
        ("area", 0.25, "metric", "2500 cm2 of surface"),
        ("edible", 2.0, "metric", "2.00 kg of meat without bone"),
        ("guest", 1500, "us", "1500 guests"),
        ("guest", 2.5, "us", "2.5 guests"),
        ("piece", 1, "us", "1 piece"),
        ("batch", 2, "us", ""),
    ],
)
def test_what_a_mix_is_for_is_said_in_the_books_units(kind, count, system, said):
    assert enough_for(kind, count, system) == said


def test_a_mix_is_shown_with_what_else_is_to_be_known_of_it():
    made = answer(record(mixes=("bone-stock",)), made_at=NOW, changes={"members": 20}, seed=1)
    table, notes = mix_tables(made)
    assert table.rows
    said = as_text(notes)
    assert "Reduce from" in said
    assert said.startswith("  ")  # lines, no caption and no header
    assert "<p" in str(html.table(notes))
    assert "<table" not in str(html.table(notes))
