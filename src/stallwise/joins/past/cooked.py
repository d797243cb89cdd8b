"""One piece of a cook, as it stood before meat on and as it was then cooked."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.joins import timing
from stallwise.joins.answer import answer
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.foresight import Asked, plan_pieces, question
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.joins.plan import Planned
from stallwise.joins.result import PieceResult, Result
from stallwise.models.plan import Facts, PiecePlan, PitCurve, Wrap
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece

__all__ = ["Cooked", "cooked"]

#: Readings of a pit are taken together over this time: a forecast steps no shorter [s].
_BUCKET_S = 600.0


@dataclass(frozen=True)
class Cooked:
    """One piece of a cook.

    Attributes
    ----------
    label : str
        What it is called beside the others.
    record : CookRecord
        Its cook.
    piece : Piece
        What ``cook.toml`` says of it.
    result : Result
        The cook as answered before meat on, with all that was logged laid over.
    planned : Planned
        The piece as it stood before meat on.
    done : PiecePlan
        What was done with it, as if it had been the plan: wrapped when it was, in the pit as it
        was read. Nothing of how it came out is in it. The plan, where nothing is logged.
    asked : Asked
        What was asked with all that was logged.
    pit : PitState
        The pit it went on first.
    pit_read : PitCurve or None
        That pit as it was read, in the piece's own seconds, until it came off.
    """

    label: str
    record: CookRecord
    piece: Piece
    result: Result
    planned: Planned
    done: PiecePlan
    asked: Asked
    pit: PitState
    pit_read: PitCurve | None

    @property
    def letter(self) -> str:
        """Letter of the piece in its cook."""
        return self.piece.letter

    @property
    def of_piece(self) -> PieceResult:
        """The piece in the cook's answer."""
        return next(one for one in self.result.pieces if one.piece == self.letter)

    @property
    def lines(self) -> list[LogLine]:
        """What was logged of it, in order of time."""
        return [line for line in self.asked.lines if timing.concerns(line, self.piece)]

    def elapsed_h(self, at: dt.datetime) -> float:
        """How long after its own meat on [h]."""
        return (at - self.of_piece.on_at.astimezone(dt.UTC)).total_seconds() / 3600.0


def cooked(
    record: CookRecord,
    labels: Mapping[str, str],
    *,
    made_at: dt.datetime,
    members: int | None = None,
) -> tuple[Cooked, ...]:
    """Look at pieces of a cook as they were planned and cooked.

    Parameters
    ----------
    record : CookRecord
        The cook with all that was logged and read.
    labels : mapping of letter to str
        The pieces that are meant, with what they are called.
    made_at : datetime
        Moment of the asking, aware.
    members : int, optional
        Possible days tried; the usual number by default.

    Raises
    ------
    NotFoundError
        The cook has no such piece.
    """
    letters = [piece.letter for piece in record.cook.pieces]
    for letter in labels:
        if letter not in letters:
            raise NotFoundError("piece", letter, letters)
    changes = None if members is None else {"members": members}
    before = timing.hour_zero_logged(record) or made_at
    result = answer(record, made_at=made_at, as_of=before, changes=changes)
    on = {piece.piece: piece.on_at for piece in result.pieces}
    planned, _ = plan_pieces(question(record, made_at=made_at, as_of=before), on)
    asked = question(record, made_at=made_at, as_of=_last(record, made_at), changes=changes)
    after, pits = plan_pieces(asked, on)
    shown = with_outcome(result, record)
    found = []
    for was, now in zip(planned, after, strict=True):
        if now.piece.letter not in labels:
            continue
        off_s = _off_s(asked.lines, now.piece, on[now.piece.letter])
        pit = pits[now.piece.pit] if now.piece.pit else next(iter(pits.values()))
        read = _read(now.plan.facts, off_s)
        done = _done(now.plan, was.plan, read)
        label = labels[now.piece.letter]
        found.append(Cooked(label, record, now.piece, shown, was, done, asked, pit, read))
    return tuple(found)


def _last(record: CookRecord, made_at: dt.datetime) -> dt.datetime:
    """Moment by which all was logged and read."""
    read = (one.at[-1] for one in record.readings if one.at)
    return max([*(line.at for line in record.log), *read], default=made_at)


def _off_s(lines: Sequence[LogLine], piece: Piece, on_at: dt.datetime) -> float | None:
    off = timing.came_off(lines, piece)
    return None if off is None else (off - on_at.astimezone(dt.UTC)).total_seconds()


def _read(facts: Facts | None, off_s: float | None) -> PitCurve | None:
    """Thin the pit as it was read to means over even stretches, until the piece came off."""
    if facts is None or facts.pit is None:
        return None
    heaps: dict[int, list[tuple[float, float]]] = {}
    for time_s, value in zip(facts.pit.time_s, facts.pit.temperature_c, strict=True):
        if time_s >= 0.0 and (off_s is None or time_s <= off_s):
            heaps.setdefault(int(time_s // _BUCKET_S), []).append((time_s, value))
    if not heaps:
        return None
    means = [
        tuple(sum(column) / len(heap) for column in zip(*heap, strict=True))
        for heap in heaps.values()
    ]
    return PitCurve(tuple(time for time, _ in means), tuple(value for _, value in means))


def _done(now: PiecePlan, was: PiecePlan, read: PitCurve | None) -> PiecePlan:
    """Make a plan of what was done."""
    facts = now.facts
    if facts is None:
        return was
    wrap = now.wrap
    if facts.wrapped_s is not None:
        kind = facts.wrap_kind or (wrap.kind if wrap.kind != "none" else "foil")
        wrap = Wrap(
            kind,
            earliest_s=facts.wrapped_s,
            latest_s=facts.wrapped_s,
            unwrap_s=facts.unwrapped_s,
        )
    return dataclasses.replace(now, facts=None, wrap=wrap, pit=_whole(read, now.pit))


def _whole(read: PitCurve | None, plan: PitCurve) -> PitCurve:
    """Go on as planned where the readings end: by then the piece was off."""
    if read is None:
        return plan
    last_s = read.time_s[-1]
    rest = [
        (time_s, value)
        for time_s, value in zip(plan.time_s, plan.temperature_c, strict=True)
        if time_s > last_s + _BUCKET_S
    ]
    turn = (last_s + _BUCKET_S, float(plan.at(last_s + _BUCKET_S)))
    points = [*zip(read.time_s, read.temperature_c, strict=True), turn, *rest]
    return PitCurve(tuple(time for time, _ in points), tuple(value for _, value in points))
