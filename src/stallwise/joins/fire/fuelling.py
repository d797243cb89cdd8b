"""From a cook to its fires: what burns in which pit, in what it is counted, and what was logged of it."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.fire import around
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.sheet.steptable import caution
from stallwise.models.fire import FIRE_KINDS, UNITS, Day, Fire
from stallwise.record.log import LogLine
from stallwise.record.schema import Book, Cook, Pit, PitUse
from stallwise.tables.parameters import parameter, parameters

__all__ = [
    "Burnt",
    "Feed",
    "burnt",
    "day_of",
    "dryness",
    "feeds",
    "fire_of",
    "fuel_name",
    "fuel_named",
    "has_fire",
    "left_kg",
    "not_to_burn",
    "of_pit",
    "unit_kg",
]

#: Words that say what burns, the fuel whose rows they take, and its usual moisture's key.
FUEL_WORDS: tuple[tuple[str, str], ...] = (
    *((word, "charcoal") for word in ("charcoal", "lump", "briquette", "coal")),
    *(
        (word, "hardwood")
        for word in ("wood", "split", "log", "oak", "hickory", "pecan", "apple", "cherry", "maple",
                     "mesquite", "beech", "ash", "birch", "alder", "pellet")
    ),
)  # fmt: skip
#: Trees whose word alone may be something to eat or drink.
_EATEN = frozenset({"apple", "cherry", "maple", "pecan"})
#: What nobody should burn under food, as the caution says.
_FOUL = ("treated", "painted", "stained", "varnish", "pallet", "plywood", "chipboard", "mdf",
         "plastic", "rubbish", "creosote", "driftwood", "laminate")  # fmt: skip
_MOIST = "fuel.moisture."


@dataclass(frozen=True)
class Feed:
    """Fuel that went on: when, how much [kg], how many units of how well a known mass."""

    at: dt.datetime
    kg: float
    count: float
    weighed: bool


def has_fire(pit: PitState) -> bool:
    """Whether a pit burns something that a cook carries."""
    return pit.kind in FIRE_KINDS


def _use(cook: Cook, letter: str) -> PitUse:
    return next((use for use in cook.pits if use.letter == letter), PitUse(letter=letter))


def fire_of(
    cook: Cook, pit: PitState, book: Book, pits: Mapping[str, Pit], lines: Sequence[LogLine]
) -> Fire:
    """Tell what burns in a pit and in what it is counted.

    The unit is the one the log counts in most, else one that the cook has weighed, else the usual
    of the fuel: splits of wood, chimneys of charcoal, scoops where a fan blows.
    """
    use = _use(cook, pit.letter)
    fuel = _fuel(use.fuel, pit.kind)
    unit = _unit(fuel, use.fuel, pit, book, of_pit(lines, cook, pit.letter))
    start = pits[pit.name].start_minutes if pit.name in pits else None
    return Fire(
        pit.name,
        pit.kind,
        fuel,
        around.moisture(use.fuel) if fuel == "hardwood" else None,
        unit,
        measured(book, unit),
        None if not start else start * 60.0,
    )


def _fuel(text: str | None, kind: str) -> str:
    said = (text or "").casefold()
    found = [(said.index(word), fuel) for word, fuel in FUEL_WORDS if word in said]
    # "oak splits on a bed of charcoal" burns oak.
    return min(found)[1] if found else "hardwood" if kind == "offset" else "charcoal"


def fuel_named(name: str) -> str | None:
    """Say which fuel a thing by this name is; None where it is none.

    Examples
    --------
    >>> fuel_named("Briquettes"), fuel_named("apple wood"), fuel_named("apple pie")
    ('charcoal', 'hardwood', None)
    """
    words = [word.removesuffix("s") for word in re.findall(r"\w+", name.casefold())]
    if any(word.endswith("wood") for word in words):
        words.append("wood")
    sure = (
        fuel
        for word, fuel in FUEL_WORDS
        if word in words and (word not in _EATEN or word == words[-1])
    )
    return next(sure, None)


def fuel_name(cook: Cook, pit: PitState, fire: Fire) -> str:
    """Name what burns by a word that a cook would use."""
    said = (_use(cook, pit.letter).fuel or "").casefold()
    named = [
        (said.index(word), word) for word, fuel in FUEL_WORDS if word in said and fuel == fire.fuel
    ]
    word = min(named)[1] if named else ""
    if word == "pellet":
        return "pellets"
    plain = {"split", "log", "lump", "briquette", "coal", ""}
    return {"hardwood": "wood", "charcoal": "charcoal"}[fire.fuel] if word in plain else word


def dryness(cook: Cook, pit: PitState) -> str:
    """How dry its wood is, in the word that the cook gave."""
    said = (_use(cook, pit.letter).fuel or "").casefold().replace("-", " ")
    names = (key.removeprefix(_MOIST) for key in parameters() if key.startswith(_MOIST))
    found = [name for name in names if name.replace("-", " ") in said]
    return found[0] if found else ""


def measured(book: Book, unit: str) -> float | None:
    """Mass of one unit as the cook weighed it once [kg]: ``[measures]`` of ``cookbook.toml``.

    A scoop that holds a volume, or is too light for any fuel, is one for rubs.
    """
    text = next((what for name, what in book.measures.items() if name.casefold() == unit), None)
    try:
        mass_kg = None if text is None else units.parse("mass", text, key=f"measures.{unit}")
    except InputError:
        return None
    row = parameter(f"fuel.unit.{unit}")
    return mass_kg if mass_kg is not None and row.low <= mass_kg <= row.high else None


def _unit(fuel: str, text: str | None, pit: PitState, book: Book, lines: Sequence[LogLine]) -> str:
    counted = [str(line.data["unit"]) for line in lines if line.data.get("unit") in UNITS]
    counted += ["split" for line in lines if line.what == "wood" and set(line.data) == {"count"}]
    main = [unit for unit in counted if unit != "chunk"]
    if main:
        return max(sorted(set(main)), key=main.count)
    mine = [unit for unit in UNITS if unit != "chunk" and measured(book, unit) is not None]
    if fuel == "hardwood" and "pellet" not in (text or "").casefold():
        return "split"
    usual = "scoop" if pit.kind == "fan" or fuel == "hardwood" else "chimney"
    return next((unit for unit in mine if unit != "split"), usual)


def of_pit(lines: Sequence[LogLine], cook: Cook, letter: str) -> list[LogLine]:
    """Lines about a pit; those that name none are the first pit's."""
    first = cook.pits[0].letter if cook.pits else letter
    return [line for line in lines if (line.pit or first) == letter]


def day_of(cook: Cook, lines: Sequence[LogLine] = ()) -> tuple[Day, bool]:
    """Weather at the pit, and whether anybody noted the air outside."""
    outside = around.ambient_c(cook)
    wind = parameter(f"wind.{cook.weather.wind}").value if cook.weather.wind else 0.0
    told = [line.what == "rain" for line in lines if line.what in {"rain", "rain_over"}]
    rain = told[-1] if told else bool(cook.weather.rain)
    usual = parameter("wood.usual").value if outside is None else outside
    return Day(usual, wind, rain=rain), outside is not None


def not_to_burn(cook: Cook) -> Iterator[CookWarning]:
    """Warn of a fuel that nobody should burn under food, with the source of that."""
    for use in cook.pits:
        said = (use.fuel or "").casefold()
        found = [word for word in _FOUL if word in said and f"un{word}" not in said]
        if found:
            yield CookWarning("fuel-not-to-burn", f"{use.fuel!r} as fuel: {caution('wood').full}")


def feeds(lines: Sequence[LogLine], fire: Fire, book: Book) -> list[Feed]:
    """Fuel that went on, in order of time; the first fill is with the match."""
    found = []
    for line in lines:
        if line.what != "wood" and not (line.what == "fire_lit" and "count" in line.data):
            continue
        found.append(_feed(line, fire, book))
    return sorted(found, key=lambda feed: feed.at)


def _feed(line: LogLine, fire: Fire, book: Book) -> Feed:
    if line.data.get("fuel") == "kindling":
        return Feed(line.at, 0.0, 0.0, weighed=True)
    if "mass_kg" in line.data:
        return Feed(line.at, float(line.data["mass_kg"]), 0.0, weighed=True)
    count = float(line.data.get("count", 1.0))
    unit = str(line.data.get("unit", fire.unit))
    return Feed(
        line.at, count * unit_kg(unit, book), count, weighed=measured(book, unit) is not None
    )


def unit_kg(unit: str, book: Book) -> float:
    """Mass of one unit [kg]: as weighed, else the table's."""
    if unit not in UNITS:
        raise InputError(f"fuel counted in {unit!r}", ", ".join(UNITS))
    own = measured(book, unit)
    return parameter(f"fuel.unit.{unit}").value if own is None else own


@dataclass(frozen=True)
class Burnt:
    """Fuel that burnt over a span of a log: from when to when, how much [kg], how well counted, how often."""

    begins: dt.datetime
    ends: dt.datetime
    kg: float
    doubt: float
    from_cold: bool
    feedings: int = 0


def burnt(lines: Sequence[LogLine], fire: Fire, book: Book, ends: dt.datetime) -> Burnt | None:
    """Find the longest span of a log over which the fuel that burnt is known.

    Where somebody noted what was left, all that went on less that, from the match to then. Else from
    one feeding to the last one: what goes on at each burns until the next. The fire that went out
    in between is no such span.

    Parameters
    ----------
    lines : sequence of LogLine
        Of the pit, in order of time.
    fire, book : Fire, Book
        What burns, and what a unit of it weighs.
    ends : datetime
        When the last piece came off.
    """
    if any(line.what == "fire_out" for line in lines):
        return None
    put = [feed for feed in feeds(lines, fire, book) if feed.kg > 0.0]
    if not put:
        return None
    lit = [line.at for line in lines if line.what == "fire_lit"]
    left = [line for line in lines if line.what == "fuel_left" and line.at > put[0].at]
    if left and lit:
        at = min(left[-1].at, max(ends, put[-1].at))
        before = [feed for feed in put if feed.at <= left[-1].at]
        total = sum(feed.kg for feed in before)
        kg = total - left_kg(left[-1], total, fire, book)
        return Burnt(min(lit), at, kg, _doubt(before), from_cold=True) if kg > 0.0 else None
    if lit and fire.unit == "split" and max(feed.count for feed in put) >= _TOTAL:
        # So many at once is the sum of the day, typed in the evening.
        kg, summed = sum(feed.kg for feed in put), parameter("learn.fire.summed").value
        return Burnt(min(lit), ends, kg, math.hypot(_doubt(put), summed), from_cold=True)
    steady = [line.at for line in lines if line.what in {"pit_steady", "meat_on"}]
    fed = [feed for feed in put if feed.at <= ends and (not steady or feed.at >= min(steady))]
    if len(fed) < _FEW:
        return None
    between = fed[:-1]
    kg = sum(feed.kg for feed in between)
    doubt = _doubt(between)
    return Burnt(fed[0].at, fed[-1].at, kg, doubt, from_cold=False, feedings=len(between))


#: Fewer feedings than this make no span; so many splits at once are a sum.
_FEW, _TOTAL = 3, 5.0


def left_kg(line: LogLine, total_kg: float, fire: Fire, book: Book) -> float:
    """Fuel that was left when a line noted it [kg]; a share is one of all that went on."""
    if "mass_kg" in line.data:
        return float(line.data["mass_kg"])
    if "share" in line.data:
        return float(line.data["share"]) * total_kg
    return float(line.data.get("count", 1.0)) * unit_kg(str(line.data.get("unit", fire.unit)), book)


def _doubt(put: Sequence[Feed]) -> float:
    """Doubt of a count: units differ among themselves, and the first and last may be half burnt."""
    counted = sum(feed.count for feed in put)
    if counted <= 0.0:
        return parameter("learn.fire.weighed").value
    each = parameter("fuel.unit.split").spread
    return math.hypot(each / math.sqrt(max(counted, 1.0)), 0.5 / max(counted, 1.0))
