"""Visits to a piece that the cook plans: looks, a turn, spritzes, coats of glaze."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.sheet.steptable import step_row
from stallwise.models.plan import Spritz
from stallwise.record.schema import Piece
from stallwise.tables.catalogue import Cut

__all__ = ["Glazing", "glazing", "looks", "looks_s", "spritzes", "turn_s"]

_SHORTEST_S = 60.0


@dataclass(frozen=True)
class Glazing:
    """Coats of glaze [s since meat on], and when the piece is opened for them [s] or None.

    `sets_s` is how long one coat takes to set [s].
    """

    coats_s: tuple[float, ...] = ()
    unwrap_s: float | None = None
    sets_s: float = 0.0

    @property
    def coated_s(self) -> float | None:
        """When the last coat is set [s since meat on]."""
        return self.coats_s[-1] + self.sets_s if self.coats_s else None


def glazing(piece: Piece, entry: Cut, *, mixed: bool) -> Glazing:
    """When a piece is opened and glazed, as planned.

    Without `glaze_at` the first coat goes on when the opened piece has dried; a piece that is never
    opened and has no `glaze_at` is glazed towards its end, by the day sheet alone. Where a wrapped
    piece has a `glaze_at` and no time to open it, it is opened so that it dries before.

    Parameters
    ----------
    piece, entry : Piece, Cut
        The piece and its cut.
    mixed : bool
        A glaze is among the cook's mixes for it.

    Returns
    -------
    Glazing

    Raises
    ------
    InputError
        The coat is planned while the piece is in its wrap.

    References
    ----------
    [common-practice]_
    """
    unwrap_s = _seconds(piece.unwrap, "unwrap")
    first_s = _seconds(piece.glaze_at, "glaze_at")
    if not (mixed or piece.glaze_coats or first_s is not None):
        return Glazing(unwrap_s=unwrap_s)
    dry, sets = step_row("unwrap"), step_row("glaze")
    every_s = _apart(piece.glaze_every, "glaze_every", sets.usual_s)
    if first_s is not None:
        unwrap_s = _opened(piece, entry, first_s, unwrap_s, dry.usual_s)
    elif unwrap_s is not None:
        first_s = unwrap_s + dry.usual_s
    if first_s is None:
        return Glazing()
    coats = tuple(first_s + number * every_s for number in range(piece.glaze_coats or 1))
    return Glazing(coats, unwrap_s, min(sets.usual_s, every_s))


def _opened(
    piece: Piece, entry: Cut, first_s: float, unwrap_s: float | None, dry_s: float
) -> float | None:
    """When a piece with a planned coat is opened; refused where it would be in its wrap."""
    kind = piece.wrap or entry.wrap.kind
    if kind in {"none", "boat"}:  # a boat is open above
        return unwrap_s
    early_s = _seconds(piece.wrap_from, "wrap_from") or entry.wrap.earliest_s
    late_s = _seconds(piece.wrap_to, "wrap_to") or max(entry.wrap.latest_s, early_s)
    if first_s <= early_s:
        return unwrap_s
    opened_s = first_s - dry_s if unwrap_s is None else unwrap_s
    if opened_s > first_s or opened_s <= late_s:
        said = "opened" if unwrap_s is not None else "wrapped until"
        until_s = opened_s if unwrap_s is not None and opened_s > first_s else late_s
        raise InputError(
            f"piece {piece.letter} is glazed at {piece.glaze_at} and {said} "
            f"{units.format_duration(until_s)}",
            f"glaze_at up to {units.format_duration(early_s)}, before the wrap, or from "
            f"{units.format_duration(max(until_s, late_s) + dry_s)}, opened and dry",
            "Change glaze_at, unwrap or the wrap's times",
        )
    return opened_s


def spritzes(piece: Piece, entry: Cut) -> tuple[tuple[Spritz, ...], tuple[float, float] | None]:
    """Plan spritzes of a piece, with the first time and the time between two [s]; none by default."""
    if not piece.spritz_from and not piece.spritz_every:
        return (), None
    habit = entry.spritz
    first_s = _seconds(piece.spritz_from, "spritz_from")
    first_s = habit.first_s if first_s is None else first_s
    every_s = _apart(piece.spritz_every, "spritz_every", habit.every_s)
    times = (first_s + number * every_s for number in range(habit.visits))
    return tuple(Spritz(time, habit.water_kg_m2) for time in times), (first_s, every_s)


def looks(piece: Piece) -> tuple[float, float | None] | None:
    """First look and time between two [s], where the cook plans them."""
    if not (piece.look_from or piece.look_every):
        return None
    first_s = _seconds(piece.look_from, "look_from")
    every_s = _apart(piece.look_every, "look_every", 0.0) if piece.look_every else None
    return step_row("look").usual_s if first_s is None else first_s, every_s


def turn_s(piece: Piece) -> float | None:
    """When a piece is to be turned [s since meat on]."""
    return _seconds(piece.turn, "turn")


def looks_s(piece: Piece, entry: Cut) -> tuple[float, ...]:
    """Say when the lid is opened to look and to turn [s since meat on]."""
    found = []
    if (planned := looks(piece)) is not None:
        first_s, every_s = planned
        visits = 1 if every_s is None else max(entry.spritz.visits, 1)
        found = [first_s + number * (every_s or 0.0) for number in range(visits)]
    if (turned_s := turn_s(piece)) is not None:
        found.append(turned_s)
    return tuple(sorted(found))


def _seconds(text: str | None, key: str) -> float | None:
    return units.parse("duration", text, key=key) if text else None


def _apart(text: str | None, key: str, default_s: float) -> float:
    """Time between two visits, which is no less than a minute."""
    found = _seconds(text, key)
    if found is not None and found < _SHORTEST_S:
        raise InputError(f"{key} = {text!r}", "1 min or more")
    return default_s if found is None else found
