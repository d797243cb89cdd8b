"""The one place where markup for a notebook is made.

Markup in an HTML widget runs with the kernel's power, so nothing reaches one but what was
built here: text that was escaped, tags from a short list, and pictures from
`stallwise.pictures`.
"""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Collection, Iterable
from functools import cache

from ipywidgets import HTML

from stallwise.ground import assets
from stallwise.joins.tables import Table
from stallwise.pictures.bark import slice_picture
from stallwise.pictures.charts import Picture
from stallwise.pictures.ink import COLOURS

__all__ = [
    "Safe",
    "bark",
    "element",
    "joined",
    "picture",
    "show",
    "style",
    "table",
    "text",
    "thickness",
]

_TAGS = frozenset(
    [
        "p",
        "div",
        "span",
        "strong",
        "em",
        "ul",
        "ol",
        "li",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "details",
        "summary",
        "pre",
        "h3",
        "h4",
    ]
)
_ATTRIBUTES = frozenset(
    ("class", "role", "scope", "title", "colspan", "data-asked", "data-shown", "data-state")
)
_SPAN = re.compile(r"(?<=\d)–(?=\d)")
_MEASURE = re.compile(r"\d (?:(?:h(?: \d\d)?|min|lb(?: \d+ oz)?|oz|kg|g|°[CF])\b|%)")
_DAY = re.compile(r"\b\d{1,2} [A-Z][a-z]+ \d{4}\b")
_CLASS = re.compile(r"[a-z0-9 -]*")


class Safe(str):
    """Markup that was made in this file."""

    __slots__ = ()


def text(words: object) -> Safe:
    """Escape any text."""
    return Safe(html.escape(str(words), quote=True))


def unbroken(words: str) -> str:
    """Keep a number and its unit on one line, a span with both its ends, and a day in one piece."""
    whole = words
    for kept in (_MEASURE, _DAY):
        whole = kept.sub(lambda match: match[0].replace(" ", "\N{NO-BREAK SPACE}"), whole)
    return _SPAN.sub("\N{WORD JOINER}–\N{WORD JOINER}", whole)


def element(tag: str, *content: str, **attributes: str) -> Safe:
    """Make one element; content that is not `Safe` is escaped.

    Parameters
    ----------
    tag : str
        One of a short list; no scripts, links, forms or images.
    *content : str
        Text or `Safe` markup.
    **attributes : str
        ``class_``, ``role``, ``scope``, ``title``, ``colspan``, ``data_asked``, ``data_shown``,
        ``data_state``.
    """
    if tag not in _TAGS:
        raise ValueError(tag)
    said = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-")
        if name not in _ATTRIBUTES or (name == "class" and not _CLASS.fullmatch(value)):
            raise ValueError(name)
        if value:
            said.append(f' {name}="{html.escape(value, quote=True)}"')
    return Safe(f"<{tag}{''.join(said)}>{joined(content)}</{tag}>")


def joined(parts: Iterable[str]) -> Safe:
    """Join parts; those that are not `Safe` are escaped."""
    return Safe("".join(part if isinstance(part, Safe) else text(part) for part in parts))


def table(content: Table, *, class_: str = "", without: Collection[str] = ()) -> Safe:
    """Make a table with its caption; columns that are empty throughout are left out.

    Parameters
    ----------
    content : Table
        Caption, header and rows of text.
    class_ : str
        Class of the table.
    without : collection of str
        Columns that say nothing here, such as the piece where there is one only.
    """
    if not content.rows:
        return Safe("")
    if not any(content.header):
        return joined(
            element("p", unbroken(" ".join(row)), class_="sw-soft") for row in content.rows
        )
    columns = list(zip(content.header, *content.rows, strict=True))
    keep = [n for n, (head, *cells) in enumerate(columns) if any(cells) and head not in without]
    head = element("tr", *(_head(content.header[n]) for n in keep))
    rows = [
        element(
            "tr",
            *(
                element("th", unbroken(row[n]), scope="row")
                if n == _row_head(content, keep)
                else element("td", unbroken(row[n]))
                for n in keep
            ),
            class_="sw-next" if _of_another(content, keep, at) else "",
        )
        for at, row in enumerate(content.rows)
    ]
    whole = element(
        "table",
        element("caption", content.caption),
        element("thead", head),
        element("tbody", *rows),
        class_=f"sw-table {class_}".strip(),
    )
    return element("div", whole, class_="sw-scroll")


def picture(drawn: Picture, *, class_: str = "") -> Safe:
    """Lay out a picture from the charts; it carries its finding for those who cannot see it."""
    return element("div", Safe(drawn.svg), class_=f"sw-picture {class_}".strip())


#: Half height of a piece seen from the side, by its word.
_HEIGHTS = {"thin": 5, "usual": 9, "thick": 14}


def thickness(chosen: str) -> Safe:
    """Draw a thin, a usual and a thick piece from the side, each over its button."""
    shapes = []
    for number, (name, half) in enumerate(_HEIGHTS.items()):
        state = "sw-chosen" if name == chosen else "sw-other"
        shapes.append(
            f'<rect class="{state}" x="{12 + number * 100}" y="{30 - 2 * half}" width="76" '
            f'height="{2 * half}" rx="{half * 0.9:g}"/>'
        )
    said = f"from the side: {chosen or 'as measured'}"
    return Safe(
        '<svg class="sw-thickness" viewBox="0 0 300 34" role="img" '
        f'aria-label="{text(said)}"><path d="M2 31h296"/>{"".join(shapes)}</svg>'
    )


def snapshot(jpeg: bytes, said: str) -> Safe:
    """Show a small picture that was rebuilt from pixels; `said` is read where it is not seen."""
    if not jpeg.startswith(b"\xff\xd8\xff"):
        raise ValueError("only a JPEG made here may be shown")
    data = base64.b64encode(jpeg).decode()
    return Safe(
        f'<svg class="sw-snapshot-small" viewBox="0 0 120 90" role="img" aria-label="{text(said)}">'
        f'<image href="data:image/jpeg;base64,{data}" width="120" height="90"/></svg>'
    )


def bark(word: str) -> Safe:
    """Draw how dark a bark of this word is, beside its label."""
    return Safe(slice_picture(word))


@cache
def style() -> Safe:
    """Style sheet of every panel, in JupyterLab's own colours, light and dark."""
    pairs = list(COLOURS.values())
    light = "".join(f"{name}:{day};" for name, day, _ in pairs)
    dark = "".join(f"{name}:{night};" for name, _, night in pairs)
    rules = assets.read_text("templates", "notebooks", "panels.css")
    return Safe(
        f"<style>.sw{{{light}}}body[data-jp-theme-light='false'] .sw{{{dark}}}\n{rules}</style>"
    )


@cache
def dress() -> HTML:
    """Style sheet as a widget, one for all panels: whichever is shown first brings it."""
    return show(style())


def show(markup: Safe, *classes: str) -> HTML:
    """Make an HTML widget; anything but `Safe` is refused."""
    widget = HTML(_checked(markup))
    for name in classes:
        widget.add_class(name)
    return widget


def put(widget: HTML, markup: Safe) -> None:
    """Change what an HTML widget shows; anything but `Safe` is refused."""
    widget.value = _checked(markup)


def _checked(markup: Safe) -> Safe:
    if not isinstance(markup, Safe):
        raise TypeError("only markup made in widgets/html.py may be shown")
    return markup


def _head(words: str) -> Safe:
    # A heading that says nothing is none: who has it read out would hear of an empty one.
    return element("th", words, scope="col") if words else element("td")


def _of_another(content: Table, keep: list[int], at: int) -> bool:
    """Whether a row is of another piece than the one above it."""
    if not at or "piece" not in content.header or content.header.index("piece") not in keep:
        return False
    piece = content.header.index("piece")
    return content.rows[at][piece] != content.rows[at - 1][piece]


def _row_head(content: Table, keep: list[int]) -> int:
    """Column that names a row: the one called so, else the first."""
    for name in ("stage", "how sure", "ingredient", "do", "what"):
        if name in content.header and content.header.index(name) in keep:
            return content.header.index(name)
    return keep[0]
