"""What is wrong with a cook's own mixes: all of it at once, each line by its place."""

from __future__ import annotations

from stallwise.joins.mix.mixfaults import mix_faults
from stallwise.record.schema import Book


def faults(*names: str) -> list[str]:
    lines = [{"ingredient": name, "amount": "1 tbsp"} for name in names]
    mine = {"schema": 1, "name": "Mine", "kind": "rub", "per": "1 kg meat", "lines": lines}
    return [words for _, words in mix_faults(Book(schema=1, title="Mine"), {"mine": mine}, {}, {})]


def test_every_wrong_line_is_told_and_the_near_ones_are_offered():
    found = faults("paprika", "papprika", "blak peper", "garlic_powder")
    assert [words.partition(": no")[0] for words in found] == [
        "mixes/mine.toml: line 2 (papprika)",
        "mixes/mine.toml: line 3 (blak peper)",
    ]
    assert "Did you mean paprika?" in found[0]
    assert "pepper_black_16" in found[1]


def test_a_whole_mix_has_no_fault():
    assert not faults("paprika")
