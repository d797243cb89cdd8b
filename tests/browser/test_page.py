"""A page in a real browser, from the disk: nothing asked of a network, readable by everyone, small."""

from __future__ import annotations

import dataclasses
import json
import re
import runpy
import subprocess
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import sync_playwright

from stallwise.record.schema import Number, Photo
from tests.pictures.test_told import window
from tests.surfaces.test_journal_tally import row, tallied

pytestmark = pytest.mark.browser

_HERE = Path(__file__).parents[1]
_MADE = runpy.run_path(str(_HERE / "pictures" / "results.py"))
_TASTED = runpy.run_path(str(_HERE / "pictures" / "test_tasted.py"))
_SHELF = runpy.run_path(str(_HERE / "surfaces" / "test_journal.py"))["Shelf"]

#: A page without its photos [bytes].
PAGE_BYTES = 120_000


@pytest.fixture(scope="module")
def journal(tmp_path_factory):
    """A journal of two cooks, one with photos and every kind of words."""
    shelf = _SHELF(tmp_path_factory.mktemp("book"))
    shoulder = _MADE["shoulder"]()
    photos = [
        Photo(file=f"{name}.jpg", caption=name.replace("-", " ")) for name in ("the-slice", "bark")
    ]
    told = (
        window(-1.0, 12.7, 14.2, 15.9),
        window(6.0, 13.0, 14.1, 15.2),
        window(11.0, 13.4, 14.0, 14.9),
    )
    folder = shelf.add(
        dataclasses.replace(shoulder, kept=told, tallied=tallied(shoulder, row())),
        photos=photos,
        outcome="It pulled clean and stayed moist.",
        next_time="Wrap half an hour later.",
        notes="# Wind\n\nIt turned **at two**.\n\n- oak\n- ash\n\n| a | b |\n|---|---|\n| 1 | 2 |",
        tasting="T1 wanted more pepper.",
        number=Number(name="at the door", value=8.5, out_of=10),
        tags=["village hall", "windy"],
    )
    for photo in photos:
        Image.new("RGB", (1700, 1200), "#803040").save(folder / photo.file)
    tried = _TASTED["result"]
    # A trial of two and one of many arms, so that every part of that section is looked at too.
    trials = (tried(_TASTED["votes"](8), doubts=("No answer from T8.",)), tried(_TASTED["PLACES"]))
    shelf.add(dataclasses.replace(_MADE["ribs"](), trials=trials))
    assert not shelf.publish().troubles
    return shelf.path / "journal"


def pages(journal):
    """The index, the tally, a trial, a list of each kind, and every cook."""
    lists = [next((journal / kind).glob("*.html")) for kind in ("cuts", "mixes", "tags", "years")]
    of_several = [journal / "tally.html", *sorted((journal / "trials").glob("*.html"))]
    return [
        journal / "index.html",
        *of_several,
        *lists,
        *sorted((journal / "cooks").glob("*.html")),
    ]


def cooks(journal):
    return sorted((journal / "cooks").glob("*.html"))


@pytest.fixture(scope="module")
def browser(chromium):
    with sync_playwright() as player:
        found = player.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield found
        found.close()


@pytest.fixture
def visit(browser):
    """Open a page from the disk and note what it asks for and complains of."""
    contexts = []

    def go(path, *, width=768, scheme="light", **more):
        context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, **more
        )
        contexts.append(context)
        page = context.new_page()
        page.asked, page.said = [], []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("console", lambda message: page.said.append(message.text))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.goto(path.as_uri())
        return page

    yield go
    for context in contexts:
        context.close()


def test_from_disk_style_photos_and_pictures_are_there_and_nothing_else_is_asked(journal, visit):
    for path in pages(journal):
        page = visit(path)
        page.evaluate("document.querySelectorAll('img').forEach(image => image.loading = 'eager')")
        page.wait_for_load_state("networkidle")
        assert [url for url in page.asked if not url.startswith("file://")] == []
        assert page.said == []
        assert page.evaluate("getComputedStyle(document.body).borderTopWidth") != "0px"
        assert page.evaluate("[...document.images].every(image => image.naturalWidth > 0)")
        rest = page.evaluate(
            "[...document.querySelectorAll('svg [fill^=var]')].map(e => getComputedStyle(e).fill)"
        )
        assert path.parent.name != "cooks" or (rest and "rgb(0, 0, 0)" not in rest)


def test_the_policy_stops_what_should_not_be_there(journal, visit):
    page = visit(cooks(journal)[0])
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('script'), {text: 'window.ran = 1'}))"
    )
    page.evaluate(
        "document.body.append(Object.assign(new Image(), {src: 'http://127.0.0.1:9/p.gif'}))"
    )
    assert page.evaluate("window.ran") is None
    assert len([said for said in page.said if "Content Security Policy" in said]) == 2


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_accessible_by_day_and_night_on_a_phone_and_a_desk(journal, visit, axe_js, scheme, width):
    for path in pages(journal):
        page = visit(path, width=width, scheme=scheme, bypass_csp=True)
        page.evaluate("document.querySelectorAll('details').forEach(fold => fold.open = true)")
        page.evaluate(axe_js.read_text(encoding="utf-8"))
        found = page.evaluate("axe.run()")
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found["violations"]] == []


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_no_page_is_wider_than_its_window_and_one_picture_is_shown(journal, visit, width):
    for path in pages(journal):
        page = visit(path, width=width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        if path.parent.name == "cooks":
            shown = page.evaluate(
                "[...document.querySelectorAll('svg')].filter(e => e.getBoundingClientRect().width)"
                ".map(e => e.getBoundingClientRect().width / e.viewBox.baseVal.width)"
            )
            # Words in it are never under 11 px: 12.5 px at this scale.
            assert (
                len(shown) == 1 + page.locator(".dots").count()
            )  # not the wide and the narrow one
            assert min(shown) > 0.83


def test_the_search_answers_from_the_disk_and_the_list_is_read_without_it(journal, visit):
    page = visit(journal / "index.html")
    page.fill("#looked-for", "WINDY  súpper")
    page.wait_for_selector(".hits a")
    assert page.inner_text(".found") == "One cook:"
    assert page.get_attribute(".hits a", "href") == "cooks/2027-09-25-harvest-supper.html"
    page.fill("#looked-for", "<img src=x>")
    assert page.inner_text(".found") == "No cook found."
    assert page.said == []
    still = visit(journal / "index.html", java_script_enabled=False)
    assert not still.is_visible("#search")
    assert still.locator(".cooks li").count() == 2
    assert still.locator(".shelves a").count() > 5


def test_three_thousand_cooks_are_looked_through_in_no_time(journal, visit):
    rows = (journal / "search-rows.js").read_text(encoding="utf-8")
    one = json.loads(rows.partition(" = ")[2].rpartition(";")[0])[0]
    many = [
        [f"cooks/{n}.html", f"{one[1]} {n}", one[2], one[3], f"{one[4]} {n}"] for n in range(3000)
    ]
    page = visit(journal / "index.html")
    page.focus("#looked-for")
    page.wait_for_function("globalThis.cooksOfThisJournal")
    page.evaluate("rows => { globalThis.cooksOfThisJournal = rows }", many)
    took = page.evaluate("""() => {
      const box = document.getElementById("looked-for"), times = [];
      for (const asked of ["s", "supper", "supper rub 2999", "harvest wind pepper", "nothing"]) {
        box.value = asked;
        const start = performance.now();
        box.dispatchEvent(new Event("input"));
        void document.body.offsetHeight;
        times.push(performance.now() - start);
      }
      return Math.min(...times.slice(0, 3)) > 0 ? times.sort((a, b) => a - b) : [999];
    }""")
    assert took[2] < 50  # the middle one: a neighbour's load may hold up any single answer [ms]
    page.fill("#looked-for", "supper 2999")
    assert page.inner_text(".found") == "One cook:"


def test_a_rub_is_made_for_another_amount_on_the_page_and_read_without_that(journal, visit):
    path = journal / "cooks" / "2027-09-25-harvest-supper.html"
    still = visit(path, java_script_enabled=False)
    first = ".mix td.number >> nth=0"
    made = float(still.inner_text(first))
    assert not still.locator(".scale").count()
    page = visit(path)
    assert page.inner_text(first) == still.inner_text(first)
    box = page.locator(".scale input").first
    box.fill(str(2 * float(box.input_value())))
    assert float(page.inner_text(first)) == pytest.approx(2 * made, rel=0.05)
    assert not page.locator(".mix .spoons").first.is_visible()
    for nothing in ("", "-3", "0", "1e99"):
        box.fill(nothing)
        assert float(page.inner_text(first)) == made
    box.fill("7")
    page.locator(".scale button").first.click()
    assert float(page.inner_text(first)) == made
    assert page.locator(".mix .spoons").first.is_visible()
    assert page.said == []


def test_marks_open_their_words(journal, visit):
    page = visit(journal / "cooks" / "2027-09-25-harvest-supper.html")
    page.click('a.from[href="#from-salt"]')
    assert page.is_visible("#from-salt")


def test_by_night_on_paper_it_is_ink_on_white(journal, visit):
    page = visit(journal / "cooks" / "2027-09-25-harvest-supper.html", scheme="dark")
    dark = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.emulate_media(media="print", color_scheme="dark")
    assert dark != "rgb(255, 255, 255)"
    assert (
        page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
        == "rgb(255, 255, 255)"
    )


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_it_is_the_recipe_on_one_side_unless_the_whole_page_is_asked_for(
    journal, visit, paper
):
    path = journal / "cooks" / "2027-09-25-harvest-supper.html"
    page = visit(path, java_script_enabled=False)
    page.emulate_media(media="print")
    for shown in ("h1", ".next", ".sheet", ".caution >> nth=0", ".mix >> nth=0", ".on-paper"):
        assert page.is_visible(shown), shown
    for left in (
        ".day-picture",
        "#the-window",
        "#the-notes",
        "#the-taste",
        ".jump",
        ".take",
        ".span >> nth=0",
    ):
        assert not page.is_visible(left), left
    assert _sides(page, paper) == 1
    page.emulate_media(media="screen")
    page.check("#whole-page")
    page.emulate_media(media="print")
    assert page.is_visible(".day-picture")
    assert page.is_visible("#the-notes")
    assert 2 <= _sides(page, paper) <= 6


def _sides(page, paper):
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper, prefer_css_page_size=True)))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_on_paper_no_heading_stands_alone_and_no_footer_has_a_page(journal, visit, tmp_path, paper):
    for path in cooks(journal):
        page = visit(path)
        page.check("#whole-page")
        heads = set(
            page.evaluate(
                "[...document.querySelectorAll('h2, h3')].map(e => e.innerText.replace('※', '').trim())"
            )
        )
        assert len(heads) > 3
        page.evaluate("document.querySelectorAll('img').forEach(image => image.loading = 'eager')")
        page.wait_for_load_state("networkidle")
        file = tmp_path / "page.pdf"
        page.pdf(path=file, format=paper, prefer_css_page_size=True)
        command = ["pdftotext", "-layout", str(file), "-"]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        sheets = [
            [line.strip() for line in sheet.splitlines() if line.strip()]
            for sheet in said.removesuffix("\f").split("\f")
        ]
        assert len(sheets) <= 6
        assert "One cook's record and a forecast" in " ".join(sheets[0])
        for lines in sheets:
            assert len(lines) > 1
            assert lines[-1] not in heads
            assert not lines[0].startswith("Take care")


def test_markup_is_right(journal, java, vnu_jar):
    command = [java, "-jar", str(vnu_jar), "--format", "json", *map(str, pages(journal))]
    done = subprocess.run(command, capture_output=True, check=False)
    said = json.loads(done.stderr)["messages"]
    # It reads the policy by the rules of the web, where a file is nobody's own.
    said = [m for m in said if "Content Security Policy" not in m["message"]]
    assert [(m["url"].rpartition("/")[2], m.get("lastLine"), m["message"]) for m in said] == []
    style = [java, "-jar", str(vnu_jar), "--css", str(journal / "style.css")]
    assert subprocess.run(style, capture_output=True, check=False).returncode == 0


@pytest.mark.benchmark
def test_a_page_is_small(journal):
    style = (journal / "style.css").stat().st_size
    for path in pages(journal):
        assert path.stat().st_size + style < PAGE_BYTES, path.name
