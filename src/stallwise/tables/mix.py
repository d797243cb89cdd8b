"""What a mix is made of: lines, what they are for, and what is done with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from stallwise.ground.amounts import Amount
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.tables.ingredients import Ingredient, find_ingredient
from stallwise.tables.serves import Serves

__all__ = ["KINDS", "MADE_AHEAD", "Line", "Mix", "Pantry", "Reduction", "Simmer", "Use"]

#: Kinds of mix, and what each is.
KINDS: Mapping[str, str] = MappingProxyType(
    {
        "binder": "thin coat that the rub clings to",
        "rub": "dry seasoning",
        "dry brine": "salt that goes on hours before",
        "brine": "salted water that the meat lies in",
        "injection": "liquid put into the meat",
        "stock": "bones and water, simmered and strained",
        "spritz": "sprayed on during the cook",
        "wrap liquid": "poured into the wrap",
        "butter": "fat laid into the wrap",
        "glaze": "brushed on to set",
        "sauce": "mixed in or poured over before it is served",
        "table sauce": "passed round; counted as if all of it were eaten",
        "fat": "rendered from trimmings",
        "grind": "trimmings ground for sausage",
    }
)
#: Kinds that are made ahead and used by other mixes, or eaten by themselves.
MADE_AHEAD = ("stock", "fat", "grind")


@dataclass(frozen=True)
class Line:
    """One line of a mix: an ingredient or another mix, and how much.

    Attributes
    ----------
    ingredient, mix : str
        Key of one or the other; the other is empty.
    amount : Amount
        As written.
    after : bool
        Added after reducing.
    strained : bool
        Taken out before the mix is used (bones).
    note : str
        The cook's own words.
    strength : float or None
        Nitrite in a curing salt, as its label states.
    """

    ingredient: str
    mix: str
    amount: Amount
    after: bool = False
    strained: bool = False
    note: str = ""
    strength: float | None = None


@dataclass(frozen=True)
class Simmer:
    """A stock's simmer: how long [s], and what it makes once strained."""

    makes: Amount
    time_s: float | None = None


@dataclass(frozen=True)
class Reduction:
    """Boiling down to a volume or mass (`to`), or by a number of times (`by`).

    Attributes
    ----------
    to : Amount or None
        What is left.
    by : float or None
        How many times less.
    power_w : float or None
        Heat that reaches the liquid [W], or the ring's rating where `ring` is given.
    ring : str
        ``gas``, ``electric``, ``induction``, or empty.
    pan_m : float or None
        Inner width of the pan [m].
    at_c : float or None
        Kept below the boil at this temperature [°C].
    """

    to: Amount | None = None
    by: float | None = None
    power_w: float | None = None
    ring: str = ""
    pan_m: float | None = None
    at_c: float | None = None


@dataclass(frozen=True)
class Use:
    """How much of a batch goes on what."""

    amount: Amount
    per: Serves


@dataclass(frozen=True)
class Mix:
    """One mix as written.

    Attributes
    ----------
    key, name, kind : str
        Key (name of its file), name on screens, and one of `KINDS`.
    lines : tuple of Line
        In the order of the file.
    per : Serves
        What the amounts are for.
    use : Use or None
        How much of a batch is used.
    region : str
        Spoons and cups of the file: ``us``, ``metric``, ``metric-20`` or ``imperial``.
    sticks : float or None
        Share that stays on what is eaten; None for the usual of its kind.
    order : int
        First comes first where several go on one piece.
    simmer, reduce : Simmer, Reduction or None
        What is done with it, in this order.
    note, source : str
        The cook's words, and where the mix comes from.
    ratio : str
        Parts as written, such as ``1:2 by volume``; empty where amounts are given.
    soak_s : float or None
        How long meat lies in a brine or under a dry one [s].
    where : str
        The cook's own file, for messages; empty for a shipped mix.
    """

    key: str
    name: str
    kind: str
    lines: tuple[Line, ...]
    per: Serves
    use: Use | None = None
    region: str = "us"
    sticks: float | None = None
    order: int = 0
    simmer: Simmer | None = None
    reduce: Reduction | None = None
    note: str = ""
    source: str = ""
    ratio: str = ""
    soak_s: float | None = None
    where: str = ""


@dataclass(frozen=True)
class Pantry:
    """What mixes are made of: ingredients and other mixes, by key."""

    ingredients: Mapping[str, Ingredient] = field(default_factory=dict)
    mixes: Mapping[str, Mix] = field(default_factory=dict)
    #: The cook's own that cannot be read, and why: one spoils no other.
    broken: Mapping[str, InputError] = field(default_factory=dict)

    def ingredient(self, key: str) -> Ingredient:
        """Look an ingredient up; the nearest names are offered, and bare salt is asked."""
        if f"ingredients/{key}" in self.broken:
            raise self.broken[f"ingredients/{key}"]
        return find_ingredient(key, self.ingredients)

    def mix(self, key: str) -> Mix:
        """Look a mix up; the nearest names are offered."""
        if f"mixes/{key}" in self.broken:
            raise self.broken[f"mixes/{key}"]
        if key not in self.mixes:
            raise NotFoundError("mix", key, self.mixes)
        return self.mixes[key]
