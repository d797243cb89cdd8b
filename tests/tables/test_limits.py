"""Printed rows of limits: looked up at, just below and just above each; nothing unread ships."""

from __future__ import annotations

import csv

import pytest

from stallwise.ground.errors import NotFoundError
from stallwise.ground.references import cited
from stallwise.tables.freezing import freezing_rows, freezing_time_s
from stallwise.tables.limits import (
    allergens,
    at_least,
    clock,
    clocks,
    figures,
    hold,
    hold_s,
    hold_tables,
    minima,
    rule,
    rules,
)

#: A hair: more than the grid on which readings are kept, less than any step of a table.
HAIR_K = 0.002

ROWS = [
    pytest.param(name, rows, index, id=rows[index].key)
    for name, rows in hold_tables().items()
    for index in range(len(rows))
]


@pytest.mark.parametrize(("name", "rows", "index"), ROWS)
def test_a_row_holds_from_its_temperature_to_the_next(name, rows, index):
    row = rows[index]
    before = rows[index - 1].hold_s if index else None
    assert hold_s(name, row.temperature_c) == row.hold_s
    assert hold_s(name, row.temperature_c + HAIR_K) == row.hold_s
    assert hold_s(name, row.temperature_c - HAIR_K) == before
    # As a probe's reading is kept, in thousandths of a degree.
    assert hold_s(name, round(row.temperature_c, 3)) == row.hold_s


@pytest.mark.parametrize("name", hold_tables())
def test_a_colder_core_never_shortens_a_required_hold(name):
    holds = [row.hold_s for row in hold_tables()[name]]
    assert holds == sorted(holds, reverse=True)
    assert hold(name, -20.0) is None


@pytest.mark.parametrize("row", freezing_rows(), ids=lambda row: row.key)
def test_a_freezing_row_holds_down_to_the_next(row):
    thick = row.thickness_m
    assert freezing_time_s(row.temperature_c, thick) == row.hold_s
    assert freezing_time_s(row.temperature_c - HAIR_K, thick) == row.hold_s
    warmer = freezing_time_s(row.temperature_c + HAIR_K, thick)
    assert warmer is None or warmer > row.hold_s
    if thick is not None:
        thicker = freezing_time_s(row.temperature_c, thick + 1e-6)
        assert thicker is None or thicker > row.hold_s


def test_every_row_names_a_rule_and_every_rule_its_place():
    named = [*minima().values(), *clocks().values(), *figures().values(), *freezing_rows()]
    named += [row for rows in hold_tables().values() for row in rows]
    assert {row.rule for row in named} <= rules().keys()
    for one in rules().values():
        assert cited(one.source), one.key
        assert (one.copy in {"text", "secondary copy"}) == (one.grade == "published"), one.key
        assert one.says.endswith("."), one.key


def test_a_secondary_copy_is_said_so():
    assert rule("consumer").grade_words == "published, read in a secondary copy"
    assert rule("food_code_roast").grade_words == "published"
    assert rule("four_hours").grade_words == "common practice, no source"


def test_nothing_from_memory_ships(root):
    tables = [root / "data" / "curing.csv", *sorted((root / "data").glob("limits_*.csv"))]
    for path in tables:
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                if "grade" not in row:  # words only
                    continue
                assert row["grade"] in {"published", "common practice, no source"}, row["key"]


def test_figures_come_in_si():
    assert figures()["probe-food-f"].si == pytest.approx(10 / 9)
    assert figures()["hot-hold"].si == pytest.approx(57.2222, abs=1e-4)
    assert figures()["clearance-flats"].si == pytest.approx(3.048)
    assert clock("cool-total").limit_s == 21_600.0


def test_a_reading_of_a_whole_degree_reaches_the_limit_of_that_degree():
    for degrees_f in range(32, 215):
        exact = (degrees_f - 32) / 1.8
        assert at_least(round(exact, 3), exact)
        assert not at_least(exact - 0.002, exact)


def test_allergens_of_both_schemes():
    assert len(allergens("us")) == 9
    assert len(allergens("eu")) == 14
    with pytest.raises(NotFoundError):
        allergens("uk")


def test_every_fact_that_a_limit_may_lack_can_be_asked(root):
    """Keys of facts in the source are rows of the questions, and no question is left over."""
    with (root / "data" / "limits_asks.csv").open(encoding="utf-8", newline="") as file:
        asks = {row["key"] for row in csv.DictReader(file)}
    source = "\n".join(
        path.read_text(encoding="utf-8")
        for folder in ("joins", "models")
        for path in (root / "src" / "stallwise" / folder).rglob("*.py")
        if path.name.startswith(("limit", "standing", "probecheck"))
    )
    assert {key for key in asks if f'"{key}"' not in source} == set()
