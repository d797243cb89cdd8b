"""What happens round the meat: lids opened, water and glaze put on, damp air, skin that wants heat."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from stallwise.ground import units
from stallwise.ground.errors import CookWarning
from stallwise.joins import timing
from stallwise.joins.pitplan import PitState
from stallwise.joins.steptable import step_row
from stallwise.models.pithumidity import humidity_factor
from stallwise.models.plan import PitCurve, Spritz
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook, Piece
from stallwise.tables.catalogue import Cut
from stallwise.tables.parameters import parameter, parameters

__all__ = ["ambient_c", "damp_factor", "glazes", "openings_s", "skin_warning", "wet_visits"]

#: Log words that open the lid and put nothing on.
_OPENED = frozenset({"lid_open", "turned", "looked", "moved"})
_LOAD_KG, _LOADED = 10.0, 2
#: 325 °F in the table is a rounded 162.8 °C.
_ROUNDING_K = 0.1
_MOIST = "fuel.moisture."


def ambient_c(cook: Cook) -> float | None:
    """Air outside [°C], as noted."""
    text = cook.weather.ambient
    return units.parse("temperature", text, key="ambient") if text else None


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
    glaze_s: float | None,
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
    glaze_s : float or None
        When the first coat is planned [s since meat on].
    """
    coat = parameter("surface.glaze_water").value
    visits = list(planned)
    if glaze_s is not None:
        visits.append(Spritz(glaze_s, coat))
    if as_of_s is not None:
        water = {"spritz": entry.spritz.water_kg_m2, "glazed": coat}
        visits = [visit for visit in visits if visit.time_s > as_of_s]
        visits += [
            Spritz((line.at - on_at).total_seconds(), water[line.what])
            for line in lines
            if line.what in water and timing.concerns(line, piece) and line.at >= on_at
        ]
    return tuple(sorted(visits, key=lambda visit: visit.time_s))


def first_coat_s(unwrap_s: float | None) -> float | None:
    """Say when a glaze goes on [s since meat on]: once the opened piece has dried."""
    return None if unwrap_s is None else unwrap_s + step_row("unwrap").usual_s


def openings_s(lines: Sequence[LogLine], piece: Piece, on_at: dt.datetime) -> tuple[float, ...]:
    """Gather the openings of the lid that were logged [s since meat on]; readings show their own."""
    return tuple(
        (line.at - on_at).total_seconds()
        for line in lines
        if line.what in _OPENED and line.at >= on_at and timing.concerns(line, piece)
    )


def damp_factor(cook: Cook, pits: Mapping[str, PitState], pit: PitState, meat_kg: float) -> float:
    """Factor on the humidity of a pit for its pan, its wood and all the meat on it.

    A load counts in steps of ten kilograms: a piece more or less in a backyard pit is not seen in its
    air, and must not move the others' forecasts.
    """
    use = next((use for use in cook.pits if use.letter == pit.letter), None)
    if use is None:
        return 1.0
    warmest = max(temp for _, temp in pits[pit.letter].points)
    pan = True if use.water_pan else None
    loads = round(meat_kg / _LOAD_KG)
    return humidity_factor(
        pit.kind,
        warmest,
        moisture=_moisture(use.fuel),
        water_pan=pan,
        meat_kg=loads * _LOAD_KG if loads >= _LOADED else None,
    )


def _moisture(fuel: str | None) -> float | None:
    """Water of wood by the word a cook uses for it."""
    said = (fuel or "").casefold().replace("-", " ")
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
