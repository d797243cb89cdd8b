"""Rules to look up: every rule shows every row that names it, in either scale."""

from __future__ import annotations

import pytest

from stallwise.ground.errors import NotFoundError
from stallwise.joins.limit.limitlookup import look_up, rule_names
from stallwise.tables.freezing import freezing_rows
from stallwise.tables.limits import clocks, figures, hold_tables, minima, rules


def rows_of(key):
    tables = (minima(), clocks(), figures(), {one.key: one for one in freezing_rows()})
    named = [row for table in tables for row in table.values()]
    named += [row for some in hold_tables().values() for row in some]
    return [row for row in named if row.rule == key]


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("key", rules())
def test_a_rule_shows_all_its_rows(key, system):
    (one,) = look_up(key, system)
    if not key.startswith("allergens"):
        assert len(one.rows) == len(rows_of(key))
    assert all(row.strip() and not row.endswith(":") for row in one.rows)
    assert one.says
    assert one.grade


def test_every_published_rule_is_listed_with_its_place():
    listed = {key for _, key in rule_names()}
    assert {key for key, one in rules().items() if one.grade == "published"} == listed
    for one in rules().values():
        if one.grade == "published":
            assert all((one.agency, one.title, one.year, one.section, one.applies)), one.key


@pytest.mark.parametrize(
    ("word", "at_c", "thickness_m", "said"),
    [
        ("food_code_roast", (143 - 32) / 1.8, None, "143 °F counts as 142 °F, held 8 min"),
        ("food_code_roast", (129 - 32) / 1.8, None, "below its first row"),
        ("trichinae_freeze", (4 - 32) / 1.8, 0.1, "20 days"),
        ("trichinae_freeze", (6 - 32) / 1.8, 0.1, "warmer than its first row"),
        ("trichinae_freeze_inside", (-1 - 32) / 1.8, None, "106 h"),
    ],
)
def test_a_temperature_counts_as_its_row(word, at_c, thickness_m, said):
    (one,) = look_up(word, "us", at_c=at_c, thickness_m=thickness_m)
    assert any(said in each for each in one.counts)


def test_a_difference_is_no_temperature():
    (one,) = look_up("food_code_probe", "metric")
    assert one.rows[0].startswith("2 °F: ")


def test_an_unknown_word_is_answered_with_what_there_is():
    for word in ("no such rule", " "):
        with pytest.raises(NotFoundError, match="There are: allergens_eu"):
            look_up(word, "us")
