"""What is known of one ingredient, in a cook's words."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.joins.mix.mixanswer import allergen_words
from stallwise.tables.ingredient import Ingredient
from stallwise.tables.sieves import opening_mm

__all__ = ["ingredient_lines"]


def ingredient_lines(item: Ingredient) -> Iterator[str]:
    """Say what its spoons weigh, what 100 g hold, its sieve and its allergens, and where to ask on."""
    spoons = [
        f"a {name} {weight:.3g} g"
        for name, weight in (
            ("teaspoon", item.grams_per_tsp),
            ("tablespoon", item.grams_per_tbsp),
            ("cup", item.grams_per_cup),
        )
        if weight
    ]
    if item.weigh_only:
        yield "It is only ever weighed, with its strength beside it."
    else:
        yield f"US spoons weigh: {', '.join(spoons) or 'nobody printed it; weigh one'}{_band(item)}."
    held = [
        f"{value:.{0 if value >= 100.0 else 1}f} {unit} of {name}"
        for name, value, unit in (
            ("sodium", item.sodium_mg_per_100g, "mg"),
            ("sugar", item.sugar_g_per_100g, "g"),
            ("water", item.water_g_per_100g, "g"),
        )
        if value is not None
    ]
    yield f"100 g hold: {', '.join(held) or 'not known; its label says'}."
    size = opening_mm(item.mesh) if item.mesh else None
    if size:
        yield f"The openings of its sieve, no. {item.mesh}, are {size:.3g} mm."
    yield f"Allergens: {allergen_words(item.allergens_us, item.allergens_eu)}."
    if item.grade != "own measurement":
        yield f"Where that is from: stallwise explain {item.key}"


def _band(item: Ingredient) -> str:
    low, high = item.low_grams_per_tsp, item.high_grams_per_tsp
    return f"; a teaspoon {low:g} to {high:g} g by label" if low and high and high > low else ""
