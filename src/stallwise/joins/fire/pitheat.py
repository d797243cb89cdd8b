"""What heat each piece takes, and pieces that share a pit and want it otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.fire.pitstays import Lying
from stallwise.record.schema import Piece
from stallwise.tables.cut import Cut
from stallwise.tables.parameters import parameter

__all__ = ["Heat", "apart", "heat_of", "held_c", "off_by"]


@dataclass(frozen=True)
class Heat:
    """Coolest and hottest pit that a piece takes [°C], and whether the cook said so."""

    least_c: float
    most_c: float
    said: bool

    def words(self, system: str) -> str:
        """Write the two ends for a cook."""
        low, high = (units.format_temperature(end, system) for end in (self.least_c, self.most_c))
        return low if low == high else f"{low} to {high}"

    def meets(self, other: Heat) -> bool:
        """Whether one pit suits both."""
        slack_k = parameter("pit.suits").value
        return self.least_c <= other.most_c + slack_k and other.least_c <= self.most_c + slack_k


def heat_of(piece: Piece, entry: Cut) -> Heat:
    """Heat that a piece takes: as the cook says, else as is usual for the cut.

    Raises
    ------
    InputError
        The coolest is hotter than the hottest.
    """
    usual_least, _, usual_most = sorted(entry.pit)
    least, most = (
        units.parse("temperature", text, key=key) if text else None
        for text, key in ((piece.pit_least, "pit_least"), (piece.pit_most, "pit_most"))
    )
    # One end that is said moves the other, where that is only usual.
    low = min(usual_least, math.inf if most is None else most) if least is None else least
    high = max(usual_most, -math.inf if least is None else least) if most is None else most
    found = Heat(low, high, least is not None or most is not None)
    if found.least_c > found.most_c:
        raise InputError(
            f"piece {piece.letter} wants pit_least = {piece.pit_least} and pit_most = {piece.pit_most}",
            "pit_least below pit_most",
        )
    return found


def held_c(stay: Lying, pit: PitState, zero_s: float) -> tuple[float, float]:
    """Coolest and hottest that a pit is planned to be while a piece is in it [°C].

    Parameters
    ----------
    stay : Lying
    pit : PitState
    zero_s : float
        Hour zero as a timestamp [s].
    """
    begin, end = (at.timestamp() - zero_s for at in (stay.since, stay.until))
    curve = curve_from(pit.points, 0.0)
    moments = [begin, end, *(at for at, _ in pit.points if begin < at < end)]
    temps = [float(curve.at(at)) for at in moments]
    return min(temps), max(temps)


def off_by(heat: Heat, held: tuple[float, float]) -> float:
    """How far a pit is hotter (above 0) or cooler (below 0) throughout than a piece takes [K]."""
    low, high = held
    if low > heat.most_c:
        return low - heat.most_c
    return min(high - heat.least_c, 0.0)


def apart(stays: Sequence[Lying], heats: dict[str, Heat]) -> Iterator[tuple[Lying, Lying]]:
    """Pairs in one pit at one time that no heat suits, the cooler first."""
    for number, one in enumerate(stays):
        for other in stays[number + 1 :]:
            if one.beside(other) and not heats[one.letter].meets(heats[other.letter]):
                cool, hot = sorted((one, other), key=lambda stay: heats[stay.letter].most_c)
                yield cool, hot
