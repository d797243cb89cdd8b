"""One cook as a tally counts it, and its forecasts as they were told."""

from __future__ import annotations

import datetime as dt
import math

from stallwise.joins.learn.keptforecast import KeptForecast
from stallwise.joins.learn.keptresult import CookTally, KeptWindow, TallyRow
from stallwise.joins.learn.ruleofthumb import rules_of_cook
from stallwise.joins.learn.scored import Scored
from stallwise.joins.learn.scoredcook import CookScores, ScoredForecast
from stallwise.joins.learn.scoring import score_window
from stallwise.joins.result import Result
from stallwise.models.rules import RuleHours
from stallwise.record.cook import CookRecord

__all__ = ["cook_tally", "kept_windows"]

_RULE_LEVELS = (0.1, 0.5, 0.9)
#: Of `LEVELS` that of four days in five.
_WINDOW = 1


def cook_tally(record: CookRecord, scores: CookScores) -> CookTally:
    """Take of a cook's scores what a tally adds up.

    Parameters
    ----------
    record : CookRecord
        The cook.
    scores : CookScores
        Its forecasts held against what happened, of `scoredcook.score_cook`.
    """
    rules = rules_of_cook(record) if scores.forecasts else {}
    return CookTally(
        record.name,
        record.cook.date,
        record.cook.sample,
        tuple(_row(one, rules.get(one.piece.letter)) for one in scores.forecasts),
        tuple(_row(one, None) for one in scores.hindcasts),
        scores.left_out,
        len(scores.waiting),
    )


def _row(one: ScoredForecast, rule: RuleHours | None) -> TallyRow:
    return TallyRow(
        piece=one.piece.letter,
        cut=one.piece.cut,
        wrap=one.wrap,
        model_version=one.kept.model_version,
        made_at=one.kept.made_at,
        as_of=one.kept.as_of,
        low_h=one.happened.low_h,
        high_h=one.happened.high_h,
        by_core=one.happened.how == "core",
        scored=one.scored,
        rule=None if rule is None else _by_rule(one, rule),
    )


def _by_rule(one: ScoredForecast, rule: RuleHours) -> Scored:
    hours = (rule.low_h, rule.middle_h, rule.high_h)
    return score_window(one.record.name, hours, _RULE_LEVELS, one.happened)


def kept_windows(result: Result, scores: CookScores) -> tuple[KeptWindow, ...]:
    """Lay out how the window of each piece was told from time to time; nothing made afterwards.

    Parameters
    ----------
    result : Result
        Answer to the cook: when its pieces went on.
    scores : CookScores
        Of `scoredcook.score_cook`.

    Returns
    -------
    tuple of KeptWindow
        By piece, oldest first.
    """
    on = {piece.piece: piece.on_at for piece in result.pieces}
    told = [(one.kept, one.scored.inside[_WINDOW]) for one in scores.forecasts]
    waiting = [(kept, None) for kept in scores.waiting]
    found = [
        _window(kept, on[kept.piece], inside, result)
        for kept, inside in (*told, *waiting)
        if kept.piece in on
    ]
    return tuple(sorted(found, key=lambda one: (one.piece, one.as_of, one.made_at)))


def _window(
    kept: KeptForecast, on_at: dt.datetime, inside: float | None, result: Result
) -> KeptWindow:
    early, middle, late = kept.window_h
    zone, start = on_at.tzinfo, on_at.astimezone(dt.UTC)

    def clock(hours: float) -> dt.datetime:
        return (start + dt.timedelta(hours=hours)).astimezone(zone)

    open_end = math.isinf(late)
    return KeptWindow(
        piece=kept.piece,
        made_at=kept.made_at.astimezone(zone),
        as_of=kept.as_of.astimezone(zone),
        as_of_h=(kept.as_of.astimezone(dt.UTC) - result.hour_zero.astimezone(dt.UTC))
        / dt.timedelta(hours=1),
        elapsed_h=(early, middle, None if open_end else late),
        clock=(clock(early), clock(middle), None if open_end else clock(late)),
        inside=inside,
    )
