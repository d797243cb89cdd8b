"""What came out: when it was tender, how long it stood still, what it lost, how it was found."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.fire.fuelling import burnt, feeds, fire_of, has_fire, of_pit
from stallwise.joins.learn.outcome import outcome
from stallwise.joins.learn.tally import tally
from stallwise.joins.past.cooked import Cooked

__all__ = ["CameOut", "Foreseen", "Fuel", "Stall", "came_out"]

_CUT = frozenset({"sliced", "pulled"})
_RESTS = frozenset({"off", "rest_start"})


@dataclass(frozen=True)
class Stall:
    """A stall as the readings show it.

    Attributes
    ----------
    from_h, to_h : float, float or None
        After the piece's own meat on [h]; None where it lasted until the readings ended.
    temperature_c : float or None
        Its middle [°C].
    words : str
        How sure: ``likely``, ``perhaps``.
    """

    from_h: float
    to_h: float | None
    temperature_c: float | None
    words: str


@dataclass(frozen=True)
class Fuel:
    """Fuel that went on over the whole cook: how much [kg], how many of its unit; what burnt an hour [kg/h]."""

    kg: float
    count: float
    unit: str
    kg_h: float | None


@dataclass(frozen=True)
class Foreseen:
    """The forecast from before meat on, beside what happened.

    Attributes
    ----------
    low_h, middle_h, high_h : float or None
        Window of four days in five and its middle [h]; None where that lies later than was tried.
    kept : bool
        It was kept before the outcome was known; else it is made now, from what was known then.
    inside : bool or None
        What happened lies in the window, for the greater part; None where it is not known.
    """

    low_h: float | None
    middle_h: float | None
    high_h: float | None
    kept: bool
    inside: bool | None


@dataclass(frozen=True)
class CameOut:
    """What came out of one piece; None is not known.

    Attributes
    ----------
    low_h, high_h : float or None
        Between which it had its finish [h after its own meat on]: the last look that said not yet,
        and the first that said it had.
    how : str
        ``looks``, ``core``, ``off``; empty where nobody looked.
    late_h : float or None
        How late it was served [h], negative early.
    stall : Stall or None
    loss_share : float or None
        Of the weight that went on, what was gone when it came off [-].
    eaten_share : float or None
        Of the weight that went on, what was eaten [-].
    rest_h : float or None
        From the fire to the knife [h].
    fuel : Fuel or None
        Of the whole pit.
    per_guest : (float, str) or None
        What the day cost a guest, with its money.
    foreseen : Foreseen or None
    text : mapping of str to str
        ``tasting``, ``number``, ``outcome``, ``next_time``, in the cook's words, where said.
    """

    low_h: float | None = None
    high_h: float | None = None
    how: str = ""
    late_h: float | None = None
    stall: Stall | None = None
    loss_share: float | None = None
    eaten_share: float | None = None
    rest_h: float | None = None
    fuel: Fuel | None = None
    per_guest: tuple[float, str] | None = None
    foreseen: Foreseen | None = None
    text: Mapping[str, str] = field(default_factory=dict)


def came_out(one: Cooked) -> CameOut:
    """Gather what came out of a piece."""
    found = outcome(one.record, one.piece)
    spent = one.result.spending
    low_h, high_h = _bracket(found.low_h, found.high_h) if found else (None, None)
    return CameOut(
        low_h=low_h,
        high_h=high_h,
        how=found.how if found else "",
        late_h=_late_h(one),
        stall=_stall(one),
        loss_share=_share(one, one.piece.mass_cooked, gone=True),
        eaten_share=_share(one, one.piece.mass_edible, gone=False),
        rest_h=_rest_h(one),
        fuel=_fuel(one),
        per_guest=(spent.per_serving, spent.money) if spent and spent.per_serving else None,
        foreseen=_foreseen(one),
        text={
            key: one.result.text[key]
            for key in ("tasting", "number", "outcome", "next_time")
            if one.result.text.get(key)
        },
    )


def _bracket(low_h: float, high_h: float) -> tuple[float | None, float | None]:
    return low_h or None, None if high_h == float("inf") else high_h


def _late_h(one: Cooked) -> float | None:
    serve_at = one.of_piece.serve_at
    served = next((line.at for line in one.lines if line.what == "served"), None)
    if serve_at is None or served is None:
        return None
    return (served - serve_at.astimezone(dt.UTC)).total_seconds() / 3600.0


def _stall(one: Cooked) -> Stall | None:
    stalls = [
        item for item in one.result.inferred if item.kind == "stall" and item.piece == one.letter
    ]
    if not stalls:
        return None
    first = max(stalls, key=lambda item: item.confidence)
    begin_h = one.elapsed_h(first.at)
    end_h = None if first.until is None else one.elapsed_h(first.until)
    return Stall(begin_h, end_h, first.temperature_c, first.words)


def _share(one: Cooked, weighed: str | None, *, gone: bool) -> float | None:
    if weighed is None or one.piece.mass is None:
        return None
    share = units.parse("mass", weighed) / (one.planned.mass_kg * one.piece.count)
    return 1.0 - share if gone else share


def _rest_h(one: Cooked) -> float | None:
    off = next((line.at for line in one.lines if line.what in _RESTS), None)
    cut = next((line.at for line in one.lines if line.what in _CUT), None)
    cut = cut or next((line.at for line in one.lines if line.what == "served"), None)
    return None if off is None or cut is None else (cut - off).total_seconds() / 3600.0


def _fuel(one: Cooked) -> Fuel | None:
    if not has_fire(one.pit):
        return None
    record, letter = one.record, one.pit.letter
    lines = of_pit(one.asked.lines, record.cook, letter)
    fire = fire_of(record.cook, one.pit, record.book, record.pits, lines)
    put = feeds(lines, fire, record.book)
    kg = sum(feed.kg for feed in put)
    if not kg:
        return None
    offs = [timing.came_off(one.asked.lines, piece) for piece in record.cook.pieces]
    ends = max((off for off in offs if off is not None), default=one.asked.as_of)
    span = burnt(lines, fire, record.book, ends)
    hours = 0.0 if span is None else (span.ends - span.begins).total_seconds() / 3600.0
    rate = span.kg / hours if span is not None and hours > 0.0 else None
    return Fuel(kg, sum(feed.count for feed in put), fire.unit, rate)


def _foreseen(one: Cooked) -> Foreseen | None:
    """Take the forecast that was kept before meat on, as the tally does; else the answer as of then."""
    told = tally([one.record]).pieces
    kept = next((piece for piece in told if piece.piece == one.letter), None)
    if kept is not None:
        return Foreseen(*kept.window_h, kept=True, inside=kept.inside80)
    tender = one.of_piece.stages["tender"]
    if tender.known:
        return None
    ends = tender.elapsed_h
    return Foreseen(ends.p10, ends.p50, ends.p90, kept=False, inside=None)
