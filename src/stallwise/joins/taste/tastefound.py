"""What the answers of each way of asking come to, in sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import combinations

from stallwise.joins.taste.trialresult import TrialResult
from stallwise.joins.words import joined
from stallwise.tables.tastings import rule

__all__ = ["FOUND", "TIMES", "hundred", "often", "plural"]

#: How often a visible difference is found; the row wanted.
TIMES = "4 times in 5"


def often(chance: float) -> str:
    """Say a chance as so many times in a hundred.

    Examples
    --------
    >>> often(0.727), often(0.004)
    ('73 times in 100', 'less than once in 100')
    """
    count = round(100.0 * chance)
    if chance < 0.005:
        return "less than once in 100"
    if chance > 0.995:
        return "nearly always"
    return "once in 100" if count == 1 else f"{count} times in 100"


def hundred(share: float) -> str:
    """Say a share as so many of a hundred, never all and none while some are left."""
    count = min(99, max(1, round(100.0 * share))) if 0.0 < share < 1.0 else round(100.0 * share)
    return f"{count} of 100"


def plural(count: float, word: str) -> str:
    """Say ``1 taster`` or ``8 tasters``."""
    number = f"{count:g}"
    return f"{number} {word}" if number == "1" else f"{number} {word}s"


def _count(share: float) -> str:
    return f"{round(100.0 * share)}"


def _of_two(result: TrialResult) -> Iterator[str]:
    f = result.figures
    yield _votes(result)
    if result.verdict == "one taster":
        return
    if neither := f.get("neither"):
        yield f"{neither:.0f} could not say; chance is counted on those who chose."
    if "votes" in f:
        yield (
            f"{f['votes']:.0f} bites came from {plural(result.tasters, 'taster')}; the tasters are "
            "counted, for one taster's bites are one taste."
        )
    uneven = "that many for the expected one" if f.get("one_sided") else "at least that uneven"
    yield f"Tossing a coin comes out {uneven} {often(f['p_value'])}."
    yield from _limits_of_share(result)
    row = result.dots.rows[0] if result.dots else None
    if result.dots and row and row.low is not None and row.high is not None:
        yield (
            f"Anything from {_count(row.low)} to {hundred(row.high)} for {result.dots.right} still fits "
            "these answers."
        )
    yield from _after(result)


def _votes(result: TrialResult) -> str:
    """Say who went for what."""
    f = result.figures
    first, second = result.arms[:2]
    most, rest = max(f["first"], f["second"]), min(f["first"], f["second"])
    everyone = result.unit == "taster"
    if not result.leader:
        even = "liked each better" if result.asks == "like" else "found more in each"
        return f"{most:.0f} and {rest:.0f}: as many {even}."
    other = first if result.leader == second else second
    of = f"{most:.0f} of {plural(most + rest, 'taster' if everyone else 'pair')}"
    if rest == 0 and most > 1:
        of = f"All {plural(most, 'taster' if everyone else 'pair')}"
    against = f", {rest:.0f} {other}" if rest else ""
    if result.asks == "like" and everyone:
        return f"{of} liked {result.leader} better{against}."
    if result.asks == "like":
        return f"{of} went to {result.leader}{against}."
    if everyone:
        return f"{of} found more {result.attribute} in {result.leader}{against}."
    return f"{of} had more {result.attribute} in {result.leader}{against}."


def _limits_of_share(result: TrialResult) -> Iterator[str]:
    """Say the smallest difference that could have been seen, wherever nothing was shown."""
    f = result.figures
    if result.verdict == "shown":
        return
    who = plural(result.units, result.unit)
    if "seen_share" not in f:
        yield f"With {who} nothing could have been shown, whatever the answers."
        return
    seen = hundred(f["seen_share"])
    large = {
        "correct": f"a difference that {seen} answers get right",
        "like": f"a liking that {seen} people share",
        "more": f"a difference that {seen} answers agree on",
    }["correct" if result.reads == "correct" else result.asks]
    yield f"With {who} only {large} would have been found {TIMES}. You could not have seen a smaller one."


def _correct(result: TrialResult) -> Iterator[str]:
    f = result.figures
    guess = f["guess"] * f["trials"]
    yield (
        f"{f['correct']:.0f} of {plural(f['trials'], 'answer')} were right; guessing gets {guess:.1f}. "
        f"Guessing alone gets as many {often(f['p_value'])}."
    )
    yield from _limits_of_share(result)
    yield f"That up to {hundred(f['tell_high'])} tasters can tell still fits these answers."
    if "similar_p" in f and result.verdict != "shown":
        yield (
            f"If {hundred(rule('similar.share'))} tasters could tell, so few right answers would come "
            f"{often(f['similar_p'])}"
            + (
                ": near enough to call them as good as each other."
                if f["similar_p"] <= rule("alpha")
                else "."
            )
        )
    if (
        "similar_needed" in f
        and result.verdict != "shown"
        and f.get("similar_p", 1.0) > rule("alpha")
    ):
        here = f"; as many as here do {often(f['similar_found'])}" if "similar_p" in f else ""
        yield (
            "That does not make them as good as each other: where nobody can tell, about "
            f"{plural(f['similar_needed'], 'answer')} show it {TIMES}{here}."
        )
    yield from _after(result)


def _told_apart(result: TrialResult) -> Iterator[str]:
    f = result.figures
    if result.reads == "sameness":
        yield (
            f"{f['mixed_different']:.0f} of {f['mixed']:.0f} mixed pairs were called different, and "
            f"{f['alike_different']:.0f} of {f['alike']:.0f} pairs that were the same."
        )
    else:
        yield (
            f"{f['hits']:.0f} of {f['shown']:.0f} bites of {result.arms[0]} were known again, and "
            f"{f['false_alarms']:.0f} of {f['others']:.0f} of {result.arms[1]} taken for it."
        )
    yield f"Guessing alone does as well {often(f['p_value'])}."
    if result.verdict != "shown":
        high = f.get("dprime_high")
        left = (
            "any difference"
            if high is None
            else f"a difference of up to {high:.1f} times a bite's own ups and downs"
        )
        yield f"You could not have seen a small one: {left} still fits these answers."


def _score(result: TrialResult) -> Iterator[str]:
    f = result.figures
    first, second = result.arms[:2]
    means = f"{f[f'mean of {first}']:.1f} points to {first} and {f[f'mean of {second}']:.1f} to {second}"
    yield f"On average {plural(result.units, 'taster')} gave {means}."
    if result.verdict == "one taster":
        yield "How far tasters differ cannot be told from one; a second one tells more than more bites do."
        return
    sides = [
        f"{f[key]:.0f} gave more to {arm}"
        for key, arm in (("plus", second), ("minus", first))
        if f[key]
    ]
    same = f", {f['ties']:.0f} the same to both" if f["ties"] else ""
    yield f"{joined(sides)}{same}. Chance alone pulls as far apart {often(f['p_value'])}."
    if result.verdict != "shown":
        who = f"With {plural(result.units, 'taster')} who differ as these do"
        if f["seen"] > f["reach"]:
            yield f"{who} nothing could have been shown: the scale has no difference so large."
        else:
            yield (
                f"{who} only a true difference of about {f['seen']:.1f} points would have been found "
                f"{TIMES}. You could not have seen a smaller one."
            )
        if "needed" in f:
            yield f"To find one point takes about {plural(f['needed'], 'taster')}."
    ends = (max(f["low"], -f["reach"]), min(f["high"], f["reach"]))
    yield f"{_span(*ends, first, second)} still fits these answers."
    yield from _after(result)


def _span(low: float, high: float, first: str, second: str) -> str:
    def one(value: float) -> str:
        return f"{abs(value):.1f} points more for {second if value > 0 else first}"

    if low < 0 < high:
        return f"Anything from {one(low)} to {one(high)}"
    return (
        f"Anything from {abs(low):.1f} to {one(high)}"
        if low >= 0
        else f"Anything from {abs(high):.1f} to {one(low)}"
    )


def _order(result: TrialResult) -> Iterator[str]:
    f = result.figures
    if "votes" in f:  # each taster had some of many arms
        yield from _strengths(result)
        return
    sums = sorted((f[f"sum of {arm}"] / result.units, arm) for arm in result.arms)
    where = joined([f"{arm} {mean:.1f}" for mean, arm in sums])
    yield f"Mean places by {plural(result.units, 'taster')}: {where}."
    if result.verdict == "one taster":
        return
    which = (
        "go so well with what was expected" if result.reads == "trend" else "agree at least as much"
    )
    yield f"Orders drawn from a hat {which} {often(f['p_value'])}."
    if result.verdict == "shown" and result.reads == "rank":
        apart = [
            f"{a} and {b}"
            for a, b in combinations(result.arms, 2)
            if abs(f[f"sum of {a}"] - f[f"sum of {b}"]) > f["gap"]
        ]
        yield (
            f"Far enough apart to tell: {joined(apart)}."
            if apart
            else ("No two of them are far enough apart to be told on their own.")
        )
    if result.verdict != "shown":
        if "seen_share" in f:
            yield (
                f"With {plural(result.units, 'taster')} the best would have to win "
                f"{hundred(f['seen_share'])} pairs against the last to be found {TIMES}. You could not "
                "have seen a smaller difference."
            )
        else:
            yield f"With {plural(result.units, 'taster')} no order could have been shown."
    yield from _after(result)


def _strengths(result: TrialResult) -> Iterator[str]:
    f = result.figures
    order = sorted(((f[f"wins of {arm}"], arm) for arm in result.arms), reverse=True)
    yield f"Against the mean of them all {joined([f'{arm} wins {hundred(wins)}' for wins, arm in order])}."
    yield f"Answers drawn from a hat lie as far apart {often(f['p_value'])}."
    if result.verdict != "shown":
        yield (
            f"With {plural(f['votes'], 'answer')} only an arm that wins about {hundred(f['seen_share'])} "
            f"would have been found {TIMES}. You could not have seen a smaller difference."
        )
    if not f["connected"]:
        yield "One of them won or lost every time, so its place rests on what is thought beforehand: all near even."
    yield from _after(result)


def _right(result: TrialResult) -> Iterator[str]:
    f = result.figures
    for arm in result.arms:
        yield (
            f"{arm}: right for {f[f'right {arm}']:.0f}, too much for {f[f'too much {arm}']:.0f}, too "
            f"little for {f[f'too little {arm}']:.0f}."
        )
    for side, words in (("little", "too little"), ("much", "too much")):
        if f.get(f"{side} count") and f"{side} drop" in f:
            drop = f[f"{side} drop"]
            yield (
                f"Those who said {words} liked it {abs(drop):.1f} points "
                f"{'less' if drop >= 0 else 'more'} than those who said right."
            )
            if f"{side} p_value" not in f:
                yield "These are too few answers to make anything of that."
    yield "Where nothing was changed on purpose this is a hint and no more."


def _sequential(result: TrialResult) -> Iterator[str]:
    f = result.figures
    if result.verdict == "shown":
        yield f"{f['correct']:.0f} of the first {plural(f['trials'], 'pair')} went to {result.leader}, and the line set beforehand was crossed."
    elif result.verdict == "go on":
        yield f"Less than {hundred(f['stop_share'])} could not be seen this way, however long it goes on."
    if f["asked"] > f["trials"]:
        yield "Answers after that do not count: the rule was to stop."
    yield from _after(result)


#: Sentences by how the answers are read.
FOUND: Mapping[str, Callable[[TrialResult], Iterator[str]]] = {
    "choice": _of_two,
    "neither": _of_two,
    "correct": _correct,
    "sequential": _sequential,
    "sameness": _told_apart,
    "single": _told_apart,
    "score": _score,
    "rank": _order,
    "trend": _order,
    "right": _right,
    "strengths": _strengths,
}


def _after(result: TrialResult) -> Iterator[str]:
    """Say what would come next: a repeat for what was shown, more tasters for what was not."""
    f = result.figures
    if result.verdict == "shown":
        swapped = " with the arms swapped" if result.layout else ""
        if not (result.unseen and result.planned):
            yield f"Before anything follows from it: taste it blind, planned, in another cook{swapped}."
            return
        yield (
            f"Good evidence for these pieces on this day; another cook{swapped} is needed before it "
            f"is about the {result.factor}."
        )
    elif "next_seen" in f:
        yield (
            f"One more rack, with {f['next_units']:.0f} tasters in all, would find "
            f"{f['next_seen']:.1f} points as often."
        )
    elif "next_share" in f:
        yield (
            f"One more rack, with {f['next_units']:.0f} {result.unit}s in all, would find "
            f"{hundred(f['next_share'])} as often."
        )
