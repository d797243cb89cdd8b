"""One mix by itself: scaled to an amount in words, on a stove, in a bowl, out of a jar."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.ground.formats import format_depth
from stallwise.joins.mix.mixanswer import enough_for, mix_result
from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.mix.salting import brine_words
from stallwise.models.batch import batch_of
from stallwise.models.mixes import ScaledMix, scale
from stallwise.models.openpan import depth_m
from stallwise.models.reduction import RINGS, BoilingDown, left_after_m3
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.mix import Mix, Pantry
from stallwise.tables.mixbook import pantry
from stallwise.tables.serves import parse_target

__all__ = ["Stove", "bowls", "scale_for"]


@dataclass(frozen=True)
class Stove:
    """Where a mix is reduced: the pan [m], the ring as written, and a time to look after [s]."""

    pan_m: float | None = None
    ring: str = ""
    after_s: float | None = None


def scale_for(
    name: str,
    target: str,
    *,
    batch: bool,
    mixes: Mapping[str, Mapping[str, Any]],
    ingredients: Mapping[str, Mapping[str, Any]],
    measures: Mapping[str, str] | None = None,
    system: str = "us",
    region: str | None = None,
    stove: Stove | None = None,
) -> MixResult:
    """Scale one mix to an amount as a person writes it.

    Parameters
    ----------
    name, target : str
        Key of the mix; ``"4 kg"`` of meat, ``"5 pieces"``, ``"28 guests"``, ``"2 batches"``,
        ``"250 g of honey"``.
    batch : bool
        The amount is that of the mix itself.
    mixes, ingredients, measures : mapping
        The cook's own, laid over the shipped tables.
    system : {"us", "metric"}
        Units of notes.
    region : str, optional
        Which spoons and cups; those of `system` by default.
    stove : Stove, optional
        Pan and ring that it is reduced on, laid over the mix's own.

    Raises
    ------
    InputError
        Anything that cannot be; a pan or ring for what is not reduced.
    """
    spoons = region or system
    shelf = pantry(mixes, ingredients, measures, region=spoons)
    wanted = parse_target(target, batch=batch, region=spoons, measures=measures)
    mix = _on_stove(shelf.mix(name), stove)
    scaled = scale(mix, wanted, shelf, region=spoons, system=system)
    _require_makeable(scaled, target)
    told = _strengths(scaled, wanted.count) if wanted.kind == "meat" else ()
    if wanted.kind in {"batch", "batch mass", "batch volume", "of"}:
        told = (*told, *_goes_far(mix, scaled, shelf, system))
    if stove is not None and stove.after_s is not None and scaled.reduction is not None:
        told = (*told, _left_words(scaled.reduction, stove.after_s, system))
    return mix_result(scaled, (), told)


def _require_makeable(scaled: ScaledMix, target: str) -> None:
    most_kg = kitchen_value("most_made").value
    if scaled.total_g * 1e-3 > most_kg:
        raise InputError(
            f"{target!r} takes {scaled.total_g * 1e-3:.3g} kg of {scaled.name}",
            f"up to {most_kg:.0f} kg of one mix at once",
            "Look at the unit and the zeros",
        )


def _strengths(scaled: ScaledMix, meat_kg: float) -> tuple[str, ...]:
    """Strength of a brine or injection for meat of which only the weight is known."""
    return brine_words(scaled, meat_kg, kitchen_value("meat_water").value)


def _on_stove(mix: Mix, stove: Stove | None) -> Mix:
    """Lay pan and ring over those of a mix."""
    if stove is None or stove == Stove():
        return mix
    if mix.reduce is None:
        raise InputError(
            f"{mix.name} is not reduced", "a pan, ring or time for a mix with [reduce]"
        )
    how = mix.reduce
    if stove.pan_m is not None:
        how = replace(how, pan_m=stove.pan_m)
    if stove.ring:
        said, _, kind = stove.ring.strip().rpartition(" ")
        if kind.casefold() not in RINGS:
            said, kind = stove.ring, ""
        power_w = units.parse_power_w(said, key="ring")
        how = replace(how, power_w=power_w, ring=kind.casefold())
    return replace(mix, reduce=how)


def _left_words(down: BoilingDown, after_s: float, system: str) -> str:
    """Say how much is left after a time at the boil, and how deep that is."""
    left_m3 = left_after_m3(down.from_m3, after_s, down.power_w)
    after = units.format_duration(after_s)
    if left_m3 <= 0.0:
        return f"After {after} at the boil the pan is dry: it burns before that."
    deep = f", {format_depth(depth_m(left_m3, down.pan_m), system)} deep" if down.pan_m else ""
    sure = "" if down.power_known else " on a usual ring"
    return f"After {after} at the boil{sure} about {units.format_volume(left_m3, system)} is left{deep}."


def _goes_far(mix: Mix, scaled: ScaledMix, shelf: Pantry, system: str) -> tuple[str, ...]:
    """Say for how much meat, or how many, a batch or a jar is enough."""
    per, count = mix.per, mix.per.count * scaled.factor
    if mix.use is not None:
        per = mix.use.per
        count = per.count * scaled.total_g / batch_of(mix, shelf).grams_of(mix.use.amount)
    if per.kind in {"piece", "guest"}:
        count = math.floor(count + 1e-9)  # nobody glazes half a rack
        if count < 1:
            return (f"Not enough for one {per.kind}.",)
    said = enough_for(per.kind, count, system)
    return (f"Enough for {said}.",) if said else ()


def bowls(mix: MixResult, bowl_m3: float) -> float:
    """How many times what is mixed fills a bowl [m3], a third of it left free to stir.

    Raises
    ------
    InputError
        Its volume is not known, or the bowl holds nothing.
    """
    if mix.volume_m3 is None:
        raise InputError(
            f"{mix.name}: its volume is not known, so neither is the bowl",
            "lines whose spoons have a known weight",
        )
    if not bowl_m3 > 0.0:
        raise InputError("a bowl that holds nothing", "a volume such as '2 quarts'")
    return mix.volume_m3 / (bowl_m3 * kitchen_value("bowl_full").value)
