"""Warnings in a cook's words about plans that lie outside what the forecast was checked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import scales, units
from stallwise.ground.errors import CookWarning
from stallwise.models.plan import PiecePlan, PitCurve
from stallwise.tables.humid_air import STANDARD_PRESSURE_PA
from stallwise.tables.parameters import parameter

__all__ = ["unusual"]

_MINUTE_S = 60.0
_ROUND_S = 300.0


def unusual(piece: PiecePlan) -> tuple[CookWarning, ...]:
    """Say what is unusual about a plan; nothing is refused here.

    Parameters
    ----------
    piece : PiecePlan
        The plan.

    Returns
    -------
    tuple of CookWarning
    """
    # A lid that opens for a minute is no cold pit, nor is a dip that was read.
    pit = _planned_c(piece)
    seen = {
        "pit": (float(np.min(pit)), float(np.max(pit))),
        "mass": (piece.body.mass_kg,) * 2,
        "half-thickness": (piece.body.half_thickness_m,) * 2,
        "pressure": (piece.pressure_pa,) * 2,
        "start-core": (piece.start_core_c,) * 2,
        "humidity": (_humidity(piece),) * 2,
    }
    found = []
    if float(np.max(pit)) <= piece.start_core_c and not _was_read(piece):
        found.append(CookWarning("pit-cold", _cold(piece, float(np.max(pit))), piece.key))
    for name, (lowest, highest) in seen.items():
        checked = parameter(f"checked.{name}")
        sides = (
            ("low", lowest, lowest < checked.low, _LOW),
            ("high", highest, highest > checked.high, _HIGH),
        )
        for side, value, is_out, said in sides:
            if is_out and (words := said.get(name)):
                text = words.format(pit=_temperature(value)) + _range(name)
                found.append(CookWarning(f"unusual-{name}-{side}", text, piece.key))
    found += _pit_seen(piece, {warning.key for warning in found})
    facts = piece.facts
    planned = piece.wrap.at_s if piece.wrap.at_s is not None else piece.wrap.latest_s
    if facts is not None and facts.wrapped_s is None and piece.wrap.kind != "none":
        late = planned is not None and planned < facts.as_of_s
        if late and facts.tender_s is None:
            found.append(
                CookWarning(
                    "wrap-not-logged",
                    "The planned wrap is past and none is logged: the forecast takes it that the "
                    "piece is wrapped now. Log the wrap, or set it to none.",
                    piece.key,
                )
            )
    return tuple(found)


def _was_read(piece: PiecePlan) -> bool:
    return piece.facts is not None and piece.facts.pit is not None


def _planned_c(piece: PiecePlan) -> NDArray[np.float64]:
    """Temperatures of the plan [°C], of what is still ahead where the pit was read so far."""
    facts = piece.facts
    if facts is None or facts.pit is None:
        return np.asarray(piece.pit.temperature_c)
    now = facts.as_of_s
    ahead = [c for t, c in zip(piece.pit.time_s, piece.pit.temperature_c, strict=True) if t > now]
    return np.asarray([float(piece.pit.at(now)), *ahead])


def _pit_seen(piece: PiecePlan, told: set[str]) -> Iterator[CookWarning]:
    """Say that the pit was outside what was checked for a good while, not for some minutes."""
    facts = piece.facts
    if facts is None or facts.pit is None:
        return
    checked, while_s = parameter("checked.pit"), parameter("checked.pit-while").value
    sides = (
        ("low", _longest_s(facts.pit, facts.as_of_s, lambda c: c < checked.low), "colder"),
        ("high", _longest_s(facts.pit, facts.as_of_s, lambda c: c > checked.high), "hotter"),
    )
    for side, lasted_s, word in sides:
        if lasted_s >= while_s and f"unusual-pit-{side}" not in told:
            text = (
                f"The pit was {word} than any cook this forecast was checked on, for "
                f"{units.format_duration(_ROUND_S * round(lasted_s / _ROUND_S))} on end; {_ROUGH}"
            )
            yield CookWarning(f"seen-pit-{side}", text + _range("pit"), piece.key)


def _longest_s(
    pit: PitCurve, until_s: float, outside: Callable[[NDArray[np.float64]], NDArray[np.bool_]]
) -> float:
    """Longest time on end for which a pit was outside, to the minute [s]."""
    first = max(pit.time_s[0], 0.0)
    if until_s <= first:
        return 0.0
    out = outside(np.asarray(pit.at(np.arange(first, until_s, _MINUTE_S))))
    runs = np.diff(np.flatnonzero(np.concatenate([[True], ~out, [True]]))) - 1
    return float(np.max(runs)) * _MINUTE_S


def _humidity(piece: PiecePlan) -> float:
    """Water per dry air in the first pit, known or in the middle of what is drawn [kg/kg]."""
    if piece.humidity_ratio is not None:
        return piece.humidity_ratio
    usual = parameter(f"pit.humidity.{piece.pit_kind.replace(' ', '-')}").value
    return usual * piece.humidity_factor


def _cold(piece: PiecePlan, pit_c: float) -> str:
    pit, meat = (_temperature(each) for each in (pit_c, piece.start_core_c))
    return (
        f"The pit is planned no warmer than {pit} and the meat goes on at {meat}: nothing is cooked "
        "so. Look at the pit's temperatures and their units."
    )


def _range(name: str) -> str:
    """Range that was checked, in people's units."""
    checked = parameter(f"checked.{name}")
    return f" Checked: {_SHOWN[name](checked.low, checked.high)}."


def _fahrenheit(celsius: float) -> float:
    return units.fahrenheit_of_celsius(celsius)


def _temperature(celsius: float) -> str:
    return f"{_fahrenheit(celsius):.0f} °F ({celsius:.0f} °C)"


def _temperatures(low: float, high: float) -> str:
    return f"{_fahrenheit(low):.0f} to {_fahrenheit(high):.0f} °F ({low:.0f} to {high:.0f} °C)"


def _masses(low: float, high: float) -> str:
    pounds = [f"{kg / scales.POUND_KG:.2g}" for kg in (low, high)]
    return f"{' to '.join(pounds)} lb ({low:g} to {high:g} kg)"


def _thicknesses(low: float, high: float) -> str:
    """Whole ones, as a ruler has them."""
    inches = [f"{2.0 * half / scales.INCH_M:.2g}" for half in (low, high)]
    return f"{' to '.join(inches)} in ({2000 * low:.0f} to {2000 * high:.0f} mm)"


def _elevations(low: float, high: float) -> str:
    """Heights with the standard atmosphere's pressure: the inverse of its formula."""
    del high  # below the sea nothing was refused
    metres = (1.0 - (low / STANDARD_PRESSURE_PA) ** (1.0 / 5.2559)) / 2.25577e-5
    return f"sea level to {metres / scales.FOOT_M:,.0f} ft ({metres:,.0f} m)"


def _humidities(low: float, high: float) -> str:
    return f"{1000.0 * low:.0f} to {1000.0 * high:.0f} g of water in a kilogram of dry air"


_SHOWN: Mapping[str, Callable[[float, float], str]] = {
    "pit": _temperatures,
    "start-core": _temperatures,
    "mass": _masses,
    "half-thickness": _thicknesses,
    "pressure": _elevations,
    "humidity": _humidities,
}
_ROUGH = "take the forecast as a rough guide."
_LOW = {
    "pit": f"The pit is planned at {{pit}}, colder than any cook this forecast was checked on; {_ROUGH}",
    "mass": f"A piece this small heats faster than the forecast knows; {_ROUGH}",
    "half-thickness": f"A piece this thin heats faster than the forecast knows; {_ROUGH}",
    "pressure": (
        f"No cook this high above the sea was checked; water boils early up there, so {_ROUGH}"
    ),
    "humidity": f"The pit is drier than any this forecast was checked on; {_ROUGH}",
    "start-core": f"The meat starts all but frozen; ice slows the start, so {_ROUGH}",
}
_HIGH = {
    "pit": f"The pit is planned at {{pit}}, hotter than any cook this forecast was checked on; {_ROUGH}",
    "mass": f"A piece this big was never checked; {_ROUGH}",
    "half-thickness": f"A piece this thick was never checked; {_ROUGH}",
    "humidity": f"The pit is damper than any this forecast was checked on; {_ROUGH}",
    "start-core": (
        "The meat starts warmer than a cool room: mind the time it has already stood out."
    ),
}
