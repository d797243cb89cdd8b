"""All cooks of a book, or of one year of it: what it suggests, shows, cost, and leaves to do."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import CookWarning, InputError, StallwiseError
from stallwise.joins.answer import answer
from stallwise.joins.learn.knowledge import learned_entries
from stallwise.joins.learn.tally import TallyResult, tally_book
from stallwise.joins.mix.mixresult import SpendingResult
from stallwise.joins.taste.bookyear import taste_year
from stallwise.joins.taste.tasteyear import Year
from stallwise.record.folder import Cookbook, CookFolder
from stallwise.record.schema import Cook
from stallwise.tables.catalogue import cut

__all__ = ["OpenLine", "Spent", "YearCook", "YearRound", "year_round"]

#: Money does not hang on the possible days.
_FEW = {"members": 20}


@dataclass(frozen=True)
class YearCook:
    """One cook of the list.

    Attributes
    ----------
    cook, title, state : str
    date : date
    cuts : tuple of str
        Names of its cuts.
    pieces, guests : int, int or None
    wraps : tuple of str
        As planned.
    number : (str, float, float or None) or None
        The one number: its name, value and out of what.
    outcome : str
        In the cook's words; empty where nothing is said.
    """

    cook: str
    title: str
    state: str
    date: dt.date
    cuts: tuple[str, ...]
    pieces: int
    guests: int | None
    wraps: tuple[str, ...]
    number: tuple[str, float, float | None] | None
    outcome: str


@dataclass(frozen=True)
class OpenLine:
    """A next-time line that nobody has ticked off.

    Attributes
    ----------
    cook, title, text : str
    date : date
    cuts : tuple of str
    carried_to : str
        The last cook that stands under it; empty where the cut has not come back.
    """

    cook: str
    title: str
    text: str
    date: dt.date
    cuts: tuple[str, ...]
    carried_to: str


@dataclass(frozen=True)
class Spent:
    """What one cook cost, as far as its prices are known."""

    cook: str
    title: str
    date: dt.date
    spending: SpendingResult


@dataclass(frozen=True)
class YearRound:
    """All cooks of a book, or of one year.

    Attributes
    ----------
    title : str
        Of the book.
    year : int or None
        The year that is meant; None for all.
    units : {"us", "metric"}
    cooks : tuple of YearCook
        Newest first.
    samples_left_out : int
        Sample cooks, where the book holds others.
    taste : Year
        What trials showed and the log suggests.
    tally : TallyResult
        How often the forecast was right.
    learned : mapping
        The book's ``learned.json``, empty where it has none. It knows no year.
    spent : tuple of Spent
        Of cooks that have a price.
    without_price : int
        How many have none.
    open_lines : tuple of OpenLine
        Newest first.
    warnings : tuple of CookWarning
    """

    title: str
    year: int | None
    units: str
    cooks: tuple[YearCook, ...]
    samples_left_out: int
    taste: Year
    tally: TallyResult
    learned: Mapping[str, Any]
    spent: tuple[Spent, ...]
    without_price: int
    open_lines: tuple[OpenLine, ...]
    warnings: tuple[CookWarning, ...]


def year_round(book: Cookbook, *, made_at: dt.datetime, year: int | None = None) -> YearRound:
    """Go through the cooks of a book.

    Parameters
    ----------
    book : Cookbook
    made_at : datetime
        Moment of the asking, aware.
    year : int, optional
        Only cooks of this year; all of them by default.

    Raises
    ------
    InputError
        The book has no cook, or none of that year.
    """
    read, unread = _read(book)
    own = {name: pair for name, pair in read.items() if not pair[1].sample} or read
    there = {name: pair for name, pair in own.items() if year is None or pair[1].date.year == year}
    if not there:
        _refuse(own, year)
    only = frozenset(there)
    taste, untold = taste_year(book, only)
    told = tally_book(book, only)
    learned, spoilt = _learned(book)
    spent, unpriced = _spent(there, book, made_at)
    return YearRound(
        title=book.book.title,
        year=year,
        units=book.book.units,
        cooks=tuple(_row(book, *pair) for pair in there.values()),
        samples_left_out=len(read) - len(own),
        taste=taste,
        tally=told,
        learned=learned,
        spent=spent,
        without_price=len(there) - len(spent),
        open_lines=_open_lines(book, own, only),
        warnings=(*unread, *untold, *told.warnings, *spoilt, *unpriced),
    )


_Read = dict[str, tuple[CookFolder, Cook]]


def _read(book: Cookbook) -> tuple[_Read, list[CookWarning]]:
    found, unread = {}, []
    for folder in book.cooks():
        try:
            found[folder.name] = (folder, folder.read())
        except InputError as error:
            unread.append(CookWarning("unreadable", f"{folder.name} cannot be read: {error}"))
    return found, unread


def _refuse(own: Mapping[str, tuple[CookFolder, Cook]], year: int | None) -> None:
    if not own:
        raise InputError(
            "this cookbook has no cook yet", "one cook or more", "stallwise new --cut CUT"
        )
    years = sorted({cook.date.year for _, cook in own.values()})
    raise InputError(f"no cook in {year}", f"one of: {', '.join(map(str, years))}")


def _learned(book: Cookbook) -> tuple[Mapping[str, Any], list[CookWarning]]:
    try:
        learned = book.learned()
        learned_entries(learned)
    except InputError as error:
        return {}, [CookWarning("unreadable", str(error))]
    return learned or {}, []


def _row(book: Cookbook, folder: CookFolder, cook: Cook) -> YearCook:
    number = cook.number and (cook.number.name, cook.number.value, cook.number.out_of)
    return YearCook(
        cook=folder.name,
        title=cook.title,
        state=folder.state(),
        date=cook.date,
        cuts=_cuts(book, cook),
        pieces=sum(piece.count for piece in cook.pieces),
        guests=cook.guests,
        wraps=tuple(dict.fromkeys(piece.wrap for piece in cook.pieces if piece.wrap)),
        number=number or None,
        outcome=" ".join((cook.outcome or "").split()),
    )


def _cuts(book: Cookbook, cook: Cook) -> tuple[str, ...]:
    names = []
    for piece in cook.pieces:
        try:
            names.append(cut(piece.cut, overlay=book.overlay("cuts")).name)
        except StallwiseError:
            names.append(piece.cut)
    return tuple(dict.fromkeys(names))


def _spent(
    there: _Read, book: Cookbook, made_at: dt.datetime
) -> tuple[tuple[Spent, ...], list[CookWarning]]:
    """Ask the cooks that may have a price what they cost."""
    found, untold = [], []
    for folder, cook in there.values():
        priced = (piece.price for piece in cook.pieces), (extra.price for extra in cook.extras)
        if not (book.book.prices or any(price for each in priced for price in each)):
            continue
        try:
            told = answer(folder.load(readings=False), made_at=made_at, changes=_FEW).spending
        except StallwiseError as error:
            untold.append(CookWarning("price-asked", f"{folder.name}: {error}"))
            continue
        if told is not None:
            found.append(Spent(folder.name, cook.title, cook.date, told))
    return tuple(found), untold


def _open_lines(book: Cookbook, own: _Read, only: Collection[str]) -> tuple[OpenLine, ...]:
    """Find next-time lines that no later cook has ticked off, newest first."""
    found = []
    for name in only:
        cook = own[name][1]
        if not cook.next_time:
            continue
        under = _under(name, (pair[1] for pair in own.values()))
        if any(later.carried_done for later in under):
            continue
        last = max(under, key=lambda later: later.date, default=None)
        found.append(
            OpenLine(
                name, cook.title, " ".join(cook.next_time.split()), cook.date, _cuts(book, cook),
                last.title if last else "",
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda line: (line.date, line.cook), reverse=True))


def _under(name: str, cooks: Iterable[Cook]) -> list[Cook]:
    return [later for later in cooks if later.carried_from == name]
