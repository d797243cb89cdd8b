"""Names that ``private`` and ``public`` of a cook may hold: a slip there must give nothing away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stallwise.ground.errors import NotFoundError
from stallwise.record.schema import Cook

if TYPE_CHECKING:
    from collections.abc import Collection

__all__ = ["ALL", "COSTS", "NEEDED", "PARTS", "SHOTS", "check_kept_back"]

#: Keeps the whole cook back.
ALL = "all"
#: Kept back unless ``public`` names it: what somebody paid is nobody's business.
COSTS = "costs"
#: The same of what to show: it is for who films, and no part of most pages.
SHOTS = "shots"
_ASKED_FOR = frozenset({COSTS, SHOTS})

#: Parts of a page that are no key of ``cook.toml``.
PARTS = frozenset(
    {"salt", "ledger", "sheet", "log", "readings", "limits", "trials", "tasting", "warnings"}
)

#: What a page cannot do without: to name one of these would keep nothing back.
NEEDED = frozenset(
    {
        "schema_",
        "title",
        "date",
        "private",
        "public",
        "sample",
        "serve",
        "odds",
        "pits",
        "pieces",
        "salt_target",
    }
)


def check_kept_back(cook: Cook, *, where: str = "cook.toml") -> None:
    """Refuse a name in ``private`` or ``public`` that means nothing.

    Parameters
    ----------
    cook : Cook
    where : str, default "cook.toml"
        What the error names.

    Raises
    ------
    NotFoundError
        A name is of nothing that could be kept back, or shown.
    """
    for name in cook.public:
        if name not in _ASKED_FOR:
            raise NotFoundError("key for public", name, _ASKED_FOR, where=where)
    known = {ALL, *_ASKED_FOR, *PARTS, *(set(Cook.model_fields) - NEEDED)}
    parts: dict[str, Collection[str]] = {
        "mixes": {mix.mix for mix in cook.mixes},
        "photos": {photo.file for photo in cook.photos}
        | {one.photo for one in (cook.contest.hand_ins if cook.contest else ()) if one.photo},
        "pieces": {piece.letter for piece in cook.pieces},
    }
    known |= {f"{head}.{key}" for head, keys in parts.items() for key in keys}
    for name in cook.private:
        if name not in known:
            raise NotFoundError("key for private", name, known, where=where)
