"""Answers that are numbers or orders: how each way of asking is read."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import combinations
from statistics import NormalDist

from stallwise.joins.taste.tasteplan import reach_of, usual_spread
from stallwise.joins.taste.tasteread import Gathered
from stallwise.joins.taste.trialresult import DotRow, Dots, Reading, dots
from stallwise.models.tasting import justright, ranking, scores, strengths
from stallwise.models.tasting.psychometric import correct_share
from stallwise.record.trial import TrialRecord
from stallwise.tables import tastings
from stallwise.tables.tastings import Method, rule

__all__ = ["read_rank", "read_right", "read_score", "read_strengths", "read_trend"]


def _means(found: Gathered, asked: str) -> dict[str, dict[str, float]]:
    """Mean of each taster and arm, for tasters who had every arm that they could."""
    values: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for one in found.of(asked):
        values[one.taster][one.arm].append(one.value)
    return {
        taster: {arm: math.fsum(of) / len(of) for arm, of in by.items()}
        for taster, by in values.items()
    }


def read_score(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """One number a taster and arm, then the tasters' own differences."""
    del method
    first, second = record.trial.arms[:2]
    means = _means(found, record.trial.attribute)
    apart = {t: by[second] - by[first] for t, by in means.items() if first in by and second in by}
    if not apart:
        return Reading("too few", 0, "taster")
    reach = reach_of(record.trial)
    values = list(apart.values())
    leader = second if math.fsum(values) > 0 else first if math.fsum(values) < 0 else ""
    figures: dict[str, float] = {"mean": math.fsum(values) / len(values), "reach": reach}
    for arm in (first, second):
        of = [by[arm] for by in means.values() if arm in by]
        figures[f"mean of {arm}"] = math.fsum(of) / len(of)
    if len(values) == 1:
        row = DotRow("", dots(apart), figures["mean"])
        return Reading(
            "one taster", 1, "taster", leader, figures, _points(row, first, second, reach)
        )
    usual = usual_spread(record.trial)
    found_mean = scores.paired_mean(values, level=rule("level"))
    spread = scores.likely_spread(values, usual=usual, worth=rule("spread.worth"))
    opinion = scores.posterior(
        values, prior_spread=rule("prior.points") * reach / tastings.reach("like"), near=rule("prior.near"),
        usual=usual, worth=rule("spread.worth"), level=rule("level"),
    )  # fmt: skip
    plus, minus = (sum(sign * one > 1e-9 for one in values) for sign in (1, -1))
    needed = scores.tasters_needed(1.0, spread, alpha=rule("alpha"), wanted=rule("wanted"))
    figures |= {
        "low": found_mean.low, "high": found_mean.high, "p_value": found_mean.p_value,
        "spread": found_mean.spread, "likely_spread": spread, "rank_p": scores.signed_rank(values)[1],
        "plus": float(plus), "minus": float(minus), "ties": float(len(values) - plus - minus),
        "sign_p": scores.sign_p(plus, minus), "better": opinion.better, "small": opinion.small,
        "opinion_low": opinion.low, "opinion_high": opinion.high,
        "seen": scores.smallest_difference(
            len(values), spread, alpha=rule("alpha"), wanted=rule("wanted")
        ),
    }  # fmt: skip
    figures |= {"needed": float(needed)} if needed else {}
    if plus + minus == 0:
        verdict = "ties"
    elif found_mean.spread < 1e-9:
        # All differ by the very same: a scale of whole steps tells no spread; go by the signs.
        verdict = "shown" if figures["sign_p"] <= rule("alpha") else "not shown"
        figures |= {"p_value": figures["sign_p"], "low": opinion.low, "high": opinion.high}
    else:
        verdict = "shown" if found_mean.p_value <= rule("alpha") else "not shown"
    row = DotRow("", dots(apart), found_mean.mean, figures["low"], figures["high"])
    return Reading(
        verdict, len(values), "taster", leader, figures, _points(row, first, second, reach)
    )


def _points(row: DotRow, first: str, second: str, reach: float) -> Dots:
    ends = [abs(value) for _, value in row.dots] + [abs(row.low or 0.0), abs(row.high or 0.0)]
    far = min(reach, max(2.0, math.ceil(max(ends))))
    return Dots(-far, far, 0.0, f"{first} more", f"{second} more", "points", (row,))


def _ranks(record: TrialRecord, found: Gathered) -> tuple[dict[str, list[float]], list[str]]:
    """Places by taster in the order of the arms; who left some out, or skipped a place."""
    arms = record.trial.arms
    good, odd = {}, []
    for taster, by in _means(found, record.trial.attribute).items():
        row = [by[arm] for arm in arms if arm in by]
        if len(row) < len(arms):
            odd.append(f"{taster} did not put every arm in order")
        elif record.trial.sets == 1 and not _whole_order(row):
            odd.append(f"{taster}'s places skip or repeat ({', '.join(f'{n:g}' for n in row)})")
        else:
            # Over several sets the means are put in order once more.
            good[taster] = row if record.trial.sets == 1 else _places(row)
    return good, odd


def _whole_order(row: Sequence[float]) -> bool:
    return _places(row) == list(row)


def _places(row: Sequence[float]) -> list[float]:
    return [
        sum(other < one for other in row) + (sum(other == one for other in row) + 1) / 2.0
        for one in row
    ]


def read_rank(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Several arms in order of liking."""
    del method
    if record.trial.each and record.trial.each < len(record.trial.arms):
        return _strengths_of(record, _blocks_in_order(record, found))
    rows, odd = _ranks(record, found)
    _say_odd(found, odd)
    arms = record.trial.arms
    if not rows:
        return Reading("too few", 0, "taster")
    read = ranking.friedman(list(rows.values()), alpha=rule("alpha"))
    if math.isnan(read.statistic):
        return Reading("ties", len(rows), "taster")
    figures = {
        "p_value": read.p_value, "exact": float(read.exact), "statistic": read.statistic,
        "gap": read.gap, **{f"sum of {arm}": one for arm, one in zip(arms, read.sums, strict=True)},
    }  # fmt: skip
    figures |= _seen_distance(record, len(rows), ordered=False)
    verdict = "shown" if read.p_value <= rule("alpha") else "not shown"
    verdict = "one taster" if len(rows) == 1 else verdict
    return Reading(
        verdict, len(rows), "taster", _alone(arms, read.sums), figures,
        _places_dots(arms, rows, "best", "least liked"),
    )  # fmt: skip


def read_trend(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Several arms in the order that was written down before."""
    del method
    rows, odd = _ranks(record, found)
    _say_odd(found, odd)
    if not rows:
        return Reading("too few", 0, "taster")
    arms = record.trial.arms
    if all(len(set(row)) == 1 for row in rows.values()):
        return Reading("ties", len(rows), "taster")
    read = ranking.page(list(rows.values()))
    sums = [math.fsum(row[n] for row in rows.values()) for n in range(len(arms))]
    figures = {"p_value": read.p_value, "statistic": read.statistic, "exact": 1.0}
    figures |= {f"sum of {arm}": one for arm, one in zip(arms, sums, strict=True)}
    figures |= _seen_distance(record, len(rows), ordered=True)
    verdict = "shown" if read.p_value <= rule("alpha") else "not shown"
    verdict = "one taster" if len(rows) == 1 else verdict
    return Reading(
        verdict,
        len(rows),
        "taster",
        _alone(arms, [-one for one in sums]),
        figures,
        _places_dots(arms, rows, "least", "most"),
    )


def _say_odd(found: Gathered, odd: Sequence[str]) -> None:
    found.doubts += [f"{said}; left out, for what is meant cannot be told." for said in odd]


def _seen_distance(record: TrialRecord, tasters: int, *, ordered: bool) -> dict[str, float]:
    seen = ranking.smallest_rank_distance(
        tasters, len(record.trial.arms), alpha=rule("alpha"), wanted=rule("wanted"),
        seed=record.trial.seed, ordered=ordered,
    )  # fmt: skip
    return {} if seen is None else {"seen_dprime": seen, "seen_share": correct_share("pair", seen)}


def _alone(arms: Sequence[str], sums: Sequence[float]) -> str:
    best = min(sums)
    return arms[list(sums).index(best)] if list(sums).count(best) == 1 else ""


def _places_dots(
    arms: Sequence[str], rows: Mapping[str, Sequence[float]], left: str, right: str
) -> Dots:
    count = len(arms)
    lines = []
    for n, arm in enumerate(arms):
        own = {taster: row[n] for taster, row in rows.items()}
        lines.append(DotRow(arm, dots(own), math.fsum(own.values()) / len(own)))
    return Dots(1.0, float(count), (count + 1) / 2.0, left, right, "places", tuple(lines))


def read_right(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Too little, right, too much for each arm, and what it costs in liking."""
    del method
    said = found.of(record.trial.attribute)
    figures: dict[str, float] = {}
    for arm in record.trial.arms:
        own = [one.value for one in said if one.arm == arm]
        figures |= {
            f"too little {arm}": float(sum(value < 0 for value in own)),
            f"right {arm}": float(sum(value == 0 for value in own)),
            f"too much {arm}": float(sum(value > 0 for value in own)),
        }
    liked = {(one.set, one.code): one.value for one in found.of("liking")}
    both = [
        (int(one.value), liked[one.set, one.code]) for one in said if (one.set, one.code) in liked
    ]
    if both:
        costs = justright.penalties(
            [code for code, _ in both],
            [value for _, value in both],
            fewest=int(rule("right.fewest")),
        )
        for name, side in (("little", costs.little), ("much", costs.much)):
            values = {"count": float(side.count), "share": side.share, "drop": side.drop,
                      "penalty": side.penalty, "p_value": side.p_value}  # fmt: skip
            figures |= {
                f"{name} {key}": value
                for key, value in values.items()
                if value is not None and not math.isnan(value)
            }
    return Reading("told", len({one.taster for one in said}), "taster", "", figures)


def read_strengths(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Two at a time of several arms, each taster some of the pairs."""
    del method
    at = {arm: n for n, arm in enumerate(record.trial.arms)}
    orders = []
    for one in found.choices:
        losers = [arm for arm in one.arms if (arm,) != one.chosen]
        if len(one.chosen) == len(losers) == 1:
            orders.append((at[one.chosen[0]], at[losers[0]]))
    return _strengths_of(record, orders)


def _blocks_in_order(record: TrialRecord, found: Gathered) -> list[tuple[int, ...]]:
    """Orders of a few arms of many; one with a tie, or a plate without a place, is left out and said."""
    at = {arm: n for n, arm in enumerate(record.trial.arms)}
    by_set: dict[tuple[str, str, int], list[tuple[float, int]]] = defaultdict(list)
    for one in found.of(record.trial.attribute):
        by_set[one.set].append((one.value, at[one.arm]))
    whole, odd = [], []
    for (_, taster, _), row in by_set.items():
        places = sorted(place for place, _ in row)
        if places == list(range(1, (record.trial.each or 0) + 1)):
            whole.append(tuple(arm for _, arm in sorted(row)))
        else:
            odd.append(f"{taster}'s places skip or repeat ({', '.join(f'{n:g}' for n in places)})")
    _say_odd(found, odd)
    return whole


def _strengths_of(record: TrialRecord, orders: Sequence[tuple[int, ...]]) -> Reading:
    """Strengths from orders: the one before wins over each one behind."""
    arms = record.trial.arms
    if not orders:
        return Reading("ties", 0, "answer")
    wins = [[0.0] * len(arms) for _ in arms]
    for order in orders:
        for first, second in combinations(order, 2):
            wins[first][second] += 1.0
    read = strengths.strengths(wins, prior_spread=rule("prior.strength"))
    chance = strengths.spread_p(orders, len(arms), record.trial.seed)
    # So many errors from even is found so often: both sides, the least sure arm.
    errors = NormalDist().inv_cdf(1.0 - rule("alpha") / 2.0) + NormalDist().inv_cdf(rule("wanted"))
    figures = {
        "p_value": chance, "votes": float(len(orders)),
        "connected": float(strengths.connected(wins)),
        "seen_share": 1.0 / (1.0 + math.exp(-errors * max(read.errors))),
    }  # fmt: skip
    for arm, wins_of, logit, error in zip(arms, read.wins, read.logits, read.errors, strict=True):
        figures |= {f"wins of {arm}": wins_of, f"logit of {arm}": logit, f"error of {arm}": error}
    verdict = "shown" if chance <= rule("alpha") else "not shown"
    best = max(read.wins)
    leader = arms[read.wins.index(best)] if read.wins.count(best) == 1 else ""
    return Reading(verdict, len(orders), "answer", leader, figures)
