"""What a contest day's cook wrote of its hand-ins, as it may be shown: picked, why, what came back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stallwise.record.schema import Cook, Number

if TYPE_CHECKING:
    from stallwise.record.handins import HandIn
    from stallwise.surfaces.journal.photos import Photo

__all__ = ["HandInLine", "PublicHandIn", "hand_in_lines", "handed_in", "number_said"]


@dataclass(frozen=True)
class PublicHandIn:
    """One hand-in of which something was written.

    Attributes
    ----------
    name, at : str
        As the cook named it, and the minute that it was due.
    picked, left : tuple of str
        Letters: what went in, and what else was cooked for it.
    why, photo : str
        Empty where nobody said; `photo` names the source and does not reach the page.
    comments : tuple of str
    number : Number or None
        One number of the cook's choice.
    """

    name: str
    at: str
    picked: tuple[str, ...]
    left: tuple[str, ...]
    why: str
    photo: str
    comments: tuple[str, ...]
    number: Number | None


@dataclass(frozen=True)
class HandInLine:
    """One hand-in as it stands on a page; `anchor` is empty where its photo stands elsewhere too."""

    name: str
    at: str
    picked: tuple[str, ...]
    left: tuple[str, ...]
    why: str
    comments: tuple[str, ...]
    number: tuple[str, str, str] | None
    photo: Photo | None
    anchor: str


def handed_in(cook: Cook) -> tuple[PublicHandIn, ...]:
    """Take what may be shown of a contest day; a hand-in of which nothing was written is none.

    Of a hand-in with a piece that is kept back nothing is told: what is said there is said of its pieces
    beside each other.
    """
    if cook.contest is None or "contest" in cook.private:
        return ()
    hidden = {one.letter for one in cook.pieces if f"pieces.{one.letter}" in cook.private}
    return tuple(
        shown
        for one in cook.contest.hand_ins
        if not hidden & {*one.pieces, *one.picked} and (shown := _shown(one))
    )


def _shown(one: HandIn) -> PublicHandIn | None:
    comments = tuple(filter(None, map(str.strip, one.comments)))
    if not (one.picked or one.why or one.photo or comments or one.number):
        return None
    left = tuple(letter for letter in one.pieces if letter not in one.picked)
    return PublicHandIn(
        one.name, one.at, tuple(one.picked), left if one.picked else (), (one.why or "").strip(),
        one.photo or "", comments, one.number,
    )  # fmt: skip


def hand_in_lines(
    handed: tuple[PublicHandIn, ...], photos: Mapping[str, Photo], lead: Photo | None
) -> tuple[HandInLine, ...]:
    """Put hand-ins together with their photos.

    Parameters
    ----------
    handed : tuple of PublicHandIn
    photos : mapping of str to Photo
        Those that are shown, by the name of their source.
    lead : Photo or None
        Stands on top of the page.
    """
    return tuple(_lines(handed, photos, lead))


def _lines(
    handed: tuple[PublicHandIn, ...], photos: Mapping[str, Photo], lead: Photo | None
) -> Iterator[HandInLine]:
    above = {lead.anchor} if lead else set()
    for one in handed:
        photo = photos.get(one.photo)
        anchor = photo.anchor if photo and photo.anchor not in above else ""
        above |= {anchor}
        yield HandInLine(
            one.name, one.at, one.picked, one.left, one.why, one.comments,
            number_said(one.number), photo, anchor,
        )  # fmt: skip


def number_said(number: Number | None) -> tuple[str, str, str] | None:
    """Take a number of the cook's choice: its value, what it is out of, and its name."""
    if number is None:
        return None
    out_of = number.out_of
    return f"{number.value:g}", "" if out_of is None else f"{out_of:g}", number.name
