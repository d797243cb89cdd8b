"""Handing a sheet or a calendar out, and keeping what it said for the next one."""

from __future__ import annotations

from collections.abc import Callable

from stallwise.joins.result import Result
from stallwise.joins.sheet.calendar import calendar_file
from stallwise.joins.sheet.sheetchanges import printed_now
from stallwise.record.cookfolder import CookFolder
from stallwise.record.handouts import handout, handout_or_warning, keep_handout

__all__ = ["give_calendar", "give_sheet"]

Write = Callable[[str], None]


def give_calendar(folder: CookFolder, result: Result, write: Write, *, reader: str = "") -> None:
    """Write a calendar file that takes the place of the one before.

    Parameters
    ----------
    folder : CookFolder
        Where what it says is kept, once it is written.
    result : Result
        The cook as answered.
    write : callable
        Takes the text.
    reader : str, optional
        Whose steps; all of them by default.

    Raises
    ------
    InputError
        What was kept of the last one is spoilt: a calendar would take the new one for an old one.
    """
    made = calendar_file(result, earlier=handout(folder, "calendar"), reader=reader)
    write(made.text)
    keep_handout(folder, "calendar", made.given)


def give_sheet(folder: CookFolder, result: Result, text: str, write: Write) -> None:
    """Write a sheet to print, and keep what stands on it, so that the next one marks what is new.

    Parameters
    ----------
    folder, result, write
        As for `give_calendar`.
    text : str
        The sheet.
    """
    write(text)
    before, _ = handout_or_warning(folder, "printed")
    keep_handout(folder, "printed", printed_now(result, before))
