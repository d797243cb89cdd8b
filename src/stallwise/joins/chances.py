"""Odds in words with their price: when meat must go on, and the hold that it costs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import InputError
from stallwise.joins.result import Chance
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.sheet.tablework import TableWork
from stallwise.joins.sheet.visits import Glazing
from stallwise.record.schema import Piece

__all__ = ["SheetPiece", "chances", "odds_in_time", "ready_times", "start_up_s"]

#: A cook says "on at 9:05", not 9:07; it is always the earlier one [s].
_STEP_S = 300
#: Pieces for one table that go into one pit so close together go on in one visit [s].
_ONE_VISIT_S = 900.0
_TINY = 1e-9

Members = NDArray[np.float64]


@dataclass(frozen=True)
class SheetPiece:
    """What the day sheet needs of one piece.

    Attributes
    ----------
    piece : Piece
        As planned.
    name, finish, sign : str
        Name of the cut, wanted finish in words, and the sign of it.
    on_at : datetime
        When it goes on, aware; planned, logged or a guess.
    tender_s, bark_s, wrapped_s : array
        Seconds after meat on, one for each possible day; infinite where it is not reached.
    weights : array
        Weight of each possible day.
    rest_s, carve_s : float
        Rest before the knife, and carving [s].
    serve_at : datetime or None
        When it is eaten, aware.
    mass_kg : float
        Of one piece, as it goes on [kg].
    wrap_kind : str
        ``none``, ``foil``, ``paper``, ``boat`` or ``pan``.
    wrap_window_s : tuple of two floats, or None
        In which the colour is right [s after meat on].
    unwrap_s : float or None
        Unwrapped again [s after meat on].
    spritz_s : tuple of floats, or None
        First spritz [s after meat on] and the time between two [s].
    glaze : Glazing
        Coats as planned or logged.
    is_bird : bool
        Poultry, which has cautions of its own.
    chill_s : float
        Chilled after its rest and reheated: how long that takes at the least [s].
    table : TableWork
        What comes after its cutting, and who cuts and carries it.
    cold_s : array or None
        How long after its finish its core falls below what hot food is kept at [s]; None where that
        is nothing to go by.
    length_m, width_m, thickness_m : float
        Of one piece as it lies [m].
    """

    piece: Piece
    name: str
    finish: str
    sign: str
    on_at: dt.datetime
    tender_s: Members
    bark_s: Members
    wrapped_s: Members
    weights: Members
    rest_s: float
    carve_s: float
    serve_at: dt.datetime | None
    mass_kg: float
    wrap_kind: str = "none"
    wrap_window_s: tuple[float, float] | None = None
    unwrap_s: float | None = None
    spritz_s: tuple[float, ...] | None = None
    glaze: Glazing = field(default_factory=Glazing)
    is_bird: bool = False
    table: TableWork = field(default_factory=TableWork)
    cold_s: Members | None = None
    length_m: float = 0.0
    width_m: float = 0.0
    thickness_m: float = 0.0
    chill_s: float = 0.0

    @property
    def after_s(self) -> float:
        """From the end of its own cutting to the plate [s]: others' cutting, pans, the way."""
        return self.table.after_s

    @property
    def surface_m2(self) -> float:
        """Surface of one piece as a block of its sizes [m2]."""
        wide, long, thick = self.width_m, self.length_m, self.thickness_m
        return 2.0 * (wide * long + wide * thick + long * thick)

    @property
    def letter(self) -> str:
        """Letter of the piece."""
        return self.piece.letter

    @property
    def off_s(self) -> Members:
        """From meat on until it is off, on each possible day [s]; nothing rests before its glaze is set."""
        return np.maximum(self.tender_s, self.glaze.coated_s or 0.0)

    @property
    def to_plate_s(self) -> float:
        """From off to the plate at the least [s]: rest, the cold and back, knife, pans, the way."""
        return self.rest_s + self.chill_s + self.carve_s + self.after_s

    @property
    def need_s(self) -> Members:
        """From meat on to the plate, on each possible day [s]."""
        return self.off_s + self.to_plate_s

    @property
    def ahead_s(self) -> float:
        """Time from meat on to the plate [s]; infinite where nothing is promised."""
        if self.serve_at is None:
            return float("inf")
        ahead = self.serve_at.astimezone(dt.UTC) - self.on_at.astimezone(dt.UTC)
        return ahead.total_seconds()


def odds_in_time(pieces: Sequence[SheetPiece]) -> float | None:
    """Chance that every piece is tender, rested and carved by its serving time.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        With the times at which they go on; days are the same days for all of them.

    Returns
    -------
    float or None
        None where nothing has a serving time.
    """
    served = [piece for piece in pieces if piece.serve_at is not None]
    if not served:
        return None
    ready = np.logical_and.reduce([piece.need_s <= piece.ahead_s + _TINY for piece in served])
    return float(np.clip(np.sum(_weights(served) * ready), 0.0, 1.0))


def chances(
    pieces: Sequence[SheetPiece],
    *,
    chosen: str,
    odds: Mapping[str, float],
    pit_start_s: Mapping[str, float | None] | None = None,
    pit_names: Mapping[str, str] | None = None,
) -> dict[str, tuple[Chance, ...]]:
    """Offer a start for each of the odds, with what it costs in waiting.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        All pieces of the cook. The odds are that all of them are ready, each by its own
        serving time, on the same day.
    chosen : str
        Which of `odds` the cook asks for.
    odds : mapping of str to float
        Words and probability.
    pit_start_s : mapping of str to float or None, optional
        Time from match to steady [s] by name of the pit; the table's usual where unknown.
    pit_names : mapping of str to str, optional
        Name of each pit by its letter.

    Returns
    -------
    dict of str to tuple of Chance
        By letter of the piece, from the slightest odds to the surest; `on_at` is None where
        too few of the days are ready at all. Times are rounded earlier, so that rounding
        never makes the odds worse, and higher odds never ask for a later start.
    """
    found: dict[str, list[Chance]] = {piece.letter: [] for piece in pieces}
    if chosen not in odds:
        raise InputError(f"odds {chosen!r}", ", ".join(odds))
    served = [piece for piece in pieces if piece.serve_at is not None]
    weights = _weights(served) if served else np.ones(1)
    before: dict[str, dt.datetime | None] = {}
    for words, probability in sorted(odds.items(), key=lambda item: item[1]):
        starts = _starts(served, weights, probability, before)
        lit = _lit(served, starts, pit_start_s or {}, pit_names or {})
        for piece in served:
            on_at = starts[piece.letter]
            holds = _holds_h(piece, on_at, weights)
            cold = _cold_share(piece, on_at, weights)
            found[piece.letter].append(
                Chance(
                    words,
                    probability,
                    on_at,
                    lit[piece.letter],
                    *holds,
                    chosen=words == chosen,
                    colder_share=cold,
                )
            )
        before = starts
    return {letter: tuple(rows) for letter, rows in found.items()}


def _weights(pieces: Sequence[SheetPiece]) -> Members:
    """Weight of each day over all pieces: what was seen of each counts."""
    given = [np.asarray(piece.weights, dtype=np.float64) for piece in pieces]
    # Pieces that share their weights have shared the evidence behind them.
    own = [w for i, w in enumerate(given) if not any(np.array_equal(w, v) for v in given[:i])]
    total = np.prod(own, axis=0)
    if not np.sum(total) > 0.0:
        # Checks that leave no day in common: each piece keeps the days that are left to it.
        total = np.sum(own, axis=0)
    if not np.sum(total) > 0.0:
        raise InputError("weights of the possible days that are all zero", "some above zero")
    return np.asarray(total / np.sum(total))


def _starts(
    pieces: Sequence[SheetPiece],
    weights: Members,
    probability: float,
    before: Mapping[str, dt.datetime | None],
) -> dict[str, dt.datetime | None]:
    level = _level(pieces, weights, probability)
    raw = {
        piece.letter: None if need_s is None else _earlier(piece.serve_at, need_s)
        for piece in pieces
        for need_s in [_need_s(piece, weights, level)]
    }
    starts: dict[str, dt.datetime | None] = {}
    for piece in pieces:
        on_at = raw[piece.letter]
        if on_at is not None:
            on_at = _round_down(min(_one_visit(piece, pieces, raw)))
            sooner = before.get(piece.letter)
            on_at = min(on_at, sooner) if sooner else on_at
        zone = piece.serve_at.tzinfo if piece.serve_at else dt.UTC
        starts[piece.letter] = on_at.astimezone(zone) if on_at else None
    return starts


def _level(pieces: Sequence[SheetPiece], weights: Members, probability: float) -> float:
    """Share of its own days that each piece must be given, so that all are ready together."""
    if not pieces:
        return probability
    # The share of days on which a piece is ready sooner than on this one; a day is kept
    # when that share is below the level for all its pieces.
    sooner = np.max([_share_below(piece.need_s, weights) for piece in pieces], axis=0)
    order = np.argsort(sooner, kind="stable")
    reached = np.cumsum(weights[order])
    index = int(np.searchsorted(reached, probability - _TINY))
    return float(sooner[order[min(index, len(order) - 1)]])


def _share_below(values: Members, weights: Members) -> Members:
    order = np.argsort(values, kind="stable")
    ranked, ends = values[order], np.cumsum(weights[order])
    first = np.searchsorted(ranked, values, side="left")
    return np.asarray(np.where(first > 0, ends[np.maximum(first - 1, 0)], 0.0))


def _need_s(piece: SheetPiece, weights: Members, level: float) -> float | None:
    """Time that more than `level` of the days need at most; None when it is never enough."""
    order = np.argsort(piece.need_s, kind="stable")
    ranked, ends = piece.need_s[order], np.cumsum(weights[order])
    index = int(np.searchsorted(ends, level + _TINY, side="right"))
    need_s = float(ranked[min(index, len(ranked) - 1)])
    return need_s if np.isfinite(need_s) else None


def _one_visit(
    piece: SheetPiece, pieces: Sequence[SheetPiece], raw: Mapping[str, dt.datetime | None]
) -> list[dt.datetime]:
    """Find the starts of the pieces that go on in one visit with this one."""
    mine = raw[piece.letter]
    return [
        at
        for other in pieces
        if (at := raw[other.letter]) is not None
        and mine is not None
        and other.piece.pit == piece.piece.pit
        and other.serve_at == piece.serve_at
        and abs((at - mine).total_seconds()) <= _ONE_VISIT_S
    ]


def _lit(
    pieces: Sequence[SheetPiece],
    starts: Mapping[str, dt.datetime | None],
    pit_start_s: Mapping[str, float | None],
    pit_names: Mapping[str, str],
) -> dict[str, dt.datetime | None]:
    """When the fire under each piece is lit: before the first piece of its pit."""
    lit: dict[str, dt.datetime | None] = {}
    for piece in pieces:
        ons = [starts[p.letter] for p in pieces if p.piece.pit == piece.piece.pit]
        first = min((on for on in ons if on is not None), default=None)
        start_s = start_up_s(piece.piece.pit, pit_start_s, pit_names)
        zone = piece.serve_at.tzinfo if piece.serve_at else dt.UTC
        at = None if first is None else _round_down(_earlier(first, start_s))
        lit[piece.letter] = at.astimezone(zone) if at else None
    return lit


def start_up_s(
    pit: str | None, pit_start_s: Mapping[str, float | None], pit_names: Mapping[str, str]
) -> float:
    """Time from match to steady of a pit [s]: as its file says, or the table's usual."""
    name = pit_names.get(pit or next(iter(pit_names), ""), "")
    known = pit_start_s.get(name)
    if known is None and not pit_names and len(pit_start_s) == 1:
        known = next(iter(pit_start_s.values()))
    return step_row("fire_lit").usual_s if known is None else known


def _holds_h(
    piece: SheetPiece, on_at: dt.datetime | None, weights: Members
) -> tuple[float | None, float | None]:
    if on_at is None or piece.serve_at is None:
        return None, None
    ahead = piece.serve_at.astimezone(dt.UTC) - on_at.astimezone(dt.UTC)
    with np.errstate(invalid="ignore"):
        holds = np.maximum(ahead.total_seconds() - piece.need_s, 0.0)
    middle, long = quantiles(holds, (0.5, 0.9), weights)
    return float(middle) / 3600.0, float(long) / 3600.0


def _cold_share(piece: SheetPiece, on_at: dt.datetime | None, weights: Members) -> float | None:
    """Share of days on which it is cut colder than hot food is kept, for having waited too long."""
    if on_at is None or piece.serve_at is None or piece.cold_s is None:
        return None
    ahead_s = (piece.serve_at.astimezone(dt.UTC) - on_at.astimezone(dt.UTC)).total_seconds()
    off_s = piece.off_s
    finished = np.isfinite(off_s)
    with np.errstate(invalid="ignore"):
        wait_s = np.maximum(ahead_s - piece.carve_s - piece.after_s - off_s, piece.rest_s)
    cold = finished & (piece.cold_s < wait_s)
    return float(np.sum(weights[cold]) / max(np.sum(weights[finished]), _TINY))


def ready_times(
    pieces: Sequence[SheetPiece], odds: Mapping[str, float]
) -> dict[str, dt.datetime | None]:
    """When all of these pieces are on the plates together, by each of the odds.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        One or more, with the times at which they go on.
    odds : mapping of str to float
        Words and probability.

    Returns
    -------
    dict of str to datetime or None
        Rounded later, so that rounding never makes the odds worse; None where too few of the days
        are ever ready.
    """
    first = min(piece.on_at.astimezone(dt.UTC) for piece in pieces)
    ready_s = np.max(
        [
            piece.need_s + (piece.on_at.astimezone(dt.UTC) - first).total_seconds()
            for piece in pieces
        ],
        axis=0,
    )
    found = quantiles(ready_s, tuple(odds.values()), _weights(pieces))
    zone = pieces[0].on_at.tzinfo
    return {
        words: _round_up(first + dt.timedelta(seconds=float(at_s))).astimezone(zone)
        if np.isfinite(at_s)
        else None
        for words, at_s in zip(odds, found, strict=True)
    }


def _earlier(when: dt.datetime | None, by_s: float) -> dt.datetime:
    if when is None:
        raise InputError("no serving time", "a serving time")
    return when.astimezone(dt.UTC) - dt.timedelta(seconds=by_s)


def _round_up(when: dt.datetime) -> dt.datetime:
    return dt.datetime.fromtimestamp(-(-when.timestamp() // _STEP_S) * _STEP_S, dt.UTC)


def _round_down(when: dt.datetime) -> dt.datetime:
    stamp = when.timestamp() // _STEP_S * _STEP_S
    return dt.datetime.fromtimestamp(stamp, dt.UTC)
