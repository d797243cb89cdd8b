"""What is new since the sheet was last printed: a cook has that paper in hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.joins.instants import apart
from stallwise.joins.result import Result
from stallwise.joins.sheet.dayresult import GoneStep, Step
from stallwise.joins.sheet.sheetwords import shown_to, step_clock

__all__ = ["Marked", "marked", "printed_now"]

_KEPT = 2


@dataclass(frozen=True)
class Marked:
    """Steps with their marks against the sheet printed at `since`, and what stood on it alone."""

    steps: tuple[Step, ...]
    gone: tuple[GoneStep, ...] = ()
    since: dt.datetime | None = None


def printed_now(result: Result, before: Mapping[str, Any]) -> dict[str, Any]:
    """Give what to keep of a sheet that is printed now.

    Parameters
    ----------
    result : Result
        As printed.
    before : mapping
        What was kept of the last prints. The one before stays as long as the new one says the
        same, so that the pit's sheet and the night card, printed one after the other, have the
        same marks.
    """
    sheet = {
        "made_at": result.made_at.isoformat(),
        "steps": {step.id: _kept(step, result.as_of) for step in result.steps},
    }
    sheets = _sheets(before)
    if sheets and sheets[-1]["steps"] == sheet["steps"]:
        sheets.pop()
    return {"sheets": [*sheets, sheet][-_KEPT:]}


def _kept(step: Step, as_of: dt.datetime) -> dict[str, Any]:
    return {
        "what": step.what,
        "piece": step.piece,
        "pit": step.pit,
        "at": step.at.astimezone(dt.UTC).isoformat(),
        "shown": step_clock(step, as_of).astimezone(dt.UTC).isoformat(),
        "to_s": shown_to(step, as_of).total_seconds(),
    }


def marked(
    steps: Sequence[Step], printed: Mapping[str, Any], as_of: dt.datetime, zone: ZoneInfo
) -> Marked:
    """Mark steps against the newest printed sheet that says anything else.

    A step that is done is no news: what was logged stands beside it. A time is news when it
    moved by more than the paper could show.

    Parameters
    ----------
    steps : sequence of Step
        As they are now.
    printed : mapping
        From `printed_now`.
    as_of : datetime
        Moment of the forecast.
    zone : ZoneInfo
        The cook's.
    """
    for sheet in reversed(_sheets(printed)):
        found = tuple(_against(step, sheet["steps"], as_of, zone) for step in steps)
        gone = _gone(steps, sheet["steps"], zone)
        if gone or any(step.change for step in found):
            return Marked(found, gone, dt.datetime.fromisoformat(sheet["made_at"]).astimezone(zone))
    return Marked(tuple(steps))


def _sheets(printed: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give the sheets kept, oldest first; one that somebody spoilt is as good as none."""
    sheets = printed.get("sheets")
    return [one for one in sheets if _is_whole(one)] if isinstance(sheets, list) else []


def _is_whole(sheet: Any) -> bool:
    try:
        dt.datetime.fromisoformat(sheet["made_at"])
        for was in sheet["steps"].values():
            _ = was["what"] + was["piece"] + was["pit"], was["to_s"] + 0.0
            moments = [dt.datetime.fromisoformat(was[key]) for key in ("at", "shown")]
            if any(at.tzinfo is None for at in moments):
                return False
    except (KeyError, TypeError, ValueError, AttributeError):
        return False
    return True


def _against(step: Step, old: Mapping[str, Any], as_of: dt.datetime, zone: ZoneInfo) -> Step:
    if step.done_at is not None:
        return step
    was = old.get(step.id)
    if was is None or step.what != was["what"]:
        return replace(step, change="new")
    by = apart(step.at, dt.datetime.fromisoformat(was["at"]))
    shown = _shown(was, zone)
    if abs(by).total_seconds() < was["to_s"] or not apart(step_clock(step, as_of), shown):
        return step
    return replace(step, change="moved", was_at=shown)


def _gone(steps: Sequence[Step], old: Mapping[str, Any], zone: ZoneInfo) -> tuple[GoneStep, ...]:
    there = {step.id for step in steps}
    return tuple(
        GoneStep(was["what"], was["piece"], was["pit"], _shown(was, zone))
        for key, was in old.items()
        if key not in there
    )


def _shown(was: Mapping[str, Any], zone: ZoneInfo) -> dt.datetime:
    return dt.datetime.fromisoformat(was["shown"]).astimezone(zone)
