"""How the vents stood, in the cook's words: now, and in earlier cooks at about the same pit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from stallwise.joins.fire.fuelling import has_fire, of_pit
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.foresight import Asked
from stallwise.joins.learn.knowledge import learned_entries
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.tables.parameters import parameter

__all__ = ["vents_before", "vents_now", "vents_plain"]

_Row = tuple[str, float, str]


def vents_now(lines: Sequence[LogLine]) -> str:
    """Say how they stand by the lines of a pit, the last word on each: ``intake half``."""
    found: dict[str, str] = {}
    for line in lines:
        if line.what == "vents":
            found[str(line.data.get("vent", "vents"))] = str(line.data.get("open", ""))
    return ", ".join(f"{vent} {how}" for vent, how in found.items())


def vents_plain(
    asked: Asked, pits: Mapping[str, PitState], hour_zero: dt.datetime
) -> list[list[str | float]]:
    """Vents of a finished cook for ``learned.json``: pit, what it was to hold [°C], words.

    Parameters
    ----------
    asked : Asked
        The cook with its lines.
    pits : mapping of letter to PitState
        As planned and set.
    hour_zero : datetime
        First piece on.
    """
    found: dict[tuple[str, float], str] = {}
    for letter, pit in pits.items():
        lines = of_pit(asked.lines, asked.cook, letter)
        steady = min(
            (line.at for line in lines if line.what in {"pit_steady", "meat_on"}), default=None
        )
        if not has_fire(pit) or steady is None:
            continue
        curve = curve_from(pit.points, 0.0)
        settled = dt.timedelta(minutes=parameter("vents.settled").value)
        for number, line in enumerate(lines):
            if line.what == "vents" and line.at >= steady:
                at_s = (line.at + settled - hour_zero).total_seconds()
                held_c = round(float(curve.at(at_s)), 1)
                found[pit.name, held_c] = vents_now(lines[: number + 1])
    return [[name, held_c, words] for (name, held_c), words in sorted(found.items())]


def vents_before(record: CookRecord, pit_name: str, pit_c: float) -> tuple[str, str]:
    """Vents that held about so much in the newest earlier cook on a pit, and that cook's date.

    Parameters
    ----------
    record : CookRecord
        The cook that is asked of.
    pit_name : str
        Its pit.
    pit_c : float
        What it is to hold [°C].
    """
    this = (record.cook.date.isoformat(), record.name)
    for entry in reversed(learned_entries(record.learned)):
        if (entry["date"], entry["cook"]) >= this:
            continue
        rows: list[_Row] = [
            (row[0], row[1], row[2]) for row in entry.get("vents", ()) if row[0] == pit_name
        ]
        near = min(rows, key=lambda row: abs(row[1] - pit_c), default=None)
        if near is not None and abs(near[1] - pit_c) <= parameter("vents.near").value:
            return near[2], str(entry["date"])
    return "", ""
