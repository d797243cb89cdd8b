"""Volumes as spoons and cups, by the published kitchen steps.

Cups go by quarters or thirds; from 2 tablespoons to 1/4 cup by whole tablespoons; from 1 to 2
tablespoons in 1, 1 1/3, 1 1/2, 1 2/3, 2; from 1 teaspoon to 1 tablespoon by whole teaspoons; below
1 teaspoon by quarters; halfway values go up [cfr-21-101-9]_.
"""

from __future__ import annotations

import bisect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.ground.scales import REGIONS

__all__ = ["SpoonMeasure", "spoon_measure"]

#: Past this error a cup gets spoons beside it ("1/4 cup + 2 tsp").
SPLIT_ERROR = 0.05
#: Counts are in twelfths, which hold quarters and thirds exactly and add without fractions.
_WHOLE = 12
#: Halfway to within the last digits of a float is halfway.
_TIE = 1e-9
_QUARTERS = (0, 3, 6, 9, 12)
_CUP_STEPS = (0, 3, 4, 6, 8, 9, 12)
_ONE_TO_TWO = (12, 16, 18, 20, 24)
_PARTS = {0: "", 3: "1/4", 4: "1/3", 6: "1/2", 8: "2/3", 9: "3/4"}


@dataclass(frozen=True)
class SpoonMeasure:
    """A volume rounded to kitchen spoons and cups.

    Attributes
    ----------
    text : str
        ``"2 tbsp"``, ``"1/4 cup + 2 tsp"``, or ``"under 1/4 tsp"``.
    volume_m3 : float
        What the spoons hold [m3].
    error_fraction : float
        (spoons - exact) / exact; -1 when too little for a spoon, 0 for nothing.
    """

    text: str
    volume_m3: float
    error_fraction: float


def spoon_measure(volume_m3: float, region: str = "us") -> SpoonMeasure:
    """Nearest kitchen measure of a volume, rounded once from the exact value.

    Parameters
    ----------
    volume_m3 : float
        Volume [m3], zero or more.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Which spoon and cup.
    """
    if region not in REGIONS:
        raise NotFoundError("kitchen region", region, REGIONS)
    sizes = REGIONS[region]
    if volume_m3 <= 0:
        return SpoonMeasure("0 tsp", 0.0, 0.0)
    count, spoon = _single(volume_m3, sizes)
    held_m3 = sizes[spoon] * count / _WHOLE
    error = held_m3 / volume_m3 - 1.0
    if spoon == "cup" and abs(error) > SPLIT_ERROR:
        cups = _step_below(volume_m3 / sizes["cup"])
        rest, small = _single(volume_m3 - cups * sizes["cup"] / _WHOLE, sizes)
        held_m3 = (cups * sizes["cup"] + rest * sizes[small]) / _WHOLE
        text = f"{_words(cups)} {_plural('cup', cups)} + {_words(rest)} {small}"
        return SpoonMeasure(text, held_m3, held_m3 / volume_m3 - 1.0)
    if not count:
        return SpoonMeasure("under 1/4 tsp", 0.0, -1.0)
    return SpoonMeasure(f"{_words(count)} {_plural(spoon, count)}", held_m3, error)


def _single(volume_m3: float, sizes: Mapping[str, float]) -> tuple[int, str]:
    """Twelfths and spoon of the one published step nearest to a volume."""
    tsp, tbsp, cup = (volume_m3 / sizes[name] for name in ("tsp", "tbsp", "cup"))
    if cup >= 0.25 - 1e-9:
        whole = int(cup) * _WHOLE
        return whole + _nearest(cup * _WHOLE - whole, _CUP_STEPS), "cup"
    if tbsp >= 2.0 - 1e-9:
        top = round(sizes["cup"] / 4 / sizes["tbsp"])
        return _nearest(tbsp * _WHOLE, range(24, top * _WHOLE + 1, _WHOLE)), "tbsp"
    if tbsp >= 1.0 - 1e-9:
        return _nearest(tbsp * _WHOLE, _ONE_TO_TWO), "tbsp"
    if tsp >= 1.0 - 1e-9:
        top = round(sizes["tbsp"] / sizes["tsp"]) * _WHOLE
        count = _nearest(tsp * _WHOLE, range(_WHOLE, top + 1, _WHOLE))
        return (_WHOLE, "tbsp") if count == top else (count, "tsp")
    return _nearest(tsp * _WHOLE, _QUARTERS), "tsp"


def _nearest(value: float, steps: Sequence[int]) -> int:
    """Nearest of rising steps, the upper of two equally near."""
    at = bisect.bisect_left(steps, value)
    if at in {0, len(steps)}:
        return steps[min(at, len(steps) - 1)]
    low, high = steps[at - 1], steps[at]
    return high if high - value <= value - low + _TIE else low


def _step_below(cups: float) -> int:
    whole = int(cups) * _WHOLE
    return max(whole + step for step in _CUP_STEPS if whole + step <= cups * _WHOLE + 1e-9)


def _words(count: int) -> str:
    whole, rest = divmod(count, _WHOLE)
    return " ".join(filter(None, (str(whole) if whole or not rest else "", _PARTS[rest])))


def _plural(spoon: str, count: int) -> str:
    return "cups" if spoon == "cup" and count > _WHOLE else spoon
