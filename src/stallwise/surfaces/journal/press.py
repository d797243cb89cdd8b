"""Publishing: cooks in, static pages and an index out."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.joins.result import Result
from stallwise.surfaces.journal.addresses import page_names
from stallwise.surfaces.journal.basis import Bases, own_marks
from stallwise.surfaces.journal.binding import bind
from stallwise.surfaces.journal.feed import stamp
from stallwise.surfaces.journal.hands import Job, make_all
from stallwise.surfaces.journal.lending import lends
from stallwise.surfaces.journal.making import Made, Maker, as_it_stood
from stallwise.surfaces.journal.public import public_book
from stallwise.surfaces.journal.site import Site

if TYPE_CHECKING:
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
    every = list(book.cooks())
    own = own_marks(every)
    found = lends(book.path, every, own)
    weigh_ins = tuple(one.weighed for one in found.values() if one.weighed is not None)
    if answer is None:
        book = book.held(weigh_ins)
    slugs = page_names(cook.name for cook in every)
    run = _Run()
    shown = public_book(book.book)
    with Site.opened(out) as site:
        bases = Bases(book, own, found)
        jobs = [
            Job(cook.name, slug, bool(cooks) or slug in site.entries)
            for cook in list(cooks) or every
            if (slug := slugs.get(cook.name) or page_names([cook.name])[cook.name])
            and (cooks or not _stands(site, slug, bases.of(cook.name)))
        ]
        for job, made in _made(jobs, book, site, answer, made_at):
            _settled(site, job, made, run, bases, made_at)
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


def _made(
    jobs: Sequence[Job],
    book: Cookbook,
    site: Site,
    answer: Callable[..., Result] | None,
    made_at: dt.datetime,
) -> Iterator[tuple[Job, Made]]:
    """Make every page that is asked for, told in the order of the cooks."""
    told: dict[str, Any] = {}
    if answer is None:  # one of somebody's own is a function of this process
        told = {
            "book": str(book.path),
            "staging": str(site.staging.resolve()),
            "out": str(site.out.resolve()),
            "made_at": made_at.isoformat(),
            "weigh_ins": [one.plain() for one in book.weigh_ins(())],
        }
    folders = {cook.name: cook for cook in book.cooks()}
    maker = Maker(site.staging, site.out, functools.partial(answer or as_it_stood, made_at=made_at))
    found = make_all(
        jobs, lambda job: maker.make(folders[job.name], job.slug, asked=job.asked), told
    )
    return ((job, found[job.name]) for job in jobs)


def _settled(
    site: Site, job: Job, made: Made, run: _Run, bases: Bases, made_at: dt.datetime
) -> None:
    """Write down what became of a page."""
    run.troubles += [f"{job.name}: {trouble}" for trouble in made.troubles]
    if made.state == "hidden":
        run.hidden.append(job.slug)
    elif made.state == "left out":
        run.left_out.append(job.name)
    elif made.entry is None:
        run.failed.append(job.name)
    else:
        before = site.entries.get(job.slug)
        same = before is not None and before.digest == made.entry.digest and before.updated
        site.entries[job.slug] = replace(
            made.entry,
            updated=before.updated if before and same else stamp(made_at),
            basis=bases.of(job.name) if made.lasting else "",
        )
        run.written.append(made.entry.page)


def _stands(site: Site, slug: str, basis: str) -> bool:
    """Whether a page would come out as it is."""
    before = site.entries.get(slug)
    return bool(before and basis and before.basis == basis and site.stands(before.files))
