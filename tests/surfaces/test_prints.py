"""Night card, last minutes, labels and plain text: what stands on them, and that they fit paper."""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import replace

import pytest
from paper_contexts import at
from sheet_pieces import RIB_PITS, RIBS, SHOULDER, SHOULDER_PITS, result_of, rib, shoulder

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.limit.limitresult import Cards, Label
from stallwise.joins.sheet.nightresult import Alarm, IfThen, Look, NightCard
from stallwise.surfaces.labelprint import labels_html
from stallwise.surfaces.prints import PRINTS, print_of, text_of

NIGHT = NightCard(
    begins=at("2027-09-24 22:00"),
    ends=at("2027-09-25 07:00"),
    alarms=(
        Alarm("A", "shoulder A", "core_high", 88.0, "it is near: feel it", "forecast"),
        Alarm("P", "pit", "pit_low", 93.3, "the fire goes out: two splits", "forecast"),
    ),
    lines=tuple(IfThen(f"trouble {n}", f"way out {n}", "common-practice") for n in range(5)),
    looks=(
        Look(at("2027-09-25 01:30"), "2 splits on", "1"),
        Look(at("2027-09-25 04:30"), "2 splits on", ""),
    ),
    shifts=(("1", at("2027-09-24 22:00"), at("2027-09-25 03:00")),),
    caution="Charcoal gives off carbon monoxide.",
    source="forecast",
)
SLEPT = replace(result_of(SHOULDER, [shoulder()], SHOULDER_PITS), night=NIGHT, roles=("cook",))
LABELS = tuple(
    Label(
        f"Jar {n}", "made", "Sat 25 September 2027", "", "no rule of ours", "milk: check the label"
    )
    for n in range(9)
)
SIZES = {"a4": (595, 842), "letter": (612, 792)}


def plain(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html.replace("\N{NO-BREAK SPACE}", " ")))


def test_the_night_card_has_looks_alarms_and_five_ways_out():
    said = plain(print_of(SLEPT, reader="night"))
    assert "Fri 22:00 to 07:00" in said
    assert "01:30 2 splits on (cook)" in said
    assert "pit below 195 °F the fire goes out: two splits" in said
    assert "shoulder A at 190 °F" in said
    assert said.count("→ way out") == 5
    assert "Up: cook Fri 22:00 to 03:00." in said
    assert "! Charcoal gives off carbon monoxide." in said
    metric = plain(print_of(replace(SLEPT, units="metric"), reader="night"))
    assert re.search(r"below \d+ °C", metric)
    assert "°F" not in metric


def test_a_cook_on_which_nobody_sleeps_has_its_steps_by_night():
    said = plain(print_of(replace(SLEPT, night=None), reader="night"))
    assert "by night" in said
    assert "Move to the oven" in said
    assert "Thaw" not in said


def test_the_last_minutes_are_large_and_have_no_odds():
    ribs = result_of(RIBS, [rib("A"), rib("B", serve="2027-09-25 16:30")], RIB_PITS)
    html = print_of(replace(ribs, odds=0.9), reader="serving")
    assert float(re.search(r"font: ([\d.]+)pt", html)[1]) >= 18.0
    assert "time" not in plain(html).replace("last time", "").partition("Eat at")[2]
    assert plain(html).count("Eat at") == 2
    assert "0 min 16:00 A Serve" in plain(html)
    assert "  0 min  16:00  A: Serve" in text_of(ribs, reader="serving")
    with pytest.raises(InputError, match="no serving time"):
        print_of(result_of(RIBS, [rib("A", serve=None)], RIB_PITS), reader="serving")


def test_labels_leave_room_where_no_rule_says_how_long():
    html = labels_html(replace(SLEPT, cards=Cards(labels=LABELS)))
    assert html.count('<div class="label">') == 16  # two pages, filled with blank ones
    assert html.count("milk: check the label") == 9
    dated = replace(
        LABELS[0], until="Wed 29 September 2027 at the latest", rule="A rule (its maker)"
    )
    said = plain(labels_html(replace(SLEPT, cards=Cards(labels=(dated,)))))
    assert "use by Wed 29 September 2027 at the latest A rule (its maker)" in said


@pytest.mark.browser
@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("kind", ["night", "serving", "labels"])
def test_they_fit_their_paper(page, tmp_path, kind, paper):
    file, pdf = tmp_path / "print.html", tmp_path / "print.pdf"
    if kind == "labels":
        html = labels_html(replace(SLEPT, cards=Cards(labels=LABELS)), paper=paper)
    else:
        html = print_of(SLEPT, reader=kind, paper=paper)
    file.write_text(html, encoding="utf-8")
    page.goto(file.as_uri())
    page.pdf(path=pdf, prefer_css_page_size=True)
    text = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    width, height = map(float, re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", text).groups())
    assert (round(width), round(height)) == SIZES[paper]
    assert int(re.search(r"Pages:\s+(\d+)", text)[1]) == (2 if kind == "labels" else 1)
    wide = page.evaluate(
        "() => [...document.querySelectorAll('body *')].filter(e => e.scrollWidth > e.clientWidth + 1"
        " && getComputedStyle(e).display != 'inline').map(e => e.outerHTML)"
    )
    assert not wide


def test_they_are_sound_html(java, vnu_jar, tmp_path):
    made = {
        "night": print_of(SLEPT, reader="night"),
        "serving": print_of(SLEPT, reader="serving"),
        "pit": print_of(SLEPT, reader="pit"),
        "labels": labels_html(replace(SLEPT, cards=Cards(labels=LABELS))),
    }
    for name, html in made.items():
        (tmp_path / f"{name}.html").write_text(html, encoding="utf-8")
    asked = [java, "-jar", vnu_jar, "--format", "json", *sorted(tmp_path.glob("*.html"))]
    done = subprocess.run(asked, capture_output=True, text=True, check=False)
    assert json.loads(done.stderr)["messages"] == []


@pytest.mark.browser
@pytest.mark.parametrize("reader", PRINTS)
def test_on_a_phone_nothing_runs_out_at_the_side(page, tmp_path, reader):
    file = tmp_path / "print.html"
    file.write_text(print_of(SLEPT, reader=reader), encoding="utf-8")
    page.set_viewport_size({"width": 360, "height": 800})
    page.goto(file.as_uri())
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 360


@pytest.fixture(scope="module")
def page(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        yield browser.new_page()
        browser.close()


@pytest.mark.parametrize("reader", PRINTS)
def test_plain_text_has_every_step_and_no_long_line(reader):
    plan = replace(result_of(RIBS, [rib("A"), rib("B")], RIB_PITS), night=NIGHT)
    said = text_of(plan, reader=reader)
    assert max(map(len, said.splitlines())) <= 78
    if reader == "":
        joined = re.sub(r"\s+", " ", said)
        for step in plan.steps:
            assert step.what in joined
            assert step.caution in joined


def test_only_known_readers():
    with pytest.raises(NotFoundError):
        print_of(SLEPT, reader="everybody")
    with pytest.raises(NotFoundError):
        text_of(SLEPT, reader="everybody")
