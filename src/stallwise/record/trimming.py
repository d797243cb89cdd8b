"""The four weights of the trimming board: what was bought goes on, is saved, or goes to the bin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.record.schema import Piece

__all__ = ["TOLERANCE", "Board", "board", "trimming"]

#: Share of the weight bought that may be missing: drips and scales; see data/record_limits.csv.
TOLERANCE = 0.03
#: No brine or sauce makes a piece heavier than this many times what it was; see data/record_limits.csv.
TAKEN_UP = 1.25
_WORDS = {"mass_bought": "bought", "mass": "on", "mass_saved": "saved", "mass_bin": "bin"}


@dataclass(frozen=True)
class Board:
    """Weights [kg] of one piece; None where neither weighed nor told by the others.

    Attributes
    ----------
    by_difference : str
        Name of the one that follows from the other three; empty if none does.
    """

    mass_bought_kg: float | None
    mass_kg: float | None
    mass_saved_kg: float | None
    mass_bin_kg: float | None
    by_difference: str = ""


def trimming(piece: Piece) -> str | None:
    """Question to ask when weights of a piece contradict each other; None when they do not.

    All four have to add up; fewer may not come to more than was bought, nor what is eaten to more than went
    on, brine and sauce allowed for.
    """
    weights = _weighed(piece)
    bought = weights["mass_bought"]
    whole = weights["mass"] or bought
    if piece.mass_edible and whole:
        eaten = units.parse("mass", piece.mass_edible, key="mass_edible")
        if eaten > whole * piece.count * TAKEN_UP:
            return (
                f"Piece {piece.letter}: {piece.mass_edible} eaten is more than went on. "
                "Which weight is wrong?"
            )
    known = {n: w for n, w in weights.items() if w is not None and n != "mass_bought"}
    if bought is None or not known:
        return None
    rest = sum(known.values())
    whole_board = len(known) == len(weights) - 1
    slack = TOLERANCE * bought
    if abs(bought - rest) <= slack or (not whole_board and rest <= TAKEN_UP * bought):
        return None
    parts = " + ".join(f"{getattr(piece, name)} {_WORDS[name]}" for name in known)
    more = "more" if rest > bought else "less"
    return (
        f"Piece {piece.letter}: {parts} is {abs(rest - bought) * 1000:.0f} g {more} than the "
        f"{piece.mass_bought} bought. Which weight is wrong?"
    )


def board(piece: Piece) -> Board:
    """Weights of a piece, the one missing of four by difference.

    A difference below zero is none: it stays missing, since one of the three is wrong.
    """
    weights: dict[str, float | None] = dict(_weighed(piece))
    missing = [name for name, weight in weights.items() if weight is None]
    found = ""
    if len(missing) == 1:
        bought, others = (
            weights["mass_bought"],
            [weights[name] or 0.0 for name in weights if name != "mass_bought"],
        )
        value = sum(others) if bought is None else bought - sum(others)
        if value >= 0:
            weights[missing[0]], found = value, missing[0]
    return Board(
        weights["mass_bought"], weights["mass"], weights["mass_saved"], weights["mass_bin"], found
    )


def _weighed(piece: Piece) -> Mapping[str, float | None]:
    texts = {name: getattr(piece, name) for name in _WORDS}
    return {
        name: None if text is None else units.parse("mass", text, key=name)
        for name, text in texts.items()
    }
