"""The last 45 minutes on paper: a plain list in large letters, a side for each serving time."""

from __future__ import annotations

from stallwise.ground.errors import InputError
from stallwise.joins import words
from stallwise.joins.result import Result
from stallwise.joins.sheet.lastminutes import LastMinutes, last_minutes
from stallwise.surfaces.paper import long_day, paper_named, template
from stallwise.surfaces.sheettext import wrapped

__all__ = ["minutes_html", "minutes_text"]

#: Type size [pt]: to be read across a table; smaller for long lists, and never below a sheet's.
_SIZES = ((14, 26.0), (20, 22.0), (10_000, 18.0))


def minutes_html(result: Result, *, paper: str = "a4", verb: str = "Eat") -> str:
    """Make the list of the last 45 minutes, backwards to each serving.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.
    verb : str
        What is done at the end of a list.

    Returns
    -------
    str
        HTML that fetches nothing.

    Raises
    ------
    InputError
        No serving time is set: nothing can be counted backwards.
    """
    lists = _lists(result)
    longest = max(len(one.rows) for one in lists)
    return template("minutes.html").render(
        title=result.title,
        day=long_day(result.date),
        verb=verb,
        lists=[
            {
                "clock": words.day_clock(one.serve_at, result.date),
                "whose": words.joined(one.letters),
                "stands": one.stands,
                "rows": one.rows,
            }
            for one in lists
        ],
        size_pt=next(size for count, size in _SIZES if longest <= count),
        paper=paper_named(paper),
    )


def minutes_text(result: Result) -> str:
    """Write the same as plain text; errors as for `minutes_html`."""
    lines = []
    for one in _lists(result):
        clock = words.day_clock(one.serve_at, result.date)
        lines += [f"Eat at {clock}: {words.joined(one.letters)}"]
        lines += [f"  when it begins: {one.stands}"] if one.stands else []
        lines += [
            f"  {row.minutes:3d} min  {row.clock}  {f'{row.who}: ' if row.who else ''}{row.what}"
            + (f" ({row.by})" if row.by else "")
            for row in one.rows
        ]
    return wrapped(lines)


def _lists(result: Result) -> tuple[LastMinutes, ...]:
    lists = last_minutes(result)
    if not lists:
        raise InputError(
            "no serving time, so there are no last minutes before it",
            "a time to eat",
            'Set one: serve = "16:00" in cook.toml, or --set serve=16:00',
        )
    return lists
