"""A quote as tables of text and sentences, one set for terminal and paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from stallwise.ground import units
from stallwise.ground.money import format_money
from stallwise.joins.crowd.crowdwords import cold_words
from stallwise.joins.crowd.events import Event
from stallwise.joins.crowd.quote import CrowdQuote
from stallwise.joins.fire.fuelwords import stock_words
from stallwise.joins.mix.shoptables import ends_words, left_words
from stallwise.joins.sheet.dayresult import ShelfLoad
from stallwise.joins.tables import Table
from stallwise.joins.words import day_clock, hours, joined, percent
from stallwise.models.weighed import ENOUGH
from stallwise.record.catering import Heading

__all__ = ["HEADING_WORDS", "guest_words", "quote_tables", "quote_words"]

HEADING_WORDS: Mapping[Heading | str, str] = {
    "meat": "meat",
    "kitchen": "rubs and sauces",
    "fuel": "fuel",
    "work": "work",
    "hire": "hire",
    "travel": "travel",
    "disposables": "plates and napkins",
    "other": "other",
}


def guest_words(found: CrowdQuote) -> str:
    """Guests, and who of them eats otherwise."""
    guests = found.guests
    parts = [
        (guests.children, "children"),
        (guests.hungry, "hungry"),
        (guests.light, "with a small appetite"),
        (guests.no_meat, "without meat"),
    ]
    said = joined([f"{count} {word}" for count, word in parts if count], "and")
    return f"{guests.heads} guests" + (f", of them {said}" if said else "")


def quote_tables(found: CrowdQuote) -> tuple[Table, ...]:
    """Lay out what it costs, and where it was cooked what it came to."""
    rows = [
        (
            HEADING_WORDS[line.heading],
            "not said" if line.amount is None else format_money(line.amount, found.money),
            line.words,
        )
        for line in found.lines
    ]
    rows += list(_sums(found))
    tables = [
        Table(
            f"Quote: {found.title}, {guest_words(found)}",
            ("for", "costs", ""),
            tuple(rows),
            "quote",
        )
    ]
    if found.event:
        tables.append(_event_table(found, found.event))
    return tuple(tables)


def _sums(found: CrowdQuote) -> Iterator[tuple[str, str, str]]:
    sums = found.sums
    if sums.cost is None or sums.price is None or sums.per_head is None:
        blank = joined([HEADING_WORDS[name] for name in sums.blank], "and")
        yield "so far", format_money(sums.known, found.money), f"without {blank}"
        if found.margin is not None:
            least = format_money(sums.least_per_head, found.money)
            yield "a head, at least", least, f"with {percent(found.margin)} on top"
        return
    yield "cost", format_money(sums.cost, found.money), ""
    if found.margin is None:
        yield (
            "a head",
            format_money(sums.cost / found.guests.heads, found.money),
            "what it costs; no margin is said",
        )
        return
    yield (
        "price",
        format_money(sums.price, found.money),
        f"{percent(found.margin)} on top of what it costs",
    )
    yield "a head", format_money(sums.per_head, found.money), ""


def _event_table(found: CrowdQuote, event: Event) -> Table:
    """Lay what it came to beside what was reckoned with."""
    rows: list[tuple[str, str, str]] = [("heads", str(found.guests.heads), str(event.came))]
    if event.eaten_per_head_kg is not None:
        reckoned = found.need_kg / max(found.guests.heads * (1.0 - found.guests.no_shows), 1.0)
        was, came = (
            units.format_mass(kg, found.units) for kg in (reckoned, event.eaten_per_head_kg)
        )
        rows.append(("meat a head", was, came))
    amounts = {line.heading: line.amount for line in found.lines}
    for heading, per_head in event.per_head.items():
        amount = amounts.get(heading)
        rows.append(
            (
                HEADING_WORDS[heading],
                "not said" if amount is None else format_money(amount, found.money),
                format_money(per_head * event.came, event.money),
            )
        )
    rows += [(HEADING_WORDS[name], "", "not written down") for name in event.unpaid]
    if event.per_head and not event.unpaid:
        was = "" if found.quoted is None else format_money(found.quoted, found.money)
        rows.append(("a head", was, format_money(event.paid / event.came, event.money)))
    return Table("What it came to", ("", "quoted", "came to"), tuple(rows), "quote")


def quote_words(found: CrowdQuote) -> Iterator[str]:
    """Say what it takes: meat, cold, boxes, fires, hands, and what past crowds say."""
    system = found.units
    ends = [units.format_mass(kg, system) for kg in (found.eaten_kg[0], found.eaten_kg[2])]
    need = found.need_kg
    left = left_words([found.eaten_kg[0] - need, found.eaten_kg[2] - need], system)
    yield (
        f"{found.guests.plates} plates with meat take about {units.format_mass(need, system)}; there will "
        f"be {ends_words(ends)}: {left}."
    )
    for meat in found.meats:
        span = ends_words([units.format_mass(kg, system) for kg in meat.eaten_kg])
        bought = units.format_mass(meat.bought_kg, system)
        yield (
            f"{meat.name}: {meat.pieces} pieces, {bought} as bought, {span} to eat; guests take about "
            f"{units.format_mass(meat.need_kg, system)} of it."
        )
    for at, letters in found.servings:
        yield f"Served at {day_clock(at, found.date)}: {joined(list(letters), 'and')}."
    thaw, salt = (cold_words(room, system) for room in (found.cold.thaw_m3, found.cold.salt_m3))
    yield f"In the cold: some {thaw} while it thaws in trays, {salt} salted and open on racks."
    for load in found.loads:
        shelves = "; ".join(
            f"{shelf.name} {_on(shelf)}, {percent(shelf.share)} of it"
            for shelf in load.shelves
            if shelf.pieces
        )
        yield f"{found.pit_names.get(load.pit, load.pit)} at its fullest: {shelves}."
    for box in found.boxes:
        of = f" ({joined(list(box.pieces), 'and')})" if box.pieces else ""
        yield f"{box.name}: at its fullest {box.pans} of {box.room} pans{of}."
    for fire in found.fires:
        yield f"{fire.name}: {stock_words(fire, system)}."
    people = f" for {found.people} people" if found.people else ""
    yield (
        f"Hands are bound {hours(found.hands_h, minutes=15)} in all{people}; from the first step at the "
        f"place to the last it is {hours(found.present_h, minutes=15)}."
    )
    yield from _own_words(found)


def _on(shelf: ShelfLoad) -> str:
    return joined(
        [f"{count} × {letter}" if count > 1 else letter for letter, count in shelf.pieces], "and"
    )


def _own_words(found: CrowdQuote) -> Iterator[str]:
    own = found.own
    if 0 < own.events < ENOUGH:
        left = ENOUGH - own.events
        yield (
            f"{own.events} crowd{'s' * (own.events != 1)} of yours wrote down who came; {left} more, and "
            "your own figures stand for the table's."
        )
    if own.plate:
        yield (
            f"By your own {own.plate.count} crowds a plate takes {percent(own.plate.middle)} of the table's, "
            f"{percent(own.plate.low)} to {percent(own.plate.high)} the next time."
        )
    if own.stayed_away and found.guests.no_shows:
        yield f"Of those invited {percent(found.guests.no_shows)} are reckoned to stay away."
    if own.cost:
        low, high = (format_money(end, own.money) for end in (own.cost.low, own.cost.high))
        yield f"A head of your own {own.cost.count} crowds cost {low} to {high}, as four in five do."
