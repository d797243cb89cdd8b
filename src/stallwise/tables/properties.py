"""Density, specific heat and conductivity of meat from what it is made of."""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import TypeAlias

from stallwise.ground import assets
from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Floats, Range

__all__ = [
    "Composition",
    "conductivity_parallel_w_m_k",
    "conductivity_series_w_m_k",
    "conductivity_w_m_k",
    "density_kg_m3",
    "diffusivity_m2_s",
    "specific_heat_j_kg_k",
]

#: Coefficients c0, c1, c2 of c0 + c1 T + c2 T**2, T in °C, by component and property.
_Table: TypeAlias = dict[tuple[str, str], tuple[float, float, float]]

_SUM_TOLERANCE = 0.02
_RANGE = Range("food temperature", -40.0, 150.0, "°C", "the tables of Choi and Okos")
_THAWED = Range("meat temperature", -1.0, math.inf, "°C", "thawed meat; ice is not modelled")
_POROSITY = Range("porosity", 0.0, 0.99, "", "a share of the volume")


@dataclass(frozen=True)
class Composition:
    """What a food is made of, as shares of its mass.

    The shares are scaled to add up to exactly 1 when they already do within 0.02, which is what
    rounding and analysis by difference leave in a table; anything further off is an error.

    Parameters
    ----------
    water, protein, fat, ash : float
        Mass fractions [-], 0 to 1.
    carbohydrate, fibre : float, default 0
        Mass fractions [-], 0 to 1; raw meat has next to none.

    Raises
    ------
    InputError
        If a share is not between 0 and 1 or the sum is off by more than 0.02.

    Examples
    --------
    >>> Composition(water=0.73, protein=0.20, fat=0.05, ash=0.01).water
    0.7373737373737373
    """

    water: float
    protein: float
    fat: float
    ash: float
    carbohydrate: float = 0.0
    fibre: float = 0.0

    def __post_init__(self) -> None:
        shares = {field.name: float(getattr(self, field.name)) for field in fields(self)}
        for name, share in shares.items():
            if not 0.0 <= share <= 1.0:
                raise InputError(
                    f"a share of {name} of {share:g}",
                    "0 to 1, as a share of the mass",
                    "Divide percentages by 100",
                )
        total = sum(shares.values())
        if abs(total - 1.0) > _SUM_TOLERANCE:
            raise InputError(
                f"shares that add up to {total:.3f}",
                f"1 within {_SUM_TOLERANCE:g}",
                "Look for a component that was left out or given per 100 g",
            )
        for name, share in shares.items():
            object.__setattr__(self, name, share / total)

    def shares(self) -> dict[str, float]:
        """Mass fraction [-] of each component that is there."""
        named = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: share for name, share in named.items() if share > 0.0}


def density_kg_m3(
    composition: Composition, temperature_c: Floats, porosity: Floats = 0.0
) -> Floats:
    """Density of a food.

    rho = (1 - porosity) / sum(x_i / rho_i), with the component densities of Choi and Okos.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.
    porosity : float or array, default 0
        Share of the volume that is air [-]; whole muscle has none.

    Returns
    -------
    float or array
        Density [kg/m3].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    References
    ----------
    [choi-okos-1986]_

    Examples
    --------
    >>> round(float(density_kg_m3(Composition(1, 0, 0, 0), 20.0)), 2)
    995.74
    """
    _check(composition, temperature_c)
    _POROSITY.require(porosity)
    return (1.0 - porosity) / _specific_volume(composition, temperature_c)


def specific_heat_j_kg_k(composition: Composition, temperature_c: Floats) -> Floats:
    """Specific heat of a food, without the heat of melting fat.

    cp = sum(x_i cp_i), with the component values of Choi and Okos.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.

    Returns
    -------
    float or array
        Specific heat [J/(kg K)].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    Notes
    -----
    Tabulated measurements of fatty cuts over 0 to 100 °C lie up to 10 % lower
    (``tests/published/properties.csv``). Fat melting between 0 and 45 °C is left out: it is worth
    about 7 % of the heat that a piece with a fifth of fat takes up.

    References
    ----------
    [choi-okos-1986]_, [james-2002]_
    """
    _check(composition, temperature_c)
    return _heat(composition, temperature_c)


def conductivity_parallel_w_m_k(composition: Composition, temperature_c: Floats) -> Floats:
    """Conductivity if the components lay side by side, along the flow: the upper bound.

    k = sum(v_i k_i) with v_i the volume fractions.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.

    Returns
    -------
    float or array
        Thermal conductivity [W/(m K)].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    References
    ----------
    [choi-okos-1986]_
    """
    _check(composition, temperature_c)
    return _parallel(composition, temperature_c)


def conductivity_series_w_m_k(composition: Composition, temperature_c: Floats) -> Floats:
    """Conductivity if the components lay one behind the other: the lower bound.

    k = 1 / sum(v_i / k_i) with v_i the volume fractions.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.

    Returns
    -------
    float or array
        Thermal conductivity [W/(m K)].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    References
    ----------
    [choi-okos-1986]_
    """
    _check(composition, temperature_c)
    return _series(composition, temperature_c)


def conductivity_w_m_k(composition: Composition, temperature_c: Floats) -> Floats:
    """Conductivity of meat whose fibres run nobody knows how: the mean of the two bounds.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.

    Returns
    -------
    float or array
        Thermal conductivity [W/(m K)].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    Notes
    -----
    Give it a spread of about 12 %, half the distance between the bounds. Models of this kind
    come within 10 % of measured lamb; the measured line for chicken breast lies 3 to 7 % higher.

    References
    ----------
    [choi-okos-1986]_, [pellegrino-1984]_, [sweat-1973]_
    """
    _check(composition, temperature_c)
    return _mean(composition, temperature_c)


def diffusivity_m2_s(
    composition: Composition, temperature_c: Floats, porosity: Floats = 0.0
) -> Floats:
    """Thermal diffusivity of a food, k / (rho cp), with the mean conductivity.

    Parameters
    ----------
    composition : Composition
        What the food is made of.
    temperature_c : float or array
        Temperature [°C], -40 to 150; thawed, so above -1.
    porosity : float or array, default 0
        Share of the volume that is air [-].

    Returns
    -------
    float or array
        Thermal diffusivity [m2/s].

    Warns
    -----
    OutOfRangeWarning
        Outside -40 to 150 °C, and below -1 °C where meat holds ice.

    References
    ----------
    [choi-okos-1986]_
    """
    _check(composition, temperature_c)
    _POROSITY.require(porosity)
    density = (1.0 - porosity) / _specific_volume(composition, temperature_c)
    return _mean(composition, temperature_c) / (density * _heat(composition, temperature_c))


@functools.cache
def _table() -> _Table:
    rows = csv.DictReader(assets.read_text("data", "food_properties.csv").splitlines())
    return {
        (row["component"], row["property"]): (float(row["c0"]), float(row["c1"]), float(row["c2"]))
        for row in rows
    }


def _component(name: str, quantity: str, temperature_c: Floats) -> Floats:
    c0, c1, c2 = _table()[name, quantity]
    return c0 + c1 * temperature_c + c2 * temperature_c**2


def _specific_volume(composition: Composition, temperature_c: Floats) -> Floats:
    return _sum(
        share / _component(name, "density", temperature_c)
        for name, share in composition.shares().items()
    )


def _heat(composition: Composition, temperature_c: Floats) -> Floats:
    return _sum(
        share * _component(name, "specific_heat", temperature_c)
        for name, share in composition.shares().items()
    )


def _volume_fractions(composition: Composition, temperature_c: Floats) -> dict[str, Floats]:
    whole = _specific_volume(composition, temperature_c)
    return {
        name: share / _component(name, "density", temperature_c) / whole
        for name, share in composition.shares().items()
    }


def _parallel(composition: Composition, temperature_c: Floats) -> Floats:
    return _sum(
        volume * _component(name, "conductivity", temperature_c)
        for name, volume in _volume_fractions(composition, temperature_c).items()
    )


def _series(composition: Composition, temperature_c: Floats) -> Floats:
    return 1.0 / _sum(
        volume / _component(name, "conductivity", temperature_c)
        for name, volume in _volume_fractions(composition, temperature_c).items()
    )


def _mean(composition: Composition, temperature_c: Floats) -> Floats:
    return 0.5 * (_parallel(composition, temperature_c) + _series(composition, temperature_c))


def _sum(terms: Iterable[Floats]) -> Floats:
    total: Floats = 0.0
    for term in terms:
        total = total + term
    return total


def _check(composition: Composition, temperature_c: Floats) -> None:
    # Two frames up: the function the user called, then the user.
    _RANGE.warn(temperature_c, stacklevel=3)
    if composition.water > 0.0 and _RANGE.holds(temperature_c):
        _THAWED.warn(temperature_c, stacklevel=3)
