"""The plan of one piece as the models see it: seconds since this piece's meat on, no clock times."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.ground.ranges import Range
from stallwise.models.pit import (
    NUMBER_PLACES,
    PIT_KINDS,
    PIT_RANGE,
    OtherNumber,
    PitChange,
    PitCurve,
    PitPlace,
    choose,
)
from stallwise.tables.cut import Target
from stallwise.tables.humid_air import STANDARD_PRESSURE_PA
from stallwise.tables.properties import Composition

__all__ = [
    "HOLDS",
    "WRAPS",
    "Body",
    "Facts",
    "Hold",
    "Knowledge",
    "Learned",
    "OtherNumber",
    "PiecePlan",
    "PitChange",
    "PitCurve",
    "PitPlace",
    "ProbeTrace",
    "Spritz",
    "Target",
    "Wrap",
]

WRAPS = ("none", "foil", "paper", "boat", "pan")
HOLDS = ("counter", "box", "oven")

_CORE = Range("core temperature at the start", -1.0, 60.0, "°C", "thawed, uncooked meat")
_MASS = Range("mass", 0.05, 60.0, "kg", "one piece")
_SIZE = Range("half size", 0.002, 1.0, "m", "one piece")
_PRESSURE = Range("air pressure", 50_000.0, 110_000.0, "Pa", "places where people cook")
_HUMIDITY = Range("humidity ratio", 0.0, 0.4, "kg/kg", "air in a pit")
_FACTOR = Range("factor on humidity", 0.1, 20.0, "-", "pits with a fire")
_WATER = Range("sprayed water", 0.0, 2.0, "kg/m2", "one spritz")


@dataclass(frozen=True)
class Wrap:
    """When a piece is wrapped, and in what.

    One of: never (kind ``"none"``); at a moment (`at_s`); somewhere in a window (`earliest_s` to
    `latest_s`, each possible day draws its own moment, the middle most likely); when the core
    passes `core_c`, within the window if there is one.

    Attributes
    ----------
    kind : {"none", "foil", "paper", "boat", "pan"}
        What it is wrapped in; boat is foil open above, pan a covered pan.
    earliest_s, latest_s, at_s : float or None
        Times [s].
    core_c : float or None
        Core temperature that triggers [°C].
    unwrap_s : float or None
        Time at which it is opened again [s since meat on].
    """

    kind: str = "none"
    earliest_s: float | None = None
    latest_s: float | None = None
    at_s: float | None = None
    core_c: float | None = None
    unwrap_s: float | None = None

    def __post_init__(self) -> None:
        choose("wrap", self.kind, WRAPS)
        window = (self.earliest_s, self.latest_s)
        if self.earliest_s is not None and self.latest_s is not None:
            gap = self.latest_s - self.earliest_s
            if gap < 0.0:
                raise InputError(
                    f"a wrap between {self.earliest_s:g} and {self.latest_s:g} s", "earliest first"
                )
        if self.at_s is not None and self.core_c is not None:
            raise InputError("a wrap at a moment and at a core temperature", "one of the two")
        if self.kind != "none" and self.at_s is None and self.core_c is None and None in window:
            raise InputError("a wrap without a time", "a moment, a window, or a core temperature")


@dataclass(frozen=True)
class Body:
    """The piece of meat: what it weighs as it goes on, its half sizes, what it is made of.

    Attributes
    ----------
    mass_kg : float
        Mass of one piece as it goes on [kg].
    half_thickness_m, half_width_m, half_length_m : float
        Half of the three sizes [m].
    composition : Composition
        Water, protein, fat, ash.
    surface : str
        Kind of surface, as in the keys ``surface.<kind>.…`` of the parameters.
    tissue : str
        Kind of tissue, as in the keys ``tissue.<kind>.…`` of the parameters.
    measured : bool
        The thickness comes from a ruler, not from the mass.
    """

    mass_kg: float
    half_thickness_m: float
    half_width_m: float
    half_length_m: float
    composition: Composition
    surface: str
    tissue: str
    measured: bool = False

    def __post_init__(self) -> None:
        _MASS.require(self.mass_kg)
        for size in (self.half_thickness_m, self.half_width_m, self.half_length_m):
            _SIZE.require(size)


@dataclass(frozen=True)
class Spritz:
    """Water put on at `time_s` [s]: `water_kg_m2` [kg/m2]; of a coat of glaze (`sticks`) none runs off."""

    time_s: float
    water_kg_m2: float
    sticks: bool = False

    def __post_init__(self) -> None:
        _WATER.require(self.water_kg_m2)


@dataclass(frozen=True)
class Hold:
    """Where the piece rests after its finish: on the counter, in a closed box, in an oven.

    `name` is the box or the oven under which is learned how it keeps heat; empty for none of its own.
    """

    place: str = "counter"
    temperature_c: float = 20.0
    name: str = ""

    def __post_init__(self) -> None:
        choose("place to rest", self.place, HOLDS)
        PIT_RANGE.require(self.temperature_c)


@dataclass(frozen=True)
class ProbeTrace:
    """Readings of one probe meant for the core of a piece.

    Parameters
    ----------
    time_s : tuple of float
        Moments [s since meat on], rising.
    core_c : tuple of float
        What it read [°C]; what is missing is left out.
    by_hand : bool
        Poked in now and then instead of left in.

    Raises
    ------
    InputError
        If the numbers of times and readings differ, or time runs backwards.
    """

    time_s: tuple[float, ...]
    core_c: tuple[float, ...]
    by_hand: bool = False

    def __post_init__(self) -> None:
        if len(self.time_s) != len(self.core_c):
            raise InputError(
                f"{len(self.time_s)} times and {len(self.core_c)} readings", "as many of each"
            )
        if any(b < a for a, b in pairwise(self.time_s)):
            raise InputError("readings that run backwards", "rising times")


@dataclass(frozen=True)
class Facts:
    """What has been seen of a piece until an instant.

    Attributes
    ----------
    as_of_s : float
        The instant [s since meat on]; what comes later is forecast.
    pit : PitCurve or None
        Pit as it was read.
    wrapped_s, unwrapped_s : float or None
        When it was wrapped and opened.
    wrap_kind : str or None
        In what, where it differs from the plan.
    not_tender_s : float or None
        Latest feel check that said "not yet".
    tender_s : float or None
        Feel check that said "tender".
    probes : tuple of ProbeTrace
        What its probes have read.
    others : tuple of OtherNumber
        What numbers of the pit have told that were read besides the one in `pit`.
    """

    as_of_s: float
    pit: PitCurve | None = None
    wrapped_s: float | None = None
    unwrapped_s: float | None = None
    wrap_kind: str | None = None
    not_tender_s: float | None = None
    tender_s: float | None = None
    probes: tuple[ProbeTrace, ...] = ()
    others: tuple[OtherNumber, ...] = ()

    @property
    def was_wrapped(self) -> bool:
        """Whether it was ever wrapped, or opened, which says the same."""
        return self.wrapped_s is not None or self.unwrapped_s is not None

    def __post_init__(self) -> None:
        if self.wrap_kind is not None:
            choose("wrap", self.wrap_kind, WRAPS)
        if self.tender_s is not None and (self.not_tender_s or -math.inf) > self.tender_s:
            raise InputError(
                f"tender at {self.tender_s:g} s and not yet at {self.not_tender_s:g} s",
                "'not yet' before 'tender'",
                "Take out the feel check that does not hold",
            )


@dataclass(frozen=True)
class PiecePlan:
    """One piece, or `count` alike ones, with all that bears on its forecast.

    Attributes
    ----------
    key : str
        Letter of the piece; names its draws.
    cut : str
        Key of the cut; names what was learned of it.
    body : Body
        The meat.
    target : Target
        The wanted finish.
    pit : PitCurve
        Pit as planned, in this piece's seconds.
    pit_name, pit_kind, number_place : str
        The first pit, its kind and where its number is read.
    place : PitPlace or None
        Where it lies in the first pit; None where the number is read, or where nothing is said.
    pit_changes : tuple of PitChange
        Later pits, in order.
    count : int
        Alike pieces; the forecast is for one.
    start_core_c : float
        Core when the meat goes on [°C].
    wrap : Wrap
    spritz : tuple of Spritz
        Each opens the lid.
    openings_s : tuple of float
        Other times at which the lid is opened [s]: to look, to turn, to glaze.
    ambient_c : float or None
        Air outside [°C], for the depth of those dips; a held pit is as warm in any weather.
    rest_s : float
        Rest after the finish [s].
    hold : Hold
    pressure_pa : float
        Air pressure [Pa].
    humidity_ratio : float or None
        Water per dry air in the pit [kg/kg] where it is known.
    humidity_factor : float
        On what is drawn for the first pit where it is not: its pan, its wood, its load [-].
    facts : Facts or None
        What was logged; None before the cook.
    """

    key: str
    cut: str
    body: Body
    target: Target
    pit: PitCurve
    pit_name: str = "pit"
    pit_kind: str = "offset"
    number_place: str = "grate"
    place: PitPlace | None = None
    pit_changes: tuple[PitChange, ...] = ()
    count: int = 1
    start_core_c: float = 4.0
    wrap: Wrap = field(default_factory=Wrap)
    spritz: tuple[Spritz, ...] = ()
    openings_s: tuple[float, ...] = ()
    ambient_c: float | None = None
    rest_s: float = 0.0
    hold: Hold = field(default_factory=Hold)
    pressure_pa: float = STANDARD_PRESSURE_PA
    humidity_ratio: float | None = None
    humidity_factor: float = 1.0
    facts: Facts | None = None

    def __post_init__(self) -> None:
        choose("kind of pit", self.pit_kind, PIT_KINDS)
        choose("place of a pit number", self.number_place, NUMBER_PLACES)
        _CORE.require(self.start_core_c, "Thaw the piece first: frozen meat heats by other rules")
        _PRESSURE.require(self.pressure_pa)
        if self.humidity_ratio is not None:
            _HUMIDITY.require(self.humidity_ratio)
        _FACTOR.require(self.humidity_factor)
        if any(b.time_s < a.time_s for a, b in pairwise(self.pit_changes)):
            raise InputError("moves between pits that run backwards", "rising times")
        if self.rest_s < 0.0:
            raise OutOfRangeError(f"a rest of {self.rest_s:g} s", "0 or more")

    @property
    def stays(self) -> tuple[PitChange, ...]:
        """Stays in its pits, the first from meat on."""
        first = PitChange(0.0, self.pit_name, self.pit_kind, self.number_place, self.place)
        return (first, *self.pit_changes)

    def pit_owners(self, until_s: float = math.inf) -> frozenset[str]:
        """Name pits and places whose draws bear on it, of its stays until a moment [s]."""
        stays = [stay for stay in self.stays if stay.time_s <= max(until_s, 0.0)]
        places = {stay.place_owner for stay in stays if stay.place}
        return frozenset(stay.pit_name for stay in stays) | places


@dataclass(frozen=True)
class Learned:
    """What cooks have taught about one parameter: its middle and spread, as in the table."""

    value: float
    spread: float


@dataclass(frozen=True)
class Knowledge:
    """What is known of pits and cuts beyond the table of parameters; empty means nothing.

    Attributes
    ----------
    id : str
        Names this state of knowledge in kept forecasts.
    pits, cuts : mapping of name to (mapping of parameter key to Learned)
        Replaces the table's middle and spread for that pit or cut.
    widening : float
        Factor by which windows are drawn out, learned from past misses: `conformal.widen`; 1 for
        none. It is no part of a piece's possible days, and `id` does not name it.
    widening_cooks : int
        How many cooks stand behind it.
    """

    id: str = "table"
    pits: Mapping[str, Mapping[str, Learned]] = field(default_factory=dict)
    cuts: Mapping[str, Mapping[str, Learned]] = field(default_factory=dict)
    widening: float = 1.0
    widening_cooks: int = 0
