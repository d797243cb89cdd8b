"""Pages bound to one journal: lists, neighbours, search, feed and sitemap."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence

from stallwise.ground import assets
from stallwise.surfaces.journal.entries import Entry
from stallwise.surfaces.journal.feed import FEED, SITEMAP, feed, sitemap
from stallwise.surfaces.journal.forms import form
from stallwise.surfaces.journal.listings import leaves, listings, shelves
from stallwise.surfaces.journal.public import PublicBook
from stallwise.surfaces.journal.searching import ROWS, SCRIPT, rows
from stallwise.surfaces.journal.site import Site
from stallwise.surfaces.journal.tallypage import TALLY, tally_page

__all__ = ["bind"]

#: Files of every journal that are not made.
_FIXED = ("style.css", "icon.svg", "scale.js", SCRIPT)
_REMARK = re.compile(r"/\*.*?\*/", re.DOTALL)
#: Where a page tells of its neighbours; nobody's words can look like this, for they are escaped.
_FROM, _TO = "<!--beside-->", "<!--/beside-->"
#: And where the page of a trial tells of the cooks that took part.
_COOKS_FROM, _COOKS_TO = "<!--cooks-->", "<!--/cooks-->"


def bind(site: Site, book: PublicBook, made_at: dt.datetime) -> None:
    """Write everything that tells of more than one cook.

    Parameters
    ----------
    site : Site
        With the entries of all cooks that have a page.
    book : PublicBook
    made_at : datetime
        Wall clock, aware.
    """
    entries = sorted(site.entries.values(), key=lambda one: (one.date, one.name), reverse=True)
    if tallied := tally_page(book, entries, site.read(TALLY)):
        site.write(TALLY, tallied)
        site.pages.append(TALLY)
    site.pages += _tell_trials(site, entries)
    for file, html in _lists(book, entries, made_at, tallied=bool(tallied)):
        site.write(file, html)
        site.pages.append(file)
    pages = [*site.pages, *(one.page for one in entries)]
    site.write(FEED, feed(book, entries, made_at))
    site.write(ROWS, rows(entries))
    site.pages += [FEED, ROWS, *_FIXED]
    if book.base:
        site.write(SITEMAP, sitemap(book, entries, pages))
        site.pages.append(SITEMAP)
    for name in _FIXED:
        text = assets.read_text("templates", "journal", name)
        site.write(name, _spare(text) if name.endswith(".css") else text)
    _tell_neighbours(site, entries)


def _lists(
    book: PublicBook, entries: Sequence[Entry], made_at: dt.datetime, *, tallied: bool
) -> Iterator[tuple[str, str]]:
    lists = listings(entries, book.title)
    ways = shelves(lists, entries)
    for one in lists:
        root = "../" if "/" in one.stem else ""
        for leaf in leaves(one):
            yield (
                leaf.file,
                form("list.html").render(
                    book=book,
                    list=one,
                    leaf=leaf,
                    shelves=ways if one.stem == "index" else (),
                    all=len(entries),
                    made_at=made_at,
                    tally=TALLY if tallied else "",
                    root=root,
                    here=leaf.file,
                ),
            )


def _tell_trials(site: Site, entries: Sequence[Entry]) -> list[str]:
    """Put the cooks that took part into the page of each trial; gives the files of those pages."""
    part: dict[str, list[Entry]] = {}
    for entry in entries:
        for trial in entry.trials:
            part.setdefault(trial.file, []).append(entry)
    for file, those in part.items():
        head, mark, rest = site.read(file).partition(_COOKS_FROM)
        if mark:
            told = form("tasted.html").render(entries=those).strip()
            site.write(file, f"{head}{mark}{told}{_COOKS_TO}{rest.partition(_COOKS_TO)[2]}")
    return sorted(part)


def _tell_neighbours(site: Site, entries: Sequence[Entry]) -> None:
    """Put the cook before and after into pages that do not name them yet."""
    for i, one in enumerate(entries):
        later = entries[i - 1] if i else None
        earlier = entries[i + 1] if i + 1 < len(entries) else None
        beside = form("beside.html").render(later=later, earlier=earlier).strip()
        told = f"{_FROM}{beside}{_TO}"
        if one.beside == told and not site.staged(one.page):
            continue
        head, mark, rest = site.read(one.page).partition(_FROM)
        if mark:
            site.write(one.page, f"{head}{told}{rest.partition(_TO)[2]}")
        site.entries[one.slug] = one.beside_now(told)


def _spare(css: str) -> str:
    """Leave remarks and indents at home: every page is that much smaller for its reader."""
    lines = (line.strip() for line in _REMARK.sub("", css).splitlines())
    return "\n".join(filter(None, lines)) + "\n"
