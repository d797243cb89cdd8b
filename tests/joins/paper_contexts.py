"""Contexts of made-up cooks that short lines are read in."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

from stallwise.joins.log.papercontext import PaperContext
from stallwise.record.log import LogLine

ZONE = ZoneInfo("EST5EDT")


def at(text: str) -> dt.datetime:
    """Instant of a wall clock in the tests' zone, or of one with an offset."""
    moment = dt.datetime.fromisoformat(text)
    return moment if moment.tzinfo else moment.replace(tzinfo=ZONE)


def _all_on(text: str, letters: str) -> dict[str, dt.datetime]:
    return dict.fromkeys(letters, at(text))


DAY = PaperContext(
    date=dt.date(2027, 9, 25),
    zone=ZONE,
    pieces=("A", "B"),
    cuts=dict.fromkeys("AB", "pork-spareribs-trimmed"),
    wraps=dict.fromkeys("AB", "foil"),
    on=_all_on("2027-09-25 09:00", "AB"),
    served=at("2027-09-25 16:00"),
)
THREE = replace(
    DAY,
    pieces=("A", "B", "C"),
    cuts={"A": "beef-brisket-whole", "B": "pork-spareribs", "C": "pork-spareribs"},
    on=_all_on("2027-09-25 09:00", "ABC"),
)
NIGHT = replace(
    DAY,
    pieces=("A",),
    pits=("P", "Q"),
    pit_kinds={"P": "offset", "Q": "oven"},
    piece_pits={"A": "P"},
    cuts={"A": "pork-shoulder-bone-in"},
    on=_all_on("2027-09-24 21:30", "A"),
)
DAWN = replace(
    DAY,
    pieces=("A",),
    cuts={"A": "beef-brisket-whole"},
    on=_all_on("2027-09-25 03:25", "A"),
    served=at("2027-09-25 18:00"),
)
FIRE = LogLine("f1", at("2027-09-25 01:25"), "fire_lit", made=at("2027-09-25 01:25"))
CONTEXTS = {
    "day": DAY,
    "metric": replace(DAY, units="metric"),
    "alone": replace(DAY, pieces=("A",), on=_all_on("2027-09-25 09:00", "A")),
    "staggered": replace(DAY, on={"A": at("2027-09-25 09:00"), "B": at("2027-09-25 09:45")}),
    "unlogged": replace(DAY, on={}),
    "three": THREE,
    "night": NIGHT,
    "overnight unlogged": replace(NIGHT, on={}, cuts={"A": "beef-brisket-whole"}),
    "clocks back": replace(
        NIGHT,
        date=dt.date(2027, 11, 7),
        on=_all_on("2027-11-06 22:00", "A"),
        served=at("2027-11-07 12:00"),
    ),
    "clocks forward": replace(
        NIGHT,
        date=dt.date(2027, 3, 14),
        on=_all_on("2027-03-13 22:00", "A"),
        served=at("2027-03-14 12:00"),
    ),
    "late on": replace(DAY, on=_all_on("2027-09-25 10:05", "AB"), now=at("2027-09-26 12:00")),
    "CET back": replace(
        NIGHT,
        zone=ZoneInfo("CET"),
        date=dt.date(2026, 10, 25),
        pits=("P",),
        on=_all_on("2026-10-24 20:00+00:00", "A"),
        served=at("2026-10-25 16:00+00:00"),
    ),
    "heading": replace(DAWN, on={}),
    "dawn": DAWN,
    "fire logged": replace(DAWN, log=(FIRE,)),
}
