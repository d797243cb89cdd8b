"""Parameters of the forecast: every number of the model with its spread and its source."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from statistics import NormalDist
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import assets
from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError, NotFoundError

__all__ = ["DISTRIBUTIONS", "Parameter", "parameter", "parameters"]

DISTRIBUTIONS = ("fixed", "normal", "lognormal", "uniform", "triangular", "range")
_SCOPES = ("model", "pit", "cut", "piece")
_WHERE = "data/parameters.csv"


@dataclass(frozen=True)
class Parameter:
    """One row of ``data/parameters.csv``.

    Attributes
    ----------
    key : str
        Dotted name, for example ``"meat.juice_limit"``.
    value : float
        Mean (normal), median (lognormal), most likely (triangular), middle (uniform) or the value
        itself (fixed); nan for a range.
    unit : str
        Unit of `value`; ``-`` for a bare number.
    distribution : str
        One of `DISTRIBUTIONS`. A range holds the ends of what the model was checked for.
    spread : float
        Standard deviation (normal) or that of the logarithm (lognormal); 0 otherwise.
    low, high : float
        Ends: of the distribution (uniform, triangular), or where draws are cut off.
    scope : str
        What shares one draw: the whole model, a pit, a cut (learned together, drawn by piece) or
        a piece.
    source, grade, note : str
        Where it comes from, and words on it.
    """

    key: str
    value: float
    unit: str
    distribution: str
    spread: float
    low: float
    high: float
    scope: str
    source: str
    grade: str
    note: str

    def scores(self, seed: int, members: int, *names: str) -> NDArray[np.float64]:
        """Draw evenly spread probabilities, one a member, in the order of the named stream.

        Each member stands in the middle of one of `members` equal slices, so that 200 members
        show the spread as well as thousands of plain draws do.

        Parameters
        ----------
        seed : int
            Seed of the ensemble.
        members : int
            How many.
        *names : str
            What the draw belongs to, for example ``"piece", "A"``; the key is added.

        Returns
        -------
        array (members,)
            Probabilities, none of them 0 or 1.
        """
        order = stream(seed, *names, self.key).permutation(members)
        return (order + 0.5) / members

    def quantile(self, probability: NDArray[np.float64]) -> NDArray[np.float64]:
        """Value at each probability.

        Parameters
        ----------
        probability : array
            Between 0 and 1, both left out.

        Returns
        -------
        array
            Values in `unit`, between `low` and `high`.
        """
        return _QUANTILES[self.distribution](self, probability)

    def draw(self, seed: int, members: int, *names: str) -> NDArray[np.float64]:
        """Value for each member; see `scores`."""
        return self.quantile(self.scores(seed, members, *names))


def parameter(key: str) -> Parameter:
    """Look one parameter up.

    Parameters
    ----------
    key : str
        Dotted name.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.

    Examples
    --------
    >>> parameter("meat.juice_limit").value
    0.235
    """
    known = parameters()
    if key not in known:
        raise NotFoundError("parameter of the model", key, known)
    return known[key]


@cache
def parameters() -> Mapping[str, Parameter]:
    """Read every parameter, by key."""
    rows = csv.DictReader(assets.read_text("data", "parameters.csv").splitlines())
    found: dict[str, Parameter] = {}
    for row in rows:
        one = _read(row)
        if one.key in found:
            raise InputError(f"{one.key} twice", "each key once", where=_WHERE)
        found[one.key] = one
    return MappingProxyType(found)


def _read(row: Mapping[str, str]) -> Parameter:
    where = f"{_WHERE}, {row['key']}"
    if row["distribution"] not in DISTRIBUTIONS:
        raise InputError(row["distribution"], ", ".join(DISTRIBUTIONS), where=where)
    if row["scope"] not in _SCOPES:
        raise InputError(row["scope"], ", ".join(_SCOPES), where=where)

    def number(column: str, default: float) -> float:
        try:
            return float(row[column]) if row[column] else default
        except ValueError as error:
            raise InputError(f"{column} = {row[column]!r}", "a number", where=where) from error

    one = Parameter(
        key=row["key"],
        value=number("value", math.nan),
        unit=row["unit"],
        distribution=row["distribution"],
        spread=number("spread", 0.0),
        low=number("low", -math.inf),
        high=number("high", math.inf),
        scope=row["scope"],
        source=row["source"],
        grade=row["grade"],
        note=row["note"],
    )
    if one.distribution != "range" and not one.low <= one.value <= one.high:
        raise InputError(f"{one.value:g}", f"{one.low:g} to {one.high:g}", where=where)
    return one


def _fixed(one: Parameter, probability: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.full(np.shape(probability), one.value)


def _normal(one: Parameter, probability: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.clip(one.value + one.spread * _normal_scores(probability), one.low, one.high)


def _lognormal(one: Parameter, probability: NDArray[np.float64]) -> NDArray[np.float64]:
    drawn = one.value * np.exp(one.spread * _normal_scores(probability))
    return np.clip(drawn, one.low, one.high)


def _uniform(one: Parameter, probability: NDArray[np.float64]) -> NDArray[np.float64]:
    return one.low + probability * (one.high - one.low)


def _triangular(one: Parameter, probability: NDArray[np.float64]) -> NDArray[np.float64]:
    width, rise = one.high - one.low, one.value - one.low
    share = rise / width
    up = one.low + np.sqrt(probability * width * rise)
    down = one.high - np.sqrt((1.0 - probability) * width * (width - rise))
    return np.where(probability < share, up, down)


_QUANTILES = {
    "fixed": _fixed,
    "range": _fixed,
    "normal": _normal,
    "lognormal": _lognormal,
    "uniform": _uniform,
    "triangular": _triangular,
}


def _normal_scores(probability: NDArray[np.float64]) -> NDArray[np.float64]:
    # The probabilities are nearly always the slices' middles in some order: look them up.
    flat = np.ravel(probability)
    values, back = np.unique(flat, return_inverse=True)
    return _inverse_normal(values.tobytes())[back].reshape(np.shape(probability))


@lru_cache(maxsize=64)
def _inverse_normal(values: bytes) -> NDArray[np.float64]:
    normal = NormalDist()
    return np.array([normal.inv_cdf(p) for p in np.frombuffer(values).tolist()])
