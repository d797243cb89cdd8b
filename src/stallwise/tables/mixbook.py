"""Mixes as a cook writes them down: rubs, stocks, glazes, sauces, binders, spritzes, butters.

A mix file is TOML::

    schema = 1
    name = "Glaze from stock"
    kind = "glaze"
    per = "piece"

    [[lines]]
    mix = "bone-stock"
    amount = "1/4 cup"

    [[lines]]
    ingredient = "honey"
    amount = "2 T"

    [[lines]]
    ingredient = "salt_fine_table"
    amount = "1/4 t"
    when = "after reducing"

    [reduce]
    to = "1/4 cup"
    power = "1 kW"

``per`` says what the amounts are for: ``"batch"``, ``"1 kg meat"``, ``"1 kg edible meat"``, ``"1 m2"``
of surface, ``"piece"``, ``"guest"``, or several (``"4 pieces"``). A batch may say how much of it is used:
``use = "15 g per 1 kg meat"``. ``ratio = "1:2 by volume"`` stands for the amounts of the lines. An amount
may be a share (``"1.25 % of meat and water"``) or what is missing to one (``"to 10 %"`` of the meat).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from stallwise.ground import assets
from stallwise.ground.amounts import Amount, parse_amount
from stallwise.ground.errors import InputError, NotFoundError, Unreadable
from stallwise.ground.scales import REGION_WORDS, REGIONS
from stallwise.ground.units import (
    parse_duration_s,
    parse_fraction,
    parse_length_m,
    parse_power_w,
    parse_temperature_c,
)
from stallwise.tables.ingredients import readable_ingredients
from stallwise.tables.mix import KINDS, Line, Mix, Pantry, Reduction, Simmer, Use
from stallwise.tables.own_ingredient import refuse_slips
from stallwise.tables.ratio import with_parts
from stallwise.tables.serves import Serves, parse_serves

__all__ = [
    "AFTER_REDUCING",
    "KINDS",
    "MIX_KEYS",
    "Line",
    "Mix",
    "Pantry",
    "Reduction",
    "Simmer",
    "Use",
    "mix_from_mapping",
    "mixbook",
    "pantry",
]

SCHEMA = 1
AFTER_REDUCING = "after reducing"
RINGS = ("gas", "electric", "induction")

MIX_KEYS = (
    *("schema", "name", "kind", "per", "use", "lines", "region", "sticks", "order", "simmer"),
    *("reduce", "note", "source", "ratio", "soak"),
)
_LINE_KEYS = ("ingredient", "mix", "amount", "when", "strained", "note", "strength")
_USE = re.compile(r"(?P<amount>.+?)\s+(?:per|a|for|each)\s+(?P<per>.+)")


def pantry(
    mixes: Mapping[str, Mapping[str, object]] | None = None,
    own_ingredients: Mapping[str, Mapping[str, object]] | None = None,
    measures: Mapping[str, str] | None = None,
    *,
    region: str = "us",
) -> Pantry:
    """Shipped mixes and ingredients with the cook's own laid over them.

    Parameters
    ----------
    mixes, own_ingredients : mapping of str to mapping, optional
        As read from the cookbook's ``mixes`` and ``ingredients`` folders.
    measures : mapping of str to str, optional
        The cook's own measures, such as ``{"ladle": "118 g"}``.
    region : str, default "us"
        Spoons and cups of the cook's own mixes that say none.

    Returns
    -------
    Pantry
        What cannot be read of the cook's own is told when it is used.
    """
    items, faults = readable_ingredients(own_ingredients)
    broken = {f"ingredients/{key}": error for key, error in faults.items()}
    book = dict(_shipped())
    for key, mapping in (mixes or {}).items():
        try:
            book[key] = mixbook({key: mapping}, measures, region=region)[key]
        except InputError as error:
            broken[f"mixes/{key}"] = error
    return Pantry(items, MappingProxyType(book), broken)


def mixbook(
    overlay: Mapping[str, Mapping[str, object]] | None = None,
    measures: Mapping[str, str] | None = None,
    *,
    region: str = "us",
) -> Mapping[str, Mix]:
    """Every mix by key, the cook's own laid over the shipped ones."""
    own = {}
    for key, mapping in (overlay or {}).items():
        if isinstance(mapping, Unreadable):
            raise mapping.error
        own[key] = mix_from_mapping(
            {"region": region, **mapping}, f"mixes/{key}.toml", key=key, measures=measures
        )
    return MappingProxyType({**_shipped(), **own})


def mix_from_mapping(
    mapping: Mapping[str, object],
    where: str = "",
    *,
    key: str = "",
    measures: Mapping[str, str] | None = None,
) -> Mix:
    """Read a mix from a mapping, as TOML gives it.

    Parameters
    ----------
    mapping : mapping
        Keys of the module's example. Unknown keys are left alone unless they look like a slip.
    where : str, optional
        File, for messages.
    key : str, optional
        Key of the mix; its name when not given.
    measures : mapping of str to str, optional
        The cook's own measures.

    Raises
    ------
    InputError
        A missing or unreadable value; the message names the key and the line.
    """
    refuse_slips(mapping, MIX_KEYS, where)
    if mapping.get("schema", SCHEMA) != SCHEMA:
        raise InputError(
            f"schema {mapping['schema']!r}",
            f"schema = {SCHEMA}",
            "It was written by another version of stallwise",
            where=where,
        )
    name = _text(mapping, "name", where) or key
    if not name:
        raise InputError("a mix without a name", 'name = "Salt and pepper rub"', where=where)
    kind = _one_of(mapping, "kind", KINDS, where)
    said_region = str(mapping.get("region", "us")).casefold()
    region = _one_of(
        {"region": REGION_WORDS.get(said_region, said_region)}, "region", REGIONS, where
    )
    with _at(where, "per"):
        per = parse_serves(_text(mapping, "per", where) or "batch")
    reader = _Reader(where, region, measures or {})
    return Mix(
        key=key or name,
        name=name,
        kind=kind,
        lines=tuple(_lines(with_parts(mapping, where), reader)),
        per=per,
        use=_use(mapping, per, reader),
        region=region,
        sticks=_share(mapping, where),
        order=_order(mapping, where),
        simmer=_simmer(mapping.get("simmer"), reader),
        reduce=_reduce(mapping.get("reduce"), reader),
        note=_text(mapping, "note", where),
        source=_text(mapping, "source", where),
        ratio=_text(mapping, "ratio", where),
        soak_s=_soak(mapping, where),
        where=where,
    )


@dataclass(frozen=True)
class _Reader:
    where: str
    region: str
    measures: Mapping[str, str]

    def amount(self, value: object, key: str) -> Amount:
        with _at(self.where, key):
            return parse_amount(value, region=self.region, measures=self.measures)  # type: ignore[arg-type]


@contextmanager
def _at(where: str, key: str) -> Iterator[None]:
    """Name file and key in an error that comes from below."""
    try:
        yield
    except InputError as error:
        raise error.placed(f"{where}: {key}" if where else key) from error


def _lines(value: object, reader: _Reader) -> Iterator[Line]:
    if not isinstance(value, Sequence) or isinstance(value, str) or not value:
        raise InputError(
            "a mix without lines", "one [[lines]] for each ingredient", where=reader.where
        )
    for number, line in enumerate(value, 1):
        place = f"line {number}"
        if not isinstance(line, Mapping):
            raise InputError(
                f"{place} is {line!r}", "a table with ingredient and amount", where=reader.where
            )
        here = f"{reader.where}: {place}" if reader.where else place
        refuse_slips(line, _LINE_KEYS, here)
        item, mix = _text(line, "ingredient", here), _text(line, "mix", here)
        if bool(item) == bool(mix):
            raise InputError(
                "both an ingredient and a mix" if item else "neither an ingredient nor a mix",
                "one of ingredient = … or mix = …",
                where=here,
            )
        when = _text(line, "when", here)
        if when not in {"", AFTER_REDUCING}:
            raise InputError(f"when {when!r}", f"{AFTER_REDUCING!r}, or leave it out", where=here)
        amount = reader.amount(line.get("amount", ""), f"{place} ({item or mix}), amount")
        if amount.kind == "batch" and item:
            raise InputError(f"{amount.text!r} of {item}", "a weight or a volume", where=here)
        with _at(here, "strength"):
            strength = parse_fraction(line["strength"]) if "strength" in line else None
        yield Line(
            item,
            mix,
            amount,
            bool(when),
            line.get("strained") is True,
            _text(line, "note", here),
            strength,
        )


def _use(mapping: Mapping[str, object], per: Serves, reader: _Reader) -> Use | None:
    text = _text(mapping, "use", reader.where)
    if not text:
        return None
    match = _USE.fullmatch(text)
    if not match or per.kind != "batch":
        raise InputError(
            f"use {text!r}" + ("" if match else " does not say per what"),
            "'15 g per 1 kg meat', '60 ml per piece', with per = \"batch\"",
            where=reader.where,
        )
    amount = reader.amount(match["amount"], "use")
    with _at(reader.where, "use"):
        return Use(amount, parse_serves(match["per"]))


def _simmer(value: object, reader: _Reader) -> Simmer | None:
    if value is None:
        return None
    if not isinstance(value, Mapping) or "makes" not in value:
        raise InputError(
            "simmer without makes",
            'makes = "3 cups"',
            "Measure it once strained",
            where=reader.where,
        )
    makes = reader.amount(value["makes"], "simmer.makes")
    if makes.kind not in {"mass", "volume"} or makes.si <= 0:
        raise InputError(f"simmer.makes {makes.text!r}", "a volume or a weight", where=reader.where)
    with _at(reader.where, "simmer.time"):
        time_s = parse_duration_s(value["time"]) if "time" in value else None
    return Simmer(makes, time_s)


def _reduce(value: object, reader: _Reader) -> Reduction | None:
    if value is None:
        return None
    if not isinstance(value, Mapping) or ("to" in value) == ("by" in value):
        raise InputError(
            "reduce", 'to = "3/4 cup", or by = 4', "Give one of the two", where=reader.where
        )
    to = reader.amount(value["to"], "reduce.to") if "to" in value else None
    by = value.get("by")
    if by is not None and not (isinstance(by, (int, float)) and by >= 1):
        raise InputError(
            f"reduce.by {by!r}", "a number of 1 or more: 4 leaves a quarter", where=reader.where
        )
    if to is not None and (to.kind not in {"mass", "volume"} or to.si <= 0):
        raise InputError(f"reduce.to {to.text!r}", "a volume or a weight", where=reader.where)
    ring = _one_of(value, "ring", RINGS, f"{reader.where} reduce", "")
    with _at(reader.where, "reduce.power"):
        power_w = parse_power_w(value["power"]) if "power" in value else None
    with _at(reader.where, "reduce.pan"):
        pan_m = parse_length_m(value["pan"]) if "pan" in value else None
    with _at(reader.where, "reduce.at"):
        at_c = parse_temperature_c(value["at"]) if "at" in value else None
    return Reduction(to, None if by is None else float(by), power_w, ring, pan_m, at_c)


def _soak(mapping: Mapping[str, object], where: str) -> float | None:
    if "soak" not in mapping:
        return None
    with _at(where, "soak"):
        return parse_duration_s(mapping["soak"])  # type: ignore[arg-type]


def _share(mapping: Mapping[str, object], where: str) -> float | None:
    value = mapping.get("sticks")
    if value is None:
        return None
    if isinstance(value, (int, float)) and not isinstance(value, bool) and 0 <= value <= 1:
        return float(value)  # a number in a file is a share, as elsewhere in a cookbook
    with _at(where, "sticks"):
        return parse_fraction(str(value))


def _order(mapping: Mapping[str, object], where: str) -> int:
    value = mapping.get("order", 0)
    if not isinstance(value, int) or isinstance(value, bool):
        raise InputError(f"order {value!r}", "a whole number; first comes first", where=where)
    return value


def _text(mapping: Mapping[str, object], key: str, where: str) -> str:
    value = mapping.get(key, "")
    if not isinstance(value, str):
        raise InputError(f"{key} {value!r}", "text in quotes", where=where)
    return value.strip()


def _one_of(
    mapping: Mapping[str, object],
    key: str,
    known: Sequence[str] | Mapping[str, object],
    where: str,
    default: str = "?",
) -> str:
    value = _text(mapping, key, where).casefold() or default
    if value == default != "?" or value in known:
        return value
    if value == "?":
        raise InputError(f"no {key}", ", ".join(known), where=where)
    raise NotFoundError(key, value, known, where=where)


@cache
def _shipped() -> Mapping[str, Mix]:
    found = {}
    for name in assets.names("data", "mixes"):
        key = name.removesuffix(".toml")
        mapping = tomllib.loads(assets.read_text("data", "mixes", name))
        made = mix_from_mapping(mapping, f"data/mixes/{name}", key=key)
        found[key] = replace(made, where="")
    return MappingProxyType(found)
