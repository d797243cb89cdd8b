"""Something to be read in a notebook, as a panel: words, tables, pictures, one below the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ipywidgets as ui

from stallwise.joins.tables import Table
from stallwise.pictures.charts import NARROW, WIDE, Picture
from stallwise.surfaces.widgets import html

__all__ = ["Drawn", "Part", "reading_panel"]

#: Draws a picture so wide [px], its ids beginning with a prefix.
Drawn = Callable[[int, str], Picture]

#: Words, a table, or a picture.
Part = str | Table | Drawn


def reading_panel(parts: Sequence[Part]) -> ui.VBox:
    """Show parts in a panel; the first words stand as its headline.

    Parameters
    ----------
    parts : sequence of str, Table or callable
        In the order in which they are read. Words alone are a paragraph each.
    """
    made = [_made(number, part) for number, part in enumerate(parts)]
    panel = ui.VBox([html.dress(), html.show(html.joined(made))])
    panel.add_class("sw")
    return panel


def _made(number: int, part: Part) -> html.Safe:
    if isinstance(part, str):
        return html.element("p", html.unbroken(part), class_="" if number else "sw-headline")
    if isinstance(part, Table):
        return html.table(part, class_="sw-read")
    wide, narrow = (part(width, f"p{number}-{width}") for width in (WIDE, NARROW))
    return html.joined(
        (html.picture(wide, class_="sw-if-wide"), html.picture(narrow, class_="sw-if-narrow"))
    )
