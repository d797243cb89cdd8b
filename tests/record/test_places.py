"""Places of a pit in its file: one way of writing each, and what does not fit together is told."""

from __future__ import annotations

import pytest

from stallwise.record import toml
from stallwise.record.places import place_key
from stallwise.record.problems import RecordError
from stallwise.record.schema import Pit

HEAD = 'schema = 1\nname = "Ours"\n'
FIREBOX = '[[places]]\nname = "next to the firebox"\n'
CHIMNEY = '[[places]]\nname = "under the chimney"\n'


def read(text: str) -> Pit:
    return toml.parse(HEAD + text, Pit, file="pits/ours.toml")


def test_one_place_has_one_name_however_it_is_written():
    assert place_key("Next to the  firebox") == place_key("next to firebox.") == "next to firebox"
    assert place_key("Übers Feuer") == "übers feuer"
    assert place_key("on the") == "on the"
    assert place_key(None) == ""


def test_both_tests_are_read():
    warm = read(f'{FIREBOX}temperature = "275 F"\n{CHIMNEY}temperature = "118 C"\n')
    assert [one.temperature for one in warm.places] == ["275 F", "118 C"]
    dark = read(f"{FIREBOX}toast = 5\n{CHIMNEY}toast = 2\n")
    assert [one.toast for one in dark.places] == [5, 2]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f'{FIREBOX}temperature = "275"\n', "line 5, places[1].temperature: '275' has no unit"),
        (f"{FIREBOX}toast = 6\n{CHIMNEY}toast = 1\n", "line 5, places[1].toast: 6 came"),
        (f'{FIREBOX}toast = 3\ntemperature = "275 F"\n', "has both tests"),
        (f"{FIREBOX}{CHIMNEY}toast = 3\n", "'next to the firebox' has no test"),
        (f'{FIREBOX}toast = 3\n{CHIMNEY}temperature = "250 F"\n', "one kind of test"),
        (f"{FIREBOX}toast = 3\n{FIREBOX}toast = 4\n", "comes twice"),
        (f"{FIREBOX}toast = 3\n", "nothing to compare it with"),
        ('tested_at = "250 F"\n', "tested_at without places"),
        (f'tested_at = "250 F"\n{FIREBOX}toast = 3\n{CHIMNEY}toast = 2\n', "shades of toast"),
        (f'number_by = "middle"\n{FIREBOX}toast = 3\n{CHIMNEY}toast = 2\n', "not among the places"),
        (f"{FIREBOX}tost = 3\n{CHIMNEY}toast = 2\n", "Allowed: 'toast'"),
        ("places = 3\n", "a list in square brackets"),
    ],
)
def test_what_does_not_fit_is_told_with_its_line(text, said):
    with pytest.raises(RecordError) as caught:
        read(text)
    assert said in str(caught.value)
