"""What a hundred grams of raw meat or of an ingredient hold."""

from __future__ import annotations

from collections.abc import Mapping

from stallwise.tables.ingredient import Ingredient
from stallwise.tables.rows import number, rows
from stallwise.tables.yields import yield_row

__all__ = ["NUTRIENTS", "cooked_nutrients", "ingredient_nutrients", "meat_nutrients"]

#: Nutrients that are summed, their unit, and the column of both tables ("" where meat has none).
NUTRIENTS: Mapping[str, tuple[str, str, str]] = {
    "energy": ("kcal", "energy_kcal_per_100g", "energy_kcal_per_100g"),
    "protein": ("g", "protein_g_per_100g", "protein_g_per_100g"),
    "fat": ("g", "fat_g_per_100g", "fat_g_per_100g"),
    "saturated_fat": ("g", "satfat_g_per_100g", "satfat_g_per_100g"),
    "carbohydrate": ("g", "", "carb_g_per_100g"),
    "sugars": ("g", "", "sugar_g_per_100g"),
    "cholesterol": ("mg", "cholesterol_mg_per_100g", "cholesterol_mg_per_100g"),
    "sodium": ("mg", "sodium_mg_per_100g", "sodium_mg_per_100g"),
}


def meat_nutrients(cut: str) -> tuple[Mapping[str, float], str] | None:
    """Nutrients in 100 g of raw meat of a cut, and where from; None where nobody measured it."""
    row = rows("meat_nutrients.csv", "cut").get(cut)
    return None if row is None else (_of_meat(row), row["source"])


def cooked_nutrients(cut: str) -> tuple[Mapping[str, float], float] | None:
    """Nutrients in 100 g of the cooked meat of a cut, and cooked over raw mass of what is eaten of it.

    None where the food table has no pair, raw and cooked, that agrees in its protein within 5 %: what
    cooking takes away is water, fat and salts.
    """
    row = rows("meat_cooked.csv", "cut").get(cut)
    if row is None:
        return None
    edible = float(row["raw_edible_g_per_100g"]) / 100.0
    return _of_meat(row), yield_row(row["yield"]).share / edible


def _of_meat(row: Mapping[str, str]) -> Mapping[str, float]:
    return {
        name: (number(row, column) or 0.0) if column else 0.0
        for name, (_, column, _) in NUTRIENTS.items()
    }


def ingredient_nutrients(item: Ingredient) -> Mapping[str, float] | None:
    """Nutrients in 100 g of an ingredient; None where its energy is not known.

    A grind of pepper, or the cook's own ingredient like a shipped one, is what its food table number says;
    its sodium is its own.
    """
    row = rows("ingredients.csv").get(item.key) or (
        rows("ingredients.csv", "ndb").get(item.ndb) if item.ndb else None
    )
    if row is None or not row["energy_kcal_per_100g"]:
        return None
    found = {name: number(row, column) or 0.0 for name, (_, _, column) in NUTRIENTS.items()}
    return found | {"sodium": item.sodium_mg_per_100g or 0.0}
