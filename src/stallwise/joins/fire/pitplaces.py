"""Places in a pit: where its number is read, where the meat lies, and what is between the two."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import CookWarning
from stallwise.joins.fire.pitplan import PitState, Where
from stallwise.models.pit import NUMBER_PLACES, PitChange, PitPlace
from stallwise.record.places import place_key
from stallwise.record.schema import Piece, Pit

__all__ = ["Stay", "lies", "pit_change", "read_at", "stays", "untested"]


@dataclass(frozen=True)
class Stay:
    """A stretch of a piece's time on the fire.

    Attributes
    ----------
    pit : PitState
    from_s : float
        Its begin [s since this piece's meat on].
    spot : str
        Place where the piece lies, as `place_key` writes it; may be empty.
    where : Where
        Where the pit's number is read meanwhile.
    """

    pit: PitState
    from_s: float
    spot: str
    where: Where


def stays(
    first: PitState,
    spot: str | None,
    moves: Sequence[tuple[float, PitState, str | None]],
    *,
    start_s: float,
) -> tuple[Stay, ...]:
    """Stays of a piece as planned and set.

    Parameters
    ----------
    first : PitState
        Pit in which it starts.
    spot : str or None
        Its place there, in the cook's words.
    moves : sequence of (float, PitState, str or None)
        Elapsed seconds since its meat on, to which pit, to which place in it.
    start_s : float
        Its meat on [s since hour zero].
    """
    begun = [(0.0, first, spot), *moves]
    found = []
    for number, (from_s, pit, place) in enumerate(begun):
        until_s = begun[number + 1][0] if number + 1 < len(begun) else float("inf")
        told = [(at_s - start_s, at) for at_s, at in pit.told]
        before = [at for at_s, at in told if at_s <= from_s]
        where = before[-1] if before else pit.where
        found.append(Stay(pit, from_s, place_key(place), where))
        for at_s, at in told:
            if from_s < at_s < until_s and at != found[-1].where:
                found.append(Stay(pit, at_s, place_key(place), at))
    return tuple(found)


def pit_change(stay: Stay) -> PitChange:
    """Put a stay as the models take it."""
    pit = stay.pit
    place = lies(pit, stay.where, stay.spot)
    return PitChange(stay.from_s, pit.name, pit.kind, stay.where.at, place)


def read_at(place: str, pit: PitState) -> Where:
    """Where a number was read, as a probe's column or a log line says; else as the pit's usually is.

    Parameters
    ----------
    place : str
        One of ``grate``, ``lid``, ``oven``, ``guess``, a place on the grate in the cook's words,
        or empty.
    pit : PitState
    """
    if not place or place == pit.where.at:
        return pit.where
    return Where(place) if place in NUMBER_PLACES else Where("grate", place_key(place))


def lies(pit: PitState, where: Where, spot: str) -> PitPlace | None:
    """Say what is between a piece's place and its pit's number; None where that is read there.

    Parameters
    ----------
    pit : PitState
        With what its places were tested for.
    where : Where
        Where the number is read.
    spot : str
        Where the piece lies, as `place_key` writes it.
    """
    if not spot or where == Where("grate", spot):
        return None
    test = pit.test
    if test is None:
        return PitPlace(spot)
    here = test.levels_k.get(spot)
    known = "unknown" if here is None else test.known
    if here is not None and test.number_k is not None and where == pit.where:
        return PitPlace(spot, known, here - test.number_k, of_number=True)
    middle = sum(test.levels_k.values()) / len(test.levels_k)
    number = test.levels_k.get(where.by, middle)
    return PitPlace(spot, known, (middle if here is None else here) - number)


def untested(piece: Piece, pit: PitState, pits: Mapping[str, Pit]) -> tuple[CookWarning, ...]:
    """Say that a piece's place is none of those that were tested in its pit."""
    file = pits.get(pit.name)
    spot = place_key(piece.place)
    if not spot or pit.test is None or file is None or spot in pit.test.levels_k:
        return ()
    names = {place_key(place.name): place.name for place in file.places}
    near = difflib.get_close_matches(spot, names, 1)
    meant = f" Is “{names[near[0]]}” meant?" if near else ""
    text = (
        f"“{piece.place}” is none of the places tested in pits/{pit.name}.toml "
        f"({', '.join(names.values())}); how hot it is there is taken as unknown.{meant}"
    )
    return (CookWarning("place-untested", text, piece.letter),)
