"""One shopping list over cooks and their mixes: merged, by section, what is at hand taken off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from stallwise.ground import units
from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import CookWarning, InputError, NotFoundError
from stallwise.ground.money import one_money, parse_price
from stallwise.joins.mix.fuelshop import FuelNeed, fuel_at_hand, fuel_needs
from stallwise.joins.mix.mixing import kitchen_region, mix_shelf, scaled_mixes
from stallwise.joins.mix.packlabel import label_warnings, pack_age_days, pack_words
from stallwise.joins.mix.portions import raw_portions
from stallwise.joins.mix.prices import Bill, Prices, bill, bill_of, price_list
from stallwise.joins.mix.spending import extra_bill
from stallwise.joins.mix.trimmings import is_trimming, trimmings_at_hand
from stallwise.joins.mix.yields import OwnYield, cut_yield
from stallwise.joins.plan import piece_cut
from stallwise.joins.words import percent
from stallwise.models.batch import batch_of
from stallwise.models.ledger import ledgers
from stallwise.models.mixes import ScaledMix
from stallwise.models.needs import needs
from stallwise.record.cook import CookRecord
from stallwise.record.extra import Extra
from stallwise.record.schema import Book, Piece
from stallwise.record.trimming import board
from stallwise.tables.catalogue import cuts
from stallwise.tables.ingredient import grams_of, spoons_of, volume_of_m3
from stallwise.tables.mix import MADE_AHEAD, Pantry
from stallwise.tables.mixbook import pantry
from stallwise.tables.sections import FIRE, MEAT, SECTIONS, TAP, section_of

__all__ = ["AtHand", "ShopItem", "ShopList", "read_at_hand", "shopping"]

#: Less than this is a last digit, not something to buy [g].
_NOTHING_G = 0.05

#: What is paid for and not carried home from a shop.
_NOT_BOUGHT = frozenset({"hire", "travel"})


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
    bill : Bill or None
        What it costs at the till; None where it has no price, or nothing is to buy.
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
    bill: Bill | None = None

    @property
    def to_buy(self) -> bool:
        """Whether any of it is still to buy."""
        return self.buy_g > 0.0 or (self.section == FIRE and not self.at_hand_g)


@dataclass(frozen=True)
class ShopList:
    """A list over some cooks.

    `ready` are mixes that are taken from what stands ready [g]. `paid` is the sum at the till of all that
    has a price, None where nothing has; `without` names what has none.
    """

    cooks: tuple[str, ...]
    dates: tuple[dt.date, ...]
    units: str
    items: tuple[ShopItem, ...]
    ready: Mapping[str, float]
    warnings: tuple[CookWarning, ...]
    money: str = ""
    paid: float | None = None
    without: tuple[str, ...] = ()


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
    prices = price_list(book, shelf, cuts(records[0].cuts) if book.prices else {})
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
        meat += _meat(record, own or {}, prices)
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
                prices,
            )
            for key, grams in wanted.grams.items()
        ),
        *_fuel(records, stock),
        *(
            _extra(extra, record)
            for record in records
            for extra in record.cook.extras
            if extra.kind not in _NOT_BOUGHT
        ),
    ]
    order = {name: place for place, name in enumerate(SECTIONS)}
    short = [
        CookWarning(f"short-{line.what}", f"{line.name}: {line.short_text}.")
        for line in ledgers(on_meat, ahead, region=region)
        if line.short_text and line.short_g > stock.mixes_g.get(line.what, 0.0)
    ]
    money, paid, without, asked = _till(items)
    labels = [warning for record in records for warning in label_warnings(record.cook)]
    return ShopList(
        tuple(record.name for record in records),
        tuple(sorted({record.cook.date for record in records})),
        book.units,
        tuple(sorted(items, key=lambda item: (order.get(item.section, len(order)), item.name))),
        {shelf.mix(key).name: grams for key, grams in wanted.from_hand_g.items()},
        (*short, *prices.asked, *labels, *asked),
        money,
        paid,
        without,
    )


def _till(
    items: Sequence[ShopItem],
) -> tuple[str, float | None, tuple[str, ...], tuple[CookWarning, ...]]:
    """Money, sum of what has a price, names of what has none, and what is asked."""
    needed = [item for item in items if item.to_buy and item.section != TAP]
    bills = [item.bill for item in needed if item.bill is not None]
    without = tuple(dict.fromkeys(item.name for item in needed if item.bill is None))
    if not bills:
        return "", None, without, ()
    try:
        money = one_money(bill.money for bill in bills)
    except InputError as error:
        return "", None, without, (CookWarning("price-asked", f"No sum is made: {error}"),)
    return money, sum(bill.paid for bill in bills), without, ()


def _fuel(records: Sequence[CookRecord], stock: AtHand) -> Iterator[ShopItem]:
    """Fuel that the fires take, one line a kind, with its margin."""
    found: dict[str, list[FuelNeed]] = {}
    for need in fuel_needs(records):
        found.setdefault(need.key, []).append(need)
    for key, same in found.items():
        total_g = 1e3 * sum(need.kg for need in same)
        hand_g = min(1e3 * stock.fuel_kg.get(key, 0.0), total_g)
        yield ShopItem(
            FIRE, key, same[0].name, total_g, hand_g, total_g - hand_g, 0,
            " + ".join(need.units_words for need in same), None,
            tuple(dict.fromkeys(need.user for need in same)),
            "enough on nine days in ten" + (", less what is there" if hand_g else ""),
        )  # fmt: skip


def _extra(extra: Extra, record: CookRecord) -> ShopItem:
    grams = units.parse("mass", extra.mass, key="mass") * 1e3 if extra.mass else 0.0
    guests = record.cook.guests
    count = extra.count * ((guests or 1) if extra.a_head else 1)
    return ShopItem(
        FIRE, extra.name, extra.name, grams, 0.0, grams, 0 if extra.mass else count,
        "", None, (record.cook.title,), extra.note or "", extra_bill(extra, guests),
    )  # fmt: skip


@dataclass(frozen=True)
class AtHand:
    """Ingredients and mixes that are there [g], by key, and fuel [kg]."""

    grams: Mapping[str, float]
    mixes_g: Mapping[str, float]
    fuel_kg: Mapping[str, float] = field(default_factory=dict)


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
    fuel_kg: dict[str, float] = {}
    for name, text in said.items():
        key = name.strip().casefold().replace(" ", "-")
        item = None
        if key not in shelf.mixes:
            try:
                item = shelf.ingredient(name)
            except NotFoundError as error:
                fuel = fuel_at_hand(name, text, book)
                if fuel is None:
                    known = [*shelf.ingredients, *shelf.mixes]
                    raise NotFoundError(
                        "ingredient, mix or fuel at hand", name, known, error.todo
                    ) from error
                fuel_kg[fuel[0]] = fuel_kg.get(fuel[0], 0.0) + fuel[1]
                continue
        amount = parse_amount(text, key=f"at_hand {name}", region=region, measures=book.measures)
        if item is None:
            mixes_g[key] = batch_of(shelf.mix(key), shelf).grams_of(amount)
        else:
            grams[item.key] = grams_of(item, amount, region=region)
    return AtHand(grams, mixes_g, fuel_kg)


def _meat(record: CookRecord, own: Mapping[str, OwnYield], prices: Prices) -> list[ShopItem]:
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
                note = "; ".join(
                    filter(None, (note, f"{percent(kept)} of it goes on once trimmed"))
                )
        if packed := pack_words(pack_age_days(record.cook, piece)):
            note = "; ".join(filter(None, (note, f"packed {packed} the cook")))
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
                _meat_bill(piece, bought_kg * piece.count, prices),
            )
        )
    return items


def _meat_bill(piece: Piece, bought_kg: float, prices: Prices) -> Bill | None:
    try:
        price = parse_price(piece.price) if piece.price else prices.by_key.get(piece.cut)
    except InputError:
        return None  # the cook itself asks about it
    if price is None:
        return None
    return bill_of(price, bought_kg, count=piece.count)


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
            _sum_of([item.bill for item in same]),
        )
        for key, same in found.items()
    ]


def _sum_of(bills: Sequence[Bill | None]) -> Bill | None:
    """Price of alike pieces; none where one of them has none, or in two kinds of money."""
    known = [bill for bill in bills if bill is not None]
    if len(known) < len(bills) or len({bill.money for bill in known}) > 1:
        return None
    used, paid = (sum(each) for each in zip(*((b.used, b.paid) for b in known), strict=True))
    return Bill(used, paid, 0, "", known[0].money)


def _item(
    key: str,
    grams: float,
    users: Sequence[str],
    hand_g: float,
    shelf: Pantry,
    region: str,
    prices: Prices,
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
        bill(item, buy_g, prices) if buy_g else None,
    )


def _poured(key: str) -> bool:
    return section_of(key) in {"drinks", TAP}
