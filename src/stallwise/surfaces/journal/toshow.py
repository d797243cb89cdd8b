"""What to show of a cook, for whoever films one like it: steps, and the photos of the page that show them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.joins.film.captioned import captioned
from stallwise.joins.film.shots import ONCE, Picture, Shot, shots
from stallwise.joins.result import Result
from stallwise.surfaces.journal.photos import Photo

__all__ = ["ToShow", "to_show"]


@dataclass(frozen=True)
class ToShow:
    """One kind of step: which pieces, what it is, what to show, what to mind, and photos of it."""

    of: tuple[str, ...]
    step: str
    show: str
    view: str
    note: str
    photos: tuple[Photo, ...]


def to_show(result: Result, photos: Mapping[str, Photo]) -> tuple[ToShow, ...]:
    """List what to show, each kind of step once.

    Parameters
    ----------
    result : Result
        Without what is kept back.
    photos : mapping of str to Photo
        Those that are on the page, by the name of their source.
    """
    pictures = [Picture(file, photo.caption, None) for file, photo in photos.items()]
    alike: dict[tuple[str, str], list[Shot]] = {}
    for shot in captioned(shots(result), pictures):
        alike.setdefault((shot.kind, shot.step), []).append(shot)
    return tuple(_line(group, photos) for group in alike.values())


def _line(group: list[Shot], photos: Mapping[str, Photo]) -> ToShow:
    first = group[0]
    # What is shown once is shown of any piece.
    named = [] if first.kind in ONCE else [shot.who for shot in group]
    of = {letter for who in named for letter in who.split()}
    files = dict.fromkeys(file for shot in group for file in shot.pictures)
    return ToShow(
        tuple(sorted(of)), first.step, first.show, first.view, first.note,
        tuple(photos[file] for file in files),
    )  # fmt: skip
