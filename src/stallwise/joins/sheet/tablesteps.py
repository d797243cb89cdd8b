"""Steps of one piece from the first feel check to the plate: rest, hold, knife, pans, the way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

import numpy as np

from stallwise.ground import units as quantities
from stallwise.ground.ensemble import quantiles
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.chilling import chill_steps
from stallwise.joins.sheet.stepdraft import (
    FORECAST,
    Clocks,
    SheetDay,
    after,
    clocks_of,
    make_step,
    tender_of,
    utc,
)
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.sheet.tablework import carry_s, pans_of
from stallwise.tables.parameters import parameter

__all__ = ["to_the_table", "wrap_times"]

#: Waits and lateness are told to a quarter of an hour [s], as beside the window.
_WAIT_S = 900.0


def wrap_times(piece: SheetPiece) -> Clocks | None:
    """Wrap window with the most likely time in it."""
    if piece.wrap_kind == "none":
        return None
    expected = clocks_of(piece, piece.wrapped_s)
    if piece.wrap_window_s is None:
        return expected
    low, high = (after(utc(piece.on_at), each) for each in piece.wrap_window_s)
    middle = expected.middle if expected else low + (high - low) / 2
    return Clocks(low, middle, max(high, low))


def to_the_table(
    piece: SheetPiece, day: SheetDay, pit: str, probability: float, coated: dt.datetime | None
) -> Iterator[Step]:
    """From the first feel check to the plate."""
    letter, tender = piece.letter, tender_of(piece)
    serve = utc(piece.serve_at) if piece.serve_at else None
    table_s = piece.carve_s + piece.after_s
    if tender:
        yield from _feel(piece, tender, pit)
        off = Clocks(*(max(at, coated or at) for at in (tender.low, tender.middle, tender.high)))
        rested = Clocks(*(after(at, piece.rest_s) for at in (off.low, off.middle, off.high)))
        rest = quantities.format_duration(piece.rest_s)
        span = (off.low, off.high)
        yield make_step("rest", letter, off.middle, span, piece=letter, detail=rest)
        serve = serve or after(rested.middle, piece.chill_s + table_s)
        if piece.chill_s:
            yield from chill_steps(piece, day, rested, after(serve, -table_s))
        else:
            yield from _hold(piece, rested, serve)
            yield from _measured(piece, off, after(serve, -table_s), day.units)
        carve = max(after(serve, -table_s), after(rested.middle, piece.chill_s))
        late = after(rested.high, piece.chill_s)
    elif serve:
        carve = late = after(serve, -table_s)
    else:
        return
    span = (carve, max(carve, late))
    until = "all of it is cut"
    yield make_step(
        "carve",
        letter,
        carve,
        span,
        piece=letter,
        what=_knife(piece),
        until=until,
        hands_s=piece.carve_s,
    )
    # Nothing is served before it is cut and there, however firmly it was promised.
    served, told = serve, ""
    if after(carve, table_s) > serve:
        served = after(carve, table_s)
        by_s = max(round((served - serve).total_seconds() / _WAIT_S), 1) * _WAIT_S
        told = f"most likely {quantities.format_duration(by_s)} late"
    yield from _carried(piece, day, after(carve, piece.carve_s), served)
    span = (served, _overdue(piece, probability) or served)
    yield make_step("serve", letter, served, span, piece=letter, detail=told)


def _carried(
    piece: SheetPiece, day: SheetDay, cut_at: dt.datetime, served: dt.datetime
) -> Iterator[Step]:
    """Into pans and over to where it is eaten, where that is not at the board."""
    way_s = carry_s(day.cook)
    if not way_s:
        return
    pans = pans_of(piece.piece, piece.mass_kg)
    yield make_step(
        "pan",
        piece.letter,
        cut_at,
        piece=piece.letter,
        what="Into a pan, covered" if pans == 1 else f"Into {pans} pans, covered",
        hands_s=step_row("pan").usual_s * pans,
    )
    yield make_step(
        "carry",
        piece.letter,
        after(served, -way_s),
        piece=piece.letter,
        detail="a reading on leaving and one on arriving",
        hands_s=way_s,
    )


def _feel(piece: SheetPiece, tender: Clocks, pit: str) -> Iterator[Step]:
    """Begin checks before the early end, but not while it may still be waiting for its wrap."""
    own: dict[str, Any] = {"piece": piece.letter, "pit": pit, "until": piece.sign}
    row, wrap = step_row("check"), wrap_times(piece)
    begin = after(tender.low, -row.usual_s)
    if wrap:
        # A wrap as late as the meat is tender must not keep the checks back.
        begin = max(begin, wrap.middle, min(wrap.high, tender.middle))
    every = quantities.format_duration(row.usual_s)
    yield make_step(
        "check",
        piece.letter,
        begin,
        (begin, tender.high),
        **own,
        detail=f"every {every}, in several spots",
        source=FORECAST,
    )
    yield make_step(
        "tender",
        piece.letter,
        tender.middle,
        (tender.low, tender.high),
        **own,
        what=f"Tender: {piece.finish}",
        source=FORECAST,
    )


def _overdue(piece: SheetPiece, probability: float) -> dt.datetime | None:
    """Where serving may slip to at the odds that were asked for, if it may."""
    need_s = float(quantiles(piece.need_s, (probability,), piece.weights)[0])
    if not np.isfinite(need_s):
        return None
    return after(utc(piece.on_at), need_s)


def _hold(piece: SheetPiece, rested: Clocks, serve: dt.datetime) -> Iterator[Step]:
    until = after(serve, -piece.carve_s - piece.after_s)
    wait_s, longest_s = ((until - at).total_seconds() for at in (rested.middle, rested.low))
    if wait_s < step_row("hold").usual_s:
        return
    about, most = (
        quantities.format_duration(round(each / _WAIT_S) * _WAIT_S) for each in (wait_s, longest_s)
    )
    detail = f"about {about}" + (f", or up to {most}" if most != about else "")
    yield make_step(
        "hold",
        piece.letter,
        rested.middle,
        (rested.low, until),
        piece=piece.letter,
        detail=detail,
        source=FORECAST,
    )


def _measured(piece: SheetPiece, off: Clocks, cut_at: dt.datetime, system: str) -> Iterator[Step]:
    """Look at it before it may have gone cold, where that may be before it is cut."""
    if piece.cold_s is None:
        return
    early_s = float(quantiles(piece.cold_s, (parameter("hold.warn").value,), piece.weights)[0])
    if not np.isfinite(early_s):
        return
    at = after(off.middle, max(early_s, piece.rest_s))
    if at >= cut_at:
        return
    line = quantities.format_temperature(parameter("hold.line").value, system)
    yield make_step(
        "measure",
        piece.letter,
        at,
        (at, cut_at),
        piece=piece.letter,
        detail=f"from about now it may fall below {line}: then into a warm oven, or serve it",
        source=FORECAST,
    )


def _knife(piece: SheetPiece) -> str:
    if piece.finish == "pull":
        return "Pull apart"
    if "rib" in piece.piece.cut and "roast" not in piece.piece.cut:
        return "Cut between the bones"
    return "Carve" if any(bird in piece.piece.cut for bird in ("turkey", "chicken", "duck")) else ""
