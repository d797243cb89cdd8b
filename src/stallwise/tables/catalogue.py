"""Catalogue of cuts: the shipped ones, the cook's own laid over them, and how big a piece is."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from stallwise.ground import assets, scales, units
from stallwise.ground.errors import CookWarning, InputError, NotFoundError, OutOfRangeError
from stallwise.tables.cut import Cut, Finish, Span, SpritzHabit, Target, WrapHabit, read_cut
from stallwise.tables.parameters import parameter
from stallwise.tables.properties import density_kg_m3

__all__ = [
    "Cut",
    "Dimensions",
    "Finish",
    "Span",
    "SpritzHabit",
    "Target",
    "WrapHabit",
    "cut",
    "cuts",
    "dimensions",
    "search",
]

_COLD_C = 5.0
#: Half sizes that no piece of meat on a pit has [m].
_POSSIBLE_M = (0.003, 0.6)
#: Length and width that a ruler and the scales may disagree by before it is said.
_ODD_VOLUME = 1.4


@dataclass(frozen=True)
class Dimensions:
    """Half sizes of one piece.

    Attributes
    ----------
    half_m : tuple of three floats
        Half thickness, width and length [m]; their brick has the piece's volume.
    measured : bool
        The thickness was measured.
    warnings : tuple of CookWarning
        What is unusual about the piece.
    """

    half_m: tuple[float, float, float]
    measured: bool
    warnings: tuple[CookWarning, ...] = ()


def cuts(overlay: Mapping[str, Mapping[str, Any]] | None = None) -> dict[str, Cut]:
    """Every cut by key, the cook's own among them.

    Parameters
    ----------
    overlay : mapping of str to mapping, optional
        The cook's own cuts as read from their files, by key. One may say ``like = "<key>"`` and
        then only what differs; one with the key of a shipped cut is laid over it.

    Raises
    ------
    InputError
        A cut of the cook's own cannot be read.
    """
    found = dict(_shipped())
    for key in overlay or {}:
        found[key] = cut(key, overlay=overlay)
    return found


def cut(key: str, overlay: Mapping[str, Mapping[str, Any]] | None = None) -> Cut:
    """Look one cut up; see `cuts`.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.
    InputError
        The cook's own cut cannot be read, or is like itself.
    """
    own = overlay or {}
    if key not in own:
        if key not in _tables():
            raise NotFoundError("cut", key, {*_tables(), *own})
        return _shipped()[key]
    return read_cut(key, _laid_over(key, own, ()), where=f"cuts/{key}.toml")


def search(word: str, overlay: Mapping[str, Mapping[str, Any]] | None = None) -> list[Cut]:
    """Cuts with a word in their key, name, aliases, species or number; all of them for none.

    Parameters
    ----------
    word : str
        Part of a name, whatever the case.
    overlay : mapping, optional
        As for `cuts`.

    Returns
    -------
    list of Cut
        By name.
    """
    wanted = word.casefold().strip()
    found = []
    for one in cuts(overlay).values():
        words = (one.key, one.name, one.species, one.imps, *one.aliases)
        if any(wanted in text.casefold() for text in words):
            found.append(one)
    return sorted(found, key=lambda one: one.name)


def _both(mass_kg: float) -> str:
    """Weight in both systems: a cook may have thought in either."""
    return f"{units.format_mass(mass_kg, 'us')} ({units.format_mass(mass_kg, 'metric')})"


def dimensions(
    entry: Cut,
    mass_kg: float,
    *,
    thickness: str | float = "usual",
    width_m: float | None = None,
    length_m: float | None = None,
) -> Dimensions:
    """Estimate half sizes of a piece from its mass and what else is known.

    Without a ruler a piece keeps the proportions of the cut: each size grows with the cube root of
    the mass. A thickness that is given stays, and the other two make up the volume. Where the
    cut's sizes belong to a stand-in body (`Cut.ruler` is false) a ruler's are set aside, in words.

    Parameters
    ----------
    entry : Cut
        The cut.
    mass_kg : float
        Mass of one piece as it goes on [kg].
    thickness : {"thin", "usual", "thick"} or float
        In words, or whole thickness [m] from a ruler.
    width_m, length_m : float, optional
        Whole width and length [m].

    Returns
    -------
    Dimensions

    Raises
    ------
    OutOfRangeError
        The mass or a size is impossible for this cut.
    NotFoundError
        The thickness is no such word.
    """
    span = entry.mass
    if not span.smallest <= mass_kg <= span.largest:
        raise OutOfRangeError(
            f"{entry.name} of {_both(mass_kg)}",
            f"{_both(span.smallest)} to {_both(span.largest)}",
            "Give the mass of one piece, not of all",
        )
    if not entry.ruler and not (isinstance(thickness, str) and width_m is None is length_m):
        look = thickness if isinstance(thickness, str) else "usual"
        aside = CookWarning("ruler-set-aside", _STAND_IN_WORDS.format(entry.name.lower()))
        sizes = dimensions(entry, mass_kg, thickness=look)
        return replace(sizes, warnings=(aside, *sizes.warnings))
    volume = mass_kg / float(density_kg_m3(entry.composition, _COLD_C)) / 8.0  # of an eighth
    usual, wide, long = entry.half_m
    growth = (volume / (usual * wide * long)) ** (1.0 / 3.0)
    words = {"thin": entry.thin, "usual": 1.0, "thick": entry.thick}
    half_width = None if width_m is None else width_m / 2.0
    half_length = None if length_m is None else length_m / 2.0
    measured = not isinstance(thickness, str)
    if isinstance(thickness, str):
        if thickness not in words:
            raise NotFoundError("thickness", thickness, words)
        half = usual * growth * words[thickness]
        if half_width is not None and half_length is not None:
            half = volume / (half_width * half_length)  # three sizes are known through the scales
    else:
        half = thickness / 2.0
    area = volume / half
    if half_width is None and half_length is None:
        half_width = math.sqrt(area * wide / long)
    if half_width is None or half_length is None:
        half_width = half_width or area / (half_length or 1.0)
        half_length = area / half_width
    _refuse_thickness(entry, 2.0 * half)
    warnings = _unusual(entry, mass_kg, 2.0 * half)
    surplus = half * half_width * half_length / volume
    if not 1.0 / _ODD_VOLUME <= surplus <= _ODD_VOLUME:
        text = _ODD_WORDS.format(surplus * mass_kg / scales.POUND_KG, surplus * mass_kg, mass_kg)
        warnings += (CookWarning("sizes-and-mass", text),)
    scale = math.sqrt(1.0 / surplus)
    half_m = (half, half_width * scale, half_length * scale)
    _refuse_sizes(entry, mass_kg, half_m)
    return Dimensions(half_m, measured, warnings)


_STAND_IN_WORDS = (
    "The sizes of this {} are set aside: what heats inside, and how fast, goes by its weight, not "
    "by a ruler laid on the outside. Say thin, usual or thick if it looks so."
)
_ODD_WORDS = (
    "The sizes given do not fit the mass: a block of them weighs {:.2g} lb ({:.2g} kg), and the scales "
    "said {:.2g} kg. The thickness is kept, and width and length are stretched or shrunk to the weight."
)


def _refuse_sizes(entry: Cut, mass_kg: float, half_m: tuple[float, float, float]) -> None:
    low, high = _POSSIBLE_M
    if low <= min(half_m) and max(half_m) <= high:
        return
    thick, wide, long = half_m
    raise OutOfRangeError(
        f"{entry.name} of {mass_kg:g} kg, {200 * thick:.1f} cm thick, "
        f"{200 * wide:.0f} cm by {200 * long:.0f} cm",
        "sizes that a piece of meat can have",
        "Look at mass, thickness, width and length again",
    )


def _refuse_thickness(entry: Cut, thickness_m: float) -> None:
    """Refuse a thickness that is a slip of the ruler, well beyond the unusual."""
    least = entry.thinnest_m * parameter("size.slip_thin").value
    most = entry.thickest_m * parameter("size.slip_thick").value
    if not least <= thickness_m <= most:
        raise OutOfRangeError(
            f"{entry.name} {100 * thickness_m:.3g} cm thick",
            f"{100 * least:.2g} to {100 * most:.2g} cm ({least / scales.INCH_M:.2g} to {most / scales.INCH_M:.2g} in)",
            "Measure one piece where it is thickest, or say thin, usual or thick",
        )


def _unusual(entry: Cut, mass_kg: float, thickness_m: float) -> tuple[CookWarning, ...]:
    found = []
    name = entry.name.lower()
    said = f"{units.format_mass(mass_kg, 'us')} ({mass_kg:.1f} kg)"
    if mass_kg < entry.mass.low:
        found.append(
            CookWarning("mass-small", f"{said} is little for {name}; the forecast is less sure.")
        )
    if mass_kg > entry.mass.high:
        found.append(
            CookWarning("mass-big", f"{said} is a lot for {name}; the forecast is less sure.")
        )
    if thickness_m < entry.thinnest_m:
        found.append(CookWarning("thin", f"This is thin for {name}; measure where it is thickest."))
    if thickness_m > entry.thickest_m:
        found.append(CookWarning("thick", f"This is thick for {name}; one layer, not the stack?"))
    return tuple(found)


@cache
def _tables() -> Mapping[str, Mapping[str, Any]]:
    names = [name for name in assets.names("data", "cuts") if name.endswith(".toml")]
    return MappingProxyType(
        {
            name.removesuffix(".toml"): tomllib.loads(assets.read_text("data", "cuts", name))
            for name in names
        }
    )


@cache
def _shipped() -> Mapping[str, Cut]:
    read = {
        key: read_cut(key, table, where=f"data/cuts/{key}.toml") for key, table in _tables().items()
    }
    return MappingProxyType(read)


def _laid_over(
    key: str, own: Mapping[str, Mapping[str, Any]], seen: tuple[str, ...]
) -> dict[str, Any]:
    """Table of the cook's own cut over the one it is like."""
    where = f"cuts/{key}.toml"
    table = own[key]
    like = table.get("like", key if key in _tables() else None)
    if key in seen or (like == key and key not in _tables()):
        raise InputError(f"{key} is like itself", "a chain of cuts that ends", where=where)
    if like is None:
        return dict(table)
    if like in own and like != key:
        base: Mapping[str, Any] = _laid_over(str(like), own, (*seen, key))
    elif like in _tables():
        base = _tables()[like]
    else:
        raise NotFoundError("cut", str(like), {*_tables(), *own}, where=where)
    return _merged(base, {name: value for name, value in table.items() if name != "like"})


def _merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    made = dict(base)
    for name, value in over.items():
        below = made.get(name)
        if isinstance(below, Mapping) and isinstance(value, Mapping) and "value" not in below:
            made[name] = _merged(below, value)
        else:
            made[name] = value
    return made
