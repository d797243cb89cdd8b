"""Windows drawn out by what earlier cooks missed: whose misses count, and where it is applied."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

import numpy as np
import pytest
from scipy import stats

from stallwise.ground.errors import InputError
from stallwise.joins import words
from stallwise.joins.answer import answer
from stallwise.joins.ask import forecast_line
from stallwise.joins.explain import explain
from stallwise.joins.learn import learning, tallywords
from stallwise.joins.learn.knowledge import knowledge_before
from stallwise.joins.learn.learnedwords import widening_line
from stallwise.joins.learn.learning import learn
from stallwise.joins.learn.scoredcook import score_cook
from stallwise.joins.learn.tally import tally
from stallwise.joins.learn.widening import (
    missed,
    missed_plain,
    widening_before,
    widening_learned,
    widening_plain,
)
from stallwise.joins.ways.whatif import what_if
from stallwise.models.conformal import widen
from stallwise.models.learning import CookLesson, Told
from stallwise.models.plan import Knowledge
from tests.joins.cooks import line, record, ribs

LEVELS = {"p05": 4.7, "p10": 4.8, "p25": 4.9, "p50": 5.0, "p75": 5.1, "p90": 5.2, "p95": 5.3}
FIRST = dt.date(2026, 3, 1)
NOW = dt.datetime(2026, 2, 1, tzinfo=dt.UTC)
NOON = NOW.replace(hour=12)


def moved(made, days):
    """The same cook so many days after the first."""
    by = FIRST + dt.timedelta(days=days) - made.cook.date
    log = tuple(dataclasses.replace(one, at=one.at + by) for one in made.log)
    cook = made.cook.model_copy(update={"date": made.cook.date + by})
    return dataclasses.replace(made, cook=cook, log=log, name=f"{cook.date}-x")


def finished(days: int, *, tender: str = "14:00", before: str = "13:30", made_h=-1.0, **changes):
    """Ribs that were looked at twice, with a forecast of 4:48 to 5:12 kept before they went on."""
    made = record(
        ribs(finish="bites clean"),
        log=(
            line("09:00", "meat_on"),
            line(before, "feel_check", "A", verdict="not yet"),
            line(tender, "feel_check", "A", verdict="tender"),
            line("15:50", "off", "A"),
        ),
        **changes,
    )
    made = moved(made, days)
    on = made.log[0].at
    kept = {
        "made_at": (on + dt.timedelta(hours=made_h)).isoformat(),
        "as_of": (on - dt.timedelta(hours=1)).isoformat(),
        "pieces": {"A": {"stages": {"tender": LEVELS}}},
    }
    return dataclasses.replace(made, forecasts=(kept,))


def planned(days: int, learned):
    """Ribs of a day to come."""
    return dataclasses.replace(moved(record(ribs(finish="bites clean")), days), learned=learned)


@pytest.fixture(autouse=True, scope="module")
def _quick():
    """What a cook tells of its pit and cut is no matter here, and takes a second each."""
    told = CookLesson(cuts={("pork-spare-ribs-trimmed", "tender.t95"): (Told(1.0, 1.0),)})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(learning, "lesson", lambda *_args, **_more: told)
        yield


@pytest.fixture(scope="module")
def book():
    """Ten cooks, a week apart; most missed their narrow window by far."""
    ends = (
        "14:00",
        "15:30",
        "12:30",
        "15:00",
        "13:00",
        "15:30",
        "12:00",
        "15:00",
        "15:30",
        "12:30",
    )
    hours = [tuple(map(int, end.split(":"))) for end in ends]
    before = [f"{h - 1 if m == 0 else h}:{30 if m == 0 else '00'}" for h, m in hours]
    return [
        finished(7 * n, tender=end, before=b)
        for n, (end, b) in enumerate(zip(ends, before, strict=True))
    ]


@pytest.fixture(scope="module")
def learned(book):
    return json.loads(json.dumps(learn(book)))


def test_it_takes_eight_cooks_and_then_the_next_windows_are_drawn_out(learned) -> None:
    early, late = (knowledge_before(planned(day, learned)) for day in (7 * 7, 7 * 10))
    assert (early.widening, early.widening_cooks) == (1.0, 0)
    assert late.widening == 2.5  # more is asked for than is done
    assert late.widening_cooks == 10
    assert widening_learned(learned).factor == 2.5
    assert "drawn out 2.5 times" in widening_line(learned)
    json.dumps(widening_plain(learned), allow_nan=False)
    few = {"cooks": learned["cooks"][:7]}
    assert (widening_line(few), widening_learned(few).factor) == ("", 1.0)


def test_an_old_cook_never_sees_its_own_misses_or_later_ones(book, learned) -> None:
    ninth = dataclasses.replace(book[8], learned=learned)
    known = knowledge_before(ninth)
    assert known.widening_cooks == 8
    for others in (book[:8], book[:9], book[:7] + book[8:]):
        again = dataclasses.replace(book[8], learned=learn(others))
        same = knowledge_before(again).widening == known.widening
        assert same == (others[7] is book[7])
    # Other outcomes of its own and later days change nothing of its answer.
    right = [*book[:8], finished(56), finished(63)]
    changed = dataclasses.replace(book[8], learned=learn(right))
    now = {"made_at": NOW, "as_of": NOW, "changes": {"members": 20}}
    assert answer(changed, **now) == answer(ninth, **now)


def test_an_outcome_of_the_same_day_was_not_known_before(book) -> None:
    two = [*book[:7], dataclasses.replace(finished(49), name="2026-04-19-a")]
    early = dataclasses.replace(planned(49, learn(two)), name="2026-04-19-b")
    assert knowledge_before(early).widening_cooks == 0
    assert widening_learned(learn(two)).cooks == 8


def test_forgetting_a_cook_takes_its_misses_with_it_byte_for_byte(book) -> None:
    never = json.dumps(learn(book[:3] + book[4:]))
    assert json.dumps(learn(book, without=[book[3].name])) == never
    assert json.dumps(learn(book, before=learn(book), without=[book[3].name])) == never


def test_whose_misses_count() -> None:
    assert missed_plain(finished(0)) is not None
    assert missed_plain(finished(0, teaches=False)) is None
    assert missed_plain(finished(0, made_h=30.0)) is None  # a hindcast
    running = finished(0)
    running = dataclasses.replace(running, log=running.log[:-1])
    assert missed_plain(running) is None
    late = missed_plain(finished(0, tender="15:30", before="15:00"))
    assert late["known_on"] == FIRST.isoformat()
    assert min(late["half_widths"]) > 2.0


def test_one_that_no_width_holds_is_null_and_stays_infinite() -> None:
    made = finished(0)
    (kept,) = made.forecasts
    flat = {"made_at": kept["made_at"], "as_of": kept["as_of"]}
    same = {"A": {"stages": {"tender": dict.fromkeys(LEVELS, 4.9)}}}
    found = missed_plain(dataclasses.replace(made, forecasts=({**flat, "pieces": same},)))
    assert None in found["half_widths"]
    cooks = [{"missed": found, "date": "2026-01-01", "cook": str(n)} for n in range(8)]
    assert widening_learned({"cooks": json.loads(json.dumps(cooks))}).factor == 2.5


WIDE = Knowledge(widening=1.6, widening_cooks=12)


def asked(made, knowledge=None, **more):
    return answer(made, made_at=NOW, knowledge=knowledge, changes={"members": 60}, **more)


def test_stages_odds_starts_and_sheet_follow_the_same_drawn_out_days() -> None:
    was, now = asked(record(ribs())), asked(record(ribs()), WIDE)
    tender = was.pieces[0].stages["tender"].elapsed_h
    drawn = now.pieces[0].stages["tender"].elapsed_h
    names = ("p05", "p10", "p25", "p50", "p75", "p90", "p95")
    expected = widen([getattr(tender, name) for name in names], 0.0, 1.6)
    assert [getattr(drawn, name) for name in names] == pytest.approx(expected.tolist(), rel=0.01)
    rested = (each.pieces[0].stages["rested"].elapsed_h for each in (was, now))
    assert [one.p90 for one in rested] == pytest.approx(
        [each.p90 + was.pieces[0].rest_h for each in (tender, drawn)], rel=0.01
    )
    # To be as sure the meat goes on sooner, and a longer hold may follow.
    chosen = [next(c for c in each.pieces[0].chances if c.chosen) for each in (was, now)]
    assert chosen[1].on_at < chosen[0].on_at
    assert now.pieces[0].hold_h.p90 > was.pieces[0].hold_h.p90
    assert now.odds == pytest.approx(was.odds, abs=0.05)
    lit = [min(step.at for step in each.steps) for each in (was, now)]
    assert lit[1] < lit[0]
    assert (now.widening, now.widening_cooks) == (1.6, 12)
    assert now.inputs != was.inputs
    assert now.pieces[0].core_c.p50 == was.pieces[0].core_c.p50
    fixed = record(ribs(on="10:30"))
    assert asked(fixed, WIDE).odds != asked(fixed).odds


def test_a_factor_of_one_is_no_other_answer_and_says_nothing() -> None:
    made = record(ribs())
    plain = asked(made)
    assert asked(made, Knowledge(widening=1.0, widening_cooks=0)) == plain
    assert words.widening_words(plain) == ""
    said = words.widening_words(asked(made, WIDE))
    assert said == (
        "Windows are drawn out 1.6 times, for too few of 12 earlier cooks ended inside theirs."
    )


def test_what_was_drawn_out_is_kept_with_its_factor_and_teaches_the_bare_miss() -> None:
    made = record(
        ribs(on="09:00", finish="bites clean"),
        log=(
            line("09:00", "meat_on"),
            line("14:30", "feel_check", "A", verdict="not yet"),
            line("15:00", "feel_check", "A", verdict="tender"),
            line("15:30", "off", "A"),
        ),
    )
    on = made.log[0].at
    later = on + dt.timedelta(hours=2)
    for as_of in (on, later):
        bare, wide = (
            missed(one, score_cook(one).forecasts)
            for known in (None, WIDE)
            for line_ in [forecast_line(asked(made, known, as_of=as_of))]
            for one in [dataclasses.replace(made, forecasts=(json.loads(json.dumps(line_)),))]
        )
        assert wide.misses[0] / bare.misses[0] == pytest.approx(1.0, rel=0.05)
    kept = forecast_line(asked(made, WIDE, as_of=on))
    assert (kept["widening"], forecast_line(asked(made, as_of=on))["widening"]) == (1.6, 1.0)


def test_what_would_change_it_has_the_odds_of_the_answer() -> None:
    made = record(ribs(on="10:30"))
    result = asked(made, WIDE)
    found = what_if(made, made_at=NOW, knowledge=WIDE, changes={"members": 60})
    assert all(
        one.odds_in_time - one.odds_change == pytest.approx(result.odds, abs=0.05) for one in found
    )


def test_the_tally_says_what_is_asked_and_what_is_applied(book, learned) -> None:
    behind = tally(book, learned={"cooks": learned["cooks"][:5]})
    assert (behind.widening.factor, behind.applied.factor) == (2.5, 1.0)
    said = tallywords.widening_text(behind)
    assert "drawn out 2.5 times" in said
    assert "stallwise learn" in said
    level = tally(book, learned=learned)
    assert level.widening == level.applied
    assert "stallwise learn" not in tallywords.widening_text(level)
    plain = tallywords.plain(level)["widening"]
    assert (plain["factor"], plain["applied"], plain["cooks"]) == (2.5, 2.5, 10)
    # What learning refused widens nothing here either.
    refused = [{**one, "taught": one["cook"] != book[0].name} for one in learned["cooks"]]
    assert tally(book, learned={"cooks": refused}).widening.cooks == 9


def test_it_can_be_asked_where_it_comes_from() -> None:
    (found,) = explain("widening")
    assert "eight finished cooks" in found.note


def test_over_the_years_the_factor_settles_and_windows_hold_as_often_as_they_say() -> None:
    """Days spread 1.7 times as widely as the windows say, drawn out by what was known each time.

    Were a miss of a window that was drawn out learned as it is, the factor would fall back to 1;
    were it learned twice, it would climb to its limit.
    """
    days = np.random.default_rng(3)
    levels = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
    names = ("p05", "p10", "p25", "p50", "p75", "p90", "p95")
    bare = 5.0 * np.exp(0.1 * stats.norm.ppf(levels))
    entries, inside, factors = [], [], []
    for number in range(160):
        date = FIRST + dt.timedelta(days=2 * number)
        factor = widening_before(entries, date).factor
        took = 5.0 * np.exp(0.17 * days.normal())
        looked = np.floor(took / 0.25) * 0.25 + np.array([0.0, 0.25])
        ends = [(NOON + dt.timedelta(hours=float(h))).strftime("%H:%M") for h in looked - 3.0]
        made = finished(2 * number, before=ends[0], tender=ends[1])
        (kept,) = made.forecasts
        drawn = dict(zip(names, widen(bare, 0.0, factor).tolist(), strict=True))
        kept = kept | {"widening": factor, "pieces": {"A": {"stages": {"tender": drawn}}}}
        made = dataclasses.replace(made, forecasts=(kept,))
        (row,) = score_cook(made).forecasts
        inside.append(row.scored.inside[1])
        factors.append(factor)
        entries.append({"cook": made.name, "missed": missed_plain(made)})
    assert set(factors[:8]) == {1.0}
    assert np.mean(factors[100:]) == pytest.approx(1.7, abs=0.2)
    # Three standard errors of 140 cooks at 80 % are 10 points.
    assert np.mean(inside[20:]) == pytest.approx(0.8, abs=0.1)
    assert np.mean(inside[:8]) < 0.8


def test_a_spoilt_file_is_told_with_what_to_do() -> None:
    good = {"cook": "a", "date": "2026-01-01", "knowledge": "k", "pits": {}, "cuts": {}}
    for bad in (
        {"cook": "a"},
        good | {"missed": 3},
        good | {"missed": {"known_on": "2026-01-01", "half_widths": ["x"]}},
        "cook",
    ):
        made = dataclasses.replace(planned(0, {"cooks": [bad]}))
        with pytest.raises(InputError, match="stallwise learn"):
            knowledge_before(made)
    assert knowledge_before(planned(0, {"cooks": [good]})).id == "k"
