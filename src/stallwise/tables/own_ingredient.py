"""A cook's own ingredient: read from its label, or weighed by the spoon."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import InputError, Unreadable, nearest
from stallwise.ground.money import parse_price
from stallwise.ground.units import parse_mass_kg
from stallwise.tables.ingredient import (
    SODIUM_MG_PER_G_SALT,
    SPOON_M3,
    Ingredient,
    with_check_label,
)

__all__ = ["OWN_KEYS", "own_ingredient", "refuse_slips"]

#: Labels round, so that pure salt may read up to this much over what chemistry allows.
LABEL_SLACK = 1.10

#: Keys of an ingredient file.
OWN_KEYS = (
    *("schema", "name", "note", "like", "label", "sodium", "sugar", "water", "density", "weighed"),
    *(
        "allergens",
        "allergens_us",
        "allergens_eu",
        "weigh_only",
        "not_table_salt",
        "source",
        "price",
    ),
)

_LABEL = re.compile(
    r"(?P<what>sodium|salt)\s*:?\s*(?P<much>[^()]*?)\s+(?:per|in)\s+"
    r"(?P<serving>[^()]*?)\s*(?:\((?P<mass>[^()]*)\))?",
    re.IGNORECASE,
)


def own_ingredient(
    key: str, mapping: Mapping[str, object], base: Ingredient | None = None, where: str = ""
) -> Ingredient:
    """Read the cook's own ingredient.

    Parameters
    ----------
    key : str
        Name of the file.
    mapping : mapping
        ``name``; ``label`` (``"sodium 190 mg per 1.2 g"`` or ``"salt 0.5 g per 1/4 tsp
        (1.2 g)"``); ``weighed`` (``"1 tbsp = 8.2 g"``); ``sodium``, ``sugar``, ``water`` in 100 g
        as ``"120 mg"``; ``density`` in g/ml; ``allergens``; ``price`` (``"6 USD
        per 500 g"``). Unknown keys are left alone unless
        they look like a slip of one of these.
    base : Ingredient, optional
        What it is like; its values hold where the mapping is silent.
    where : str, optional
        File, for messages.

    Raises
    ------
    InputError
        A key's value cannot be read, or more sodium than pure salt holds.
    """
    if isinstance(mapping, Unreadable):
        raise mapping.error
    refuse_slips(mapping, OWN_KEYS, where)
    base = base or Ingredient(key=key, name=key)
    text = {name: value.strip() for name, value in mapping.items() if isinstance(value, str)}
    own: dict[str, object] = {"key": key, "name": text.get("name", base.name)}
    own |= {"source": "own-measurement", "grade": "own measurement", "note": text.get("note", "")}
    if "label" in text:
        own |= _label(text["label"], where)
    if "weighed" in text:
        own |= _weighed(text["weighed"], where)
    own |= _composition(text, where)
    if "price" in mapping:
        own["price"] = _price(mapping["price"], f"{where} price".strip())
    if "density" in mapping:
        own["density"] = _positive(mapping["density"], "density", where)
    for scheme in ("allergens_us", "allergens_eu"):
        words = text.get(scheme, text.get("allergens"))
        if words is not None:
            own[scheme] = with_check_label(words)
    own |= {
        flag: mapping[flag] is True for flag in ("weigh_only", "not_table_salt") if flag in mapping
    }
    made = replace(base, **own)  # type: ignore[arg-type]
    return replace(made, sodium_mg_per_100g=_possible(made.sodium_mg_per_100g, where))


def refuse_slips(mapping: Mapping[str, object], known: tuple[str, ...], where: str) -> None:
    """Refuse an unknown key that is one slip away from a known one; leave others alone."""
    for name in mapping:
        if name in known:
            continue
        near = nearest(name, known, 1)
        if near and abs(len(near[0]) - len(name)) < 2:
            raise InputError(
                f"unknown key {name!r}", ", ".join(known), f"Did you mean {near[0]!r}?", where=where
            )


def _composition(text: Mapping[str, str], where: str) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, field, unit_kg in (
        ("sodium", "sodium_mg_per_100g", 1e-6),
        ("sugar", "sugar_g_per_100g", 1e-3),
        ("water", "water_g_per_100g", 1e-3),
    ):
        if name in text:
            said = text[name].removesuffix("per 100 g")
            found[field] = parse_mass_kg(said, key=f"{where} {name}".strip()) / unit_kg
    return found


def _label(text: str, where: str) -> dict[str, object]:
    match = _LABEL.fullmatch(text)
    if not match:
        raise InputError(
            f"label {text!r}",
            "'sodium 190 mg per 1.2 g', 'salt 0.5 g per 1/4 tsp (1.2 g)'",
            where=where,
        )
    key = f"{where} label".strip()
    much_g = parse_mass_kg(match["much"], key=key) * 1e3
    sodium_mg = much_g * (SODIUM_MG_PER_G_SALT if match["what"].casefold() == "salt" else 1e3)
    serving = parse_amount(match["mass"] or match["serving"], key=key)
    if serving.kind != "mass" or serving.si <= 0:
        raise InputError(
            f"label {text!r} gives no weight of the serving",
            "'sodium 190 mg per 1/4 tsp (1.2 g)'",
            where=where,
        )
    found: dict[str, object] = {"sodium_mg_per_100g": sodium_mg / (serving.si * 1e3) * 100.0}
    if match["mass"]:
        found |= _spoon_weight(match["serving"], match["mass"], key)
    return found


def _price(value: object, key: str) -> str:
    price = parse_price(str(value), key=key, poured=True)
    if price.per not in {"kg", "m3"}:
        raise InputError(f"{price.text!r} for {key}", "for how much: '6 USD per 500 g'")
    return price.text


def _weighed(text: str, where: str) -> dict[str, object]:
    spoon, equals, mass = text.partition("=")
    if not equals:
        raise InputError(f"weighed {text!r}", "'1 tbsp = 8.2 g'", where=where)
    return _spoon_weight(spoon, mass, f"{where} weighed".strip())


def _spoon_weight(spoon: str, mass: str, key: str) -> dict[str, object]:
    volume, weight_kg = parse_amount(spoon.strip(), key=key), parse_mass_kg(mass, key=key)
    if volume.kind != "volume" or volume.si <= 0 or weight_kg <= 0:
        raise InputError(
            f"{spoon.strip()!r} weighing {mass.strip()!r}", "'1 tbsp = 8.2 g'", where=key
        )
    density = weight_kg / volume.si * 1e-3
    weights = {f"grams_per_{unit}": density * size * 1e6 for unit, size in SPOON_M3.items()}
    return {"density": density, "low_grams_per_tsp": None, "high_grams_per_tsp": None, **weights}


def _possible(sodium_mg: float | None, where: str) -> float | None:
    most = 100.0 * SODIUM_MG_PER_G_SALT
    if sodium_mg is None or sodium_mg <= most:
        return sodium_mg
    if sodium_mg <= most * LABEL_SLACK:
        return most
    raise InputError(
        f"{sodium_mg:.0f} mg of sodium in 100 g",
        f"up to {most:.0f} mg, which is pure salt",
        where=where,
    )


def _positive(value: object, name: str, where: str) -> float:
    if isinstance(value, (int, float)) and not isinstance(value, bool) and value > 0:
        return float(value)
    raise InputError(f"{name} {value!r}", "a number over 0, in g/ml", where=where)
