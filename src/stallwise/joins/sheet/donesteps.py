"""Which steps are done, by the log."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence

from stallwise.joins.result import Step
from stallwise.joins.timing import came_off, concerns
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece

__all__ = ["done_at", "is_past"]

Match = Callable[[LogLine], bool]


def _is(*whats: str) -> Match:
    return lambda line: line.what in whats


def _is_tender(line: LogLine) -> bool:
    return line.what == "feel_check" and line.data.get("verdict") in {"tender", "past it"}


#: What in a log each kind of step is done by; the first kind of line that is there counts.
_DONE_BY: Mapping[str, tuple[Match, ...]] = {
    "trim": (_is("trimmed"),),
    "trim_brisket": (_is("trimmed"),),
    "rub": (_is("rub_on"),),
    "fire_lit": (_is("fire_lit"),),
    "switch_on": (_is("fire_lit"), _is("pit_steady")),
    "pit_steady": (_is("pit_steady"),),
    "refuel": (_is("wood"),),
    "meat_on": (_is("meat_on"),),
    "look": (_is("spritz"), _is("bark"), _is("lid_open")),
    "spritz": (_is("spritz"),),
    "turn": (_is("turned"),),
    "climb": (_is("pit_set"),),
    "wrap": (_is("wrapped"),),
    "unwrap": (_is("unwrapped"),),
    "glaze": (_is("glazed"),),
    "move": (_is("moved"),),
    "check": (_is("feel_check"),),
    "tender": (_is_tender, _is("off")),
    "rest": (_is("rest_start"), _is("off")),
    "carve": (_is("sliced", "pulled"),),
    "serve": (_is("served"),),
    "cool": (_is("chilled"),),
    "chill": (_is("chilled"),),
    "chilled": (_is("cooling_reading"),),
    "reheat": (_is("reheating"), _is("reheated")),
}


def done_at(
    step: Step, piece: Piece | None, lines: Sequence[LogLine], *, only_pit: str = ""
) -> dt.datetime | None:
    """When a step was done, as logged; None while it is not.

    Parameters
    ----------
    step : Step
        Its id names its kind; a number at the end means the second or third of that kind.
    piece : Piece or None
        The piece it belongs to; None for a step of a pit or of the whole cook.
    lines : sequence of LogLine
        What was logged, corrections already in place.
    only_pit : str, optional
        Letter of the pit where there is one only.
    """
    kind, _, whose = step.id.partition("-")
    if kind == "job":
        return _job_done(step, lines)
    number = int(re.sub(r"\D", "", whose) or "1")
    for match in _DONE_BY.get(kind, ()):
        at = sorted(
            line.at for line in lines if match(line) and _belongs(line, step, piece, only_pit)
        )
        if len(at) >= number:
            return at[number - 1]
    return None


#: What is done to a piece on the pit and to no other.
_ON_PIT = frozenset({"look", "spritz", "turn", "wrap", "unwrap", "check"})


def is_past(step: Step, piece: Piece | None, lines: Sequence[LogLine]) -> bool:
    """Whether a step on the pit is no longer to be done: its piece came off and is not back."""
    if piece is None or step.done_at is not None or step.id.partition("-")[0] not in _ON_PIT:
        return False
    return came_off(lines, piece) is not None


def _job_done(step: Step, lines: Sequence[LogLine]) -> dt.datetime | None:
    """When a remark says that a side job is done: ``note: beans done``."""
    job = step.what.casefold()
    said = (
        line.at
        for line in lines
        if line.what == "note"
        and job in (words := f"{line.text} {line.note}".casefold())
        and "done" in words
    )
    return min(said, default=None)


def _belongs(line: LogLine, step: Step, piece: Piece | None, only_pit: str) -> bool:
    if piece is not None:
        return concerns(line, piece)
    return line.pit in {"", step.pit} or step.pit == only_pit
