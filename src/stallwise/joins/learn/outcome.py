"""When a piece turned tender, as far as the log tells: between two looks, not at a minute."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stallwise.joins import timing
from stallwise.joins.learn.probed import core_probes
from stallwise.joins.plan import piece_cut
from stallwise.joins.result import FinishSeen
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece

__all__ = ["Outcome", "finish_seen", "outcome"]

_NO = frozenset({"not yet", "nearly"})
_YES = frozenset({"tender", "past it"})
#: Log words that say that a piece is done with.
_ENDS = frozenset({"off", "rest_start", "sliced", "pulled", "served"})
#: A probe that shows the finish to within this has reached it: readings are rounded.
_ROUNDED_K = 0.1


@dataclass(frozen=True)
class Outcome:
    """When a piece had its finish: after `low_h` and by `high_h`.

    Attributes
    ----------
    piece : str
        Letter.
    on_at : datetime
        Meat on, as logged.
    low_h, high_h : float
        Latest moment at which it was seen not to have it, and earliest at which it had [h since its
        meat on]; 0 and infinity where nobody looked.
    how : {"looks", "core", "off"}
        From feel checks, from core temperatures, or when it was taken off.
    """

    piece: str
    on_at: dt.datetime
    low_h: float
    high_h: float
    how: str

    @property
    def seen_at(self) -> dt.datetime:
        """When it was known: had, or at the last look that said not yet."""
        hours = self.high_h if self.high_h != float("inf") else self.low_h
        return self.on_at + dt.timedelta(hours=hours)

    @property
    def two_sided(self) -> bool:
        """Whether both ends were seen."""
        return self.low_h > 0.0 and self.high_h != float("inf")


def finish_seen(
    record: CookRecord, piece: Piece, until: dt.datetime | None = None
) -> FinishSeen | None:
    """Tell when a piece was first seen to have its finish; see `outcome`.

    Parameters
    ----------
    record : CookRecord
        The cook.
    piece : Piece
        One of its pieces.
    until : datetime, optional
        What was logged and read later is not known.

    Returns
    -------
    FinishSeen or None
        None where neither a feel check nor a core temperature said so: taken off tells no time.
    """
    found = outcome(record, piece, until)
    if found is None or found.how == "off" or found.high_h == float("inf"):
        return None
    target = piece_cut(record, piece).finish(piece.finish).target
    core_c = target.value if found.how == "core" else None
    return FinishSeen(found.seen_at.astimezone(record.zone), found.high_h, found.how, core_c)


def outcome(record: CookRecord, piece: Piece, until: dt.datetime | None = None) -> Outcome | None:
    """Tell when a piece had its finish.

    A finish by feel is bracketed by the last check "not yet" or "nearly" and the first "tender" or
    "past it" after that; the last word counts, for one spot may be ahead of another. A finish by
    core temperature is bracketed by the readings on either side of it, of a probe or by hand; where
    they never reach it, or there are none, taken off ends the bracket.

    Parameters
    ----------
    record : CookRecord
        The cook with all that was logged and read.
    piece : Piece
        One of its pieces.
    until : datetime, optional
        What was logged and read later is not known.

    Returns
    -------
    Outcome or None
        None while it is open: not on as logged, not finished yet, or nobody said how it felt.
    """
    lines = [line for line in timing.seen(record, until) if timing.concerns(line, piece)]
    on_at = timing.logged_on(lines, piece)
    if on_at is None:
        return None
    off = next((line.at for line in lines if line.what in _ENDS and line.at > on_at), None)
    target = piece_cut(record, piece).finish(piece.finish).target
    if target.kind == "core":
        end = min((at for at in (off, until) if at is not None), default=None)
        found = _by_core(record, piece, lines, on_at, target.value, off, end)
    else:
        found = _by_feel(lines, off)
    if found is None:
        return None
    low, high, how = found
    low_h = 0.0 if low is None else _hours(on_at, low)
    high_h = float("inf") if high is None else _hours(on_at, high)
    return Outcome(piece.letter, on_at, low_h, high_h, how) if high_h > 0.0 else None


_Bracket = tuple[dt.datetime | None, dt.datetime | None, str]


def _by_feel(lines: Iterable[LogLine], off: dt.datetime | None) -> _Bracket | None:
    said = [
        (line.at, str(line.data.get("verdict", ""))) for line in lines if line.what == "feel_check"
    ]
    low = max((at for at, verdict in said if verdict in _NO), default=None)
    high = min(
        (at for at, verdict in said if verdict in _YES and (low is None or at > low)), default=None
    )
    if high is None and (low is None or off is None):
        return None
    return low, high, "looks"


def _by_core(
    record: CookRecord,
    piece: Piece,
    lines: Sequence[LogLine],
    on_at: dt.datetime,
    target_c: float,
    off: dt.datetime | None,
    read_until: dt.datetime | None,
) -> _Bracket | None:
    seen = _core_seen(record, piece, lines, on_at, read_until)
    high = next((at for at, core_c in seen if core_c >= target_c - _ROUNDED_K), None)
    below = [at for at, _ in seen if high is None or at < high]
    low = below[-1] if below else None
    if high is not None:
        return low, high, "core"
    felt = _by_feel(lines, None)
    if felt is not None and felt[1] is not None:
        return felt[1] if low is None else min(low, felt[1]), felt[1], "looks"
    if off is None:
        return None
    # With no core temperature at all, when it was taken off is all there is.
    return (off if low is None else low), off, "off"


def _core_seen(
    record: CookRecord,
    piece: Piece,
    lines: Iterable[LogLine],
    on_at: dt.datetime,
    until: dt.datetime | None,
) -> list[tuple[dt.datetime, float]]:
    probes = core_probes(record.readings, piece.letter)
    read = list(probes[0].kept()) if probes else []
    by_hand = [
        (line.at, float(line.data["temperature_c"]))
        for line in lines
        if line.what == "core_reading" and line.data.get("temperature_c") is not None
    ]
    return sorted(
        (at, core_c)
        for at, core_c in [*read, *by_hand]
        if at >= on_at and (until is None or at <= until)
    )


def _hours(start: dt.datetime, end: dt.datetime) -> float:
    return max((end - start).total_seconds(), 0.0) / 3600.0
