"""What a hundred grams of raw meat or of an ingredient hold."""

from __future__ import annotations

from collections.abc import Mapping

from stallwise.tables.rows import number, rows

__all__ = ["NUTRIENTS", "ingredient_nutrients", "meat_nutrients"]

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
    if row is None:
        return None
    found = {
        name: (number(row, column) or 0.0) if column else 0.0
        for name, (_, column, _) in NUTRIENTS.items()
    }
    return found, row["source"]


def ingredient_nutrients(key: str) -> Mapping[str, float] | None:
    """Nutrients in 100 g of a shipped ingredient; None where its energy is not known."""
    row = rows("ingredients.csv").get(key)
    if row is None or not row["energy_kcal_per_100g"]:
        return None
    return {name: number(row, column) or 0.0 for name, (_, _, column) in NUTRIENTS.items()}
