"""A trial in plain words: what was found, what could not have been seen, what still fits.

No statistic stands in front, nothing is called by a statistician's word, and "not shown" never
stands without the smallest difference that would have been.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from stallwise.ground.formats import format_temperature_difference
from stallwise.joins.tables import Table
from stallwise.joins.taste.tastefound import FOUND, hundred, often, plural
from stallwise.joins.taste.trialresult import AlsoResult, CountResult, TrialResult
from stallwise.joins.words import joined
from stallwise.tables import tastings
from stallwise.tables.tastings import rule

__all__ = ["also_words", "behind", "count_words", "headline", "paragraph"]


def headline(result: TrialResult) -> str:
    """One sentence: what it came to."""
    return _HEADS[result.verdict](result)


def paragraph(result: TrialResult, units: str = "us") -> tuple[str, ...]:
    """Everything a cook has to know, in the order it is read.

    Parameters
    ----------
    result : TrialResult
    units : {"us", "metric"}
    """
    said = [headline(result)]
    if result.verdict not in _SILENT:
        said += FOUND[result.reads](result)
    said += _blindness(result)
    said += _mixed_up(result, units)
    said += [f"Changed after it was locked: {_changes(result)}."] if result.changed else []
    return tuple(dict.fromkeys(f"{one[:1].upper()}{one[1:]}" for one in said))


#: Nothing is compared where these were found; the headline says it all.
_SILENT = frozenset({"nothing yet", "key closed", "one arm", "ties", "too few"})


# --- headlines ------------------------------------------------------------------------


def _open(result: TrialResult) -> str:
    return (
        f"{result.answered} of {result.served} sets are answered. Which plate was which stays "
        "closed until all have answered."
    )


def _better(result: TrialResult) -> str:
    verb = "was liked better" if result.asks == "like" else f"had more {result.attribute}"
    return f"{result.leader} {verb}"


def _shown(result: TrialResult) -> str:
    if result.reads in {"correct", "sameness", "single"}:
        return f"Told apart{_unless_unseen(result)}: {joined(result.arms)} do not taste the same to these tasters."
    if result.reads == "trend":
        return f"{_how_shown(result)}: {joined(result.arms)} come in the order that was expected."
    if result.reads in {"rank", "strengths"}:
        best = f"; {result.leader} comes first" if result.leader else ""
        return f"{_how_shown(result)}: the tasters agree on an order{best}."
    return f"{_how_shown(result)}: {_better(result)}."


def _how_shown(result: TrialResult) -> str:
    """Say shown, and no more than that where tasters knew or nobody planned it."""
    if not result.planned:
        return "Noticed, not tested"
    return "Shown here" if result.unseen else f"It leans clearly{_unless_unseen(result)}"


def _unless_unseen(result: TrialResult) -> str:
    if result.unseen:
        return ""
    return ", but the arms looked different" if result.plated_unseen else ", but not blind"


def _not_shown(result: TrialResult) -> str:
    if result.reads in {"correct", "sameness", "single"}:
        return f"Not told apart: guessing could have given these answers to {joined(result.arms)}."
    if result.reads in {"rank", "trend", "strengths"}:
        return f"Not shown: {joined(result.arms)} were put in orders that could be chance."
    if not result.leader:
        return f"Not shown: {joined(result.arms)} came out even."
    look = " or the look of it" if result.look_alike is False else ""
    return f"Not shown: it leans to {result.leader}, and that could be chance{look}."


_HEADS: Mapping[str, Callable[[TrialResult], str]] = {
    "shown": _shown,
    "not shown": _not_shown,
    "told": lambda r: f"{r.attribute.capitalize()}, as {plural(r.tasters, 'taster')} put it.",
    "one taster": lambda r: (
        f"One taster leans to {r.leader}. That is one person's opinion, and nothing follows for others."
        if r.leader
        else "One taster found them even. That is one person's opinion."
    ),
    "ties": lambda r: (
        f"Nobody put {r.arms[0]} and {r.arms[-1]} apart, so there is nothing to compare. "
        "With these tasters a question that has to be answered either way may tell more."
    ),
    "too few": lambda _: "Too few whole answers to compare anything.",
    "nothing yet": lambda _: "Nothing is answered yet.",
    "go on": lambda r: (
        f"Not enough yet: {r.figures['correct']:.0f} of {r.figures['trials']:.0f} pairs "
        f"went to {r.leader}; {r.figures['need']:.0f} more in a row would settle it."
    ),
    "alike": lambda r: (
        f"Stopped: {r.leader} does not win {hundred(r.figures['stop_share'])} pairs, "
        "which was written down as what would matter. Less than that may still be there."
    ),
    "one arm": lambda r: (
        f"Only {r.arms[0]} was tasted, and one arm compares with nothing. Its answers "
        "are kept; cook the other one too."
    ),
    "key closed": _open,
}


# --- what may have fooled -------------------------------------------------------------


def _blindness(result: TrialResult) -> Iterator[str]:
    if result.verdict in {"nothing yet", "one arm"}:
        return
    look = "" if result.look_alike is not False else ", but for the look"
    yield {
        "blind": f"Blind{look}: someone who did not taste plated.",
        "last": (
            f"Nearly blind{look}: the cook plated, and tasted last from plates that were shuffled."
        ),
        "not blind": "Not blind: who tasted knew which was which, so this may be what was hoped for.",
        "not said": "Not blind, as far as is known: nobody wrote down who plated.",
    }[result.blind]
    if result.look_alike is False:
        yield "The arms looked different, so tasters may have gone by the look."
    if not result.planned:
        yield "It was noticed afterwards and not planned: a hint for a trial, not the answer of one."


def _mixed_up(result: TrialResult, units: str) -> Iterator[str]:
    if result.verdict in {"nothing yet", "key closed", "one arm"}:
        return
    if result.linear is not None and result.linear > rule("layout.warn"):
        apart = abs(result.bones_apart or 0.0)
        yield (
            f"{joined(result.arms)} lay at different ends of the rack, {apart:.0f} bones apart in the "
            f"middle: whatever changes along a rack is mixed up with the {result.factor}. A tenth of a "
            f"point from bone to bone would look like {apart / 10.0:.1f} points."
        )
    elif result.curved is not None and result.curved > rule("layout.warn"):
        yield (
            f"{joined(result.arms)} lay one towards the ends of the rack and one towards its middle: "
            f"whatever differs between ends and middle is mixed up with the {result.factor}."
        )
    if result.racks_per_arm is not None:
        one = result.racks_per_arm == 1
        tried = "a single try" if one else f"{result.racks_per_arm} tries"
        yield (
            f"Each piece had one {result.factor} only, so for pieces this is {tried}: what else "
            "differed between them is in the result, and more bites do not take it out. Cook it again "
            "the other way round."
        )
    served = result.served_c
    if served and max(served.values()) - min(served.values()) > rule("degrees.apart"):
        warm = max(served, key=lambda arm: served[arm])
        gap = format_temperature_difference(max(served.values()) - min(served.values()), units)
        yield f"{warm} was served {gap} warmer, and warm meat tastes juicier."
    core = result.core_c
    if core and max(core.values()) - min(core.values()) > rule("core.apart"):
        hot = max(core, key=lambda arm: core[arm])
        gap = format_temperature_difference(max(core.values()) - min(core.values()), units)
        yield f"{hot} came off {gap} hotter: how far it was cooked is mixed up with the {result.factor}."


def _changes(result: TrialResult) -> str:
    return "; ".join(f"{key} was {was}, is {now}" for key, (was, now) in result.changed.items())


# --- kept apart -----------------------------------------------------------------------


def count_words(one: CountResult) -> str:
    """Say what the eye counted; no blinding is needed for that."""
    side = f" ({one.side})" if one.side else ""
    of = joined([f"{count} of {out_of} with {arm}" for arm, count, out_of in one.arms])
    said = f"{one.what.capitalize()}{side}: {of}."
    if one.p_value is None:
        return said
    if one.shown:
        return f"{said} Chance alone does that {often(one.p_value)}: shown by the count of these pieces."
    return f"{said} Chance alone does as much {often(one.p_value)}, so more pieces are needed to call it so."


def also_words(one: AlsoResult) -> str:
    """Tell what else was asked, arm by arm, without comparing: many looks always find something."""
    said = []
    for arm, values in one.arms.items():
        if not values:
            continue
        if one.kind == "right":
            little, much = sum(v < 0 for v in values), sum(v > 0 for v in values)
            right = len(values) - little - much
            parts = [("right", right), ("too much", much), ("too little", little)]
            said.append(f"{arm} {', '.join(f'{name} for {n}' for name, n in parts if n)}")
        elif one.kind == "yes or no":
            said.append(f"{arm} yes for {sum(values):.0f} of {len(values)}")
        else:
            mean = sum(values) / len(values)
            unit = " mm" if one.kind == "millimetres" else ""
            said.append(f"{arm} {mean:.1f}{unit} on average of {len(values)}")
    return f"{one.name.capitalize()}: {'; '.join(said)}."


#: What the figures are called behind the fold; others go by their own name.
_NAMED: Mapping[str, str] = {
    "p_value": "chance alone does as much (p)",
    "guess": "a guess is right",
    "first": "for the first",
    "second": "for the second",
    "correct": "counted as right",
    "trials": "of",
    "share": "share",
    "low": "still fits, from",
    "high": "still fits, to",
    "dprime": "distance (d′)",
    "dprime_low": "distance, from",
    "dprime_high": "distance, to",
    "dprime_se": "standard error of the distance",
    "least": "so many would have been enough",
    "seen_share": "smallest share found 4 times in 5",
    "seen_dprime": "smallest distance found 4 times in 5",
    "seen": "smallest difference found 4 times in 5, in points",
    "needed": "tasters for one point",
    "mean": "mean difference, in points",
    "spread": "spread of the tasters",
    "likely_spread": "the same, pulled towards the usual one",
    "rank_p": "by signed ranks (p)",
    "sign_p": "by signs alone (p)",
    "plus": "more for the second",
    "minus": "more for the first",
    "better": "chance that the second is better, with what was thought beforehand",
    "small": "chance that it hardly matters",
    "tell": "tasters who can tell",
    "tell_high": "tasters who can tell, at most",
    "alike": "likeness of one taster's answers (γ)",
    "worth": "answers that they are worth",
    "pooled_false_alarm": "false alarms if bites were counted as tasters",
    "gap": "rank sums farther apart than this differ",
    "statistic": "statistic",
    "exact": "counted exactly",
    "two_ac_dprime": "distance with neither (2-AC d′)",
    "two_ac_p": "by likelihood (p)",
    "next_units": "with one more rack",
    "next_share": "smallest share then",
    "next_seen": "smallest difference then, in points",
    "similar_p": "so few right if many could tell (p)",
    "similar_found": "so many answers call them as good, if nobody can tell",
    "similar_needed": "answers that do so 4 times in 5",
    "alike_gain": "gain over tasters that are all alike",
    "two_ac_low": "distance with neither, from",
    "two_ac_high": "distance with neither, to",
    "two_ac_tau": "how sure a taster wants to be (τ)",
    "opinion_low": "with what was thought beforehand, from",
    "opinion_high": "with what was thought beforehand, to",
}
#: Only of use to the sentences.
_INNER = frozenset({"one_sided", "reach", "connected", "asked", "votes"})


def behind(result: TrialResult) -> Table:
    """Every number, for the fold."""
    rows = [
        ("way of asking", tastings.method(result.method).name),
        ("counted", plural(result.units, result.unit)),
    ]
    if result.layout:
        rows.append(("layout", result.layout))
    if result.linear is not None:
        rows.append(("place and arm mixed up (R²)", f"{result.linear:.2f}"))
    if result.curved is not None:
        rows.append(("the same, ends against middle too (R²)", f"{result.curved:.2f}"))
    rows += [
        (_NAMED.get(key, key.replace("_", " ")), f"{value:.3g}")
        for key, value in result.figures.items()
        if key not in _INNER
    ]
    return Table("The numbers", ("what", "how much"), tuple(rows), "trials")
