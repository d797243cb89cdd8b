"""A year of tastings: two lists, leniency taken off, many looks kept honest, the next trial."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from stallwise.joins.taste.tasteyear import year_of
from stallwise.joins.taste.tasteyearwords import (
    lenient_words,
    next_words,
    noticed_words,
    planned_words,
    score_table,
)
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.record.schema import Cook
from stallwise.record.trial import Answer


def cook(n: int, wrap: str = "none", start: str = "250 F", **piece) -> Cook:
    return Cook.model_validate(
        {
            "title": f"Cook {n}",
            "date": dt.date(2026, 1, 1) + dt.timedelta(days=7 * n),
            "pits": [{"letter": "P", "start": start}],
            "pieces": [{"letter": "A", "cut": "pork-back-ribs", "wrap": wrap, **piece}],
        }
    )


def said(name: str, taster: str, value: int) -> Answer:
    return Answer(0, name, "", taster, (), "liking", str(value))


def trial(name: str, first: int, second: int, *, arms=("stock", "sharp"), **changes) -> TrialResult:
    shown = "shown" if abs(first - second) >= 8 else "not shown"
    fields = {
        "name": name, "question": "?", "asks": "like", "factor": "glaze", "attribute": "liking",
        "arms": arms, "method": "which-like", "reads": "choice", "planned": True, "state": "closed",
        "locked_at": None, "closed_at": None, "cooks": ("c",), "tasters": first + second,
        "served": first + second, "answered": first + second, "units": first + second, "unit": "taster",
        "verdict": shown, "blind": "blind",
        "figures": {"first": float(first), "second": float(second), "p_value": 0.01 if shown == "shown" else 0.5},
        **changes,
    }  # fmt: skip
    return TrialResult(**fields)


def test_trials_of_one_question_are_put_together_whichever_way_round():
    results = [trial("a", 2, 6), trial("b", 6, 2, arms=("sharp", "stock")), trial("c", 3, 5)]
    (one,) = year_of({}, [], results).tested
    assert (one.arms, one.trials, one.units) == (("sharp", "stock"), ("a", "b", "c"), 24)
    assert one.better < 0.15
    words = " ".join(planned_words(year_of({}, [], results)))
    assert "Glaze: sharp ahead with about" in words
    assert "in 3 trials" in words
    assert "3 trials were looked at; 0 would still stand out" in words


def test_what_was_liked_is_never_put_with_what_was_smokier():
    other = trial("b", 6, 2, asks="more", attribute="smokiness", method="which-more")
    found = year_of({}, [], [trial("a", 2, 6), other]).tested
    assert sorted(one.trials for one in found) == [("a",), ("b",)]
    assert any(
        "Glaze, smokiness: stock ahead" in line for line in planned_words(year_of({}, [], [other]))
    )


def test_a_year_is_no_bolder_than_its_trials():
    (words,) = planned_words(year_of({}, [], [trial("a", 2, 6)]))
    assert words.endswith("none showed it by itself, and all of it could be chance.")
    assert "times in 100" not in words
    (words,) = planned_words(year_of({}, [], [trial("a", 0, 8)]))
    assert words.endswith("in 1 trial; shown there, and to be repeated.")
    (words,) = planned_words(year_of({}, [], [trial("a", 0, 8, look_alike=False)]))
    assert "in 1 trial, not blind; " in words
    together = list(planned_words(year_of({}, [], [trial(name, 4, 11) for name in "abcd"])))
    assert "none showed it by itself, and together they point the right way" in together[0]
    mixed = list(planned_words(year_of({}, [], [trial("a", 0, 8), trial("b", 3, 5)])))
    assert "1 of them showed it, and together" in mixed[0]


def test_what_was_noticed_is_never_among_the_tested():
    results = [trial("a", 0, 8), trial("b", 0, 8, planned=False, state="noticed")]
    found = year_of({}, [], results)
    assert [one.trials for one in found.tested] == [("a",)]
    assert found.hints == ("b",)
    assert "Noticed at the table and not planned: b." in " ".join(noticed_words(found))


def test_what_was_shown_once_is_repeated_next():
    found = year_of({}, [], [trial("a", 0, 8)])
    assert (found.next.why, found.next.laid) == ("repeat", "bone")
    assert next_words(found.next).startswith(
        "Next: repeat sharp against stock, for it was shown once"
    )
    assert year_of({}, [], [trial("a", 0, 8), trial("b", 1, 9)]).next is None


def test_scores_of_many_cooks_are_evened_out_and_noticed():
    draw = random.Random(2)
    cooks = {
        f"c{n}": cook(n, "foil" if n % 2 else "none", ("225 F", "250 F", "275 F")[n % 3])
        for n in range(12)
    }
    # T2 is harsh; foil is worth two points.
    answers = [
        said(
            name,
            taster,
            round(
                5
                + 2 * (one.pieces[0].wrap == "foil")
                - 2 * (taster == "T2")
                + draw.choice((0, 0, 1))
            ),
        )
        for name, one in cooks.items()
        for taster in ("T1", "T2")
    ]
    found = year_of(cooks, answers, [])
    assert found.cooks == 12
    assert found.lenient["T1"] - found.lenient["T2"] == pytest.approx(2.0, abs=0.5)
    assert "T2 gives 0.9 less than the others" in lenient_words(found)
    first = found.noticed[0]
    assert first.name == "wrap: foil"
    assert 0 < first.effect < first.raw  # pulled towards none
    assert first.sign_right > 0.95
    assert found.next.why == "noticed"
    said_so = " ".join(noticed_words(found))
    assert "Wrap: foil:" in said_so
    assert "looked at over 12 cooks: if nothing were to any of them" in said_so
    assert len(score_table(found).rows) == 12


def test_what_changed_together_is_not_ranked():
    cooks = {
        f"c{n}": cook(n, "foil" if n % 2 else "none", "275 F" if n % 2 else "225 F")
        for n in range(8)
    }
    answers = [said(name, "T1", 5 + n % 2 + n % 3) for n, name in enumerate(cooks)]
    found = year_of(cooks, answers, [])
    assert {one.name for one in found.noticed if one.mixed_up} == {"pit temperature", "wrap: foil"}
    assert "which of them it was cannot be told: " in " ".join(noticed_words(found))


def test_few_cooks_notice_nothing():
    cooks = {f"c{n}": cook(n) for n in range(3)}
    found = year_of(cooks, [said(name, "T1", 6) for name in cooks], [])
    assert found.noticed == ()
    assert "3 cooks with scores: too few" in " ".join(noticed_words(found))
    nothing = year_of({}, [], [])
    assert "No planned trial" in " ".join(planned_words(nothing))
    assert next_words(nothing.next).startswith("Nothing stands out")


def test_scores_out_of_scale_or_of_no_cook_are_passed_over():
    cooks = {f"c{n}": cook(n) for n in range(2)}
    rows = [said("c0", "T1", 6), said("c1", "T1", 7), said("c1", "T2", 12), said("x", "T1", 9)]
    assert year_of(cooks, rows, []).scores.keys() == {"c0", "c1"}
