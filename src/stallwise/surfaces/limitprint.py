"""Temperature sheet and allergen card on paper: one HTML page each, any browser prints it."""

from __future__ import annotations

from stallwise.joins.limitcards import allergen_rows, card_words, temperature_rows
from stallwise.joins.limitwords import DEFERS
from stallwise.record.cook import CookRecord
from stallwise.surfaces.paper import long_day, paper_named, template

__all__ = ["allergen_html", "temperature_html"]

#: Pairs of clock and reading to write in, for each line.
_LOOKS = 5


def temperature_html(record: CookRecord, *, paper: str = "a4") -> str:
    """Make the temperature sheet of a cook.

    Parameters
    ----------
    record : CookRecord
        The cook.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing: what each piece has to reach by which rule, and room to write.
    """
    return template("temperatures.html").render(
        title=record.cook.title,
        day=long_day(record.cook.date),
        rows=temperature_rows(record),
        looks=range(_LOOKS),
        defers=DEFERS,
        paper=paper_named(paper),
    )


def allergen_html(record: CookRecord, *, paper: str = "a4") -> str:
    """Make the allergen card of a cook.

    Parameters
    ----------
    record, paper
        As for `temperature_html`.
    """
    return template("allergens.html").render(
        title=record.cook.title,
        day=long_day(record.cook.date),
        rows=allergen_rows(record),
        words=card_words(record),
        paper=paper_named(paper),
    )
