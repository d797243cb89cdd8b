"""Quantities printed for people, as precise as is useful at a pit or a kitchen table.

Every function rounds once, from the exact value; nothing printed is ever read back for sums.
``system`` is ``"us"`` or ``"metric"``.
"""

from __future__ import annotations

import math

from stallwise.ground.errors import NotFoundError
from stallwise.ground.scales import FOOT_M, INCH_M, OUNCE_KG
from stallwise.ground.spoons import spoon_measure

__all__ = [
    "format_depth",
    "format_duration",
    "format_elevation",
    "format_length",
    "format_mass",
    "format_temperature",
    "format_temperature_difference",
    "format_volume",
]

SYSTEMS = ("us", "metric")
OUNCES_A_POUND = 16
_VULGAR = {1: "1/16", 2: "1/8", 3: "3/16", 4: "1/4", 8: "1/2", 12: "3/4"}


def format_temperature(temperature_c: float, system: str = "us") -> str:
    """``225 °F`` or ``107 °C``, whole degrees."""
    if _is_us(system):
        return f"{_whole(temperature_c * 1.8 + 32.0)} °F"
    return f"{_whole(temperature_c)} °C"


def format_temperature_difference(difference_k: float, system: str = "us") -> str:
    """``18 °F`` or ``10 °C`` of difference, whole degrees and no offset of the scale."""
    if _is_us(system):
        return f"{_whole(difference_k * 1.8)} °F"
    return f"{_whole(difference_k)} °C"


def format_mass(mass_kg: float, system: str = "us") -> str:
    """``6 lb 8 oz`` or ``2.95 kg``; under 1 kg whole grams, under 10 g tenths.

    In the US system under 4 oz is in quarter ounces, and under 1/2 oz in grams, because that is
    what a kitchen scale shows.
    """
    mass = abs(mass_kg)
    sign = "-" if mass_kg < 0 else ""
    ounces = mass / OUNCE_KG
    if _is_us(system) and ounces >= 0.5:
        if ounces < 4:
            return f"{sign}{_quarters(ounces)} oz"
        pounds, rest = divmod(_whole(ounces), OUNCES_A_POUND)
        parts = [f"{pounds} lb"] * bool(pounds) + [f"{rest} oz"] * bool(rest or not pounds)
        return sign + " ".join(parts)
    grams = mass * 1e3
    if _whole(grams) >= 1000:
        return f"{sign}{mass:.2f} kg"
    if grams >= 9.95 or grams == 0:
        return f"{sign}{_whole(grams)} g"
    return f"{sign}{grams:.1f} g"


def format_length(length_m: float, system: str = "us") -> str:
    """``1 3/4 in`` (quarters; sixteenths under 1/4 in) or ``45 mm``."""
    if not _is_us(system):
        return f"{_whole(length_m * 1e3)} mm"
    inches = abs(length_m) / INCH_M
    sign = "-" if length_m < 0 else ""
    sixteenths = _whole(inches * 16)
    if 0 < sixteenths < 4:
        return f"{sign}{_VULGAR[sixteenths]} in"
    return f"{sign}{_quarters(inches)} in"


def format_depth(depth_m: float, system: str = "us") -> str:
    """``9 mm`` or ``3/8 in``: whole millimetres, eighths of an inch, as a ruler in a pan shows it.

    What a ruler no longer shows is ``under 1 mm`` and never nothing.
    """
    if 0.0 < depth_m < (INCH_M / 16.0 if _is_us(system) else 5e-4):
        return "under 1/8 in" if _is_us(system) else "under 1 mm"
    if not _is_us(system):
        return f"{_whole(depth_m * 1e3)} mm"
    whole, part = divmod(_whole(depth_m / INCH_M * 8.0), 8)
    words = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}[part]
    return " ".join(filter(None, (str(whole) if whole or not part else "", words))) + " in"


def format_elevation(elevation_m: float, system: str = "us") -> str:
    """``591 ft`` or ``180 m``, whole."""
    if _is_us(system):
        return f"{_whole(elevation_m / FOOT_M)} ft"
    return f"{_whole(elevation_m)} m"


def format_duration(duration_s: float) -> str:
    """``2 h 45 min``, ``45 min``, or under a minute ``45 s``."""
    sign = "-" if duration_s < 0 else ""
    seconds = abs(duration_s)
    if seconds < 59.5:
        return f"{sign}{_whole(seconds)} s"
    hours, minutes = divmod(_whole(seconds / 60.0), 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes)
    return sign + " ".join(parts)


def format_volume(volume_m3: float, system: str = "us") -> str:
    """Spoons and cups by the published kitchen steps, or ``250 ml`` and ``1.50 l``."""
    if _is_us(system):
        return spoon_measure(volume_m3).text
    millilitres = volume_m3 * 1e6
    if _whole(millilitres) >= 1000:
        return f"{volume_m3 * 1e3:.2f} l"
    if millilitres >= 9.95 or millilitres == 0:
        return f"{_whole(millilitres)} ml"
    return f"{millilitres:.1f} ml"


def _is_us(system: str) -> bool:
    if system not in SYSTEMS:
        raise NotFoundError("system of units", system, SYSTEMS)
    return system == "us"


def _whole(value: float) -> int:
    """Nearest whole number, halves up."""
    return math.floor(value + 0.5)


def _quarters(value: float) -> str:
    whole, quarters = divmod(_whole(value * 4), 4)
    fraction = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[quarters]
    return " ".join(
        part for part in (str(whole) if whole or not fraction else "", fraction) if part
    )
