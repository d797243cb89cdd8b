"""What a cookbook's files hold: one pydantic model a file or table.

Quantities are text with their unit, kept as typed and checked on reading
(``mass = "6 lb 8 oz"``). Times of day are the cook's wall clock: ``"16:00"`` on the
cook's date, or ``"2026-09-25 21:30"``. Unknown keys are kept (``extra="allow"``);
`stallwise.record.toml` asks about one that looks like a misspelt key.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import (
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    ModelWrapValidatorHandler,
    model_validator,
)
from pydantic_core import InitErrorDetails, ValidationError

from stallwise.record.fields import (
    Clock,
    Date,
    Duration,
    Elevation,
    FileName,
    Fraction,
    HoldPlace,
    Length,
    Letter,
    Mass,
    MassOrNone,
    NumberPlace,
    PitKind,
    Real,
    Temperature,
    Text,
    Thickness,
    Wind,
    WrapKind,
    Zone,
    refusal,
)

__all__ = [
    "SCHEMA",
    "Book",
    "Cook",
    "LogEntry",
    "MixUse",
    "Move",
    "Number",
    "Photo",
    "Piece",
    "Pit",
    "PitUse",
    "Weather",
    "crossings",
]

#: Version of every file format written by this release.
SCHEMA = 1


class _Table(BaseModel):
    # Built when first used: a command that opens no cook does not pay for its model.
    model_config = ConfigDict(extra="allow", strict=True, frozen=True, defer_build=True)


class Weather(_Table):
    """Weather of the day, as far as it was noted."""

    ambient: Temperature | None = None
    humidity: Fraction | None = None
    wind: Wind | None = None
    rain: bool | None = None


class PitUse(_Table):
    """One pit in one cook, and the temperatures it is meant to hold.

    `start` is held from the first piece on until `climb_from` (elapsed), then rises to
    `climb_to` over `climb_over`. `schedule` (pairs of elapsed time and temperature)
    replaces all four.
    """

    letter: Letter = "P"
    pit: FileName = "pit"
    start: Temperature | None = None
    climb_to: Temperature | None = None
    climb_from: Duration | None = None
    climb_over: Duration | None = None
    # TOML knows lists only, so the pairs may not be strict tuples.
    schedule: list[Annotated[tuple[Duration, Temperature], Field(strict=False)]] | None = None
    number_at: NumberPlace = "grate"
    kind: PitKind | None = None
    fuel: str | None = None
    water_pan: bool | None = None


class Move(_Table):
    """A piece goes to another pit: ``{to = "Q", at = "04:30"}``."""

    to: Letter
    at: Clock


class Piece(_Table):
    """One rack, butt, brisket or bird, or `count` alike ones cooked as one.

    The four weights of the trimming board are `mass_bought`, `mass` (as it goes on),
    `mass_saved` (trimmings kept) and `mass_bin`.
    """

    letter: Letter
    cut: str
    count: Annotated[int, Field(ge=1, le=200)] = 1
    mass: Mass | None = None
    mass_bought: Mass | None = None
    mass_saved: MassOrNone | None = None
    mass_bin: MassOrNone | None = None
    mass_cooked: Mass | None = None
    mass_edible: Mass | None = None
    thickness: Thickness = "usual"
    width: Length | None = None
    length: Length | None = None
    start_core: Temperature | None = None
    bone_in: bool | None = None
    opened: bool = False
    label_sodium: str | None = None
    pit: Letter | None = None
    moves: list[Move] = []
    place: str | None = None
    on: Clock | None = None
    wrap: WrapKind | None = None
    wrap_from: Duration | None = None
    wrap_to: Duration | None = None
    wrap_core: Temperature | None = None
    unwrap: Duration | None = None
    spritz_from: Duration | None = None
    spritz_every: Duration | None = None
    look_from: Duration | None = None
    look_every: Duration | None = None
    turn: Duration | None = None
    glaze_at: Duration | None = None
    glaze_coats: Annotated[int, Field(ge=1, le=6)] | None = None
    glaze_every: Duration | None = None
    finish: str | None = None
    rest: Duration | None = None
    hold: HoldPlace | None = None
    hold_at: Temperature | None = None
    serve_core: Temperature | None = None
    carve: Duration | None = None
    serve: Clock | None = None
    price: str | None = None
    note: Text | None = None


class MixUse(_Table):
    """A mix put on pieces in this cook: ``{mix = "plain-rub", on = ["A"]}``."""

    mix: FileName
    on: list[Letter] = []
    amount: str | None = None
    sticks: Annotated[Real, Field(ge=0, le=1)] | None = None
    note: Text | None = None


class Photo(_Table):
    """A picture in the cook's ``photos`` folder."""

    file: FileName
    caption: Text = ""
    lead: bool = False
    private: bool = False


class Number(_Table):
    """One number of the cook's own choice, with its name."""

    name: str
    value: Real
    out_of: Annotated[Real, Field(gt=0)] | None = None


class _File(_Table):
    schema_: Annotated[int, Field(alias="schema", ge=0)] = SCHEMA


class Cook(_File):
    """The plan and the facts of one cooking day (``cook.toml``)."""

    title: str
    date: Date
    template: str | None = None
    time_zone: Zone | None = None
    elevation: Elevation | None = None
    serve: Clock | None = None
    odds: Literal["coin flip", "usual", "guests coming", "cannot be late"] = "guests coming"
    guests: Annotated[int, Field(ge=0, le=100_000)] | None = None
    tags: list[str] = []
    teaches: bool = True
    private: list[str] = []
    sample: bool = False
    weather: Weather = Weather()
    pits: list[PitUse] = []
    pieces: Annotated[list[Piece], Field(min_length=1)]
    mixes: list[MixUse] = []
    photos: list[Photo] = []
    outcome: Text | None = None
    notes: Text | None = None
    tasting: Text | None = None
    number: Number | None = None
    next_time: Text | None = None
    carried: Text | None = None
    carried_from: str | None = None
    carried_done: bool = False

    @model_validator(mode="wrap")
    @classmethod
    def _letters_name_something(cls, data: Any, read: ModelWrapValidatorHandler[Cook]) -> Cook:
        cook = read(data)
        found = crossings(data) if isinstance(data, Mapping) else []
        if found:
            wrong = [
                InitErrorDetails(type=refusal(came, allowed), loc=at, input=None)
                for at, came, allowed in found
            ]
            raise ValidationError.from_exception_data("Cook", wrong)
        return cook


class Pit(_File):
    """A cooker, hold box or oven as a person wrote of it (``pits/<name>.toml``)."""

    name: str
    kind: PitKind = "offset"
    number_at: NumberPlace = "grate"
    start_minutes: Annotated[int, Field(ge=0, le=600)] | None = None
    note: Text | None = None


class Book(_File):
    """Settings of a cookbook (``cookbook.toml``)."""

    title: str
    author: str = ""
    units: Literal["us", "metric"] = "us"
    time_zone: Zone = "Etc/UTC"
    elevation: Elevation = "0 m"
    usual_guests: Annotated[int, Field(ge=0, le=100_000)] | None = None
    base_address: str | None = None
    measures: dict[str, str] = {}


class LogEntry(_File):
    """One line of ``log.jsonl`` as it stands in the file."""

    id: Annotated[str, Field(min_length=1, max_length=100)]
    at: AwareDatetime
    what: Annotated[str, Field(min_length=1, max_length=100)]
    piece: str = ""
    pit: str = ""
    text: Text = ""
    note: Text = ""
    about: bool = False
    data: dict[str, Any] = {}
    made: AwareDatetime
    corrects: str | None = None
    source: str = "command"


#: Where something is in a file: keys and, inside lists, positions.
Place = tuple[str | int, ...]


def crossings(cook: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """Letters that are used twice or that name nothing, in a cook as read.

    Parameters
    ----------
    cook : mapping
        Raw data; whatever has a wrong type is left to the models.

    Returns
    -------
    list of (place, what came, what is allowed)
    """
    pieces, pits = _tables(cook, "pieces"), _tables(cook, "pits")
    on = {str(piece.get("letter")) for _, piece in pieces}
    # PitUse.letter has a default, so that a cook with one pit need not name it.
    under = {str(pit.get("letter", "P")) for _, pit in pits}
    found = _twice([*pieces, *((at, {"letter": "P", **pit}) for at, pit in pits)])
    for at, piece in pieces:
        named = [((*at, "pit"), piece.get("pit"))]
        named += [
            ((*at, *move_at, "to"), move.get("to")) for move_at, move in _tables(piece, "moves")
        ]
        found += _unknown(named, f"piece {piece.get('letter')} names pit", "pits", under)
    for at, mix in _tables(cook, "mixes"):
        letters = mix.get("on")
        named = [((*at, "on"), letter) for letter in (letters if isinstance(letters, list) else [])]
        found += _unknown(named, f"mix {mix.get('mix')} is put on piece", "pieces", on)
    return found


def _tables(table: Mapping[str, Any], key: str) -> list[tuple[Place, Mapping[str, Any]]]:
    rows = table.get(key)
    if not isinstance(rows, Sequence):
        return []
    return [((key, at), row) for at, row in enumerate(rows) if isinstance(row, Mapping)]


def _twice(tables: list[tuple[Place, Mapping[str, Any]]]) -> list[tuple[Place, str, str]]:
    seen: set[Any] = set()
    found = []
    for at, table in tables:
        letter = table.get("letter")
        if isinstance(letter, str) and letter in seen:
            said = f"letter {letter!r} is used twice"
            found.append(((*at, "letter"), said, "each piece and each pit has a letter of its own"))
        if isinstance(letter, str):
            seen.add(letter)
    return found


def _unknown(
    named: list[tuple[Place, Any]], words: str, kind: str, letters: set[str]
) -> list[tuple[Place, str, str]]:
    there = ", ".join(sorted(letters)) or "none"
    return [
        (at, f"{words} {letter!r}", f"{kind} of this cook: {there}")
        for at, letter in named
        if isinstance(letter, str) and letter not in letters
    ]
