"""What the readings suggest beside what was written down; what was written down wins."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain

import numpy as np

from stallwise.joins import timing
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.fire.pitseen import pit_probes
from stallwise.joins.foresight import Asked
from stallwise.joins.learn.probed import core_probes
from stallwise.joins.plan import Planned
from stallwise.joins.result import Inferred
from stallwise.models.tracegrid import Array, Sign
from stallwise.models.tracestages import core_signs, pit_signs
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Piece
from stallwise.tables.parameters import parameter

__all__ = ["inferred"]

_HANDS_ON = frozenset(
    {"meat_on", "spritz", "wrapped", "unwrapped", "turned", "glazed", "moved", "off", "feel_check"}
    | {"core_reading"}
)
_ENDS = frozenset({"off", "rest_start", "sliced", "pulled", "served"})

#: Log words that say the same as a sign, if they are near.
_SAME: Mapping[str, frozenset[str]] = {
    "lid_open": _HANDS_ON | {"lid_open", "wood"},
    "probe_moved": _HANDS_ON | _ENDS,
    "meat_on": frozenset({"meat_on"}),
    "wrapped": frozenset({"wrapped"}),
    "off": _ENDS,
    "feel_check": frozenset({"feel_check"}),
}
#: These happen once: a logged one further away wins too.
_ONCE = frozenset({"meat_on", "wrapped", "off", "feel_check"})
#: Each probe says these for itself.
_OF_PROBE = frozenset({"probe_moved", "probe_suspect"})
#: A logged start is looked at from a little before [s].
_BEFORE_ON_S = 900.0


def inferred(
    asked: Asked,
    planned: Sequence[Planned],
    pits: Mapping[str, PitState],
    *,
    hour_zero: dt.datetime,
) -> tuple[Inferred, ...]:
    """Read stages from the probes and lay them beside the log.

    Parameters
    ----------
    asked : Asked
        The cook, what was logged, and the moment: later readings do not count.
    planned : sequence of Planned
        Its pieces: how thick they are, how they are to end.
    pits : mapping of letter to PitState
        What the pits were to hold.
    hour_zero : datetime
        First piece on.

    Returns
    -------
    tuple of Inferred
        In order of time. One near a logged event of its kind carries it in `agrees_with`; one that
        a logged event further away speaks against is left out.
    """
    readings = asked.record.readings
    if not readings:
        return ()
    day = _Day(asked, hour_zero)
    found = [
        item
        for one in planned
        for item in _of_piece(day, readings, one, pits[_stands_in(one.piece, pits)])
    ]
    for letter in pits:
        here = [one.piece for one in planned if _stands_in(one.piece, pits) == letter]
        found += _of_pit(day, readings, letter, here)
    return tuple(sorted(found, key=lambda item: (item.elapsed_h, item.kind)))


@dataclasses.dataclass(frozen=True)
class _Day:
    """The log and the clock of a cook."""

    asked: Asked
    hour_zero: dt.datetime

    @property
    def lines(self) -> tuple[LogLine, ...]:
        return self.asked.lines

    def elapsed_s(self, when: dt.datetime) -> float:
        return when.timestamp() - self.hour_zero.timestamp()

    def at(self, elapsed_s: float) -> dt.datetime:
        moment = self.hour_zero.astimezone(dt.UTC) + dt.timedelta(seconds=elapsed_s)
        return moment.astimezone(self.asked.zone)

    def times_s(self, what: Iterable[str], piece: Piece) -> list[float]:
        words = set(what)
        return [
            self.elapsed_s(line.at)
            for line in self.lines
            if line.what in words and timing.concerns(line, piece)
        ]

    def trace(self, one: Readings) -> tuple[Array, Array]:
        time_s, value_c = one.elapsed(self.hour_zero, self.asked.as_of)
        return np.asarray(time_s), np.asarray(value_c)

    def item(self, sign: Sign, *, piece: str = "", pit: str = "", agrees: str = "") -> Inferred:
        likely = sign.confidence >= parameter("trace.likely").value
        return Inferred(
            kind=sign.kind,
            piece=piece,
            pit=pit,
            at=self.at(sign.at_s),
            elapsed_h=sign.at_s / 3600.0,
            until=None if sign.until_s is None else self.at(sign.until_s),
            temperature_c=sign.temperature_c,
            confidence=sign.confidence,
            words="likely" if likely else "perhaps",
            why=sign.why,
            agrees_with=agrees,
        )


def _stands_in(piece: Piece, pits: Mapping[str, PitState]) -> str:
    """Letter of a piece's pit, the first one where it names none."""
    return piece.pit or next(iter(pits))


def _of_piece(
    day: _Day, readings: Sequence[Readings], one: Planned, pit: PitState
) -> list[Inferred]:
    piece = one.piece
    probes = core_probes(readings, piece.letter)
    if not probes:
        return []
    off_s = min(day.times_s(_ENDS, piece), default=None)
    on_s = min(day.times_s({"meat_on"}, piece), default=None)
    pit_s, pit_c = _pit_trace(day, readings, piece, pit.letter)
    each_probe = []
    for probe in probes:
        time_s, core_c = day.trace(probe)
        if on_s is not None:
            since = time_s >= on_s - _BEFORE_ON_S
            time_s, core_c = time_s[since], core_c[since]
        each_probe.append(
            core_signs(
                time_s,
                core_c,
                pit_s=pit_s,
                pit_c=pit_c,
                plan_s=np.array([at for at, _ in pit.points]),
                plan_c=np.array([temp for _, temp in pit.points]),
                half_m=one.plan.body.half_thickness_m,
                wraps_s=day.times_s({"wrapped"}, piece),
                off_s=off_s,
                hint_c=None if one.plan.target.kind == "core" else parameter("trace.hint").value,
            )
        )
    found = []
    for sign in _merged(each_probe):
        agrees = _agrees(day, sign, piece)
        over = off_s is not None and sign.kind != "off" and sign.at_s > off_s
        if agrees is not None and not over:
            found.append(day.item(sign, piece=piece.letter, agrees=agrees))
    return found


def _of_pit(
    day: _Day, readings: Sequence[Readings], letter: str, here: Sequence[Piece]
) -> list[Inferred]:
    probes = pit_probes(readings, letter)
    if not probes or not here:
        return []
    ends = [min(day.times_s(_ENDS, piece), default=np.inf) for piece in here]
    sets = [
        day.elapsed_s(line.at)
        for line in day.lines
        if line.what == "pit_set" and line.pit in {"", letter}
    ]
    time_s, pit_c = day.trace(probes[0])
    first_on = min(chain.from_iterable(day.times_s({"meat_on"}, p) for p in here), default=0.0)
    found = []
    for sign in pit_signs(time_s, pit_c, set_s=[first_on, *sets], until_s=max(ends)):
        # What happens to a fire before meat on is lighting it.
        if sign.at_s < first_on - _BEFORE_ON_S:
            continue
        said = [_agrees(day, sign, piece) for piece in here]
        agrees = next((word for word in said if word), "")
        found.append(day.item(sign, pit=letter, agrees=agrees))
    return found


def _pit_trace(
    day: _Day, readings: Sequence[Readings], piece: Piece, letter: str
) -> tuple[Array | None, Array | None]:
    """Take the readings of the pit a piece stands in, until it is moved to another."""
    probes = pit_probes(readings, letter)
    if not probes:
        return None, None
    time_s, pit_c = day.trace(probes[0])
    here = time_s < min(day.times_s({"moved"}, piece), default=np.inf)
    return time_s[here], pit_c[here]


def _merged(each_probe: Sequence[Sequence[Sign]]) -> list[Sign]:
    """Several probes in a piece tell one stall once: the surest says it."""
    kept: list[Sign] = []
    for sign in sorted(chain.from_iterable(each_probe), key=lambda sign: -sign.confidence):
        if sign.kind in _OF_PROBE or not any(_overlap(sign, other) for other in kept):
            kept.append(sign)
    return sorted(kept, key=lambda sign: sign.at_s)


def _overlap(one: Sign, other: Sign) -> bool:
    if one.kind != other.kind:
        return False
    if one.kind in _ONCE:
        return True
    ends = [np.inf if sign.until_s is None else sign.until_s for sign in (one, other)]
    return one.at_s <= ends[1] and other.at_s <= ends[0]


def _agrees(day: _Day, sign: Sign, piece: Piece) -> str | None:
    """Log word that says the same near a sign; empty for none, None where the log says otherwise."""
    words = _SAME.get(sign.kind, frozenset())
    if not words:
        return ""
    near = parameter(f"trace.near.{sign.kind}").value
    said = [
        (abs(day.elapsed_s(line.at) - sign.at_s), line.what)
        for line in day.lines
        if line.what in words and timing.concerns(line, piece)
    ]
    if said and min(said)[0] <= near:
        return min(said)[1]
    return None if said and sign.kind in _ONCE else ""
