"""Publishing: cooks in, static pages and an index out."""

from __future__ import annotations

import datetime as dt
import functools
import json
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jinja2

from stallwise.ground import assets
from stallwise.ground.errors import StallwiseError
from stallwise.joins.result import Result
from stallwise.surfaces.journal.photos import Photo, develop_all
from stallwise.surfaces.journal.public import is_hidden, public_book, public_cook, public_result
from stallwise.surfaces.journal.site import MANIFEST, Site
from stallwise.surfaces.journal.view import Page, page_of

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import Cookbook, CookFolder

__all__ = ["Report", "publish", "render"]

#: Files of every site that are not pages.
_FIXED = ("style.css", "icon.svg")


@dataclass(frozen=True)
class Report:
    """What a publishing did.

    Attributes
    ----------
    written : tuple of str
        Pages that were made, index last.
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
    with Site.opened(out) as site:
        before = {slug: list(entry["files"]) for slug, entry in site.entries.items()}
        slugs = _slugs(every)
        for cook in chosen:
            slug = slugs.get(cook.name) or _slug(cook.name)
            asked = bool(cooks) or slug in site.entries
            _try_page(site, cook, slug, run, ask_now, asked=asked)
        gone = {slug for slug in site.entries if slug not in slugs.values()} if every else set()
        removed = [
            site.entries.pop(slug)["name"]
            for slug in sorted(gone | set(run.hidden))
            if slug in site.entries
        ]
        _finish(site, book, made_at)
        site.settle()
        held = {name for entry in site.entries.values() for name in entry["files"]}
        site.clear(sorted({name for files in before.values() for name in files} - held))
    pages = [*run.written, "index.html"]
    return Report(
        tuple((out / page).as_posix() for page in pages),
        tuple(removed),
        tuple(run.failed),
        tuple(run.troubles),
        tuple(run.left_out),
    )


def _as_it_stood(record: CookRecord, *, made_at: dt.datetime) -> Result:
    from stallwise.joins.ask import ask
    from stallwise.joins.hindsight import with_outcome

    return with_outcome(ask(record, made_at=made_at), record)


def render(page: Page) -> str:
    """HTML of one cook's page."""
    return (
        _templates().get_template("cook.html").render(page=page, root="../", title=page.cook.title)
    )


def _try_page(
    site: Site,
    folder: CookFolder,
    slug: str,
    run: _Run,
    answer: Callable[[Any], Result],
    *,
    asked: bool,
) -> None:
    try:
        record = folder.load()
        if is_hidden(record.cook):
            run.hidden.append(slug)
            return
        if record.state == "planned" and not asked:
            run.left_out.append(folder.name)
            return
        _page(site, folder, slug, record, run, answer(record))
    except StallwiseError as error:
        run.failed.append(folder.name)
        run.troubles.append(f"{folder.name}: no page was made. {error}")
    except Exception as error:  # noqa: BLE001 - one cook must never take the others' pages along
        run.failed.append(folder.name)
        run.troubles.append(f"{folder.name}: no page was made ({type(error).__name__}: {error})")


def _page(
    site: Site, folder: CookFolder, slug: str, record: CookRecord, run: _Run, answered: Result
) -> None:
    cook = public_cook(record.cook)
    result = public_result(answered, record.cook.private)
    place = f"photos/{slug}"
    photos, troubles = develop_all(
        cook.photos, Path(folder.path) / "photos", site.staging / place, site.out / place
    )
    page = page_of(slug, public_book(record.book), cook, result, photos)
    name = f"cooks/{slug}.html"
    site.write(name, render(page))
    site.entries[slug] = _entry(page, folder.name, name, photos)
    run.written.append(name)
    run.troubles += [f"{folder.name}: {trouble}." for trouble in troubles]


def _entry(page: Page, name: str, file: str, photos: Sequence[Photo]) -> dict[str, Any]:
    """Line of the index: public words only."""
    thumb = None
    if page.lead:
        size = page.lead.nearest(300)
        thumb = {
            "file": f"photos/{page.slug}/{size.file}",
            "width": size.width,
            "height": size.height,
        }
    files = [file] + [f"photos/{page.slug}/{size.file}" for photo in photos for size in photo.sizes]
    return {
        "name": name,
        "title": page.cook.title,
        "date": page.cook.date.isoformat(),
        "day": page.day,
        "subtitle": page.subtitle,
        "outcome": page.outcome,
        "next_time": page.cook.next_time,
        "sample": page.cook.sample,
        "planned": page.planned,
        "thumb": thumb,
        "files": sorted(set(files)),
    }


def _finish(site: Site, book: Cookbook, made_at: dt.datetime) -> None:
    """Write the index, the style and the list of what is ours."""
    lines = [{"slug": slug, **entry} for slug, entry in site.entries.items()]
    lines.sort(key=lambda line: (line["date"], line["name"]), reverse=True)
    shown = public_book(book.book)
    html = (
        _templates()
        .get_template("index.html")
        .render(book=shown, lines=lines, made_at=made_at, root="", title=shown.title)
    )
    site.write("index.html", html)
    for name in _FIXED:
        site.write(name, assets.read_bytes("templates", "journal", name))
    held = {"schema": 1, "cooks": {slug: site.entries[slug] for slug in sorted(site.entries)}}
    site.write(MANIFEST, json.dumps(held, ensure_ascii=False, indent=1, sort_keys=True) + "\n")


@functools.cache
def _templates() -> jinja2.Environment:
    loader = jinja2.FunctionLoader(lambda name: assets.read_text("templates", "journal", name))
    room = jinja2.Environment(
        loader=loader,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    room.filters["whole"] = _whole
    return room


#: A quantity or a length of time, with the spaces inside it.
_QUANTITY = re.compile(r"(?<=\d) (?=(?:h|min|g|kg|lb|oz|ft|m|ml|°[CF]|%)\b|%)|(?<= h) (?=\d)")


def _whole(text: str) -> str:
    """Keep ``4 h 50`` and ``66 °F`` in one line where a cell is narrow."""
    return _QUANTITY.sub("\N{NO-BREAK SPACE}", text)


def _slugs(cooks: Iterable[CookFolder]) -> dict[str, str]:
    """File name of each cook's page; two names that come out alike are told apart by a number."""
    found: dict[str, str] = {}
    for name in sorted(cook.name for cook in cooks):
        slug, count = _slug(name), 2
        while slug in found.values():
            slug, count = f"{_slug(name)}-{count}", count + 1
        found[name] = slug
    return found


def _slug(name: str) -> str:
    """Plain file name for an address: letters, digits, dots and dashes."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.") or "cook"
