"""Lethality as an estimate: what a temperature over time is worth at a reference temperature.

An integral stands beside a rule and never in its place. At 54.4 °C what was measured did not
match the tables, slow heating makes bacteria tougher, and so do salt, fat and a dry surface
([fsis-appendix-a]_). Nothing colder than the tables' first row is credited here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.ranges import Floats, Range
from stallwise.tables.bacteria import Organism, organism
from stallwise.tables.limits import figure

__all__ = [
    "credited_log10",
    "equivalent_time_s",
    "lethal_rate",
    "log10_reduction",
    "ramp_time_s",
    "reference_time_s",
    "time_for_s",
    "z_value_k",
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


def reference_time_s(
    time_s: Sequence[float] | NDArray[np.float64],
    temperature_c: Sequence[float] | NDArray[np.float64],
    *,
    reference_c: float,
    z_k: float,
) -> float:
    """Time at the reference temperature that a curve is worth, by trapezoids on the rate.

    Parameters
    ----------
    time_s, temperature_c : array (times,)
        Curve of the coldest spot [s, °C].
    reference_c, z_k : float
        As for `lethal_rate`.

    Returns
    -------
    float
        Time [s].
    """
    rates = np.asarray(lethal_rate(np.asarray(temperature_c), reference_c=reference_c, z_k=z_k))
    steps = np.diff(np.asarray(time_s, dtype=np.float64))
    return float(((rates[1:] + rates[:-1]) / 2.0 * steps).sum())


def ramp_time_s(
    from_c: float, to_c: float, lasting_s: float, *, reference_c: float, z_k: float
) -> float:
    """Time at the reference temperature that an even climb is worth [s], in closed form.

    Parameters
    ----------
    from_c, to_c : float
        Start and end [°C], not the same.
    lasting_s : float
        How long it takes [s].
    reference_c, z_k : float
        As for `lethal_rate`.
    """
    if from_c == to_c:
        raise OutOfRangeError("a climb that does not climb", "two temperatures")
    first = float(lethal_rate(from_c, reference_c=reference_c, z_k=z_k))
    last = float(lethal_rate(to_c, reference_c=reference_c, z_k=z_k))
    return z_k * lasting_s / ((to_c - from_c) * math.log(10.0)) * (last - first)


def equivalent_time_s(time_s: float, from_c: float, to_c: float, z_k: float) -> float:
    """Time at another temperature that is worth the same [s].

    Parameters
    ----------
    time_s, from_c : float
        Time [s] at a temperature [°C].
    to_c : float
        The other temperature [°C].
    z_k : float
        Rise that makes it ten times as fast [K].

    References
    ----------
    [acmsf-2007]_
    """
    return time_s * float(lethal_rate(from_c, reference_c=to_c, z_k=z_k))


def z_value_k(d_s: tuple[float, float], temperature_c: tuple[float, float]) -> float:
    """Work z [K] out of two D [s] at two temperatures [°C]."""
    for one in d_s:
        _D.require(one)
    return (temperature_c[1] - temperature_c[0]) / math.log10(d_s[0] / d_s[1])


def log10_reduction(
    temperature_c: float, time_s: float, *, d_s: float, reference_c: float, z_k: float
) -> float:
    """Tenfold steps by which a hold at one temperature cuts bacteria down, as a model has it.

    Parameters
    ----------
    temperature_c, time_s : float
        The hold [°C, s].
    d_s, reference_c, z_k : float
        Of the bacteria: time for a tenth [s] at the reference [°C], and z [K].
    """
    _D.require(d_s)
    return time_s / d_s * float(lethal_rate(temperature_c, reference_c=reference_c, z_k=z_k))


def credited_log10(
    time_s: NDArray[np.float64],
    coldest_c: NDArray[np.float64],
    known: NDArray[np.bool_],
    one: Organism,
) -> float:
    """Tenfold steps over readings, credited only where two known neighbours are hot enough.

    Parameters
    ----------
    time_s, coldest_c : array (times,)
        The coldest probe less its tolerance [s, °C].
    known : array (times - 1,)
        Whether anything is known between one reading and the next.
    one : Organism
        The bacteria.

    Notes
    -----
    The colder of two neighbours counts for all the time between them, and nothing below the
    first row of the tables.
    """
    if len(time_s) < 2:
        return 0.0
    low = np.minimum(coldest_c[1:], coldest_c[:-1])
    counts = known & (low >= figure("lethal-from").si)
    # Hotter than boiling adds nothing: a probe says so only in steam.
    rates = np.asarray(
        lethal_rate(np.clip(low, 0.0, 100.0), reference_c=one.reference_c, z_k=one.z_k)
    )
    return float((np.diff(time_s) * rates * counts).sum() / one.d_s)


def time_for_s(log10: float, temperature_c: float, one: str = "salmonella") -> float:
    """Hold at one temperature that a model asks for so many tenfold steps [s].

    Parameters
    ----------
    log10 : float
        Tenfold steps, such as 6.5.
    temperature_c : float
        Temperature [°C].
    one : str, default "salmonella"
        Key of ``data/limits_lethality.csv``.
    """
    found = organism(one)
    rate = lethal_rate(temperature_c, reference_c=found.reference_c, z_k=found.z_k)
    return log10 * found.d_s / float(rate)
