"""One shopping list over cooks and their mixes: merged, by section, what is at hand taken off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import CookWarning, InputError, NotFoundError
from stallwise.joins.mixing import kitchen_region, mix_shelf, scaled_mixes
from stallwise.joins.plan import piece_cut
from stallwise.joins.portions import raw_portions
from stallwise.joins.trimmings import is_trimming, trimmings_at_hand
from stallwise.joins.words import percent
from stallwise.joins.yields import OwnYield, cut_yield
from stallwise.models.batch import batch_of
from stallwise.models.ledger import ledgers
from stallwise.models.mixes import ScaledMix
from stallwise.models.needs import needs
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Book
from stallwise.record.trimming import board
from stallwise.tables.ingredient import grams_of, spoons_of, volume_of_m3
from stallwise.tables.mix import MADE_AHEAD, Pantry
from stallwise.tables.mixbook import pantry
from stallwise.tables.sections import MEAT, SECTIONS, TAP, section_of

__all__ = ["AtHand", "ShopItem", "ShopList", "read_at_hand", "shopping"]

#: Less than this is a last digit, not something to buy [g].
_NOTHING_G = 0.05


@dataclass(frozen=True)
class ShopItem:
    """One thing to buy.

    Attributes
    ----------
    section, key, name : str
        Where it stands, its key and its name.
    needed_g, at_hand_g, buy_g : float
        What all cooks take, what is there of it, and what is left to buy [g].
    pieces : int
        Pieces of meat; 0 for what is weighed out.
    spoons : str
        The amount to buy as a kitchen measure; empty where it is only weighed.
    volume_m3 : float or None
        The same for what is poured [m3].
    users : tuple of str
        Cooks and mixes that take it.
    note : str
        What else to know of it.
    """

    section: str
    key: str
    name: str
    needed_g: float
    at_hand_g: float
    buy_g: float
    pieces: int
    spoons: str
    volume_m3: float | None
    users: tuple[str, ...]
    note: str


@dataclass(frozen=True)
class ShopList:
    """A list over some cooks; `ready` are mixes that are taken from what stands ready [g]."""

    cooks: tuple[str, ...]
    dates: tuple[dt.date, ...]
    units: str
    items: tuple[ShopItem, ...]
    ready: Mapping[str, float]
    warnings: tuple[CookWarning, ...]


def shopping(
    records: Sequence[CookRecord],
    *,
    own: Mapping[str, OwnYield] | None = None,
    at_hand: Mapping[str, str] | None = None,
) -> ShopList:
    """Make one list over cooks.

    Parameters
    ----------
    records : sequence of CookRecord
        Cooks of one cookbook.
    own : mapping of str to OwnYield, optional
        What past cooks weighed, for what is trimmed off.
    at_hand : mapping of str to str, optional
        Amounts of ingredients and mixes that are there, over those of ``cookbook.toml``.

    Raises
    ------
    InputError
        Something at hand has no name or weight that is known, or a mix cannot be scaled.
    """
    if not records:
        raise InputError("no cook to shop for", "the name of a cook")
    book = records[0].book
    region = kitchen_region(book)
    shelf = pantry(
        {k: v for record in records for k, v in record.mixes.items()},
        records[0].ingredients,
        book.measures,
        region=region,
    )
    stock = read_at_hand({**book.at_hand, **(at_hand or {})}, shelf, book)
    on_meat: list[ScaledMix] = []
    ahead: list[ScaledMix] = []
    saved_g: dict[str, float] = {}
    meat: list[ShopItem] = []
    for record in records:
        portions = raw_portions(record, record.cook)
        used = scaled_mixes(record, record.cook, portions, mix_shelf(record))
        for one in used:
            (ahead if one.mix.kind in MADE_AHEAD else on_meat).append(one.mix)
        for key, grams in trimmings_at_hand(record, record.cook, used).items():
            saved_g[key] = saved_g.get(key, 0.0) + grams
        meat += _meat(record, own or {})
    wanted = needs(on_meat, ahead, stock.mixes_g)
    items = [
        *_merged(meat),
        *(
            _item(
                key,
                grams,
                wanted.users[key],
                stock.grams.get(key, 0.0) + saved_g.get(key, 0.0),
                shelf,
                region,
            )
            for key, grams in wanted.grams.items()
        ),
    ]
    order = {name: place for place, name in enumerate(SECTIONS)}
    short = [
        CookWarning(f"short-{line.what}", f"{line.name}: {line.short_text}.")
        for line in ledgers(on_meat, ahead, region=region)
        if line.short_text and line.short_g > stock.mixes_g.get(line.what, 0.0)
    ]
    return ShopList(
        tuple(record.name for record in records),
        tuple(sorted({record.cook.date for record in records})),
        book.units,
        tuple(sorted(items, key=lambda item: (order.get(item.section, len(order)), item.name))),
        {shelf.mix(key).name: grams for key, grams in wanted.from_hand_g.items()},
        tuple(short),
    )


@dataclass(frozen=True)
class AtHand:
    """Ingredients and mixes that are there [g], by key."""

    grams: Mapping[str, float]
    mixes_g: Mapping[str, float]


def read_at_hand(said: Mapping[str, str], shelf: Pantry, book: Book) -> AtHand:
    """Read what is at hand, as in ``cookbook.toml``.

    Raises
    ------
    InputError
        A name or an amount is not known.
    """
    grams: dict[str, float] = {}
    mixes_g: dict[str, float] = {}
    region = kitchen_region(book)
    for name, text in said.items():
        amount = parse_amount(text, key=f"at_hand {name}", region=region, measures=book.measures)
        key = name.strip().casefold().replace(" ", "-")
        if key in shelf.mixes:
            mixes_g[key] = batch_of(shelf.mix(key), shelf).grams_of(amount)
            continue
        try:
            item = shelf.ingredient(name)
        except NotFoundError as error:
            known = [*shelf.ingredients, *shelf.mixes]
            raise NotFoundError("ingredient or mix at hand", name, known, error.todo) from error
        grams[item.key] = grams_of(item, amount, region=region)
    return AtHand(grams, mixes_g)


def _meat(record: CookRecord, own: Mapping[str, OwnYield]) -> list[ShopItem]:
    items = []
    for portion in raw_portions(record, record.cook):
        piece = portion.piece
        entry = piece_cut(record, piece)
        bought_kg = board(piece).mass_bought_kg
        note = "" if piece.mass or bought_kg else "its usual weight: nothing was said of it"
        if bought_kg is None:
            kept = cut_yield(entry, own.get(piece.cut)).kept
            bought_kg = portion.mass_kg / piece.count / kept
            if kept < 1.0:
                note = "; ".join(filter(None, (note, f"{percent(kept)} of it goes on")))
        items.append(
            ShopItem(
                MEAT,
                piece.cut,
                entry.name,
                bought_kg * piece.count * 1e3,
                0.0,
                bought_kg * piece.count * 1e3,
                piece.count,
                "",
                None,
                (record.cook.title,),
                note,
            )
        )
    return items


def _merged(meat: Sequence[ShopItem]) -> list[ShopItem]:
    """Put pieces of one cut on one line."""
    found: dict[str, list[ShopItem]] = {}
    for item in meat:
        found.setdefault(item.key, []).append(item)
    return [
        ShopItem(
            MEAT,
            key,
            same[0].name,
            sum(item.needed_g for item in same),
            0.0,
            sum(item.buy_g for item in same),
            sum(item.pieces for item in same),
            "",
            None,
            tuple(dict.fromkeys(user for item in same for user in item.users)),
            "; ".join(dict.fromkeys(item.note for item in same if item.note)),
        )
        for key, same in found.items()
    ]


def _item(
    key: str, grams: float, users: Sequence[str], hand_g: float, shelf: Pantry, region: str
) -> ShopItem:
    item = shelf.ingredient(key)
    buy_g = max(grams - hand_g, 0.0)
    if buy_g < _NOTHING_G:
        buy_g = 0.0
    measure = spoons_of(item, buy_g, region=region) if buy_g else None
    return ShopItem(
        section_of(key),
        key,
        item.name,
        grams,
        min(hand_g, grams),
        buy_g,
        0,
        measure.text if measure else "",
        volume_of_m3(item, buy_g) if _poured(key) else None,
        tuple(users),
        "the rest is what was trimmed off" if is_trimming(key) and 0 < hand_g < grams else "",
    )


def _poured(key: str) -> bool:
    return section_of(key) in {"drinks", TAP}
