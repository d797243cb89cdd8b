"""Cooks that are hard to print: long, bare, crowded, alike, written from right to left. Pictures are kept."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import runpy
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from stallwise.record.schema import Photo

pytestmark = pytest.mark.browser

_HERE = Path(__file__).parents[1]
_MADE = runpy.run_path(str(_HERE / "pictures" / "results.py"))
_SHELF = runpy.run_path(str(_HERE / "surfaces" / "test_journal.py"))["Shelf"]

LONG = ("The supper at which nobody knew how many would come and everybody brought beans " * 4)[
    :299
] + "!"
HEBREW = "כתף צלויה 🔥 לשולחן"


@pytest.fixture(scope="module")
def journal(tmp_path_factory):
    """One cook of each kind."""
    shelf = _SHELF(tmp_path_factory.mktemp("hard"))
    shoulder = _MADE["shoulder"]()
    zero, one = shoulder.hour_zero, shoulder.events[1]
    words = ("spritz", "wood", "turned", "lid_open", "pit_reading")
    crowd = tuple(
        dataclasses.replace(
            one, at=zero + dt.timedelta(minutes=2 * n), elapsed_h=n / 30, what=words[n % 5],
            value_c=110.0 + n % 7 if n % 5 == 4 else None, text="", piece="A", verdict="",
        )
        for n in range(400)
    )  # fmt: skip
    bare = {"events": (), "readings": {}, "mixes": (), "salt": (), "ledger": (), "limits": (),
            "estimates": (), "steps": (), "warnings": (), "inferred": (), "fuel": ()}  # fmt: skip
    kinds = {
        "long": {"title": LONG},
        "word": {"title": "W" * 300},
        "bare": bare,
        "crowd": {"events": crowd},
        "hebrew": {"title": HEBREW},
        "emoji": {"title": "🔥🍖 👩🏽‍🍳 Sunday 🇦🇶 zero\u200bwidth \u202ebackwards"},
        "lost": {},
        "twin-one": {"title": "Sunday ribs"},
        "twin-two": {"title": "Sunday ribs"},
    }
    for name, changes in kinds.items():
        made = dataclasses.replace(shoulder, cook=f"2027-09-25-{name}", **changes)
        own = {"outcome": HEBREW, "next_time": HEBREW, "notes": HEBREW, "tags": [HEBREW]}
        gone = {"photos": [Photo(file="gone.jpg", caption="nobody will see it", lead=True)]}
        shelf.add(made, **{"hebrew": own, "lost": gone}.get(name, {}))
    report = shelf.publish()
    # A photo that is not there is named, and its page goes on without.
    assert [said for said in report.troubles if "gone.jpg" not in said] == []
    assert len(report.troubles) == 1
    assert len(report.written) == len(kinds) + 1
    return shelf.path / "journal"


@pytest.fixture(scope="module")
def browser(chromium):
    with sync_playwright() as player:
        found = player.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        yield found
        found.close()


@pytest.mark.parametrize("width", [360, 1280])
def test_hard_cooks_stay_inside_their_window(journal, browser, root, width):
    kept = root / ".test-artifacts" / "journal"
    kept.mkdir(parents=True, exist_ok=True)
    lists = [journal / "index.html", *sorted((journal / "tags").glob("*.html"))]
    for path in [*lists, *sorted((journal / "cooks").glob("*.html"))]:
        page = browser.new_page(viewport={"width": width, "height": 900})
        page.goto(path.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path.name
        clipped = page.evaluate(
            "[...document.querySelectorAll('h1, .outcome, .next p, .cooks strong, .beside b')]"
            ".filter(e => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display != 'inline')"
            ".map(e => e.className)"
        )
        assert clipped == [], path.name
        page.screenshot(path=kept / f"{path.stem}-{width}.png", full_page=True)
        page.close()


def test_twins_have_a_page_each_and_words_from_the_right_begin_there(journal, browser):
    index = (journal / "index.html").read_text(encoding="utf-8")
    assert index.count("Sunday ribs") == 2
    assert (journal / "cooks" / "2027-09-25-twin-one.html").is_file()
    assert (journal / "cooks" / "2027-09-25-twin-two.html").is_file()
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto((journal / "cooks" / "2027-09-25-hebrew.html").as_uri())
    for place in ("h1", ".outcome", ".next p", ".e-content"):
        direction = page.evaluate(
            "p => getComputedStyle(document.querySelector(p)).direction", place
        )
        assert direction == "rtl", place
    page.close()


def test_a_bare_cook_says_what_it_can_and_has_no_empty_parts(journal, browser):
    page = browser.new_page(viewport={"width": 360, "height": 900})
    page.goto((journal / "cooks" / "2027-09-25-bare.html").as_uri())
    sections = page.evaluate(
        "[...document.querySelectorAll('section')].map(e => [e.innerText.split('\\n')[0].replace('※', '').trim(),"
        " e.innerText.length])"
    )
    assert all(length > len(name) + 20 for name, length in sections), sections
    leads = page.evaluate(
        "[...document.querySelectorAll('.jump a')].map(e => !!document.querySelector(e.getAttribute('href')))"
    )
    assert leads
    assert all(leads)
    page.close()


def test_a_photo_that_is_lost_leaves_no_hole(journal):
    html = (journal / "cooks" / "2027-09-25-lost.html").read_text(encoding="utf-8")
    assert "<img" not in html
    assert "nobody will see it" not in html


def test_no_page_is_larger_than_a_page_may_be_a_cook_of_four_hundred_events_neither(journal):
    style = (journal / "style.css").stat().st_size
    sizes = {path.stem: path.stat().st_size + style for path in journal.rglob("*.html")}
    assert len(sizes) > 10
    assert {name: size for name, size in sizes.items() if size > 120_000} == {}
    # Of the four hundred none is lost: what is alike within an hour is told in one row.
    html = (journal / "cooks" / "2027-09-25-crowd.html").read_text(encoding="utf-8")
    rows = re.findall(r"(\d+) times, to", html)
    assert sum(map(int, rows)) > 250
