"""What a cook asks of two results: how much longer a piece takes, is it in time, which limit is crossed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from stallwise.joins import words
from stallwise.surfaces.rerun.compare import moment

__all__ = ["Crossing", "Move", "crossings", "moves"]

_TENDER = "tender"


@dataclass(frozen=True)
class Move:
    """One piece before and now.

    Attributes
    ----------
    piece, name : str
        Its letter, and what it is.
    old_h, new_h : float or None
        Usual time from meat on to its finish [h]; None where half of the days do not reach it.
    old_on, new_on : str
        Meat on, RFC 3339.
    old_odds, new_odds : float or None
        Chance to be in time; None without a serving time.
    """

    piece: str
    name: str
    old_h: float | None
    new_h: float | None
    old_on: str
    new_on: str
    old_odds: float | None
    new_odds: float | None

    @property
    def longer_h(self) -> float | None:
        """How much longer it takes [h], negative quicker; None where one side is not reached."""
        return None if self.old_h is None or self.new_h is None else self.new_h - self.old_h

    @property
    def on_h(self) -> float:
        """How much later it goes on [h]."""
        old, new = moment(self.old_on), moment(self.new_on)
        return 0.0 if old is None or new is None else (new - old) / dt.timedelta(hours=1)

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return asdict(self) | {"longer_h": self.longer_h, "on_h": self.on_h}


@dataclass(frozen=True)
class Crossing:
    """A limit or the odds asked for, on the other side of which a piece now is; in words."""

    piece: str
    text: str


def moves(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[Move, ...]:
    """Pair the pieces of two plain results by their letters.

    Parameters
    ----------
    old, new : mapping
        Plain results.

    Returns
    -------
    tuple of Move
        Pieces that both have, in the order of the new result, moved or not.
    """
    before = {piece["piece"]: piece for piece in old.get("pieces", ())}
    return tuple(
        Move(
            piece=piece["piece"],
            name=piece.get("name", ""),
            old_h=_usual_h(was),
            new_h=_usual_h(piece),
            old_on=str(was.get("on_at", "")),
            new_on=str(piece.get("on_at", "")),
            old_odds=was.get("odds_in_time"),
            new_odds=piece.get("odds_in_time"),
        )
        for piece in new.get("pieces", ())
        if (was := before.get(piece["piece"])) is not None
    )


def crossings(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[Crossing, ...]:
    """Say which limits stand otherwise than before, and what is no longer, or only now, in time.

    Parameters
    ----------
    old, new : mapping
        Plain results.

    Returns
    -------
    tuple of Crossing
        Limits first, those missed before the others.
    """
    return (*_limits(old, new), *_in_time(old, new))


def _usual_h(piece: Mapping[str, Any]) -> float | None:
    stage = piece.get("stages", {}).get(_TENDER, {})
    found: float | None = stage.get("elapsed_h", {}).get("p50")
    return found


def _limits(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Crossing]:
    before, now = (_states(side) for side in (old, new))
    told = [
        (state != "missed", piece, f"{name}{_of(piece)}: {before[limit, piece][1]} → {state}")
        for (limit, piece), (name, state) in now.items()
        if (limit, piece) in before and before[limit, piece][1] != state
    ]
    yield from (Crossing(*row[1:]) for row in sorted(told, key=lambda row: row[0]))


def _states(result: Mapping[str, Any]) -> dict[tuple[str, str], tuple[str, str]]:
    return {
        (one["limit"], one.get("piece", "")): (one.get("name", one["limit"]), one["state"])
        for one in result.get("limits", ())
    }


def _in_time(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Crossing]:
    asked = words.ODDS.get(new.get("odds_words", ""))
    for move in moves(old, new) if asked is not None else ():
        if move.old_odds is None or move.new_odds is None or asked is None:
            continue
        was, now = move.old_odds >= asked, move.new_odds >= asked
        if was and not now:
            said = f"no longer as sure as “{new['odds_words']}” to be in time"
        elif now and not was:
            said = f"now as sure as “{new['odds_words']}” to be in time"
        else:
            continue
        yield Crossing(move.piece, f"{move.piece}: {said}")


def _of(piece: str) -> str:
    return f", {piece}" if piece else ""
