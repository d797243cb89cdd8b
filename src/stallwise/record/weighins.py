"""Earlier cooks that weighed the same cuts: what a cook's own scales said before a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.record import toml
from stallwise.record.schema import Cook
from stallwise.record.trimming import board

__all__ = ["WeighIn", "Weighed", "weigh_in", "weigh_ins", "weighed_before"]

#: Texts of cooks that are kept read: a batch of a whole book asks for each of them again and again.
_KEPT = 2000


class Weighed(NamedTuple):
    """Sums over all pieces of a cut [kg]; 0 where any piece lacks one."""

    bought: float
    on: float
    edible: float


@dataclass(frozen=True)
class WeighIn:
    """What the scales said on one day.

    Attributes
    ----------
    name : str
        Of the cook's folder.
    date : date
    sample, teaches : bool
    by_cut : mapping of str to Weighed
    """

    name: str
    date: dt.date
    sample: bool
    teaches: bool
    by_cut: Mapping[str, Weighed]

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        cuts = {cut: list(weighed) for cut, weighed in self.by_cut.items()}
        return vars(self) | {"date": self.date.isoformat(), "by_cut": cuts}

    @classmethod
    def from_plain(cls, held: Mapping[str, Any]) -> WeighIn:
        """Read what `plain` gave."""
        cuts = {cut: Weighed(*map(float, each)) for cut, each in held["by_cut"].items()}
        date = dt.date.fromisoformat(held["date"])
        return cls(str(held["name"]), date, held["sample"] is True, held["teaches"] is True, cuts)


def weigh_in(cook: Cook, name: str = "") -> WeighIn:
    """Sum what was weighed in a cook by cut."""
    found: dict[str, dict[str, float | None]] = {}
    for piece in cook.pieces:
        weighed = board(piece)
        edible = piece.mass_edible
        # The mass as it goes on is of one piece where several alike stand on one line.
        count = piece.count
        values = {
            "bought": weighed.mass_bought_kg and weighed.mass_bought_kg * count,
            "on": weighed.mass_kg and weighed.mass_kg * count,
            "edible": units.parse("mass", edible, key="mass_edible") if edible else None,
        }
        total = found.setdefault(piece.cut, {"bought": 0.0, "on": 0.0, "edible": 0.0})
        for key, value in values.items():
            held = total[key]
            total[key] = None if held is None or value is None else held + value
    cuts = {
        cut: Weighed(**{key: value or 0.0 for key, value in total.items()})
        for cut, total in found.items()
    }
    return WeighIn(name, cook.date, cook.sample, cook.teaches, cuts)


def weigh_ins(texts: Iterable[tuple[str, str]], cuts: Collection[str] = ()) -> Iterator[WeighIn]:
    """Read what was weighed in cooks that weighed what was eaten.

    Parameters
    ----------
    texts : iterable of (name, text)
        Every ``cook.toml`` of the book; one that cannot be read weighed nothing.
    cuts : collection of str, optional
        Look only at cooks of one of these cuts.
    """
    for name, text in texts:
        told = "mass_edible" in text and (not cuts or any(cut in text for cut in cuts))
        if told and (found := _read(text)) is not None:
            yield replace(found, name=name)


def weighed_before(found: Iterable[WeighIn], name: str, cook: Cook) -> tuple[WeighIn, ...]:
    """Choose those before a cook, by date and name, that weighed one of its cuts, oldest first."""
    cuts = {piece.cut for piece in cook.pieces}
    those = [
        one
        for one in found
        if one.name != name
        and (one.date, one.name) < (cook.date, name)
        and not cuts.isdisjoint(one.by_cut)
    ]
    return tuple(sorted(those, key=lambda one: (one.date, one.name)))


@lru_cache(maxsize=_KEPT)
def _read(text: str) -> WeighIn | None:
    try:
        return weigh_in(toml.parse(text, Cook, file=""))
    except InputError:
        return None
