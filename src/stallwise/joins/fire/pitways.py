"""Nearest plans that can be done where a pit is too full or wanted at two heats: elsewhere, before, after."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stallwise.ground.ensemble import quantiles
from stallwise.joins.chances import SheetPiece, odds_in_time, ready_times
from stallwise.joins.fire.pitheat import Heat, held_c, off_by
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.fire.pitroom import Room, room_of, shelved
from stallwise.joins.fire.pitstays import Lying
from stallwise.joins.words import day_clock, odds_text
from stallwise.record.schema import Pit
from stallwise.tables.parameters import parameter

__all__ = ["Sharing", "Way", "way_out"]

_LATE = 0.9
_HOUR_S = 3600.0
#: Boxes hold, they do not cook.
_NO_FIRE = frozenset({"box"})


@dataclass(frozen=True)
class Sharing:
    """All that bears on how pits are shared.

    Attributes
    ----------
    stays : tuple of Lying
    pits : mapping of letter to PitState
        Of this cook.
    files : mapping of name to Pit
        All pits of the cookbook.
    rooms : mapping of letter to Room
    heats : mapping of letter to Heat
        Of the pieces.
    wanted : float
        Odds that are asked for.
    words : str
        The same in words.
    zone : tzinfo
    date : date
        The cook's.
    zero_s : float
        Hour zero as a timestamp [s].
    units : {"us", "metric"}
    """

    stays: tuple[Lying, ...]
    pits: Mapping[str, PitState]
    files: Mapping[str, Pit]
    rooms: Mapping[str, Room]
    heats: Mapping[str, Heat]
    wanted: float
    words: str
    zone: dt.tzinfo
    date: dt.date
    zero_s: float
    units: str

    def clock(self, when: dt.datetime) -> str:
        """Clock time for a sentence."""
        return day_clock(when.astimezone(self.zone), self.date)


@dataclass(frozen=True)
class Way:
    """A plan that can be done, in a sentence, and whether it keeps the serving time."""

    text: str
    in_time: bool = True


def way_out(stay: Lying, others: Sequence[Lying], sharing: Sharing) -> Way:
    """Nearest plan for a piece that cannot lie with others: in another pit, before them, after them.

    Parameters
    ----------
    stay : Lying
        The piece that is to make way.
    others : sequence of Lying
        What it cannot be with.
    sharing : Sharing

    Returns
    -------
    Way
        There is always one, if only later than it was wanted.
    """
    found = _elsewhere(stay, sharing) or _before(stay, others, sharing)
    return found or _after(stay, others, sharing)


def _elsewhere(stay: Lying, sharing: Sharing) -> Way | None:
    heat = sharing.heats[stay.letter]
    for letter, pit in sharing.pits.items():
        if letter == stay.pit or pit.kind in _NO_FIRE:
            continue
        moved = replace(stay, pit=letter, place="")
        there = [other for other in sharing.stays if other.pit == letter]
        fits = not shelved([*there, moved], sharing.rooms).left
        suits = off_by(heat, held_c(moved, pit, sharing.zero_s)) == 0.0
        if fits and suits and all(_meet(moved, other, sharing) for other in there):
            return Way(f"{stay.letter} has room in pit {letter} ({pit.name}).")
    used = {pit.name for pit in sharing.pits.values()}
    for name, file in sharing.files.items():
        if name in used or file.kind in _NO_FIRE:
            continue
        room = {stay.pit: room_of(file)}
        if not shelved([replace(stay, place="")], room).left:
            return Way(f"{stay.letter} has a pit to itself in {file.name} (pits/{name}.toml).")
    return None


def _meet(stay: Lying, other: Lying, sharing: Sharing) -> bool:
    return not stay.beside(other) or sharing.heats[stay.letter].meets(sharing.heats[other.letter])


def _before(stay: Lying, others: Sequence[Lying], sharing: Sharing) -> Way | None:
    """Earlier, off before the others go on, and held, unless where it is held it does not stay hot."""
    one = stay.one
    first = min(other.since for other in others)
    if one.serve_at is None or one.is_bird:  # its skin does not wait
        return None
    off_s = one.off_s
    late_s = float(quantiles(off_s, (_LATE,), one.weights)[0])
    if not np.isfinite(late_s):
        return None
    on_at = first - dt.timedelta(seconds=late_s)
    begun = (
        f"{stay.letter} first: on at {sharing.clock(on_at)}, off by {sharing.clock(first)}, then"
    )
    if one.chill_s:  # it waits in the cold
        return Way(f"{begun} chilled.")
    ahead_s = (one.serve_at.astimezone(dt.UTC) - on_at).total_seconds()
    wait_s = ahead_s - one.carve_s - one.after_s - off_s
    cold = 0.0 if one.cold_s is None else float(np.sum(one.weights * (one.cold_s < wait_s)))
    waits_h = float(np.median(wait_s[np.isfinite(wait_s)])) / _HOUR_S
    if waits_h > parameter("hold.most").value:
        return None
    bare = one.piece.hold in {None, "counter"}
    if cold > parameter("hold.warn").value and not bare:
        return None
    where = ", in a box or a warm oven" if cold > parameter("hold.warn").value else ""
    return Way(f"{begun} held about {waits_h:.0f} h{where}.")


def _after(stay: Lying, others: Sequence[Lying], sharing: Sharing) -> Way:
    """When the others are off; in time, or when it is ready then."""
    free = min(others, key=lambda other: other.until).until
    if any(not sharing.heats[o.letter].meets(sharing.heats[stay.letter]) for o in others):
        free = max(other.until for other in others)
    later = _on_at(stay.one, free, sharing.zone)
    odds = odds_in_time([later])
    if odds is not None and odds >= sharing.wanted:
        return Way(
            f"{stay.letter} when there is room, on at {sharing.clock(free)}: ready in time "
            f"{odds_text(odds)}."
        )
    ready = ready_times([later], {sharing.words: sharing.wanted})[sharing.words]
    if ready is None:
        return Way(f"{stay.letter} on another day, or in another pit.", in_time=False)
    return Way(
        f"{stay.letter} when there is room, on at {sharing.clock(free)}: it can then be eaten by "
        f"{sharing.clock(ready)} ({sharing.words}).",
        in_time=False,
    )


def _on_at(one: SheetPiece, when: dt.datetime, zone: dt.tzinfo) -> SheetPiece:
    return replace(one, on_at=when.astimezone(zone))
