"""Numbers of log lines: they stay, whatever is written or taken back later."""

from __future__ import annotations

from dataclasses import replace

import pytest
from paper_contexts import DAY, at

from stallwise.ground.errors import InputError
from stallwise.joins.log.logbook import find_line, numbered
from stallwise.joins.log.paper import read_block
from stallwise.record.log import withdrawal


def test_a_number_stays_with_its_line():
    lines = read_block("1310 spritz\n2027-09-25 12:00 lid\n1400 turned\n", context=DAY).entries
    before = numbered(lines)
    assert [each.number for each in before] == [2, 1, 3]
    gone = (*lines, withdrawal(lines[0], made=at("2027-09-26")))
    assert [(e.number, e.state) for e in numbered(gone)] == [
        (2, "holds"), (1, "taken back"), (3, "holds"),
    ]  # fmt: skip
    mended = (*gone, replace(lines[2], id="x", corrects=lines[2].id))
    assert find_line(mended, "3").state == "corrected"
    assert find_line(mended, lines[1].id).number == 2
    with pytest.raises(InputError, match="1 to 4"):
        find_line(mended, "9")
