"""Papers of a crowd, a class and a contest in a browser: few pages, on both papers, and readable on a phone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import sync_playwright

from stallwise.joins.ask import ask
from stallwise.joins.contest.contestplan import contest_plan
from stallwise.joins.crowd.quote import quote
from stallwise.joins.lesson.lessonplan import lesson_plan
from stallwise.surfaces.contestprint import handins_html
from stallwise.surfaces.lessonprint import handouts_html, pits_html, slips_html, teacher_html
from stallwise.surfaces.minutesprint import minutes_html
from stallwise.surfaces.prints import print_of
from stallwise.surfaces.quoteprint import quote_html
from tests.joins.eventbook import AHEAD, event_book

#: Sides of each paper that are all there may be.
MOST = {"quote": 1, "teacher": 1, "slips": 1, "handouts": 6, "hand-ins": 1}
_PAGE = re.compile(rb"/Type\s*/Page\b")


def _papers(book, paper):
    crowd, lesson, contest = (
        book.cook(name).load() for name in ("fete-for-ninety", "class-of-twelve", "four-hand-ins")
    )
    result = ask(crowd, made_at=AHEAD)
    found = quote(crowd, result)
    yield (
        "crowd",
        {
            "quote": quote_html(found, result, note="Beans are the hall's own.", paper=paper),
            "sheet": print_of(result, paper=paper),
            "minutes": minutes_html(result, paper=paper),
            "night": print_of(result, reader="night", paper=paper),
        },
    )
    plan, result = lesson_plan(lesson, made_at=AHEAD)
    yield (
        "class",
        {
            "teacher": teacher_html(plan, result, paper=paper),
            "pits": pits_html(result, paper=paper),
            "slips": slips_html(plan, result, paper=paper),
            "handouts": handouts_html(plan, result, paper=paper),
        },
    )
    day, result = contest_plan(contest, made_at=AHEAD)
    yield (
        "contest",
        {
            "hand-ins": handins_html(day, result, paper=paper),
            "sheet": print_of(result, paper=paper),
            "minutes": minutes_html(result, paper=paper, verb="Hand in"),
        },
    )


@pytest.mark.audit
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_event_is_printed_on_fewer_than_twenty_pages(tmp_path, chromium, paper):
    book = event_book(tmp_path / "book")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 400, "height": 800})
        for event, papers in _papers(book, paper):
            sides = {}
            for name, html in papers.items():
                file = tmp_path / f"{event}-{name}.html"
                file.write_text(html)
                page.goto(file.as_uri())
                assert page.evaluate("document.documentElement.scrollWidth") <= 400, (event, name)
                sides[name] = len(_PAGE.findall(page.pdf(prefer_css_page_size=True)))
                assert sides[name] <= MOST.get(name, 9), (event, sides)
            assert sum(sides.values()) < 20, (event, sides)
        browser.close()
