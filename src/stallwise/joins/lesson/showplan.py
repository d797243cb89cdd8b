"""Pieces shown at planned ages: planned backwards from the hour over the forecast's possible days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.plan import Planned
from stallwise.models.forecast import PieceForecast
from stallwise.models.showing import Showable, best_starts, shown_share
from stallwise.record import clocks
from stallwise.record.lesson import Show, Shown
from stallwise.tables.lessons import lesson_value
from stallwise.tables.parameters import parameter

__all__ = ["ShowPlan", "planned_starts", "show_plans"]

_HOUR_S, _MINUTE_S = 3600.0, 60.0
Days = NDArray[np.float64]


@dataclass(frozen=True)
class ShowPlan:
    """One show.

    Attributes
    ----------
    shown : str
        The state it is shown in.
    at : datetime
    pieces : tuple of (str, datetime, float)
        Letter, meat on, and the share of days on which that piece is in its state then.
    share : float
        Share of days on which at least one is.
    enough : bool
        Whether that is sure enough (``show.good``).
    """

    shown: str
    at: dt.datetime
    pieces: tuple[tuple[str, dt.datetime, float], ...]
    share: float
    enough: bool


def _raw(_: PieceForecast, days: Days, __: Planned) -> tuple[Days, Days]:
    return np.full_like(days, -np.inf), np.zeros_like(days)


def _bark(seen: PieceForecast, days: Days, _: Planned) -> tuple[Days, Days]:
    return seen.stages["bark_set"], np.fmin(seen.stages["wrapped"], days)


def _stall(seen: PieceForecast, _: Days, __: Planned) -> tuple[Days, Days]:
    return seen.stages["stall_start"], seen.stages["stall_end"]


def _wrapped(seen: PieceForecast, days: Days, _: Planned) -> tuple[Days, Days]:
    return seen.stages["wrapped"], days


def _tender(_: PieceForecast, days: Days, __: Planned) -> tuple[Days, Days]:
    return days, days + lesson_value("show.tender") * _MINUTE_S


def _resting(_: PieceForecast, days: Days, one: Planned) -> tuple[Days, Days]:
    return days, days + one.rest_s


def _slicing(_: PieceForecast, days: Days, one: Planned) -> tuple[Days, Days]:
    return days + one.rest_s, days + parameter("hold.most").value * _HOUR_S


#: When a piece comes into a state and leaves it, by possible day [s after meat on].
_SPANS: Mapping[Shown, Callable[[PieceForecast, Days, Planned], tuple[Days, Days]]] = {
    "raw": _raw,
    "bark set": _bark,
    "stall": _stall,
    "wrapped": _wrapped,
    "tender": _tender,
    "resting": _resting,
    "slicing": _slicing,
}


def _showable(seen: Foreseen, letter: str, shown: Shown) -> Showable:
    planned = next(one for one in seen.planned if one.piece.letter == letter)
    forecast = seen.forecast.pieces[letter]
    return Showable(*_SPANS[shown](forecast, forecast.stages["tender"], planned))


def planned_starts(asked: Asked, seen: Foreseen) -> dict[str, str]:
    """Meat on of every shown piece that has no start of its own, as settings: ``on__S``.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        The cook, and its forecast with any starts.

    Raises
    ------
    InputError
        A piece never comes into the state that it is shown in.
    """
    found: dict[str, str] = {}
    fixed = {piece.letter for piece in asked.cook.pieces if piece.on or piece.serve}
    for show in _shows(asked):
        letters = [one for one in show.pieces if one not in fixed and f"on__{one}" not in found]
        if not letters:
            continue
        weights = seen.forecast.pieces[letters[0]].weights
        starts = best_starts([_showable(seen, one, show.shown) for one in letters], weights)
        at = _at(asked, show)
        for letter, before_s in zip(letters, starts.before_s, strict=True):
            on = at - dt.timedelta(seconds=before_s)
            found[f"on__{letter}"] = f"{on.astimezone(asked.zone):%Y-%m-%d %H:%M}"
    return found


def show_plans(asked: Asked, seen: Foreseen) -> tuple[ShowPlan, ...]:
    """Look how sure each show is with the starts that there are."""
    found = []
    for show in _shows(asked):
        at = _at(asked, show)
        spans = [_showable(seen, letter, show.shown) for letter in show.pieces]
        before = [(at - seen.on[letter]).total_seconds() for letter in show.pieces]
        weights = seen.forecast.pieces[show.pieces[0]].weights
        each = [
            shown_share([span], [when], weights) for span, when in zip(spans, before, strict=True)
        ]
        share = shown_share(spans, before, weights)
        on = [seen.on[letter].astimezone(asked.zone) for letter in show.pieces]
        found.append(
            ShowPlan(
                show.shown,
                at,
                tuple(zip(show.pieces, on, each, strict=True)),
                share,
                share >= lesson_value("show.good"),
            )
        )
    return tuple(sorted(found, key=lambda one: one.at))


def _shows(asked: Asked) -> Sequence[Show]:
    return asked.cook.lesson.shows if asked.cook.lesson else []


def _at(asked: Asked, show: Show) -> dt.datetime:
    return clocks.moment(show.at, asked.cook.date, asked.zone).astimezone(asked.zone)
