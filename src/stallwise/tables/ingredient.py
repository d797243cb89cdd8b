"""What one ingredient is: the weight of its spoon, its sodium, sugar, water and allergens.

Grams are the truth; a spoon is a way to write them down.
"""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground.amounts import Amount
from stallwise.ground.errors import InputError
from stallwise.ground.scales import CUP_M3, REGIONS, TABLESPOON_M3, TEASPOON_M3
from stallwise.ground.spoons import SpoonMeasure, spoon_measure

__all__ = [
    "CHECK_LABEL",
    "SODIUM_MG_PER_G_SALT",
    "SPOON_M3",
    "Ingredient",
    "allergen_list",
    "density_g_per_ml",
    "grams_of",
    "spoons_of",
    "volume_of_m3",
    "with_check_label",
]

#: Closing words of every allergen line: the table is a judgement, the label governs.
CHECK_LABEL = "check the label"

#: Sodium [mg] in a gram of pure salt, from the atomic weights 22.98977 and 35.453.
SODIUM_MG_PER_G_SALT = 1000.0 * 22.98977 / 58.44277

#: US customary spoons and cup [m3], which the printed weights refer to.
SPOON_M3 = {"tsp": TEASPOON_M3, "tbsp": TABLESPOON_M3, "cup": CUP_M3}


@dataclass(frozen=True)
class Ingredient:
    """One ingredient of a mix.

    Attributes
    ----------
    key, name : str
        Key of the table, and the name that a cook reads; salts are named by crystal.
    ndb : str
        Number in the nutrient database, or empty.
    grams_per_tsp, grams_per_tbsp, grams_per_cup : float or None
        Weight [g] of a US customary measure, as printed; they need not agree with each other.
    density : float or None
        Density as it lies in the measure [g/ml].
    sodium_mg_per_100g, sugar_g_per_100g, water_g_per_100g : float or None
        Composition; None when not known.
    low_grams_per_tsp, high_grams_per_tsp : float or None
        Band in which labels put a teaspoon (salts).
    allergens_us, allergens_eu : str
        Words that always end with "check the label"; never a clearance.
    weigh_only : bool
        Never offered in spoons (curing salt).
    not_table_salt : bool
        Its sodium is not table salt.
    mesh : str
        Number of the sieve that a pepper is graded by, or empty.
    note, source, grade : str
        For `explain`.
    price : str
        What the cook pays for it, as written; empty where nobody said.
    """

    key: str
    name: str
    ndb: str = ""
    grams_per_tsp: float | None = None
    grams_per_tbsp: float | None = None
    grams_per_cup: float | None = None
    density: float | None = None
    sodium_mg_per_100g: float | None = None
    sugar_g_per_100g: float | None = None
    water_g_per_100g: float | None = None
    low_grams_per_tsp: float | None = None
    high_grams_per_tsp: float | None = None
    allergens_us: str = CHECK_LABEL
    allergens_eu: str = CHECK_LABEL
    weigh_only: bool = False
    not_table_salt: bool = False
    mesh: str = ""
    note: str = ""
    source: str = ""
    grade: str = ""
    price: str = ""

    @property
    def salt_share(self) -> float:
        """Salt as a share of its mass, counted from sodium; 0 when the sodium is not known."""
        return (self.sodium_mg_per_100g or 0.0) / 100.0 / SODIUM_MG_PER_G_SALT

    @property
    def is_salt(self) -> bool:
        """Whether it is table salt of some crystal."""
        return self.salt_share > 0.9 and not self.not_table_salt


def density_g_per_ml(item: Ingredient) -> float | None:
    """Density [g/ml] as it lies in the measure, from the largest measure that is known."""
    if item.density is not None:
        return item.density
    for grams, unit in (
        (item.grams_per_cup, "cup"),
        (item.grams_per_tbsp, "tbsp"),
        (item.grams_per_tsp, "tsp"),
    ):
        if grams is not None:
            return grams / (SPOON_M3[unit] * 1e6)
    return None


def grams_of(item: Ingredient, amount: Amount, *, region: str = "us") -> float:
    """Mass [g] of an amount of an ingredient.

    A spoon or cup uses the weight printed for that measure; any other volume uses the density.

    Raises
    ------
    InputError
        A spoon of it has no known weight, a curing salt by the spoon, or a share of the meat.
    """
    if amount.kind == "mass":
        return amount.si * 1e3
    if amount.kind != "volume":
        raise InputError(f"{amount.text!r} of {item.name} is not a weight", "'35 g' or '2 tbsp'")
    if item.weigh_only:
        raise InputError(
            f"{amount.text!r} of {item.name}",
            "grams only",
            "Weigh it to 0.1 g, and follow its label",
        )
    return sum(_part_grams(item, value, unit, amount.text, region) for value, unit in amount.parts)


def volume_of_m3(item: Ingredient, grams: float) -> float | None:
    """Volume [m3] that a mass of an ingredient takes up, or None when its density is not known."""
    density = density_g_per_ml(item)
    return None if density is None else grams / density * 1e-6


def spoons_of(item: Ingredient, grams: float, *, region: str = "us") -> SpoonMeasure | None:
    """Spoons nearest to a mass, with their error; None when it is only weighed.

    The volume comes from the weight printed for the measure in which the answer is shown.
    """
    volume_m3 = volume_of_m3(item, grams)
    if volume_m3 is None or item.weigh_only:
        return None
    for unit in ("cup", "tbsp", "tsp"):
        weight = getattr(item, f"grams_per_{unit}")
        at_least = 0.25 if unit == "cup" else 1.0
        if weight and volume_m3 >= at_least * SPOON_M3[unit] * 0.999:
            return spoon_measure(grams / weight * SPOON_M3[unit], region)
    if item.grams_per_tsp:
        return spoon_measure(grams / item.grams_per_tsp * TEASPOON_M3, region)
    return spoon_measure(volume_m3, region)


def _part_grams(item: Ingredient, value: float, unit: str, said: str, region: str) -> float:
    weight = {
        "tsp": item.grams_per_tsp,
        "tbsp": item.grams_per_tbsp,
        "cup": item.grams_per_cup,
    }.get(unit)
    if weight is not None:
        return value * weight * REGIONS[region][unit] / SPOON_M3[unit]
    density = density_g_per_ml(item)
    if density is None:
        raise InputError(
            f"{said!r} of {item.name}: nobody printed what a spoon of it weighs",
            "grams",
            'Weigh one spoon and put it in your own ingredients (weighed = "1 tbsp = 8.2 g")',
        )
    return value * REGIONS[region].get(unit, 1.0) * density * 1e6


def allergen_list(words: str) -> list[str]:
    """Give what allergen words name, without the reminder of the label."""
    named = words.removesuffix(CHECK_LABEL).rstrip(": ").split(";")
    return [word.strip() for word in named if word.strip()]


def with_check_label(words: str) -> str:
    """Allergen words, closed by the reminder that the label governs."""
    found = words.strip().rstrip(".;")
    if not found or found.casefold() == CHECK_LABEL:
        return CHECK_LABEL
    return found if found.endswith(CHECK_LABEL) else f"{found}: {CHECK_LABEL}"
