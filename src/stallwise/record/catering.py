"""Terms of a quote in ``cook.toml``, and afterwards what it came to."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from stallwise.record.fields import Duration, Fraction, Text, collected
from stallwise.record.table import Table

__all__ = ["HEADINGS", "Heading", "Money", "Quote"]

Heading = Literal["meat", "kitchen", "fuel", "work", "hire", "travel", "disposables", "other"]
#: What a crowd is paid for, in the order in which it is told.
HEADINGS: tuple[Heading, ...] = (
    "meat",
    "kitchen",
    "fuel",
    "work",
    "hire",
    "travel",
    "disposables",
    "other",
)


def _money(text: str) -> str:
    from stallwise.ground.money import parse_money  # late: few cooks have a quote

    parse_money(text)
    return text


#: An amount of money, as written: ``"$140"``, ``"140 EUR"``.
Money = Annotated[str, AfterValidator(collected(_money))]


class Quote(Table):
    """What a quote goes by: ``[quote]`` with ``margin = "25 %"``, ``wage = "$18"`` an hour.

    `hours` are those that are paid; those of the day sheet when not said. `without` names headings that
    this crowd has none of, so that they are not blank. `liked` says, by cut, how many of those who take
    one meat take it. `quoted` is the price for a head that was given out. Afterwards: `came` (all heads), `worked`, and what was `paid`, by heading.
    """

    no_shows: Fraction | None = None
    margin: Fraction | None = None
    wage: Money | None = None
    hours: Duration | None = None
    without: list[Heading] = []
    liked: dict[str, Fraction] = {}
    note: Text | None = None
    quoted: Money | None = None
    came: Annotated[int, Field(ge=1, le=100_000)] | None = None
    worked: Duration | None = None
    paid: dict[Heading, Money] = {}
