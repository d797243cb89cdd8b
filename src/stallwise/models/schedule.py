"""Steps of the time march for one piece: a regular grid with every shared event on it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError
from stallwise.models.kernel import Schedule
from stallwise.models.pitcurve import lid_opened
from stallwise.models.plan import PiecePlan, PitCurve
from stallwise.tables.parameters import parameter

__all__ = ["hold_times_s", "pit_ahead", "schedule"]

#: A curve with more points than this is averaged over each step instead of cut at each point.
_DENSE = 300
_CLOSE_S = 1e-3


def pit_ahead(piece: PiecePlan) -> PitCurve:
    """Pit as read until the as-of instant and as planned from then on, lid openings to come dipped.

    What the pit has run above or below its plan so far, in the pit where the piece is now, is
    carried on by the share in ``pit.future_share``, until the piece moves to another pit.

    Parameters
    ----------
    piece : PiecePlan
        With or without facts.

    Returns
    -------
    PitCurve
        In this piece's seconds.
    """
    opened = [*piece.openings_s, *(spritz.time_s for spritz in piece.spritz)]
    read_s = _read_until_s(piece)
    to_come = [time for time in opened if time >= read_s]
    return lid_opened(_shut(piece), to_come, ambient_c=piece.ambient_c)


def _read_until_s(piece: PiecePlan) -> float:
    """Say until when readings hold the dips that there were."""
    facts = piece.facts
    return facts.as_of_s if facts is not None and facts.pit is not None else -np.inf


def _shut(piece: PiecePlan) -> PitCurve:
    """Give the pit as `pit_ahead` has it, with its lid shut from now on."""
    facts = piece.facts
    if facts is None or facts.pit is None:
        return piece.pit
    now = facts.as_of_s
    read = [p for p in zip(facts.pit.time_s, facts.pit.temperature_c, strict=True) if p[0] <= now]
    if not read:
        return piece.pit
    seen = PitCurve(*(tuple(column) for column in zip(*read, strict=True)))
    moves = [change.time_s for change in piece.pit_changes]
    since = max([seen.time_s[0], *(time for time in moves if time <= now)])
    until = min([time for time in moves if time > now], default=np.inf)
    shift = 0.0
    if now > since:
        gap = float(
            (seen.integral(now) - seen.integral(since))
            - (piece.pit.integral(now) - piece.pit.integral(since))
        )
        shift = parameter("pit.future_share").value * gap / (now - since)
    times = [*seen.time_s, now, now]
    values = [*seen.temperature_c, float(seen.at(now)), float(piece.pit.at(now)) + shift]
    for time, value in zip(piece.pit.time_s, piece.pit.temperature_c, strict=True):
        if now < time < until:
            times.append(time)
            values.append(value + shift)
    if np.isfinite(until):
        times += [until, until]
        values += [float(piece.pit.at(until, before=True)) + shift, float(piece.pit.at(until))]
        for time, value in zip(piece.pit.time_s, piece.pit.temperature_c, strict=True):
            if time > until:
                times.append(time)
                values.append(value)
    return PitCurve(tuple(times), tuple(values))


def schedule(
    piece: PiecePlan,
    *,
    horizon_s: float,
    step_s: float,
    record_s: float,
    spritz_stays: float = 1.0,
) -> Schedule:
    """Build the steps of one piece.

    Parameters
    ----------
    piece : PiecePlan
        The plan.
    horizon_s : float
        End of the march [s].
    step_s : float
        Longest step [s].
    record_s : float
        Spacing of the recorded curves [s].
    spritz_stays : float, optional
        Share of each spritz that does not run off [-].

    Returns
    -------
    Schedule

    Raises
    ------
    InputError
        If the horizon is shorter than a step or a step is not positive.
    """
    if not 0.0 < step_s <= horizon_s or record_s <= 0.0:
        raise InputError(
            f"steps of {step_s:g} s, curves every {record_s:g} s, an end at {horizon_s:g} s",
            "0 < step, step <= end, 0 < spacing",
        )
    curve = pit_ahead(piece)
    sparse = len(curve.time_s) <= _DENSE
    rows = np.arange(0.0, horizon_s + _CLOSE_S, record_s)
    as_of = piece.facts.as_of_s if piece.facts is not None else -1.0
    times = _grid(
        [
            np.arange(0.0, horizon_s, step_s),
            rows,
            np.array([horizon_s, as_of]),
            np.array([change.time_s for change in piece.pit_changes]),
            np.array([spritz.time_s for spritz in piece.spritz]),
            np.array(curve.time_s if sparse else ()),
        ],
        horizon_s,
    )
    starts, ends = times[:-1], times[1:]
    if sparse:
        nominal = np.stack([curve.at(starts), curve.at(ends, before=True)], axis=1)
    else:
        mean = (curve.integral(ends) - curve.integral(starts)) / (ends - starts)
        nominal = np.stack([mean, mean], axis=1)
    spray = np.zeros(len(starts))
    for spritz in piece.spritz:
        if 0.0 <= spritz.time_s < horizon_s:
            stays = 1.0 if spritz.sticks else spritz_stays
            spray[_nearest(starts, spritz.time_s)] += spritz.water_kg_m2 * stays
    moves = np.array([change.time_s for change in piece.pit_changes])
    row_at = np.full(len(times), -1, dtype=np.int64)
    for row, time in enumerate(rows):
        row_at[_nearest(times, time)] = row
    return Schedule(
        times=times,
        nominal_c=np.ascontiguousarray(nominal),
        pit_of_step=np.searchsorted(moves, starts + _CLOSE_S, side="right").astype(np.int64),
        spray=spray,
        later=starts >= as_of - _CLOSE_S,
        row_at=row_at,
        rows=len(rows),
        after_s=hold_times_s(),
    )


def hold_times_s() -> NDArray[np.float64]:
    """Moments after the finish at which a hold is looked at: close at first, then ever wider apart.

    Returns
    -------
    array (points,)
        Times [s], from 0 to ``hold.horizon``; a spacing is ``hold.step`` at first, grows by
        ``hold.growth`` and is at most ``hold.longest_step``.
    """
    horizon_s = parameter("hold.horizon").value * 3600.0
    step_s, most_s = parameter("hold.step").value, parameter("hold.longest_step").value
    growth = parameter("hold.growth").value
    times = [0.0]
    while times[-1] + step_s < horizon_s:
        times.append(times[-1] + step_s)
        step_s = min(step_s * growth, most_s)
    return np.array([*times, horizon_s])


def _grid(parts: list[NDArray[np.float64]], horizon_s: float) -> NDArray[np.float64]:
    """All times from 0 to the horizon, those that all but coincide taken as one."""
    every = np.sort(np.concatenate(parts))
    inside = every[(every >= 0.0) & (every <= horizon_s)]
    kept = np.concatenate([[True], np.diff(inside) > _CLOSE_S])
    found: NDArray[np.float64] = inside[kept]
    return found


def _nearest(times: NDArray[np.float64], time: float) -> int:
    return int(np.argmin(np.abs(times - time)))
