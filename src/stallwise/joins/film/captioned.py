"""Pictures on the shot list by what their captions say: whoever reads a page is told no time of a picture."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Sequence

from stallwise.joins.film.shots import Picture, Shot
from stallwise.tables.shots import shot_rows

__all__ = ["captioned"]

#: The piece of a picture as a caption from the log ends: ``Wrapped in paper (A)``.
_OF = re.compile(r"\(([A-Z])\)")


def captioned(found: Sequence[Shot], pictures: Iterable[Picture]) -> tuple[Shot, ...]:
    """Lay each picture with the step that its caption tells of.

    Parameters
    ----------
    found : sequence of Shot
        What to show.
    pictures : iterable of Picture
        Those that may be shown; when they were taken is not asked.

    Returns
    -------
    tuple of Shot
        The same, with the pictures that say what they show; the first word of a caption that is
        of a step counts, and of which piece where it ends on its letter. One that could be of
        several lies with none.
    """
    taken: dict[int, list[str]] = {}
    for picture in pictures:
        kind = _kind(picture.caption, {shot.kind for shot in found})
        of = [n for n, shot in enumerate(found) if shot.kind == kind]
        if letter := _OF.search(picture.caption):
            of = [n for n in of if not found[n].who or letter[1] in found[n].who.split()]
        if len(of) == 1:
            taken.setdefault(of[0], []).append(picture.file)
    return tuple(
        dataclasses.replace(shot, pictures=tuple(taken.get(n, ()))) for n, shot in enumerate(found)
    )


def _kind(caption: str, kinds: Iterable[str]) -> str:
    """Kind of step that the earliest telling word of a caption is of; empty where there is none."""
    hits = [
        (match.start(), -len(word), kind)
        for kind in kinds
        for word in shot_rows()[kind].captions
        if (match := re.search(rf"(?<!\w){re.escape(word)}(?!\w)", caption, re.IGNORECASE))
    ]
    return min(hits)[2] if hits else ""
