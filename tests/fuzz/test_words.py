"""Amounts, times, short lines and settings as they are mistyped: an answer, or words."""

import contextlib
import csv
import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paper_contexts import CONTEXTS
from spoiling import scaled, spoilt

from stallwise.ground import amounts, money, units
from stallwise.ground.errors import StallwiseError
from stallwise.ground.numberwords import as_digits
from stallwise.joins import parameters
from stallwise.joins.explain import explain
from stallwise.joins.log.paper import read_block, read_one
from stallwise.record import clocks, names, toml
from stallwise.record.schema import Cook
from stallwise.surfaces.rerun.choosing import span_of
from stallwise.tables import catalogue
from stallwise.tables.serves import parse_serves, parse_target

SHEETS = Path(__file__).parents[1] / "joins" / "log" / "paper_lines.csv"
with SHEETS.open(encoding="utf-8", newline="") as rows:
    SHORT_LINES = tuple(filter(None, (row[1] for row in csv.reader(rows) if len(row) > 1)))
UTC = dt.UTC
DAY = dt.date(2026, 9, 26)
PLAN = toml.parse(
    'title = "x"\ndate = 2026-09-26\n[[pits]]\nletter = "P"\n[[pieces]]\nletter = "A"\n'
    'cut = "pork-spare-ribs-trimmed"\nmass = "3 lb"\n',
    Cook,
    file="cook.toml",
)
QUANTITIES = (
    *(
        "250 F",
        "121 °C",
        "394 K",
        "6 lb 8 oz",
        "2.4 kg",
        "1 1/2 in",
        "4 ft 2",
        "2 h 40 min",
        "1:30",
    ),
    *("30 min", "1½ cups", "2 T", "2 Tbsp. salt", "70 %", "0.7", "1,250 g", "12 mph", "1013 hPa"),
    *("180 m", "0.5 kW", "jar 412 -> 377", "412 g → 377 g", "1 to 2 lb", "two pounds"),
)
SETTINGS = (
    *(
        "pit_start=250 F",
        "mass__A=6 lb",
        "wrap=foil",
        "serve=18:00",
        "on__A=06:00",
        "spritz=45 min",
    ),
    *("odds=usual", "members=200", "seed=7", "asleep=23:00", "elevation=180 m", "hold=2 h"),
    *("finish__A=bites clean", "water_pan=true", "guests=28", "pit=backyard", "rest=1 h"),
)


def _resolved(text: str) -> None:
    parameters.resolve(PLAN, parameters.parse_settings(text.split("\n")))
    parameters.edits(PLAN, parameters.parse_settings(text.split("\n")))


def _measured(text: str) -> None:
    for kind in units.KINDS:
        with contextlib.suppress(StallwiseError):
            units.parse(kind, text, "key")


def _shown(text: str) -> None:
    for answer in explain(text):
        str(answer)


READERS: dict[str, tuple[Callable[[str], object], tuple[str, ...]]] = {
    "quantity": (_measured, QUANTITIES),
    "amount": (
        lambda text: amounts.split_amount(text, measures={"ladle": "118 g", "pot": "2 ladles"}),
        (*QUANTITIES, "2 ladles stock", "1 pot", "2 batches", "1.25 % of meat and water"),
    ),
    "money": (
        lambda text: (money.parse_price(text), money.parse_money(text)),
        ("24 oz for $9.50", "3.29 per lb", "€4,20 a kg", "12 each", "1.000,50 EUR", "£2 per 250 ml"),
    ),
    "guests": (
        lambda text: (parse_serves(text), parse_target(text)),
        ("4 kg", "2 batches", "28 guests", "5 pieces", "250 g", "serves 6", "1 rack", "a dozen"),
    ),
    "numbers in words": (as_digits, ("twenty-two pounds", "half an hour", "a dozen", "one and a half")),
    "short line": (
        lambda text: read_block(text, context=next(iter(CONTEXTS.values()))),
        tuple("\n".join(SHORT_LINES[at : at + 3]) for at in range(0, len(SHORT_LINES), 3)),
    ),
    "log line": (
        lambda text: read_one(text, at="13:10", piece="", note=text, settings={}, context=next(iter(CONTEXTS.values()))),
        SHORT_LINES,
    ),
    "time of a log line": (
        lambda text: read_one("spritz", at=text, piece="", note="", settings={}, context=next(iter(CONTEXTS.values()))),
        ("13:10", "1:10 pm", "+2:40", "1310", "noon", "2026-09-26 13:10", "yesterday 23:10", "about 3"),
    ),
    "clock": (
        lambda text: clocks.moment(text, DAY, clocks.zone("Etc/UTC")),
        ("06:00", "2026-09-26 06:00", "2026-11-01 01:30", "24:00", "6 am"),
    ),
    "zone": (clocks.zone, ("Etc/UTC", "EST5EDT", "Etc/GMT+5", "UTC+2", "Eastern Standard Time")),
    "setting": (_resolved, SETTINGS),
    "several settings": (_resolved, tuple("\n".join(SETTINGS[at : at + 3]) for at in range(0, 15, 3))),
    "where": (span_of, ("2026-09-26", "2026-09", "2026", "2025..2026-03", "..2026", "2026-01-01..")),
    "explain": (_shown, ("heating.offset", "pit.gap", "pork-shoulder", "trace.stall", "limits")),
    "cut": (
        lambda text: (catalogue.search(text), catalogue.cut(text)),
        ("pork-spare-ribs-trimmed", "baby back ribs", "brisket", "lamb"),
    ),
    "name": (
        lambda text: names.copy_of(text, [names.slug(text), "log.jsonl", "a"]),
        ("Ribs & Beans (2)", "log (1).jsonl", "Copy of log.jsonl", "probe.raw.csv"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", READERS)
@scaled(12, 450)
@given(data=st.data())
def test_what_is_mistyped_is_read_or_refused_in_words(name, data):
    reader, texts = READERS[name]
    text = data.draw(spoilt(texts))
    refused = None
    try:
        reader(text)
    except StallwiseError as error:
        refused = error
    assert refused is None or str(refused).strip()
