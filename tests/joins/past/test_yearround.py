"""A whole book: its cooks, what they cost, and the lines that nobody has ticked off."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.past import yearwords
from stallwise.joins.past.yearround import year_round
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

NOW = dt.datetime(2027, 6, 1, tzinfo=dt.UTC)


def cook(title, date, more="", price=""):
    return (
        f'schema = 1\ntitle = "{title}"\ndate = {date}\nguests = 8\n{more}\n'
        f'[[pieces]]\nletter = "A"\ncut = "pork-spare-ribs-trimmed"\nmass = "3 lb"\n{price}\n'
    )


@pytest.fixture
def book(tmp_path):
    book = Cookbook.start(tmp_path / "book", title="Ours", time_zone="Etc/UTC")
    bring_sample(book)
    days = {
        "first": ("2026-05-02", 'next_time = "less smoke"', 'price = "$4/lb"'),
        "second": ("2027-05-01", 'carried_from = "2026-05-02-first"\ncarried_done = true\nnext_time = "more salt"',
                   'price = "$5/lb"'),
        "third": ("2027-05-29", 'carried_from = "2027-05-01-second"', ""),
    }  # fmt: skip
    for title, (date, more, price) in days.items():
        book.new_cook(title, dt.date.fromisoformat(date), cook(title, date, more, price))
    return book


def test_samples_stay_out_of_a_book_that_has_cooks_of_its_own(book):
    found = year_round(book, made_at=NOW)
    assert [one.title for one in found.cooks] == ["third", "second", "first"]
    assert found.samples_left_out == 6
    assert yearwords.headline(found).startswith("3 cooks: 3 pieces of 1 cut. 24 plates")


def test_a_line_is_open_until_it_is_ticked_off_in_a_later_cook(book):
    found = year_round(book, made_at=NOW)
    assert [(one.text, one.carried_to) for one in found.open_lines] == [("more salt", "third")]
    (row,) = yearwords.open_table(found).rows
    assert row[3] == "stands over third"
    book.cook("third").save({"carried_done": True})
    assert year_round(book, made_at=NOW).open_lines == ()


def test_one_year_alone(book):
    found = year_round(book, made_at=NOW, year=2027)
    assert [one.title for one in found.cooks] == ["third", "second"]
    with pytest.raises(InputError, match="one of: 2026, 2027"):
        year_round(book, made_at=NOW, year=2025)


def test_money_is_added_up_and_what_has_no_price_is_counted(book):
    found = year_round(book, made_at=NOW)
    assert [one.title for one in found.spent] == ["second", "first"]
    total = sum(one.spending.paid for one in found.spent)
    first, second = yearwords.spending_words(found)
    assert first == f"${total:.2f} in all, over 2 cooks with prices."
    assert second.startswith("1 cook has no price: write price")


def test_a_cook_that_cannot_be_read_hides_no_other(book):
    (book.cook("third").path / "cook.toml").write_text("title = ")
    found = year_round(book, made_at=NOW)
    assert len(found.cooks) == 2
    assert any("third cannot be read" in one.text for one in found.warnings)


def test_an_empty_book_says_how_to_begin(tmp_path):
    book = Cookbook.start(tmp_path / "new", title="New")
    with pytest.raises(InputError, match="stallwise new"):
        year_round(book, made_at=NOW)
