"""Temperature sheet and allergen card on paper: one HTML page each, any browser prints it."""

from __future__ import annotations

import jinja2

from stallwise.ground import assets
from stallwise.ground.errors import NotFoundError
from stallwise.joins.limitcards import allergen_rows, card_words, temperature_rows
from stallwise.joins.limitwords import DEFERS
from stallwise.record.cook import CookRecord
from stallwise.surfaces.sheetprint import PAPERS

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
    return _template("temperatures.html").render(
        title=record.cook.title,
        day=_day(record),
        rows=temperature_rows(record),
        looks=range(_LOOKS),
        defers=DEFERS,
        paper=_paper(paper),
    )


def allergen_html(record: CookRecord, *, paper: str = "a4") -> str:
    """Make the allergen card of a cook.

    Parameters
    ----------
    record, paper
        As for `temperature_html`.
    """
    return _template("allergens.html").render(
        title=record.cook.title,
        day=_day(record),
        rows=allergen_rows(record),
        words=card_words(record),
        paper=_paper(paper),
    )


def _day(record: CookRecord) -> str:
    date = record.cook.date
    return f"{date:%A} {date.day} {date:%B %Y}"


def _paper(name: str) -> object:
    if name not in PAPERS:
        raise NotFoundError("paper", name, PAPERS)
    return PAPERS[name]


def _template(name: str) -> jinja2.Template:
    # Templates come from the package only, never from a cook's folder.
    names = (name, "card.css")
    shelf = jinja2.DictLoader({one: assets.read_text("templates", "print", one) for one in names})
    shop = jinja2.Environment(
        loader=shelf,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return shop.get_template(name)
