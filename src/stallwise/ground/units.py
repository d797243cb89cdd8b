"""People's quantities to SI floats: the only door from text with units to numbers.

A bare number is refused where a unit is needed, with both readings offered. A temperature
difference is not a temperature, and an ounce of weight is not a fluid ounce. Printing is in
`stallwise.ground.formats` and is re-exported here.

References
----------
Sizes of units: data/units.csv [nist-hb44]_ [nist-sp811]_.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import InputError, NotFoundError, OutOfRangeError
from stallwise.ground.formats import (
    format_duration,
    format_elevation,
    format_length,
    format_mass,
    format_temperature,
    format_temperature_difference,
    format_volume,
)
from stallwise.ground.numerals import NUMBER, has_range, plain, read_number
from stallwise.ground.quantities import (
    for_key,
    is_negative,
    measure,
    range_error,
    said_by,
    split,
)
from stallwise.ground.scales import (
    DURATION,
    FOOT_M,
    LENGTH,
    MASS,
    POWER,
    PRESSURE,
    REGIONS,
    SPEED,
    VOLUME,
    Scale,
)

__all__ = [
    "KINDS",
    "Kind",
    "celsius_of_fahrenheit",
    "fahrenheit_of_celsius",
    "format_duration",
    "format_elevation",
    "format_length",
    "format_mass",
    "format_temperature",
    "format_temperature_difference",
    "format_volume",
    "parse",
    "parse_duration_s",
    "parse_elevation_m",
    "parse_fraction",
    "parse_length_m",
    "parse_mass_kg",
    "parse_power_w",
    "parse_pressure_pa",
    "parse_speed_m_s",
    "parse_temperature_c",
    "parse_temperature_difference_k",
    "parse_volume_m3",
    "volume_scale",
]

ABSOLUTE_ZERO_C = -273.15
LOWEST_ELEVATION_M, HIGHEST_ELEVATION_M = -500.0, 9000.0

_CLOCK = re.compile(r"(?P<a>\d+):(?P<b>\d{2})(?::(?P<c>\d{2}))?\s*(?P<unit>[A-Za-z.]*)")
_HOUR_TAIL = re.compile(r"(\d\s*(?:h|hr|hrs|hour|hours)\s*)(\d{1,2})$", re.IGNORECASE)
_DEGREE = re.compile(
    r"^(?:°|º|˚)?\s*(?:degrees?|degs?)?\.?\s*(?:°|º|˚)?\s*"
    r"(?P<name>[a-z]*)\.?\s*(?:degrees?|degs?)?$",
    re.IGNORECASE,
)
_DEGREE_NAMES = {
    "f": "F",
    "fahrenheit": "F",
    "c": "C",
    "celsius": "C",
    "centigrade": "C",
    "k": "K",
    "kelvin": "K",
    "kelvins": "K",
}


def celsius_of_fahrenheit(temperature_f: float) -> float:
    """Temperature [°C] of a temperature in degrees Fahrenheit."""
    return (temperature_f - 32.0) * 5.0 / 9.0


def fahrenheit_of_celsius(temperature_c: float) -> float:
    """Temperature [°F] of a temperature in degrees Celsius."""
    return temperature_c * 9.0 / 5.0 + 32.0


def parse_temperature_c(text: str | float, *, key: str = "") -> float:
    """Temperature [°C] from text such as ``225 F``, ``107 °C`` or ``380 K``.

    Parameters
    ----------
    text : str or float
        What the person wrote; a bare number is refused.
    key : str, optional
        Name of the value, for messages.

    Raises
    ------
    InputError
        No unit (both readings are offered), an unknown unit, a range, or no number.
    OutOfRangeError
        Below absolute zero.
    """
    said, value, unit = _one_degree(text, key, "temperature")
    if not unit:
        here_c, here_f = celsius_of_fahrenheit(value), fahrenheit_of_celsius(value)
        raise InputError(
            f"{said!r}{for_key(key)} has no unit:",
            "",
            f"'{value:g} F' ({here_c:.0f} °C) or '{value:g} C' ({here_f:.0f} °F)?",
        )
    temperature_c = {
        "F": celsius_of_fahrenheit(value),
        "C": value,
        "K": value + ABSOLUTE_ZERO_C,
    }[unit]
    if temperature_c < ABSOLUTE_ZERO_C - 1e-9:
        raise OutOfRangeError(
            f"{said!r}{for_key(key)} is below absolute zero",
            "temperatures above -273.15 C (-459.67 F)",
        )
    return temperature_c


def parse_temperature_difference_k(text: str | float, *, key: str = "") -> float:
    """Temperature difference [K]: ``18 F`` is 10 K, whatever the zero of the scale.

    Raises
    ------
    InputError
        No unit (both readings are offered), an unknown unit, a range, or no number.
    """
    said, value, unit = _one_degree(text, key, "temperature difference")
    if not unit:
        raise InputError(
            f"{said!r}{for_key(key)} has no unit:",
            "",
            f"'{value:g} F' ({value / 1.8:.1f} K of difference) or '{value:g} C' "
            f"({value * 1.8:.0f} °F of difference)?",
        )
    return value / 1.8 if unit == "F" else value


def parse_mass_kg(text: str | float, *, key: str = "") -> float:
    """Mass [kg] from text such as ``6 lb 8 oz``, ``1,5 kg``, ``a 4-lb piece`` or ``412 g``.

    Raises
    ------
    InputError
        No unit, an unknown unit, a volume, a negative mass, a range, or no number.
    """
    return measure(MASS, text, key)


def parse_length_m(text: str | float, *, key: str = "") -> float:
    """Length [m] from text such as ``20 cm``, ``1 3/4 in`` or ``45 mm``.

    Raises
    ------
    InputError
        No unit, an unknown unit, a negative length, a range, or no number.
    """
    return measure(LENGTH, text, key)


def parse_volume_m3(text: str | float, *, key: str = "", region: str = "us") -> float:
    """Volume [m3] from text such as ``3 cups``, ``1/4 cup``, ``250 ml`` or ``2 T``.

    Parameters
    ----------
    text : str or float
        What the person wrote; ``T`` is a tablespoon, ``t`` a teaspoon.
    key : str, optional
        Name of the value, for messages.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Which spoon and cup.

    Raises
    ------
    InputError
        No unit, an unknown unit, a weight, a negative volume, a range, no number, or a pint,
        quart, gallon or fluid ounce without its system in a metric kitchen.
    """
    return measure(volume_scale(region), text, key)


def volume_scale(region: str) -> Scale:
    """Volume units of a kitchen region.

    Pint, quart, gallon and fluid ounce differ between countries: in a metric kitchen they are
    asked, in an imperial one they are imperial.
    """
    if region not in REGIONS:
        raise NotFoundError("kitchen region", region, REGIONS)
    if region == "us":
        return VOLUME
    sizes = REGIONS[region]
    renamed = {REGIONS["us"][spoon]: size for spoon, size in sizes.items()}
    foreign = dict(VOLUME.foreign)
    names = {}
    for name, size in VOLUME.names.items():
        unit = _CUSTOMARY.get(size)
        if unit is None or name.startswith("us "):
            names[name] = size if name.startswith("us ") else renamed.get(size, size)
        elif region == "imperial":
            names[name] = VOLUME.names[f"imperial {unit}"]
        else:
            foreign[name] = f"differs between countries; write 'US {name}', or millilitres"
    exact = {name: renamed.get(size, size) for name, size in VOLUME.exact.items()}
    return Scale("volume", names, ("ml", "l", "cup"), exact, foreign)


_CUSTOMARY = {VOLUME.names[name]: name for name in ("pint", "quart", "gallon", "fl oz")}


def parse_duration_s(text: str | float, *, key: str = "") -> float:
    """Duration [s] from ``2:45`` (hours and minutes), ``2 h 45 min``, ``90 min`` or ``45 s``.

    Raises
    ------
    InputError
        No unit, an unknown unit, minutes past 59 after a colon, negative, a range, no number.
    """
    said = said_by(text)
    clock = _CLOCK.fullmatch(plain(said))
    if clock:
        return _clock_s(clock, said, key)
    return measure(DURATION, _HOUR_TAIL.sub(r"\1\2 min", plain(said)), key, said=said)


def parse_elevation_m(text: str | float, *, key: str = "") -> float:
    """Height above sea level [m] from ``180 m`` or ``1,500 ft``; may be below the sea.

    Raises
    ------
    InputError
        No unit, an unknown unit, a range, or no number.
    OutOfRangeError
        Outside -500 m to 9000 m.
    """
    ground = Scale("height above sea level", LENGTH.names, ("m", "ft"), {}, {})
    elevation_m = measure(ground, text, key, signed=True, thousands=True)
    if not LOWEST_ELEVATION_M <= elevation_m <= HIGHEST_ELEVATION_M:
        raise OutOfRangeError(
            f"{said_by(text)!r}{for_key(key)} is not a height where anyone cooks",
            f"{LOWEST_ELEVATION_M:.0f} m to {HIGHEST_ELEVATION_M:.0f} m "
            f"({LOWEST_ELEVATION_M / FOOT_M:.0f} ft to {HIGHEST_ELEVATION_M / FOOT_M:.0f} ft)",
        )
    return elevation_m


def parse_fraction(text: str | float, *, key: str = "") -> float:
    """Fraction from 0 to 1, from ``30 %``, ``1/3``, ``0.3`` or ``half``.

    Raises
    ------
    InputError
        A bare 1 or more (``30`` may be 30 % or a slip), negative, a range, or no number.
    OutOfRangeError
        Over 100 %.
    """
    said = said_by(text)
    body = plain(said)
    if body.casefold() == "half":
        return 0.5
    if has_range(body):
        raise range_error(said, key)
    match = NUMBER.match(body)
    unit = body[match.end() :].strip().casefold() if match else ""
    if not match or unit not in {"", "%", "percent", "per cent"}:
        raise InputError(
            f"{said!r}{for_key(key)} is not a share", "a share such as '30 %', '1/3' or '0.3'"
        )
    value = read_number(match, said)
    if unit:
        value /= 100.0
    elif value >= 1.0:
        raise InputError(
            f"{said!r}{for_key(key)} has no unit:", "", f"'{value:g} %', or a share such as '0.3'?"
        )
    if value > 1.0:
        raise OutOfRangeError(f"{said!r}{for_key(key)} is more than the whole", "0 % to 100 %")
    return value


def parse_power_w(text: str | float, *, key: str = "") -> float:
    """Power [W] from ``1800 W``, ``1 kW`` or ``9,000 Btu/h``; negative and bare are refused."""
    return measure(POWER, text, key, thousands=True)


def parse_speed_m_s(text: str | float, *, key: str = "") -> float:
    """Speed [m/s] from ``10 mph``, ``15 km/h`` or ``3 m/s``; negative and bare are refused."""
    return measure(SPEED, text, key)


def parse_pressure_pa(text: str | float, *, key: str = "") -> float:
    """Pressure [Pa] from ``1013 hPa`` or ``29.92 inHg``; negative and bare are refused."""
    return measure(PRESSURE, text, key, thousands=True)


@dataclass(frozen=True)
class Kind:
    """A kind of quantity that a cook types.

    Attributes
    ----------
    name : str
        Key of the registry.
    unit : str
        Unit of the parsed float.
    parse : callable
        Called with the text and ``key=``.
    example : str
        One way to write it.
    """

    name: str
    unit: str
    parse: Callable[..., float]
    example: str


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("temperature", "°C", parse_temperature_c, "225 F"),
        Kind("temperature_difference", "K", parse_temperature_difference_k, "18 F"),
        Kind("mass", "kg", parse_mass_kg, "6 lb 8 oz"),
        Kind("length", "m", parse_length_m, "45 mm"),
        Kind("volume", "m3", parse_volume_m3, "1/4 cup"),
        Kind("duration", "s", parse_duration_s, "2 h 45 min"),
        Kind("elevation", "m", parse_elevation_m, "180 m"),
        Kind("fraction", "", parse_fraction, "30 %"),
        Kind("power", "W", parse_power_w, "1800 W"),
        Kind("speed", "m/s", parse_speed_m_s, "10 mph"),
        Kind("pressure", "Pa", parse_pressure_pa, "1013 hPa"),
    )
}


def parse(kind: str, text: str | float, key: str = "") -> float:
    """SI value of a text of the named kind of `KINDS`."""
    if kind not in KINDS:
        raise NotFoundError("kind of quantity", kind, KINDS)
    return KINDS[kind].parse(text, key=key)


def _one_degree(text: str | float, key: str, kind: str) -> tuple[str, float, str]:
    said = said_by(text)
    body = plain(said).replace("\u2109", "°F").replace("\u2103", "°C")
    lead, parts = split(said, body, key, thousands=True)
    if len(parts) > 1:
        raise InputError(
            f"{said!r}{for_key(key)} holds {len(parts)} numbers",
            f"one {kind}, such as '225 F' or '107 C'",
        )
    part = parts[0]
    match = _DEGREE.match(part.unit)
    name = match["name"].casefold() if match else part.unit
    if name and name not in _DEGREE_NAMES:
        raise InputError(
            f"{part.unit!r} in {said!r}{for_key(key)} is not a unit of {kind}", "F, C or K"
        )
    value = -part.value if is_negative(lead, said, key) else part.value
    return said, value, _DEGREE_NAMES[name] if name else ""


def _clock_s(clock: re.Match[str], said: str, key: str) -> float:
    unit = clock["unit"].strip(".").casefold()
    size = DURATION.size(unit) if unit else 3600.0
    a, b, c = int(clock["a"]), int(clock["b"]), int(clock["c"] or 0)
    if size not in {3600.0, 60.0} or (size == 60.0 and clock["c"]):
        raise InputError(
            f"{said!r}{for_key(key)} is not a length of time",
            "'2:45' (2 h 45 min), '2:45:30' or '2 h 45 min'",
        )
    if b >= 60 or c >= 60:
        raise InputError(
            f"{said!r}{for_key(key)} has more than 59 after a colon",
            "hours and minutes, such as '2:45'",
        )
    return a * size + b * size / 60.0 + c * size / 3600.0
