"""Kinds of value in a cookbook's files: checked on reading, kept as typed.

A check that fails raises pydantic's own kind of error with what came and what is allowed
apart, so that all problems of a file can be told at once with their lines.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import Annotated, Any, Literal, TypeVar

from pydantic import AfterValidator, BeforeValidator, Field
from pydantic_core import PydanticCustomError

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.record import clocks
from stallwise.record.camera import shift_of

__all__ = [
    "CameraClock",
    "Clock",
    "Date",
    "Duration",
    "Edition",
    "Elevation",
    "FileName",
    "Fraction",
    "HoldPlace",
    "Length",
    "Letter",
    "Mass",
    "MassOrNone",
    "NumberPlace",
    "PitKind",
    "Real",
    "Spoons",
    "Temperature",
    "Text",
    "Thickness",
    "Volume",
    "Wind",
    "Worked",
    "WrapKind",
    "Zone",
    "collected",
    "refusal",
]

NumberPlace = Literal["grate", "lid", "oven", "guess"]
PitKind = Literal["offset", "closed", "water pan", "fan", "oven", "box"]
HoldPlace = Literal["counter", "box", "oven"]
WrapKind = Literal["none", "foil", "paper", "boat", "pan"]
Wind = Literal["calm", "breeze", "wind"]
#: What was done to a piece before it went on.
Worked = Literal["intact", "injected", "tenderised", "boned and rolled", "ground", "stuffed"]
#: Editions of the model food code.
Edition = Literal["1999", "2001", "2005", "2009", "2013", "2017", "2022"]

_T = TypeVar("_T")

_SPREAD = ("thin", "usual", "thick")


def refusal(came: str, allowed: str = "", todo: str = "") -> PydanticCustomError:
    """Error for pydantic to collect, with what came, what is allowed and what to do apart."""
    return PydanticCustomError(
        "stallwise", "{came}. Allowed: {allowed}", {"came": came, "allowed": allowed, "todo": todo}
    )


def collected(check: Callable[[_T], _T]) -> Callable[[_T], _T]:
    """Let an `InputError` of a check be collected by pydantic instead of ending the reading."""

    def wrapped(value: _T) -> _T:
        try:
            return check(value)
        except InputError as error:
            raise refusal(error.came, error.allowed, error.todo) from error

    return wrapped


def _quantity(kind: str, *, zero: bool = True) -> Any:
    def check(text: str) -> str:
        value = units.parse(kind, text)
        if value <= 0 and not zero:
            raise InputError(
                f"{text!r} is nothing", f"more than zero, such as {units.KINDS[kind].example!r}"
            )
        return text

    def bare(value: Any) -> Any:
        # A number without quotes and unit: the reader's own question offers both readings.
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            units.parse(kind, value)
        return value

    return Annotated[str, BeforeValidator(collected(bare)), AfterValidator(collected(check))]


def _clock_as_text(value: Any) -> Any:
    # TOML has times and local date-times of its own; a cook may write either.
    if isinstance(value, dt.datetime) and value.tzinfo is None:
        return value.isoformat(sep=" ", timespec="minutes")
    if isinstance(value, dt.time):
        return value.isoformat(timespec="minutes")
    return value


def _clock(text: str) -> str:
    clocks.split_clock(text)
    return text


def _camera(text: str) -> str:
    shift_of(text)
    return text


def _zone(text: str) -> str:
    clocks.zone(text)
    return text


def _letter(text: str) -> str:
    if not re.fullmatch(r"[A-Z]", text):
        raise InputError(
            f"{text!r} is not a letter for a piece or pit", "one capital letter, A to Z"
        )
    return text


def _file_name(text: str) -> str:
    if not text.strip() or text.startswith(".") or re.search(r"[/\\\x00-\x1f]", text):
        raise InputError(
            f"{text!r} is not a plain file name", "a name without folders, as in 'bark.jpg'"
        )
    return text


def _thickness(text: str) -> str:
    if text in _SPREAD:
        return text
    try:
        units.parse("length", text)
    except InputError as error:
        words = "thin, usual, thick, or a length such as '45 mm'"
        raise InputError(error.came, words) from error
    return text


def _date(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return dt.date.fromisoformat(value.strip())
    except ValueError:
        raise InputError(f"{value!r} is not a date", "year-month-day, as in 2026-09-26") from None


def _real(value: Any) -> Any:
    return float(value) if type(value) is int else value


Temperature = _quantity("temperature")
Mass = _quantity("mass", zero=False)
MassOrNone = _quantity("mass")
Length = _quantity("length", zero=False)
Duration = _quantity("duration")
Elevation = _quantity("elevation")
Volume = _quantity("volume", zero=False)
Fraction = _quantity("fraction")
#: Which spoons and cups a kitchen has.
Spoons = Literal["us", "metric", "australian", "imperial"]
Clock = Annotated[str, BeforeValidator(_clock_as_text), AfterValidator(collected(_clock))]
#: How far the clock of the camera is off.
CameraClock = Annotated[str, AfterValidator(collected(_camera))]
Zone = Annotated[str, AfterValidator(collected(_zone))]
Letter = Annotated[
    str, AfterValidator(collected(_letter)), Field(json_schema_extra={"pattern": "^[A-Z]$"})
]
FileName = Annotated[str, AfterValidator(collected(_file_name))]
Thickness = Annotated[str, AfterValidator(collected(_thickness))]
Date = Annotated[dt.date, BeforeValidator(collected(_date))]
#: A whole number in the file is a number too.
Real = Annotated[float, BeforeValidator(_real), Field(allow_inf_nan=False)]
Text = Annotated[str, Field(max_length=20_000)]
