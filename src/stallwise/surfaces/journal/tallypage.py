"""How often the forecasts were right, told of all the cooks that a journal shows."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from stallwise import __version__
from stallwise.ground import assets
from stallwise.joins.learn import tallywords
from stallwise.joins.learn.keptresult import CookTally
from stallwise.joins.learn.tally import PieceTally, TallyResult, summed
from stallwise.joins.tables import Table
from stallwise.pictures import tallied
from stallwise.pictures.charts import NARROW, WIDE
from stallwise.surfaces.journal.counted import uncounted
from stallwise.surfaces.journal.entries import Entry
from stallwise.surfaces.journal.forms import form
from stallwise.surfaces.journal.origins import Origin, explained
from stallwise.surfaces.journal.public import PublicBook

__all__ = ["TALLY", "tally_page"]

TALLY = "tally.html"

#: Where the page says what it was made of; no word of a cook can look like this.
_MARK = "<!--of {digest}-->"


@dataclass(frozen=True)
class _PieceRow:
    """One piece: its cook's page and title, its day in words, and cells of the table."""

    page: str
    title: str
    day: str
    letter: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class _TallyPage:
    headline: str
    cannot: tuple[str, ...]
    header: tuple[str, ...]
    rows: tuple[_PieceRow, ...]
    tables: tuple[Table, ...]
    beside: tuple[str, ...]
    origins: tuple[Origin, ...]
    wide: Markup
    narrow: Markup


def tally_page(book: PublicBook, entries: Sequence[Entry], before: str) -> str:
    """Make the page.

    Parameters
    ----------
    book : PublicBook
    entries : sequence of Entry
        Newest first.
    before : str
        The page as it stands: where it was made of the same it is given back, for drawing takes long.

    Returns
    -------
    str
        Empty where no forecast of these cooks was held against anything.
    """
    held = [one for one in entries if one.tallied]
    mark = _MARK.format(digest=_digest(book, held))
    if mark in before:
        return before
    result = summed(_read(held))
    if not result.pieces:
        return ""
    names = {key: name for one in held for key, name in one.cuts}
    named = dataclasses.replace(
        result, by_cut={names.get(key, key): each for key, each in result.by_cut.items()}
    )
    html: str = form("tally.html").render(
        book=book,
        page=_page(named, {one.name: one for one in held}),
        root="",
        here=TALLY,
        mark=Markup(mark),  # noqa: S704 - a digest
    )
    return html


def _digest(book: PublicBook, entries: Sequence[Entry]) -> str:
    """Tell of what the page is made: forecasts, names of cooks, the form and the program."""
    told = [__version__, assets.read_text("templates", "journal", "tally.html"), repr(book)]
    told += [repr((one.page, one.name, one.title, one.day, one.cuts)) for one in entries]
    told += [json.dumps([one.tallied for one in entries], sort_keys=True)]
    return hashlib.blake2b("\n".join(told).encode(), digest_size=8).hexdigest()


def _read(entries: Sequence[Entry]) -> Iterator[CookTally]:
    for one in entries:
        try:
            found = uncounted(one.tallied)
        except (AttributeError, KeyError, TypeError, ValueError):
            continue  # the list of files was changed by hand: the next time its page is made it is whole again
        if found is not None and found.cook == one.name:
            yield found


def _page(result: TallyResult, entries: Mapping[str, Entry]) -> _TallyPage:
    pieces = tallywords.pieces_table(result)
    rows = [
        _row(one, cells[3:], entries[one.cook])
        for one, cells in zip(result.pieces, pieces.rows, strict=True)
    ]
    return _TallyPage(
        headline=tallywords.headline(result),
        cannot=tallywords.cannot_say(dataclasses.replace(result, samples_left_out=0)),
        header=pieces.header[3:],
        rows=tuple(reversed(rows)),
        tables=tuple(
            table for table in tallywords.tables(result) if table.caption != pieces.caption
        ),
        beside=tuple(_beside(result)),
        origins=(explained("tally"),),
        wide=_drawn(result, WIDE, "wide"),
        narrow=_drawn(result, NARROW, "narrow"),
    )


def _drawn(result: TallyResult, width: int, prefix: str) -> Markup:
    picture = tallied.tally_picture(result, dark=None, width=width, prefix=prefix)
    return Markup(picture.svg)  # noqa: S704 - our own drawing, its words escaped by ink


def _row(one: PieceTally, cells: tuple[str, ...], entry: Entry) -> _PieceRow:
    return _PieceRow(entry.page, entry.title, entry.day, one.piece, cells)


def _beside(result: TallyResult) -> list[str]:
    """Say what is not counted, and why."""
    said = []
    if many := result.samples_left_out:
        said.append(f"{many} sample cook{'s are' if many > 1 else ' is'} left out.")
    if many := result.open_forecasts:
        said.append(f"Waiting for an outcome: {many}.")
    said += [f"Left out, {reason}: {many}." for reason, many in result.left_out.items()]
    return said
