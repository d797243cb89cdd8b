"""What happens to a pit's temperature: the lid opened, the fire sagging, the fire out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stallwise.ground.errors import InputError
from stallwise.models.plan import PitCurve
from stallwise.tables.parameters import parameter

__all__ = ["fire_out", "lid_opened", "sagging"]

#: Points of an exponential drawn as straight lines, as shares of its time constant.
_BENDS = (0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0)


def lid_opened(
    pit: PitCurve,
    times_s: Sequence[float],
    *,
    ambient_c: float | None = None,
    dip: float | None = None,
    recovery_s: float | None = None,
) -> PitCurve:
    """Open the lid at each time: the air falls at once and comes back bit by bit.

    Cold air comes in, so what is lost is a share of the pit's rise above the air outside; hot walls
    bring most of it back within minutes. An opening during another's recovery starts from there.

    Parameters
    ----------
    pit : PitCurve
        The pit with its lid shut.
    times_s : sequence of float
        Openings [s], in any order.
    ambient_c : float, optional
        Air outside [°C]; ``pit.opening.ambient`` when not given. Colder air makes a deeper dip.
    dip : float, optional
        Share of the rise that is lost [-], 0 to 1; ``pit.opening.dip`` when not given.
    recovery_s : float, optional
        Time in which all but a twentieth has come back [s]; ``pit.opening.recovery`` when not given.

    Returns
    -------
    PitCurve

    Raises
    ------
    InputError
        The dip is no share or the recovery no time.

    References
    ----------
    [common-practice]_
    """
    outside = parameter("pit.opening.ambient").value if ambient_c is None else ambient_c
    share = parameter("pit.opening.dip").value if dip is None else dip
    back_s = parameter("pit.opening.recovery").value if recovery_s is None else recovery_s
    if not 0.0 <= share < 1.0 or back_s <= 0.0:
        raise InputError(
            f"a dip of {share:g} that is back in {back_s:g} s", "a share below 1 and a time above 0"
        )
    opened = sorted(time for time in times_s if time >= 0.0)
    if not opened or share == 0.0:
        return pit
    tau_s = back_s / 3.0
    bends = [time + bend * tau_s for time in opened for bend in _BENDS]
    bends += [time - 1e-3 for time in opened if time > 0.0]
    every = np.unique(np.concatenate([pit.time_s, bends]))
    missing = np.zeros(len(every))
    for time in opened:
        since = every - time
        fresh = np.where(since >= 0.0, share * np.exp(-np.maximum(since, 0.0) / tau_s), 0.0)
        missing = 1.0 - (1.0 - missing) * (1.0 - fresh)
    shut = np.asarray(pit.at(every))
    return PitCurve(tuple(every.tolist()), tuple((shut - missing * (shut - outside)).tolist()))


def fire_out(
    pit: PitCurve, at_s: float, until_s: float, *, ambient_c: float, cooling_s: float
) -> PitCurve:
    """Let the fire go out at one time and be lit again at another; then the pit is as planned.

    Parameters
    ----------
    pit : PitCurve
        The pit as planned.
    at_s, until_s : float
        When it goes out, and when the pit is back at its plan [s].
    ambient_c : float
        Air outside [°C].
    cooling_s : float
        Time constant of the pit, its heat over its loss [s].

    Returns
    -------
    PitCurve

    Raises
    ------
    InputError
        It is lit before it goes out, or the time constant is none.
    """
    if until_s <= at_s or cooling_s <= 0.0:
        raise InputError(
            f"a fire out from {at_s:g} to {until_s:g} s that cools in {cooling_s:g} s",
            "out before it is lit again, a time constant above 0",
        )
    hot = float(pit.at(at_s, before=True))
    points = [(t, c) for t, c in zip(pit.time_s, pit.temperature_c, strict=True) if t < at_s]
    if not points or points[0][0] > 0.0:
        points.insert(0, (min(0.0, at_s), float(pit.at(0.0))))
    for bend in _BENDS:
        time = at_s + bend * cooling_s
        if time < until_s:
            points.append((time, ambient_c + (hot - ambient_c) * float(np.exp(-bend))))
    low = ambient_c + (hot - ambient_c) * float(np.exp(-(until_s - at_s) / cooling_s))
    points += [(until_s, low), (until_s, float(pit.at(until_s)))]
    points += [(t, c) for t, c in zip(pit.time_s, pit.temperature_c, strict=True) if t > until_s]
    times, values = zip(*points, strict=True)
    return PitCurve(times, values)


def sagging(pit: PitCurve, from_s: float, to_s: float, by_k: float) -> PitCurve:
    """Let an unwatched pit sag in a straight line, and be brought back at the end.

    Parameters
    ----------
    pit : PitCurve
        The pit as planned.
    from_s, to_s : float
        When nobody looks [s].
    by_k : float
        How far it has fallen by the end [K], 0 or more.

    Returns
    -------
    PitCurve

    Raises
    ------
    InputError
        Times run backwards or it rises.
    """
    if to_s <= from_s or by_k < 0.0:
        raise InputError(
            f"a sag of {by_k:g} K from {from_s:g} to {to_s:g} s", "0 K or more, from before to"
        )
    bends = [(from_s, 0.0), *((t, 1.0) for t in pit.time_s if from_s < t < to_s), (to_s, 1.0)]
    points = [(t, c) for t, c in zip(pit.time_s, pit.temperature_c, strict=True) if t < from_s]
    for time, _ in bends:
        fallen = by_k * (time - from_s) / (to_s - from_s)
        points.append((time, float(pit.at(time, before=True)) - fallen))
    points.append((to_s, float(pit.at(to_s))))
    points += [(t, c) for t, c in zip(pit.time_s, pit.temperature_c, strict=True) if t > to_s]
    times, values = zip(*points, strict=True)
    return PitCurve(times, values)
