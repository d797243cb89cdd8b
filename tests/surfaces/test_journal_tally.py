"""Pages that tell of several cooks: the tally, the side-by-sides, how the cooks of a cut went."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math

import pytest
from bs4 import BeautifulSoup

from stallwise.joins.learn import tallywords
from stallwise.joins.learn.keptresult import CookTally, TallyRow
from stallwise.joins.learn.scored import Scored
from stallwise.joins.learn.tally import summed
from stallwise.pictures import tallied as tallied_pictures
from stallwise.surfaces.journal.counted import counted, uncounted
from tests.pictures import results as made
from tests.pictures.test_tasted import result as trial_of
from tests.pictures.test_tasted import votes
from tests.surfaces.test_journal import Shelf

AT = dt.datetime(2027, 9, 24, 22, tzinfo=dt.UTC)


def row(piece="A", *, early=4.0, late=6.0, low=4.5, high=5.0, inside=1.0, **more):
    rule = Scored("x", 0.0, 0.0, (6.0, 7.0, 8.0), (0.0, 0.0, 0.0), (-2.0,), 1.0, ())
    told = Scored("x", 0.0, 0.0, (early, 5.0, late), (inside,) * 3, (-0.25, 0.25), 0.4, (1.5,))
    facts = {"cut": "pork-shoulder-bone-in", "wrap": "foil", "model_version": "1", "rule": rule}
    facts |= {"made_at": AT, "as_of": AT, "low_h": low, "high_h": high, "by_core": False}
    return TallyRow(piece=piece, scored=told, **(facts | more))


def tallied(result, *rows, **more):
    rows = tuple(
        dataclasses.replace(one, scored=dataclasses.replace(one.scored, cook=result.cook))
        for one in rows
    )
    facts = {"hindcasts": (), "left_out": {}, "open_forecasts": 0} | more
    return CookTally(result.cook, result.date, result.sample, rows, **facts)


@pytest.fixture
def shelf(tmp_path):
    """Two cooks whose forecasts were kept, and who took part in one trial."""
    shelf = Shelf(tmp_path)
    trial = trial_of(votes(8))
    for made_by, rows in (
        (made.shoulder, [row()]),
        (made.ribs, [row(), row("B", inside=0.0, rule=None)]),
    ):
        one = made_by()
        shelf.add(dataclasses.replace(one, tallied=tallied(one, *rows), trials=(trial,)))
    return shelf


def read(shelf, file):
    return BeautifulSoup((shelf.path / "journal" / file).read_text("utf-8"), "html.parser")


def test_the_tally_is_told_as_the_house_tells_it_and_the_index_leads_there(shelf):
    assert not shelf.publish().troubles
    page = read(shelf, "tally.html")
    told = summed(one.tallied for one in shelf.results.values())
    assert page.select_one(".outcome").text.replace(
        "\N{NO-BREAK SPACE}", " "
    ) == tallywords.headline(told)
    assert "2 cooks say little" in page.text.replace("\N{NO-BREAK SPACE}", " ")
    cells = [
        [cell.text for cell in each.select("th, td")] for each in page.select(".small tbody tr")
    ]
    assert [line[1] for line in cells] == ["A", "B", "A"]
    assert [line[4] for line in cells] == ["inside", "outside", "inside"]
    assert page.select_one(".small tbody a")["href"] == "cooks/2027-09-25-harvest-supper.html"
    assert len(page.select("svg")) == 2
    # Cuts by their names, as a cook says them.
    assert "pork-shoulder-bone-in" not in page.text
    assert read(shelf, "index.html").select_one('a[href="tally.html"]')


def test_what_a_cook_keeps_back_is_in_no_tally(shelf):
    record = shelf.folders[1].load()
    record.cook = record.cook.model_copy(update={"private": ["log"]})
    shelf.publish()
    assert "Two racks" not in read(shelf, "tally.html").text
    record.cook = record.cook.model_copy(update={"private": ["all"]})
    for folder in shelf.folders:
        folder.load = lambda: record
    shelf.publish()
    assert not (shelf.path / "journal" / "tally.html").exists()


def test_it_is_drawn_again_only_where_something_changed(shelf, monkeypatch):
    shelf.publish()
    before = read(shelf, "tally.html")

    def never(*_, **__):
        raise AssertionError

    real = tallied_pictures.tally_picture
    monkeypatch.setattr(tallied_pictures, "tally_picture", never)
    shelf.publish()
    assert read(shelf, "tally.html") == before
    one = shelf.results["2027-06-12-two-racks"]
    shelf.results[one.cook] = dataclasses.replace(one, tallied=tallied(one, row(inside=0.0)))
    monkeypatch.setattr(tallied_pictures, "tally_picture", real)
    shelf.publish()
    assert read(shelf, "tally.html") != before


def test_what_is_kept_between_two_publishings_says_the_same():
    one = made.ribs()
    kept = tallied(
        one, row(), row("B", late=math.inf, low=0.0, high=math.inf, rule=None),
        hindcasts=(row(),), left_out={"cannot be used": 2}, open_forecasts=3,
    )  # fmt: skip
    back = uncounted(json.loads(json.dumps(counted(kept), allow_nan=False)))
    plain = tallywords.plain(summed([kept]))
    assert tallywords.plain(summed([back])) == plain
    assert (back.forecasts[1].high_h, back.forecasts[1].scored.window_h[2]) == (math.inf, math.inf)
    assert (
        counted(
            dataclasses.replace(kept, forecasts=(), hindcasts=(), left_out={}, open_forecasts=0)
        )
        is None
    )
    with pytest.raises((KeyError, TypeError, ValueError)):
        uncounted({**counted(kept), "cook": ["<b>"]})


def test_a_trial_has_a_page_that_names_the_cooks_it_was_cooked_in(shelf):
    shelf.publish()
    (file,) = (shelf.path / "journal" / "trials").iterdir()
    page = read(shelf, f"trials/{file.name}")
    question = shelf.results["2027-06-12-two-racks"].trials[0].question
    assert page.h1.text == question
    assert [a.text for a in page.select(".plain a")] == [
        "Harvest supper shoulder",
        "Two racks, one glazed",
    ]
    assert page.svg
    cook = read(shelf, "cooks/2027-06-12-two-racks.html")
    assert cook.select_one(f'a[href="../trials/{file.name}"]')
    assert (
        read(shelf, "index.html").select_one(f'.shelves a[href="trials/{file.name}"]').text
        == question
    )
    # A cook that leaves takes its line along, and the last one the page.
    del shelf.folders[1]
    shelf.publish()
    assert [a.text for a in read(shelf, f"trials/{file.name}").select(".plain a")] == [
        "Harvest supper shoulder"
    ]
    one = shelf.results["2027-09-25-harvest-supper"]
    shelf.results[one.cook] = dataclasses.replace(one, trials=())
    shelf.publish()
    assert not file.exists()


def test_a_year_says_what_was_cooked_and_a_rub_each_time_it_was_made(shelf):
    again = dataclasses.replace(made.shoulder(), cook="2027-10-02-again", date=dt.date(2027, 10, 2))
    shelf.add(again)
    shelf.publish()
    links = {a.text: a["href"] for a in read(shelf, "years/2027.html").select(".cooked a")}
    assert links["trimmed spare ribs"] == "../cuts/pork-spare-ribs-trimmed.html"
    rows = read(shelf, "mixes/plain-rub.html").select(".past tbody tr")
    assert [
        [c.text.replace("\N{NO-BREAK SPACE}", " ") for c in one.select("th, td")] for one in rows
    ] == [
        ["2 Oct 2027", "3.85 kg of meat", "92"],
        ["25 Sep 2027", "3.85 kg of meat", "92"],
    ]


def test_the_page_of_a_cut_says_how_its_cooks_went(shelf):
    shelf.publish()
    page = read(shelf, "cuts/pork-spare-ribs-trimmed.html")
    cells = [[c.text.replace("\N{NO-BREAK SPACE}", " ") for c in line.select("th, td")]
             for line in page.select(".past tbody tr")]  # fmt: skip
    assert cells == [
        ["12 Jun 2027", "1.12 kg", "120 °C", "foil", "bites clean", "5 h"],
        ["12 Jun 2027", "1.12 kg", "120 °C", "foil", "bites clean", "5 h 30"],
    ]
