"""Forecast of the pieces of a cook: many possible days, each marched through, and their stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import CookWarning, InputError
from stallwise.models.assimilate import Assimilated, assimilate
from stallwise.models.draws import Draws, draw
from stallwise.models.feel import by_core, by_dose
from stallwise.models.hold import Held
from stallwise.models.kernel import HELD, Marched
from stallwise.models.marching import march_piece
from stallwise.models.plan import Knowledge, Learned, PiecePlan
from stallwise.models.probe import reading_c
from stallwise.models.schedule import hold_times_s, pit_ahead
from stallwise.models.stages import stall
from stallwise.models.timeleft import with_time_left
from stallwise.models.unusual import unusual
from stallwise.tables.parameters import parameter, parameters

__all__ = [
    "STAGES",
    "Forecast",
    "PieceForecast",
    "days_of",
    "forecast_pieces",
    "forget",
    "simulate",
]

#: Stages in the order in which they usually come.
STAGES = ("bark_set", "stall_start", "wrapped", "stall_end", "tender", "rested")

_HOUR_S = 3600.0
_LEAST_DOSE = 1e-12
#: Forecasts of pieces kept, about 1 MB each.
_KEPT = 48

#: What is known that bears on one piece: of its pits, and of its cut.
_Lessons = tuple[tuple[str, Learned], ...]
_Taught = tuple[tuple[tuple[str, _Lessons], ...], _Lessons]


@dataclass(frozen=True)
class PieceForecast:
    """Possible days of one piece; member k is the same day in every piece of the cook.

    Attributes
    ----------
    key : str
        Letter of the piece.
    stages : mapping of stage to array (members,)
        Seconds since this piece's meat on, inf where a stage is not reached.
    time_s : array (rows,)
        Times of the curves [s].
    core_c, mid_c, surface_c, pit_c : arrays (members, rows)
        Core, half way out, surface, and air at the meat [°C]; after its rest a piece stays as it is.
    probe_c : array (members, rows)
        What a probe reads that is meant for the core and sits some millimetres off it [°C].
    loss_fraction : array (members,)
        Share of the mass lost when tender, or by the end of the look ahead.
    weights : array (members,)
        How likely each member is after the feel checks; they add up to 1.
    warnings : tuple of CookWarning
    held : Held
        From the finish on, in the place where it rests and is held.
    """

    key: str
    stages: Mapping[str, NDArray[np.float64]]
    time_s: NDArray[np.float64]
    core_c: NDArray[np.float64]
    mid_c: NDArray[np.float64]
    surface_c: NDArray[np.float64]
    probe_c: NDArray[np.float64]
    pit_c: NDArray[np.float64]
    loss_fraction: NDArray[np.float64]
    weights: NDArray[np.float64]
    held: Held
    warnings: tuple[CookWarning, ...] = ()


@dataclass(frozen=True)
class Forecast:
    """Forecast of a cook.

    Attributes
    ----------
    pieces : mapping of letter to PieceForecast
        In the order of the plans.
    seed, members : int
        What it was drawn with.
    knowledge : str
        Id of the knowledge used.
    """

    pieces: Mapping[str, PieceForecast]
    seed: int
    members: int
    knowledge: str

    @property
    def warnings(self) -> tuple[CookWarning, ...]:
        """Warnings of all pieces."""
        return tuple(warning for piece in self.pieces.values() for warning in piece.warnings)


def forecast_pieces(
    pieces: Sequence[PiecePlan],
    *,
    seed: int,
    members: int = 200,
    knowledge: Knowledge | None = None,
    horizon_s: float | None = None,
    step_s: float | None = None,
) -> Forecast:
    """Forecast every piece of a cook.

    Parameters
    ----------
    pieces : sequence of PiecePlan
        Plans with letters that differ.
    seed : int
        Seed of the cook: the same seed gives the same numbers.
    members : int, optional
        Possible days, 10 or more; 200 by default.
    knowledge : Knowledge, optional
        What was learned; the table of parameters alone when not given.
    horizon_s : float, optional
        Longest look ahead [s]; ``forecast.horizon`` when not given.
    step_s : float, optional
        Step of the time march [s]; ``forecast.step`` when not given.

    Returns
    -------
    Forecast

    Notes
    -----
    A piece whose plan, seed and knowledge are as in one of the last few forecasts is not marched
    again: only what changed is. The arrays are therefore read-only.

    Raises
    ------
    InputError
        If two pieces share a letter or there are fewer than 10 members.
    """
    letters = [piece.key for piece in pieces]
    if len(set(letters)) < len(letters):
        raise InputError(f"pieces {', '.join(letters)}", "each letter once")
    if members < 10:
        raise InputError(f"{members} members", "10 or more")
    horizon = parameter("forecast.horizon").value * _HOUR_S if horizon_s is None else horizon_s
    known = knowledge or Knowledge()
    step = parameter("forecast.step").value if step_s is None else step_s
    table = id(parameters())  # the numbers of another table are other forecasts
    taught = tuple(_taught(piece, known) for piece in pieces)
    read = any(piece.facts is not None and piece.facts.probes for piece in pieces)
    lesson = _assimilated(tuple(pieces), seed, members, taught, step, table) if read else None
    made = {
        piece.key: _kept(piece, seed, members, lessons, horizon, step, table, lesson)
        for piece, lessons in zip(pieces, taught, strict=True)
    }
    return Forecast(made, seed, members, known.id)


def forget() -> None:
    """Drop the forecasts that are kept, so that the next one is marched anew."""
    _kept.cache_clear()


@lru_cache(maxsize=_KEPT)
def _kept(
    piece: PiecePlan,
    seed: int,
    members: int,
    taught: _Taught,
    horizon_s: float,
    step_s: float,
    _table: int,
    lesson: Assimilated | None,
) -> PieceForecast:
    drawn = _drawn(piece, seed, members, _knowledge([piece], [taught]), lesson)
    warned = () if lesson is None else _suspect(piece, lesson)
    made = simulate(piece, drawn, horizon_s=horizon_s, step_s=step_s)
    made = replace(made, warnings=(*made.warnings, *warned))
    curves = (getattr(part, one.name) for part in (made, made.held) for one in fields(part))
    for array in (*made.stages.values(), *curves):
        if isinstance(array, np.ndarray):
            array.setflags(write=False)
    return made


def days_of(
    piece: PiecePlan,
    *,
    among: Sequence[PiecePlan],
    seed: int,
    members: int = 200,
    knowledge: Knowledge | None = None,
) -> Draws:
    """Draw the possible days that a forecast cooks a piece through, for any plan of the piece.

    Parameters
    ----------
    piece : PiecePlan
        A plan of one of the pieces, as it is or with something changed that is still to come.
    among : sequence of PiecePlan
        All pieces of the cook as they stand: what their probes have read moves the days.
    seed, members, knowledge
        As for `forecast_pieces`.

    Returns
    -------
    Draws
        For `simulate`.
    """
    known = knowledge or Knowledge()
    if not any(one.facts is not None and one.facts.probes for one in among):
        return _drawn(piece, seed, members, known, None)
    taught = tuple(_taught(one, known) for one in among)
    step = parameter("forecast.step").value
    lesson = _assimilated(tuple(among), seed, members, taught, step, id(parameters()))
    return _drawn(piece, seed, members, known, lesson)


def _drawn(
    piece: PiecePlan, seed: int, members: int, known: Knowledge, lesson: Assimilated | None
) -> Draws:
    scores = lesson.scores[piece.key] if lesson is not None else None
    drawn = draw(piece, seed=seed, members=members, knowledge=known, scores=scores)
    if lesson is None or not lesson.looks.get(piece.key):
        return drawn
    return with_time_left(piece, drawn, lesson.looks[piece.key], seed=seed, knowledge=known)


@lru_cache(maxsize=_KEPT)
def _assimilated(
    pieces: tuple[PiecePlan, ...],
    seed: int,
    members: int,
    taught: tuple[_Taught, ...],
    step_s: float,
    _table: int,
) -> Assimilated:
    known = _knowledge(pieces, taught)
    return assimilate(pieces, seed=seed, members=members, knowledge=known, step_s=step_s)


def _knowledge(pieces: Sequence[PiecePlan], taught: Sequence[_Taught]) -> Knowledge:
    pits = {name: dict(of) for known, _ in taught for name, of in known}
    cuts = {piece.cut: dict(known) for piece, (_, known) in zip(pieces, taught, strict=True)}
    return Knowledge(pits=pits, cuts=cuts)


def _suspect(piece: PiecePlan, lesson: Assimilated) -> tuple[CookWarning, ...]:
    if lesson.misfit.get(piece.key, 0.0) <= parameter("update.suspect").value:
        return ()
    words = (
        "The probe reads what hardly any of the possible days gives. Look whether it sits in the "
        "middle of the meat, off bone and fat, and whether the pit is as warm as its number says."
    )
    return (CookWarning("readings-suspect", words, piece.key),)


def _taught(piece: PiecePlan, known: Knowledge) -> _Taught:
    """Knowledge that this piece's draws can see, as something to look up by."""
    held = {piece.hold.name} - {""}
    names = sorted({*piece.pit_owners(), *held})
    pits = tuple((name, tuple(sorted(known.pits.get(name, {}).items()))) for name in names)
    return pits, tuple(sorted(known.cuts.get(piece.cut, {}).items()))


def simulate(
    piece: PiecePlan,
    draws: Draws,
    *,
    horizon_s: float,
    step_s: float | None = None,
    weights: NDArray[np.float64] | None = None,
) -> PieceForecast:
    """Forecast one piece with given draws.

    Parameters
    ----------
    piece : PiecePlan
        The plan.
    draws : Draws
        From `draws.draw`, or changed by an update with readings.
    horizon_s, step_s : float
        As for `forecast_pieces`.
    weights : array (members,), optional
        Weights that the draws already carry; equal when not given.

    Returns
    -------
    PieceForecast
    """
    step = parameter("forecast.step").value if step_s is None else step_s
    draws, weight, warned = by_dose(piece, draws, horizon_s, step)
    if weights is not None:
        weight = weight * weights
    record = parameter("forecast.record").value
    marched = march_piece(piece, draws, horizon_s=horizon_s, step_s=step, record_s=record)
    finish = marched.finish_s
    if piece.target.kind == "core":
        finish, weight, more = by_core(piece, finish, weight)
        warned += more
    time = np.arange(marched.core_c.shape[1], dtype=np.float64) * record
    start, end = stall(time, marched.core_c, finish)
    weight = weight / np.sum(weight)
    rested = finish + piece.rest_s
    rows = _rows(time, rested, weight)
    stages = {
        "bark_set": marched.bark_s,
        "stall_start": start,
        "wrapped": marched.wrapped_s,
        "stall_end": end,
        "tender": finish,
        "rested": rested,
    }
    lost = marched.loss_at_finish
    core, mid, skin = (
        curve[:, :rows] for curve in (marched.core_c, marched.mid_c, marched.surface_c)
    )
    return PieceForecast(
        key=piece.key,
        stages=stages,
        time_s=time[:rows],
        core_c=core,
        mid_c=mid,
        surface_c=skin,
        probe_c=np.asarray(reading_c(core, mid, skin, draws.probe_share[:, None])),
        pit_c=_pit_at_meat(piece, draws, time[:rows]),
        loss_fraction=np.where(np.isnan(lost), marched.loss_fraction[:, -1], lost),
        weights=weight,
        held=_held(piece, draws, marched),
        warnings=(*unusual(piece), *warned, *_outcome(piece, stages, weight)),
    )


def _held(piece: PiecePlan, draws: Draws, marched: Marched) -> Held:
    """Core after the finish, and how far a hold softens past it: doses add up in the box too."""
    core, mid, skin, _, dose = (marched.held[:, :, column] for column in range(len(HELD)))
    past = None if piece.target.kind == "core" else dose / np.maximum(dose[:, :1], _LEAST_DOSE)
    probe = np.asarray(reading_c(core, mid, skin, draws.probe_share[:, None]))
    return Held(hold_times_s(), probe, past)


def _rows(
    time: NDArray[np.float64], rested: NDArray[np.float64], weights: NDArray[np.float64]
) -> int:
    last = float(quantiles(rested, [parameter("forecast.reached").value], weights)[0])
    if not np.isfinite(last):
        return len(time)
    return min(len(time), int(np.searchsorted(time, last)) + 1)


def _pit_at_meat(piece: PiecePlan, draws: Draws, time: NDArray[np.float64]) -> NDArray[np.float64]:
    moves = np.array([change.time_s for change in piece.pit_changes])
    visited = np.searchsorted(moves, time, side="right")
    offsets: NDArray[np.float64] = draws.pits[:, :, 0]
    nominal = np.asarray(pit_ahead(piece).at(time))
    return nominal[None, :] + offsets[:, visited]


def _outcome(
    piece: PiecePlan, stages: Mapping[str, NDArray[np.float64]], weights: NDArray[np.float64]
) -> tuple[CookWarning, ...]:
    found = []
    tender = float(quantiles(stages["tender"], [0.5], weights)[0])
    if not np.isfinite(tender):
        words = (
            "Most of the possible days do not get this piece to its finish in the time looked at."
        )
        found.append(CookWarning("not-reached", words, piece.key))
    at = piece.wrap.at_s
    if at is not None and piece.wrap.kind != "none" and at > tender:
        words = "The wrap is planned for later than the piece is likely to be finished."
        found.append(CookWarning("wrap-late", words, piece.key))
    return tuple(found)
