"""One published cook as lists, feed and search tell of it: public words only."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.surfaces.journal.addresses import folded
from stallwise.surfaces.journal.counted import counted
from stallwise.surfaces.journal.mademix import MadeMix
from stallwise.surfaces.journal.photos import Photo
from stallwise.surfaces.journal.piecelines import PieceLine
from stallwise.surfaces.journal.tasted import TrialLine
from stallwise.surfaces.journal.view import Page

__all__ = ["Entry", "Thumb", "entry_of"]

#: Words of notes and tasting that search looks through, at most so many letters.
_WORDS = 800
#: Shorter words tell nothing.
_SHORT = 4


@dataclass(frozen=True)
class Thumb:
    """Small photo of a list: its file from the journal's folder, width and height [px]."""

    file: str
    width: int
    height: int


@dataclass(frozen=True)
class Entry:
    """Line of a list, and what is kept of a page between two publishings.

    Attributes
    ----------
    slug, name : str
        Of the page's file and of the cook's folder.
    title, date, day, subtitle, outcome, next_time : str
        `date` as year-month-day, `day` in words.
    sample, planned : bool
    thumb : Thumb or None
    cuts : tuple of (str, str)
        Key and name.
    mixes : tuple of MadeMix
    pieces : tuple of PieceLine
    trials : tuple of TrialLine
    tallied : mapping or None
        Its forecasts, held against what happened, as `counted` gives them: read only where they are
        added up.
    tags : tuple of str
    words : str
        Of notes and tasting, folded, for the search.
    files : tuple of str
        Every file of the page, photos among them.
    digest : str
        Of the page as rendered, by which a change is told.
    updated : str
        When that last changed (RFC 3339).
    beside : str
        What the page says of its neighbours.
    basis : str
        What it was made of, as in `stallwise.surfaces.journal.basis`; empty where it is made each time.
    """

    slug: str
    name: str
    title: str
    date: str
    day: str
    subtitle: str
    outcome: str
    next_time: str
    sample: bool
    planned: bool
    thumb: Thumb | None
    cuts: tuple[tuple[str, str], ...]
    mixes: tuple[MadeMix, ...]
    tags: tuple[str, ...]
    words: str
    files: tuple[str, ...]
    pieces: tuple[PieceLine, ...] = ()
    trials: tuple[TrialLine, ...] = ()
    tallied: Mapping[str, Any] | None = None
    digest: str = ""
    updated: str = ""
    beside: str = ""
    basis: str = ""

    @property
    def page(self) -> str:
        """File of the page."""
        return f"cooks/{self.slug}.html"

    @property
    def short_day(self) -> str:
        """Day for a narrow column: ``18 Jul 2026``."""
        try:
            day = dt.date.fromisoformat(self.date)
        except ValueError:
            return self.date
        return f"{day.day} {day:%b %Y}"

    def rendered(self, digest: str) -> Entry:
        """Give the same with the mark of its page."""
        return dataclasses.replace(self, digest=digest)

    def beside_now(self, told: str) -> Entry:
        """Give the same with other neighbours."""
        return dataclasses.replace(self, beside=told)

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return dataclasses.asdict(dataclasses.replace(self, tallied=None)) | {
            "tallied": self.tallied
        }

    @classmethod
    def from_plain(cls, slug: str, held: object) -> Entry | None:
        """Read what `plain` gave; None for what has another shape."""
        try:
            return _read(slug, held)
        except (KeyError, TypeError, ValueError):
            return None


def entry_of(page: Page, name: str, photos: tuple[Photo, ...]) -> Entry:
    """Take from a page what lists tell of it."""
    thumb = None
    if page.lead:
        size = page.lead.nearest(300)
        thumb = Thumb(f"photos/{page.slug}/{size.file}", size.width, size.height)
    pictures = [f"photos/{page.slug}/{size.file}" for photo in photos for size in photo.sizes]
    taken = [f"files/{page.slug}/{one.file}" for one in page.downloads]
    taken += [one.file for one in page.tasted]
    taken += [f"files/{page.slug}/{page.preview}"] if page.preview else []
    return Entry(
        slug=page.slug,
        name=name,
        title=page.cook.title,
        date=page.cook.date.isoformat(),
        day=page.day,
        subtitle=page.subtitle,
        outcome=page.outcome,
        next_time=page.cook.next_time,
        sample=page.cook.sample,
        planned=page.planned,
        thumb=thumb,
        cuts=page.cuts,
        # What is told of a mix on the cook's own page is not said again on the mix's.
        mixes=tuple(dataclasses.replace(mix, own=(), notes=()) for mix in page.mixes),
        pieces=page.pieces,
        trials=tuple(TrialLine(one.file, one.question, one.headline) for one in page.tasted),
        tallied=counted(page.tallied),
        tags=page.cook.tags,
        words=_telling(f"{page.cook.notes} {page.cook.tasting}"),
        files=tuple(sorted({f"cooks/{page.slug}.html", *pictures, *taken})),
    )


def _telling(text: str) -> str:
    words = dict.fromkeys(word.strip(".,;:!?()[]*_#>\"'`|-") for word in folded(text).split())
    kept = " ".join(word for word in words if len(word) >= _SHORT)
    return kept[:_WORDS].rpartition(" ")[0] if len(kept) > _WORDS else kept


def _read(slug: str, held: Any) -> Entry:
    thumb = held["thumb"]
    return Entry(
        slug=slug,
        **{key: _text(held[key]) for key in ("name", "title", "date", "day", "subtitle")},
        **{key: _text(held.get(key, "")) for key in ("outcome", "next_time", "words", "digest")},
        **{key: _text(held.get(key, "")) for key in ("updated", "beside", "basis")},
        sample=bool(held["sample"]),
        planned=bool(held.get("planned", False)),
        thumb=None
        if thumb is None
        else Thumb(_text(thumb["file"]), int(thumb["width"]), int(thumb["height"])),
        cuts=tuple((_text(key), _text(name)) for key, name in held.get("cuts", ())),
        mixes=tuple(_read_mix(mix) for mix in held.get("mixes", ()) if "grams" in mix),
        pieces=tuple(PieceLine(**_fields(PieceLine, one)) for one in held.get("pieces", ())),
        trials=tuple(TrialLine(**_fields(TrialLine, one)) for one in held.get("trials", ())),
        tallied=held.get("tallied"),
        tags=_texts(held.get("tags", ())),
        files=_texts(held["files"]),
    )


def _read_mix(held: Mapping[str, Any]) -> MadeMix:
    return MadeMix(
        key=_text(held["key"]),
        name=_text(held["name"]),
        kind=_text(held["kind"]),
        header=_texts(held["header"]),
        rows=tuple(_texts(row) for row in held["rows"]),
        made_for=_text(held["made_for"]),
        caption=_text(held["caption"]),
        grams=tuple(float(each) for each in held["grams"]),
        allergens=_text(held.get("allergens", "")),
    )


def _fields(kind: type, held: Mapping[str, Any]) -> dict[str, str]:
    return {field.name: _text(held[field.name]) for field in dataclasses.fields(kind)}


def _texts(held: Any) -> tuple[str, ...]:
    if isinstance(held, str):
        raise TypeError(held)
    return tuple(_text(one) for one in held)


def _text(held: Any) -> str:
    if not isinstance(held, str):
        raise TypeError(held)
    return held
