"""Nutrients of a serving: the meat's own, and what was put on it. For the curious; never a label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stallwise.joins.mix.mixresult import NutritionResult
from stallwise.joins.mix.portions import Portion
from stallwise.joins.mix.salting import Used, stays_of
from stallwise.models.nutrition import cooked_per_100g, true_retention
from stallwise.tables.label import rounded_for_label
from stallwise.tables.mix import Pantry
from stallwise.tables.nutrients import (
    NUTRIENTS,
    cooked_nutrients,
    ingredient_nutrients,
    meat_nutrients,
)

__all__ = ["nourishing"]


def nourishing(
    portion: Portion,
    used: Sequence[Used],
    portions: Mapping[str, Portion],
    shelf: Pantry,
    *,
    serving_kg: float,
) -> NutritionResult | None:
    """Sum what a serving of one piece holds; None where nobody measured its meat.

    Of the meat's own nutrients stays what the food table's cooked meat of the cut had kept, all of them
    where it has none; all that is put on is taken to stay on: the most it can be.
    """
    own = meat_nutrients(portion.piece.cut)
    if own is None or portion.edible_kg <= 0.0:
        return None
    raw, source = own
    mass_yield = min(portion.edible_kg / portion.raw_edible_kg, 1.0)
    kept = _kept(portion.piece.cut, raw)
    added, unknown = _put_on(portion, used, portions, shelf)
    per_kg = {
        name: cooked_per_100g(
            value, mass_yield, kept[name], added[name] / (portion.edible_kg / mass_yield * 10.0)
        )
        * 10.0
        for name, value in raw.items()
    }
    amounts = {name: value * serving_kg for name, value in per_kg.items()}
    return NutritionResult(
        piece=portion.piece.letter,
        serving_kg=serving_kg,
        amounts=amounts,
        shown={name: rounded_for_label(name, max(value, 0.0)) for name, value in amounts.items()},
        units={name: unit for name, (unit, _, _) in NUTRIENTS.items()},
        source=source,
        unknown=tuple(dict.fromkeys(unknown)),
    )


def _kept(cut: str, raw: Mapping[str, float]) -> Mapping[str, float]:
    """Share of each nutrient that ordinary cooking leaves in the meat, no more than all of it."""
    cooked = cooked_nutrients(cut)
    if cooked is None:
        return dict.fromkeys(raw, 1.0)
    after, left = cooked
    return {
        name: min(true_retention(after[name], left, value, 1.0), 1.0) if value > 0.0 else 1.0
        for name, value in raw.items()
    }


def _put_on(
    portion: Portion, used: Sequence[Used], portions: Mapping[str, Portion], shelf: Pantry
) -> tuple[Mapping[str, float], Sequence[str]]:
    """Nutrients of all that goes on a piece and stays, and what of it nobody knows."""
    total = dict.fromkeys(NUTRIENTS, 0.0)
    unknown = []
    for one in used:
        if portion.piece.letter not in one.on:
            continue
        whole_kg = sum(portions[letter].mass_kg for letter in one.on)
        share = portion.mass_kg / whole_kg * stays_of(one, [portions[letter] for letter in one.on])
        for key, grams in one.mix.leaves_g.items():
            item = shelf.ingredient(key)
            known = ingredient_nutrients(item)
            if known is None:
                if not item.is_salt:
                    unknown.append(item.name)
                known = dict.fromkeys(NUTRIENTS, 0.0) | {"sodium": item.sodium_mg_per_100g or 0.0}
            for name, value in known.items():
                total[name] += grams * share * value / 100.0
    return total, unknown
