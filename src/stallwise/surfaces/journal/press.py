"""Publishing: cooks in, static pages and an index out."""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import StallwiseError
from stallwise.joins.result import Result
from stallwise.surfaces.journal.addresses import page_names
from stallwise.surfaces.journal.basis import Bases
from stallwise.surfaces.journal.binding import bind
from stallwise.surfaces.journal.entries import entry_of
from stallwise.surfaces.journal.feed import stamp
from stallwise.surfaces.journal.forms import form
from stallwise.surfaces.journal.listings import links_of
from stallwise.surfaces.journal.namescan import refuse_names
from stallwise.surfaces.journal.origins import explained
from stallwise.surfaces.journal.photos import develop_all
from stallwise.surfaces.journal.public import is_hidden, public_book, public_cook, public_result
from stallwise.surfaces.journal.site import Site
from stallwise.surfaces.journal.view import page_of

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import Cookbook, CookFolder

__all__ = ["Report", "publish"]


@dataclass(frozen=True)
class Report:
    """What a publishing did.

    Attributes
    ----------
    written : tuple of str
        Pages that were made, index last; a page that would come out as it is is left.
    removed : tuple of str
        Pages of cooks that are gone or are now kept back.
    failed : tuple of str
        Cooks whose page could not be made; their earlier pages stay.
    troubles : tuple of str
        A sentence for each thing that went wrong.
    left_out : tuple of str
        Cooks that are only planned and were not asked for by name.
    """

    written: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "written": list(self.written),
            "removed": list(self.removed),
            "failed": list(self.failed),
            "troubles": list(self.troubles),
            "left_out": list(self.left_out),
        }


@dataclass
class _Run:
    """What happened so far."""

    written: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)


def publish(
    book: Cookbook,
    cooks: Sequence[CookFolder],
    out: Path,
    *,
    made_at: dt.datetime,
    answer: Callable[..., Result] | None = None,
) -> Report:
    """Write the pages of cooks and the index.

    Parameters
    ----------
    book : Cookbook
        The cookbook.
    cooks : sequence of CookFolder
        Cooks to write again; none means all that were started: a plan is no journal, and has
        a page only while it was asked for by name.
    out : Path
        The published folder. Files in it that are not ours are left alone.
    made_at : datetime
        Wall clock, aware; stands on the index. The same cooks at the same time make the
        same bytes.
    answer : callable, optional
        Makes the Result of a record; the default is the forecast as it stood before meat
        on, or as it stands for a cook that is not over, with all that was logged beside it.

    Returns
    -------
    Report
        One cook that fails does not stop the others, and its earlier page stays.

    Raises
    ------
    InputError
        `out` cannot be published to.
    WorkError
        The disk failed; what was published before is still there.
    """
    if answer is None:
        answer = _as_it_stood
    ask_now = functools.partial(answer, made_at=made_at)
    every = list(book.cooks())
    chosen = list(cooks) or every
    run = _Run()
    shown = public_book(book.book)
    with Site.opened(out) as site:
        slugs = page_names(cook.name for cook in every)
        bases = Bases(book.path, every, {one.name: one for one in site.entries.values()})
        for cook in chosen:
            slug = slugs.get(cook.name) or page_names([cook.name])[cook.name]
            asked = bool(cooks) or slug in site.entries
            if not cooks and _stands(site, slug, bases.of(cook.name)):
                continue
            _try_page(site, cook, slug, run, ask_now, asked=asked, made_at=made_at, bases=bases)
        gone = {slug for slug in site.entries if slug not in slugs.values()} if every else set()
        removed = [
            site.entries.pop(slug).name
            for slug in sorted(gone | set(run.hidden))
            if slug in site.entries
        ]
        bind(site, shown, made_at)
        site.settle()
    pages = [*run.written, "index.html"]
    return Report(
        tuple((out / page).as_posix() for page in pages),
        tuple(removed),
        tuple(run.failed),
        tuple(run.troubles),
        tuple(run.left_out),
    )


def _stands(site: Site, slug: str, basis: str) -> bool:
    """Whether a page would come out as it is."""
    before = site.entries.get(slug)
    return bool(before and basis and before.basis == basis and site.stands(before.files))


def _as_it_stood(record: CookRecord, *, made_at: dt.datetime) -> Result:
    from stallwise.joins.ask import ask
    from stallwise.joins.learn.hindsight import with_outcome

    return with_outcome(ask(record, made_at=made_at), record)


def _try_page(
    site: Site,
    folder: CookFolder,
    slug: str,
    run: _Run,
    answer: Callable[[Any], Result],
    *,
    asked: bool,
    made_at: dt.datetime,
    bases: Bases,
) -> None:
    try:
        record = folder.load()
        if is_hidden(record.cook):
            run.hidden.append(slug)
            return
        if record.state == "planned" and not asked:
            run.left_out.append(folder.name)
            return
        _page(site, folder, slug, record, run, answer(record), made_at, bases)
    except StallwiseError as error:
        run.failed.append(folder.name)
        run.troubles.append(f"{folder.name}: no page was made. {error}")
    except Exception as error:  # noqa: BLE001 - one cook must never take the others' pages along
        run.failed.append(folder.name)
        run.troubles.append(f"{folder.name}: no page was made ({type(error).__name__}: {error})")


def _page(
    site: Site,
    folder: CookFolder,
    slug: str,
    record: CookRecord,
    run: _Run,
    answered: Result,
    made_at: dt.datetime,
    bases: Bases,
) -> None:
    cook = public_cook(record.cook)
    result = public_result(answered, record.cook.private, record.cook.public)
    place = f"photos/{slug}"
    photos, troubles = develop_all(
        cook.photos, Path(folder.path) / "photos", site.staging / place, site.out / place
    )
    page = page_of(slug, public_book(record.book), cook, result, photos)
    entry = entry_of(page, folder.name, tuple(photos))
    html = form("cook.html").render(page=page, root="../", here=entry.page, lists=links_of(entry))
    refuse_names(record.cook, {entry.page: html} | {one.file: one.text for one in page.downloads})
    digest = hashlib.blake2b(html.encode(), digest_size=8).hexdigest()
    before = site.entries.get(slug)
    changed = before is None or before.digest != digest or not before.updated
    updated = stamp(made_at) if changed or before is None else before.updated
    for one in page.downloads:
        site.write(f"files/{slug}/{one.file}", one.text)
    for trial in page.tasted:
        site.write(
            trial.file,
            form("trial.html").render(
                one=trial, book=page.book, sample=cook.sample, origins=(explained("trials"),),
                root="../", here=trial.file,
            ),
        )  # fmt: skip
    site.write(entry.page, html)
    own, lent = bases.own(folder.name)
    # Only a finished cook's page is the same tomorrow; a trouble is told until it is mended.
    basis = bases.of(folder.name) if record.state == "finished" and not troubles else ""
    site.entries[slug] = replace(
        entry, digest=digest, updated=updated, basis=basis, own=own, lent=lent
    )
    run.written.append(entry.page)
    run.troubles += [f"{folder.name}: {trouble}." for trouble in troubles]
