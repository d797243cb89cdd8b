"""Temperature sheet and allergen card on paper: one HTML page each, any browser prints it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from stallwise.joins.limit.limitresult import TemperatureRow
from stallwise.joins.limit.limitwords import DEFERS
from stallwise.joins.result import Result
from stallwise.surfaces.paper import long_day, paper_named, template

__all__ = ["allergen_html", "temperature_html"]

#: Pairs of clock and reading to write in, for each line.
_LOOKS = 5


def temperature_html(
    title: str, day: dt.date, rows: Sequence[TemperatureRow], *, paper: str = "a4"
) -> str:
    """Make the temperature sheet of a cook.

    Parameters
    ----------
    title, day : str, date
        Of the cook.
    rows : sequence of TemperatureRow
        Of its Result, or of its limits alone: they need no forecast.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing: what each piece has to reach by which rule, and room to write.
    """
    return template("temperatures.html").render(
        title=title,
        day=long_day(day),
        rows=rows,
        looks=range(_LOOKS),
        defers=DEFERS,
        paper=paper_named(paper),
    )


def allergen_html(result: Result, *, paper: str = "a4") -> str:
    """Make the allergen card of a cook.

    Parameters
    ----------
    result : Result
        Answer to the cook.
    paper
        As for `temperature_html`.
    """
    return template("allergens.html").render(
        title=result.title,
        day=long_day(result.date),
        rows=result.cards.allergens,
        words=result.cards.allergens_open,
        paper=paper_named(paper),
    )
