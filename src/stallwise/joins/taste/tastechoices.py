"""Answers that name a plate, or say same, yes, neither: how each way of asking is read."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence

from stallwise.joins.taste.tasteplan import one_sided
from stallwise.joins.taste.tasteread import NEITHER, Choice, Gathered
from stallwise.joins.taste.trialresult import DotRow, Dots, Reading, dots
from stallwise.models.tasting import binomial, criterion, replicates, sequential
from stallwise.models.tasting.discrimination import Discrimination, discriminate, distinguishers
from stallwise.models.tasting.psychometric import PROTOCOLS
from stallwise.record.trial import TrialRecord
from stallwise.tables.tastings import Method, rule

__all__ = [
    "read_choice",
    "read_correct",
    "read_neither",
    "read_sameness",
    "read_sequential",
    "read_single",
]


def _named(found: Discrimination) -> dict[str, float]:
    names = ("correct", "trials", "guess", "p_value", "share", "low", "high", "dprime",
             "dprime_low", "dprime_high", "dprime_se", "least", "seen_share", "seen_dprime")  # fmt: skip
    values = {name: getattr(found, name) for name in names}
    return {name: float(value) for name, value in values.items() if value is not None}


def _verdict(found: Discrimination) -> str:
    return "shown" if found.shown else "not shown"


def read_choice(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Which of two: by answers where it is asked what has more, by tasters for what they like."""
    arms = record.trial.arms
    votes = [one for one in found.choices if len(one.chosen) == 1]
    by_taster: dict[str, list[Choice]] = defaultdict(list)
    for one in votes:
        by_taster[one.taster].append(one)
    second = arms[1]
    shares = {
        taster: sum(one.chosen[0] == second for one in of) / len(of)
        for taster, of in by_taster.items()
    }
    repeated = method.asks == "like" and any(len(of) > 1 for of in by_taster.values())
    if repeated:
        leaning = [share for share in shares.values() if share != 0.5]
        correct, trials, unit = sum(share > 0.5 for share in leaning), len(leaning), "taster"
    else:
        correct, trials = sum(one.chosen[0] == second for one in votes), len(votes)
        unit = "taster" if len(by_taster) == len(votes) else "answer"
    if not trials:
        return Reading("ties", 0, unit)
    sided = one_sided(record.trial)
    turned = sided and record.trial.expect == arms[0]
    read = discriminate(
        "pair", trials - correct if turned else correct, trials,
        alpha=rule("alpha"), wanted=rule("wanted"), sides=1 if sided else 2,
    )  # fmt: skip
    figures = _named(read) | {"first": float(trials - correct), "second": float(correct)}
    figures["one_sided"] = float(sided)
    if repeated:
        figures |= _repeats(record, len(by_taster), len(votes), found)
    elif method.asks != "like":
        figures |= _alike(by_taster, lambda one: one.chosen[0] == (arms[0] if turned else second))
    low, high = (1.0 - read.high, 1.0 - read.low) if turned else (read.low, read.high)
    row = DotRow("", dots(shares), correct / trials, low, high)
    picture = Dots(0.0, 1.0, 0.5, arms[0], arms[1], "votes", (row,))
    leader = "" if 2 * correct == trials else arms[1] if 2 * correct > trials else arms[0]
    verdict = "one taster" if len(by_taster) == 1 and unit == "taster" else _verdict(read)
    return Reading(verdict, trials, unit, leader, figures, picture)


def _repeats(record: TrialRecord, tasters: int, votes: int, found: Gathered) -> dict[str, float]:
    """Tell what bites of the same tasters are worth, and what counting them as tasters would do."""
    likeness = rule("alike.usual")
    each = max(2, round(votes / tasters))
    right = Counter(one.taster for one in found.choices if one.chosen == (record.trial.arms[1],))
    asked = Counter(one.taster for one in found.choices)
    if tasters >= rule("alike.fewest") and len(set(asked.values())) == 1:
        likeness = replicates.alike([right[taster] for taster in asked], each).gamma
    return {
        "votes": float(votes),
        "alike": likeness,
        "worth": replicates.worth_of_repeats(tasters, each, likeness),
        "pooled_false_alarm": replicates.false_alarm_if_pooled(
            tasters, each, likeness, rule("alpha")
        ),
    }


def _alike(
    by_taster: Mapping[str, Sequence[Choice]],
    right: Callable[[Choice], bool],
    guess: float | None = None,
) -> dict[str, float]:
    """How alike one taster's answers are, beyond a guess, where that can be estimated at all."""
    lengths = {len(of) for of in by_taster.values()}
    if len(by_taster) < rule("alike.fewest") or len(lengths) != 1 or lengths == {1}:
        return {}
    correct = [sum(map(right, of)) for of in by_taster.values()]
    found = replicates.alike(correct, lengths.pop(), guess=guess)
    return {"alike": found.gamma, "alike_gain": found.overdispersion}


def read_neither(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Which of two, with a box for neither: chance is counted on those who chose."""
    arms = record.trial.arms
    first = sum(one.chosen == (arms[0],) for one in found.choices)
    second = sum(one.chosen == (arms[1],) for one in found.choices)
    neither = sum(one.word == NEITHER for one in found.choices)
    chosen = first + second
    if not chosen:
        return Reading("ties", neither, "answer", figures={"neither": float(neither)})
    votes = Gathered(choices=[one for one in found.choices if one.chosen])
    reading = read_choice(record, votes, method)
    apart = criterion.two_with_neither(first, neither, second, level=rule("level"))
    more = {
        "neither": float(neither), "two_ac_dprime": apart.dprime, "two_ac_low": apart.low,
        "two_ac_high": apart.high, "two_ac_tau": apart.tau, "two_ac_p": apart.p_value,
    }  # fmt: skip
    return Reading(
        reading.verdict, reading.units, reading.unit, reading.leader,
        {**reading.figures, **more}, reading.dots,
    )  # fmt: skip


def read_correct(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Right or wrong: repeats count, for nobody is right by liking."""
    right = [(one.taster, _is_right(one, method, record)) for one in found.choices]
    correct = sum(ok for _, ok in right)
    read = discriminate(
        method.protocol, correct, len(right), alpha=rule("alpha"), wanted=rule("wanted")
    )
    by_taster: dict[str, list[Choice]] = defaultdict(list)
    for one in found.choices:
        by_taster[one.taster].append(one)
    figures = _named(read)
    figures["tell"] = distinguishers(read.share, read.guess)
    figures["tell_high"] = distinguishers(read.high, read.guess)
    figures |= _alike(by_taster, lambda one: _is_right(one, method, record), read.guess)
    limit = read.guess + rule("similar.share") * (1.0 - read.guess)
    if len(right) >= rule("similar.fewest"):
        figures["similar_p"] = binomial.similar_p(correct, len(right), limit)
        figures["similar_found"] = binomial.similar_power(
            len(right), read.guess, limit, rule("alpha")
        )
    enough = binomial.similar_trials_needed(
        read.guess, limit, alpha=rule("alpha"), wanted=rule("wanted")
    )
    figures |= {} if enough is None else {"similar_needed": max(enough, rule("similar.fewest"))}
    shares = {
        taster: sum(_is_right(one, method, record) for one in of) / len(of)
        for taster, of in by_taster.items()
    }
    row = DotRow("", dots(shares), read.share, read.low, read.high)
    picture = Dots(0.0, 1.0, read.guess, "none right", "all right", "right", (row,))
    unit = "taster" if len(by_taster) == len(right) else "answer"
    return Reading(_verdict(read), len(right), unit, "", figures, picture)


def _is_right(one: Choice, method: Method, record: TrialRecord) -> bool:
    if one.word in {"right", "wrong"}:
        return one.word == "right"
    counts = Counter(one.arms)
    if method.key == "odd-one-out":
        return len(one.chosen) == 1 and counts[one.chosen[0]] == 1
    if method.key == "two-pairs":
        return len(one.chosen) == 2 and one.chosen[0] == one.chosen[1]
    if method.key == "match-the-first":
        return one.places[:1] != (1,) and one.chosen[:1] == one.arms[:1]
    return one.chosen == (record.trial.expect,)


def read_sequential(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """One pair after another, by a rule that was set before."""
    expect = record.trial.expect or record.trial.arms[1]
    ordered = sorted((one for one in found.choices if one.chosen), key=lambda one: one.order)
    right = [one.chosen == (expect,) for one in ordered]
    if not right:
        return Reading("ties", 0, "answer")
    guess = PROTOCOLS[method.protocol].guess
    run = sequential.running(
        right,
        guess=guess,
        share=rule("stop.share"),
        alpha=rule("stop.alpha"),
        beta=rule("stop.beta"),
    )
    verdict = {"different": "shown", "alike": "alike", "go on": "go on"}[run.verdict]
    counted = right[: run.stopped] if run.stopped else right
    figures = {
        "correct": float(sum(counted)), "trials": float(len(counted)), "guess": guess,
        "stop_share": rule("stop.share"), "need": float(run.need), "asked": float(len(right)),
    }  # fmt: skip
    return Reading(verdict, len(counted), "answer", expect, figures)


def read_sameness(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """Pairs that were alike or not, and called the same or not."""
    del record, method
    tally: Counter[tuple[bool, str]] = Counter(
        (len(set(one.arms)) == 1, one.word)
        for one in found.choices
        if one.word in {"same", "different"}
    )
    alike = tally[True, "same"] + tally[True, "different"]
    mixed = tally[False, "same"] + tally[False, "different"]
    if not alike or not mixed:
        return Reading("too few", alike + mixed, "answer")
    apart = criterion.same_or_different(
        tally[True, "same"], tally[True, "different"], tally[False, "same"],
        tally[False, "different"], level=rule("level"),
    )  # fmt: skip
    figures = {
        "alike": float(alike), "alike_different": float(tally[True, "different"]),
        "mixed": float(mixed), "mixed_different": float(tally[False, "different"]),
    }  # fmt: skip
    return _told_apart(apart, alike + mixed, figures)


def read_single(record: TrialRecord, found: Gathered, method: Method) -> Reading:
    """One plate at a time: the one that was shown before, or not."""
    del method
    this = record.trial.arms[0]
    tally = Counter(
        (one.chosen == (this,), one.word) for one in found.choices if one.word in {"yes", "no"}
    )
    shown, others = (tally[own, "yes"] + tally[own, "no"] for own in (True, False))
    if not shown or not others:
        return Reading("too few", shown + others, "answer")
    apart = criterion.is_it_this_one(
        tally[True, "yes"], shown, tally[False, "yes"], others, level=rule("level")
    )
    figures = {
        "shown": float(shown), "hits": float(tally[True, "yes"]),
        "others": float(others), "false_alarms": float(tally[False, "yes"]),
    }  # fmt: skip
    return _told_apart(apart, shown + others, figures)


def _told_apart(apart: criterion.Distance, answers: int, figures: dict[str, float]) -> Reading:
    more = {
        "p_value": apart.p_value, "dprime": apart.dprime, "dprime_low": apart.low,
        "dprime_high": apart.high,
    }  # fmt: skip
    verdict = "shown" if apart.p_value <= rule("alpha") else "not shown"
    return Reading(verdict, answers, "answer", "", {**figures, **more})
