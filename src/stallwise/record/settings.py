"""What a cook's folder knows that helps to read a log: first piece on, letters, what pits were set to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from stallwise.ground.units import parse_temperature_c
from stallwise.record import log
from stallwise.record.clocks import zone as zone_of
from stallwise.record.cook import zero_of
from stallwise.record.frame import Frame
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook, PitUse

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["frame_of", "set_temperatures"]


def frame_of(folder: CookFolder, zone: str | None = None) -> Frame:
    """Frame of a cook, its zone or the file's own."""
    cook, entries = folder.read(), log.effective(folder.log().lines)
    home = cook.time_zone or folder.home.book.time_zone
    if zone:
        zone_of(zone)
    return Frame(
        zone or home,
        cook.date,
        zero_of(cook, entries, folder.home.zone_of(cook)),
        tuple(piece.letter for piece in cook.pieces),
        tuple(pit.letter for pit in cook.pits) or ("P",),
        set_temperatures(cook, entries),
        home,
    )


def set_temperatures(cook: Cook, lines: Sequence[LogLine]) -> dict[str, tuple[float, float]]:
    """Lowest and highest temperature each pit was set to [°C], by plan and by log."""
    found = {}
    for pit in cook.pits:
        values = [*map(parse_temperature_c, _planned(pit)), *_logged(pit.letter, lines)]
        if values:
            found[pit.letter] = (min(values), max(values))
    return found


def _planned(pit: PitUse) -> Iterable[str]:
    yield from (text for text in (pit.start, pit.climb_to) if text)
    yield from (text for _, text in pit.schedule or ())


def _logged(letter: str, lines: Sequence[LogLine]) -> Iterable[float]:
    for line in lines:
        value = line.data.get("temperature_c")
        if line.what == "pit_set" and value is not None and line.pit in {"", letter}:
            yield float(value)
