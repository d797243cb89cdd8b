"""A trial before it is tasted: drafted from three questions, and told what it could show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins.taste import tasteplan
from stallwise.joins.taste.tastefound import TIMES, hundred, often, plural
from stallwise.joins.taste.tasteplan import Before
from stallwise.joins.taste.tasteserve import Serving, serve
from stallwise.joins.words import joined
from stallwise.models.tasting.psychometric import correct_share
from stallwise.record.trial import Trial
from stallwise.tables import tastings
from stallwise.tables.tastings import rule

__all__ = ["before_words", "draft_trial", "layout_words", "serving_words"]


def draft_trial(
    cook: str,
    *,
    asks: str,
    factor: str,
    arms: Sequence[str],
    tasters: int,
    bones: Mapping[str, int] | None = None,
    question: str = "",
    sets: int = 1,
    **chosen: Any,
) -> dict[str, Any]:
    """Draft a trial of one cook from what a cook wants to know.

    Parameters
    ----------
    cook : str
        Name of its folder.
    asks : {"like", "more", "tell"}
        Which do you like, which is more of something, can you tell at all.
    factor : str
        What is varied: glaze, membrane, wood …
    arms : sequence of str
        What is put side by side.
    tasters : int
    bones : mapping of str to int, optional
        Letter of each piece and how many bones (or slices) it has.
    question : str, optional
        In the cook's own words.
    sets : int, default 1
        How often each taster tastes.
    **chosen
        What else stands in the file (`method`, `layout`, `attribute`, `expect` …), as it is.

    Returns
    -------
    dict
        For `stallwise.record.trials.new_trial`; one that could show nothing is refused.

    Raises
    ------
    InputError
        With the smallest that could work.
    """
    chosen = {key: value for key, value in chosen.items() if value is not None}
    racks = [
        {"cook": cook, "piece": letter, "bones": count} for letter, count in (bones or {}).items()
    ]
    own = chosen.get("own", [])
    sheet = [chosen.get("attribute", "liking"), *chosen.get("also", [])]
    keys = [tastings.attribute(name, own).key for name in sheet]
    most = int(rule("sheet.attributes"))
    if len(keys) > most:
        raise InputError(f"{len(keys)} things on one slip", f"{most} at most, liking first")
    if asks == "more" and keys[0] == "liking":
        raise InputError(
            "more of what is not said", "one thing to ask: smoky, sweet, tender …",
            "Name it with --more, or ask which they like",
        )  # fmt: skip
    method = chosen.pop("method", None)
    one = (
        tastings.method(method)
        if method
        else tasteplan.choose_method(
            asks, len(arms), sets=sets, plates=_plates(bones, tasters, sets)
        )
    )
    values: dict[str, Any] = {
        "question": question or _question(asks, keys[0], arms, own),
        "asks": asks,
        "factor": tastings.factor(factor).name,
        "arms": list(arms),
        "method": one.key,
        "tasters": tasters,
        "sets": sets,
        **chosen,
        "attribute": keys[0],
        "cooks": [cook],
        "racks": racks,
    }
    if keys[1:]:
        values["also"] = _liking_first(keys)[1:] if keys[0] == "liking" else _liking_first(keys[1:])
    if racks and "layout" not in values:
        values["layout"] = tasteplan.choose_layout(factor, len(racks), len(arms))
    trial = Trial.model_validate(values)
    if not trial.planned:
        return values
    tasteplan.refuse_impossible(trial)
    serve(trial, cook)  # too few bones are told now and not at the table
    return values


def _plates(bones: Mapping[str, int] | None, tasters: int, sets: int) -> int:
    """Most plates of one set that the bones are enough for."""
    return max(2, sum(bones.values()) // (tasters * sets)) if bones else 4


def _liking_first(keys: Sequence[str]) -> list[str]:
    return sorted(keys, key=lambda key: key != "liking")


def _question(
    asks: str, attribute: str, arms: Sequence[str], own: Sequence[Mapping[str, Any]]
) -> str:
    between = joined(list(arms), "or")
    if asks == "like":
        return f"Which do we like: {between}?"
    if asks == "tell":
        return f"Can we tell {joined(list(arms))} apart at all?"
    return f"Which has more {tastings.attribute(attribute, own).name}: {between}?"


def before_words(trial: Trial) -> tuple[str, ...]:
    """Say before the first bite what a trial could show, and what it takes to show less."""
    seen = tasteplan.before(trial)
    return (*_visible(trial, seen), *layout_words(trial))


def _visible(trial: Trial, seen: Before) -> Iterator[str]:
    each = f" and {trial.sets} sets of plates each" if trial.sets > 1 else ""
    who = f"With {plural(trial.tasters, 'taster')}{each}"
    needed = f"about {plural(seen.needed, seen.unit)}" if seen.needed else "more than a table holds"
    if seen.units < seen.least_units:
        yield f"{who} nothing can be shown; {plural(seen.least_units, seen.unit)} are the fewest."
    elif seen.kind == "share" and seen.smallest is not None:
        large = {
            "like": "you would see a liking that {} people share",
            "more": "you would see a difference that {} answers agree on",
            "tell": "you would see a difference that {} answers get right",
        }[trial.asks].format(hundred(seen.smallest))
        protocol = tastings.method(trial.method).protocol or "pair"
        plain = hundred(correct_share(protocol, rule("plain.distance")))
        now = f", which these find {often(seen.found)}" if seen.found is not None else ""
        yield f"{who} {large}, {TIMES}; for less you need more: {needed} for {plain}{now}."
    elif (
        seen.kind == "points"
        and seen.smallest is not None
        and seen.smallest > tasteplan.reach_of(trial)
    ):
        yield f"{who} hardly any difference on the scale would be seen: {needed} for one point."
    elif seen.kind == "points" and seen.smallest is not None:
        yield (
            f"{who} you would see a difference of about {seen.smallest:.1f} points, {TIMES}; for less "
            f"you need more: {needed} for one point."
        )
    elif seen.kind == "distance" and seen.smallest is not None:
        plain = hundred(correct_share("pair", rule("plain.distance")))
        yield (
            f"{who} you would see an order whose best wins {hundred(correct_share('pair', seen.smallest))} "
            f"pairs against the last, {TIMES}; {needed} for {plain}."
        )
    elif seen.kind == "stop":
        yield (
            f"Pairs go on until it is enough: {hundred(rule('stop.share'))} for the expected one would "
            "be seen sooner or later, less than that not."
        )
    else:
        yield f"{who} it depends on the answers how much can be seen."
    if tasteplan.units(trial)[1] == "taster" and trial.sets > 1:
        yield (
            "The tasters are counted and not their bites: more bites each make a taster surer, more "
            "tasters make the result surer."
        )


def layout_words(trial: Trial) -> Iterator[str]:
    """Say how the arms are laid, and what is mixed up with them."""
    factor = tastings.factor(trial.factor)
    if not trial.racks or not trial.layout:
        return
    one = tastings.layouts()[trial.layout]
    bones = sum(rack.bones for rack in trial.racks)
    yield (
        f"{one.name.capitalize()}: {one.words}. {bones} bones, {tasteplan.bones_needed(trial)} bites."
    )
    place = tasteplan.mixed(trial)
    if place and place.linear > rule("layout.warn"):
        yield (
            f"{joined(trial.arms)} end up {abs(place.bones_apart):.0f} bones apart: whatever changes "
            "along the rack will look like the arm. Two racks crossed over keep them apart."
        )
    elif place and place.curved > rule("layout.warn"):
        yield (
            "One arm ends up towards the ends of the rack and one towards its middle: whatever differs "
            "between ends and middle will look like the arm. A second rack is laid the other way round."
        )
    if one.laid == "rack":
        yield (
            f"{factor.name.capitalize()} takes a whole piece: {factor.why}. What else differs between "
            "the pieces will be in the result; cook it again the other way round."
        )


def serving_words(trial: Trial, serving: Serving) -> Iterator[str]:
    """Say what has to be thought of at the table."""
    if trial.plated_by is None:
        yield "Who plates? Somebody who does not taste, or the cook tastes last: write it down."
    elif trial.plated_by == "the cook":
        yield "The cook plates and tastes: the result will say that it is not blind."
    if trial.warm_up:
        spare = [f"{piece}{bone}" for piece, bone in serving.left_over]
        left = f" ({', '.join(spare)} are left over)" if spare else ""
        yield f"A bite before that nobody scores{left}: the first bite is never judged like the others."
    if not trial.cleanser:
        yield "The same thing between plates for everybody, plain crackers and water for one."
    if serving.uneven:
        yield "Orders of eating do not come out even with so many tasters; some arms go first more often."
    yield "All plates equally warm; write down how warm where you can (`T1 471 140 F`)."
