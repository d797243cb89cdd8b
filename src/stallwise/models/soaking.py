"""How much of its resting salt a piece has taken up after some hours in a brine: diffusion, no more.

The early law (the square root of time) and the first term of the slab's series [carslaw-jaeger]_, with
volume over surface for the half thickness. Salt moves at a pace that published work puts anywhere within a
factor of ten, so that ends stand beside every share.
"""

from __future__ import annotations

import math

from stallwise.ground.errors import InputError
from stallwise.models.openpan import Span
from stallwise.tables.kitchen import kitchen_value

__all__ = ["soaked_share", "taken_share"]

#: Where the early law hands over to the first term of the series: they agree to 0.1 % there.
_HANDOVER = 0.2


def taken_share(time_s: float, volume_per_area_m: float, diffusivity_m2_s: float) -> float:
    """Share of the salt at rest that has come in by a time [s].

    Parameters
    ----------
    time_s : float
        In the brine [s].
    volume_per_area_m : float
        Volume over surface of the piece [m].
    diffusivity_m2_s : float
        Of salt in meat [m2/s].

    Raises
    ------
    InputError
        A negative time, or a piece without size.

    Examples
    --------
    >>> round(taken_share(3600.0, 0.01, 3e-10), 3)
    0.117
    """
    if not time_s >= 0.0 or not volume_per_area_m > 0.0:
        raise InputError(f"{time_s:g} s in a brine", "0 s or more, for a piece with a size")
    fourier = diffusivity_m2_s * time_s / volume_per_area_m**2
    if fourier < _HANDOVER:
        return 2.0 * math.sqrt(fourier / math.pi)
    return 1.0 - 8.0 / math.pi**2 * math.exp(-(math.pi**2) * fourier / 4.0)


def soaked_share(time_s: float | None, volume_per_area_m: float) -> Span:
    """Find ends and middle of `taken_share`; all of it where no time is given."""
    if time_s is None:
        return Span(1.0, 1.0, 1.0)
    pace = kitchen_value("salt_diffusivity")
    low, middle, high = (
        taken_share(time_s, volume_per_area_m, each * 1e-10)
        for each in (pace.low, pace.value, pace.high)
    )
    return Span(low, middle, high)
