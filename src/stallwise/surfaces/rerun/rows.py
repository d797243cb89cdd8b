"""How a re-run went: one row a cook, and all rows in words."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from stallwise.joins import words
from stallwise.joins.tables import Table, as_text
from stallwise.surfaces.rerun.compare import Difference
from stallwise.surfaces.rerun.execute import GOOD
from stallwise.surfaces.rerun.moved import Crossing, Move
from stallwise.surfaces.rerun.telling import in_words, told

__all__ = ["Differences", "Report", "Row", "later", "longer", "move_table", "odds", "summary"]

_SHOWN = 12
#: Up to so many cooks what moved is told line by line, more as one table.
_FEW = 3
#: Less than half of the five minutes that a table rounds to [h].
_HARDLY_H = 1 / 24


@dataclass(frozen=True)
class Differences:
    """What moved of one cook: the first lines at hand, all of it packed, for a batch is a thousand cooks.

    Attributes
    ----------
    first : tuple of Difference
        What is told.
    count : int
        How many figures moved.
    packed : bytes
    """

    first: tuple[Difference, ...] = ()
    count: int = 0
    packed: bytes = b""

    @classmethod
    def of(cls, rows: Sequence[Difference]) -> Differences:
        """Pack differences."""
        text = json.dumps([row.plain() for row in rows]).encode()
        return cls(tuple(told(rows)[:_SHOWN]), len(rows), zlib.compress(text) if rows else b"")

    def plain(self) -> list[dict[str, Any]]:
        """All of them, as JSON holds them."""
        found: list[dict[str, Any]] = (
            json.loads(zlib.decompress(self.packed)) if self.packed else []
        )
        return found


@dataclass(frozen=True)
class Row:
    """How one cook's re-run went.

    Attributes
    ----------
    cook : str
        Its name.
    state : str
        A key of `stallwise.surfaces.rerun.execute.STATES`.
    seconds : float
        How long it took.
    changed : bool or None
        Whether any figure moved against `against`; None when there is no result.
    message : str
        What went wrong, or where the outputs are.
    title : str
        What the cook is called.
    against : str
        What it was compared with, in words; empty where there is nothing yet.
    differences : Differences
        What moved.
    moves : tuple of Move
        Pieces before and now.
    crossings : tuple of Crossing
        Limits that stand otherwise than before.
    units : {"us", "metric"}
        For the words.
    sample : bool
        It is made up.
    """

    cook: str
    state: str
    seconds: float
    changed: bool | None
    message: str
    title: str = ""
    against: str = ""
    differences: Differences = field(default_factory=Differences)
    moves: tuple[Move, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    units: str = "us"
    sample: bool = False

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "cook": self.cook,
            "state": self.state,
            "seconds": self.seconds,
            "changed": self.changed,
            "message": self.message,
            "against": self.against,
            "crossings": [one.text for one in self.crossings],
            "moves": [move.plain() for move in self.moves],
            "differences": self.differences.plain(),
        }


@dataclass(frozen=True)
class Report:
    """All rows of a re-run."""

    rows: tuple[Row, ...]

    @property
    def failed(self) -> bool:
        """Whether any cook has no result."""
        return any(row.state not in GOOD for row in self.rows)

    @property
    def stopped(self) -> bool:
        """Whether the cook stopped it before its end."""
        return any(row.state == "stopped" for row in self.rows)

    @property
    def changed(self) -> bool:
        """Whether any figure of any cook moved."""
        return any(row.changed for row in self.rows)

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {"rows": [row.plain() for row in self.rows]}

    def text(self) -> str:
        """Words for a terminal."""
        if not self.rows:
            return "No cook fits."
        parts = [self._good(), *self._bad()]
        if len(self.rows) > 1 or self.stopped:
            parts.append(summary(self))
        return "\n".join(part for part in parts if part)

    def _good(self) -> str:
        rows = [row for row in self.rows if row.state in GOOD]
        if len(self.rows) > _FEW:
            return as_text(move_table(rows)) + "\n" if rows else ""
        return "\n".join(line for row in rows for line in _row_text(row))

    def _bad(self) -> Iterator[str]:
        """Cooks without a result; those that share a reason are told in one line."""
        shared: dict[tuple[str, str], list[str]] = {}
        for row in self.rows:
            if row.state not in GOOD | {"stopped"}:
                shared.setdefault((row.state, row.message), []).append(row.cook)
        for (state, message), cooks in shared.items():
            who = cooks[0] if len(cooks) == 1 else f"{len(cooks)} cooks ({cooks[0]}, …)"
            yield f"{who}: {state}. {message}"


def summary(report: Report) -> str:
    """All rows in a sentence or two."""
    good = [row for row in report.rows if row.state in GOOD]
    kept = sum(row.state == "kept" for row in good)
    said = f"{len(good)} of {len(report.rows)} cooks have their result"
    said += f", {kept} of them from before" if kept else ""
    said += f"; {sum(bool(row.changed) for row in good)} changed"
    crossed = sum(bool(row.crossings) for row in good)
    verb = "crosses" if crossed == 1 else "cross"
    said += f", {crossed} {verb} a limit or the odds asked for." if crossed else "."
    return said + (" Stopped: the same command again does the rest." if report.stopped else "")


def move_table(rows: Sequence[Row]) -> Table:
    """Cooks before and now, a line a piece: time on the pit, meat on, in time, limits."""
    made = []
    for row in rows:
        for i, move in enumerate(row.moves or (None,)):
            crossed = "; ".join(one.text for one in row.crossings) if i == 0 else ""
            lead = row.cook if i == 0 else ""
            made.append((lead, *(_moved(move, row) if move else ("", "", "", "")), crossed))
    header = ("cook", "piece", "on the pit", "meat on", "in time", "crossed")
    return Table("Before and now", header, tuple(made))


def _moved(move: Move, row: Row) -> tuple[str, str, str, str]:
    if not row.changed:
        return move.piece, "as it was", "", ""
    return move.piece, longer(move), later(move), odds(move)


def longer(move: Move) -> str:
    """Time on the pit before and now, and the difference, to five minutes."""
    old, new = (
        "not reached" if value is None else words.hours(value) for value in (move.old_h, move.new_h)
    )
    if move.longer_h is None:
        return old if old == new else _arrow(old, new)
    if abs(move.longer_h) < _HARDLY_H:
        return f"{new}, about the same"
    side = "longer" if move.longer_h > 0 else "shorter"
    return f"{_arrow(old, new)}, {words.hours(abs(move.longer_h))} {side}"


def later(move: Move) -> str:
    """How much later meat goes on, to five minutes."""
    if abs(move.on_h) < _HARDLY_H:
        return "the same"
    return f"{words.hours(abs(move.on_h))} {'later' if move.on_h > 0 else 'earlier'}"


def odds(move: Move) -> str:
    """Chance to be in time before and now."""
    if move.old_odds is None or move.new_odds is None:
        return ""
    old, new = (words.odds_text(share) for share in (move.old_odds, move.new_odds))
    return old if old == new else _arrow(old, new)


def _arrow(old: str, new: str) -> str:
    return f"{old} → {new}"


def _row_text(row: Row) -> list[str]:
    if row.changed is None:
        moved = "nothing to compare it with yet"
    else:
        moved = f"changed against {row.against}" if row.changed else f"as it was ({row.against})"
    ran = f"done in {row.seconds:.1f} s" if row.state == "done" else "kept, for nothing has changed"
    lines = [f"{row.cook}: {ran}, {moved} ({row.message})"]
    lines += [f"  crosses: {one.text}" for one in row.crossings]
    lines += [f"  {in_words(gap, row.units)}" for gap in row.differences.first]
    rest = row.differences.count - len(row.differences.first)
    if rest > 0:
        lines.append(f"  and {rest} more figures (--json shows all)")
    return lines
