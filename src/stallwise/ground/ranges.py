"""Ranges of correlations: a warning outside the published range, an error outside the possible."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning

__all__ = ["Floats", "Range"]

#: A number or an array of numbers; the formulas broadcast like numpy.
Floats: TypeAlias = float | NDArray[np.float64]


@dataclass(frozen=True)
class Range:
    """The values of one quantity for which something holds.

    Attributes
    ----------
    quantity : str
        What is measured, in a cook's words, for example ``"air temperature"``.
    lowest, highest : float
        The ends of the range, both included, in `unit`.
    unit : str
        Unit as printed, for example ``"°C"``; empty for a share.
    because : str
        What the range is of, for messages: ``"the table of Choi and Okos"``.
    """

    quantity: str
    lowest: float
    highest: float
    unit: str = ""
    because: str = ""

    def holds(self, values: Floats) -> bool:
        """Whether all values lie inside; a value that is not a number does not."""
        given = np.asarray(values, dtype=np.float64)
        return bool(np.all((given >= self.lowest) & (given <= self.highest)))

    def warn(self, values: Floats, *, stacklevel: int = 2) -> None:
        """Warn with `OutOfRangeWarning` when a value lies outside.

        Parameters
        ----------
        values : float or array
            Values of the quantity in the unit of the range.
        stacklevel : int, default 2
            Calls between the formula a user called and this one.
        """
        if not self.holds(values):
            warnings.warn(
                f"{self._came(values)} is outside {self._allowed()}: "
                "take the result as a rough guide.",
                OutOfRangeWarning,
                stacklevel=stacklevel + 1,
            )

    def require(self, values: Floats, todo: str = "") -> None:
        """Refuse a value outside.

        Raises
        ------
        OutOfRangeError
            If a value lies outside or is not a number.
        """
        if not self.holds(values):
            raise OutOfRangeError(self._came(values), self._allowed(), todo)

    def _came(self, values: Floats) -> str:
        given = np.atleast_1d(np.asarray(values, dtype=np.float64))
        outside = given[~((given >= self.lowest) & (given <= self.highest))]
        return f"{self.quantity} {_number(float(outside.flat[0]))}{self._unit()}"

    def _allowed(self) -> str:
        ends = f"{_number(self.lowest)} to {_number(self.highest)}{self._unit()}"
        return f"{ends} ({self.because})" if self.because else ends

    def _unit(self) -> str:
        return f" {self.unit}" if self.unit else ""


def _number(value: float) -> str:
    return f"{value:,.6g}"
