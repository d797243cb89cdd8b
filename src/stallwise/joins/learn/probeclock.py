"""Clocks that disagree: the readings of a file beside the log, and beside those of another file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from zoneinfo import ZoneInfo

import numpy as np

from stallwise.ground.errors import CookWarning
from stallwise.ground.formats import format_duration
from stallwise.joins import timing
from stallwise.joins.fire.pitseen import pit_probes
from stallwise.joins.learn.probed import core_probes
from stallwise.models.traceclock import (
    Apart,
    Clue,
    clocks_apart,
    of_moment,
    of_openings,
    of_values,
    on_s,
)
from stallwise.models.tracegrid import Array
from stallwise.models.tracestages import core_signs, pit_signs
from stallwise.record.log import LogLine
from stallwise.record.readings import Channel, Readings
from stallwise.record.schema import Cook, Piece
from stallwise.tables.parameters import parameter

__all__ = ["clock_questions", "clock_warnings"]

#: Words of the log for which the lid was open.
_HANDS_ON = frozenset(
    {"meat_on", "spritz", "wrapped", "unwrapped", "turned", "glazed", "moved", "off", "feel_check"}
    | {"core_reading", "lid_open"}
)
_ENDS = frozenset({"off", "rest_start"})
_TOLD = _ENDS | {"wrapped"}
#: Surer signs than this tell a moment.
_SURE = 0.6
#: So many readings of another file are compared at most, and at least.
_THINNED, _BESIDE = 72, 12
#: More readings than this of a probe tell no more of its clock.
_PLENTY = 5000


@dataclass(frozen=True)
class _Day:
    """What was written down of a cook, in seconds from its first line."""

    cook: Cook
    lines: Sequence[LogLine]
    zone: ZoneInfo
    until: dt.datetime | None = None

    @property
    def zero(self) -> dt.datetime:
        return timing.first_on(self.lines) or self.lines[0].at

    def second(self, when: dt.datetime) -> float:
        return (when - self.zero).total_seconds()

    def clock(self, second: float) -> str:
        return f"{(self.zero + dt.timedelta(seconds=second)).astimezone(self.zone):%H:%M}"

    def trace(self, one: Readings) -> tuple[Array, Array]:
        step = max(1, len(one.at) // _PLENTY)
        some = replace(one, at=one.at[::step], temperature_c=one.temperature_c[::step])
        time_s, value_c = some.elapsed(self.zero, self.until)
        return np.asarray(time_s), np.asarray(value_c)

    def numbers(self, what: str, letter: str, place: str = "") -> list[tuple[float, float]]:
        """Take times and temperatures written down of a piece or pit, as read at a place."""
        return [
            (self.second(line.at), float(line.data["temperature_c"]))
            for line in self.lines
            if line.what == what
            and line.data.get("temperature_c") is not None
            and letter in {line.piece, line.pit}
            and str(line.data.get("place") or place) == place
        ]


def clock_questions(
    cook: Cook,
    lines: Sequence[LogLine],
    channels: Iterable[Channel],
    held: Sequence[Readings],
    *,
    zone: ZoneInfo,
) -> list[str]:
    """Ask about the clock of a file before it is brought in.

    Parameters
    ----------
    cook : Cook
    lines : sequence of LogLine
        What was logged, in order of time.
    channels : iterable of Channel
        What was understood of the file.
    held : sequence of Readings
        What the cook has of other files.
    zone : ZoneInfo
        In which times are shown.

    Returns
    -------
    list of str
        A question with the option that answers it, or none.
    """
    mine = [
        Readings("", one.name, one.piece, one.pit, one.place, one.at, one.temperature_c)
        for one in channels
        if one.at and (one.piece or one.pit)
    ]
    if not mine:
        return []
    apart = clocks_apart(_by_log(_Day(cook, lines, zone), mine)) if lines else None
    if apart is not None:
        to = _moved(-apart.shift_s)
        zoned = ", or --zone if it stood in another zone" if _whole(apart) else ""
        ask = (
            f"The readings come about {_moved(apart.shift_s)} than what was written down: "
            f"{'; '.join(apart.why)}. Which clock is right? If the probe's was wrong (summer time, or "
            f"never set) say --shift '{to}'{zoned}; if it was right say --shift 0 and mend the log"
        )
        return [ask]
    return [
        f"The readings of {letter} come about {_moved(apart.shift_s)} than those in {file}, which are there "
        f"already: one of the two clocks is wrong. If it is this file's, say --shift "
        f"'{_moved(-apart.shift_s)}'; if it is the other's, say --shift 0 here, and bring that file in "
        f"again with --shift '{_moved(apart.shift_s)}' --overlap replace"
        for file, letter, apart in _by_files(mine, held)
    ][:1]


def clock_warnings(
    cook: Cook,
    lines: Sequence[LogLine],
    readings: Sequence[Readings],
    *,
    zone: ZoneInfo,
    until: dt.datetime | None = None,
) -> tuple[CookWarning, ...]:
    """Say which files of readings stand apart from a log that was typed later.

    Parameters
    ----------
    cook, lines, zone
        As for `clock_questions`.
    readings : sequence of Readings
        What the cook has; files whose clock was answered for are left alone.
    until : datetime, optional
        Later readings do not count.
    """
    found = []
    for file, some in groupby(sorted(readings, key=_file), key=_file):
        mine = [one for one in some if not one.clock_said]
        day = _Day(cook, lines, zone, until)
        apart = clocks_apart(_by_log(day, mine)) if mine and lines else None
        if apart is not None:
            text = (
                f"The readings in {file} come about {_moved(apart.shift_s)} than what was written down: "
                f"{'; '.join(apart.why)}. If the probe's clock was wrong, bring its file in again with "
                f"--shift '{_moved(-apart.shift_s)}' --overlap replace; if it was right, "
                "with --shift 0 --overlap replace"
            )
            found.append(CookWarning("clocks-apart", text))
    return tuple(found)


def _file(one: Readings) -> str:
    return one.file.rpartition("/")[2]


def _by_log(day: _Day, mine: Sequence[Readings]) -> list[Clue]:
    found: list[Clue | None] = []
    for piece in day.cook.pieces:
        probes = core_probes(mine, piece.letter)
        for probe in probes:
            found += _of_core(day, piece, probe, first=probe is probes[0])
    for letter in {one.pit: None for one in mine if not one.piece}:
        for probe in pit_probes(mine, letter)[:1]:
            found += _of_pit(day, letter, probe)
    return [clue for clue in found if clue is not None]


def _of_core(day: _Day, piece: Piece, probe: Readings, *, first: bool) -> Iterator[Clue | None]:
    time_s, core_c = day.trace(probe)
    letter = piece.letter
    on = timing.logged_on(day.lines, piece)
    began = on_s(time_s, core_c) if on else None
    if on and began:
        said_s = day.second(on)
        name = f"{letter} went on about {day.clock(began[0])} by its core, {day.clock(said_s)} by the log"
        yield of_moment(name, began[0], said_s, began[1])
    signs = core_signs(time_s, core_c) if any(line.what in _TOLD for line in day.lines) else ()
    for kind, words, done, doubt in (
        ("off", _ENDS, "came off", "clock.off_doubt"),
        ("wrapped", {"wrapped"}, "was wrapped", "clock.wrap_doubt"),
    ):
        said = [
            day.second(line.at)
            for line in day.lines
            if line.what in words and timing.concerns(line, piece)
        ]
        sure = [sign for sign in signs if sign.kind == kind and sign.confidence >= _SURE]
        if said and len(sure) == 1:
            at_s = sure[0].at_s
            name = f"{letter} {done} about {day.clock(at_s)} by its core, {day.clock(said[0])} by the log"
            yield of_moment(name, at_s, said[0], parameter(doubt).value)
    if first:
        yield of_values(
            f"the cores written down of {letter} fit that",
            time_s,
            core_c,
            day.numbers("core_reading", letter),
            doubt_k=parameter("clock.core_doubt").value,
            lasting_k=parameter("clock.core_lasting").value,
        )


def _of_pit(day: _Day, letter: str, probe: Readings) -> Iterator[Clue | None]:
    time_s, pit_c = day.trace(probe)
    pieces = [one for one in day.cook.pieces if one.pit in {None, letter}]
    hands = sorted(
        {
            day.second(line.at)
            for line in day.lines
            if line.what in _HANDS_ON and any(timing.concerns(line, one) for one in pieces)
        }
    )
    hands = [at_s for at_s in hands if len(time_s) and time_s[0] <= at_s <= time_s[-1]]
    lids = [sign for sign in pit_signs(time_s, pit_c) if sign.kind == "lid_open"]
    some = ", ".join(day.clock(sign.at_s) for sign in lids[:3])
    yield of_openings(f"by pit {letter} the lid was open at {some}", lids, hands)
    yield of_values(
        f"the numbers written down of pit {letter} fit that",
        time_s,
        pit_c,
        day.numbers("pit_reading", letter, probe.place)
        + day.numbers("pit_reading", "", probe.place),
        doubt_k=parameter("clock.pit_doubt").value,
        lasting_k=parameter("clock.pit_lasting").value,
    )


def _by_files(
    mine: Sequence[Readings], held: Sequence[Readings]
) -> Iterator[tuple[str, str, Apart]]:
    for one in mine:
        for other in held:
            if (one.piece, one.pit) != (other.piece, other.pit) or len(other.at) < 2:
                continue
            zero = other.at[0]
            time_s, value_c = (np.asarray(each) for each in one.elapsed(zero))
            begin, end = (when.timestamp() - zero.timestamp() for when in (one.at[0], one.at[-1]))
            there = [
                point
                for point in zip(*other.elapsed(zero), strict=True)
                if begin <= point[0] <= end
            ]
            kind = "core" if one.piece else "pit"
            clue = of_values(
                "",
                time_s,
                value_c,
                there[:: max(1, len(there) // _THINNED)],
                doubt_k=parameter(f"clock.{kind}_doubt").value,
                lasting_k=parameter(f"clock.{kind}_lasting").value,
                most=parameter("clock.files").value,
                least=_BESIDE,
            )
            apart = clocks_apart([clue]) if clue else None
            if apart is not None:
                letter = f"piece {one.piece}" if one.piece else f"pit {one.pit}"
                yield _file(other), letter, apart


def _whole(apart: Apart) -> bool:
    return apart.shift_s % 3600.0 == 0.0


def _moved(shift_s: float) -> str:
    return f"{format_duration(abs(shift_s))} {'later' if shift_s > 0 else 'earlier'}"
