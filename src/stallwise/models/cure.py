"""Nitrite by weight: what a weighed cure of a stated strength puts into meat. No dose is offered."""

from __future__ import annotations

from stallwise.ground.errors import OutOfRangeError

__all__ = ["cure_for_nitrite_kg", "ingoing_nitrite_ppm"]


def ingoing_nitrite_ppm(cure_kg: float, meat_kg: float, nitrite_share: float) -> float:
    """Sodium nitrite that goes into meat [parts in a million].

    Parameters
    ----------
    cure_kg, meat_kg : float
        Weighed cure and meat [kg].
    nitrite_share : float
        Nitrite in the cure by its label, above 0 to 1.

    Raises
    ------
    OutOfRangeError
        A weight is missing, or the strength is not stated: cures differ by sixteenfold.

    References
    ----------
    [cfr-21-172]_
    """
    _weighed(meat_kg, nitrite_share)
    if cure_kg < 0.0:
        raise OutOfRangeError(f"{cure_kg:g} kg of cure", "a weight")
    return cure_kg * nitrite_share / meat_kg * 1e6


def cure_for_nitrite_kg(nitrite_ppm: float, meat_kg: float, nitrite_share: float) -> float:
    """Cure that holds so much nitrite [kg]; arithmetic for a figure that the cook brings.

    Parameters
    ----------
    nitrite_ppm : float
        Parts in a million of the meat, from the cook's own recipe or label.
    meat_kg, nitrite_share : float
        As for `ingoing_nitrite_ppm`.
    """
    _weighed(meat_kg, nitrite_share)
    return nitrite_ppm / 1e6 * meat_kg / nitrite_share


def _weighed(meat_kg: float, nitrite_share: float) -> None:
    if not meat_kg > 0.0:
        raise OutOfRangeError(f"{meat_kg:g} kg of meat", "a weight from a scale")
    if not 0.0 < nitrite_share <= 1.0:
        raise OutOfRangeError(
            f"nitrite share {nitrite_share:g}", "the share on the label, above 0 to 1"
        )
