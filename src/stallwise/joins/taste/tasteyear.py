"""A year of tastings: what was tested, what was only noticed, who is lenient, and what to try next."""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.models.tasting import scores, year
from stallwise.record.schema import Cook
from stallwise.record.trial import Answer
from stallwise.tables import tastings
from stallwise.tables.tastings import rule

__all__ = ["Next", "NoticedThing", "Tested", "Year", "year_of"]


@dataclass(frozen=True)
class Tested:
    """One question that planned trials asked, all of them together.

    Attributes
    ----------
    factor : str
    attribute : str
        What was asked, in words.
    arms : tuple of str
    unit : {"points", "odds"}
        What `mean` is in: points, or the logarithm of the odds of going for the second arm.
    trials : tuple of str
    units : int
        Tasters or answers in all.
    mean, error : float
        What they have in common, for the second arm.
    better : float
        Chance that the second arm has more, or is liked better [-].
    shown : int
        How many of the trials showed it by themselves.
    blind : bool
        All of them, to the eye too.
    clear : bool
        One trial showed it, or all together leave so little to chance.
    """

    factor: str
    attribute: str
    arms: tuple[str, ...]
    unit: str
    trials: tuple[str, ...]
    units: int
    mean: float
    error: float
    better: float
    shown: int
    blind: bool
    clear: bool


@dataclass(frozen=True)
class NoticedThing:
    """One thing that differed between cooks, beside how they were liked.

    Attributes
    ----------
    name : str
    effect, error : float
        Points from usual to one spread more, pulled towards none [points].
    raw : float
        As it stands in the log, for the same step [points].
    sign_right : float
        Chance that it goes that way [-].
    by_chance : float
        How often the best of so many things with nothing to them looks as strong [-].
    mixed_up : bool
        It changed together with others and is not put in an order.
    """

    name: str
    effect: float
    error: float
    raw: float
    sign_right: float
    by_chance: float
    mixed_up: bool


@dataclass(frozen=True)
class Next:
    """The next trial worth running.

    Attributes
    ----------
    why : {"repeat", "noticed"}
    factor : str
    arms : tuple of str
        Empty where the cook has to say.
    tasters, bones : int
        What it costs to see one point, or a liking that three of four people share.
    laid : str
        The smallest part that can have it for itself.
    """

    why: str
    factor: str
    arms: tuple[str, ...]
    tasters: int
    bones: int
    laid: str


@dataclass(frozen=True)
class Year:
    """All cooks of a book.

    Attributes
    ----------
    cooks : int
        With scores.
    scores : mapping of str to (float, float)
        Liking of each cook and its error, the tasters' leniency taken off [points].
    lenient : mapping of str to float
        How much each taster gives above the others [points].
    tested : tuple of Tested
    stand : int
        Trials that still stand when so many were looked at.
    looked_at : int
        Trials with an answer of chance.
    hints : tuple of str
        Trials that were noticed afterwards, by name.
    noticed : tuple of NoticedThing
        Surest first; those that changed together at the end.
    next : Next or None
    """

    cooks: int
    scores: Mapping[str, tuple[float, float]]
    lenient: Mapping[str, float]
    tested: tuple[Tested, ...]
    stand: int
    looked_at: int
    hints: tuple[str, ...]
    noticed: tuple[NoticedThing, ...]
    next: Next | None


def year_of(
    cooks: Mapping[str, Cook], answers: Iterable[Answer], results: Sequence[TrialResult]
) -> Year:
    """Lay all cooks of a book beside each other.

    Parameters
    ----------
    cooks : mapping of str to Cook
        By name, sample cooks left out where there are others.
    answers : iterable of Answer
        Of all cooks; likings among them are scores.
    results : sequence of TrialResult
        All trials.
    """
    planned = [one for one in results if one.planned and one.state == "closed"]
    chances = [one.figures["p_value"] for one in planned if "p_value" in one.figures]
    liked, lenient = _liked(cooks, answers)
    noticed = _noticed(cooks, liked)
    tested = _tested(planned)
    return Year(
        cooks=len(liked),
        scores=liked,
        lenient=lenient,
        tested=tested,
        stand=year.discoveries(chances, rule("alpha")),
        looked_at=len(chances),
        hints=tuple(one.name for one in results if not one.planned),
        noticed=noticed,
        next=_next(tested, noticed),
    )


# --- tested ---------------------------------------------------------------------------


def _tested(results: Sequence[TrialResult]) -> tuple[Tested, ...]:
    """Put trials of one question together, whichever way round their arms stand."""
    groups: dict[tuple[str, str, tuple[str, ...], str], list[tuple[TrialResult, float, float]]]
    groups = defaultdict(list)
    for one in results:
        effect = _effect(one)
        if effect is None:
            continue
        unit, mean, error = effect
        arms = tuple(sorted(one.arms))
        sign = 1.0 if arms == one.arms else -1.0
        groups[one.factor, one.attribute, arms, unit].append((one, sign * mean, error))
    found = []
    for (factor, attribute, arms, unit), of in groups.items():
        common = year.pooled([mean for _, mean, _ in of], [error for _, _, error in of])
        shown = sum(one.verdict == "shown" for one, _, _ in of)
        # One trial is no surer here than in its own paragraph.
        sure = len(of) > 1 and max(common.better, 1.0 - common.better) >= 1.0 - rule("alpha") / 2.0
        found.append(
            Tested(
                factor=factor,
                attribute=attribute,
                arms=arms,
                unit=unit,
                trials=tuple(one.name for one, _, _ in of),
                units=sum(one.units for one, _, _ in of),
                mean=common.mean,
                error=common.error,
                better=common.better,
                shown=shown,
                blind=all(one.unseen for one, _, _ in of),
                clear=shown > 0 or sure,
            )
        )
    return tuple(sorted(found, key=lambda one: -abs(one.better - 0.5)))


def _effect(one: TrialResult) -> tuple[str, float, float] | None:
    """Tell what a trial of two arms says for its second, and how sure that is."""
    f = one.figures
    if len(one.arms) != 2 or not one.units:
        return None
    if "mean" in f and "likely_spread" in f:
        return "points", f["mean"], f["likely_spread"] / math.sqrt(one.units)
    if "second" in f:
        # Half a vote on either side, so that none against is no certainty.
        second, first = f["second"] + 0.5, f["first"] + 0.5
        return "odds", math.log(second / first), math.sqrt(1.0 / second + 1.0 / first)
    return None


# --- noticed --------------------------------------------------------------------------


def _liked(
    cooks: Mapping[str, Cook], answers: Iterable[Answer]
) -> tuple[dict[str, tuple[float, float]], dict[str, float]]:
    """Liking of each cook without its tasters' leniency."""
    by: dict[tuple[str, str], list[float]] = defaultdict(list)
    words = {word: float(number) for number, word in tastings.scale("like").items()}
    for one in answers:
        value = words.get(one.said.casefold(), _number(one.said))
        if one.cook in cooks and one.asked == "liking" and value in words.values():
            by[one.taster, one.cook].append(float(value))
    if len({cook for _, cook in by}) < 2:
        return {}, {}
    means = {pair: statistics.fmean(values) for pair, values in by.items()}
    lenient, liked = year.leniency(
        [taster for taster, _ in means], [cook for _, cook in means], list(means.values()),
        prior_spread=rule("prior.lenient"),
    )  # fmt: skip
    return liked, lenient


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _noticed(
    cooks: Mapping[str, Cook], liked: Mapping[str, tuple[float, float]]
) -> tuple[NoticedThing, ...]:
    if len(liked) < rule("noticed.cooks"):
        return ()
    names = sorted(liked)
    columns = {
        name: [read(cooks[cook]) for cook in names] for name, read in _inputs(cooks, names).items()
    }
    known = {
        name: [float(value) for value in column if value is not None]
        for name, column in columns.items()
        if None not in column
    }
    table = [[known[name][n] for name in known] for n in range(len(names))]
    if not known:
        return ()
    score = [liked[cook][0] for cook in names]
    spread = statistics.stdev(score)
    found = year.noticed(list(known), table, score, prior=rule("prior.effect"))
    things = [
        NoticedThing(
            name=one.name,
            effect=one.effect,
            error=one.error,
            raw=one.correlation * spread,
            sign_right=one.sign_right,
            by_chance=one.by_chance,
            mixed_up=one.mixed_up > rule("mixed.most"),
        )
        for one in found
    ]
    return tuple(sorted(things, key=lambda one: (one.mixed_up, -one.sign_right)))


_Read = Callable[[Cook], float | None]


def _inputs(cooks: Mapping[str, Cook], names: Sequence[str]) -> dict[str, _Read]:
    """List what may have differed: numbers of the plan, and whether a thing was there."""
    found: dict[str, _Read] = {
        "pit temperature": lambda cook: _first(_pit_c(pit.start) for pit in cook.pits),
        "rest": lambda cook: _first(_hours(piece.rest) for piece in cook.pieces),
        "mop": lambda cook: float(any(piece.spritz_every for piece in cook.pieces)),
        "glaze": lambda cook: float(any(piece.glaze_at for piece in cook.pieces)),
    }
    wraps = {piece.wrap for name in names for piece in cooks[name].pieces if piece.wrap}
    mixes = {mix.mix for name in names for mix in cooks[name].mixes}
    fuels = {pit.fuel for name in names for pit in cooks[name].pits if pit.fuel}
    cuts = {piece.cut for name in names for piece in cooks[name].pieces}
    for wrap in sorted(wraps - {"none"}):
        found[f"wrap: {wrap}"] = lambda cook, it=wrap: float(any(p.wrap == it for p in cook.pieces))  # type: ignore[misc]
    for mix in sorted(mixes):
        found[f"rub: {mix}"] = lambda cook, it=mix: float(any(m.mix == it for m in cook.mixes))  # type: ignore[misc]
    for fuel in sorted(fuels):
        found[f"wood: {fuel}"] = lambda cook, it=fuel: float(any(p.fuel == it for p in cook.pits))  # type: ignore[misc]
    for cut in sorted(cuts):
        found[f"meat: {cut}"] = lambda cook, it=cut: float(any(p.cut == it for p in cook.pieces))  # type: ignore[misc]
    return found


def _first(values: Iterable[float | None]) -> float | None:
    return next((value for value in values if value is not None), None)


def _pit_c(text: str | None) -> float | None:
    return None if text is None else units.parse("temperature", text)


def _hours(text: str | None) -> float | None:
    return None if text is None else units.parse("duration", text) / 3600.0


# --- next -----------------------------------------------------------------------------


def _next(tested: Sequence[Tested], noticed: Sequence[NoticedThing]) -> Next | None:
    """Repeat what surprised and was not repeated; else test what was noticed and is worth most.

    Worth is how far an effect may lie from what is thought of it, by how likely its sign is wrong.
    """
    once = next((one for one in tested if one.shown and len(one.trials) == 1), None)
    if once is not None:
        return _costed("repeat", once.factor, once.arms)
    open_ones = [one for one in noticed if not one.mixed_up]
    if not open_ones:
        return None
    known = rule("next.known")
    worth = {
        one.name: one.error * (1.0 - one.sign_right) + known * abs(one.effect) for one in open_ones
    }
    # What can be laid bone by bone costs one rack, so it comes before what takes several.
    best = max(open_ones, key=lambda one: (worth[one.name] * _ease(one.name), one.name))
    return _costed("noticed", best.name, ())


def _ease(name: str) -> float:
    """Weigh a thing by how little meat it takes: one rack for all arms counts more."""
    laid = tastings.factor(name.split(":", maxsplit=1)[0]).laid
    if laid == "rack":
        return 1.0
    return rule("next.bone" if laid == "bone" else "next.part")


def _costed(why: str, factor: str, arms: tuple[str, ...]) -> Next:
    laid = tastings.factor(factor.split(":", maxsplit=1)[0]).laid
    tasters = scores.tasters_needed(
        1.0, rule("spread.points"), alpha=rule("alpha"), wanted=rule("wanted")
    )
    count = tasters or 0
    return Next(why, factor, arms, count, 2 * count, laid)
