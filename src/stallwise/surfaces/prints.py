"""Which print and which text belong to whose sheet: one registry for command and panel."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from stallwise.ground.errors import NotFoundError
from stallwise.joins.result import Result
from stallwise.surfaces.minutesprint import minutes_html, minutes_text
from stallwise.surfaces.nightprint import night_html, night_text
from stallwise.surfaces.sheetprint import sheet_html
from stallwise.surfaces.sheettext import sheet_text
from stallwise.surfaces.shotprint import shots_html, shots_text

__all__ = ["PRINTS", "print_of", "text_of"]

#: Whose sheet, what that is called, and how it is printed and told; the rest is a day sheet.
PRINTS: Mapping[str, str] = {
    "": "Day sheet",
    "pit": "A sheet for each pit",
    "person": "A sheet for each person",
    "night": "Night card",
    "serving": "The last 45 minutes",
    "camera": "Shot list",
}
_PRINTED: Mapping[str, Callable[..., str]] = {
    "night": night_html,
    "serving": minutes_html,
    "camera": shots_html,
}
_TOLD: Mapping[str, Callable[[Result], str]] = {
    "night": night_text,
    "serving": minutes_text,
    "camera": shots_text,
}


def print_of(result: Result, *, reader: str = "", paper: str = "a4") -> str:
    """Give the page to print of one reader.

    Parameters
    ----------
    result : Result
        The cook as answered.
    reader : str
        A key of `PRINTS`.
    paper : {"a4", "letter"}
        Size of the paper.

    Raises
    ------
    NotFoundError
        No such reader or paper.
    """
    if _known(reader) in _PRINTED:
        return _PRINTED[reader](result, paper=paper)
    return sheet_html(result, paper=paper, reader=reader)


def text_of(result: Result, *, reader: str = "") -> str:
    """Give the plain text of one reader's sheet; as for `print_of`."""
    if _known(reader) in _TOLD:
        return _TOLD[reader](result)
    return sheet_text(result, reader=reader)


def _known(reader: str) -> str:
    if reader not in PRINTS:
        raise NotFoundError("reader of a day sheet", reader, filter(None, PRINTS))
    return reader
