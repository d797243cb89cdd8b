"""The tally in words: one sentence, and what cannot be concluded."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from stallwise.joins.learn.scored import Figures
from stallwise.joins.learn.tally import Baseline, PieceTally, TallyResult, tally
from stallwise.joins.learn.tallywords import cannot_say, headline, plain, tables, widening_text
from stallwise.models.conformal import Widening


def piece(number: int, *, inside: bool = True) -> PieceTally:
    return PieceTally(
        f"c{number}",
        dt.date(2026, 5, 1) + dt.timedelta(days=number),
        "A",
        "pork-spare-ribs-trimmed",
        "foil",
        sample=False,
        window_h=(4.0, 5.0, 6.7),
        as_of_h=0.0,
        low_h=4.5,
        high_h=5.0,
        inside80=inside,
        rule_h=(5.0, 5.5, 6.0),
    )


def result(cooks: int, inside: int, **changes) -> TallyResult:
    """A tally of so many cooks with one forecast each."""
    told = Figures(cooks, cooks, 0.5, inside / cooks, 0.9, 5 / 6, 0.1, 8 / 3, 0.4)
    rule = Figures(cooks, cooks, 0.2, 0.3, 0.4, 3.0, 1.0, 1.0, 1.5)
    return replace(
        tally([]),
        overall=told,
        recent=told,
        recent_rule=rule,
        recent_inside=inside,
        baseline=Baseline(rule, told),
        by_cut={"pork-spare-ribs-trimmed": told, "lamb-leg": replace(told, cooks=2, forecasts=2)},
        pieces=tuple(piece(number) for number in range(cooks)),
        **changes,
    )


def test_one_sentence_says_it() -> None:
    assert headline(result(10, 8)) == (
        "8 of the last 10 pieces were inside the window; it was 2 h 40 wide; its middle was off by "
        "50 min; hours per pound was off by 3 h."
    )
    assert headline(result(1, 0)).startswith("The last piece was outside the window; ")


def test_nothing_yet_says_what_to_do() -> None:
    assert "stallwise forecast COOK --keep" in headline(tally([]))
    waits = replace(tally([]), open_forecasts=3)
    assert headline(waits).startswith("3 forecasts are kept and none can be held against")
    known = replace(tally([]), hindcasts=Figures(1, 1))
    assert headline(known).startswith("1 forecast was made after the outcome was known")
    assert cannot_say(tally([])) == ()
    assert tables(tally([])) == ()
    assert plain(tally([]))["coverage80"] is None


@pytest.mark.parametrize(
    ("cooks", "span"), [(1, "0 to 1 of 1"), (3, "1 to 3 of 3"), (7, "4 to 7 of 7")]
)
def test_few_cooks_conclude_nothing(cooks: int, span: str) -> None:
    few, baseline = cannot_say(result(cooks, cooks))
    assert f"{span} would be inside by chance" in few
    assert "hours per pound" in baseline


def test_groups_of_few_cooks_are_named() -> None:
    assert cannot_say(result(10, 8)) == ("Too few cooks to tell anything of lamb-leg alone.",)
    rows = {row[0]: row for table in tables(result(10, 8)) for row in table.rows}
    assert rows["lamb-leg"][2] == "2 (few)"
    assert rows["hours per pound"][3] == "30 %"


def test_what_misses_ask_for_is_said() -> None:
    assert "3 cooks of the 8" in widening_text(result(3, 2, widening=Widening(1.0, 2.0, 3)))
    wide = Widening(1.62, 1.62, 20, enough=True)
    assert "1.6 times, learned from 20 cooks" in widening_text(result(9, 5, widening=wide))
    most = Widening(2.5, float("inf"), 9, enough=True)
    assert "and more, which is not done" in widening_text(result(9, 1, widening=most))
    right = Widening(1.0, 0.9, 9, enough=True)
    assert widening_text(result(9, 8, widening=right)) == "Past misses ask for no wider windows."


def test_json_holds_what_was_promised() -> None:
    said = plain(result(10, 8))
    assert {
        "forecasts",
        "coverage80",
        "median_abs_error_h",
        "median_width80_h",
        "by_elapsed",
        "by_cut",
        "baseline",
    } <= set(said)
    assert said["baseline"]["forecast_same_pieces"]["coverage80"] == 0.8
    assert said["pieces"][0]["date"] == "2026-05-01"
