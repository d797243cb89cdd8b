"""One page made: a cook's folder in, the files of its page out, waiting to be moved into place."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

from stallwise.ground.errors import StallwiseError
from stallwise.joins.result import Result
from stallwise.surfaces.journal.entries import Entry, entry_of
from stallwise.surfaces.journal.forms import form
from stallwise.surfaces.journal.listings import links_of
from stallwise.surfaces.journal.namescan import refuse_names
from stallwise.surfaces.journal.origins import explained
from stallwise.surfaces.journal.photos import develop_all
from stallwise.surfaces.journal.preview import preview
from stallwise.surfaces.journal.public import is_hidden, public_book, public_cook, public_result
from stallwise.surfaces.journal.site import put
from stallwise.surfaces.journal.view import page_of

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import CookFolder

__all__ = ["Made", "Maker", "as_it_stood"]

State = Literal["made", "hidden", "left out", "failed"]


@dataclass(frozen=True)
class Made:
    """What became of one page.

    Attributes
    ----------
    state : str
        ``made``, ``hidden`` for a cook that is kept back, ``left out`` for a plan, ``failed``.
    troubles : tuple of str
        What went wrong, in sentences.
    entry : Entry or None
        What lists tell of it, with the mark of the page as rendered.
    lasting : bool
        Whether it would come out the same tomorrow.
    """

    state: State
    troubles: tuple[str, ...] = ()
    entry: Entry | None = None
    lasting: bool = False

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        entry = None if self.entry is None else [self.entry.slug, self.entry.plain()]
        return vars(self) | {"entry": entry}

    @classmethod
    def from_plain(cls, held: Mapping[str, Any]) -> Made:
        """Read what `plain` gave."""
        entry = held["entry"] and Entry.from_plain(*held["entry"])
        return cls(cast("State", held["state"]), tuple(held["troubles"]), entry, held["lasting"])


@dataclass(frozen=True)
class Maker:
    """Makes pages of cooks, one after the other.

    Attributes
    ----------
    staging, out : Path
        Where files wait, and where photos of an earlier run may be.
    answer : callable
        Makes the Result of a record.
    """

    staging: Path
    out: Path
    answer: Callable[[CookRecord], Result]

    def make(self, folder: CookFolder, slug: str, *, asked: bool) -> Made:
        """Make one page; what goes wrong is told and stops nobody else's.

        Parameters
        ----------
        folder : CookFolder
        slug : str
            Name of the page's file.
        asked : bool
            Whether a plan gets a page too.
        """
        try:
            record = folder.load()
            if is_hidden(record.cook):
                return Made("hidden")
            if record.state == "planned" and not asked:
                return Made("left out")
            return self._page(folder, slug, record)
        except StallwiseError as error:
            said = str(error)
        except Exception as error:  # noqa: BLE001 - one cook must never take the others' pages along
            return Made("failed", (f"no page was made ({type(error).__name__}: {error})",))
        return Made("failed", (f"no page was made. {said}",))

    def _page(self, folder: CookFolder, slug: str, record: CookRecord) -> Made:
        cook = public_cook(record.cook)
        result = public_result(self.answer(record), record.cook.private, record.cook.public)
        place = f"photos/{slug}"
        photos, troubles = develop_all(
            cook.photos + cook.picked,
            Path(folder.path) / "photos",
            self.staging / place,
            self.out / place,
        )
        page = page_of(slug, public_book(record.book), cook, result, photos)
        entry = entry_of(page, folder.name, tuple(photos))
        html = form("cook.html").render(
            page=page, root="../", here=entry.page, lists=links_of(entry)
        )
        refuse_names(
            record.cook, {entry.page: html} | {one.file: one.text for one in page.downloads}
        )
        for one in page.downloads:
            put(self.staging, f"files/{slug}/{one.file}", one.text)
        if page.preview:
            put(self.staging, f"files/{slug}/{page.preview}", preview(result))
        for trial in page.tasted:
            told = form("trial.html").render(
                one=trial,
                book=page.book,
                sample=cook.sample,
                origins=(explained("trials"),),
                root="../",
                here=trial.file,
            )
            put(self.staging, trial.file, told)
        put(self.staging, entry.page, html)
        # Only a finished cook's page is the same tomorrow; a trouble is told until it is mended.
        lasting = record.state == "finished" and not troubles
        said = tuple(f"{trouble}." for trouble in troubles)
        return Made("made", said, entry.rendered(_digest(html)), lasting)


def as_it_stood(record: CookRecord, *, made_at: dt.datetime) -> Result:
    """Answer a cook as it stood before meat on, or as it stands, with all that was logged beside it."""
    from stallwise.joins.ask import ask
    from stallwise.joins.learn.hindsight import with_outcome

    return with_outcome(ask(record, made_at=made_at), record)


def _digest(html: str) -> str:
    return hashlib.blake2b(html.encode(), digest_size=8).hexdigest()
