"""Limits on every surface: the same words, each with its rule, nothing that tells of a kitchen."""

from __future__ import annotations

import datetime as dt
import json
import re

import pytest

from stallwise.cli.main import main
from stallwise.joins.ask import ask
from stallwise.joins.limit import limitwords
from stallwise.surfaces.journal.public import public_result
from stallwise.surfaces.limitprint import allergen_html, temperature_html
from stallwise.tables.limits import rules

COOK = "2026-09-26-harvest-supper"
BEYOND = re.compile(r"\b(safe|unsafe|compliant|pasteuri[sz]ed|sterile)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    place = tmp_path_factory.mktemp("limits") / "book"
    assert main(["init", str(place), "--sample"]) == 0
    for words, at in (
        ("A ice 32.5", "2026-09-26 00:20"),
        ("boiling 210", "2026-09-26 00:25"),
        ("in fridge", "2026-09-26 18:10"),
        ("stock 140", "2026-09-26 18:00"),
        ("stock 130", "2026-09-26 18:30"),
        ("stock 90", "2026-09-26 21:30"),
    ):
        assert main(["--cookbook", str(place), "log", COOK, words, "--at", at]) == 0
    return place


def answered(book):
    from stallwise.record.folder import Cookbook

    record = Cookbook.open(book).cook(COOK).load()
    now = dt.datetime(2027, 1, 1, tzinfo=dt.UTC)
    return record, ask(record, made_at=now, changes={"members": 20})


def test_the_command_says_state_rule_and_question(book, capsys):
    capsys.readouterr()
    assert main(["--cookbook", str(book), "limits", COOK]) == 0
    said = capsys.readouterr().out
    assert "Cooling in two stages: missed" in said
    assert "US FDA Food Code, 3-501.14" in said
    assert "To be answered:" in said
    assert "Your local code and the label come first." in said
    assert "Estimate:" in said
    assert not BEYOND.search(said)


def test_json_holds_the_keys_that_others_read(book, capsys):
    capsys.readouterr()
    assert main(["--cookbook", str(book), "limits", COOK, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    for one in found["limits"]:
        assert {"limit", "piece", "state", "rule", "needs"} <= one.keys()
        assert one["state"] in {"running", "met", "missed", "unknown"}
        assert one["rule"]
        assert (one["state"] != "unknown") or one["needs"]
    assert all(one["estimate"] in {"lethality", "growth"} for one in found["estimates"])


def test_both_sheets_are_written_once_and_hold_their_rules(book, tmp_path, capsys):
    temperatures, card = tmp_path / "t.html", tmp_path / "a.html"
    asked = ["--cookbook", str(book), "limits", COOK, "--print", str(temperatures)]
    assert main([*asked, "--allergens", str(card)]) == 0
    html = temperatures.read_text(encoding="utf-8")
    assert "145 °F (62.8 °C), then 3 min of rest" in html.replace("\N{NO-BREAK SPACE}", " ")
    assert "USDA FSIS minimum internal temperature chart" in html
    assert html.count('class="write"') >= 7
    words = card.read_text(encoding="utf-8")
    assert "check every label" in words
    assert "Smoked over oak" in words
    assert main(["--cookbook", str(book), "limits", COOK, "--print", "sheet.pdf"]) == 2


def test_paper_escapes_what_a_cook_wrote(book):
    _, result = answered(book)
    import dataclasses

    evil = dataclasses.replace(result, title="<script>alert(1)</script>")
    rows = evil.cards.temperatures
    for html in (temperature_html(evil.title, evil.date, rows), allergen_html(evil)):
        assert "<script>" not in html
        assert "&lt;script&gt;" in html
    with pytest.raises(Exception, match="paper"):
        temperature_html(result.title, result.date, rows, paper="a5")


def test_open_ones_first_and_the_met_in_one_line(book):
    _, result = answered(book)
    shown = limitwords.open_limits(result)
    assert shown[0].state == "missed"
    assert all(one.state != "met" for one in shown)
    assert "probe checked (A, B)" in limitwords.folded(result)
    assert limitwords.headline(result).startswith(f"{len(result.limits)} limits: ")


def test_a_page_tells_nothing_of_where_the_kitchen_is(book):
    _, result = answered(book)
    shown = public_result(result, [])
    assert shown.limits
    checks = [one for one in shown.limits if one.limit == "probe_check"]
    assert checks
    assert not any(one.facts for one in checks)
    assert "probe_check" in {event.what for event in result.events}
    assert "probe_check" not in {event.what for event in shown.events}
    assert not any(one.limit.startswith(("food", "roast", "plant", "date")) for one in shown.limits)
    for name in ("log", "readings", "limits"):
        assert public_result(result, [name]).limits == ()
        assert public_result(result, [name]).estimates == ()
    without = public_result(result, ["pieces.A"])
    assert "A" not in {one.piece for one in without.limits}


def test_the_page_has_its_section(book, tmp_path):
    out = tmp_path / "journal"
    assert main(["--cookbook", str(book), "publish", COOK, "--out", str(out)]) == 0
    html = (out / "cooks" / f"{COOK}.html").read_text(encoding="utf-8")
    start = html.index('id="the-limits"')
    section = html[start : html.index("</section>", start)]
    assert "Cooling in two stages: missed" in section
    assert "3-501.14" in section
    assert "Estimates by models" in section
    assert "cook.toml" not in section
    assert not BEYOND.search(section)


def test_the_panel_says_the_same_and_makes_both_sheets(book):
    from stallwise.record.folder import Cookbook
    from stallwise.surfaces.desk import Desk
    from stallwise.surfaces.widgets.limits import LimitsPanel

    now = dt.datetime(2027, 1, 1, tzinfo=dt.UTC)
    desk = Desk(Cookbook.open(book).cook(COOK), {"members": 20}, now=lambda: now)
    panel = LimitsPanel(desk, raises=True)
    for one in limitwords.told(desk.result, limitwords.open_limits(desk.result)):
        assert one.head in panel.shown.value
    panel.temperatures.click()
    panel.allergens.click()
    for name in ("temperatures.html", "allergens.html"):
        assert (desk.folder.path / name).is_file()


def test_the_panel_looks_rules_up_and_tries_ways_to_cool(book):
    from stallwise.record.folder import Cookbook
    from stallwise.surfaces.desk import Desk
    from stallwise.surfaces.widgets.limits import LimitsPanel

    desk = Desk(Cookbook.open(book).cook(COOK), {"members": 20})
    folds = LimitsPanel(desk, raises=True).folds
    folds.rule.value = "food_code_roast"
    folds.at.value = "143 F"
    assert "143 °F counts as 142 °F, held 8 min" in folds.rows.value
    assert "3-401.11(B)" in folds.rows.value
    folds.food.value, folds.depth.value = "stock", "4 in"
    folds.cool.click()
    assert "135 to 70 °F" in folds.ways.value
    assert "a forecast" in folds.ways.value
    assert "From 200 °F, 4 in deep in a pot 10 in wide" in folds.ways.value


def test_the_command_looks_a_rule_up_without_a_cook(capsys):
    capsys.readouterr()
    assert main(["limits", "--rules", "freezing", "--at", "-12 F", "--thick", "4 in"]) == 0
    said = capsys.readouterr().out
    assert "-12 °F for that thickness: 10 days" in said
    assert "-12 °F inside: 63 h" in said
    assert "since removed" in said
    assert "Your local code" in said
    assert main(["limits", "--rules", "all"]) == 0
    assert "3-501.19" in capsys.readouterr().out
    assert main(["limits", "--rules", "two_hours", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["rules"][0]["key"] == "two_hours"
    assert main(["limits", "--rules", "no such thing"]) == 2
    assert main(["limits"]) == 2
    capsys.readouterr()
    assert main(["limits", "--rules", "all", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    assert {"key": "two_hours", "rule": rules()["two_hours"].words} in listed["rules"]


@pytest.mark.parametrize(
    ("options", "first"),
    [
        (["--at", "130 F"], "--rules"),
        (["--rules", "freezing", "--thick", "4 in"], "--at"),
        (["--depth", "4 in"], "--cool"),
    ],
)
def test_an_option_that_nothing_reads_is_asked_about(options, first, capsys):
    assert main(["limits", *options]) == 2
    said = capsys.readouterr().err
    assert f"{options[-2]} without {first}" in said


CHICKEN = """\
schema = 1
title = "A bird with a jumpy probe"
date = 2026-05-01

[[pieces]]
letter = "A"
cut = "chicken-whole"
mass = "4 lb"
"""


@pytest.mark.parametrize(
    ("wild", "unit", "state"),
    [
        # What a sensor says as it starts, alone among 63s, is no core.
        ({14: "85.0"}, "C", "missed"),
        ({}, "C", "missed"),
        # The same bird with a probe that says °C and was told to be °F: nothing is known.
        ({}, "F", "unknown"),
    ],
)
def test_a_file_of_a_jumpy_or_misread_probe_meets_nothing(
    tmp_path, capsys, monkeypatch, wild, unit, state
):
    from stallwise.cli import notes
    from stallwise.record.folder import Cookbook

    monkeypatch.setattr(notes, "_keep_forecast", lambda *_: None)

    place = tmp_path / "book"
    book = Cookbook.start(place, title="Try", units="us", time_zone="Etc/UTC")
    cook = book.new_cook("jumpy", dt.date(2026, 5, 1), CHICKEN).path.name
    for words, at in (
        ("A ice 32", "11:00"),
        ("on", "12:00"),
        ("off", "16:50"),
        ("served", "17:00"),
    ):
        asked = ["--cookbook", str(place), "log", cook, words, "--at", f"2026-05-01 {at}"]
        assert main(asked) == 0
    core = [min(4.0 + 2.1 * n, 63.0 + 0.1 * (n % 2)) for n in range(61)]
    stamps = [f"2026-05-01 {12 + n * 5 // 60:02d}:{n * 5 % 60:02d}" for n in range(61)]
    rows = [f"{at},{wild.get(n, f'{core[n]:.1f}')}" for n, at in enumerate(stamps)]
    file = tmp_path / "probe.csv"
    file.write_text("\n".join(["time,A core", *rows]) + "\n", encoding="utf-8")
    asked = ["--cookbook", str(place), "readings", cook, str(file), "--unit", unit]
    assert main(asked) == 0
    capsys.readouterr()
    assert main(["--cookbook", str(place), "limits", cook, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["limits"]
    least = next(one for one in found if one["limit"] == "minimum")
    assert least["state"] == state
    assert ("°F or °C" in " ".join(least["needs"])) == (state == "unknown")


def test_without_a_front_end_the_cell_prints(book, capsys):
    from stallwise.record.folder import Cookbook
    from stallwise.surfaces.desk import Desk
    from stallwise.surfaces.notebook import CookNotebook

    desk = Desk(Cookbook.open(book).cook(COOK), {"members": 20})
    capsys.readouterr()
    CookNotebook(desk, panels=False).limits()
    said = capsys.readouterr().out
    assert "Limits that run or ask" in said
    assert "Your local code" in said


@pytest.mark.parametrize(
    ("option", "words"),
    [
        (("--depth", "5 ft"), "1/8 to 39 in"),
        (("--width", "0 in"), "1/2 to 118 in"),
        (("--from", "600 F"), "32 to 230 °F"),
        (("--from", "100 F"), "135 °F"),
    ],
)
def test_a_pot_that_cannot_be_is_refused_in_inches_too(option, words, capsys):
    assert main(["limits", "--cool", "stock", *option]) == 2
    assert words in capsys.readouterr().err


def test_cooling_is_looked_up_without_a_cook(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["limits", "--cool", "stock"]) == 0
    assert "From 200 °F, 8 in deep in a pot 10 in wide" in capsys.readouterr().out
    assert main(["limits", "--cool", "stock", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cooling"]
