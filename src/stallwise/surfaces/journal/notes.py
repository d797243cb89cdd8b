"""The cook's own words as HTML: Markdown without HTML and without pictures."""

from __future__ import annotations

from functools import cache

from markdown_it import MarkdownIt
from markupsafe import Markup

__all__ = ["as_html"]


@cache
def _reader() -> MarkdownIt:
    # Pictures would fetch, and HTML would be a stranger's page inside ours.
    reader = MarkdownIt("commonmark", {"html": False, "linkify": False}).enable("table")
    return reader.disable(["image", "html_block", "html_inline"])


def as_html(text: str) -> Markup:
    """Render notes.

    Parameters
    ----------
    text : str
        Markdown as the cook wrote it.

    Returns
    -------
    Markup
        HTML in which every heading stands under the page's own.

    Examples
    --------
    >>> str(as_html("**More** <b>smoke</b>")).strip()
    '<p><strong>More</strong> &lt;b&gt;smoke&lt;/b&gt;</p>'
    """
    reader = _reader()
    tokens = reader.parse(text)
    for token in tokens:
        if token.type in {"heading_open", "heading_close"}:
            token.tag = "h3"
        for child in token.children or ():
            if child.type == "link_open":
                child.attrSet("rel", "noopener noreferrer nofollow")
    return Markup(reader.renderer.render(tokens, reader.options, {}))  # noqa: S704 - HTML is off
