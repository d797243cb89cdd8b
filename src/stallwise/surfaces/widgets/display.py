"""Showing things in a notebook: a panel to a person, a picture to anyone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stallwise.joins.tables import Table
    from stallwise.pictures.charts import Picture

__all__ = ["on_paper", "show_panel", "show_picture", "show_table"]

_OPEN = re.compile(r'(<svg[^>]*viewBox="0 0 (\d+) (\d+)"[^>]*>)')


def show_panel(widget: Any, words: str, *, script: str = "") -> None:
    """Display a panel; `words` stand where no panel can be drawn, `script` helps the page."""
    from IPython.display import display

    if script:
        display({"application/javascript": script, "text/plain": ""}, raw=True)
    view = {"version_major": 2, "version_minor": 0, "model_id": widget.model_id}
    display({"application/vnd.jupyter.widget-view+json": view, "text/plain": words}, raw=True)


def show_picture(picture: Picture) -> None:
    """Display a picture with its finding as plain text."""
    from IPython.display import display

    display({"image/svg+xml": on_paper(picture.svg), "text/plain": picture.finding}, raw=True)


def show_table(table: Table) -> None:
    """Display a table, with its columns of text for where no markup is shown."""
    from IPython.display import display

    from stallwise.joins.tables import as_text
    from stallwise.surfaces.widgets import html

    display(
        {"text/html": _CELL.sub(_LEFT, html.table(table)), "text/plain": as_text(table)}, raw=True
    )


#: JupyterLab lays numbers and words to the right; a cell's own style is all that it lets stand.
_CELL, _LEFT = re.compile(r"<(t[hd]|caption)(?=[ >])"), r'<\1 style="text-align: left"'


def on_paper(svg: str) -> str:
    """Lay white paper under a picture in the light palette: the viewer's theme is not known."""
    return _OPEN.sub(r'\1<rect width="\2" height="\3" fill="#ffffff"/>', svg, count=1)
