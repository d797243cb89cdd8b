"""Cells of the notebooks that look back: cooks beside each other, and a whole book.

In JupyterLab a cell shows a panel; where nobody looks it prints the same words and tables and
draws the picture. Nothing is written.
"""

from __future__ import annotations

import datetime as dt
import textwrap
from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground import assets
from stallwise.ground.errors import InputError
from stallwise.joins.learn import tallywords
from stallwise.joins.learn.learnedwords import learned_table, widening_line
from stallwise.joins.parameters import run_settings
from stallwise.joins.past import comparewords, yearwords
from stallwise.joins.past.choosing import choose_cooks
from stallwise.joins.past.comparison import Comparison, compare_cooks
from stallwise.joins.past.yearround import YearRound, year_round
from stallwise.joins.tables import Table
from stallwise.joins.taste import tasteyearwords
from stallwise.record.folder import Cookbook, find_cookbook
from stallwise.surfaces.notebook import Cells, somebody_looks

if TYPE_CHECKING:
    from stallwise.pictures.charts import Picture
    from stallwise.surfaces.widgets.shown import Part

__all__ = ["BookCells", "CompareCells", "YearCells", "compare", "year"]


#: Width of a line where words are printed.
_LINE = 100


def compare(folder: str | None = None, names: Mapping[str, Any] | None = None) -> CompareCells:
    """Lay cooks beside each other, for cells of their own.

    Parameters
    ----------
    folder : str, optional
        The cookbook, or a folder in it; the default is where the notebook lies.
    names : mapping, optional
        Names of the notebook (``globals()``): `cooks` and `members` are read.

    Raises
    ------
    InputError
        There is no cookbook, or no such cook.
    """
    said = names or {}
    changes = {"members": said.get("members")}
    return CompareCells(_book(folder), said.get("cooks"), run_settings(changes).get("members"))


def year(folder: str | None = None, names: Mapping[str, Any] | None = None) -> YearCells:
    """Look at all cooks of a book, for cells of their own.

    Parameters
    ----------
    folder : str, optional
        The cookbook, or a folder in it; the default is where the notebook lies.
    names : mapping, optional
        Names of the notebook (``globals()``): `year` is read.

    Raises
    ------
    InputError
        There is no cookbook, or no year is called so.
    """
    return YearCells(_book(folder), _year((names or {}).get("year")))


def _book(folder: str | None) -> Cookbook:
    return Cookbook.open(find_cookbook(Path.cwd() if folder is None else Path(folder).expanduser()))


def _year(said: object) -> int | None:
    if said is None:
        return None
    try:
        return int(str(said))
    except ValueError:
        raise InputError(f"year = {said!r}", "a year such as 2026, or None for all") from None


class BookCells(Cells):
    """Cells that show something of a book.

    Parameters
    ----------
    book : Cookbook
    panels : bool, optional
        Show panels instead of plain tables; the default finds out whether anybody looks.
    """

    def __init__(self, book: Cookbook, *, panels: bool | None = None) -> None:
        self.book = book
        self.panels = somebody_looks() if panels is None else panels
        self._scripted = False

    def _show(self, *parts: Part) -> None:
        """Show words, tables and pictures; a table without rows is left out."""
        there = [part for part in parts if not isinstance(part, Table) or part.rows]
        there = [part for part in there if part != ""]
        if self.panels:
            from stallwise.surfaces.widgets.display import show_panel
            from stallwise.surfaces.widgets.shown import reading_panel

            words = next((part for part in there if isinstance(part, str)), "")
            # It lets a wide table be moved along by keys; once is enough for the page.
            script = (
                "" if self._scripted else assets.read_text("templates", "notebooks", "panels.js")
            )
            self._scripted = True
            show_panel(reading_panel(there), words, script=script)
            return
        from stallwise.pictures.charts import WIDE
        from stallwise.surfaces.widgets.display import show_picture, show_table

        for number, part in enumerate(there):
            if isinstance(part, str):
                print(textwrap.fill(part, _LINE))  # noqa: T201 - that is what a cell is for
            elif isinstance(part, Table):
                show_table(part)
            else:
                show_picture(part(WIDE, f"p{number}"))


class CompareCells(BookCells):
    """Cooks beside each other, cell by cell.

    Parameters
    ----------
    book : Cookbook
    cooks : str, iterable of str or None
        Which; see `choosing.choose_cooks`.
    members : int, optional
        Possible days tried.
    panels : bool, optional
        As in `BookCells`.
    """

    called = "beside"

    def __init__(
        self,
        book: Cookbook,
        cooks: Any = None,
        members: int | None = None,
        *,
        panels: bool | None = None,
    ) -> None:
        super().__init__(book, panels=panels)
        self._chosen = choose_cooks(book, cooks)
        self._members = members

    @cached_property
    def found(self) -> Comparison:
        """All that is to be said, worked out once."""
        return compare_cooks(self._chosen, made_at=_now(), members=self._members)

    def different(self) -> None:
        """Show what was different, as planned and as logged."""
        self._show(
            comparewords.headline(self.found),
            comparewords.different_table(self.found),
            comparewords.alike_words(self.found),
        )

    def came_out(self) -> None:
        """Show what came out, in figures and in the cook's own words."""
        said = list(comparewords.told_words(self.found))
        table = comparewords.came_out_table(self.found)
        self._show(
            table,
            *(said or ["Nothing is written down of how they tasted."]),
            *comparewords.said_of_them(self.found),
        )

    def mixed_up(self) -> None:
        """Show which things changed together and cannot be told apart."""
        said = list(comparewords.mixed_words(self.found))
        self._show(*(said or ["No two things changed together."]))

    def picture(self) -> None:
        """Draw the cooks over each other on hours since meat on."""
        self._show(self._drawn)

    def foreseen(self) -> None:
        """Show the forecast from before meat on beside what happened."""
        self._show(comparewords.foreseen_words(self.found), comparewords.foreseen_table(self.found))

    def credit(self) -> None:
        """Show how much of the time between them the forecast puts down to each thing."""
        for one in self.found.credits:
            said = list(comparewords.credit_words(one))
            self._show(said[0], comparewords.credit_table(one), *said[1:])

    def _drawn(self, width: int, prefix: str) -> Picture:
        from stallwise.pictures.beside import beside_picture

        return beside_picture(
            self.found, dark=None if self.panels else False, width=width, prefix=prefix
        )


class YearCells(BookCells):
    """A whole book, cell by cell.

    Parameters
    ----------
    book : Cookbook
    year : int, optional
        Only this year; all cooks by default.
    panels : bool, optional
        As in `BookCells`.
    """

    called = "book"

    def __init__(
        self, book: Cookbook, year: int | None = None, *, panels: bool | None = None
    ) -> None:
        super().__init__(book, panels=panels)
        self._year = year

    @cached_property
    def found(self) -> YearRound:
        """All that is to be said, worked out once."""
        return year_round(self.book, made_at=_now(), year=self._year)

    def cooks(self) -> None:
        """List the cooks, and what could not be read."""
        notes = (f"note: {warning.text}" for warning in self.found.warnings)
        self._show(yearwords.headline(self.found), yearwords.cook_table(self.found), *notes)

    def open_lines(self) -> None:
        """List the next-time lines that nobody has ticked off."""
        table = yearwords.open_table(self.found)
        many = len(table.rows)
        said = f"{many} still to do." if many else "No next-time line is open."
        self._show(said, table)

    def shown(self) -> None:
        """Show what planned trials showed."""
        self._show(*tasteyearwords.planned_words(self.found.taste))

    def suggested(self) -> None:
        """Show what the log suggests, and never more than that."""
        found = self.found.taste
        table = tasteyearwords.score_table(found)
        said = (*tasteyearwords.noticed_words(found), tasteyearwords.next_words(found.next))
        self._show(*said, table, tasteyearwords.lenient_words(found) if table.rows else "")

    def right(self, *, unfold: bool = False) -> None:
        """Show how often the forecast was right, piece by piece.

        Parameters
        ----------
        unfold : bool, default False
            Also the figures by elapsed time, cut and wrap, against hours per pound.
        """
        found = self.found.tally
        # A cook's name begins with its date.
        laid = tuple(_without(table, "date") for table in tallywords.tables(found))
        self._show(
            tallywords.headline(found),
            *tallywords.cannot_say(found),
            *(laid if unfold else laid[-1:]),
        )

    def learned(self) -> None:
        """Show what was learned of pits and cuts."""
        table = learned_table(self.found.learned, self.found.units)
        words = widening_line(self.found.learned)
        if not table.rows:
            words = "Nothing was learned yet: stallwise learn goes through the finished cooks."
        self._show(words, table)

    def spent(self) -> None:
        """Show what the cooks cost, as far as their prices are known."""
        self._show(*yearwords.spending_words(self.found), yearwords.spent_table(self.found))


def _without(table: Table, name: str) -> Table:
    """Take a column out of a table that has it."""
    if name not in table.header:
        return table
    at = table.header.index(name)
    header, *rows = ((*row[:at], *row[at + 1 :]) for row in (table.header, *table.rows))
    return replace(table, header=header, rows=tuple(rows))


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(microsecond=0)
