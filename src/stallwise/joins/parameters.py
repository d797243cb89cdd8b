"""Who wins: one registry of plan parameters and the one function that resolves them.

What is injected into a notebook or given with ``--set`` wins over ``cook.toml``, which
wins over the cut's own default. `new`, `forecast` and `rerun` take the same names. A
bare name means all pieces or the first pit; ``mass__A`` is piece A's own, ``pit_start__Q``
pit Q's.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins import otherday
from stallwise.record.schema import Cook
from stallwise.record.toml import validated

__all__ = ["PARAMETERS", "Parameter", "edits", "parse_settings", "resolve"]

Level = Literal["run", "cook", "weather", "pit", "piece"]


@dataclass(frozen=True)
class Parameter:
    """One thing a cook may change.

    Attributes
    ----------
    name : str
        Name in notebooks, ``--set`` and error messages.
    level : str
        Where it lives: the run alone, the cook, its weather, a pit, a piece.
    kind : str
        ``temperature``, ``mass``, ``length``, ``duration``, ``clock``, ``date``, ``text``, ``int``,
        ``choice`` or ``yes or no``.
    help : str
        One line for a cook.
    front : bool
        Shown first; the rest sits behind a fold.
    choices : tuple of str
        Allowed words for a choice; a finish is checked against its cut later.
    field : str
        Key in the file when it differs from `name`.
    shared : bool
        A bare value is the whole cook's, and takes away the pieces' own.
    """

    name: str
    level: Level
    kind: str
    help: str
    front: bool = False
    choices: tuple[str, ...] = ()
    field: str = ""
    shared: bool = False

    @property
    def key(self) -> str:
        """Key inside its table of ``cook.toml``."""
        return self.field or self.name


_WRAPS = ("none", "foil", "paper", "boat", "pan")
_HOLDS = ("counter", "box", "oven")
_WINDS = ("calm", "breeze", "wind")
_ODDS = ("coin flip", "usual", "guests coming", "cannot be late")

PARAMETERS: dict[str, Parameter] = {
    p.name: p
    for p in (
        Parameter("cut", "piece", "text", "which cut, as in `stallwise cuts`", front=True),
        Parameter("mass", "piece", "mass", "weight of one piece as it goes on", front=True),
        Parameter("count", "piece", "int", "how many alike pieces", front=True),
        Parameter("serve", "piece", "clock", "when to eat, wall clock", front=True, shared=True),
        Parameter(
            "pit_start", "pit", "temperature", "pit held at first", front=True, field="start"
        ),
        Parameter("pit_climb_to", "pit", "temperature", "pit later", front=True, field="climb_to"),
        Parameter(
            "pit_climb_from",
            "pit",
            "duration",
            "climb begins, after meat on",
            front=True,
            field="climb_from",
        ),
        Parameter(
            "pit_climb_over",
            "pit",
            "duration",
            "the climb takes",
            front=True,
            field="climb_over",
        ),
        Parameter("wrap", "piece", "choice", "wrap", front=True, choices=_WRAPS),
        Parameter("wrap_from", "piece", "duration", "wrap at the earliest", front=True),
        Parameter("wrap_to", "piece", "duration", "wrap at the latest", front=True),
        Parameter("finish", "piece", "text", "how it should eat, in words", front=True),
        Parameter("thickness", "piece", "thickness", "thin, usual, thick or measured", front=True),
        Parameter("width", "piece", "length", "width as it lies"),
        Parameter("length", "piece", "length", "length as it lies"),
        Parameter("mass_bought", "piece", "mass", "weight as bought"),
        Parameter("mass_saved", "piece", "mass", "trimmings saved"),
        Parameter("mass_bin", "piece", "mass", "to the bin"),
        Parameter("start_core", "piece", "temperature", "core when it goes on"),
        Parameter(
            "frozen", "piece", "yes or no", "frozen through as bought", choices=("yes", "no")
        ),
        Parameter("thaw", "piece", "choice", "how it is thawed", choices=("fridge", "cold water")),
        Parameter("place", "piece", "text", "place on the grate"),
        Parameter("pit_least", "piece", "temperature", "coolest pit that it may be cooked in"),
        Parameter("pit_most", "piece", "temperature", "hottest pit that it may be cooked in"),
        Parameter("on", "piece", "clock", "meat on, wall clock"),
        Parameter("wrap_core", "piece", "temperature", "wrap at this core"),
        Parameter("unwrap", "piece", "duration", "unwrap again, after meat on"),
        Parameter("spritz_from", "piece", "duration", "first spritz, after meat on"),
        Parameter("spritz_every", "piece", "duration", "time between spritzes"),
        Parameter("look_from", "piece", "duration", "first look under the lid, after meat on"),
        Parameter("look_every", "piece", "duration", "time between looks"),
        Parameter("turn", "piece", "duration", "turned, after meat on"),
        Parameter("glaze_at", "piece", "duration", "first coat of glaze, after meat on"),
        Parameter("glaze_coats", "piece", "int", "how many coats of glaze, 1 to 6"),
        Parameter("glaze_every", "piece", "duration", "time between coats"),
        Parameter("rest", "piece", "duration", "rest before the knife"),
        Parameter("reheat", "piece", "duration", "chilled after its rest, so long back in heat"),
        Parameter(
            "hold", "piece", "choice", "where it rests and is held till served", choices=_HOLDS
        ),
        Parameter("hold_at", "piece", "temperature", "warm oven it is held in"),
        Parameter("pans", "piece", "int", "pans that it fills when it is held"),
        Parameter("serve_core", "piece", "temperature", "core to cut it at, once it comes down"),
        Parameter("carve", "piece", "duration", "carving and plating"),
        Parameter(
            "pit_number_at",
            "pit",
            "choice",
            "where the pit number is read",
            choices=("grate", "lid", "oven", "guess"),
            field="number_at",
        ),
        Parameter(
            "pit_fuel",
            "pit",
            "text",
            "what burns and how dry: oak, seasoned (kiln dried, half-seasoned, green)",
            field="fuel",
        ),
        Parameter(
            "pit_water_pan",
            "pit",
            "yes or no",
            "a pan of water stands in it",
            choices=("yes", "no"),
            field="water_pan",
        ),
        Parameter("date", "cook", "date", "day of the cook, as 2027-09-25", front=True),
        Parameter("odds", "cook", "choice", "how sure it must be", front=True, choices=_ODDS),
        Parameter("guests", "cook", "int", "how many eat"),
        Parameter("asleep", "cook", "clock", "nobody need be up from then on, wall clock"),
        Parameter("awake", "cook", "clock", "until then, wall clock"),
        Parameter("people", "cook", "int", "how many have their hands free that day"),
        Parameter("carry", "cook", "duration", "from the board to where it is eaten"),
        Parameter("elevation", "cook", "elevation", "height above the sea"),
        Parameter("ambient", "weather", "temperature", "air outside"),
        Parameter("humidity", "weather", "fraction", "relative humidity outside"),
        Parameter("wind", "weather", "choice", "wind at the pit", choices=_WINDS),
        Parameter(
            "trouble",
            "run",
            "text",
            "try what you would do: fire out, rain, guests an hour late, out of foil",
        ),
        Parameter("members", "run", "int", "possible days tried in one forecast"),
        Parameter("seed", "run", "int", "which possible days are drawn"),
    )
}

_INTEGERS = {"members": (20, 2000), "seed": (0, 2**31 - 1)}


def parse_settings(pairs: list[str]) -> dict[str, str]:
    """Read ``key=value`` pairs as given with ``--set``; the name is checked here."""
    found: dict[str, str] = {}
    for pair in pairs:
        name, sign, value = pair.partition("=")
        if not sign:
            raise InputError(
                f"--set {pair!r} has no '='", 'key=value, for example pit_start="250 F"'
            )
        split_name(name.strip())
        found[name.strip()] = value.strip()
    return found


def split_name(name: str) -> tuple[Parameter, str]:
    """Split ``mass__A`` into its parameter and letter; a wrong name offers the nearest."""
    base, _, letter = name.partition("__")
    if (dotted := re.fullmatch(r"(?:([A-Z])\.(\w+)|(\w+)\.([A-Z]))", name)) is not None:
        own = f"{dotted[2] or dotted[3]}__{dotted[1] or dotted[4]}"
        raise InputError(f"no parameter is called {name!r}", "", f"One piece's or pit's own: {own}")
    if base not in PARAMETERS:
        raise NotFoundError("parameter", base, PARAMETERS)
    if "__" in name and not re.fullmatch(r"[A-Z]", letter):
        raise InputError(f"{name!r} ends in {letter!r}", "one capital letter, as in mass__A")
    return PARAMETERS[base], letter


def run_settings(changes: Mapping[str, Any]) -> dict[str, int]:
    """`members` and `seed` among the changes, as whole numbers in range."""
    found: dict[str, int] = {}
    for name, (low, high) in _INTEGERS.items():
        value = changes.get(name)
        if value is None:
            continue
        number = _whole(name, value)
        if not low <= number <= high:
            raise InputError(f"{name} = {value}", f"a whole number from {low} to {high}")
        found[name] = number
    return found


def resolve(cook: Cook, changes: Mapping[str, Any] | None) -> Cook:
    """Lay changes over a cook; the result is validated like a file.

    Parameters
    ----------
    cook : Cook
        As read from ``cook.toml``.
    changes : mapping of str to value or None
        Parameter names (with a letter or bare); None means "as in cook.toml".

    Returns
    -------
    Cook
        A new object; `cook` is untouched.

    Raises
    ------
    NotFoundError
        A name that is no parameter (the nearest is offered) or a letter that no piece
        or pit has.
    InputError
        A value of the wrong kind, or a quantity without its unit.
    """
    data = cook.model_dump(by_alias=True)
    changed = False
    # Bare names first, so that a piece's own setting wins whatever the order given; the day before
    # all, for the hours that were said are hours of it.
    for name in sorted(changes or {}, key=lambda key: (key != "date", "__" in key)):
        value = (changes or {})[name]
        parameter, letter = split_name(name)
        if value is None or parameter.level == "run":
            continue
        _LAY[parameter.level](data, parameter, letter, _checked(parameter, value))
        changed = True
    return validated(Cook, data, where="changed plan") if changed else cook


def edits(cook: Cook, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Turn changes into dotted keys for writing ``cook.toml`` (``pieces.A.wrap``)."""
    resolve(cook, changes)
    found: dict[str, Any] = _moved_hours(cook, changes)
    for name in sorted(changes, key=lambda key: "__" in key):
        value = changes[name]
        parameter, letter = split_name(name)
        if value is None or parameter.level == "run":
            continue
        value = _checked(parameter, value)
        if parameter.level == "piece":
            if parameter.shared and not letter:
                found[parameter.key] = value
                value = None
            for piece in cook.pieces:
                if value is None and getattr(piece, parameter.key) is None:
                    continue
                if not letter or piece.letter == letter:
                    found[f"pieces.{piece.letter}.{parameter.key}"] = value
        elif parameter.level == "pit":
            first = letter or (cook.pits[0].letter if cook.pits else "P")
            found[f"pits.{first}.{parameter.key}"] = value
        elif parameter.level == "weather":
            found[f"weather.{parameter.key}"] = value
        else:
            found[parameter.key] = value
    return found


def _lay_piece(data: dict[str, Any], parameter: Parameter, letter: str, value: Any) -> None:
    names = [piece["letter"] for piece in data["pieces"]]
    if letter and letter not in names:
        raise NotFoundError("piece", letter, names)
    if parameter.shared and not letter:
        data[parameter.key] = value
        value = None
    for piece in data["pieces"]:
        if not letter or piece["letter"] == letter:
            piece[parameter.key] = value


def _lay_pit(data: dict[str, Any], parameter: Parameter, letter: str, value: Any) -> None:
    if not data["pits"]:
        data["pits"] = [{"letter": letter or "P"}]
    names = [pit["letter"] for pit in data["pits"]]
    if letter and letter not in names:
        raise NotFoundError("pit", letter, names)
    pit = next(pit for pit in data["pits"] if not letter or pit["letter"] == letter)
    pit[parameter.key] = value


def _lay_weather(data: dict[str, Any], parameter: Parameter, letter: str, value: Any) -> None:
    _no_letter(parameter, letter)
    data["weather"][parameter.key] = value


def _lay_cook(data: dict[str, Any], parameter: Parameter, letter: str, value: Any) -> None:
    _no_letter(parameter, letter)
    if parameter.kind == "date":
        otherday.move(data, value)
    data[parameter.key] = value


def _moved_hours(cook: Cook, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Hours with a day of their own that go along to another day, by dotted key."""
    day = changes.get("date")
    if day is None:
        return {}
    return otherday.moved(cook.model_dump(by_alias=True), _checked(PARAMETERS["date"], day))


_LAY: dict[str, Callable[[dict[str, Any], Parameter, str, Any], None]] = {
    "piece": _lay_piece,
    "pit": _lay_pit,
    "weather": _lay_weather,
    "cook": _lay_cook,
}


def _no_letter(parameter: Parameter, letter: str) -> None:
    if letter:
        raise InputError(
            f"{parameter.name}__{letter}", f"{parameter.name}, which is the whole cook's"
        )


def _checked(parameter: Parameter, value: Any) -> Any:
    if parameter.kind == "int":
        return _whole(parameter.name, value)
    if parameter.kind == "yes or no" and isinstance(value, bool):
        return value
    if parameter.choices and value not in parameter.choices:
        raise InputError(
            f"{parameter.name} = {value!r}", ", ".join(parameter.choices), "Choose one of these"
        )
    if parameter.kind == "yes or no":
        return value == "yes"
    if parameter.kind == "date":
        return otherday.day_of(value)
    if parameter.kind in units.KINDS:
        # A bare number is refused there, with both readings offered.
        units.parse(parameter.kind, str(value), key=parameter.name)
    if not isinstance(value, str):
        raise InputError(f"{parameter.name} = {value!r}", "text, for example " + parameter.help)
    return value


def _whole(name: str, value: Any) -> int:
    try:
        number = float(value)
    except (TypeError, ValueError):
        number = float("nan")
    if isinstance(value, bool) or not number.is_integer():
        raise InputError(f"{name} = {value!r}", "a whole number")
    return int(number)
