"""What the plan panel says of one answer: in a line, in a picture, in tables."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stallwise.joins import tables, words
from stallwise.joins.learn.inferredwords import inferred_table
from stallwise.joins.parameters import PARAMETERS
from stallwise.joins.result import Result
from stallwise.joins.tables import Table
from stallwise.pictures.charts import NARROW, day_picture
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.dayfields import LABELS

__all__ = ["answer_html", "line_html", "pictures", "since_html", "tables_html", "unkept_html"]

#: Shorter than the words of the registry, in a sentence that is full of them.
_SHORT = {"mass": "weight", "cut": "cut", "count": "how many", "date": "day"}

#: So many pieces are each told in the line that stays in sight; more are told on their cards.
_EACH = 2

#: So many doubts stand open.
_NOTES = 4


def line_html(result: Result) -> html.Safe:
    """Say the answer in the line that stays in sight."""
    many = len(result.pieces) > 1
    said = [
        (f"{piece.piece}. " if many else "") + words.piece_headline(piece, result)
        for piece in result.pieces[:_EACH]
    ]
    if len(result.pieces) > _EACH:
        said = [f"{len(result.pieces)} pieces. {_odds(result)}"]
    return html.joined(
        html.element("p", html.unbroken(line), class_="sw-headline") for line in said
    )


def answer_html(result: Result, width: int = 0) -> html.Safe:
    """Say how sure it is, what is doubtful, and draw the day.

    Parameters
    ----------
    result : Result
        The answer.
    width : int, optional
        Room for the picture [px]; where it is not known, two are drawn and the style sheet shows
        the one that fits.
    """
    said = (
        f"{result.title}, {words.as_of_text(result)}. {_odds(result)} "
        f"{words.widening_words(result)}"
    )
    return html.joined(
        (
            html.element("p", html.unbroken(said.rstrip()), class_="sw-soft"),
            _notes(result),
            *pictures(result, width),
        )
    )


def tables_html(result: Result) -> html.Safe:
    """Lay out the stage table and what belongs to it."""
    alone = () if len(result.pieces) > 1 else ("piece",)
    return html.joined(
        (
            html.table(tables.stage_table(result), class_="sw-stages", without=alone),
            _fold(inferred_table(result), ()),
            html.table(tables.trouble_table(result), class_="sw-remedies", without=alone),
            html.table(tables.remedy_table(result), class_="sw-remedies", without=alone),
            html.table(tables.serving_table(result), class_="sw-serving", without=alone),
            _fold(tables.chance_table(result), alone, "How sure, and what it costs"),
        )
    )


def since_html(said: str, table: Table) -> html.Safe:
    """Say where the plan came from, how that cook came out, and what is different since."""
    count = len(table.rows)
    if not count:
        return html.element("p", f"From {said} Nothing is different since.", class_="sw-soft")
    summary = f"From {said} {count} thing{'s' * (count != 1)} different since."
    return html.element("details", html.element("summary", summary), html.table(table))


def unkept_html(unkept: Mapping[str, Any]) -> html.Safe:
    """Say what was changed and is not kept yet."""
    if not unkept:
        return html.text("")
    said = words.joined([_unkept(name, value) for name, value in unkept.items()])
    return html.element("p", "Not kept yet: ", html.unbroken(said), class_="sw-soft")


def _notes(result: Result) -> html.Safe:
    """List what is doubtful, what is said of several pieces once; many are folded to the first."""
    pieces: dict[str, list[str]] = {}
    for warning in result.warnings:
        pieces.setdefault(warning.text, []).append(warning.piece)
    many = len(result.pieces) > 1
    notes = []
    for text, letters in pieces.items():
        named = words.joined(sorted({letter for letter in letters if letter})) if many else ""
        notes.append(html.element("li", f"{named}: {text}" if named else text))
    if not notes:
        return html.text("")
    shown = html.element("ul", *notes[:_NOTES], class_="sw-asked")
    if len(notes) <= _NOTES:
        return shown
    more = html.element("summary", f"{len(notes) - _NOTES} more of these")
    rest = html.element("ul", *notes[_NOTES:], class_="sw-asked")
    return html.joined((shown, html.element("details", more, rest)))


def _unkept(name: str, value: object) -> str:
    if name in {"more", "less"}:
        letters = words.joined(list(str(value)))
        return f"{letters} {'put on' if name == 'more' else 'taken out'}"
    base, _, letter = name.partition("__")
    label = (_SHORT.get(base) or LABELS.get(base) or PARAMETERS[base].help).partition(",")[0]
    said = f"{label[:1].lower()}{label[1:]}" + (f" of {letter}" if letter else "")
    return f"{said} {str(value).replace('-', ' ') if base == 'cut' else value}"


def pictures(result: Result, width: int = 0, *, prefix: str = "day") -> tuple[html.Safe, ...]:
    """Draw the day for so much room [px]; where that is not known, for a page and for a phone.

    Parameters
    ----------
    result, width
        As for `answer_html`.
    prefix : str
        Put before ids, so that the pictures of two panels stand on one page.
    """
    if width:
        return (html.picture(day_picture(result, dark=None, width=width, prefix=prefix)),)
    narrow = day_picture(result, dark=None, width=NARROW, prefix=f"narrow-{prefix}")
    return (
        html.picture(day_picture(result, dark=None, prefix=prefix), class_="sw-if-wide"),
        html.picture(narrow, class_="sw-if-narrow"),
    )


def _fold(table: Table, without: tuple[str, ...], summary: str = "") -> html.Safe:
    if not table.rows:
        return html.text("")
    return html.element(
        "details",
        html.element("summary", summary or table.caption),
        html.table(table, without=without),
    )


def _odds(result: Result) -> str:
    if result.odds is None:
        return "No serving time is set."
    all_of_it = "All ready" if len(result.pieces) > 1 else "Ready"
    return f"{all_of_it} in time {words.odds_text(result.odds)}."
