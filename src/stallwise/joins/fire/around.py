"""What happens round the meat: lids opened, water and glaze put on, damp air, skin that wants heat."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.ranges import Range
from stallwise.joins import timing
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.sheet.visits import Glazing
from stallwise.models.combustion import wet_basis
from stallwise.models.fire import FIRE_KINDS
from stallwise.models.pithumidity import humidity_factor
from stallwise.models.plan import PitCurve, Spritz
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook, Piece
from stallwise.tables.catalogue import Cut
from stallwise.tables.humid_air import humidity_ratio, hyland_wexler_pa
from stallwise.tables.parameters import parameter, parameters

__all__ = [
    "ambient_c",
    "damp_factor",
    "glazes",
    "moisture",
    "openings_s",
    "outside_factor",
    "skin_warning",
    "still_to_coat",
    "wet_visits",
]

#: Log words that open the lid and put nothing on, and those that put something on.
_OPENED = frozenset({"lid_open", "turned", "looked", "moved"})
_WET = frozenset({"spritz", "glazed"})
#: A lid that stays open longer has cooled the air as far as it goes.
_MOST_OPENINGS = 10
_OVERDUE_S = 1800.0
_AMBIENT = Range("air outside", -50.0, 60.0, "°C", "a day on which people cook")
_LOAD_KG, _LOADED = 10.0, 2
#: 325 °F in the table is a rounded 162.8 °C.
_ROUNDING_K = 0.1
_MOIST = "fuel.moisture."
_PER_CENT = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*(?:%|per cent|percent)")
#: Wood off the saw holds no more water than this, over wood as it is.
_WETTEST = 0.55


def ambient_c(cook: Cook) -> float | None:
    """Air outside [°C], as noted."""
    text = cook.weather.ambient
    if not text:
        return None
    found = units.parse("temperature", text, key="ambient")
    _AMBIENT.require(found, "Look at the unit of ambient")
    return found


def glazes(record: CookRecord, cook: Cook, piece: Piece) -> bool:
    """Whether a glaze is planned on this piece."""
    for use in cook.mixes:
        own = record.mixes.get(use.mix, {})
        is_glaze = own.get("kind") == "glaze" or "glaze" in use.mix
        if is_glaze and (not use.on or piece.letter in use.on):
            return True
    return False


def wet_visits(
    planned: Sequence[Spritz],
    lines: Sequence[LogLine],
    piece: Piece,
    entry: Cut,
    *,
    on_at: dt.datetime,
    as_of_s: float | None,
    glaze: Glazing,
) -> tuple[Spritz, ...]:
    """Spritzes and coats: as logged until now, as planned from now on.

    Parameters
    ----------
    planned : sequence of Spritz
        Spritz visits of the plan.
    lines : sequence of LogLine
        What was logged until now.
    piece, entry : Piece, Cut
        The piece and its cut.
    on_at : datetime
        When it went on.
    as_of_s : float or None
        Now [s since meat on]; None before it is on.
    glaze : Glazing
        Coats as they are still expected; of `still_to_coat`.
    """
    coat = parameter("surface.glaze_water").value
    visits = [*planned, *(Spritz(time, coat, sticks=True) for time in glaze.coats_s)]
    if as_of_s is not None:
        water = {"spritz": entry.spritz.water_kg_m2, "glazed": coat}
        visits = [visit for visit in visits if visit.time_s > as_of_s]
        visits += [
            Spritz((line.at - on_at).total_seconds(), water[line.what], line.what == "glazed")
            for line in lines
            if line.what in water and timing.concerns(line, piece) and line.at >= on_at
        ]
    return tuple(sorted(visits, key=lambda visit: visit.time_s))


def still_to_coat(
    glaze: Glazing, lines: Sequence[LogLine], piece: Piece, on_at: dt.datetime, as_of_s: float
) -> Glazing:
    """Coats of a plan with those that were logged in their place, the rest after the last one.

    A coat that is overdue is expected now; after half an hour it is taken as put on when planned.

    Parameters
    ----------
    glaze : Glazing
        As planned.
    lines, piece, on_at : sequence of LogLine, Piece, datetime
        What was logged, of which piece, and when that went on.
    as_of_s : float
        Now [s since meat on].
    """
    done = [
        (line.at - on_at).total_seconds()
        for line in lines
        if line.what == "glazed" and timing.concerns(line, piece) and line.at >= on_at
    ]
    left = glaze.coats_s[len(done) :]
    if left:
        due_s = max(left[0], done[-1] + glaze.sets_s) if done else left[0]
        late_s = due_s - left[0]
        if 0.0 <= as_of_s - due_s < _OVERDUE_S:
            late_s += as_of_s - due_s + 1.0
        left = tuple(time + late_s for time in left)
    sets_s = glaze.sets_s or step_row("glaze").usual_s
    return Glazing((*done, *left), glaze.unwrap_s, sets_s)


def openings_s(
    planned_s: Sequence[float],
    lines: Sequence[LogLine],
    cook: Cook,
    piece: Piece,
    *,
    on_at: dt.datetime,
    as_of_s: float | None,
) -> tuple[float, ...]:
    """Gather openings of the lid that put nothing on [s since meat on]: logged ones, planned ones to come.

    A lid is shared: what is done to another piece on the same pit opens it too. A lid left open for
    minutes is opened again every ``pit.opening.open_for``. Readings show openings of their own.

    Parameters
    ----------
    planned_s : sequence of float
        Looks and turns of the plan [s].
    lines : sequence of LogLine
        What was logged until now.
    cook, piece : Cook, Piece
        The cook, and the piece that is forecast.
    on_at : datetime
        When it went on.
    as_of_s : float or None
        Now [s since meat on]; None before it is on.
    """
    found = [time for time in planned_s if as_of_s is None or time > as_of_s]
    for line in lines:
        own = timing.concerns(line, piece)
        opens = line.what in (_OPENED if own else _OPENED | _WET)
        if line.at < on_at or not opens or not (own or _beside(line, cook, piece)):
            continue
        at_s = (line.at - on_at).total_seconds()
        found += [at_s + open_s for open_s in _left_open(line)]
    return tuple(sorted(set(found)))


def _beside(line: LogLine, cook: Cook, piece: Piece) -> bool:
    """Whether a line is about another piece on the pit that this one never leaves."""
    usual = cook.pits[0].letter if cook.pits else "P"
    other = next((each for each in cook.pieces if each.letter == line.piece), None)
    if other is None or other.moves or piece.moves:
        return False
    return (other.pit or usual) == (piece.pit or usual)


def _left_open(line: LogLine) -> tuple[float, ...]:
    each_s = parameter("pit.opening.open_for").value
    long = float(line.data.get("duration_s", each_s) or each_s)
    times = min(max(round(long / each_s), 1), _MOST_OPENINGS)
    return tuple(number * each_s for number in range(times))


def outside_factor(cook: Cook, pit: PitState, pressure_pa: float) -> float:
    """Factor on the humidity of a pit for the humidity outside, where that is known.

    Parameters
    ----------
    cook : Cook
        The cook.
    pit : PitState
        The pit.
    pressure_pa : float
        Air pressure [Pa].
    """
    if not cook.weather.humidity or pit.kind not in FIRE_KINDS:
        return 1.0  # an oven stands indoors
    share = units.parse("fraction", cook.weather.humidity, key="humidity")
    outside_c = ambient_c(cook)
    if outside_c is None:
        outside_c = parameter("pit.opening.ambient").value
    # In frost too: what a weather report calls humidity is that over water, not ice.
    ratio = float(humidity_ratio(share * hyland_wexler_pa(outside_c), pressure_pa))
    usual = parameter(f"pit.humidity.{pit.kind.replace(' ', '-')}").value
    return 1.0 + (ratio - parameter("pit.air.outside").value) / usual


def damp_factor(cook: Cook, pits: Mapping[str, PitState], pit: PitState, meat_kg: float) -> float:
    """Factor on the humidity of a pit for its pan, its wood and all the meat on it.

    A load counts in steps of ten kilograms: a piece more or less in a backyard pit is not seen in its
    air, and must not move the others' forecasts.
    """
    use = next((use for use in cook.pits if use.letter == pit.letter), None)
    if use is None:
        return 1.0
    warmest = max(temp for _, temp in pits[pit.letter].points)
    loads = round(meat_kg / _LOAD_KG)
    return humidity_factor(
        pit.kind,
        warmest,
        moisture=moisture(use.fuel),
        water_pan=use.water_pan,
        meat_kg=loads * _LOAD_KG if loads >= _LOADED else None,
    )


def moisture(fuel: str | None) -> float | None:
    """Water over wood as it is, by what a cook says of it; None where nothing is said.

    A figure counts before a word: ``oak, 22 %`` is what a meter reads, which is water over dry wood;
    ``18 % wet basis`` is water over wood as it is.

    Raises
    ------
    InputError
        A figure that no wood has.
    """
    said = (fuel or "").casefold().replace("-", " ")
    figure = _PER_CENT.search(said)
    if figure:
        share = float(figure[1].replace(",", ".")) / 100.0
        wet = share if "wet" in said[figure.end() :] else float(wet_basis(share))
        if not 0.0 <= wet <= _WETTEST:
            raise InputError(
                f"fuel {fuel!r}: {figure[0]} of water", "what a meter reads, 0 to 120 %",
                "Say 'seasoned', 'green', or '18 % wet basis'",
            )  # fmt: skip
        return wet
    for key, row in parameters().items():
        if key.startswith(_MOIST) and key.removeprefix(_MOIST).replace("-", " ") in said:
            return row.value
    return None


def skin_warning(piece: Piece, finish: str, pit: PitCurve, system: str) -> tuple[CookWarning, ...]:
    """Say when skin is to be crisp in a pit that leaves it soft."""
    if "crisp" not in finish:
        return ()
    hottest = max(pit.temperature_c)
    needs, rubbery = parameter("skin.crisp").value, parameter("skin.rubbery").value
    if hottest >= needs - _ROUNDING_K:
        return ()
    how = "rubbery" if hottest < rubbery else "chewy"
    text = (
        f"Skin is to be crisp, and at {units.format_temperature(hottest, system)} it stays {how}: "
        f"it bites through at {units.format_temperature(needs, system)} and up. Bring the pit there "
        "for the last half hour, or take skin soft as the finish."
    )
    return (CookWarning("skin-soft", text, piece.letter),)
