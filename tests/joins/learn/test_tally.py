"""Kept forecasts against what happened."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

import numpy as np
import pytest
from scipy import stats

from stallwise import __version__
from stallwise.joins.answer import answer
from stallwise.joins.ask import forecast_line
from stallwise.joins.learn import tallywords
from stallwise.joins.learn.keptforecast import kept_forecasts
from stallwise.joins.learn.ruleofthumb import rules_of_cook
from stallwise.joins.learn.tally import tally
from tests.joins.cooks import DATE, line, record, ribs

NAMES = ("p05", "p10", "p25", "p50", "p75", "p90", "p95")
LEVELS = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
WINDOW = (4.0, 4.2, 4.6, 5.0, 5.4, 6.0, 6.3)
ON = dt.datetime(DATE.year, DATE.month, DATE.day, 9, tzinfo=dt.UTC)


def kept(hours=WINDOW, *, at: float = 0.0, made: float | None = None, **piece):
    """Forecast as of so many hours after meat on, as it stands in the file."""
    body = {
        "cut": "pork-spare-ribs-trimmed",
        "finish": "bites clean",
        "wrap": "foil",
        "stages": {"tender": dict(zip(NAMES, hours, strict=True)) | {"reached": 1.0}},
    }
    return {
        "made_at": (ON + dt.timedelta(hours=at if made is None else made)).isoformat(),
        "as_of": (ON + dt.timedelta(hours=at)).isoformat(),
        "pieces": {"A": body | piece},
    }


def cook(*forecasts, name: str = "one", tender: str = "14:00", before: str = "13:30", **changes):
    log = [line("09:00", "meat_on")]
    if before:
        log.append(line(before, "feel_check", "A", verdict="not yet"))
    if tender:
        log += [line(tender, "feel_check", "A", verdict="tender"), line("15:30", "off", "A")]
    made = record(ribs(finish="bites clean"), log=tuple(log), **changes)
    return dataclasses.replace(made, name=name, forecasts=tuple(forecasts))


def test_a_forecast_is_held_against_the_looks() -> None:
    found = tally([cook(kept())])
    assert (found.overall.forecasts, found.overall.coverage80) == (1, 1.0)
    assert found.overall.median_width80_h == pytest.approx(1.8)
    assert found.overall.median_abs_error_h == pytest.approx(0.25, abs=0.05)
    assert found.overall.median_late_h == pytest.approx(-0.25, abs=0.05)
    (piece,) = found.pieces
    assert (piece.low_h, piece.high_h, piece.inside80) == (4.5, 5.0, True)
    early = tally([cook(kept(), before="11:30", tender="12:00")])
    assert early.overall.coverage90 == 0.0
    assert not early.pieces[0].inside80


def test_what_is_no_forecast_of_this_is_not_counted_as_one() -> None:
    found = tally(
        [
            cook(
                kept(),
                kept(at=1.0, made=30.0),
                kept(at=5.5, made=5.5),
                kept(cut="beef-brisket-whole"),
                kept(finish="falls off the bone"),
                kept([*WINDOW[:3], None, None, None, None]),
                {"made_at": "yesterday", "as_of": "12", "pieces": {"A": {}}},
                {"id": "torn"},
            ),
            cook(kept(), kept(at=2.0), name="open", tender=""),
        ]
    )
    assert (found.overall.forecasts, found.hindcasts.forecasts, found.open_forecasts) == (1, 1, 2)
    assert sorted(found.left_out.values()) == [1, 2, 3]
    assert found.by_elapsed["0"].forecasts == 1


def test_elapsed_shares_cuts_and_wraps_are_told_apart() -> None:
    several = [kept(at=at) for at in (-20.0, 0.0, 1.0, 2.0, 3.0, 4.4)]
    found = tally([cook(*several)])
    counts = {name: each.forecasts for name, each in found.by_elapsed.items()}
    assert counts == {"0": 2, "0-30": 1, "30-50": 1, "50-70": 1, "70+": 1}
    assert list(found.by_cut) == ["pork-spare-ribs-trimmed"]
    assert list(found.by_wrap) == ["foil"]
    # The last one before meat on stands for the piece.
    assert found.pieces[0].as_of_h == 0.0


def test_a_cook_with_many_forecasts_counts_once() -> None:
    missed = cook(*(kept(at=at) for at in (0.0, 0.5, 1.0, 1.5)), before="11:30", tender="12:00")
    found = tally([missed, cook(kept(), name="two")])
    assert (found.overall.forecasts, found.overall.cooks) == (5, 2)
    assert found.overall.coverage80 == pytest.approx(0.5)


def test_hours_per_pound_stand_beside_on_the_same_pieces() -> None:
    found = tally([cook(kept()), cook(kept(), name="two", before="12:00", tender="12:20")])
    rule, forecast = found.baseline.rule, found.baseline.forecast
    assert (rule.cooks, forecast.cooks) == (2, 2)
    low, middle, high = found.pieces[0].rule_h
    assert low < middle < high
    assert rule.median_width80_h == pytest.approx(high - low)


def test_a_quantile_that_was_not_reached_leaves_the_window_open() -> None:
    found = tally([cook(kept([*WINDOW[:5], None, None]), tender="15:20", before="15:10")])
    assert found.overall.coverage80 == 1.0
    assert found.overall.median_width80_h is None
    json.dumps(tallywords.plain(found), allow_nan=False)


def _season(cooks: int, spread: float):
    """Cooks whose days spread `spread` times as widely as the forecasts say, a look each 30 min."""
    days = np.random.default_rng(1)
    hours = 5.0 * np.exp(0.1 * stats.norm.ppf(LEVELS))
    made = []
    for number in range(cooks):
        took = 5.0 * np.exp(0.1 * spread * days.normal())
        first = days.uniform(2.0, 2.5)
        last = first + 0.5 * np.floor((took - first) / 0.5)
        clock = [(ON + dt.timedelta(hours=float(h))).strftime("%H:%M") for h in (last, last + 0.5)]
        made.append(cook(kept(hours), name=f"c{number:03}", before=clock[0], tender=clock[1]))
    return made


def test_right_windows_hold_as_often_as_they_say_whatever_the_looks() -> None:
    found = tally(_season(300, 1.0))
    # Three standard errors of 300 cooks at 80 % are 7 points.
    assert found.overall.coverage80 == pytest.approx(0.8, abs=0.07)
    assert found.overall.coverage50 == pytest.approx(0.5, abs=0.09)
    assert found.widening.factor == pytest.approx(1.0, abs=0.12)


def test_windows_that_are_too_narrow_are_found_out() -> None:
    found = tally(_season(120, 1.8))
    assert found.overall.coverage80 < 0.65
    assert found.widening.factor == pytest.approx(1.8, abs=0.35)
    assert "drawn out" in tallywords.widening_text(found)


def test_what_was_widened_already_is_not_widened_twice() -> None:
    rows = _season(40, 1.0)
    twice = [
        dataclasses.replace(one, forecasts=tuple(f | {"widening": 2.0} for f in one.forecasts))
        for one in rows
    ]
    assert tally(twice).widening.asked == pytest.approx(2.0 * tally(rows).widening.asked)


def test_a_cook_that_does_not_teach_widens_nothing() -> None:
    rows = _season(9, 1.0)
    assert tally(rows).widening.cooks == 9
    shy = [*rows[:8], cook(kept(), teaches=False)]
    assert (tally(shy).overall.cooks, tally(shy).widening.cooks) == (9, 8)


def test_a_forecast_of_an_older_line_is_read_with_what_it_has() -> None:
    old = {
        "made_at": "2024-06-14T18:00:00Z",
        "as_of": "2024-06-15T11:00:00Z",
        "pieces": {"A": {"tender": {"p10": 4.1, "p50": 5.0, "p90": 6.2}}},
    }
    (one,), unusable = kept_forecasts(cook(old))
    assert (one.window_h, one.cut, unusable) == ((4.1, 5.0, 6.2), "", 0)


def test_a_line_as_it_is_kept_is_one_that_the_tally_reads() -> None:
    made = cook()
    answered = answer(made, made_at=ON, as_of=ON, changes={"members": 20})
    row = json.loads(json.dumps(forecast_line(answered)))
    found = tally([dataclasses.replace(made, forecasts=(row,))])
    (piece,) = found.pieces
    tender = answered.pieces[0].stages["tender"].elapsed_h
    assert piece.window_h == (tender.p10, tender.p50, tender.p90)
    assert (found.overall.forecasts, found.by_wrap["foil"].forecasts) == (1, 1)
    # The rule of thumb is the one that stands beside the forecast.
    rule = answered.pieces[0].rule
    assert piece.rule_h == (rule.low_h, rule.middle_h, rule.high_h)


def test_a_cook_whose_plan_is_broken_since_keeps_its_forecasts() -> None:
    made = cook(kept())
    piece = made.cook.pieces[0].model_copy(update={"wrap_from": "4:00", "wrap_to": "3:00"})
    broken = dataclasses.replace(made, cook=made.cook.model_copy(update={"pieces": [piece]}))
    assert rules_of_cook(broken) == {}
    found = tally([broken])
    assert (found.overall.forecasts, found.pieces[0].rule_h) == (1, None)


def test_a_cook_with_nothing_but_hindcasts_concludes_nothing() -> None:
    found = tally([cook(kept(made=30.0), kept(at=2.0, made=31.0))])
    assert (found.overall.forecasts, found.hindcasts.forecasts, found.widening.cooks) == (0, 2, 0)
    assert tallywords.headline(found) == (
        "2 forecasts were made after the outcome was known and none before: keep one before the cook."
    )
    assert tallywords.cannot_say(found) == ()
    assert [table.caption for table in tallywords.tables(found)] == [
        "Made after the outcome was known, counted apart"
    ]
    both = tally([cook(kept(made=30.0)), cook(kept(), name="open", tender="")])
    assert "can be held against what happened yet" in tallywords.headline(both)


def test_lines_of_another_version_count_and_are_told_apart() -> None:
    old = {**kept(), "model_version": "0.0.9"}
    now = {**kept(), "model_version": __version__}
    found = tally([cook(old, name="a"), cook(now, name="b"), cook(kept(), name="c")])
    assert {name: each.forecasts for name, each in found.by_version.items()} == {
        "0.0.9": 1,
        __version__: 1,
        "unknown": 1,
    }
    assert (found.overall.forecasts, found.widening.cooks) == (3, 3)
    said = " ".join(tallywords.cannot_say(found))
    assert "1 forecast was made by another version of the model" in said
    assert "By version of the model" in [table.caption for table in tallywords.tables(found)]
    alone = tally([cook(now), cook(kept(), name="c")])
    assert "another version" not in " ".join(tallywords.cannot_say(alone))


def test_a_factor_that_cannot_be_makes_a_line_unusable() -> None:
    for factor in (0, -1.0, "wide", float("nan"), float("inf"), [2.0]):
        found = tally([cook({**kept(), "widening": factor})])
        assert found.left_out == {"cannot be used": 1}, factor
    assert tally([cook({**kept(), "widening": None})]).overall.forecasts == 1


def test_samples_are_counted_only_in_a_book_of_samples() -> None:
    sample, mine = cook(kept(), name="sample", sample=True), cook(kept(), name="mine")
    assert (tally([sample]).overall.cooks, tally([sample]).samples_left_out) == (1, 0)
    found = tally([sample, mine])
    assert [piece.cook for piece in found.pieces] == ["mine"]
    assert "1 sample cook is left out: the book holds cooks of your own." in (
        tallywords.cannot_say(found)
    )
    planned = tally([sample], own=True)
    assert planned.overall.cooks == 0
    assert tallywords.plain(planned)["samples_left_out"] == 1
