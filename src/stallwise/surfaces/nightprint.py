"""The night card on paper: what to set, when to get up, and what to do then; one side by the bed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from stallwise.joins import words
from stallwise.joins.instants import clock_change
from stallwise.joins.result import Result
from stallwise.joins.sheet.nightresult import NightCard
from stallwise.joins.sheet.nightwords import alarm_at, look_clock, names_of, night_lines
from stallwise.surfaces import letters
from stallwise.surfaces.letters import BOLD, MM_A_POINT, SIZE_PT
from stallwise.surfaces.paper import paper_named, template
from stallwise.surfaces.sheetprint import sheet_html
from stallwise.surfaces.sheettext import sheet_text, wrapped

__all__ = ["night_html", "night_text"]

#: Lines to write on at most, and their height [mm].
_BLANKS, _BLANK_MM = 6, 8.5
_LEADING = 1.09
_LINE_MM = SIZE_PT * _LEADING * MM_A_POINT
#: Share of the width of each column [%].
_COLUMNS = {"whose": 40.0, "sounds": 21.0, "when": 31.0, "look": 45.0}


def night_html(result: Result, *, paper: str = "a4") -> str:
    """Make the card of the night watch.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing. A cook on which nobody sleeps has its steps by night as a sheet.
    """
    night = result.night
    if night is None:
        return sheet_html(result, paper=paper, reader="night")
    card = {
        "title": result.title,
        "day": _when(night, result),
        "change": clock_change([night.begins, night.ends]),
        "looks": [
            (look_clock(look, result), look.what, names_of(look.who, result))
            for look in night.looks
        ],
        "alarms": _alarms(night, result),
        "lines": night.lines,
        "shifts": _shifts(night, result),
        "caution": night.caution,
    }
    sheet = paper_named(paper)
    left_mm = sheet.height_mm - _height_mm(card, sheet.width_mm)
    return template("night.html").render(
        **card,
        blanks=min(max(int(left_mm // _BLANK_MM), 0), _BLANKS),
        blank_mm=_BLANK_MM,
        leading=_LEADING,
        columns=_COLUMNS,
        paper=sheet,
    )


def _height_mm(card: Mapping[str, Any], width_mm: float) -> float:
    """Height that the card takes without a line to write on."""
    bold = SIZE_PT * BOLD

    def lines(text: str, share: float, size: float = SIZE_PT) -> int:
        return letters.lines(letters.together(text), width_mm * share / 100.0 - 2.0, size=size)

    count = 2 + lines(f"Up: {card['shifts']}.", 100.0) * bool(card["shifts"])
    count += lines(card["change"], 100.0)
    count += sum(lines(f"{what} ({who})", _COLUMNS["look"]) for _, what, who in card["looks"])
    wide = 100.0 - _COLUMNS["whose"] - _COLUMNS["sounds"]
    for whose, sounds, why in card["alarms"]:
        cells = (lines(whose, _COLUMNS["whose"], bold), lines(sounds, _COLUMNS["sounds"]))
        count += max(*cells, lines(why, wide))
    for line in card["lines"]:
        then = lines(f"→ {line.then}", 100.0 - _COLUMNS["when"])
        count += max(lines(line.when, _COLUMNS["when"], bold), then)
    count += lines(f"! {card['caution']}", 97.0)
    rows = len(card["looks"]) + len(card["alarms"]) + len(card["lines"])
    heads = 3 * (_LINE_MM + 3.0)
    return count * _LINE_MM + rows * 1.05 + heads + 6.0


def _alarms(night: NightCard, result: Result) -> list[tuple[str, str, str]]:
    """Give a line for each alarm; the same one of two pieces alike is one line."""
    found: dict[tuple[str, str], list[str]] = {}
    for alarm in night.alarms:
        found.setdefault((alarm_at(alarm, result.units), alarm.why), []).append(alarm.whose)
    return [(words.joined(whose), at, why) for (at, why), whose in found.items()]


def night_text(result: Result) -> str:
    """Write the same as plain text."""
    if result.night is None:
        return sheet_text(result, reader="night")
    return wrapped([result.title, *night_lines(result)])


def _when(night: NightCard, result: Result) -> str:
    begins, ends = (_clock(at, result) for at in (night.begins, night.ends))
    return f"{begins} to {ends}, {result.date.day} {result.date:%B}"


def _clock(at: dt.datetime, result: Result) -> str:
    return words.day_clock(at, result.date)


def _shifts(night: NightCard, result: Result) -> str:
    return "; ".join(
        f"{names_of(who, result)} {_clock(begins, result)} to {_clock(ends, result)}"
        for who, begins, ends in night.shifts
    )
