"""What an import has to ask before it writes: units, clocks and places that do not fit together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from itertools import combinations
from statistics import median

from stallwise.ground.units import celsius_of_fahrenheit, fahrenheit_of_celsius
from stallwise.record import cleaning
from stallwise.record.clocks import zone as zone_of
from stallwise.record.column import Column, series
from stallwise.record.frame import Answers, Frame
from stallwise.record.readings import Channel
from stallwise.record.sheet import bare

__all__ = [
    "DAYS_AFTER",
    "DAYS_BEFORE",
    "DRIFT_S",
    "HOTTEST_CORE_C",
    "SET_NEAR_K",
    "drift",
    "of_dates",
    "of_places",
    "of_settings",
    "of_units",
]

# What a cook sees of these is in data/record_limits.csv; a test compares.
#: Readings belong to a cook from so many days before its date to so many after it.
DAYS_BEFORE, DAYS_AFTER = 3, 7
#: Two clocks of one file may differ by this [s]; one in hours by more.
DRIFT_S, _DRIFT_HOURS_S = 90.0, 3700.0
#: How near [K] a pit's readings must lie to what it was set to, in one unit and not in the other.
SET_NEAR_K = 60.0
#: Meat over a fire gets no hotter [°C].
HOTTEST_CORE_C = 120.0


def of_units(columns: Sequence[Column], answers: Answers) -> list[str]:
    """Ask for units that nobody named, and where a header and the cook disagree."""
    asked = []
    open_ones = [column for column in columns if not column.unit]
    if open_ones:
        shown = ", ".join(f"{column.name!r} ({column.shown})" for column in open_ones[:6])
        verb, guess = (
            ("Is", open_ones[0].guess) if len(open_ones) == 1 else ("Are", open_ones[0].guess)
        )
        other = "C" if guess == "F" else "F"
        say = (
            f"All probes together look like °{guess}: say --unit {guess} if so, or else --unit {other}"
            if guess
            else "Say --unit C or --unit F"
        )
        asked.append(f"{verb} {shown} in C or F? {say}")
    named = [column for column in columns if column.own_unit]
    if answers.unit and len(named) == len(columns):
        asked += [
            f"{column.name!r} is in {column.own_unit} by the file and in {answers.unit} by --unit: "
            f"which is right? Leave --unit out, or say --column '{column.name}={_where(column)} {answers.unit}'"
            for column in named
            if column.own_unit != answers.unit and not column.place.unit
        ]
    pairs = [
        (one, other)
        for one, other in combinations(columns, 2)
        if {one.unit, other.unit} == {"C", "F"}
        and bare(one.name).casefold() == bare(other.name).casefold()
        and not (one.place.sure or other.place.sure)
    ]
    asked += [
        f"{one.name!r} ({one.shown}) and {other.name!r} ({other.shown}) do not agree: which is right? "
        f"Say --column '{other.name}=skip' or --column '{one.name}=skip'"
        for one, other in pairs
    ]
    return asked


def of_settings(columns: Sequence[Column], channels: Sequence[Channel], frame: Frame) -> list[str]:
    """Ask when a unit contradicts the pit's setting, or makes meat hotter than meat gets."""
    asked = []
    for column, channel in zip(columns, channels, strict=True):
        if not column.unit or column.place.unit or not channel.temperature_c:
            continue
        other = "C" if column.unit == "F" else "F"
        middle = median(channel.temperature_c)
        swapped = _swapped(middle, column.unit)
        set_c = frame.set_c.get(channel.pit)
        hottest = max(channel.temperature_c)
        if set_c and not _fits(middle, set_c) and _fits(swapped, set_c):
            said = f"{set_c[0]:.0f} °C ({fahrenheit_of_celsius(set_c[0]):.0f} °F)"
            why = f"the pit was set to {said} and this reads about {_own(middle, column.unit)}"
        elif channel.piece and column.unit == "C" and hottest > HOTTEST_CORE_C:
            why = f"meat does not get as hot as {_own(hottest, column.unit)}"
        else:
            continue
        asked.append(
            f"Is {column.name!r} in {column.unit}? It would be strange: {why}. "
            f"Say --column '{column.name}={_where(column)} {other}' if it is in {other}, "
            f"or --column '{column.name}={_where(column)} {column.unit}' if it is right"
        )
    return asked


def _swapped(celsius: float, unit: str) -> float:
    """Temperature [°C] if the number was meant in the other unit."""
    return fahrenheit_of_celsius(celsius) if unit == "F" else celsius_of_fahrenheit(celsius)


def _own(celsius: float, unit: str) -> str:
    value = fahrenheit_of_celsius(celsius) if unit == "F" else celsius
    return f"{value:.0f} °{unit}"


def _fits(value: float, set_c: tuple[float, float]) -> bool:
    return set_c[0] - SET_NEAR_K <= value <= set_c[1] + SET_NEAR_K


def _where(column: Column) -> str:
    return column.place.piece or column.place.pit or "pit"


def of_places(columns: Sequence[Column], channels: Sequence[Channel], frame: Frame) -> list[str]:
    """Ask what a column measures, where nothing says it or its readings belie it."""
    asked = []
    letters = ", ".join([*frame.pieces, *frame.pits])
    pits = [channel for channel in channels if channel.pit and channel.at]
    for column, channel in zip(columns, channels, strict=True):
        if not column.place.known:
            asked.append(
                f"What does {column.name!r} measure? Say --column "
                f"'{column.name}={(frame.pieces or ('A',))[0]}' (one of {letters}, or skip)"
            )
        elif column.place.piece and not column.place.sure and column.unit:
            same = next(
                (pit for pit in pits if cleaning.reads_the_pit(series(channel), series(pit))), None
            )
            if same:
                asked.append(
                    f"{column.name!r} goes with {same.name!r} all the time: was it in the meat? Say "
                    f"--column '{column.name}={column.place.piece}' if so, or "
                    f"--column '{column.name}=pit' or --column '{column.name}=skip'"
                )
    return [*asked, *of_settings(columns, channels, frame)]


def of_dates(at: Sequence[dt.datetime], frame: Frame, answers: Answers) -> list[str]:
    """Ask when readings lie days off the cook: a probe's clock that was wrong, or another cook."""
    if not at or answers.start is not None:
        return []
    where = zone_of(frame.home or frame.zone)
    first, last = (when.astimezone(where) for when in (at[len(at) // 50], at[-1 - len(at) // 50]))
    early = frame.day - first.date() > dt.timedelta(days=DAYS_BEFORE)
    late = last.date() - frame.day > dt.timedelta(days=DAYS_AFTER)
    if not (early or late):
        return []
    ask = (
        f"The readings are from {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}, the cook is of "
        f"{frame.day}: is it another cook's file, or was the probe's clock wrong? "
        "Say when the first reading was: --start 'YYYY-MM-DD HH:MM'"
    )
    return [ask]


def drift(
    one: Sequence[dt.datetime | None], other: Sequence[dt.datetime | None], *, coarse: bool
) -> float | None:
    """How far two clocks of a file come apart [s], or None when they agree but for an offset."""
    pairs = [(a, b) for a, b in zip(one, other, strict=True) if a is not None and b is not None]
    step = max(1, len(pairs) // 300)
    apart = [(a - b).total_seconds() for a, b in pairs[::step]]
    if len(apart) < 2:
        return None
    worst = max(apart) - min(apart)
    return worst if worst > (_DRIFT_HOURS_S if coarse else DRIFT_S) else None
