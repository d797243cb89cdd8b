"""The printed sheet: one side of A4 and Letter, 16 point, nothing lost in silence."""

from __future__ import annotations

import datetime as dt
import json
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
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

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.sheet.dayresult import GoneStep, PitLoad, ShelfLoad
from stallwise.joins.sheet.steptable import caution_short
from stallwise.record.log import LogLine
from stallwise.surfaces import sheetprint
from stallwise.surfaces.paper import sheet_file
from stallwise.surfaces.shortening import shortened
from stallwise.surfaces.sides import Row, broken


def sheet_html(*args, **more):
    """The page with plain spaces, as somebody reads it."""
    return sheetprint.sheet_html(*args, **more).replace("\N{NO-BREAK SPACE}", " ")


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


#: What is cut off below or at the side, and letters smaller than 16 pt.
LOST = """() => { const out = [];
for (const b of document.querySelectorAll('.side')) {
  const box = b.getBoundingClientRect();
  if (b.scrollHeight > b.clientHeight || b.scrollWidth > b.clientWidth) out.push('side');
  for (const e of b.querySelectorAll('*:not(colgroup, col)')) {
    const r = e.getBoundingClientRect();
    if (r.bottom > box.bottom + 0.5 || r.right > box.right + 0.5) out.push(e.outerHTML);
    if (parseFloat(getComputedStyle(e).fontSize) < 21.3) out.push('small ' + e.outerHTML);
} }
return out; }"""


def printed(page, tmp_path, html):
    """Print a page; how many sides it takes, the size of one [pt], and what is lost on them."""
    file, pdf = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    file.write_text(html, encoding="utf-8")
    page.goto(file.as_uri())
    page.emulate_media(media="print")
    page.pdf(path=pdf, prefer_css_page_size=True)
    text = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    width, height = map(float, re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", text).groups())
    sides = int(re.search(r"Pages:\s+(\d+)\n", text)[1])
    return sides, (round(width), round(height)), page.evaluate(LOST)


@pytest.mark.browser
@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("cook", COOKS)
def test_it_prints_on_one_side(page, tmp_path, cook, paper):
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    html = sheetprint.sheet_html(COOKS[cook](), paper=paper)
    assert printed(page, tmp_path, html) == (1, SIZES[paper], [])
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
@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("reader", ["", "pit", "person"])
def test_what_cannot_fit_goes_on_overleaf_and_every_side_says_so(page, tmp_path, paper, reader):
    html = sheetprint.sheet_html(_many(), paper=paper, reader=reader)
    sides = html.count('<section class="side">')
    assert printed(page, tmp_path, html) == (sides, SIZES[paper], [])
    assert sides > 1
    assert f"It goes on overleaf: this is side 1 of {sides}." in html
    for number in range(2, sides + 1):
        assert re.search(
            rf"<h1>Six ways \(made up\) <span>[^<]* side {number} of {sides}, from\s", html
        )
    # Each side has its own lines to type in by, and its day at the top.
    assert html.count("Write short") == sides
    assert len(re.findall(r'<tbody>\s*<tr>\s*<th scope="row"><span class="day">', html)) == sides


def test_overleaf_nothing_is_left_out_or_told_in_a_row_of_hours_before():
    result = _many()
    html = sheet_html(result)
    assert html.count("Meat on") == 6
    assert "left out" not in html
    assert "; then" not in html
    for step in result.steps:
        assert step.what in html


def test_a_page_is_broken_where_the_day_pauses():
    def rows(*clocks):
        return [Row(10.0, at(f"2027-09-25 {clock}")) for clock in clocks]

    day = rows("08:00", "08:10", "08:20", "08:30", "08:40", "12:00", "12:10", "12:20", "12:30")
    assert broken(day, 60.0, 60.0) == [0, 5]
    assert broken(day, 100.0, 100.0) == [0]
    # A pause far from the middle leaves no side nearly empty, and no side is over full.
    assert broken(rows("08:00", "12:00", *[f"12:{10 + i}" for i in range(9)]), 60.0, 60.0) in (
        [0, 5],
        [0, 6],
    )


@given(
    rows=st.lists(st.tuples(st.floats(5.0, 60.0), st.integers(0, 300)), min_size=1, max_size=60),
    first=st.floats(80.0, 230.0),
)
def test_no_side_is_fuller_than_it_is_and_none_is_more_than_it_takes(rows, first):
    clock, day = at("2027-09-25 06:00"), []
    for height, pause in rows:
        clock += dt.timedelta(minutes=pause)
        day.append(Row(height, clock))
    starts = broken(day, first, 230.0)
    ends = [*starts[1:], len(day)]
    full = [sum(row.height_mm for row in day[a:b]) for a, b in zip(starts, ends, strict=True)]
    assert full[0] <= first
    assert all(0.0 < each <= 230.0 for each in full[1:])
    # No fewer sides would do: each but the last could not have held the next row as well.
    used, least = 0.0, 1
    for row in day:
        if used + row.height_mm > (first if least == 1 else 230.0):
            used, least = 0.0, least + 1
        used += row.height_mm
    assert len(starts) == least


def test_what_changed_since_the_last_print_is_marked():
    plan = COOKS["two racks"]()
    steps = tuple(
        replace(step, change="moved", was_at=at("2027-09-25 15:00"))
        if step.id.startswith("serve")
        else step
        for step in plan.steps
    )
    news = {"printed_at": at("2027-09-24 19:30"), "steps": steps}
    gone = (GoneStep("Wrap: paper", "B", "P", at("2027-09-25 12:45")),)
    html = sheet_html(replace(plan, **news, gone=gone))
    assert "<b>▸ Serve</b>, was 15:00" in html
    assert "▸ changed since the sheet printed Fri 19:30." in html
    assert "No longer: B Wrap: paper (12:45)." in html
    assert "▸" not in sheet_html(plan)


def test_each_pit_has_a_sheet_with_its_own_pieces_and_cautions():
    plan = replace(_many(), pit_names={"P": "offset", "Q": "drum"})
    steps = tuple(
        replace(s, pit="Q" if s.piece in {"E", "F"} and s.pit else s.pit) for s in plan.steps
    )
    fire = next(step for step in steps if step.id.startswith("fire_lit"))
    other = replace(fire, id="fire_lit-Q", pit="Q", caution="")
    html = sheet_html(
        replace(plan, steps=tuple(sorted((*steps, other), key=lambda s: s.at))), reader="pit"
    )
    first, second = re.split(r"pit Q: drum", html)[0], html[html.index("pit Q: drum") :]
    assert "pit P: offset" in first
    assert "A: Meat on" in first
    assert "E: Meat on" not in first
    assert "A: Meat on" not in second
    assert "outdoors: carbon monoxide" in second


def test_each_person_has_a_sheet_under_the_name_the_cook_chose():
    plan = COOKS["two racks"]()
    steps = tuple(
        replace(step, person={"A": "1", "B": "2"}.get(step.piece, "")) for step in plan.steps
    )
    html = sheet_html(replace(plan, steps=steps, roles=("cook", "table")), reader="person")
    assert html.count('<section class="side">') == 2
    cook, table = html.split("for table")
    assert "for cook" in cook
    assert "Light the fire" in cook
    assert "Light the fire" in table
    assert "<b>A: Meat on</b> →" in cook
    assert "A: Meat on" not in table


def test_what_several_do_together_is_on_the_sheet_of_each_and_says_whose_it_is_on_everybodys():
    plan = COOKS["two racks"]()
    steps = tuple(
        replace(step, person="1 2 3" if step.id.startswith("carve") else "1") for step in plan.steps
    )
    plan = replace(plan, steps=steps, roles=("cook", "table", "runner"))
    assert "<b>Cut between the bones</b>, everybody" in sheet_html(plan)
    each = sheet_html(plan, reader="person")
    assert each.count("<b>Cut between the bones</b>") == 3
    assert "<b>Cut between the bones</b>," not in each


def test_a_night_on_which_the_clocks_change_is_told():
    plan = COOKS["shoulder over night"]()
    steps = tuple(
        replace(s, at=s.at.replace(month=11, day=6 if s.at.day == 24 else 7))
        for s in plan.steps
        if s.at.day > 23
    )
    html = sheet_html(replace(plan, steps=steps))
    assert "The clocks go back on Sunday, from 02:00 to 01:00; it is counted in." in html


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("cook", COOKS)
def test_every_step_and_caution_is_on_paper(cook, paper):
    result = COOKS[cook]()
    html = sheet_html(result, paper=paper)
    for step in result.steps:
        assert step.what in html, step.id
        for short in caution_short(step.caution):
            said = short.replace("135 °F (57 °C)", "57 °C").replace("90 °F", "32 °C")
            assert html.count(said if result.units == "metric" else short) == 1
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
    from stallwise.joins.sheet.sheetwords import sheet_rows

    result = COOKS["two racks"]()
    rows = sheet_rows(result.steps, date=result.date, as_of=result.as_of)
    kept, _, one_side = shortened(rows, lambda *_: False)
    assert not one_side
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
    file.write_text(sheetprint.sheet_html(COOKS["two racks"]()), encoding="utf-8")
    done = subprocess.run(
        [java, "-jar", vnu_jar, "--format", "json", file],
        capture_output=True,
        text=True,
        check=False,
    )
    assert json.loads(done.stderr)["messages"] == []


def test_the_sheet_of_a_pit_says_who_lies_on_which_shelf():
    shelves = (ShelfLoad("upper", (("A", 1),), 0.4), ShelfLoad("lower", (("B", 2),), 0.8))
    load = PitLoad("P", at("2027-09-25 10:00"), at("2027-09-25 14:00"), shelves)
    plan = replace(COOKS["two racks"](), loads=(load,))
    said = "10:00 to 14:00: upper A, lower 2 B."
    assert said in sheet_html(plan, reader="pit")
    assert said not in sheet_html(plan)
