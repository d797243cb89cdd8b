"""Two notebooks open on one cook: neither writes over the other, and what both wrote is there once."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from stallwise.record import log
from stallwise.record.store import ChangedError

cooks = runpy.run_path(str(Path(__file__).with_name("cooks.py")))
BEFORE, QUICK = cooks["BEFORE"], cooks["QUICK"]


@pytest.fixture
def tabs(tmp_path):
    """Two desks over the same folder, as two tabs have them."""
    folder = cooks["shoulder"](cooks["start_book"](tmp_path))
    return [cooks["Desk"](folder, dict(QUICK), now=lambda: BEFORE) for _ in range(2)]


def line(text: str) -> log.LogLine:
    return log.LogLine(
        id=log.line_id(BEFORE, "A", text), at=BEFORE, what="note", made=BEFORE, piece="A", note=text
    )


def test_the_second_to_keep_is_shown_what_the_first_kept_and_loses_nothing(tabs):
    first, second = tabs
    first.change({"wrap": "paper"})
    second.change({"pit_start": "250 F"})
    first.keep()
    with pytest.raises(ChangedError, match="Nothing was written") as error:
        second.keep()
    assert '+wrap = "paper"' in error.value.diff
    assert second.unkept
    second.reload()
    second.keep()
    kept = first.folder.read()
    assert (kept.pieces[0].wrap, kept.pits[0].start) == ("paper", "250 F")


def test_what_both_log_is_there_once_and_in_the_order_it_was_written(tabs):
    first, second = tabs
    assert first.log([line("rain"), line("wind")]) == (2, 0)
    assert second.log([line("wind"), line("sun")]) == (1, 1)
    assert [one.note for one in first.folder.log().lines] == ["rain", "wind", "sun"]
