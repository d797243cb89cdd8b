"""Nutrients of a serving: the meat's own, and what was put on it. For the curious; never a label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stallwise.joins.mixresult import NutritionResult
from stallwise.joins.portions import Portion
from stallwise.joins.salting import Used, stays_of
from stallwise.models.nutrition import cooked_per_100g
from stallwise.tables.label import rounded_for_label
from stallwise.tables.mix import Pantry
from stallwise.tables.nutrients import NUTRIENTS, ingredient_nutrients, meat_nutrients

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

    Everything that raw meat holds is taken to stay in it but what it loses in weight, and all that is put
    on to stay on: for fat, energy and sodium that is the most it can be.
    """
    own = meat_nutrients(portion.piece.cut)
    if own is None or portion.edible_kg <= 0.0:
        return None
    raw, source = own
    mass_yield = min(portion.edible_kg / portion.raw_edible_kg, 1.0)
    per_kg = {name: cooked_per_100g(value, mass_yield) * 10.0 for name, value in raw.items()}
    unknown = []
    for one in used:
        if portion.piece.letter not in one.on:
            continue
        whole_kg = sum(portions[letter].mass_kg for letter in one.on)
        share = portion.mass_kg / whole_kg * stays_of(one, [portions[letter] for letter in one.on])
        for key, grams in one.mix.leaves_g.items():
            item = shelf.ingredient(key)
            known = ingredient_nutrients(key)
            if known is None:
                if not item.is_salt:
                    unknown.append(item.name)
                known = dict.fromkeys(NUTRIENTS, 0.0) | {"sodium": item.sodium_mg_per_100g or 0.0}
            for name, value in known.items():
                per_kg[name] += grams * share * value / 100.0 / portion.edible_kg
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
