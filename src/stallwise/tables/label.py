"""Measures and rounding of food labels: for display only, for home food has no label.

References
----------
[cfr-21-101-9]_
"""

from __future__ import annotations

import csv
import io
import math
from functools import cache

from stallwise.ground import assets
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.tables.rows import rows

__all__ = ["label_measure", "rounded_for_label", "serving_words"]

_ZERO = "zero"


def label_measure(name: str) -> float:
    """Size of a label's household measure [m3], of its ounce [kg].

    Raises
    ------
    NotFoundError
        There is no such measure.
    """
    row = rows("label.csv").get(name)
    if row is None:
        raise NotFoundError("label measure", name, rows("label.csv"))
    return float(row["value"]) * (1e-6 if row["unit"] == "ml" else 1e-3)


def rounded_for_label(nutrient: str, amount: float) -> float | str:
    """Round an amount as labels do; where they use words ("less than 1 g"), those.

    Parameters
    ----------
    nutrient : str
        ``energy`` [kcal], ``fat``, ``saturated_fat``, ``carbohydrate``, ``fibre``, ``sugars``,
        ``protein`` [g], ``cholesterol``, ``sodium`` [mg]; or a serving's ``ounce``, ``fluid_ounce``,
        ``gram``, ``millilitre``.
    amount : float
        Zero or more.

    Raises
    ------
    NotFoundError
        No rule for it.
    InputError
        Negative.
    """
    steps = _steps()
    if nutrient not in steps:
        raise NotFoundError("nutrient with a rounding rule", nutrient, steps)
    if not amount >= 0.0:
        raise InputError(f"{amount:g} of {nutrient}", "zero or more")
    for low, below, to in steps[nutrient]:
        if low <= amount < below or (amount == below and _is_number(to)):
            return _step(amount, to)
    return _step(amount, steps[nutrient][-1][2])


def serving_words(mass_kg: float) -> str:
    """Size of a serving as labels write it: ounces by halves of the label's ounce, and grams.

    Examples
    --------
    >>> serving_words(0.1417)
    '5 oz (142 g)'
    """
    ounces = rounded_for_label("ounce", mass_kg / label_measure("ounce"))
    return f"{ounces:g} oz ({rounded_for_label('gram', mass_kg * 1e3):g} g)"


def _step(amount: float, to: str) -> float | str:
    if to == _ZERO:
        return 0.0
    if not _is_number(to):
        return to
    step = float(to)
    # Halfway goes up, to within the last digits of a float.
    return round(math.floor(amount / step + 0.5 + 1e-9) * step, 9)


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


@cache
def _steps() -> dict[str, list[tuple[float, float, str]]]:
    found: dict[str, list[tuple[float, float, str]]] = {}
    for row in csv.DictReader(io.StringIO(assets.read_text("data", "label_rounding.csv"))):
        below = float(row["below"]) if row["below"] else math.inf
        found.setdefault(row["nutrient"], []).append((float(row["from"]), below, row["to"]))
    return found
