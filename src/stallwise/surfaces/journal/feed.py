"""The feed [rfc-4287]_ and the sitemap: new cooks told to programs that ask, on their own."""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from urllib.parse import quote

from stallwise.surfaces.journal.addresses import urn
from stallwise.surfaces.journal.entries import Entry
from stallwise.surfaces.journal.public import PublicBook

__all__ = ["FEED", "SITEMAP", "feed", "sitemap"]

FEED = "feed.xml"
SITEMAP = "sitemap.xml"

#: Cooks in the feed.
_NEWEST = 50
_ATOM = "http://www.w3.org/2005/Atom"
_SITES = "http://www.sitemaps.org/schemas/sitemap/0.9"
#: Letters that XML has no way to write.
_UNTOLD = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def feed(book: PublicBook, entries: Sequence[Entry], made_at: dt.datetime) -> bytes:
    """Make the feed of the newest cooks.

    Parameters
    ----------
    book : PublicBook
        With a base address its links are whole; without one they lead from the feed's folder, and
        names are made of the words of the book.
    entries : sequence of Entry
        Newest first.
    made_at : datetime
        Stands where no cook has a page yet.
    """
    newest = entries[:_NEWEST]
    root = ET.Element("feed", {"xmlns": _ATOM, "xml:lang": "en"})
    _put(root, "title", book.title)
    _put(root, "id", book.base or urn(book.title, book.author))
    if book.base:
        ET.SubElement(root, "link", rel="self", href=f"{book.base}{FEED}")
    ET.SubElement(root, "link", rel="alternate", type="text/html", href=f"{book.base}index.html")
    _put(root, "updated", max((one.updated for one in newest), default=stamp(made_at)))
    _put(ET.SubElement(root, "author"), "name", book.author or book.title)
    for one in newest:
        _entry(ET.SubElement(root, "entry"), one, book)
    return _bytes(root)


def _entry(node: ET.Element, one: Entry, book: PublicBook) -> None:
    address = f"{book.base}{quote(one.page)}"
    _put(node, "title", one.title)
    _put(node, "id", address if book.base else urn(book.title, book.author, one.slug))
    ET.SubElement(node, "link", rel="alternate", type="text/html", href=address)
    _put(node, "published", f"{one.date}T00:00:00Z")
    _put(node, "updated", one.updated)
    for tag in one.tags:
        ET.SubElement(node, "category", term=_told(tag))
    said = [one.subtitle, one.outcome]
    said += [f"Next time: {one.next_time}"] if one.next_time else []
    said += ["A sample: our own invention. Nobody cooked it."] if one.sample else []
    _put(node, "summary", "\n".join(filter(None, said)))


def sitemap(book: PublicBook, entries: Iterable[Entry], pages: Iterable[str]) -> bytes:
    """Make the list of all pages; needs a base address."""
    root = ET.Element("urlset", xmlns=_SITES)
    changed = {one.page: one.updated[:10] for one in entries}
    for page in pages:
        node = ET.SubElement(root, "url")
        _put(node, "loc", f"{book.base}{quote(page, safe='/~')}")
        if page in changed:
            _put(node, "lastmod", changed[page])
    return _bytes(root)


def stamp(at: dt.datetime) -> str:
    """Write an instant as feeds do."""
    return at.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _put(node: ET.Element, name: str, text: str) -> None:
    ET.SubElement(node, name).text = _told(text)


def _told(text: str) -> str:
    return _UNTOLD.sub("\N{REPLACEMENT CHARACTER}", text)


def _bytes(root: ET.Element) -> bytes:
    ET.indent(root, " ")
    text: str = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()
