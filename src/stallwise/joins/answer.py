"""The spine: one cook at one moment, answered as one Result.

This is the only maker of a Result and the only place where a Cook becomes a Plan. It reads
no clock: the moment of the asking is an argument.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from stallwise import __version__
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins import observed, timing
from stallwise.joins.daysheet import SheetPiece, chances, day_sheet, odds_in_time
from stallwise.joins.mixing import Mixed, Portion, mix_cook
from stallwise.joins.parameters import resolve, run_settings
from stallwise.joins.pieces import edible_kg, piece_result
from stallwise.joins.pitplan import PitState, pit_states
from stallwise.joins.plan import Planned, piece_cut, plan_piece
from stallwise.joins.result import Chance, PieceResult, Result
from stallwise.joins.words import ODDS
from stallwise.models.forecast import Forecast, forecast_pieces
from stallwise.models.plan import Knowledge
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook

__all__ = ["answer"]

#: Hour at which meat goes on when neither a start nor a serving time is known.
_NOMINAL_START = dt.time(9, 0)
_SEED, _MEMBERS = 1, 200
#: Starts and forecast agree after one or two rounds; more would chase five minutes.
_AGREE = 4


@dataclass(frozen=True)
class _Asked:
    """What is asked: the cook with changes laid over it, and what was logged by then."""

    record: CookRecord
    cook: Cook
    zone: ZoneInfo
    as_of: dt.datetime
    made_at: dt.datetime
    lines: tuple[LogLine, ...]
    knowledge: Knowledge
    seed: int
    members: int


@dataclass(frozen=True)
class _Foreseen:
    """Plans, forecast and starts that belong together."""

    planned: tuple[Planned, ...]
    forecast: Forecast
    on: Mapping[str, dt.datetime]
    pits: Mapping[str, PitState]
    chances: Mapping[str, tuple[Chance, ...]]


def answer(
    record: CookRecord,
    *,
    made_at: dt.datetime,
    as_of: dt.datetime | None = None,
    changes: Mapping[str, Any] | None = None,
    knowledge: Knowledge | None = None,
    seed: int = _SEED,
) -> Result:
    """Answer a cook: forecast, day sheet, mixes, salt, events, warnings.

    Parameters
    ----------
    record : CookRecord
        The cook as read from its folder.
    made_at : datetime
        Moment of the asking, aware.
    as_of : datetime, optional
        Only what was logged until then is used. The default is `made_at` for a planned or
        running cook and meat on for a finished one.
    changes : mapping, optional
        Plan parameters laid over ``cook.toml``; `seed` and `members` among them.
    knowledge : Knowledge, optional
        What was learned before this cook; the table's priors by default.
    seed : int
        Which possible days are drawn.

    Returns
    -------
    Result

    Raises
    ------
    InputError
        The plan asks for what cannot be, in words.
    """
    asked = _ask(record, made_at, as_of, changes, knowledge, seed)
    seen = _foresee(asked)
    hour_zero = min(seen.on.values())
    sheet_pieces = _sheet_pieces(asked, seen)
    pieces = _pieces(asked, seen, sheet_pieces)
    mixed = _mixed(asked, seen)
    probability = ODDS[asked.cook.odds]
    steps = day_sheet(
        asked.cook,
        sheet_pieces,
        pits=seen.pits,
        hour_zero=hour_zero,
        lines=asked.lines,
        probability=probability,
        zone=asked.zone,
        pit_start_s=_pit_start_s(record),
        units=record.book.units,
        as_of=asked.as_of,
        mixes=mixed.mixes,
    )
    warnings = (
        *record.warnings,
        *(warning for planned in seen.planned for warning in planned.warnings),
        *seen.forecast.warnings,
        *_late(asked, pieces),
        *mixed.warnings,
    )
    return Result(
        cook=record.name,
        title=asked.cook.title,
        date=asked.cook.date,
        state=record.state,
        sample=asked.cook.sample,
        units=record.book.units,
        time_zone=str(asked.zone),
        made_at=made_at.astimezone(asked.zone),
        as_of=asked.as_of.astimezone(asked.zone),
        hour_zero=hour_zero.astimezone(asked.zone),
        seed=asked.seed,
        members=asked.members,
        model_version=__version__,
        knowledge=asked.knowledge.id,
        inputs=_fingerprint(asked),
        hindcast=_is_hindcast(record, made_at),
        warnings=_once(warnings),
        pieces=pieces,
        steps=steps,
        odds_words=asked.cook.odds,
        odds=odds_in_time(sheet_pieces),
        mixes=mixed.mixes,
        salt=mixed.salt,
        ledger=mixed.ledger,
        limits=(),
        events=observed.events(asked.lines, hour_zero, asked.zone),
        readings=observed.traces(record.readings, hour_zero, asked.as_of),
        text=_texts(asked.cook),
        sources={name: name for name in _GROUPS},
    )


#: Groups of numbers in a Result; each is a key of ``data/groups.toml``.
_GROUPS = ("forecast", "odds", "sheet", "mixes", "salt", "ledger", "log", "readings")


def _ask(
    record: CookRecord,
    made_at: dt.datetime,
    as_of: dt.datetime | None,
    changes: Mapping[str, Any] | None,
    knowledge: Knowledge | None,
    seed: int,
) -> _Asked:
    run = run_settings(changes or {})
    if as_of is None:
        finished = record.state == "finished"
        as_of = (timing.hour_zero_logged(record) if finished else None) or made_at
    return _Asked(
        record,
        resolve(record.cook, changes),
        record.zone,
        as_of,
        made_at,
        timing.seen(record, as_of),
        knowledge or Knowledge(),
        run.get("seed", seed),
        run.get("members", _MEMBERS),
    )


def _foresee(asked: _Asked) -> _Foreseen:
    """Forecast, with starts that are computed where neither log nor plan gives one.

    A start that is computed moves a climbing pit's plan and a move's clock time in that piece's
    own hours, so starts and forecast are brought to agree, a few times at most.
    """
    fixed = {
        piece.letter: timing.logged_on(asked.lines, piece)
        or timing.planned_on(asked.cook, piece, asked.zone)
        for piece in asked.cook.pieces
    }
    known = [on for on in fixed.values() if on is not None]
    guess = min(known) if known else _nominal(asked)
    seen = _forecast(asked, {letter: was or guess for letter, was in fixed.items()})
    for _ in range(_AGREE):
        on = {
            letter: was or _chosen(seen.chances[letter]) or guess for letter, was in fixed.items()
        }
        if on == seen.on:
            return seen
        if not _depends_on_starts(asked, seen, on):
            return dataclasses.replace(seen, on=on)
        seen = _forecast(asked, on)
    return seen


def _depends_on_starts(asked: _Asked, seen: _Foreseen, on: Mapping[str, dt.datetime]) -> bool:
    """Whether other starts would be another forecast: clock times, or a shifting pit plan."""
    if any(piece.moves for piece in asked.cook.pieces) or asked.lines:
        return True
    steady = all(len({temp for _, temp in pit.points}) == 1 for pit in seen.pits.values())
    return not steady and _apart(on) != _apart(seen.on)


def _apart(on: Mapping[str, dt.datetime]) -> dict[str, dt.timedelta]:
    first = min(on.values())
    return {letter: at - first for letter, at in on.items()}


def _forecast(asked: _Asked, on: Mapping[str, dt.datetime]) -> _Foreseen:
    hour_zero = min(on.values())
    first_cut = piece_cut(asked.record, asked.cook.pieces[0])
    pits = pit_states(
        asked.cook.pits,
        asked.record.pits,
        asked.lines,
        hour_zero=hour_zero,
        usual_c=first_cut.pit_c,
    )
    planned = tuple(
        plan_piece(
            asked.record,
            asked.cook,
            piece,
            pits=pits,
            lines=asked.lines,
            on_at=on[piece.letter],
            hour_zero=hour_zero,
            as_of=asked.as_of,
            zone=asked.zone,
        )
        for piece in asked.cook.pieces
    )
    forecast = forecast_pieces(
        [each.plan for each in planned],
        seed=asked.seed,
        members=asked.members,
        knowledge=asked.knowledge,
    )
    seen = _Foreseen(planned, forecast, on, pits, {})
    found = chances(
        _sheet_pieces(asked, seen),
        chosen=asked.cook.odds,
        odds=ODDS,
        pit_start_s=_pit_start_s(asked.record),
        pit_names={letter: pit.name for letter, pit in pits.items()},
    )
    return dataclasses.replace(seen, chances=found)


def _sheet_pieces(asked: _Asked, seen: _Foreseen) -> tuple[SheetPiece, ...]:
    return tuple(
        SheetPiece(
            piece=planned.piece,
            name=planned.cut.name,
            finish=planned.finish,
            sign=planned.cut.finish(planned.finish).sign,
            on_at=seen.on[planned.piece.letter],
            tender_s=seen.forecast.pieces[planned.piece.letter].stages["tender"],
            bark_s=seen.forecast.pieces[planned.piece.letter].stages["bark_set"],
            wrapped_s=seen.forecast.pieces[planned.piece.letter].stages["wrapped"],
            weights=seen.forecast.pieces[planned.piece.letter].weights,
            rest_s=planned.rest_s,
            carve_s=planned.carve_s,
            serve_at=timing.serve_at(asked.cook, planned.piece, asked.zone),
            wrap_kind=planned.plan.wrap.kind,
            wrap_window_s=planned.wrap_window_s,
            unwrap_s=planned.plan.wrap.unwrap_s,
            spritz_s=planned.spritz_window_s,
            mass_kg=planned.mass_kg,
        )
        for planned in seen.planned
    )


def _pieces(asked: _Asked, seen: _Foreseen, sheet: Sequence[SheetPiece]) -> tuple[PieceResult, ...]:
    return tuple(
        piece_result(
            planned,
            seen.forecast.pieces[planned.piece.letter],
            on_at=seen.on[planned.piece.letter],
            serve_at=one.serve_at,
            chances=seen.chances.get(planned.piece.letter, ()),
            odds_in_time=odds_in_time([one]),
            is_on=_is_on(asked, planned.piece.letter),
            zone=asked.zone,
        )
        for planned, one in zip(seen.planned, sheet, strict=True)
    )


def _mixed(asked: _Asked, seen: _Foreseen) -> Mixed:
    record = asked.record
    portions = []
    for planned in seen.planned:
        forecast = seen.forecast.pieces[planned.piece.letter]
        edible = edible_kg(planned, forecast)
        portions.append(
            Portion(
                planned.piece,
                planned.mass_kg * planned.piece.count,
                float((edible * forecast.weights).sum() / forecast.weights.sum()),
            )
        )
    return mix_cook(
        asked.cook,
        portions,
        mixes=record.mixes,
        ingredients=record.ingredients,
        measures=record.book.measures,
        system=record.book.units,
    )


def _chosen(offered: Sequence[Chance]) -> dt.datetime | None:
    return next((chance.on_at for chance in offered if chance.chosen), None)


def _nominal(asked: _Asked) -> dt.datetime:
    return dt.datetime.combine(asked.cook.date, _NOMINAL_START, asked.zone)


def _pit_start_s(record: CookRecord) -> dict[str, float | None]:
    """Time a pit takes from match to steady, by name, where its file says so [s]."""
    return {
        name: None if pit.start_minutes is None else pit.start_minutes * 60.0
        for name, pit in record.pits.items()
    }


def _late(asked: _Asked, pieces: Sequence[PieceResult]) -> list[CookWarning]:
    """Say where the plan cannot be had: no serving time, a start that has passed."""
    found = []
    for piece in pieces:
        if piece.serve_at is None:
            text = "No serving time is set: clock times count from meat on at "
            found.append(CookWarning("no-serve", f"{text}{piece.on_at:%H:%M}.", piece.piece))
        elif not piece.is_on and piece.on_at < asked.as_of < piece.serve_at:
            text = (
                f"With these odds the meat should have gone on at {piece.on_at:%H:%M}, "
                "which has passed: wrap earlier, bring the pit up, or serve later."
            )
            found.append(CookWarning("start-passed", text, piece.piece))
        wrap = piece.wrap_window_h
        tender = piece.stages["tender"].elapsed_h.p50
        if wrap and tender is not None and wrap[0] > tender and not piece.stages["wrapped"].known:
            text = "The wrap is planned after the piece is most likely tender."
            found.append(CookWarning("wrap-after-tender", text, piece.piece))
        _refuse_late_wrap(asked, piece)
    return found


def _refuse_late_wrap(asked: _Asked, piece: PieceResult) -> None:
    """Refuse a wrap that begins after serving: it is no plan."""
    if piece.wrap_window_h is None or piece.serve_at is None or piece.stages["wrapped"].known:
        return
    begins = piece.on_at.astimezone(dt.UTC) + dt.timedelta(hours=piece.wrap_window_h[0])
    if begins > piece.serve_at and (asked.as_of < piece.serve_at or not piece.is_on):
        raise InputError(
            f"piece {piece.piece} is wrapped from {begins.astimezone(asked.zone):%H:%M}, "
            f"after it is served at {piece.serve_at:%H:%M}",
            "a wrap before serving",
            'Change wrap_from, or wrap = "none"',
        )


def _is_on(asked: _Asked, letter: str) -> bool:
    piece = next(piece for piece in asked.cook.pieces if piece.letter == letter)
    return timing.logged_on(asked.lines, piece) is not None


def _is_hindcast(record: CookRecord, made_at: dt.datetime) -> bool:
    """Made after the outcome was seen: every piece was tender, off or eaten by then."""
    return record.state == "finished" and all(
        any(
            line.at <= made_at
            for line in timing.seen(record, made_at)
            if line.what in {"off", "served", "sliced", "pulled", "rest_start"}
            and timing.concerns(line, piece)
        )
        for piece in record.cook.pieces
    )


def _fingerprint(asked: _Asked) -> str:
    """Name everything that bears on the numbers, so that a re-run knows what changed."""
    basis = {
        "cook": asked.cook.model_dump(mode="json", by_alias=True),
        "book": asked.record.book.model_dump(mode="json", by_alias=True),
        "pits": {k: v.model_dump(mode="json") for k, v in asked.record.pits.items()},
        "own": [asked.record.cuts, asked.record.mixes, asked.record.ingredients],
        "lines": [line.id for line in asked.lines],
        "as_of": asked.as_of.isoformat(),
        "run": [asked.seed, asked.members, asked.knowledge.id, __version__],
    }
    text = json.dumps(basis, sort_keys=True, default=str)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


def _texts(cook: Cook) -> dict[str, str]:
    texts = {
        "outcome": cook.outcome,
        "next_time": cook.next_time,
        "notes": cook.notes,
        "tasting": cook.tasting,
        "carried": None if cook.carried_done else cook.carried,
        "carried_from": None if cook.carried_done else cook.carried_from,
    }
    if cook.number:
        of = f" of {cook.number.out_of:g}" if cook.number.out_of else ""
        texts["number"] = f"{cook.number.name}: {cook.number.value:g}{of}"
    return {key: value for key, value in texts.items() if value}


def _once(warnings: Sequence[CookWarning]) -> tuple[CookWarning, ...]:
    return tuple(dict.fromkeys(warnings))
