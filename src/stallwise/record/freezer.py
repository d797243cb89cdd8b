"""Trimmings saved in one cook and taken by later ones: what is left of them, never less than none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stallwise.ground import units
from stallwise.record.schema import Cook
from stallwise.record.trimming import board

__all__ = ["frozen", "names_freezer"]


def names_freezer(cook: Cook, name: str) -> bool:
    """Whether a cook takes trimmings of another one."""
    return bool(_elsewhere(cook, name))


def frozen(cooks: Iterable[tuple[str, Cook]], name: str, cook: Cook) -> Mapping[str, float]:
    """Find what is left for a cook of the trimmings that it names [kg].

    Parameters
    ----------
    cooks : iterable of (name, Cook)
        All cooks of the book.
    name, cook : str, Cook
        The cook that takes them. Those before it, by date and name, have had theirs; one that does
        not say how much took all of it.
    """
    wanted = _elsewhere(cook, name)
    rows = sorted(cooks, key=lambda row: (row[1].date, row[0]))
    left: dict[str, float] = {}
    for other, earlier in rows:
        if (earlier.date, other) >= (cook.date, name):
            break
        for piece in earlier.pieces:
            source = f"{other}/{piece.letter}"
            saved = board(piece).mass_saved_kg
            if source in wanted and saved is not None:
                left[source] = saved * piece.count
        for use in earlier.mixes:
            source = use.from_ or ""
            full = source if "/" in source else f"{other}/{source}"
            if full in left:
                take = units.parse("mass", use.take, key="take") if use.take else left[full]
                left[full] = max(left[full] - take, 0.0)
    return left


def _elsewhere(cook: Cook, name: str) -> set[str]:
    """Find the trimmings of other cooks that one takes."""
    sources = {use.from_ for use in cook.mixes if use.from_}
    return {source for source in sources if source.rpartition("/")[0] not in {"", name}}
