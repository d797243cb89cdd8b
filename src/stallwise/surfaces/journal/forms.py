"""The forms that pages are filled into: ours alone, everything in them escaped."""

from __future__ import annotations

import functools
import re

import jinja2

from stallwise.ground import assets

__all__ = ["form"]

#: A quantity or a length of time, with the spaces inside it.
_QUANTITY = re.compile(r"(?<=\d) (?=(?:h|min|g|kg|lb|oz|ft|m|ml|°[CF]|%)\b|%)|(?<= h) (?=\d)")


def form(name: str) -> jinja2.Template:
    """Open a form by its name."""
    return _room().get_template(name)


@functools.cache
def _room() -> jinja2.Environment:
    loader = jinja2.FunctionLoader(lambda name: assets.read_text("templates", "journal", name))
    room = jinja2.Environment(
        loader=loader,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    room.filters["whole"] = _whole
    return room


def _whole(text: str) -> str:
    """Keep ``4 h 50`` and ``66 °F`` in one line where a cell is narrow."""
    return _QUANTITY.sub("\N{NO-BREAK SPACE}", text)
