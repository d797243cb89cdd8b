"""The printed sheet: one side of A4 and Letter, 16 point, nothing lost in silence."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.steptable import caution_short
from stallwise.record.log import LogLine
from stallwise.surfaces.paper import sheet_file
from stallwise.surfaces.sheetprint import sheet_html
from stallwise.surfaces.shortening import shortened

sys.path.insert(0, str(Path(__file__).parents[1] / "joins"))
from paper_contexts import at
from sheet_pieces import (
    RIB_PITS,
    RIBS,
    SHOULDER,
    SHOULDER_PITS,
    drawn,
    result_of,
    rib,
    shoulder,
)

#: Width and height of a page [pt].
SIZES = {"a4": (595, 842), "letter": (612, 792)}


def _many():
    """Six pieces that all go their own way: no side of paper holds them."""
    letters = "ABCDEF"
    pieces = [
        RIBS.pieces[0].model_copy(update={"letter": letter, "pit": "P"}) for letter in letters
    ]
    cook = RIBS.model_copy(update={"pieces": pieces, "title": "Six ways (made up)", "mixes": []})
    sheet = [
        rib("A", on=f"2027-09-25 {7 + i:02d}:00", serve=f"2027-09-25 {14 + i}:30", piece=piece,
            tender_s=drawn(4 + i / 3, 0.1, i))
        for i, piece in enumerate(pieces)
    ]  # fmt: skip
    return result_of(cook, sheet, RIB_PITS)


COOKS = {
    "two racks": lambda: result_of(RIBS, [rib("A"), rib("B")], RIB_PITS),
    "racks apart": lambda: result_of(
        RIBS, [rib("A"), rib("B", on="2027-09-25 10:45", tender_s=drawn(3.6, 0.1, 2))], RIB_PITS
    ),
    "shoulder over night": lambda: result_of(SHOULDER, [shoulder()], SHOULDER_PITS, units="metric"),
}


#: Share of the width and blank lines that are for the pencil: the fuller the day, the fewer.
PENCIL = {
    ("two racks", "a4"): (0.45, 3),
    ("two racks", "letter"): (0.41, 2),
    ("racks apart", "a4"): (0.37, 1),
    ("racks apart", "letter"): (0.30, 0),
    ("shoulder over night", "a4"): (0.45, 4),
    ("shoulder over night", "letter"): (0.45, 4),
}


@pytest.fixture(scope="module")
def page(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        yield browser.new_page()
        browser.close()


@pytest.mark.browser
@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("cook", COOKS)
def test_it_prints_on_one_side(page, tmp_path, cook, paper):
    file = tmp_path / "sheet.html"
    file.write_text(sheet_html(COOKS[cook](), paper=paper), encoding="utf-8")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    page.emulate_media(media="print")
    pdf = tmp_path / "sheet.pdf"
    page.pdf(path=pdf, prefer_css_page_size=True)
    text = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Pages:\s+1\n", text), text
    width, height = map(float, re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", text).groups())
    assert (round(width), round(height)) == SIZES[paper]
    # Nothing is cut off below or at the side, and no letter is smaller than 16 pt.
    lost = page.evaluate(
        """() => { const out = []; const b = document.body; const box = b.getBoundingClientRect();
        if (b.scrollHeight > b.clientHeight || b.scrollWidth > b.clientWidth) out.push('body');
        for (const e of b.querySelectorAll('*')) {
          const r = e.getBoundingClientRect();
          if (r.bottom > box.bottom + 0.5 || r.right > box.right + 0.5) out.push(e.outerHTML);
          if (parseFloat(getComputedStyle(e).fontSize) < 21.3) out.push('small ' + e.outerHTML);
        }
        return out; }"""
    )
    assert not lost
    # Room for a pencil: a column, and lines as far apart as in a note book.
    share, high, blank = page.evaluate(
        """() => { const of = s => [...document.querySelectorAll(s)]
        .map(e => e.getBoundingClientRect());
        const r = of('td.pencil'), least = (a, of) => Math.min(...a.map(x => x[of]));
        return [least(r, 'width') / document.body.clientWidth, least(r, 'height') * 25.4 / 96,
                least(of('tr.blank'), 'height') * 25.4 / 96]; }"""
    )
    assert share >= PENCIL[cook, paper][0] - 0.005
    assert high >= 7.0
    assert blank is None or blank >= 7.9
    assert [url for url in asked if not url.startswith("file:")] == []


@pytest.mark.browser
def test_what_cannot_fit_goes_on_overleaf_and_says_so(page, tmp_path):
    html = sheet_html(_many(), paper="letter")
    assert "goes on overleaf" in html
    file = tmp_path / "sheet.html"
    file.write_text(html, encoding="utf-8")
    page.goto(file.as_uri())
    page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
    text = subprocess.run(
        ["pdftotext", tmp_path / "sheet.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout
    assert "Leftovers away" in text


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("cook", COOKS)
def test_every_step_and_caution_is_on_paper(cook, paper):
    result = COOKS[cook]()
    html = sheet_html(result, paper=paper)
    for step in result.steps:
        assert step.what in html, step.id
        for short in caution_short(step.caution):
            assert html.count(short) == 1
    assert (
        html.count("→ colour is right")
        == len({step.at for step in result.steps if step.id.startswith("wrap")})
        or "; then B" in html
    )
    for example in ("1310 wrapped foil", "+2:40 spritz", "1350 probe nearly"):
        assert html.count(example) == 1


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("cook", COOKS)
def test_there_are_lines_to_write_on_with_the_pit_beside(cook, paper):
    html = sheet_html(COOKS[cook](), paper=paper)
    blank = '<tr class="blank"><td></td><td></td><td class="pencil">pit</td></tr>'
    assert PENCIL[cook, paper][1] <= html.count(blank) <= 6


def test_a_later_piece_of_the_same_row_is_told_in_words():
    html = sheet_html(COOKS["racks apart"](), paper="letter")
    assert "<b>A: Meat on; then B 10:45</b>" in html
    assert "(B" not in html
    # Where is A's only: it is not for a row of both.
    assert "hot end" not in html


def test_a_sheet_of_a_cook_that_began_says_which_moment_it_stands_at():
    plan = COOKS["two racks"]()
    words = "The plan as it stood before meat on."
    assert words not in sheet_html(plan)
    assert words in sheet_html(replace(plan, state="finished", as_of=plan.hour_zero))
    running = replace(plan, state="running", as_of=at("2027-09-25 12:30"))
    assert "The plan as of 12:30." in sheet_html(running)


def test_a_name_of_a_pdf_is_refused_with_what_to_do():
    assert sheet_file("out/sheet.html") == Path("out/sheet.html")
    with pytest.raises(InputError, match=r"Write a\.html, open it in a browser and print it"):
        sheet_file("out/a.PDF")


def test_a_short_day_leaves_nothing_out():
    short = rib("A", serve=None, unwrap_s=None, wrap_kind="none")
    cook = RIBS.model_copy(update={"pieces": RIBS.pieces[:1], "mixes": []})
    pit = {"P": replace(RIB_PITS["P"], points=((0.0, 121.0),))}
    html = sheet_html(result_of(cook, [short], pit), paper="a4")
    assert "left out" not in html
    assert "every 20 min, in several spots" in html
    assert html.count('class="blank"') == 6


def test_shortening_says_what_is_gone_and_takes_the_least_dear():
    result = COOKS["racks apart"]()
    assert "left out to fit one side" in sheet_html(result, paper="letter")
    assert "→ smoke is clean" in sheet_html(result, paper="letter")


def test_nothing_fits_nothing_is_lost():
    from stallwise.joins.sheetwords import sheet_rows

    result = COOKS["two racks"]()
    rows = sheet_rows(result.steps, date=result.date, as_of=result.as_of)
    kept, said, one_side = shortened(rows, lambda *_: False)
    assert not one_side
    assert "overleaf" in said
    assert {row.kind for row in kept} >= {row.kind for row in rows} - {"thaw", "rest"}


def test_what_was_logged_is_printed_beside():
    when = at("2027-09-25 13:12")
    line = LogLine(id="1", at=when, what="wrapped", made=when, data={"kind": "foil"})
    html = sheet_html(result_of(RIBS, [rib("A"), rib("B")], RIB_PITS, lines=[line]))
    assert '<td class="pencil">13:12</td>' in html


def test_words_from_a_cook_are_words_on_paper():
    title = '<script>alert("x")</script> & "ribs"'
    result = replace(COOKS["two racks"](), title=title, text={"carried": "<b>less salt</b>"})
    html = sheet_html(result)
    assert "<script>" not in html
    assert "Last time you said: &lt;b&gt;less salt&lt;/b&gt;" in html


def test_only_known_papers_and_readers():
    with pytest.raises(NotFoundError):
        sheet_html(COOKS["two racks"](), paper="a3")
    night = sheet_html(COOKS["shoulder over night"](), reader="night")
    assert "Move to the oven" in night
    assert "Serve" not in night


def test_it_is_sound_html(java, vnu_jar, tmp_path):
    file = tmp_path / "sheet.html"
    file.write_text(sheet_html(COOKS["two racks"]()), encoding="utf-8")
    done = subprocess.run(
        [java, "-jar", vnu_jar, "--format", "json", file],
        capture_output=True,
        text=True,
        check=False,
    )
    assert json.loads(done.stderr)["messages"] == []
