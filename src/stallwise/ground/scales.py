"""Unit names and their sizes in SI; the literals are checked against ``data/units.csv``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = [
    "BTU_J",
    "CUP_M3",
    "DURATION",
    "FLUID_OUNCE_M3",
    "FOOT_M",
    "GALLON_M3",
    "IMPERIAL_PINT_M3",
    "INCH_M",
    "LENGTH",
    "MASS",
    "OUNCE_KG",
    "PINT_M3",
    "POUND_KG",
    "POWER",
    "PRESSURE",
    "QUART_M3",
    "REGIONS",
    "REGION_WORDS",
    "SPEED",
    "TABLESPOON_M3",
    "TEASPOON_M3",
    "VOLUME",
    "Scale",
]

# Exact by definition: NIST Handbook 44 App. C, SP 811 App. B.
POUND_KG = 0.45359237
OUNCE_KG = 0.028349523125
INCH_M = 0.0254
FOOT_M = 0.3048
GALLON_M3 = 3.785411784e-3
QUART_M3 = 9.46352946e-4
PINT_M3 = 4.73176473e-4
CUP_M3 = 2.365882365e-4
FLUID_OUNCE_M3 = 2.95735295625e-5
TABLESPOON_M3 = 1.478676478125e-5
TEASPOON_M3 = 4.92892159375e-6
IMPERIAL_PINT_M3 = 5.6826125e-4
BTU_J = 1055.05585262

#: Sizes [m3] of spoon and cup by kitchen region; "us" is the customary set, "metric" the round
#: one, "metric-20" the round one with the large tablespoon (Australian), "imperial" the old set:
#: half a pint to the cup, 16 tablespoons to the cup, three teaspoons to the tablespoon.
REGIONS: Mapping[str, Mapping[str, float]] = {
    "us": {"tsp": TEASPOON_M3, "tbsp": TABLESPOON_M3, "cup": CUP_M3},
    "metric": {"tsp": 5e-6, "tbsp": 15e-6, "cup": 250e-6},
    "metric-20": {"tsp": 5e-6, "tbsp": 20e-6, "cup": 250e-6},
    "imperial": {
        "tsp": IMPERIAL_PINT_M3 / 96.0,
        "tbsp": IMPERIAL_PINT_M3 / 32.0,
        "cup": IMPERIAL_PINT_M3 / 2.0,
    },
}
#: Other words for a region.
REGION_WORDS: Mapping[str, str] = {"australian": "metric-20", "uk": "imperial", "customary": "us"}


@dataclass(frozen=True)
class Scale:
    """The unit names of one kind of quantity.

    Attributes
    ----------
    kind : str
        Word for the kind in messages, ``"mass"``.
    names : mapping
        Unit name to size in SI; names fold case unless listed in `exact`.
    offers : tuple of str
        Two units to offer when a number comes bare, and to list as allowed.
    exact : mapping
        Names whose case matters (``T`` and ``t``).
    foreign : mapping
        Names that belong to another kind, with what to say.
    """

    kind: str
    names: Mapping[str, float]
    offers: tuple[str, ...]
    exact: Mapping[str, float]
    foreign: Mapping[str, str]

    def size(self, name: str) -> float | None:
        """Size in SI of a unit name, or None when there is no such unit here."""
        if name in self.exact:
            return self.exact[name]
        return self.names.get(name.casefold())


def _scale(
    kind: str,
    offers: tuple[str, ...],
    units: Mapping[str, float],
    exact: Mapping[str, float] | None = None,
    foreign: Mapping[str, str] | None = None,
) -> Scale:
    names = {name: size for words, size in units.items() for name in words.split(",")}
    return Scale(kind, names, offers, exact or {}, foreign or {})


_VOLUME_SAID = "is a volume, not a weight; weigh it, or name the ingredient in a mix"
_OUNCE_SAID = "is a weight; a volume is in 'fl oz'"

MASS = _scale(
    "mass",
    ("lb", "oz", "kg", "g"),
    {
        "lb,lbs,pound,pounds,#": POUND_KG,
        "oz,ounce,ounces": OUNCE_KG,
        "kg,kgs,kilo,kilos,kilogram,kilograms,kilogramme,kilogrammes": 1.0,
        "g,gm,gms,gram,grams,gramme,grammes": 1e-3,
        "mg,milligram,milligrams": 1e-6,
    },
    foreign=dict.fromkeys(
        [
            "fl oz",
            "floz",
            "fluid ounce",
            "fluid ounces",
            "cup",
            "cups",
            "tbsp",
            "tsp",
            "ml",
            "l",
            "pint",
            "quart",
            "gallon",
        ],
        _VOLUME_SAID,
    )
    | {"gr": "may be a grain or a gram; write 'g' for grams"},
)

LENGTH = _scale(
    "length",
    ("in", "mm", "cm"),
    {
        "mm,millimetre,millimetres,millimeter,millimeters": 1e-3,
        "cm,centimetre,centimetres,centimeter,centimeters": 1e-2,
        "m,metre,metres,meter,meters": 1.0,
        'in,ins,inch,inches,",\u2033,\u201d': INCH_M,
        "ft,foot,feet,',\u2032,\u2019": FOOT_M,
    },
)

VOLUME = _scale(
    "volume",
    ("cup", "ml", "l", "fl oz"),
    {
        "ml,millilitre,millilitres,milliliter,milliliters,cc": 1e-6,
        "cl": 1e-5,
        "dl": 1e-4,
        "l,litre,litres,liter,liters,\u2113": 1e-3,
        "cup,cups,c": CUP_M3,
        "tbsp,tbsps,tbs,tb,tbl,tblsp,tablespoon,tablespoons": TABLESPOON_M3,
        "tsp,tsps,teaspoon,teaspoons": TEASPOON_M3,
        "fl oz,floz,fluid ounce,fluid ounces,us fl oz,us fluid ounce": FLUID_OUNCE_M3,
        "pt,pint,pints,us pt,us pint,us pints": PINT_M3,
        "qt,qts,quart,quarts,us qt,us quart,us quarts": QUART_M3,
        "gal,gals,gallon,gallons,us gal,us gallon,us gallons": GALLON_M3,
        "imp pt,imp pint,imp pints,imperial pint,imperial pints,uk pint,uk pints": IMPERIAL_PINT_M3,
        "imp qt,imp quart,imperial quart,imperial quarts,uk quart": 2.0 * IMPERIAL_PINT_M3,
        "imp gal,imp gallon,imperial gallon,imperial gallons,uk gallon": 8.0 * IMPERIAL_PINT_M3,
        "imp fl oz,imperial fl oz,imperial fluid ounce,imperial fluid ounces,uk fl oz": (
            IMPERIAL_PINT_M3 / 20.0
        ),
        "imp cup,imperial cup,imperial cups": IMPERIAL_PINT_M3 / 2.0,
        "metric cup,metric cups": 250e-6,
    },
    exact={"T": TABLESPOON_M3, "Ts": TABLESPOON_M3, "t": TEASPOON_M3, "ts": TEASPOON_M3},
    foreign=dict.fromkeys(("oz", "ounce", "ounces"), _OUNCE_SAID)
    | {"TS": "may be tablespoons or teaspoons; write 'tbsp' or 'tsp'"},
)

DURATION = _scale(
    "time",
    ("h", "min"),
    {
        "s,sec,secs,second,seconds": 1.0,
        "min,mins,minute,minutes,m": 60.0,
        "h,hr,hrs,hour,hours": 3600.0,
        "d,day,days": 86400.0,
    },
)

POWER = _scale(
    "power",
    ("W", "kW", "Btu/h"),
    {
        "w,watt,watts": 1.0,
        "kw,kilowatt,kilowatts": 1e3,
        "btu/h,btu/hr,btuh,btu per hour": BTU_J / 3600.0,
    },
)

SPEED = _scale(
    "speed",
    ("mph", "km/h", "m/s"),
    {
        "m/s,mps": 1.0,
        "km/h,kmh,kph": 1.0 / 3.6,
        "mph,miles per hour": 0.44704,
        "kn,kt,kts,knot,knots": 1852.0 / 3600.0,
    },
)

PRESSURE = _scale(
    "pressure",
    ("hPa", "inHg"),
    {"pa": 1.0, "hpa,mbar,mb,millibar": 100.0, "kpa": 1e3, "inhg,in hg": 3386.389},
)
