"""What a cookbook's files hold: one pydantic model a file or table.

Quantities are text with their unit, kept as typed and checked on reading
(``mass = "6 lb 8 oz"``). Times of day are the cook's wall clock: ``"16:00"`` on the
cook's date, or ``"2026-09-25 21:30"``. Unknown keys are kept (``extra="allow"``);
`stallwise.record.toml` asks about one that looks like a misspelt key.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AwareDatetime, Field

from stallwise.record.catering import Quote
from stallwise.record.extra import Extra, Price
from stallwise.record.fields import (
    CameraClock,
    Clock,
    Date,
    Duration,
    Edition,
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
    Spoons,
    Temperature,
    Text,
    Thickness,
    Wind,
    Worked,
    WrapKind,
    Zone,
)
from stallwise.record.handins import Contest, handin_faults
from stallwise.record.jobs import Job, job_faults
from stallwise.record.lesson import Lesson, lesson_faults
from stallwise.record.letters import Place, letter_faults
from stallwise.record.number import Number
from stallwise.record.places import place_faults
from stallwise.record.table import SCHEMA, Crossed, File, Table

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
    "PitPlace",
    "PitUse",
    "Rules",
    "Shelf",
    "Weather",
]

#: How many guests there are, of one kind or in all.
Heads = Annotated[int, Field(ge=0, le=100_000)]


class Weather(Table):
    """Weather of the day, as far as it was noted."""

    ambient: Temperature | None = None
    humidity: Fraction | None = None
    wind: Wind | None = None
    rain: bool | None = None


class PitUse(Table):
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
    number_by: str | None = None
    kind: PitKind | None = None
    fuel: str | None = None
    water_pan: bool | None = None


class Move(Table):
    """A piece goes to another pit, or place in one: ``{to = "Q", at = "04:30"}``."""

    to: Letter
    at: Clock
    place: str | None = None


class Piece(Table):
    """One rack, butt, brisket or bird, or `count` alike ones cooked as one.

    `worked` says what was done to it before: ``["intact"]``, or injected, tenderised, boned and
    rolled, ground, stuffed. The four weights of the trimming board are `mass_bought`, `mass` (as it goes on),
    `mass_saved` (trimmings kept) and `mass_bin`; `mass_edible` is what there was to eat of all of them,
    and `mass_left` what came back of it.
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
    mass_left: MassOrNone | None = None
    thickness: Thickness = "usual"
    width: Length | None = None
    length: Length | None = None
    start_core: Temperature | None = None
    bone_in: bool | None = None
    opened: bool = False
    frozen: bool = False
    thaw: Literal["fridge", "cold water"] = "fridge"
    thaw_from: Clock | None = None
    label_sodium: str | None = None
    worked: list[Worked] | None = None
    pit: Letter | None = None
    moves: list[Move] = []
    place: str | None = None
    pit_least: Temperature | None = None
    pit_most: Temperature | None = None
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
    reheat: Duration | None = None
    hold: HoldPlace | None = None
    hold_in: Letter | None = None
    pans: Annotated[int, Field(ge=1, le=200)] | None = None
    hold_at: Temperature | None = None
    serve_core: Temperature | None = None
    carve: Duration | None = None
    serve: Clock | None = None
    price: str | None = None
    pack_date: Date | None = None
    label_solution: Fraction | None = None
    note: Text | None = None


class MixUse(Table):
    """A mix put on pieces in this cook: ``{mix = "plain-rub", on = ["A"]}``.

    `from` names trimmings that it is made of: a piece (``"A"``), or one of an earlier cook from the
    freezer (``"2026-05-16-spring-ribs/A"``), all of them or as much as `take` says. `pan` is the inner width of the pan it is reduced in.
    """

    mix: FileName
    on: list[Letter] = []
    amount: str | None = None
    sticks: Annotated[Real, Field(ge=0, le=1)] | None = None
    touched_raw: bool | None = None
    from_: Annotated[str | None, Field(alias="from")] = None
    take: Mass | None = None
    pan: Length | None = None
    note: Text | None = None


class Rules(Table):
    """Which rules of time and temperature are shown beside the consumer ones; none by default.

    `food_code` is the edition that `jurisdiction` has adopted; both are needed. `plant_tables`
    shows what is written for inspected plants, `four_hours` a rule that has no source.
    """

    food_code: Edition | None = None
    jurisdiction: Text | None = None
    plant_tables: bool = False
    four_hours: bool = False


class Photo(Table):
    """A picture in the cook's ``photos`` folder."""

    file: FileName
    caption: Text = ""
    lead: bool = False
    private: bool = False


class Cook(Crossed):
    """The plan and the facts of one cooking day (``cook.toml``)."""

    @staticmethod
    def faults_of(data: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
        """List letters that come twice or name nothing, and jobs that cannot be done in any order."""
        return [*letter_faults(data), *job_faults(data), *lesson_faults(data), *handin_faults(data)]

    title: str
    date: Date
    template: str | None = None
    time_zone: Zone | None = None
    elevation: Elevation | None = None
    serve: Clock | None = None
    odds: Literal["coin flip", "usual", "guests coming", "cannot be late"] = "guests coming"
    guests: Heads | None = None
    children: Heads = 0
    hungry: Heads = 0
    light: Heads = 0
    no_meat: Heads = 0
    salt_target: Fraction | None = None
    tags: list[str] = []
    teaches: bool = True
    private: list[str] = []
    public: list[str] = []
    sample: bool = False
    weather: Weather = Weather()
    rules: Rules | None = None
    pits: list[PitUse] = []
    pieces: Annotated[list[Piece], Field(min_length=1)]
    mixes: list[MixUse] = []
    extras: list[Extra] = []
    jobs: list[Job] = []
    quote: Quote | None = None
    lesson: Lesson | None = None
    contest: Contest | None = None
    asleep: Clock | None = None
    awake: Clock | None = None
    people: Annotated[int, Field(ge=1, le=200)] | None = None
    roles: list[Annotated[str, Field(min_length=1, max_length=40)]] = []
    places: dict[str, Annotated[int, Field(ge=1, le=200)]] = {}
    carry: Duration | None = None
    photos: list[Photo] = []
    camera: CameraClock | None = None
    outcome: Text | None = None
    notes: Text | None = None
    tasting: Text | None = None
    number: Number | None = None
    next_time: Text | None = None
    carried: Text | None = None
    carried_from: str | None = None
    carried_done: bool = False


class PitPlace(Table):
    """One place in a pit and what a test found there: a temperature, or how dark bread was toasted."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    temperature: Temperature | None = None
    toast: Annotated[int, Field(ge=1, le=5)] | None = None


class Shelf(Table):
    """A grate of a pit, or a rack of a box, from the top down: how wide and deep, how many racks hang there."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    width: Length
    depth: Length
    takes: Annotated[int, Field(ge=1, le=1000)] | None = None


class Pit(Crossed):
    """A cooker, hold box or oven as a person wrote of it (``pits/<name>.toml``).

    `number_by` is the place on the grate whose number the pit's number is. `places` were tested at
    one time; `tested_at` is what the pit's number said meanwhile.
    """

    @staticmethod
    def faults_of(data: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
        """List what does not fit together in its places."""
        return place_faults(data)

    name: str
    kind: PitKind = "offset"
    number_at: NumberPlace = "grate"
    number_by: str | None = None
    places: Annotated[list[PitPlace], Field(max_length=40)] = []
    tested_at: Temperature | None = None
    start_minutes: Annotated[int, Field(ge=0, le=600)] | None = None
    shelves: Annotated[list[Shelf], Field(max_length=40)] = []
    pans: Annotated[int, Field(ge=1, le=1000)] | None = None
    note: Text | None = None


class Book(File):
    """Settings of a cookbook (``cookbook.toml``)."""

    title: str
    author: str = ""
    units: Literal["us", "metric"] = "us"
    time_zone: Zone = "Etc/UTC"
    elevation: Elevation = "0 m"
    usual_guests: Heads | None = None
    base_address: str | None = None
    measures: dict[str, str] = {}
    rules: Rules = Rules()
    spoons: Spoons | None = None
    salt_limit: Fraction | None = None
    at_hand: dict[str, str] = {}
    prices: dict[str, Price] = {}


class LogEntry(File):
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
