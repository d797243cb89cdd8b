"""What a Result holds of mixes, salt, money and guests; see `stallwise.joins.result`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.joins.spread import Spread

__all__ = [
    "CostResult",
    "CrowdResult",
    "LandingResult",
    "LedgerLine",
    "MakingResult",
    "MixLine",
    "MixResult",
    "NutritionResult",
    "SaltResult",
    "SpendingResult",
]


@dataclass(frozen=True)
class MixLine:
    """One ingredient of a scaled mix: grams first, spoons beside."""

    ingredient: str
    name: str
    grams: float
    spoons: str
    spoon_error: float | None
    source: str


@dataclass(frozen=True)
class MakingResult:
    """How long a stock or glaze takes on the stove, and how deep it stands in the pan.

    Attributes
    ----------
    simmer_s : float
        Simmering before it is strained [s]; 0 for none.
    heat_up_s : float
        From the strained liquid to the boil [s].
    reduce_low_s, reduce_s, reduce_high_s : float
        Boiling or steaming down [s]; all 0 where it is not reduced.
    from_m3, to_m3 : float or None
        Volume before and after [m3].
    depth_from_m, depth_to_m, pan_m : float or None
        How deep that is, and the pan [m], where the pan is known.
    ratio : float
        How many times stronger it gets.
    """

    simmer_s: float
    heat_up_s: float
    reduce_low_s: float
    reduce_s: float
    reduce_high_s: float
    from_m3: float | None
    to_m3: float | None
    depth_from_m: float | None
    depth_to_m: float | None
    pan_m: float | None
    ratio: float


@dataclass(frozen=True)
class MixResult:
    """A mix as scaled for this cook; `parts` are the keys of all mixes inside it."""

    mix: str
    name: str
    kind: str
    on: tuple[str, ...]
    for_text: str
    lines: tuple[MixLine, ...]
    total_g: float
    salt_g: float
    notes: tuple[str, ...]
    #: What its writer says of it; a page leaves it out with the cook's notes.
    own: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    making: MakingResult | None = None
    volume_m3: float | None = None
    #: How long meat lies in it or under it before it goes on [s].
    soak_s: float | None = None
    #: By the tables and labels of its ingredients, in the words of both schemes.
    allergens_us: str = ""
    allergens_eu: str = ""


@dataclass(frozen=True)
class LedgerLine:
    """Where an amount that was made went: ``stock made = wrap + glaze + left``."""

    what: str
    made_g: float
    used: Mapping[str, float]
    left_g: float
    short_text: str


@dataclass(frozen=True)
class LandingResult:
    """Salt to weigh into a rub so that a piece lands on the cook's wish.

    Attributes
    ----------
    mix : str
        Name of the rub.
    target, lands : float
        Wanted, and what it comes to, as shares of what is eaten.
    from_g, to_g : float
        Salt crystals in the piece's part of the rub, now and then, as pure salt [g].
    batch_from_g, batch_to_g : float
        The same in all of the rub that is made [g].
    possible : bool
        False where a rub without salt is still too much.
    """

    mix: str
    target: float
    lands: float
    from_g: float
    to_g: float
    batch_from_g: float
    batch_to_g: float
    possible: bool


@dataclass(frozen=True)
class SaltResult:
    """Salt counted once over everything that touches a piece.

    Attributes
    ----------
    piece : str
        Its letter.
    salt_g, sodium_mg : float
        Salt [g] counted from sodium [mg], on all alike ones.
    edible_kg : float
        What is eaten of them [kg].
    per_kg_edible_g : float
        Salt in a kilogram of it [g/kg].
    parts_g : mapping of str to float
        Where it comes from [g].
    serving_kg, sodium_mg_per_serving : float
        What one guest gets of all the meat [kg], and sodium in so much of this piece [mg].
    landing : LandingResult or None
        Salt of the rub that meets the cook's wish, where there is one.
    """

    piece: str
    salt_g: float
    edible_kg: float
    per_kg_edible_g: float
    parts_g: Mapping[str, float]
    sodium_mg: float = 0.0
    serving_kg: float = 0.0
    sodium_mg_per_serving: float = 0.0
    landing: LandingResult | None = None


@dataclass(frozen=True)
class CostResult:
    """What one line of pieces costs.

    Attributes
    ----------
    piece, money : str
        Its letter, and the sign or word of the money.
    paid : float
        For all alike ones.
    bought_kg, eaten_kg : float
        As bought, and what is eaten of it [kg].
    per_eaten_kg : float
        Price of a kilogram on the plate.
    per_serving : float or None
        Price of what one guest gets of it; None where nobody said how many come.
    solution_kg : float
        Added solution that was paid for as meat, by the label [kg].
    pack_age_days : int or None
        From packing to the cook.
    bought_weighed : bool
        False where what was bought follows from what goes on.
    """

    piece: str
    money: str
    paid: float
    bought_kg: float
    eaten_kg: float
    per_eaten_kg: float
    per_serving: float | None
    solution_kg: float = 0.0
    pack_age_days: int | None = None
    bought_weighed: bool = True


@dataclass(frozen=True)
class SpendingResult:
    """What a day costs, as far as its prices are known; what has none is named and never zero.

    Attributes
    ----------
    money : str
        Sign or word of it.
    meat, kitchen, extras : float or None
        Meat as bought; of rubs, sauces and stock what is used; fuel, foil and the rest. None where
        nothing of it has a price.
    paid : float
        All of these.
    per_serving, per_eaten_kg : float or None
        The same over the guests who eat meat, and over a kilogram of all that is eaten.
    without : tuple of str
        Names of what has no price and is not counted.
    """

    money: str
    meat: float | None
    kitchen: float | None
    extras: float | None
    paid: float
    per_serving: float | None
    per_eaten_kg: float | None
    without: tuple[str, ...]


@dataclass(frozen=True)
class CrowdResult:
    """Guests against what is cooked.

    Attributes
    ----------
    guests, plates : int
        All of them, and those that eat meat.
    need_kg : tuple of three float
        Cooked meat for small, usual and large plates [kg].
    cooked_kg : Spread
        What all the pieces leave to eat [kg].
    left_kg : Spread
        The same less the usual plates; negative is short.
    """

    guests: int
    plates: int
    need_kg: tuple[float, float, float]
    cooked_kg: Spread
    left_kg: Spread


@dataclass(frozen=True)
class NutritionResult:
    """What a serving of a piece holds; never a label.

    Attributes
    ----------
    piece : str
    serving_kg : float
    amounts : mapping of str to float
        By nutrient, in `units`, unrounded.
    shown : mapping of str to float or str
        The same rounded as labels do, for display only.
    units : mapping of str to str
    source : str
        Key of the meat's composition.
    unknown : tuple of str
        Ingredients whose composition is not known; counted as nothing but their sodium.
    """

    piece: str
    serving_kg: float
    amounts: Mapping[str, float]
    shown: Mapping[str, float | str]
    units: Mapping[str, str]
    source: str
    unknown: tuple[str, ...] = ()
