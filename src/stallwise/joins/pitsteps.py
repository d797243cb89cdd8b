"""Steps of a pit: lit, steady, brought to another temperature."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import pairwise

from stallwise.ground import units as quantities
from stallwise.joins.chances import SheetPiece
from stallwise.joins.pitplan import PitState
from stallwise.joins.result import Step
from stallwise.joins.stepdraft import SheetDay, after, make_step, moves_of, pit_of, tender_of, utc
from stallwise.joins.steptable import step_row
from stallwise.models.walls import weather_factor
from stallwise.record.schema import Weather
from stallwise.tables.parameters import parameter

__all__ = ["SWITCHED_ON", "pit_steps", "wood_factor"]

#: Wood is laid out for a pit that burns it.
_WOOD = frozenset({"offset", "closed", "water pan"})
#: Pits that are not lit.
SWITCHED_ON = frozenset({"oven", "box"})


def pit_steps(pieces: Sequence[SheetPiece], day: SheetDay) -> Iterator[Step]:
    """Lay out the steps of every pit that something goes into."""
    for letter, pit in day.pits.items():
        arrivals = [utc(p.on_at) for p in pieces if pit_of(p, day) == letter]
        arrivals += [at for p in pieces for to, at in moves_of(p, day) if to == letter]
        if not arrivals:
            continue
        first = min(arrivals)
        yield from _lit(letter, pit, first, pieces, day)
        for number, (at, was_c, wanted_c) in enumerate(_climbs(pit, day), start=1):
            word = "up" if wanted_c > was_c else "down"
            wanted = quantities.format_temperature(wanted_c, day.units)
            row = step_row("climb")
            yield make_step(
                "climb",
                f"{letter}{number}" if number > 1 else letter,
                at,
                (at, after(at, row.high_s)),
                pit=letter,
                what=f"Bring the pit {word} to {wanted}",
                until=f"the pit holds {wanted}",
            )


def _lit(
    letter: str, pit: PitState, first: dt.datetime, pieces: Sequence[SheetPiece], day: SheetDay
) -> Iterator[Step]:
    switched_on = pit.kind in SWITCHED_ON
    row, steady = step_row("switch_on" if switched_on else "fire_lit"), step_row("pit_steady")
    start_s = day.start_s[letter]
    at = after(first, -start_s)
    # A pit that is known by its own start-up keeps the table's shape round it.
    early, late = (after(first, -start_s * span / row.usual_s) for span in (row.high_s, row.low_s))
    temp_c = pit.points[0][1] if pit.points else None
    heat = "" if temp_c is None else quantities.format_temperature(temp_c, day.units)
    yield make_step(
        row.key,
        letter,
        at,
        (early, late),
        pit=letter,
        until=f"it holds {heat}" if switched_on and heat else "",
        detail="" if switched_on else _wood(letter, pit, at, pieces, day),
    )
    if not switched_on:
        ready = after(first, -min(steady.usual_s, start_s))
        yield make_step(
            "pit_steady",
            letter,
            ready,
            (after(at, row.low_s * start_s / row.usual_s), first),
            pit=letter,
            what=f"Pit steady at {heat}" if heat else "",
        )


def _wood(
    letter: str, pit: PitState, lit: dt.datetime, pieces: Sequence[SheetPiece], day: SheetDay
) -> str:
    """How much wood to lay out: until the last piece is tender, nine days in ten."""
    if pit.kind not in _WOOD:
        return ""
    leaving = (_leaves(p, day) for p in pieces if pit_of(p, day) == letter)
    ends = [at for at in leaving if at is not None]
    if not ends:
        return ""
    row = step_row("wood")
    hours = max((max(ends) - lit).total_seconds() / 3600.0, 0.0)
    weather = wood_factor(pit, day.cook.weather)
    low_kg, high_kg = row.low_s * hours * weather, row.high_s * hours * weather
    if day.units == "us":
        pound = quantities.parse_mass_kg("1 lb")
        return f"{low_kg / pound:.0f} to {high_kg / pound:.0f} lb of split wood at hand"
    return f"{low_kg:.0f} to {high_kg:.0f} kg of split wood at hand"


def wood_factor(pit: PitState, weather: Weather) -> float:
    """Wood on a day with this weather over a calm one of 20 °C, the pit held alike.

    Parameters
    ----------
    pit : PitState
        The pit; its first temperature counts.
    weather : Weather
        As noted; 20 °C and calm where nothing is.
    """
    wall_share = parameter(f"pit.wall_share.{pit.kind.replace(' ', '-')}").value
    usual_c = parameter("wood.usual").value
    outside = weather.ambient
    outside_c = quantities.parse("temperature", outside, key="ambient") if outside else usual_c
    if pit.points[0][1] <= max(outside_c, usual_c):
        return 1.0  # no fire, or next to none
    wind_m_s = parameter(f"wind.{weather.wind}").value if weather.wind else 0.0
    return float(
        weather_factor(
            pit.points[0][1], outside_c, wind_m_s, wall_share=wall_share, usual_c=usual_c
        )
    )


def _leaves(piece: SheetPiece, day: SheetDay) -> dt.datetime | None:
    """When a piece leaves its first pit: moved, or late tender."""
    moved = min((at for _, at in moves_of(piece, day)), default=None)
    tender = tender_of(piece)
    return moved or (tender.high if tender else None)


def _climbs(pit: PitState, day: SheetDay) -> Iterator[tuple[dt.datetime, float, float]]:
    before_s = -1.0
    for (at_s, low_c), (to_s, high_c) in pairwise(pit.points):
        # The legs of one slow climb are one step.
        if at_s >= 0.0 and abs(high_c - low_c) > 1.0 and at_s > before_s:
            yield after(day.hour_zero, at_s), low_c, high_c
            before_s = to_s
