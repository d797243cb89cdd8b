"""Words that would do harm, in every field that takes words, in a real browser and in every file: they stay words."""

from __future__ import annotations

import dataclasses
import datetime as dt
import importlib.util
import itertools
import json
import re
import runpy
import tomllib
from pathlib import Path
from types import SimpleNamespace

import icalendar
import nbformat
import pytest
from defusedxml import ElementTree
from PIL import Image
from playwright.sync_api import sync_playwright

from stallwise.ground.errors import InputError
from stallwise.joins.ask import ask
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.surfaces.journal import publish
from stallwise.surfaces.journal.public import public_cook

pytestmark = pytest.mark.browser

_HERE = Path(__file__).parents[1]


def _beside(name):
    spec = importlib.util.spec_from_file_location(name, _HERE / "surfaces" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


planted, hostile = _beside("planted"), _beside("hostile")
_TASTED = runpy.run_path(str(_HERE / "pictures" / "test_tasted.py"))
MADE_AT = dt.datetime(2027, 11, 1, tzinfo=dt.UTC)
#: Runs on every page before anything of it: what would be harm leaves a mark.
WATCH = """
window.harm = [];
for (const kind of ["securitypolicyviolation", "error"])
  addEventListener(kind, e => { if (e.violatedDirective || e.message) window.harm.push(e.violatedDirective || e.message); }, true);
"""
LOOK = """() => {
  const found = [...window.harm];
  if (window.grabbed) found.push("ran");
  const ours = /^(\\.\\.\\/)?(search|scale|search-rows)\\.js$/;
  for (const node of document.querySelectorAll("*")) {
    const name = node.localName;
    if (name === "script" && !(node.type === "application/ld+json" || ours.test(node.getAttribute("src") || ""))) found.push("script");
    if (/^(iframe|frame|object|embed|base|form|style|template|math|foreignobject|animate|set|audio|video|noscript)$/.test(name)) found.push(name);
    for (const { name: key, value } of node.attributes) {
      if (/^on/.test(key) || key === "style" || key === "srcdoc" || key === "ping") found.push(`${name} ${key}`);
      if (/^(href|src|action|formaction|xlink:href|data|poster|background)$/.test(key)) {
        let whole;
        try { whole = new URL(value, document.baseURI); } catch { found.push(`${name} ${key}=${value}`); continue; }
        if (!/^(file|https?|mailto):$/.test(whole.protocol)) found.push(`${name} ${key}=${value}`);
        if (key !== "href" && whole.protocol !== "file:") found.push(`${name} ${key}=${value}`);
      }
    }
    if (name === "meta" && /refresh/i.test(node.httpEquiv)) found.push("refresh");
    if (name === "link" && !/^(stylesheet|icon|alternate|canonical)$/.test(node.rel)) found.push(`link ${node.rel}`);
  }
  return [...new Set(found)];
}"""


@pytest.fixture(scope="module")
def sown(tmp_path_factory):
    """A cook with a token in every field, and its answer."""

    def answered(record):
        public_cook(record.cook)
        if record.cook.photos[0].file != "a.jpg":
            raise InputError("another photo")
        return ask(record, made_at=MADE_AT, changes={"members": 20})

    made = planted.planted(tmp_path_factory.mktemp("sown"), answered)
    (folder,) = made.book.cooks()
    Image.new("RGB", (900, 600), "#803040").save(folder.path / "photos" / "a.jpg")
    record = folder.load()
    result = with_outcome(answered(record), record)
    trial = dataclasses.replace(
        _TASTED["result"](_TASTED["votes"](8)), question="Zq900j?", doubts=("Zq901j",)
    )
    return made, folder, record, dataclasses.replace(result, trials=(trial,))


def published(sown, out, words):
    """Publish a page for each way of putting words in the place of tokens."""
    made, folder, record, result = sown
    folders, results = [], {}
    book = planted.spoken(made.book.book, words[0])
    for n, word in enumerate(words):
        name = f"2027-09-25-page-{n}"
        # Names of a class are refused on a page: that is another test's.
        cook = planted.spoken(record.cook, word).model_copy(update={"lesson": None})
        results[name] = dataclasses.replace(planted.spoken(result, word), cook=name)
        held = SimpleNamespace(cook=cook, book=book, name=name, state=record.state)
        folders.append(
            SimpleNamespace(
                name=name,
                path=folder.path,
                load=lambda held=held: held,
                read=lambda cook=cook: cook,
            )
        )
    shelf = SimpleNamespace(
        path=made.book.path, book=book, cooks=lambda: folders, learned=lambda: None,
        held=lambda *_: None,
    )  # fmt: skip
    report = publish(
        shelf, [], out, made_at=MADE_AT, answer=lambda record, **_: results[record.name]
    )
    # A picked piece's picture is a file by name; what is said of one that is not there is for a terminal.
    assert all("not among the files" in said for said in report.troubles)
    return out


def harmless(out, chromium):
    """Open every page, look for every word, and see that nothing but words came of it."""
    pages = sorted(out.rglob("*.html"))
    bad = []
    with sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        context = browser.new_context()
        context.add_init_script(WATCH)
        page = context.new_page()
        page.on("dialog", lambda dialog: (bad.append("a dialog"), dialog.dismiss()))
        page.on("popup", lambda _: bad.append("a window"))
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith(out.as_uri())
                else bad.append(f"asked for {request.url}")
            ),
        )
        for path in pages:
            page.goto(path.as_uri())
            page.evaluate("document.querySelectorAll('details').forEach(fold => fold.open = true)")
            page.mouse.move(200, 200)
            bad += [f"{path.name}: {what}" for what in page.evaluate(LOOK)]
            if path.name == "index.html":
                page.fill("#looked-for", "2027")
                page.wait_for_selector(".hits a")
                bad += [f"search: {what}" for what in page.evaluate(LOOK)]
        browser.close()
    assert bad == []
    assert len(pages) > 10


def whole(out):
    """Every file that programs read is what it says it is, and nothing more came into it."""
    ElementTree.fromstring((out / "feed.xml").read_bytes())
    for path in out.rglob("*.ics"):
        calendar = icalendar.Calendar.from_ical(path.read_bytes())
        kinds = {part.name for part in calendar.walk()}
        assert kinds <= {"VCALENDAR", "VEVENT", "VTIMEZONE", "STANDARD", "DAYLIGHT", "VALARM"}
        assert not [part for part in calendar.walk() if part.get("attach") or part.get("url")]
    for path in out.rglob("*.toml"):
        lines = tomllib.loads(path.read_text("utf-8"))["lines"]
        assert all(not {"mix"} & line.keys() for line in lines), path
    for path in out.rglob("*.ipynb"):
        book = nbformat.read(path, as_version=4)
        nbformat.validate(book)
        assert [cell.cell_type for cell in book.cells] == ["markdown", "code", "code"]
    for path in out.rglob("*.json"):
        json.loads(path.read_text("utf-8"))
    for path in out.rglob("cooks/*.html"):
        told = re.findall(
            r'<script type="application/ld\+json">(.*?)</script>',
            path.read_text("utf-8"),
            re.DOTALL,
        )
        assert [json.loads(one)["@type"] for one in told] == ["Recipe"]
    files = {path.relative_to(out).parts[0] for path in out.rglob("*") if path.is_file()}
    assert files <= {
        "cooks", "cuts", "feed.xml", "files", "icon.svg", "index.html", "mixes", "photos", "scale.js",
        "search-rows.js", "search.js", "style.css", "tags", "trials", "years", ".journal.json",
        ".journal.lock", "tally.html",
    }  # fmt: skip


def test_every_field_is_sown_and_there_is_enough_to_sow(sown):
    made = sown[0]
    assert len(hostile.HOSTILE) >= 100
    fields = {where for where in made.tokens.values() if where.startswith("cook ")}
    assert len(made.tokens) > 50
    for known in (
        "title",
        "tags.0",
        "outcome",
        "notes",
        "pieces.0.note",
        "photos.0.caption",
        "number.name",
    ):
        assert f"cook {known}" in fields


def test_hostile_words_are_words_in_every_file_and_field(sown, tmp_path, chromium):
    """A string a field, and other ones on the next page: each string stands in several fields."""
    number = len(hostile.HOSTILE)

    def word(page):
        return lambda token: hostile.HOSTILE[(int(token[2:5]) + page * 29) % number]

    out = published(sown, tmp_path / "out", [word(page) for page in range(9)])
    whole(out)
    harmless(out, chromium)


@pytest.mark.audit
@pytest.mark.slow
def test_each_hostile_string_is_a_word_in_each_field(sown, tmp_path, chromium):
    words = [lambda _, said=said: said for said in hostile.HOSTILE]
    for n, some in enumerate(itertools.batched(words, 20) if hasattr(itertools, "batched") else
                             [words[at : at + 20] for at in range(0, len(words), 20)]):  # fmt: skip
        out = published(sown, tmp_path / f"out-{n}", list(some))
        whole(out)
        harmless(out, chromium)
