"""Asking for an answer by the wall clock: as-of times in words, and keeping forecasts.

`answer` itself reads no clock; surfaces come through here with their `made_at`.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Collection, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.joins.limit.limits import Limits, cook_limits
from stallwise.joins.mix.usedmixes import keep_used_mixes
from stallwise.joins.result import Lever, Result, to_plain
from stallwise.joins.timing import hour_zero_logged
from stallwise.joins.ways.whatif import what_if
from stallwise.record.cook import CookRecord
from stallwise.record.folder import CookFolder

__all__ = ["ask", "ask_limits", "ask_what_if", "forecast_line", "keep_forecast", "read_time"]

#: Stages and quantiles that a kept forecast holds.
_KEPT_STAGES = ("stall_start", "wrapped", "stall_end", "tender")


def ask(
    record: CookRecord,
    *,
    made_at: dt.datetime,
    as_of: str | dt.datetime | None = None,
    changes: Mapping[str, Any] | None = None,
) -> Result:
    """Answer a cook, with `as_of` as a person writes it.

    Parameters
    ----------
    record : CookRecord
        The cook and all that was logged.
    made_at : datetime
        Wall clock of the asking, aware.
    as_of : str or datetime, optional
        ``"14:30"``, ``"2026-09-26 14:30"``, ``"+3:00"`` after meat on, or an instant.
        The default is now for a running cook and the plan's start for a finished one.
    changes : mapping, optional
        Plan parameters, as with ``--set``.
    """
    moment = read_time(record, as_of) if isinstance(as_of, str) else as_of
    return answer(record, as_of=moment, changes=changes, made_at=made_at)


def ask_limits(
    record: CookRecord, *, made_at: dt.datetime, as_of: str | dt.datetime | None = None
) -> Limits:
    """Ask for the limits of a cook alone: they need no forecast, and none can keep them back.

    Parameters
    ----------
    record, made_at, as_of
        As for `ask`; the default is as far as the log goes.
    """
    moment = read_time(record, as_of) if isinstance(as_of, str) else as_of
    return cook_limits(record, record.cook, moment or made_at)


def ask_what_if(
    record: CookRecord,
    result: Result,
    *,
    changes: Mapping[str, Any] | None = None,
    pieces: Collection[str] = (),
) -> tuple[Lever, ...]:
    """Ask what would change an answer: the same moment, starts and settings.

    Parameters
    ----------
    record, changes
        As the answer was asked with.
    result : Result
        The answer.
    pieces : collection of str, optional
        Letters of the pieces to look at; all of them when empty.
    """
    return what_if(
        record,
        made_at=result.made_at,
        as_of=result.as_of,
        changes=changes,
        seed=result.seed,
        starts={piece.piece: piece.on_at for piece in result.pieces},
        pieces=pieces,
    )


def read_time(record: CookRecord, text: str) -> dt.datetime:
    """Read a moment of a cook: clock, date and clock, elapsed, or RFC 3339."""
    text = text.strip()
    if text.startswith("+"):
        zero = hour_zero_logged(record)
        if zero is None:
            raise InputError(
                f"{text!r} counts from meat on, which is not logged",
                "a clock time such as 14:30",
                'Or log it first: stallwise log COOK "meat on" --at 09:00',
            )
        return zero + dt.timedelta(seconds=units.parse("duration", text[1:], key="as-of"))
    zone = record.zone
    if re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", text):
        return _on_the_day(record, dt.time.fromisoformat(text.zfill(5)), zone)
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError:
        raise InputError(
            f"time {text!r}", '"14:30", "2026-09-26 14:30", or "+3:00" after meat on'
        ) from None
    return moment if moment.tzinfo else moment.replace(tzinfo=zone)


def _on_the_day(record: CookRecord, time: dt.time, zone: ZoneInfo) -> dt.datetime:
    """Take a bare clock for the first such time from an hour before meat on."""
    zero = hour_zero_logged(record)
    moment = dt.datetime.combine(record.cook.date, time, zone)
    if zero is None:
        return moment
    start = zero - dt.timedelta(hours=1)
    moment = dt.datetime.combine(start.astimezone(zone).date(), time, zone)
    return moment if moment >= start else moment + dt.timedelta(days=1)


def forecast_line(result: Result) -> dict[str, Any]:
    """Gather what a kept forecast holds: when, from what, and the quantiles of each stage."""
    pieces = {}
    for piece in result.pieces:
        stages = {
            key: to_plain(piece.stages[key].elapsed_h)
            for key in _KEPT_STAGES
            if key in piece.stages
        }
        pieces[piece.piece] = {
            "cut": piece.cut,
            "finish": piece.finish,
            "wrap": piece.wrap,
            "mass_kg": piece.mass_kg,
            "on_at": to_plain(piece.on_at),
            "stages": stages,
            "serve_at": to_plain(piece.serve_at),
            "odds_in_time": piece.odds_in_time,
        }
    body = {
        "schema": 1,
        "made_at": to_plain(result.made_at),
        "as_of": to_plain(result.as_of),
        "hindcast": result.hindcast,
        "knowledge": result.knowledge,
        "widening": result.widening,
        "model_version": result.model_version,
        "inputs": result.inputs,
        "seed": result.seed,
        "members": result.members,
        "pieces": pieces,
    }
    # A retry of the same forecast is not a second line: made_at stays out of its id.
    basis = repr([(k, v) for k, v in sorted(body.items()) if k != "made_at"])
    body["id"] = hashlib.blake2b(basis.encode(), digest_size=8).hexdigest()
    return body


def keep_forecast(folder: CookFolder, result: Result) -> None:
    """Append the forecast to the cook's ``results/forecasts.jsonl``; mixes in use are copied too."""
    folder.keep_forecast(forecast_line(result))
    keep_used_mixes(folder)
