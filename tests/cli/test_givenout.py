"""What is given out is kept: marks on the next print, updates in the next calendar."""

from __future__ import annotations

import json

import icalendar

from stallwise.cli.main import main

COOK = "2026-05-16-ribs"


def events(path):
    found = icalendar.Calendar.from_ical(path.read_text(encoding="utf-8")).walk("VEVENT")
    return {str(event["UID"]): event for event in found}


def test_a_second_calendar_replaces_the_first(book, capsys):
    assert main(["sheet", COOK, "--ics", "day.ics"]) == 0
    first = events(book / "day.ics")
    assert (
        main(["sheet", COOK, "--ics", "day.ics", "--set", "serve=18:00", "--set", "wrap=none"]) == 0
    )
    second = events(book / "day.ics")
    assert first.keys() == second.keys()
    assert any(int(event["SEQUENCE"]) == 1 for event in second.values())
    gone = {str(e["SUMMARY"]) for e in second.values() if e["STATUS"] == "CANCELLED"}
    assert gone == {"A: Wrap: foil"}
    capsys.readouterr()


def test_every_reader_has_paper_text_and_calendar(book, capsys):
    assert main(["sheet", COOK, "--for", "night", "--ics", "a.ics"]) == 2
    assert "no step to put into a calendar" in capsys.readouterr().err
    for reader in ("pit", "person", "serving"):
        files = ["--print", "a.html", "--text", "a.txt", "--ics", "a.ics", "--labels", "l.html"]
        assert main(["sheet", COOK, "--for", reader, *files]) == 0
        assert (book / "a.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert "Ribs" in (book / "a.txt").read_text(encoding="utf-8") or reader == "serving"
        assert events(book / "a.ics")
        assert main(["sheet", COOK, "--for", reader]) == 0
    assert "use by" in (book / "l.html").read_text(encoding="utf-8")
    capsys.readouterr()


def test_the_second_sheet_tells_what_moved_since_the_first(book, capsys):
    assert main(["sheet", COOK, "--print", "one.html"]) == 0
    assert main(["sheet", COOK, "--print", "two.html", "--set", "serve=18:00"]) == 0
    capsys.readouterr()
    assert main(["forecast", COOK, "--set", "serve=19:00", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    was = {step["id"]: step["was_at"] for step in result["steps"] if step["change"] == "moved"}
    assert was["serve-A"] == "2026-05-16T18:00:00+00:00"


def test_a_spoilt_note_of_the_last_print_keeps_no_forecast_back(book, capsys):
    assert main(["sheet", COOK, "--print", "one.html", "--ics", "one.ics"]) == 0
    for name in ("printed", "calendar"):
        (book / "cooks" / COOK / "results" / f"{name}.json").write_text("torn {", encoding="utf-8")
    capsys.readouterr()
    assert main(["sheet", COOK]) == 0
    said = capsys.readouterr()
    assert "What was last given out is not known" in said.err
    assert main(["check"]) == 1
    told = capsys.readouterr().out
    assert "printed.json" in told
    assert "calendar.json" in told
    # A calendar that forgot its numbers would be taken for an old one: that is refused.
    assert main(["sheet", COOK, "--ics", "one.ics"]) == 2
    assert main(["sheet", COOK, "--print", "one.html"]) == 0
