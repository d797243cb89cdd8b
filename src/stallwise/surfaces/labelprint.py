"""Labels for jars and leftovers on paper: to cut out, two beside each other."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.joins.limit.limitresult import Label
from stallwise.joins.result import Result
from stallwise.surfaces.paper import long_day, paper_named, template

__all__ = ["labels_html"]

#: Labels on a page, and blank ones at least.
_PAGE, _BLANK = 8, 2


def labels_html(result: Result, *, paper: str = "a4") -> str:
    """Make labels for the jars of a cook and for what is left of its meat.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing: what it is, since when, until when by which rule or room to
        write it, allergens by the tables. Blank ones are for what nobody thought of.
    """
    return template("labels.html").render(
        title=result.title,
        day=long_day(result.date),
        pages=_pages(result.cards.labels),
        paper=paper_named(paper),
    )


def _pages(labels: Sequence[Label]) -> list[list[Label | None]]:
    """Fill pages, the last one with blank labels."""
    blank = _BLANK + -(len(labels) + _BLANK) % _PAGE
    whole: list[Label | None] = [*labels, *[None] * blank]
    return [whole[start : start + _PAGE] for start in range(0, len(whole), _PAGE)]
