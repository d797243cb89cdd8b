"""The table of odds and what they cost."""

from __future__ import annotations

import datetime as dt

from stallwise.joins.answer import answer
from stallwise.joins.tables import chance_table
from stallwise.record.schema import PitUse
from tests.joins.cooks import DATE, NOW, line, record, ribs

NOON = dt.datetime.combine(DATE, dt.time(12), dt.UTC)


def lit(log, now):
    pieces = [ribs(letter="A", serve="17:00"), ribs(letter="B", serve="20:00")]
    made = record(*pieces, log=log, pits=[PitUse(letter="P", start="250 F")])
    table = chance_table(answer(made, made_at=now, as_of=now, changes={"members": 40}))
    at = table.header.index("light the fire")
    return {row[0]: row[at] for row in table.rows}


def test_a_fire_that_burns_is_not_lit_again_for_the_next_piece():
    log = [line("08:00", "fire_lit"), line("09:00", "meat_on", "A")]
    assert lit(log, NOON) == {"B": "alight"}
    planned = lit([], NOW)
    assert planned["A"] == planned["B"] != "alight"
