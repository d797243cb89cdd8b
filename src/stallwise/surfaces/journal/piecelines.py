"""A piece of a cook in one line, for the page of its cut."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.joins import words
from stallwise.joins.result import PieceResult, Result

__all__ = ["PieceLine", "piece_lines"]


@dataclass(frozen=True)
class PieceLine:
    """What a list of cooks tells of a piece, in words; `took` is empty where nobody saw."""

    cut: str
    mass: str
    pit: str
    wrap: str
    finish: str
    took: str


def piece_lines(result: Result) -> tuple[PieceLine, ...]:
    """Put each piece of a Result, without what is kept back, into one line."""
    return tuple(_line(piece, result) for piece in result.pieces)


def _line(piece: PieceResult, result: Result) -> PieceLine:
    many = f"{piece.count} × " if piece.count > 1 else ""
    pit = piece.pit_c.p50
    held = [_about(at, result.units) for at in (pit[0], pit[-1])] if pit else []
    seen = piece.finish_seen
    return PieceLine(
        cut=piece.cut,
        mass=f"{many}{words.mass(piece.mass_kg, result.units)}",
        pit=", later ".join(dict.fromkeys(held)),
        wrap=piece.wrap,
        finish=piece.finish,
        took="" if seen is None else words.hours(seen.elapsed_h),
    )


def _about(value_c: float, units: str) -> str:
    """To five degrees: what likely lies at the meat is not known to one."""
    number, unit = words.temperature(value_c, units).split()
    return f"{round(float(number) / 5) * 5} {unit}"
