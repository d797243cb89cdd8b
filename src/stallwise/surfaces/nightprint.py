"""The night card on paper: what to set, when to get up, and what to do then; one side by the bed."""

from __future__ import annotations

import datetime as dt

from stallwise.joins import words
from stallwise.joins.instants import clock_change
from stallwise.joins.nightresult import NightCard
from stallwise.joins.nightwords import alarm_at, look_clock, names_of, night_lines
from stallwise.joins.result import Result
from stallwise.surfaces.paper import long_day, paper_named, template
from stallwise.surfaces.sheetprint import sheet_html
from stallwise.surfaces.sheettext import sheet_text, wrapped

__all__ = ["night_html", "night_text"]

#: Lines to write on at most.
_BLANKS = 6


def night_html(result: Result, *, paper: str = "a4") -> str:
    """Make the card of the night watch.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing. A cook on which nobody sleeps has its steps by night as a sheet.
    """
    night = result.night
    if night is None:
        return sheet_html(result, paper=paper, reader="night")
    return template("night.html").render(
        title=result.title,
        day=_when(night, result),
        change=clock_change([night.begins, night.ends]),
        looks=[
            (look_clock(look, result), look.what, names_of(look.who, result))
            for look in night.looks
        ],
        alarms=[(one.whose, alarm_at(one, result.units), one.why) for one in night.alarms],
        lines=night.lines,
        shifts=_shifts(night, result),
        caution=night.caution,
        blanks=max(0, _BLANKS - len(night.looks)),
        paper=paper_named(paper),
    )


def night_text(result: Result) -> str:
    """Write the same as plain text."""
    if result.night is None:
        return sheet_text(result, reader="night")
    return wrapped([result.title, *night_lines(result)])


def _when(night: NightCard, result: Result) -> str:
    begins, ends = (_clock(at, result) for at in (night.begins, night.ends))
    return f"{begins} to {ends} · {long_day(result.date)}"


def _clock(at: dt.datetime, result: Result) -> str:
    return words.day_clock(at, result.date)


def _shifts(night: NightCard, result: Result) -> str:
    return "; ".join(
        f"{names_of(who, result)} {_clock(begins, result)} to {_clock(ends, result)}"
        for who, begins, ends in night.shifts
    )
