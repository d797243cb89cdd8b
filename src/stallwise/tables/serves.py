"""What a mix is for: an amount of meat, pieces, guests, batches, or a batch of some size."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground.amounts import Amount, split_amount
from stallwise.ground.errors import InputError
from stallwise.ground.numerals import plain
from stallwise.ground.scales import FOOT_M, INCH_M
from stallwise.ground.units import parse_mass_kg

__all__ = ["Serves", "parse_serves", "parse_target"]

_WORDS = {
    "piece": "piece pieces rack racks bird birds butt butts brisket briskets shoulder shoulders",
    "guest": "guest guests head heads person persons people plate plates",
    "batch": "batch batches",
}
_KIND = {word: kind for kind, words in _WORDS.items() for word in words.split()}
_COUNTED = re.compile(r"(?P<count>.*?)\s*(?P<word>[a-z]+)")
_AREAS = {"m2": 1.0, "m²": 1.0, "cm2": 1e-4, "cm²": 1e-4, "sqft": FOOT_M**2, "sqin": INCH_M**2}
_AREA = re.compile(
    r"(?P<count>[\d.,/ ]*?)\s*(?P<unit>m2|m²|cm2|cm²|sq ?ft|sq ?in)(?:\s+of\s+surface)?"
)
_MEAT = re.compile(r"(?P<mass>.+?)\s*(?:of\s+)?(?:raw\s+|edible\s+)?meat")


@dataclass(frozen=True)
class Serves:
    """What amounts are for.

    Attributes
    ----------
    kind : {"meat", "edible", "area", "piece", "guest", "batch", "batch mass", "batch volume", "of"}
        Meat and edible meat count in kg, surface in m2, a batch's mass in kg and its volume in m3,
        the others in numbers; ``of`` is what is there of one ingredient.
    count : float
        How much or how many.
    text : str
        As written.
    ingredient : str
        For ``of``: the ingredient or mix that is there.
    amount : Amount or None
        For ``of``: how much of it.
    """

    kind: str
    count: float
    text: str
    ingredient: str = ""
    amount: Amount | None = None


def parse_serves(text: str) -> Serves:
    """Read what a mix file's ``per`` says: ``"1 kg meat"``, ``"piece"``, ``"4 guests"``.

    Raises
    ------
    InputError
        Anything else, or none of it.
    """
    said = text.strip()
    area = _AREA.fullmatch(plain(said).casefold())
    if area:
        return _area(area, said)
    meat = _MEAT.fullmatch(plain(said).casefold())
    if meat:
        mass = meat["mass"] if re.match(r"[\d.,a]", meat["mass"]) else f"1 {meat['mass']}"
        return _positive(Serves(_meat_kind(said), parse_mass_kg(mass), said))
    counted = _counted(said)
    if counted:
        return counted
    raise InputError(
        f"{said!r}",
        "'1 kg meat', '1 kg edible meat', '1 m2', 'piece', 'guest', 'batch', or several: '4 pieces'",
    )


def parse_target(
    text: str,
    *,
    batch: bool = False,
    region: str = "us",
    measures: Mapping[str, str] | None = None,
) -> Serves:
    """Read what to scale to: ``"4 kg"`` is meat; ``"5 pieces"``, ``"28 guests"``, ``"2 batches"``.

    Parameters
    ----------
    text : str
        As the cook wrote it.
    batch : bool, default False
        A weight or volume is that of the mix itself (``"250 g"``, ``"3 cups"``).
    region : str, optional
        Which spoon and cup.
    measures : mapping of str to str, optional
        The cook's own measures.

    Raises
    ------
    InputError
        A bare number, a volume without `batch`, or an amount of nothing.

    Examples
    --------
    >>> parse_target("4 kg").kind, parse_target("250 g", batch=True).kind
    ('meat', 'batch mass')
    """
    said = text.strip()
    counted = _counted(said)
    if counted:
        return counted
    area = _AREA.fullmatch(plain(said).casefold())
    if area:
        return _area(area, said)
    meat = _MEAT.fullmatch(plain(said).casefold())
    if re.fullmatch(r"[\d\s.,/½¼¾]+", said):
        raise InputError(
            f"{said!r} has no unit:",
            "",
            f"'{said} kg', '{said} pieces', '{said} guests' or '{said} batches'?",
        )
    amount, rest = split_amount(meat["mass"] if meat else said, region=region, measures=measures)
    if rest and amount.kind in {"mass", "volume"} and not meat:
        what = rest.removeprefix("of ").strip()
        return _positive(Serves("of", amount.si, said, what, amount))
    if rest or amount.kind not in {"mass", "volume"}:
        raise InputError(
            f"{said!r}",
            "'4 kg' of meat, '5 pieces', '28 guests', '2 batches', or what is there of something: "
            "'250 g of honey'",
        )
    if amount.kind == "volume" and not batch:
        raise InputError(
            f"{said!r} is a volume, and meat is weighed",
            "'4 kg'",
            "Say that it is the size of the batch",
        )
    if batch and not meat:
        return _positive(Serves(f"batch {amount.kind}", amount.si, said))
    return _positive(Serves(_meat_kind(said), amount.si, said))


def _meat_kind(said: str) -> str:
    return "edible" if "edible" in said.casefold() else "meat"


def _area(match: re.Match[str], said: str) -> Serves:
    count = split_amount(f"{match['count'] or 1} batch")[0].value
    return _positive(Serves("area", count * _AREAS[match["unit"].replace(" ", "")], said))


def _counted(said: str) -> Serves | None:
    match = _COUNTED.fullmatch(plain(said).casefold())
    if not match or match["word"] not in _KIND:
        return None
    kind, head = _KIND[match["word"]], match["count"]
    if head in {"", "a", "one", "each", "per", "the"}:
        return Serves(kind, 1.0, said)
    try:
        amount, rest = split_amount(f"{head} batch")
    except InputError as error:
        raise InputError(
            error.came.replace(f"{head} batch", said), error.allowed, error.todo
        ) from error
    if amount.kind == "batch":
        return _positive(Serves(kind, amount.value, said))
    # "4 kg brisket" is a weight of meat and never four briskets.
    if amount.kind == "mass" and rest in {"batch", "of batch"} and kind == "piece":
        return _positive(Serves("meat", amount.si, said))
    raise InputError(
        f"{said!r}", "a count ('5 pieces', '28 guests', '2 batches') or a weight of meat ('4 kg')"
    )


def _positive(serves: Serves) -> Serves:
    if serves.count > 0:
        return serves
    raise InputError(f"{serves.text!r} is nothing", "more than nothing")
