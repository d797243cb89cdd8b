"""What a Result holds of a fire: match to steady, fuel in the cook's own unit, visits, swing, smoke."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.joins.spread import Spread

__all__ = ["ColderNight", "FuelResult"]


@dataclass(frozen=True)
class ColderNight:
    """What a night colder by `by_k` [K] takes on top: fuel to the end [kg], time to steady [h]."""

    by_k: float
    more_kg: Spread
    start_more_h: Spread


@dataclass(frozen=True)
class FuelResult:
    """The fire of one pit.

    Attributes
    ----------
    pit, name, kind : str
        Its letter, what it is called, what it is.
    fuel : str
        ``wood`` or ``charcoal``, as a cook says it: ``oak``.
    dryness : str
        ``green``, ``half-seasoned``, ``seasoned`` or ``kiln dried``; empty where nothing is said.
    meter : float or None
        What a moisture meter would read of it, water over dry wood [-]; None for charcoal.
    unit : str
        What it is counted in: ``split``, ``chimney``, ``scoop``.
    unit_kg : float
        Mass of one [kg].
    unit_weighed : bool
        The cook weighed one.
    learned, start_learned : bool
        Fuel, and match to steady, rest on logged cooks.
    outside_c : float
        Air outside that is counted with [°C].
    start_h : Spread
        From match to steady on this day [h].
    warm_up_kg, cook_kg, all_kg : Spread
        Fuel until it is steady, from meat on to the end, and together [kg].
    rate_kg_h : Spread
        Fuel while it cooks [kg/h].
    interval_h : Spread
        From one visit with fuel to the next [h].
    each : float
        How many units go on at a visit.
    first_visit, last_visit : datetime or None
        With fuel, as planned; None where one filling lasts.
    visits : tuple of datetime
        All of them.
    swing_k, half_swing_k : Spread or None
        Swing of the pit between two splits, and with half as much twice as often [K]; None for what is
        filled in at once.
    buy_kg : float
        What to have at hand: enough on nine days in ten [kg].
    used_kg : float
        Put on so far, as logged [kg].
    burnt_kg : float or None
        That less what is left, where that was noted [kg].
    logged_rate_kg_h : float or None
        Fuel as it was fed, over the span of the log that tells it [kg/h].
    logged_interval_h : float or None
        Time from one feeding to the next in it [h].
    logged_pit_c : float or None
        What the pit held meanwhile [°C]: rates at other pits are no comparison.
    colder : ColderNight
        The same cook on a colder night.
    smoke : mapping of str to int
        How many looks saw ``white``, ``thin`` and ``none``.
    vents : str
        How they stand, in the cook's words as logged.
    vents_before, vents_date : str
        How they stood at about the same pit in the newest earlier cook, and its date; empty for never.
    source : str
        Key of the group of numbers.
    """

    pit: str
    name: str
    kind: str
    fuel: str
    dryness: str
    meter: float | None
    unit: str
    unit_kg: float
    unit_weighed: bool
    learned: bool
    start_learned: bool
    outside_c: float
    start_h: Spread
    warm_up_kg: Spread
    cook_kg: Spread
    all_kg: Spread
    rate_kg_h: Spread
    interval_h: Spread
    each: float
    first_visit: dt.datetime | None
    last_visit: dt.datetime | None
    visits: tuple[dt.datetime, ...]
    swing_k: Spread | None
    half_swing_k: Spread | None
    buy_kg: float
    used_kg: float
    burnt_kg: float | None
    logged_rate_kg_h: float | None
    logged_interval_h: float | None
    logged_pit_c: float | None
    colder: ColderNight
    smoke: Mapping[str, int]
    vents: str
    vents_before: str = ""
    vents_date: str = ""
    source: str = "fuel"

    def units(self, mass_kg: float) -> float:
        """So many of the cook's own unit."""
        return mass_kg / self.unit_kg
