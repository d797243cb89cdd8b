"""A year of tastings in words: two lists that are never mixed, and the next trial."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stallwise.joins.tables import Table
from stallwise.joins.taste.tastefound import hundred, often, plural
from stallwise.joins.taste.tasteyear import Next, NoticedThing, Tested, Year
from stallwise.joins.words import joined
from stallwise.tables.tastings import rule

__all__ = ["lenient_words", "next_words", "noticed_words", "planned_words", "score_table"]


#: What stands for itself on screens: the question that needs no name.
_LIKING = "liking"


def planned_words(found: Year) -> Iterator[str]:
    """Say what planned trials show, question by question."""
    for one in found.tested:
        yield _tested(one)
    if found.looked_at > 1:
        yield (
            f"{plural(found.looked_at, 'trial')} were looked at; {found.stand} would still stand out "
            "with so many looks."
        )
    if not found.tested:
        yield "No planned trial of two arms has been closed yet."


def _tested(one: Tested) -> str:
    first, second = one.arms
    leader = second if one.better >= 0.5 else first
    size = abs(one.mean)
    much = (
        f"by about {size:.1f} points"
        if one.unit == "points"
        else f"with about {hundred(1.0 / (1.0 + math.exp(-size)))} votes"
    )
    what = one.factor if one.attribute == _LIKING else f"{one.factor}, {one.attribute}"
    count = plural(len(one.trials), "trial")
    blind = "" if one.blind else ", not all of them blind" if len(one.trials) > 1 else ", not blind"
    return f"{what.capitalize()}: {leader} ahead {much} in {count}{blind}; {_sure(one)}."


def _sure(one: Tested) -> str:
    """Say how sure that is: never surer than the trials themselves."""
    if not one.clear:
        return "none showed it by itself, and all of it could be chance"
    if len(one.trials) == 1:
        return "shown there, and to be repeated"
    sure = max(one.better, 1.0 - one.better)
    by_itself = f"{one.shown} of them showed it" if one.shown else "none showed it by itself"
    return f"{by_itself}, and together they point the right way {often(sure)}"


def noticed_words(found: Year) -> Iterator[str]:
    """Say what the log suggests; nothing of it was tested."""
    clear = [one for one in found.noticed if not one.mixed_up]
    for one in clear:
        yield _noticed(one)
    if clear:
        best = min(one.by_chance for one in clear)
        yield (
            f"{plural(len(found.noticed), 'thing')} were looked at over {plural(found.cooks, 'cook')}: "
            f"if nothing were to any of them the best would look as strong {often(best)}."
        )
    if mixed := [one.name for one in found.noticed if one.mixed_up]:
        yield f"Changed together, so which of them it was cannot be told: {joined(mixed)}."
    if found.hints:
        yield f"Noticed at the table and not planned: {joined(list(found.hints))}."
    if not found.noticed:
        yield (
            f"{plural(found.cooks, 'cook')} with scores: too few to notice anything. "
            f'{rule("noticed.cooks"):.0f} are the fewest; `stallwise taste COOK score "T1 7"` keeps one.'
        )


def _noticed(one: NoticedThing) -> str:
    way = "more" if one.effect >= 0 else "less"
    return (
        f"{one.name.capitalize()}: {abs(one.effect):.1f} points {way} (as logged {abs(one.raw):.1f}); "
        f"the way is right {often(one.sign_right)}."
    )


def lenient_words(found: Year) -> str:
    """Who gives more than others; empty where nobody stands out by what matters at a table."""
    out = sorted(found.lenient.items(), key=lambda one: -one[1])
    said = [
        f"{taster} gives {abs(points):.1f} {'more' if points > 0 else 'less'} than the others"
        for taster, points in out
        if abs(points) >= rule("prior.near")
    ]
    return f"{joined(said)}; that is taken off." if said else ""


def next_words(one: Next | None) -> str:
    """Name the next trial worth running, and what it costs."""
    if one is None:
        return "Nothing stands out to be tried next: plan the question you are curious about."
    cost = f"about {plural(one.tasters, 'taster')} for one point"
    where = {
        "bone": f"bone by bone, {one.bones} bones",
        "block": f"in blocks of bones, {one.bones} bones",
        "half": "half by half over two racks, crossed over",
        "rack": "piece against piece, and again the other way round",
    }[one.laid]
    if one.why == "repeat":
        return f"Next: repeat {joined(list(one.arms), 'against')}, for it was shown once only; {where}, {cost}."
    return f"Next: test {one.factor}, {where}, {cost}. Fewer tasters see only more."


def score_table(found: Year) -> Table:
    """Liking of each cook, harsh and lenient tasters evened out."""
    rows = tuple(
        (cook, f"{mean:.1f}", f"{error:.1f}")
        for cook, (mean, error) in sorted(found.scores.items())
    )
    return Table("Liking by cook", ("cook", "points of 9", "give or take"), rows, "trials")
