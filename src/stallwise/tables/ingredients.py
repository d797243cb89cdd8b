"""Look an ingredient up: the shipped tables, with the cook's own laid over them.

References
----------
data/ingredients.csv, data/salts.csv, data/pepper_grinds.csv [usda-sr28]_ [usda-fdc]_.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType

from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import InputError, NotFoundError, nearest
from stallwise.ground.scales import TEASPOON_M3
from stallwise.tables.ingredient import Ingredient, grams_of, with_check_label
from stallwise.tables.own_ingredient import own_ingredient
from stallwise.tables.rows import number, rows

__all__ = [
    "Ingredient",
    "find_ingredient",
    "ingredient",
    "ingredient_from_mapping",
    "ingredients",
    "named_alike",
    "readable_ingredients",
    "spoons_for",
    "weigh",
]

#: Words for salt that may be a cure: its colour is no name, and mistaking it is dangerous.
_CURE = frozenset({"pink", "cure", "curing", "tinted", "nitrite"})


def ingredient(key: str, overlay: Mapping[str, Mapping[str, object]] | None = None) -> Ingredient:
    """Look up an ingredient, the cook's own first.

    Parameters
    ----------
    key : str
        Key of the table; spaces, hyphens and capitals are forgiven.
    overlay : mapping of str to mapping, optional
        The cook's own ingredients, as read from their files.

    Raises
    ------
    NotFoundError
        No such ingredient; ``salt`` alone is asked, for a spoon of one crystal weighs twice
        another.

    Examples
    --------
    >>> ingredient("salt_kosher_rolled").grams_per_tsp
    4.8
    >>> own = {"my-blend": {"name": "My blend", "label": "sodium 190 mg per 1.2 g"}}
    >>> round(ingredient("my-blend", own).sodium_mg_per_100g)
    15833
    """
    for own, mapping in (overlay or {}).items():
        if _fold(own) == _fold(key):
            return ingredient_from_mapping(own, mapping, f"ingredients/{own}.toml")
    return find_ingredient(key, _shipped())


def find_ingredient(key: str, table: Mapping[str, Ingredient]) -> Ingredient:
    """Look a key up in a table made by `ingredients`; see `ingredient`."""
    folded = _fold(key)
    if folded in table:
        return table[folded]
    if "salt" in folded.split("_"):
        crystals = ", ".join(known for known, row in table.items() if row.is_salt)
        todo = f"Which crystal? {crystals}. A spoon of one weighs twice another"
        if _CURE & set(folded.split("_")):
            todo = f"If it cures, it is curing_salt_1, by weight alone. If it does not: {crystals}"
        raise NotFoundError("ingredient", key, [], todo)
    alike = named_alike(key, table) or named_alike(_respelt(key, table), table)
    named = ", ".join(row.key for row in alike)
    raise NotFoundError("ingredient", key, table, f"Did you mean {named}?" if named else "")


def named_alike(words: str, table: Mapping[str, Ingredient]) -> list[Ingredient]:
    """Ingredients whose key or name holds every word, in any order; an empty text finds all.

    Examples
    --------
    >>> [row.key for row in named_alike("brown sugar", ingredients())]
    ['sugar_brown_packed', 'sugar_brown_unpacked']
    """
    wanted = _fold(words).split("_")
    return [
        row for row in table.values() if all(w in _fold(f"{row.key} {row.name}") for w in wanted)
    ]


def _respelt(words: str, table: Mapping[str, Ingredient]) -> str:
    """Each word as the table spells it, where one of its words is near."""
    known = {word for row in table.values() for word in _fold(f"{row.key} {row.name}").split("_")}
    return " ".join((nearest(word, known, 1) or [word])[0] for word in _fold(words).split("_"))


def weigh(key: str, amount: str, *, region: str = "us") -> float:
    """Mass [g] of an amount of a shipped ingredient, from words.

    Examples
    --------
    >>> weigh("salt_kosher_rolled", "1 T")
    14.4
    """
    return grams_of(ingredient(key), parse_amount(amount, region=region), region=region)


def spoons_for(key: str, grams: float, unit: str = "tsp") -> float:
    """How many spoons of a shipped ingredient weigh so much [g], by the weight printed for it.

    Raises
    ------
    InputError
        Nobody printed what such a spoon weighs.

    Examples
    --------
    >>> spoons_for("salt_kosher_rolled", 12.0)
    2.5
    """
    return grams / weigh(key, f"1 {unit}")


def ingredients(
    overlay: Mapping[str, Mapping[str, object]] | None = None,
) -> Mapping[str, Ingredient]:
    """Every ingredient by key, the cook's own laid over the shipped table."""
    table, broken = readable_ingredients(overlay)
    for error in broken.values():
        raise error
    return table


def readable_ingredients(
    overlay: Mapping[str, Mapping[str, object]] | None = None,
) -> tuple[Mapping[str, Ingredient], Mapping[str, InputError]]:
    """As `ingredients`; what cannot be read of the cook's own stands apart with its error, by name."""
    table, broken = dict(_shipped()), {}
    for own, mapping in (overlay or {}).items():
        try:
            table[_fold(own)] = ingredient_from_mapping(own, mapping, f"ingredients/{own}.toml")
        except InputError as error:
            broken[own] = error
    return MappingProxyType(table), broken


def ingredient_from_mapping(key: str, mapping: Mapping[str, object], where: str = "") -> Ingredient:
    """Read the cook's own ingredient; ``like`` names a shipped one to start from.

    The other keys are those of `stallwise.tables.own_ingredient.own_ingredient`.

    Raises
    ------
    InputError
        A key's value cannot be read, or more sodium than pure salt holds.
    NotFoundError
        ``like`` names no shipped ingredient.
    """
    like = mapping.get("like")
    try:
        base = ingredient(str(like)) if like else None
    except NotFoundError as error:
        raise error.placed(f"{where} like".strip()) from error
    return own_ingredient(key, mapping, base, where)


def _fold(key: str) -> str:
    return re.sub(r"[\s,_-]+", "_", key.strip().casefold())


def _from_row(row: Mapping[str, str]) -> Ingredient:
    return Ingredient(
        key=row["key"],
        name=row["name"],
        ndb=row.get("ndb", ""),
        grams_per_tsp=number(row, "g_per_tsp"),
        grams_per_tbsp=number(row, "g_per_tbsp"),
        grams_per_cup=number(row, "g_per_cup"),
        density=number(row, "density_g_per_ml"),
        sodium_mg_per_100g=number(row, "sodium_mg_per_100g"),
        sugar_g_per_100g=number(row, "sugar_g_per_100g"),
        water_g_per_100g=number(row, "water_g_per_100g"),
        low_grams_per_tsp=number(row, "low_g_per_tsp"),
        high_grams_per_tsp=number(row, "high_g_per_tsp"),
        allergens_us=with_check_label(row.get("allergens_us", "")),
        allergens_eu=with_check_label(row.get("allergens_eu", "")),
        weigh_only=row.get("weigh_only") == "yes",
        not_table_salt=row.get("not_table_salt") == "yes",
        note=row["note"],
        source=row["source"],
        grade=row["grade"],
    )


def _grind(row: Mapping[str, str], ground: Ingredient) -> Ingredient:
    """Build a coarser or finer pepper: the composition of ground pepper, the weight of its own spoon."""
    tsp_g = number(row, "g_per_tsp")
    return replace(
        ground,
        key=row["key"],
        name=row["name"],
        grams_per_tsp=tsp_g,
        grams_per_tbsp=tsp_g and tsp_g * 3.0,
        grams_per_cup=tsp_g and tsp_g * 48.0,
        density=tsp_g and tsp_g / (TEASPOON_M3 * 1e6),
        mesh=row["mesh"],
        note=row["note"],
        source=row["source"],
        grade=row["grade"],
    )


@cache
def _shipped() -> Mapping[str, Ingredient]:
    table = {
        key: _from_row(row)
        for name in ("salts.csv", "ingredients.csv")
        for key, row in rows(name).items()
    }
    for key, row in rows("pepper_grinds.csv").items():
        table[key] = _grind(row, table["pepper_black_ground"])
    return MappingProxyType(table)
