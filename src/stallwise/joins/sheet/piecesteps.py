"""Steps of one piece at board and pit: thawing, rubs, meat on, visits, wrap, glaze."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stallwise.ground import units as quantities
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.pitsteps import SWITCHED_ON
from stallwise.joins.sheet.stepdraft import (
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
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.sheet.tablesteps import to_the_table, wrap_times
from stallwise.joins.sheet.thawing import thaw_step
from stallwise.joins.sheet.visits import looks, turn_s

__all__ = ["piece_steps"]


def _until_on(pit: str, day: SheetDay) -> str:
    """Sign to put meat on by where no smoke is to be looked at; that of the table for a fire."""
    state = day.pits.get(pit)
    if state is None or state.kind not in SWITCHED_ON:
        return ""
    return f"{'the oven' if state.kind == 'oven' else state.name} holds its heat"


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
        until=_until_on(pit, day),
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
    yield from to_the_table(piece, day, last_pit, probability, _coated(at_pit))


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
    yield from thaw_step(piece, day, begin)
    yield from reversed(drafts)


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
    wrap = wrap_times(piece)
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
    elif not tender or after(on_at, look.usual_s) < tender.middle:
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
