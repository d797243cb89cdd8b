"""Earlier cooks that weighed the same cuts: what a cook's own scales said before a day."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from stallwise.ground.errors import InputError
from stallwise.record import toml
from stallwise.record.schema import Cook

__all__ = ["weighed_before"]

#: Texts of cooks that are kept read: a batch of a whole book asks for each of them again and again.
_KEPT = 2000


def weighed_before(texts: Iterable[tuple[str, str]], name: str, cook: Cook) -> tuple[Cook, ...]:
    """Cooks before one, by date and name, that weighed what was eaten of one of its cuts.

    Parameters
    ----------
    texts : iterable of (name, text)
        Every ``cook.toml`` of the book; one that cannot be read weighed nothing.
    name, cook : str, Cook
        The one that asks.
    """
    cuts = {piece.cut for piece in cook.pieces}
    found = [
        (other.date, key, other)
        for key, text in texts
        if key != name
        and "mass_edible" in text
        and any(cut in text for cut in cuts)
        and (other := _read(text)) is not None
        and (other.date, key) < (cook.date, name)
        and cuts & {piece.cut for piece in other.pieces}
    ]
    return tuple(other for _, _, other in sorted(found, key=lambda row: row[:2]))


@lru_cache(maxsize=_KEPT)
def _read(text: str) -> Cook | None:
    try:
        return toml.parse(text, Cook, file="")
    except InputError:
        return None
