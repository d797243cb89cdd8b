"""A quote: every heading from the one Result, blanks that stay blank, and own figures from three crowds on."""

from __future__ import annotations

import resource
from dataclasses import replace
from functools import partial

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.ask import ask
from stallwise.joins.crowd.events import event_of, own_events
from stallwise.joins.crowd.leftovers import with_leftovers
from stallwise.joins.crowd.quote import quote
from stallwise.joins.crowd.quotewords import quote_tables, quote_words
from stallwise.models.quote import summed
from stallwise.record.schema import Cook
from stallwise.surfaces.quoteprint import quote_html
from tests.joins.cooks import NOW, line, record, ribs
from tests.joins.eventbook import AHEAD, event_book, holds_together

POUND = 0.45359237


@pytest.fixture(scope="module")
def fete(tmp_path_factory):
    folder = event_book(tmp_path_factory.mktemp("events")).cook("fete-for-ninety")
    kept = folder.load()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_utime
    result = ask(kept, made_at=AHEAD)
    found = quote(kept, result)
    seconds = resource.getrusage(resource.RUSAGE_SELF).ru_utime - before
    return kept, result, found, seconds


def test_ninety_with_two_meats_two_servings_two_pits_and_a_box_hold_together(fete):
    kept, result, found, seconds = fete
    holds_together(kept, result)
    assert seconds < 3.0
    (box,) = found.boxes
    assert (box.pans, box.room) == (6, 6)
    assert len(found.servings) == 2
    assert {one.pit for one in result.loads} == {"P", "Q"}
    assert found.eaten_kg[0] >= found.need_kg


def test_the_price_is_that_of_the_lines_by_hand(fete):
    _, result, found, _ = fete
    amounts = {line.heading: line.amount for line in found.lines}
    assert amounts["meat"] == pytest.approx(5 * 8 * 2.89 + 3 * 13 * 4.99)
    assert amounts["fuel"] == pytest.approx(48 + 14 / 20 * 21)
    assert amounts["work"] == pytest.approx(30 * 18)
    assert amounts["disposables"] == pytest.approx(90 * 0.55)
    assert "hire" not in amounts  # said to be none, which is not blank
    total = sum(amounts.values())
    assert found.sums.per_head == pytest.approx(total * 1.25 / 90)
    page = quote_html(found, result)
    assert f"{found.sums.per_head:.2f}" in page
    assert "$540" not in page  # costs are nobody's but the cook's
    with pytest.raises(InputError, match="7 pans in"):
        ask(fete[0], made_at=AHEAD, changes={"pans__D": "2"})


def test_a_meat_that_more_people_like_is_wanted_more_of(fete):
    kept, result, found, _ = fete
    assert sum(meat.need_kg for meat in found.meats) == pytest.approx(found.need_kg)
    liked = {"pork-shoulder-bone-in": "90 %", "beef-brisket-whole": "10 %"}
    terms = kept.cook.quote.model_copy(update={"liked": liked})
    told = quote(replace(kept, cook=kept.cook.model_copy(update={"quote": terms})), result)
    pork, beef = told.meats
    even = found.meats[0].need_kg
    assert pork.need_kg / even == pytest.approx((0.4 + 0.4 * 0.9) / 0.6, rel=1e-3)
    assert pork.need_kg + beef.need_kg == pytest.approx(told.need_kg)
    (said,) = [one for one in told.warnings if one.key == "quote-short-of"]
    assert "Pork shoulder" in said.text


def test_what_is_blank_stays_blank():
    kept = record(ribs(price="$4/lb", mass_bought="3 lb"), guests=10, quote={"margin": "20 %"})
    found = quote(kept, ask(kept, made_at=NOW))
    amounts = {line.heading: line.amount for line in found.lines}
    assert amounts["meat"] == pytest.approx(12)
    assert amounts["work"] is None
    assert found.sums.per_head is None
    assert "travel" in found.sums.blank
    assert found.sums.least_per_head == pytest.approx(1.2 * 12 / 10)
    (table,) = quote_tables(found)
    assert ("hire", "not said", "") in table.rows
    assert 'a head <b><span class="blank">' in quote_html(found, ask(kept, made_at=NOW))
    assert summed({}, 10).per_head is None
    one = record(ribs(price="$4/lb"), ribs(letter="B"), guests=10)
    lines = quote(one, ask(one, made_at=NOW)).lines
    assert lines[0].heading == "meat"
    assert lines[0].amount is None  # B has no price


def _crowd(came=50, left="2 lb", **paid):
    piece = ribs(count=20, mass_edible="24 lb", **({"mass_left": left} if left else {}))
    terms = {
        "came": came,
        "paid": paid,
        "without": ["hire", "fuel", "disposables", "other", "kitchen"],
    }
    return Cook(title="t", date="2026-01-01", guests=60, pieces=[piece], quote=terms)


def test_three_crowds_feed_the_next_quote_and_two_do_not():
    cooks = [
        _crowd(50, meat="$200", travel="$40", work="$300"),
        _crowd(54, meat="$210", travel="$40", work="$300"),
        _crowd(52, meat="$190", travel="$46", work="$320"),
    ]
    event = event_of(cooks[0])
    assert event.eaten_per_head_kg == pytest.approx(22 * POUND / 50)
    assert event.plate == pytest.approx(22 * POUND / (50 * 0.142))
    assert event.stayed_away == pytest.approx(10 / 60)
    assert not event.unpaid
    two, three = own_events(cooks[:2]), own_events(cooks)
    assert two.plate is None
    assert two.events == 2
    assert three.stayed_away.middle == pytest.approx(1 - (50 + 54 + 52) / 3 / 60)
    assert (
        three.plate.high > three.plate.middle > 1.0
    )  # ribs are hungry work: shares end at one, this does not
    kept = record(ribs(price="$4/lb", count=20), guests=30, quote={"margin": "10 %"})
    result = ask(kept, made_at=NOW)
    plain, fed = quote(kept, result, two), quote(kept, result, three)
    travel = {line.heading: line for line in fed.lines}["travel"]
    assert travel.own
    assert travel.amount == pytest.approx(30 * (40 / 50 + 40 / 54 + 46 / 52) / 3)
    assert fed.guests.no_shows == pytest.approx(three.stayed_away.middle)
    away = 1 - fed.guests.no_shows
    assert fed.need_kg == pytest.approx(plain.need_kg * away * three.plate.middle)
    said = " ".join(quote_words(fed))
    assert "By your own 3 crowds" in said
    assert "1 more, and your own" in " ".join(quote_words(plain))


def test_what_came_back_is_read_off_the_log():
    bare = _crowd(left=None)
    line_of = partial(line, "19:00")
    found = with_leftovers(bare, [line_of("left_over", "A", mass_kg=2 * POUND)])
    assert event_of(found).eaten_kg == pytest.approx(22 * POUND)
    assert event_of(with_leftovers(bare, [line_of("all_gone")])).eaten_kg == pytest.approx(
        24 * POUND
    )
    # A count is no weight, and what the cook wrote down stays.
    assert event_of(with_leftovers(bare, [line_of("left_over", "A", count=2)])).eaten_kg is None
    told = with_leftovers(_crowd(left="3 lb"), [line_of("left_over", "A", mass_kg=1.0)])
    assert told.pieces[0].mass_left == "3 lb"
    two = bare.model_copy(update={"pieces": [*bare.pieces, ribs(letter="B")]})
    assert with_leftovers(two, [line_of("left_over", mass_kg=1.0)]) is two


def test_what_nobody_weighed_back_is_not_nothing():
    assert event_of(_crowd(left=None)).plate is None
    assert event_of(_crowd(left="0 lb")).eaten_kg == pytest.approx(24 * POUND)
    assert event_of(_crowd(meat="$5")).unpaid == ("work", "travel")
    with pytest.raises(InputError, match="no more than there was"):
        event_of(_crowd(left="25 lb"))
    with pytest.raises(InputError, match="guests = 90"):
        quote(record(), ask(record(), made_at=NOW))
