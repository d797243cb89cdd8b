"""Before a tasting: which way of asking, which layout, and what it could show at all."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.models.tasting import binomial, layouts, ranking, scores
from stallwise.models.tasting.discrimination import distance_power, distance_trials_needed
from stallwise.models.tasting.layouts import Mixed, Rack
from stallwise.models.tasting.psychometric import PROTOCOLS
from stallwise.record.trial import Trial
from stallwise.tables import tastings
from stallwise.tables.tastings import Method, rule

__all__ = [
    "Before",
    "before",
    "bones_needed",
    "choose_layout",
    "choose_method",
    "enough_arms",
    "laid",
    "mixed",
    "one_sided",
    "reach_of",
    "refuse_impossible",
    "units",
    "usual_spread",
]


@dataclass(frozen=True)
class Before:
    """What a tasting as planned could show.

    Attributes
    ----------
    kind : {"share", "points", "distance", "count", "stop"}
        What `smallest` is told in.
    units : int
        Tasters, or answers where repeats of one taster count.
    unit : str
        ``taster`` or ``answer``.
    guess : float
        Share of right answers without any difference [-].
    smallest : float or None
        Smallest difference that would be found so often as wanted; None: none at all.
    needed : int or None
        Units for a difference that is plain to see but not large: a distance of 1, a point.
    found : float or None
        How often these units find such a difference [-]; None where that is not reckoned.
    least_units : int
        Fewest units that could show anything.
    """

    kind: str
    units: int
    unit: str
    guess: float
    smallest: float | None
    needed: int | None
    least_units: int
    found: float | None = None


def choose_method(asks: str, arms: int, *, sets: int = 1, plates: int = 4) -> Method:
    """Pick the way of asking for one of the three questions.

    Parameters
    ----------
    asks : {"like", "more", "tell"}
    arms : int
    sets : int, default 1
        How often each taster tastes all arms.
    plates : int, default 4
        Most plates of one set that meat and tasters bear.

    Returns
    -------
    Method
        Of those that a cook is offered: two arms once: which; more bites of each: how much, for one
        taster's repeats are no new tasters; three arms or more: an order; can you tell: four plates
        in pairs, which takes a third of the answers that the odd one out does.

    Raises
    ------
    InputError
        No such question, or too few arms or plates for it.
    """
    if asks not in {"like", "more", "tell"}:
        raise InputError(f"{asks!r}", "like (which do you like), more (which is more), tell")
    fits = [
        one
        for one in tastings.methods().values()
        if one.front and one.asks == asks and one.arms_from <= arms <= one.arms_to
        and one.plates <= plates
    ]  # fmt: skip
    if not fits:
        raise InputError(
            f"{arms} arms and {plates} plates at once",
            "two arms for 'tell' with three plates or more, up to six for the others",
            "For more arms see `--method pairs-of-many`",
        )
    if asks == "like" and arms == 2 and sets > 1:
        return tastings.method("like-score")
    return fits[0]


def choose_layout(factor: str, racks: int, arms: int) -> str:
    """Propose how the arms are laid, from the smallest part that can have the factor for itself.

    Parameters
    ----------
    factor : str
        What is varied.
    racks : int
        How many pieces with bones (or slices) there are.
    arms : int

    Returns
    -------
    str
        A key of the layouts.

    Raises
    ------
    InputError
        It takes a piece for each arm and there are fewer.
    """
    one = tastings.factor(factor)
    if one.laid == "rack":
        if racks < arms:
            raise InputError(
                f"{one.name} on {racks} piece{'s' if racks > 1 else ''}",
                f"{arms} pieces or more, each with its own: {one.why}",
                f"Cook {arms - racks} more, or compare something that goes on bone by bone, a glaze",
            )
        return "rack by rack"
    if one.laid == "bone":
        return (
            "there and back"  # on two racks each the other way round, so that both are neighbours
        )
    if racks > 1:
        return "crossed over"
    return "blocks of three" if one.laid == "block" else "half and half"


def laid(trial: Trial) -> tuple[Rack, ...]:
    """Arm of each bone, a rack each, in the order of the trial's racks; empty without any."""
    if not trial.racks or not trial.layout:
        return ()
    bones = [rack.bones for rack in trial.racks]
    bound = rule("layout.bound")
    return layouts.lay(trial.layout, bones, len(trial.arms), seed=trial.seed, bound=bound)


def mixed(trial: Trial) -> Mixed | None:
    """How far place and rack are mixed up with the arm; None where no bones are laid."""
    racks = laid(trial)
    return layouts.mixed_up(racks) if racks and len(trial.arms) > 1 else None


def one_sided(trial: Trial) -> bool:
    """Whether one arm was expected to have more, and said so before."""
    return trial.expect is not None and tastings.method(trial.method).sides == 1


def units(trial: Trial) -> tuple[int, str]:
    """How many count, and as what.

    Repeats of one taster count where it is asked whether there is a difference. For what somebody
    likes the taster is the unit, however many bites.
    """
    one = tastings.method(trial.method)
    by_taster = one.asks == "like" or one.reads in {"score", "rank", "trend"}
    if by_taster or trial.sets == 1:
        return trial.tasters, "taster"
    return trial.tasters * trial.sets, "answer"


def reach_of(trial: Trial) -> float:
    """Longest difference on the scale that is asked on [points]."""
    own = [one.model_dump() for one in trial.own]
    return tastings.reach(tastings.attribute(trial.attribute, own).kind)


def usual_spread(trial: Trial) -> float:
    """Spread of tasters' own differences before anything was tasted, on the scale asked on [points]."""
    return rule("spread.points") * reach_of(trial) / tastings.reach("like")


def bones_needed(trial: Trial) -> int:
    """Bites that are served and scored: plates of a set, by sets, by tasters."""
    one = tastings.method(trial.method)
    return (one.plates or trial.each or len(trial.arms)) * trial.sets * trial.tasters


def before(trial: Trial) -> Before:
    """Tell what a tasting as planned could show; see `refuse_impossible` for what it cannot."""
    one = tastings.method(trial.method)
    return _BEFORE[one.reads](trial, one)


def refuse_impossible(trial: Trial) -> Before:
    """Tell the same, and refuse what can show nothing whatever is answered.

    Raises
    ------
    InputError
        With the fewest tasters that could.
    """
    one = tastings.method(trial.method)
    enough_arms(trial)
    if one.asks != trial.asks and one.reads != "right":
        raise InputError(
            f"{one.key} where {trial.asks!r} is asked", f"a way that asks {trial.asks!r}",
            f"There are: {', '.join(m.key for m in tastings.methods().values() if m.asks == trial.asks)}",
        )  # fmt: skip
    if one.key == "most-of-three" and trial.expect is None:
        raise InputError("no arm is expected to have more", "expect = one of the arms")
    seen = before(trial)
    if seen.units < seen.least_units:
        raise InputError(
            f"{seen.units} {seen.unit}{'s' if seen.units > 1 else ''}: whatever they answer, chance "
            "alone does as much too often",
            f"{seen.least_units} {seen.unit}s or more",
            _smallest_way(trial, seen),
        )
    return seen


def enough_arms(trial: Trial) -> None:
    """Refuse more or fewer arms than a way of asking takes.

    Raises
    ------
    InputError
        With how many it takes.
    """
    one = tastings.method(trial.method)
    if not one.arms_from <= len(trial.arms) <= one.arms_to:
        raise InputError(
            f"{one.name!r} with {len(trial.arms)} arm{'s' if len(trial.arms) > 1 else ''}",
            f"{one.arms_from}" + (f" to {one.arms_to}" if one.arms_to > one.arms_from else ""),
            "One arm compares with nothing" if len(trial.arms) < 2 else "",
        )


def _smallest_way(trial: Trial, seen: Before) -> str:
    if seen.unit == "taster":
        also = " Or ask which is more of something: then each bite counts" * (trial.asks == "like")
        return f"The smallest that could work is {seen.least_units} tasters.{also}"
    sets = -(-seen.least_units // trial.tasters)
    return f"The smallest that could work is {sets} sets for each of {trial.tasters} tasters"


def _fewest(works: Callable[[int], bool]) -> int:
    return next((n for n in range(1, 200) if works(n)), 200)


def _share(trial: Trial, one: Method) -> Before:
    count, unit = units(trial)
    protocol = one.protocol or "pair"
    guess = PROTOCOLS[protocol].guess
    sides = 1 if one.asks == "tell" or one.key == "most-of-three" or one_sided(trial) else 2
    alpha, wanted = rule("alpha"), rule("wanted")
    smallest = binomial.smallest_share(count, guess, alpha=alpha, wanted=wanted, sides=sides)
    plain = rule("plain.distance")
    needed = distance_trials_needed(protocol, plain, alpha=alpha, wanted=wanted, sides=sides)
    least = _fewest(lambda n: binomial.least_correct(n, guess, alpha, sides) is not None)
    found = distance_power(protocol, plain, count, alpha=alpha, sides=sides)
    stable = needed.stable if needed else None
    return Before("share", count, unit, guess, smallest, stable, least, found)


def _points(trial: Trial, one: Method) -> Before:
    del one
    count, unit = units(trial)
    spread = usual_spread(trial)
    seen = (
        scores.smallest_difference(count, spread, alpha=rule("alpha"), wanted=rule("wanted"))
        if count > 1
        else None
    )
    needed = scores.tasters_needed(1.0, spread, alpha=rule("alpha"), wanted=rule("wanted"))
    return Before("points", count, unit, 0.0, seen, needed, 2)


def _order(trial: Trial, one: Method) -> Before:
    count, unit = units(trial)

    def seen(tasters: int) -> float | None:
        return ranking.smallest_rank_distance(
            tasters, len(trial.arms), alpha=rule("alpha"), wanted=rule("wanted"),
            seed=trial.seed, ordered=one.reads == "trend",
        )  # fmt: skip

    smallest = seen(count)
    plain = rule("plain.distance")
    if smallest is not None and smallest <= plain:
        needed: int | None = count
    else:
        # Distances shrink with the root of the tasters; good enough to say how many more.
        needed = None if smallest is None else int(count * (smallest / plain) ** 2) + 1
    least = count if smallest is not None else _fewest(lambda n: seen(n) is not None)
    return Before("distance", count, unit, 0.5, smallest, needed, least)


def _counts(trial: Trial, one: Method) -> Before:
    """Ways for teachers in which only what is answered tells how much it can show."""
    count, unit = units(trial)
    # Half of the plates, or pairs, are of one kind: all right is one way of so many.
    paired = one.reads in {"single", "sameness"}
    least = _fewest(lambda n: 1.0 / math.comb(n, n // 2) <= rule("alpha")) if paired else 1
    return Before("count", count, unit, 0.5, None, None, least)


def _stop(trial: Trial, one: Method) -> Before:
    del one
    count = trial.tasters * trial.sets
    return Before("stop", count, "answer", 0.5, rule("stop.share"), None, 1)


_BEFORE: Mapping[str, Callable[[Trial, Method], Before]] = {
    "choice": _share,
    "correct": _share,
    "neither": _share,
    "score": _points,
    "rank": _order,
    "trend": _order,
    "strengths": _counts,
    "sameness": _counts,
    "single": _counts,
    "right": _counts,
    "sequential": _stop,
}
