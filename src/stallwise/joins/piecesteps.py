"""Steps of one piece: board, meat on, wrap, glaze, feel checks, rest, hold, knife, table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
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
from stallwise.joins.visits import looks, turn_s

__all__ = ["piece_steps"]

#: Nobody gets up to thaw meat.
_UP, _LAST_CHORE, _TO_BED = dt.time(7), dt.time(21), dt.time(22)
#: Waits and lateness are told to a quarter of an hour [s], as beside the window.
_WAIT_S = 900.0


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
    at_pit = tuple(_at_the_pit(piece, day, pit))
    yield from at_pit
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
    yield from _to_the_table(piece, last_pit, probability, _coated(at_pit))


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
    own: dict[str, Any] = {"piece": letter, "pit": pit}
    wrap = _wrap_times(piece)
    visits_end = wrap.middle if wrap else (bark.high if bark else on_at)
    look, planned = step_row("look"), looks(piece.piece)
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
    elif planned:
        at = after(on_at, planned[0])
        apart = f" every {quantities.format_duration(planned[1])}" if planned[1] else ""
        yield make_step(
            "look",
            letter,
            at,
            (at, max(visits_end, at)),
            **own,
            what=apart and f"{look.what}{apart}",
        )
    else:
        at = after(on_at, look.usual_s)
        span = (after(on_at, look.low_s), max(visits_end, after(on_at, look.high_s)))
        yield make_step("look", letter, at, span, **own)
    if (turned_s := turn_s(piece.piece)) is not None:
        yield make_step("turn", letter, after(on_at, turned_s), **own)
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
    names = _mixes(piece, day, "glaze") or (["Glaze"] if piece.glaze.coats_s else [])
    if not names:
        return
    if len(piece.glaze.coats_s) > 1 or piece.piece.glaze_at:
        yield from _coats(piece, ", ".join(names), own)
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
    yield make_step("glaze", piece.letter, times.middle, span, **own, what=f"{', '.join(names)} on")


def _coats(piece: SheetPiece, name: str, own: Mapping[str, Any]) -> Iterator[Step]:
    """Coats at the times that the cook gave, the same as the forecast has."""
    row, count = step_row("glaze"), len(piece.glaze.coats_s)
    for number, coat_s in enumerate(piece.glaze.coats_s, start=1):
        at = after(utc(piece.on_at), coat_s)
        yield make_step(
            "glaze",
            f"{piece.letter}{number}" if number > 1 else piece.letter,
            at,
            (after(at, row.low_s - row.usual_s), after(at, row.high_s - row.usual_s)),
            **own,
            what=f"{name} on" + (f", coat {number} of {count}" if count > 1 else ""),
        )


def _coated(steps: Sequence[Step]) -> dt.datetime | None:
    """When the last coat is set, or the bare surface dry: nothing rests before."""
    ends = [
        after(step.at, step_row(kind).usual_s)
        for step in steps
        if (kind := step.id.partition("-")[0]) in {"unwrap", "glaze"}
    ]
    return max(ends, default=None)


def _to_the_table(
    piece: SheetPiece, pit: str, probability: float, coated: dt.datetime | None
) -> Iterator[Step]:
    """From the first feel check to the plate."""
    letter, tender = piece.letter, tender_of(piece)
    serve = utc(piece.serve_at) if piece.serve_at else None
    if tender:
        yield from _feel(piece, tender, pit)
        off = Clocks(*(max(at, coated or at) for at in (tender.low, tender.middle, tender.high)))
        rested = Clocks(*(after(at, piece.rest_s) for at in (off.low, off.middle, off.high)))
        rest = quantities.format_duration(piece.rest_s)
        span = (off.low, off.high)
        yield make_step("rest", letter, off.middle, span, piece=letter, detail=rest)
        serve = serve or after(rested.middle, piece.carve_s)
        yield from _hold(piece, rested, serve)
        carve = max(after(serve, -piece.carve_s), rested.middle)
        late = rested.high
    elif serve:
        carve = late = after(serve, -piece.carve_s)
    else:
        return
    span = (carve, max(carve, late))
    until = "all of it is cut"
    yield make_step("carve", letter, carve, span, piece=letter, what=_knife(piece), until=until)
    # Nothing is served before it is cut, however firmly it was promised.
    served, told = serve, ""
    if carve > serve:
        served = after(carve, piece.carve_s)
        by_s = max(round((served - serve).total_seconds() / _WAIT_S), 1) * _WAIT_S
        told = f"most likely {quantities.format_duration(by_s)} late"
    span = (served, _overdue(piece, probability) or served)
    yield make_step("serve", letter, served, span, piece=letter, detail=told)


def _feel(piece: SheetPiece, tender: Clocks, pit: str) -> Iterator[Step]:
    """Begin checks before the early end, but not while it may still be waiting for its wrap."""
    own: dict[str, Any] = {"piece": piece.letter, "pit": pit, "until": piece.sign}
    row, wrap = step_row("check"), _wrap_times(piece)
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
    until = after(serve, -piece.carve_s)
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


def _knife(piece: SheetPiece) -> str:
    if piece.finish == "pull":
        return "Pull apart"
    if "rib" in piece.piece.cut and "roast" not in piece.piece.cut:
        return "Cut between the bones"
    return "Carve" if any(bird in piece.piece.cut for bird in ("turkey", "chicken", "duck")) else ""
