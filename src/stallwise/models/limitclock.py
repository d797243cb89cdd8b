"""Times that a rule allows: clocks between two temperatures, time as control, dates, ovens."""

from __future__ import annotations

from stallwise.models.standing import State, span_state, worst_state
from stallwise.tables.limits import at_least, clock, figure

__all__ = [
    "clock_state",
    "cooling_state",
    "counter_limit_s",
    "counter_limits_s",
    "discard_at_s",
    "last_day",
    "oven_fits_roasts",
]


def clock_state(clock_key: str, worst_s: float, best_s: float) -> State:
    """State of a longest time, from the longest and the shortest that it can have been.

    Parameters
    ----------
    clock_key : str
        Key of ``data/limits_clock.csv``.
    worst_s, best_s : float
        Longest and shortest possible time [s]; the same where it is known.

    References
    ----------
    [fsis-appendix-a]_, [fda-food-code]_
    """
    return span_state(clock(clock_key).limit_s, worst_s, best_s)


def cooling_state(hot_s: float, middle_s: float, cold_s: float) -> State:
    """State of two-stage cooling whose three moments are known [s].

    Parameters
    ----------
    hot_s, middle_s, cold_s : float
        When it left 135 °F, and reached 70 and 41 °F.

    References
    ----------
    [fda-food-code]_
    """
    first = clock_state("cool-first", middle_s - hot_s, middle_s - hot_s)
    total = clock_state("cool-total", cold_s - hot_s, cold_s - hot_s)
    return worst_state(first, total)


def counter_limit_s(ambient_c: float) -> float:
    """Longest time out of the cold for perishable food, by the air round it [s].

    Parameters
    ----------
    ambient_c : float
        Air [°C]; above 90 °F it is an hour.

    References
    ----------
    [fsis-basics]_
    """
    return counter_limits_s(ambient_c)[0]


def counter_limits_s(ambient_c: float | None) -> tuple[float, ...]:
    """Longest times that may hold [s]: both where the air is not known."""
    two, one = clock("two-hours").limit_s, clock("one-hour-hot-day").limit_s
    if ambient_c is None:
        return (one, two)
    return (one,) if ambient_c > figure("hot-day").si else (two,)


def discard_at_s(removed_s: float, key: str = "time-hot") -> float:
    """When food under time as control is thrown away [s].

    Parameters
    ----------
    removed_s : float
        When it left its hot or cold place [s].
    key : {"time-hot", "time-cold"}
        4 h, or 6 h from cold that never passes 70 °F.

    References
    ----------
    [fda-food-code]_
    """
    return removed_s + clock(key).limit_s


def last_day(made_day: int) -> int:
    """Last day of ready-to-eat food, counted from the day it is made, which is day one.

    Parameters
    ----------
    made_day : int
        A running number of days.

    References
    ----------
    [fda-food-code]_
    """
    return made_day + round(clock("date").limit_s / 86_400.0) - 1


def oven_fits_roasts(
    mass_kg: float | None,
    pit_low_c: float | None,
    *,
    pit_high_c: float | None = None,
    damp: bool = False,
    fan: bool = False,
) -> bool | None:
    """Whether a pit is an oven that the table for whole roasts was made for.

    Parameters
    ----------
    mass_kg : float or None
        The piece as it goes on [kg].
    pit_low_c : float or None
        Coldest that the pit was read at [°C]: a dry oven is to be as hot at least.
    pit_high_c : float, optional
        Hottest that it was read at [°C]: a damp one is to be as hot at most.
    damp : bool
        Over 90 % for at least an hour, or a bag that lets nothing out.
    fan : bool
        A convection oven.

    Returns
    -------
    bool or None
        None where weight or pit is not known.

    References
    ----------
    [fda-food-code]_
    """
    if damp:
        return None if pit_high_c is None else at_least(figure("oven-damp").si, pit_high_c)
    if mass_kg is None or pit_low_c is None:
        return None
    kind = "fan" if fan else "dry"
    size = "large" if mass_kg >= figure("oven-large").si else "small"
    return at_least(pit_low_c, figure(f"oven-{kind}-{size}").si)
