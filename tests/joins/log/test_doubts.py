"""Odd log lines: written, and said to be odd."""

from __future__ import annotations

from dataclasses import replace

import pytest
from paper_contexts import DAY, at

from stallwise.joins.log.paper import read_block

COOK = replace(DAY, now=at("2027-09-26 20:00"))


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ("2027-09-26 20:05 spritz", "has not come yet"),
        ("2027-09-28 10:00 spritz", "has not come yet"),
        ("2027-09-23 10:00 spritz", "2027-09-23 10:00 is 54 hours from the serving time"),
        ("2027-09-25 08:00 wrapped foil", "wrapped in foil before meat on at 09:00"),
        ("2027-09-25 08:00 A tender", "before meat on"),
        ("2027-09-25 08:00 A off", "before meat on"),
        ("2027-09-25 08:00 served", "before meat on"),
        ("1600 served\n1630 spritz", "spritzed after it was served at 16:00"),
        ("A 1600 served\n1630 wrapped foil", "after it was served"),
        ("20:00 wrapped foil", "4.0 h after the serving time"),
        ("1300 pit 250\n1300 pit 275", "250 °F is logged for the same minute"),
        ("1300 A core 215 F", "hotter than water boils"),
    ],
)
def test_what_is_odd_is_said(block, said):
    # A cook that is still to come may be logged ahead, and that is odd.
    now = at("2027-09-20") if said == "has not come yet" else COOK.now
    context = replace(COOK, now=now)
    line = read_block(block, context=context).lines[-1]
    assert line.state == "clear", line.question
    assert any(said in text for text in line.doubts), line.doubts


@pytest.mark.parametrize(
    "block",
    [
        "2027-09-22 18:00 salted",
        "1310 wrapped foil\n1600 served",
        "A 1600 served\nB 1630 spritz",
        "1630 off\n1715 served",
        "1300 pit 250\n1300 lid 275\n1301 pit 255",
        "1300 A core 165\n1300 B core 160",
    ],
)
def test_an_ordinary_sheet_raises_none(block):
    block = read_block(block, context=COOK)
    assert not block.asked
    assert not any(line.doubts for line in block.lines)


def test_one_oddness_is_said_in_one_way():
    line = read_block("2027-09-27 10:00 spritz", context=replace(COOK, now=None)).lines[0]
    assert len(line.doubts) == 1
