"""Salt counted once over everything that touches a piece, per kg of edible meat.

Salt is counted from sodium, so that butter, sauces, blends known by their label and enhanced meat
add up with what comes from the salt jar [usda-sr28]_.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.models.mixes import ScaledMix
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT
from stallwise.tables.kitchen import kitchen, kitchen_value

__all__ = ["Salt", "SaltUse", "enhanced_salt_g", "salt", "salt_of_sodium_g", "sticks_of"]


@dataclass(frozen=True)
class SaltUse:
    """A scaled mix that goes on the meat, and the share of it that stays (None for the usual)."""

    mix: ScaledMix
    sticks: float | None = None
    name: str = ""


@dataclass(frozen=True)
class Salt:
    """Salt in what is eaten.

    Attributes
    ----------
    salt_g : float
        Salt [g], counted from sodium.
    sodium_mg : float
        The same as sodium [mg].
    edible_kg : float
        Edible meat [kg] that it is spread over.
    per_kg_edible_g : float
        Salt in a kilogram of it [g/kg].
    parts_g : mapping
        Where it comes from [g].
    notes : tuple of str
        Shares that were assumed, and a word when it is far from what is usually liked.
    """

    salt_g: float
    sodium_mg: float
    edible_kg: float
    per_kg_edible_g: float
    parts_g: Mapping[str, float]
    notes: tuple[str, ...] = ()


def salt_of_sodium_g(sodium_mg: float) -> float:
    """Salt [g] that holds so much sodium [mg]."""
    return sodium_mg / SODIUM_MG_PER_G_SALT


def enhanced_salt_g(
    mass_kg: float, label_sodium_mg_per_100g: float, plain_sodium_mg_per_100g: float = 0.0
) -> float:
    """Salt [g] that was put into enhanced meat, from its label.

    Parameters
    ----------
    mass_kg : float
        Meat [kg], on the basis of the label (edible, as bought).
    label_sodium_mg_per_100g : float
        Sodium on the label [mg in 100 g].
    plain_sodium_mg_per_100g : float, default 0
        Sodium of the same cut without additions [mg in 100 g]; 0 counts the meat's own too.

    Raises
    ------
    InputError
        The label is below the plain cut, or more than pure salt.
    """
    added = label_sodium_mg_per_100g - plain_sodium_mg_per_100g
    if added < 0 or label_sodium_mg_per_100g > 100.0 * SODIUM_MG_PER_G_SALT:
        raise InputError(
            f"{label_sodium_mg_per_100g:g} mg of sodium in 100 g on the label",
            f"{plain_sodium_mg_per_100g:g} mg (the plain cut) to {100.0 * SODIUM_MG_PER_G_SALT:.0f} mg (pure "
            "salt)",
        )
    return salt_of_sodium_g(added * mass_kg * 10.0)


def sticks_of(mix: ScaledMix, sticks: float | None = None) -> float:
    """Share of a mix that stays on what is eaten: said here, said by the mix, or usual of its kind.

    Raises
    ------
    InputError
        Not a share, or a kind that has no usual share and nothing was said (a brine).
    """
    chosen = sticks if sticks is not None else mix.sticks
    if chosen is None:
        row = kitchen().get(f"sticks_{mix.kind.replace(' ', '_')}")
        if row is None:
            raise InputError(
                f"how much of {mix.name} ends in the meat is not said",
                "sticks = a share from 0 to 1",
            )
        return row.value
    if not 0.0 <= chosen <= 1.0:
        raise InputError(f"a share of {chosen:g}", "0 to 1")
    return chosen


def salt(
    uses: Iterable[SaltUse], edible_kg: float, *, others_g: Mapping[str, float] | None = None
) -> Salt:
    """Sum the salt that ends in what is eaten.

    Parameters
    ----------
    uses : iterable of SaltUse
        What goes on these pieces; a mix inside another is counted there and only there.
    edible_kg : float
        Edible meat [kg]. Cooked is what is eaten and what the usual band refers to; raw without
        bone gives a smaller figure for the same salt.
    others_g : mapping of str to float, optional
        Salt [g] from elsewhere: enhanced meat, a brine's uptake, a dry brine.

    Raises
    ------
    InputError
        No meat, a negative amount, or the same thing twice.
    """
    if not edible_kg > 0.0:
        raise InputError(f"{edible_kg:g} kg of edible meat", "more than 0 kg")
    parts: dict[str, float] = {}
    notes = []
    for use in uses:
        share = sticks_of(use.mix, use.sticks)
        _add(parts, use.name or use.mix.name, use.mix.salt_g * share)
        if use.sticks is None and use.mix.sticks is None and use.mix.salt_g > 0:
            row = kitchen_value(f"sticks_{use.mix.kind.replace(' ', '_')}")
            notes.append(f"{use.mix.name}: {share * 100:.0f} % is counted ({row.note}).")
    for name, grams in (others_g or {}).items():
        _add(parts, name, grams)
    total_g = sum(parts.values())
    per_kg = total_g / edible_kg
    usual = kitchen_value("salt_pleasant")
    if total_g > 0 and not usual.low <= per_kg <= usual.high:
        word = "more" if per_kg > usual.high else "less"
        notes.append(
            f"{per_kg:.1f} g of salt a kilogram is {word} than most like in cooked meat "
            f"({usual.low:g} to {usual.high:g} g, common practice)."
        )
    return Salt(
        salt_g=total_g,
        sodium_mg=total_g * SODIUM_MG_PER_G_SALT,
        edible_kg=edible_kg,
        per_kg_edible_g=per_kg,
        parts_g=parts,
        notes=tuple(notes),
    )


def _add(parts: dict[str, float], name: str, grams: float) -> None:
    if grams < 0:
        raise InputError(f"{grams:g} g of salt from {name}", "0 g or more")
    if name in parts:
        raise InputError(
            f"{name} is counted twice",
            "each once",
            "Give the second a name of its own if it is meant",
        )
    parts[name] = grams
