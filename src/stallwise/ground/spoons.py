"""Volumes as spoons and cups, by the published kitchen steps.

Cups go by quarters or thirds; from 2 tablespoons to 1/4 cup by whole tablespoons; from 1 to 2
tablespoons in 1, 1 1/3, 1 1/2, 1 2/3, 2; from 1 teaspoon to 1 tablespoon by whole teaspoons; below
1 teaspoon by quarters; halfway values go up [cfr-21-101-9]_.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from stallwise.ground.errors import NotFoundError
from stallwise.ground.scales import REGIONS

__all__ = ["SpoonMeasure", "spoon_measure"]

#: Past this error a cup gets spoons beside it ("1/4 cup + 2 tsp").
SPLIT_ERROR = 0.05
_QUARTERS = tuple(Fraction(n, 4) for n in range(5))
_THIRDS = tuple(Fraction(n, 3) for n in range(1, 3))
_ONE_TO_TWO = (Fraction(1), Fraction(4, 3), Fraction(3, 2), Fraction(5, 3), Fraction(2))


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
    region : {"us", "metric", "metric-20"}, default "us"
        Which spoon and cup.
    """
    if region not in REGIONS:
        raise NotFoundError("kitchen region", region, REGIONS)
    sizes = REGIONS[region]
    if volume_m3 <= 0:
        return SpoonMeasure("0 tsp", 0.0, 0.0)
    single = _single(volume_m3, sizes)
    held_m3 = sizes[single[1]] * float(single[0])
    error = held_m3 / volume_m3 - 1.0
    if single[1] == "cup" and abs(error) > SPLIT_ERROR:
        cups = _step_below(volume_m3 / sizes["cup"])
        rest_m3 = volume_m3 - float(cups) * sizes["cup"]
        count, spoon = _single(rest_m3, sizes)
        held_m3 = float(cups) * sizes["cup"] + float(count) * sizes[spoon]
        text = f"{_words(cups)} {_plural('cup', cups)} + {_words(count)} {spoon}"
        return SpoonMeasure(text, held_m3, held_m3 / volume_m3 - 1.0)
    if not single[0]:
        return SpoonMeasure("under 1/4 tsp", 0.0, -1.0)
    text = f"{_words(single[0])} {_plural(single[1], single[0])}"
    return SpoonMeasure(text, held_m3, error)


def _single(volume_m3: float, sizes: Mapping[str, float]) -> tuple[Fraction, str]:
    """Count and spoon of the one published step nearest to a volume."""
    tsp, tbsp, cup = (volume_m3 / sizes[name] for name in ("tsp", "tbsp", "cup"))
    if cup >= 0.25 - 1e-9:
        whole = int(cup)
        steps = sorted({whole + step for step in _QUARTERS + _THIRDS})
        return _nearest(cup, steps), "cup"
    if tbsp >= 2.0 - 1e-9:
        top = round(sizes["cup"] / 4 / sizes["tbsp"])
        return _nearest(tbsp, [Fraction(n) for n in range(2, top + 1)]), "tbsp"
    if tbsp >= 1.0 - 1e-9:
        return _nearest(tbsp, list(_ONE_TO_TWO)), "tbsp"
    if tsp >= 1.0 - 1e-9:
        top = int(sizes["tbsp"] / sizes["tsp"])
        count = _nearest(tsp, [Fraction(n) for n in range(1, top + 1)])
        return (Fraction(1), "tbsp") if count == top else (count, "tsp")
    return _nearest(tsp, list(_QUARTERS)), "tsp"


def _nearest(value: float, steps: list[Fraction]) -> Fraction:
    """Nearest step, the upper of two equally near."""
    return min(reversed(steps), key=lambda step: round(abs(float(step) - value), 12))


def _step_below(cups: float) -> Fraction:
    steps = [int(cups) + step for step in _QUARTERS + _THIRDS]
    return max(step for step in steps if float(step) <= cups + 1e-9)


def _words(count: Fraction) -> str:
    whole, rest = divmod(count, 1)
    parts = [str(whole)] * bool(whole or not rest) + [str(rest)] * bool(rest)
    return " ".join(parts)


def _plural(spoon: str, count: Fraction) -> str:
    return "cups" if spoon == "cup" and count > 1 else spoon
