"""Times that a rule allows: clocks between two temperatures, time as control, dates, ovens."""

from __future__ import annotations

from stallwise.tables.limits import at_least, clock, figure

__all__ = ["counter_limits_s", "discard_at_s", "last_day", "oven_fits_roasts"]


def counter_limits_s(ambient_c: float | None) -> tuple[float, ...]:
    """Longest times out of the cold that may hold for perishable food [s], by the air round it.

    Parameters
    ----------
    ambient_c : float or None
        Air [°C]; above 90 °F it is an hour. Both where it is not known.

    References
    ----------
    [fsis-basics]_
    """
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


def oven_fits_roasts(mass_kg: float | None, pit_low_c: float | None) -> bool | None:
    """Whether a pit is a still dry oven that the table for whole roasts was made for.

    Parameters
    ----------
    mass_kg : float or None
        The piece as it goes on [kg].
    pit_low_c : float or None
        Coldest that the pit was read at [°C].

    Returns
    -------
    bool or None
        None where weight or pit is not known.

    Notes
    -----
    The table allows more in a convection oven or in damp air; which of them a pit over live fire
    is, nobody here can tell, so the line of the dry oven is asked.

    References
    ----------
    [fda-food-code]_
    """
    if mass_kg is None or pit_low_c is None:
        return None
    size = "large" if mass_kg >= figure("oven-large").si else "small"
    return at_least(pit_low_c, figure(f"oven-dry-{size}").si)
