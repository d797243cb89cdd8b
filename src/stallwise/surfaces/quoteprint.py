"""A quote to hand over, on one page: what is served to how many when, and the price; no costs."""

from __future__ import annotations

from stallwise.ground import units
from stallwise.ground.money import format_money
from stallwise.joins.crowd.quote import CrowdQuote
from stallwise.joins.crowd.quotewords import HEADING_WORDS, guest_words
from stallwise.joins.result import Result
from stallwise.joins.words import day_clock
from stallwise.surfaces.paper import long_day, paper_named, template

__all__ = ["quote_html"]


def quote_html(found: CrowdQuote, result: Result, *, note: str = "", paper: str = "a4") -> str:
    """Make the page of a quote.

    Parameters
    ----------
    found : CrowdQuote
    result : Result
        The same cook as answered.
    note : str
        The cook's own words, at its end.
    paper : {"a4", "letter"}

    Returns
    -------
    str
        HTML that fetches nothing. What is not known is a line to write on.
    """
    names = {piece.piece: f"{piece.name}, {_done(piece.finish)}" for piece in result.pieces}
    per_head = found.quoted if found.quoted is not None else found.sums.per_head
    plates = max(found.guests.plates, 1)
    return template("quote.html").render(
        title=found.title,
        day=long_day(found.date),
        guests=guest_words(found),
        servings=[
            (day_clock(at, found.date), list(dict.fromkeys(names[letter] for letter in letters)))
            for at, letters in found.servings
        ],
        plate=units.format_mass(found.need_kg / plates, found.units),
        per_head=_money(per_head, 1, found),
        in_all=_money(per_head, found.guests.heads, found),
        included=[HEADING_WORDS[line.heading] for line in found.lines if line.heading != "other"],
        allergens=_allergens(result),
        note=note,
        sample=result.sample,
        paper=paper_named(paper),
    )


def _money(per_head: float | None, heads: int, found: CrowdQuote) -> str | None:
    """Price for so many, by that for a head as it is written; None where no price is made."""
    if per_head is None or found.margin is None:
        return None
    return format_money(round(per_head, 2) * heads, found.money)


def _done(finish: str) -> str:
    return {"pull": "pulled", "slice": "sliced"}.get(finish, finish)


def _allergens(result: Result) -> list[tuple[str, str]]:
    """Rubs and sauces with what they hold, by the words of the cookbook's side of the sea."""
    us = result.units == "us"
    return [
        (mix.name, (mix.allergens_us if us else mix.allergens_eu) or "none known")
        for mix in result.mixes
    ]
