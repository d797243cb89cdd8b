"""Learning over a book: order, leaving out, old cooks, and what does not teach."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

import numpy as np
import pytest

from stallwise.joins.answer import answer
from stallwise.joins.learn import learning
from stallwise.joins.learn.knowledge import knowledge_before
from stallwise.joins.learn.learning import learn
from stallwise.models.plan import Knowledge
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Piece, PitUse
from stallwise.tables.parameters import parameters
from tests.joins import cooks

FAST_H = np.array([0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0])
FAST_C = np.array([4.0, 7.0, 20.0, 48.0, 62.0, 69.0, 75.0, 82.0, 89.0, 94.0])


def shoulder(day, *, fast=True, tender_h=8.0, readings=True, **cook):
    """A finished shoulder of one day in May that went fast, looked at every half an hour."""
    on = dt.datetime(2026, 5, day, 6, tzinfo=dt.UTC)

    def line(hours, what, **data):
        at = on + dt.timedelta(hours=hours)
        return LogLine(f"{day}-{hours}-{what}", at, what, made=at, piece="A", data=data)

    log = (
        line(0.0, "meat_on"),
        line(tender_h - 0.5, "feel_check", verdict="not yet"),
        line(tender_h, "feel_check", verdict="tender"),
        line(tender_h + 0.1, "off"),
    )
    hours = np.arange(0.0, tender_h, 1 / 12)
    cores = np.interp(hours, FAST_H, FAST_C if fast else 0.8 * FAST_C)
    at = tuple(on + dt.timedelta(hours=float(h)) for h in hours)
    probe = Readings("f", "meat", "A", "", "core", at, tuple(cores.tolist()))
    piece = Piece(letter="A", cut="pork-shoulder-bone-in", mass="8 lb", wrap="none")
    made = cooks.record(
        piece,
        log=log,
        pits=[PitUse(letter="P", pit="back yard", start="240 F", kind="offset")],
        date=dt.date(2026, 5, day),
        serve=None,
        **cook,
    )
    return dataclasses.replace(
        made, name=f"2026-05-{day:02d}-x", readings=(probe,) if readings else ()
    )


def planned(day, learned):
    piece = Piece(letter="A", cut="pork-shoulder-bone-in", mass="8 lb", wrap="none", on="06:00")
    made = cooks.record(
        piece,
        pits=[PitUse(letter="P", pit="back yard", start="240 F", kind="offset")],
        date=dt.date(2026, 5, day),
        serve=None,
    )
    return dataclasses.replace(made, name=f"2026-05-{day:02d}-y", learned=learned)


def tender(record):
    made = answer(record, made_at=cooks.NOW, as_of=dt.datetime(2026, 5, 1, tzinfo=dt.UTC))
    return made.pieces[0].stages["tender"].elapsed_h, made.knowledge


@pytest.fixture(scope="module")
def book():
    return [shoulder(day) for day in (2, 9, 16)]


def test_three_fast_cooks_make_the_next_forecast_sooner_and_narrower(book):
    learned = learn(book)
    assert [entry["taught"] for entry in learned["cooks"]] == [True] * 3
    before, table = tender(planned(30, None))
    after, known = tender(planned(30, learned))
    assert after.p50 < before.p50
    assert (after.p90 - after.p10) / after.p50 < 0.95 * (before.p90 - before.p10) / before.p50
    assert (table, known) == ("table", learned["cooks"][-1]["knowledge"])


def test_another_table_of_numbers_teaches_anew(book, monkeypatch):
    was = learn(book[:1])
    other = dict(parameters())
    other["update.late"] = dataclasses.replace(other["update.late"], value=1.3)
    monkeypatch.setattr(learning, "parameters", lambda: other)
    again = learn(book[:1], before=was)
    assert again["cooks"][0]["content"] != was["cooks"][0]["content"]


def test_a_cook_left_out_leaves_no_trace(book):
    never = learn([book[0], book[2]])
    assert json.dumps(learn(book, without=[book[1].name])) == json.dumps(never)
    # not even when it was learned before
    assert json.dumps(learn(book, before=learn(book), without=[book[1].name])) == json.dumps(never)


def test_the_same_cooks_in_another_order_teach_the_same(book):
    assert json.dumps(learn(reversed(book))) == json.dumps(learn(book))


def test_an_earlier_file_only_saves_time(book):
    first = learn(book)
    kept = json.loads(json.dumps(first))
    assert json.dumps(learn(book, before=kept)) == json.dumps(first)


def test_an_old_cook_never_sees_its_own_outcome_or_a_later_one(book):
    learned = learn(book)
    second = dataclasses.replace(book[1], learned=learned)
    assert knowledge_before(second).id == learned["cooks"][0]["knowledge"]
    assert knowledge_before(dataclasses.replace(book[0], learned=learned)) == Knowledge()
    changed = learn([book[0], shoulder(9, tender_h=7.0), shoulder(16, tender_h=6.0)])
    again = dataclasses.replace(book[1], learned=changed)
    assert knowledge_before(again) == knowledge_before(second)


def test_what_does_not_teach_says_why():
    kept = shoulder(2, teaches=False)
    odd = shoulder(9)
    (probe,) = odd.readings
    hot = tuple(min(c + 45.0, 99.0) for c in probe.temperature_c)
    odd = dataclasses.replace(odd, readings=(dataclasses.replace(probe, temperature_c=hot),))
    learned = learn([kept, odd])
    assert [entry["taught"] for entry in learned["cooks"]] == [False, False]
    assert "teaches = false" in learned["cooks"][0]["why"]
    assert "readings of piece A" in learned["cooks"][1]["why"]
    assert learned["cooks"][1]["knowledge"] == "table"


def test_feel_checks_alone_teach_too():
    learned = learn([shoulder(2, readings=False), shoulder(9, readings=False)])
    assert all(entry["taught"] for entry in learned["cooks"])
    before, _ = tender(planned(30, None))
    after, _ = tender(planned(30, learned))
    assert after.p50 < before.p50


def test_two_imports_of_one_probe_are_one_probe():
    whole = shoulder(2)
    (probe,) = whole.readings
    half = len(probe.at) // 2
    parts = tuple(
        dataclasses.replace(
            probe, file=name, at=probe.at[cut], temperature_c=probe.temperature_c[cut]
        )
        for name, cut in (("a", slice(None, half)), ("b", slice(half, None)))
    )
    halves = dataclasses.replace(whole, readings=parts)
    once, twice = (learn([one])["cooks"][0] for one in (whole, halves))
    assert once["told"] == twice["told"]


def test_samples_teach_only_a_book_of_samples():
    sample, mine = shoulder(1, sample=True), shoulder(2)
    alone = learn([sample])
    assert alone["cooks"][0]["taught"]
    for own in (mine, planned(2, None)):  # a plan of one's own is enough
        both = learn([sample, own], before=alone)
        assert not both["cooks"][0]["taught"]
        assert "made-up sample" in both["cooks"][0]["why"]
        assert both["cooks"][0]["knowledge"] == Knowledge().id
    # What is left out of it was never there.
    assert learn([sample, mine], without={mine.name}) == alone
    # Until learn is run again a cook's own pit is not told by samples.
    assert knowledge_before(planned(3, alone)) == Knowledge()
