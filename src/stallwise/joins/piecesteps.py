"""Steps of one piece: board, meat on, wrap, glaze, feel checks, rest, hold, knife, table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from stallwise.ground import units as quantities
from stallwise.ground.ensemble import quantiles
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.stepdraft import (
    FORECAST,
    Clocks,
    SheetDay,
    after,
    clocks_of,
    make_step,
    moves_of,
    pit_of,
    tender_of,
    utc,
)
from stallwise.joins.steptable import step_row

__all__ = ["piece_steps"]

#: Nobody gets up to thaw meat.
_UP, _LAST_CHORE, _TO_BED = dt.time(7), dt.time(21), dt.time(22)


def piece_steps(piece: SheetPiece, day: SheetDay, probability: float) -> Iterator[Step]:
    """Lay out the steps of one piece, in no order."""
    pit = pit_of(piece, day)
    on_at = utc(piece.on_at)
    row = step_row("meat_on")
    yield from _board(piece, day)
    yield make_step(
        "meat_on",
        piece.letter,
        on_at,
        (on_at, after(on_at, row.high_s)),
        piece=piece.letter,
        pit=pit,
        detail=_place(piece),
        source=FORECAST,
    )
    yield from _at_the_pit(piece, day, pit)
    for number, (to, at) in enumerate(moves_of(piece, day), start=1):
        name = day.pits[to].name if to in day.pits else to
        where = "the oven" if to in day.pits and day.pits[to].kind == "oven" else name
        yield make_step(
            "move",
            f"{piece.letter}{number}" if number > 1 else piece.letter,
            at,
            piece=piece.letter,
            pit=to,
            what=f"Move to {where}",
            until="it is in and the door is shut",
        )
    last_pit = max(moves_of(piece, day), key=lambda move: move[1], default=(pit, on_at))[0]
    yield from _to_the_table(piece, last_pit, probability)


def _board(piece: SheetPiece, day: SheetDay) -> Iterator[Step]:
    """Thawing, trimming and rubs, back from meat on."""
    on_at, count = utc(piece.on_at), piece.piece.count
    rub = step_row("rub")
    at = on_at
    rubs = _mixes(piece, day, "rub")
    drafts = []
    for number in range(len(rubs), 0, -1):
        at = after(at, -rub.usual_s)
        drafts.append(
            make_step(
                "rub",
                f"{piece.letter}{number}" if number > 1 else piece.letter,
                at,
                (after(at, rub.usual_s - rub.high_s), after(at, rub.usual_s - rub.low_s)),
                piece=piece.letter,
                what=f"{rubs[number - 1]} on" if rubs[number - 1] else "",
                detail="the next goes on when this one sweats" if number < len(rubs) else "",
            )
        )
    key = "trim_brisket" if "brisket" in piece.piece.cut else "trim"
    trim = step_row(key)
    begin = after(at, -trim.usual_s * count)
    yield make_step(
        key,
        piece.letter,
        begin,
        (after(at, -trim.high_s * count), after(at, -trim.low_s * count)),
        piece=piece.letter,
    )
    thaw = step_row("thaw")
    mass_kg = piece.mass_kg
    yield make_step(
        "thaw",
        piece.letter,
        _by_day(after(begin, -thaw.usual_s * mass_kg), piece.on_at.tzinfo),
        (after(begin, -thaw.high_s * mass_kg), after(begin, -thaw.low_s * mass_kg)),
        piece=piece.letter,
        detail=f"{quantities.format_mass(mass_kg, day.units)}: 24 h for each 4.5 lb (2 kg)",
    )
    yield from reversed(drafts)


def _by_day(when: dt.datetime, zone: dt.tzinfo | None) -> dt.datetime:
    """At an hour when people are up: a night's start is the evening before."""
    local = when.astimezone(zone)
    if _UP <= local.time() < _TO_BED:
        return when
    evening = local.date() - dt.timedelta(days=1 if local.time() < _UP else 0)
    return utc(dt.datetime.combine(evening, _LAST_CHORE, zone))


def _mixes(piece: SheetPiece, day: SheetDay, kind: str) -> list[str]:
    """Names of the mixes of a kind on this piece, in order; one nameless rub where none is given."""
    if day.mixes:
        found = [
            mix.name
            for mix in day.mixes
            if mix.kind == kind and (not mix.on or piece.letter in mix.on)
        ]
    else:
        found = [
            use.mix.replace("-", " ").capitalize()
            for use in day.cook.mixes
            if kind in use.mix and (not use.on or piece.letter in use.on)
        ]
    return found or ([""] if kind == "rub" else [])


def _place(piece: SheetPiece) -> str:
    many = f"{piece.piece.count} pieces" if piece.piece.count > 1 else ""
    return ", ".join(filter(None, [many, piece.piece.place or ""]))


def _at_the_pit(piece: SheetPiece, day: SheetDay, pit: str) -> Iterator[Step]:
    on_at, letter = utc(piece.on_at), piece.letter
    tender, bark = tender_of(piece), clocks_of(piece, piece.bark_s)
    own = {"piece": letter, "pit": pit}
    wrap = _wrap_times(piece)
    visits_end = wrap.middle if wrap else (bark.high if bark else on_at)
    look = step_row("look")
    if piece.spritz_s:
        first_s = piece.spritz_s[0]
        every_s = piece.spritz_s[1] if len(piece.spritz_s) > 1 else step_row("spritz").usual_s
        every = quantities.format_duration(every_s)
        at = after(on_at, first_s)
        yield make_step(
            "spritz",
            letter,
            at,
            (after(on_at, min(look.usual_s, first_s)), max(visits_end, at)),
            **own,
            what=f"Look, then spritz every {every}",
            until="wrapped, or the bark is set" if wrap else "the bark is set",
        )
    else:
        at = after(on_at, look.usual_s)
        span = (after(on_at, look.low_s), max(visits_end, after(on_at, look.high_s)))
        yield make_step("look", letter, at, span, **own)
    if wrap:
        yield make_step(
            "wrap",
            letter,
            wrap.middle,
            (wrap.low, wrap.high),
            **own,
            what=f"Wrap: {piece.wrap_kind}",
            source=FORECAST,
        )
    opened = None
    if piece.unwrap_s is not None and wrap:
        row = step_row("unwrap")
        opened = after(on_at, piece.unwrap_s)
        span = (after(opened, row.low_s - row.usual_s), after(opened, row.high_s - row.usual_s))
        yield make_step("unwrap", letter, opened, span, **own)
    yield from _glaze(piece, day, opened, tender, own)


def _wrap_times(piece: SheetPiece) -> Clocks | None:
    """Wrap window with the most likely time in it."""
    if piece.wrap_kind == "none":
        return None
    expected = clocks_of(piece, piece.wrapped_s)
    if piece.wrap_window_s is None:
        return expected
    low, high = (after(utc(piece.on_at), each) for each in piece.wrap_window_s)
    middle = expected.middle if expected else low + (high - low) / 2
    return Clocks(low, middle, max(high, low))


def _glaze(
    piece: SheetPiece,
    day: SheetDay,
    opened: dt.datetime | None,
    tender: Clocks | None,
    own: Mapping[str, Any],
) -> Iterator[Step]:
    """On the bare dried surface, or else so that it is set when the piece is tender."""
    names = _mixes(piece, day, "glaze")
    if not names:
        return
    if opened is not None:
        dry = step_row("unwrap")
        times = Clocks(*(after(opened, each) for each in (dry.low_s, dry.usual_s, dry.high_s)))
    elif tender is not None:
        sets_s = step_row("glaze").usual_s
        times = Clocks(*(after(at, -sets_s) for at in (tender.low, tender.middle, tender.high)))
    else:
        return
    span = (times.low, times.high)
    yield make_step("glaze", piece.letter, times.middle, span, **own, what=f"{names[0]} on")


def _to_the_table(piece: SheetPiece, pit: str, probability: float) -> Iterator[Step]:
    own: dict[str, Any] = {"piece": piece.letter, "pit": pit}
    letter, tender, sign = piece.letter, tender_of(piece), piece.sign
    serve = utc(piece.serve_at) if piece.serve_at else None
    if tender:
        begin = after(tender.low, -step_row("check").usual_s)
        every = quantities.format_duration(step_row("check").usual_s)
        yield make_step(
            "check", letter, begin, (begin, tender.high), **own, until=sign, source=FORECAST,
            detail=f"every {every}, in several spots",
        )  # fmt: skip
        yield make_step(
            "tender", letter, tender.middle, (tender.low, tender.high), **own,
            what=f"Tender: {piece.finish}", until=sign, source=FORECAST,
        )  # fmt: skip
        span = (tender.low, tender.high)
        rest = quantities.format_duration(piece.rest_s)
        yield make_step(
            "rest", letter, tender.middle, span, piece=letter, detail=f"off, and rest {rest}"
        )
        rested = after(tender.middle, piece.rest_s)
        if serve is None:
            serve = after(rested, piece.carve_s)
        yield from _hold(piece, tender, rested, serve)
        carve = max(after(serve, -piece.carve_s), rested)
        late = after(tender.high, piece.rest_s)
    else:
        if serve is None:
            return
        carve = late = after(serve, -piece.carve_s)
    yield make_step("carve", letter, carve, (carve, max(carve, late)), piece=letter, what=_knife(piece),
                until="all of it is cut")  # fmt: skip
    overdue = _overdue(piece, probability)
    until = "the plates are out"
    yield make_step("serve", letter, serve, (serve, overdue or serve), piece=letter, until=until)


def _overdue(piece: SheetPiece, probability: float) -> dt.datetime | None:
    """Where serving may slip to at the odds that were asked for, if it may."""
    need_s = float(quantiles(piece.need_s, (probability,), piece.weights)[0])
    if not np.isfinite(need_s):
        return None
    return after(utc(piece.on_at), need_s)


def _hold(
    piece: SheetPiece, tender: Clocks, rested: dt.datetime, serve: dt.datetime
) -> Iterator[Step]:
    until = after(serve, -piece.carve_s)
    wait_s = (until - rested).total_seconds()
    if wait_s < step_row("hold").usual_s:
        return
    longest = (until - after(tender.low, piece.rest_s)).total_seconds()
    spans = [quantities.format_duration(round(each / 300.0) * 300.0) for each in (wait_s, longest)]
    span = (after(tender.low, piece.rest_s), until)
    yield make_step(
        "hold", piece.letter, rested, span, piece=piece.letter, until="it is carved",
        detail=f"about {spans[0]}, or up to {spans[1]}", source=FORECAST,
    )  # fmt: skip


def _knife(piece: SheetPiece) -> str:
    if piece.finish == "pull":
        return "Pull apart"
    if "rib" in piece.piece.cut and "roast" not in piece.piece.cut:
        return "Cut between the bones"
    return "Carve" if any(bird in piece.piece.cut for bird in ("turkey", "chicken", "duck")) else ""
