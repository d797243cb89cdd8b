"""What came back of each piece, as the log has it: where ``cook.toml`` says nothing of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from stallwise.record.log import LogLine, effective
from stallwise.record.schema import Cook

__all__ = ["with_leftovers"]


def with_leftovers(cook: Cook, log: Iterable[LogLine]) -> Cook:
    """Fill in what came back of pieces from lines as ``A left over 2 lb`` and ``all gone``.

    Parameters
    ----------
    cook : Cook
        What its pieces say themselves stays.
    log : iterable of LogLine
        A weight that names no piece of several is nobody's, and tells nothing of any one.
    """
    lines = [line for line in effective(log) if line.what in {"left_over", "all_gone"}]
    alone = len(cook.pieces) == 1
    changes: dict[str, dict[str, Any]] = {}
    for piece in cook.pieces:
        mine = [line for line in lines if line.piece == piece.letter or (alone and not line.piece)]
        weighed = [float(line.data["mass_kg"]) for line in mine if "mass_kg" in line.data]
        gone = any(line.what == "all_gone" and line.piece in {"", piece.letter} for line in lines)
        if piece.mass_left is None and (weighed or gone):
            changes[piece.letter] = {"mass_left": f"{sum(weighed):.6g} kg"}
    if not changes:
        return cook
    pieces = [piece.model_copy(update=changes.get(piece.letter, {})) for piece in cook.pieces]
    return cook.model_copy(update={"pieces": pieces})
