"""Side-by-sides on a page: the paragraph, the dots, what the eye counted, numbers behind a fold."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from stallwise.joins.result import Result
from stallwise.joins.tables import Table
from stallwise.joins.taste.tastewords import also_words, behind, count_words, headline, paragraph
from stallwise.pictures.charts import NARROW, WIDE, tasted_picture
from stallwise.surfaces.journal.addresses import plain_name

__all__ = ["Tasted", "TrialLine", "tasted"]


@dataclass(frozen=True)
class TrialLine:
    """What lists tell of a trial: its file, what was asked, and what came of it."""

    file: str
    question: str
    headline: str


@dataclass(frozen=True)
class Tasted:
    """One trial as it is read.

    Attributes
    ----------
    file : str
        Of its own page, from the journal's folder.
    question, headline : str
    said : tuple of str
        The sentences behind the headline.
    wide, narrow : Markup or None
        The dots; none where there are none.
    table : Table
        The same as rows.
    seen, also, doubts : tuple of str
        What the eye counted, what else was asked, what did not fit.
    behind : Table
        Every number.
    """

    file: str
    question: str
    headline: str
    said: tuple[str, ...]
    wide: Markup | None
    narrow: Markup | None
    table: Table
    seen: tuple[str, ...]
    also: tuple[str, ...]
    doubts: tuple[str, ...]
    behind: Table


def tasted(result: Result) -> tuple[Tasted, ...]:
    """Put the trials of a Result, already without what is kept back, into words and pictures."""
    found = []
    for n, one in enumerate(result.trials, 1):
        wide = tasted_picture(one, dark=None, width=WIDE, prefix=f"tasted-{n}-wide")
        narrow = tasted_picture(one, dark=None, width=NARROW, prefix=f"tasted-{n}-narrow")
        drawn = one.dots is not None
        said = paragraph(one, result.units)
        found.append(
            Tasted(
                file=f"trials/{plain_name(one.name, told_apart=True)}.html",
                question=one.question,
                headline=headline(one),
                said=said[1:],
                wide=Markup(wide.svg) if drawn else None,  # noqa: S704 - ours, its words escaped by ink
                narrow=Markup(narrow.svg) if drawn else None,  # noqa: S704
                table=Table("What each taster said", *wide.table, "trials"),
                seen=tuple(map(count_words, one.counts)),
                also=tuple(map(also_words, one.also)),
                doubts=one.doubts,
                behind=behind(one),
            )
        )
    return tuple(found)
