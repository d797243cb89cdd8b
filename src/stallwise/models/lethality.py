"""Lethality as an estimate: what a temperature over time is worth at a reference temperature.

An integral stands beside a rule and never in its place. At 54.4 °C what was measured did not
match the tables, slow heating makes bacteria tougher, and so do salt, fat and a dry surface
([fsis-appendix-a]_). Nothing colder than the tables' first row is credited here.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ranges import Floats, Range
from stallwise.tables.bacteria import Organism
from stallwise.tables.limits import figure

__all__ = [
    "credited_log10",
    "equivalent_time_s",
    "lethal_rate",
    "log10_reduction",
    "ramp_time_s",
]

_Z = Range("z", 0.5, 50.0, "K")
_D = Range("D", 1e-3, 1e6, "s")
_TEMPERATURE = Range("temperature", -60.0, 200.0, "°C")


def lethal_rate(temperature_c: Floats, *, reference_c: float, z_k: float) -> Floats:
    """Rate that a temperature is worth at the reference: 10^((T - T_ref) / z).

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    reference_c : float
        Reference temperature [°C].
    z_k : float
        Rise that makes it ten times as fast [K].

    Returns
    -------
    float or array
        Rate [-].
    """
    _TEMPERATURE.require(temperature_c)
    _Z.require(z_k)
    return np.power(10.0, (np.asarray(temperature_c, dtype=np.float64) - reference_c) / z_k)[()]


def ramp_time_s(
    from_c: Floats, to_c: Floats, lasting_s: Floats, *, reference_c: float, z_k: float
) -> Floats:
    """Time at the reference temperature that even climbs or falls are worth [s], in closed form.

    Parameters
    ----------
    from_c, to_c : float or array
        Start and end [°C].
    lasting_s : float or array
        How long each takes [s].
    reference_c, z_k : float
        As for `lethal_rate`.
    """
    first = lethal_rate(from_c, reference_c=reference_c, z_k=z_k)
    rise = (np.asarray(to_c, dtype=np.float64) - from_c) * (math.log(10.0) / z_k)
    # (e^x - 1) / x, which is 1 where it holds still.
    still = np.abs(rise) < 1e-12
    grown = np.where(still, 1.0, np.expm1(rise) / np.where(still, 1.0, rise))
    return np.asarray(lasting_s * first * grown)[()]


def equivalent_time_s(time_s: Floats, from_c: Floats, to_c: float, z_k: float) -> Floats:
    """Time at another temperature that is worth the same [s].

    Parameters
    ----------
    time_s, from_c : float or array
        Time [s] at a temperature [°C].
    to_c : float
        The other temperature [°C].
    z_k : float
        Rise that makes it ten times as fast [K].

    References
    ----------
    [acmsf-2007]_
    """
    return time_s * lethal_rate(from_c, reference_c=to_c, z_k=z_k)


def log10_reduction(
    temperature_c: Floats, time_s: Floats, *, d_s: float, reference_c: float, z_k: float
) -> Floats:
    """Tenfold steps by which holds at a temperature cut bacteria down, as a model has it.

    Parameters
    ----------
    temperature_c, time_s : float or array
        The holds [°C, s].
    d_s, reference_c, z_k : float
        Of the bacteria: time for a tenth [s] at the reference [°C], and z [K].
    """
    _D.require(d_s)
    return equivalent_time_s(time_s, temperature_c, reference_c, z_k) / d_s


def credited_log10(
    time_s: NDArray[np.float64],
    coldest_c: NDArray[np.float64],
    known: NDArray[np.bool_],
    one: Organism,
) -> tuple[float, float]:
    """Tenfold steps over readings, least and most, credited only between known hot neighbours.

    Parameters
    ----------
    time_s, coldest_c : array (times,)
        The coldest probe less its tolerance [s, °C].
    known : array (times - 1,)
        Whether anything is known between one reading and the next.
    one : Organism
        The bacteria.

    Returns
    -------
    tuple of two floats
        With the colder of two neighbours for all the time between them, and with an even climb.

    Notes
    -----
    Nothing below the first row of the tables is credited.
    """
    counts = known & (np.minimum(coldest_c[1:], coldest_c[:-1]) >= figure("lethal-from").si)
    # Hotter than boiling adds nothing: a probe says so only in steam.
    first, then = (np.clip(each[counts], 0.0, 100.0) for each in (coldest_c[:-1], coldest_c[1:]))
    steps = np.diff(time_s)[counts]
    held = np.minimum(first, then)
    least = log10_reduction(held, steps, d_s=one.d_s, reference_c=one.reference_c, z_k=one.z_k)
    most = np.asarray(ramp_time_s(first, then, steps, reference_c=one.reference_c, z_k=one.z_k))
    return float(np.sum(least)), float(np.sum(most) / one.d_s)
