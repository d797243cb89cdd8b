"""Lists, neighbours, search, feed and sitemap of a journal."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import re
import runpy
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from defusedxml import ElementTree

from stallwise.ground.errors import InputError
from stallwise.surfaces.journal import feed, listings
from stallwise.surfaces.journal.addresses import base_of, folded, page_names, plain_name

_HERE = Path(__file__)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
Shelf = runpy.run_path(str(_HERE.with_name("test_journal.py")))["Shelf"]
ATOM = "{http://www.w3.org/2005/Atom}"
SITES = "{http://www.sitemaps.org/schemas/sitemap/0.9}"


@pytest.fixture(scope="module")
def results():
    return _MADE["shoulder"](), _MADE["ribs"]()


@pytest.fixture
def shelf(tmp_path, results):
    """Two cooks, the newer one with tags and a next time."""
    shelf = Shelf(tmp_path)
    shoulder, ribs = results
    shelf.add(
        shoulder,
        outcome="It pulled clean.",
        next_time="Wrap half an hour later.",
        notes="The **breeze** turned at two.",
        tags=["Village hall", "über Nacht"],
    )
    shelf.add(ribs)
    return shelf


def text_of(shelf, name):
    return (shelf.path / "journal" / name).read_text(encoding="utf-8")


def base_is(shelf, address):
    shelf.book = shelf.book.model_copy(update={"base_address": address})
    for folder in shelf.folders:
        folder.load().book = shelf.book


class Links(HTMLParser):
    """Every address that a page names, and every id in it."""

    def __init__(self, text):
        super().__init__()
        self.found, self.ids = [], []
        self.feed(text)

    def handle_starttag(self, _tag, attrs):
        attrs = dict(attrs)
        self.ids += [attrs["id"]] if "id" in attrs else []
        self.found += [attrs[key] for key in ("href", "src") if key in attrs]
        self.found += [one.split()[0] for one in attrs.get("srcset", "").split(",") if one]


def test_every_link_leads_to_a_file_or_a_place_that_is_there(shelf):
    shelf.publish()
    out = shelf.path / "journal"
    pages = {path.resolve(): Links(path.read_text("utf-8")) for path in out.rglob("*.html")}
    assert len(pages) > 8
    for path, page in pages.items():
        assert len(page.ids) == len(set(page.ids)), path.name
        for link in page.found:
            parts = urlsplit(link)
            target = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            assert target.is_file(), (path.name, link)
            assert target.is_relative_to(out.resolve())
            if parts.fragment:
                assert parts.fragment in pages[target].ids, (path.name, link)
    told = {link for page in pages.values() for link in page.found}
    alone = [p.name for p in pages if not any(link.endswith(p.name) for link in told)]
    assert alone == []


def test_a_cook_stands_under_its_year_cut_mix_and_tags(shelf, results):
    shoulder, _ = results
    shelf.publish()
    index = text_of(shelf, "index.html")
    for way, name in (
        ("years/2027.html", "2027"),
        (f"cuts/{shoulder.pieces[0].cut}.html", shoulder.pieces[0].name),
        ("mixes/plain-rub.html", "Plain rub"),
        ("tags/village_hall.html", "Village hall"),
    ):
        assert re.search(rf'<a href="{way}[^"]*"[^>]*>{name}</a>', index, re.IGNORECASE), way
    cut = text_of(shelf, f"cuts/{shoulder.pieces[0].cut}.html")
    # What was to be done next time is the first thing there.
    assert cut.index("Wrap half an hour later.") < cut.index('<ol class="cooks"')
    mix = text_of(shelf, "mixes/plain-rub.html")
    assert "plain rub, 3.85 kg of meat" in mix
    assert "Two racks" not in cut + mix
    page = shelf.page(shoulder.cook)
    assert 'class="p-category"' in page
    assert re.search(r'href="\.\./tags/uber_nacht-\w+\.html"', page)


def test_what_is_kept_back_is_in_no_list(shelf):
    record = shelf.folders[0].load()
    private = ["tags", "mixes.plain-rub", "notes", "next_time"]
    record.cook = record.cook.model_copy(update={"private": private})
    shelf.publish()
    out = shelf.path / "journal"
    told = "".join(path.read_text("utf-8") for path in out.rglob("*") if path.is_file())
    for word in (
        "Village hall",
        "village-hall",
        "plain-rub",
        "plain rub",
        "breeze",
        "half an hour",
    ):
        assert word not in told, word
    assert not (out / "tags").exists()


def test_each_page_leads_to_the_cooks_before_and_after_it(shelf, results):
    shoulder, ribs = results
    shelf.publish(ribs.cook)
    assert 'rel="next"' not in shelf.page(ribs.cook)
    shelf.publish(shoulder.cook)
    # The page of the older cook was not made again, and knows of the newer one.
    assert f'<a rel="next" href="{shoulder.cook}.html">' in shelf.page(ribs.cook)
    assert f'<a rel="prev" href="{ribs.cook}.html">' in shelf.page(shoulder.cook)
    del shelf.folders[0]
    shelf.publish(ribs.cook)
    assert "rel=" not in shelf.page(ribs.cook).partition("<main")[2]


def test_feed_is_read_by_a_program_and_tells_the_newest_first(shelf, results):
    shoulder, ribs = results
    shelf.publish()
    root = ElementTree.fromstring(text_of(shelf, "feed.xml"))
    assert root.tag == f"{ATOM}feed"
    for need in ("id", "title", "updated"):
        assert len(root.findall(f"{ATOM}{need}")) == 1
    assert root.findtext(f"{ATOM}author/{ATOM}name") == "The supper committee"
    entries = root.findall(f"{ATOM}entry")
    assert [one.findtext(f"{ATOM}title") for one in entries] == [shoulder.title, ribs.title]
    ids = [node.text for node in root.iter(f"{ATOM}id")]
    assert len(set(ids)) == 3
    for one in entries:
        assert one.findtext(f"{ATOM}id").startswith("urn:uuid:")
        assert dt.datetime.fromisoformat(one.findtext(f"{ATOM}updated")).tzinfo
        link = one.find(f"{ATOM}link[@rel='alternate']").get("href")
        assert (shelf.path / "journal" / link).is_file()
    assert "Next time: Wrap half an hour later." in entries[0].findtext(f"{ATOM}summary")
    terms = [node.get("term") for node in entries[0].findall(f"{ATOM}category")]
    assert terms == ["Village hall", "über Nacht"]


def test_only_a_page_that_says_something_else_is_updated_in_the_feed(shelf, results, monkeypatch):
    shelf.publish()
    first = text_of(shelf, "feed.xml")
    later = dt.datetime(2027, 10, 1, tzinfo=dt.UTC)
    monkeypatch.setitem(Shelf.publish.__globals__, "MADE_AT", later)
    shelf.publish()
    assert text_of(shelf, "feed.xml") == first
    record = shelf.folders[0].load()
    record.cook = record.cook.model_copy(update={"outcome": "It was dry."})
    shelf.publish()
    updated = re.findall("<updated>(.*)</updated>", text_of(shelf, "feed.xml"))
    assert updated == ["2027-10-01T00:00:00Z", "2027-10-01T00:00:00Z", "2027-09-26T09:00:00Z"]


def test_letters_that_xml_cannot_write_do_not_spoil_the_feed(shelf):
    record = shelf.folders[0].load()
    odd = {"title": "Bell\x07 <b>&", "tags": ["\x0b]]>"]}
    record.cook = record.cook.model_copy(update=odd)
    assert not shelf.publish().failed
    root = ElementTree.fromstring(text_of(shelf, "feed.xml"))
    assert root.findtext(f"{ATOM}entry/{ATOM}title") == "Bell\ufffd <b>&"


def test_sitemap_and_whole_addresses_only_where_an_address_is_set(shelf, results):
    shoulder, _ = results
    shelf.publish()
    out = shelf.path / "journal"
    assert not (out / "sitemap.xml").exists()
    assert "canonical" not in shelf.page(shoulder.cook)
    base_is(shelf, "https://hall.invalid/food")
    shelf.publish()
    root = ElementTree.fromstring(text_of(shelf, "sitemap.xml"))
    told = {unquote(node.text) for node in root.iter(f"{SITES}loc")}
    pages = {path.relative_to(out).as_posix() for path in out.rglob("*.html")}
    assert told == {f"https://hall.invalid/food/{page}" for page in pages}
    page = f"https://hall.invalid/food/cooks/{shoulder.cook}.html"
    assert f'<link rel="canonical" href="{page}">' in shelf.page(shoulder.cook)
    entry = ElementTree.fromstring(text_of(shelf, "feed.xml")).find(f"{ATOM}entry")
    assert entry.findtext(f"{ATOM}id") == page == entry.find(f"{ATOM}link").get("href")
    base_is(shelf, None)
    shelf.publish()
    assert not (out / "sitemap.xml").exists()


@pytest.mark.parametrize(
    "address", ["hall.invalid", "ftp://hall.invalid/", "https://", "https://a.invalid/?x", "/srv/x"]
)
def test_an_address_that_is_none_is_refused(address):
    with pytest.raises(InputError, match="base_address"):
        base_of(address)


def test_a_list_is_cut_into_pages_of_fifty(tmp_path, results, monkeypatch):
    assert (listings.A_PAGE, feed._NEWEST) == (50, 50)
    # Pages of ten are cut as pages of fifty are, from a fifth of the cooks.
    monkeypatch.setattr(listings, "A_PAGE", 10)
    monkeypatch.setattr(feed, "_NEWEST", 10)
    shelf = Shelf(tmp_path)
    _, ribs = results
    plain = dataclasses.replace(ribs, events=(), readings={}, steps=ribs.steps[:2])
    for day in range(24):
        date = ribs.date - dt.timedelta(days=day)
        shelf.add(dataclasses.replace(plain, cook=f"{date}-ribs", date=date))
    assert not shelf.publish().failed
    pages = [text_of(shelf, name) for name in ("index.html", "index~2.html", "index~3.html")]
    assert [page.count("<li class=") for page in pages] == [10, 10, 4]
    dates = re.findall(r'dt-published" datetime="([\d-]+)"', "".join(pages))
    assert dates == sorted(dates, reverse=True)
    assert 'href="index~2.html"' in pages[0]
    assert "24 cooks, page 3 of 3" in pages[2]
    assert len(ElementTree.fromstring(text_of(shelf, "feed.xml")).findall(f"{ATOM}entry")) == 10
    # A list that grew shorter leaves no page behind.
    del shelf.folders[8:]
    shelf.publish(shelf.folders[0].name)
    assert not list((shelf.path / "journal").rglob("*~*"))


def test_rows_of_the_search_are_a_script_without_a_letter_of_its_own(shelf, results):
    shoulder, _ = results
    shelf.publish()
    script = text_of(shelf, "search-rows.js")
    assert script.isascii()
    rows = json.loads(script.partition(" = ")[2].rpartition(";")[0])
    assert rows[0][:2] == [f"cooks/{shoulder.cook}.html", shoulder.title]
    for word in ("harvest supper", "2027-09-25", "uber nacht", "plain rub", "breeze", "turned"):
        assert word in rows[0][4], word


def test_names_of_pages_are_plain_and_never_alike():
    assert plain_name("über Nacht!") == "uber-Nacht"
    assert (
        len({plain_name(name, told_apart=True).lower() for name in ("A", "a", "ä", "🔥", "…")}) == 5
    )
    assert len(plain_name("x" * 300)) < 100
    found = page_names(["Ribs", "ribs", "../ribs", "🔥", "…"])
    assert len({slug.lower() for slug in found.values()}) == 5
    assert not [slug for slug in found.values() if "/" in slug or slug.startswith(".")]
    assert folded("  Crème\nBRÛLÉE ") == "creme brulee"
