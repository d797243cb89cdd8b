"""The sample events in a cookbook of their own, and the test that a day's sheet holds together."""

from __future__ import annotations

import datetime as dt
import itertools
from collections import defaultdict
from pathlib import Path

from stallwise.joins.crowd.quotetakes import box_rooms
from stallwise.joins.result import Result
from stallwise.record.cook import CookRecord
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

#: Asked some weeks ahead.
AHEAD = dt.datetime(2027, 5, 1, 12, tzinfo=dt.UTC)
#: Who cuts and carries is shared out in stints by `tablework`, and tested there.
_SHARED = {"carve", "pan", "carry", "serve"}


def event_book(path: Path) -> Cookbook:
    """A cookbook with the sample events in it."""
    book = Cookbook.start(path, title="Events", time_zone="Etc/GMT+5")
    bring_sample(book, "events")
    return book


def holds_together(record: CookRecord, result: Result) -> None:
    """Nobody is in two places, no pan in two boxes, nothing is served before its limits ask or are met."""
    assert not [
        one for one in result.warnings if one.key in {"hands", "pit-full", "box-full", "two-heats"}
    ]
    _nobody_twice(result)
    for box in box_rooms(record, result):
        assert box.pans <= box.room, box
    held = [letter for box in box_rooms(record, result) for letter in box.pieces]
    assert len(held) == len(set(held))
    order = {step.id: step for step in result.steps}
    for piece in result.pieces:
        asked = [one for one in result.limits if one.piece == piece.piece]
        assert any(one.state == "met" or one.needs for one in asked), piece.piece
        assert not [one for one in asked if one.state == "missed"]
        if piece.serve_at:
            tender, serve = order[f"tender-{piece.piece}"], order[f"serve-{piece.piece}"]
            assert tender.at < order[f"carve-{piece.piece}"].at < serve.at


def _nobody_twice(result: Result) -> None:
    busy = defaultdict(list)
    for step in result.steps:
        kind = step.id.partition("-")[0]
        if kind not in _SHARED and step.hands_s:
            for who in step.person.split():
                end = step.at + dt.timedelta(seconds=step.hands_s)
                busy[who].append((step.at, end, (kind, step.pit, step.at)))
    for who, spans in busy.items():
        spans.sort(key=lambda one: one[:2])
        for (_, end, visit), (begin, _, other) in itertools.pairwise(spans):
            assert end <= begin or visit == other, (who, visit, other)
