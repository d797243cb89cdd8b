"""A crowd plan laid out as a cook: whole pieces over servings, pits and boxes, each where it has room."""

from __future__ import annotations

import datetime as dt
import string
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.ground.scales import POUND_KG
from stallwise.joins.crowd.crowd import CrowdPlan, MeatPlan, too_much
from stallwise.joins.crowd.room import Serving, pans_for
from stallwise.joins.draft import cook_text
from stallwise.record.schema import SCHEMA, Pit

__all__ = ["PitAt", "crowd_cook"]

_PITS, _BOXES = "PQRWXYZ", "IJKL"
#: No piece or pit has this letter: on paper "1345 H" is an hour.
_HOURS = "H"


@dataclass(frozen=True)
class PitAt:
    """A pit or box of the book: its name, and what its file says."""

    name: str
    pit: Pit


def crowd_cook(
    plan: CrowdPlan,
    pits: Sequence[PitAt],
    boxes: Sequence[PitAt],
    *,
    title: str,
    date: dt.date,
    people: int | None = None,
    prices: Mapping[str, str] | None = None,
    liked: Mapping[str, float] | None = None,
) -> str:
    """Text of the ``cook.toml`` of a crowd plan.

    Parameters
    ----------
    plan : CrowdPlan
    pits, boxes : sequence of PitAt
        In the order in which they are filled.
    title, date : str, date
        Of the cook.
    people : int, optional
        Who helps.
    prices : mapping of str to str, optional
        By cut, as written.
    liked : mapping of str to float, optional
        By cut, share of those who take one meat that take this.

    Raises
    ------
    InputError
        It does not fit into the pits; what does, and what to hire. What no box takes any more has none.
    """
    too_many = next((said for said in too_much(plan) if said.key == "crowd-pits"), None)
    if too_many:
        raise InputError(too_many.text)
    if (plan.loads or 1) > 1:
        raise InputError(
            f"{plan.loads} loads", "one load a cook",
            "Lay one out for the guests that one load feeds, and the rest as a cook of the day before "
            "with reheat on its pieces",
        )  # fmt: skip
    used = f"{_PITS[: len(pits)]}{_BOXES[: len(boxes)]}{_HOURS}"
    letters = iter([each for each in string.ascii_uppercase if each not in used])
    free = [1.0] * max(len(pits), 1)
    room = {_BOXES[at]: box.pit.pans or 0 for at, box in enumerate(boxes)}
    pieces = [
        _piece(next(letters), meat, count, serving, pit, room, prices or {})
        for serving in plan.servings
        for meat in plan.meats
        for pit, count in _over_pits(meat, serving.pieces[meat.cut], len(pits), free)
    ]
    guests = plan.guests
    data: dict[str, Any] = {"schema": SCHEMA, "title": title, "date": date, "template": "cook"}
    if clocks := [serving.at for serving in plan.servings if serving.at]:
        data["serve"] = clocks[0]
    data["guests"] = guests.heads
    data |= {
        key: count
        for key in ("children", "hungry", "light", "no_meat")
        if (count := getattr(guests, key))
    }
    if people:
        data["people"] = people
    terms: dict[str, Any] = {}
    if guests.no_shows:
        terms["no_shows"] = f"{guests.no_shows * 100:g} %"
    if liked:
        terms["liked"] = {cut: f"{share * 100:g} %" for cut, share in liked.items()}
    if terms:
        data["quote"] = terms
    data["pits"] = [
        {"letter": _PITS[at], "pit": pit.name, "kind": pit.pit.kind} for at, pit in enumerate(pits)
    ] + [
        {"letter": _BOXES[at], "pit": box.name, "kind": box.pit.kind}
        for at, box in enumerate(boxes)
    ]
    data["pieces"] = pieces
    return cook_text({key: value for key, value in data.items() if value != []})


def _over_pits(
    meat: MeatPlan, pieces: int, pits: int, free: list[float]
) -> Iterator[tuple[str, int]]:
    """Fill the pits one after the other; where nobody measured them, all lie in the first."""
    if not pits or not meat.fits:
        if pieces:
            yield (_PITS[0] if pits else ""), pieces
        return
    for at, fits in enumerate(meat.fits):
        count = min(pieces, int(free[at] * fits + 1e-9))
        if count:
            free[at] -= count / fits
            pieces -= count
            yield _PITS[at], count
    if pieces:
        raise InputError(
            f"{pieces} × {meat.name} lie in none of the pits: the room that is left is cut up between them",
            "",
            "Hire another, or give it a second load",
        )


def _piece(
    letter: str,
    meat: MeatPlan,
    count: int,
    serving: Serving,
    pit: str,
    room: dict[str, int],
    prices: Mapping[str, str],
) -> dict[str, Any]:
    bought = meat.purchase
    pans = pans_for(count, bought.cooked_kg[1] / bought.pieces)
    box = next((name for name, left in room.items() if left >= pans), "")
    if box:
        room[box] -= pans
    piece: dict[str, Any] = {"letter": letter, "cut": meat.cut}
    if count > 1:
        piece["count"] = count
    piece["mass_bought"] = _mass(bought.piece_kg)
    piece["mass"] = _mass(bought.piece_kg * meat.eaten.kept)
    if pit:
        piece["pit"] = pit
    if box:
        piece |= {"hold": "box", "hold_in": box, "pans": pans}
    if serving.at:
        piece["serve"] = serving.at
    if meat.cut in prices:
        piece["price"] = prices[meat.cut]
    return piece


def _mass(mass_kg: float) -> str:
    return f"{mass_kg / POUND_KG:.2f}".rstrip("0").rstrip(".") + " lb"
