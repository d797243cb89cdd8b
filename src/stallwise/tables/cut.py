"""One cut of meat: what it weighs, how big it is, what it is made of, how it may be wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.ranges import Range
from stallwise.tables.own_ingredient import refuse_slips
from stallwise.tables.parameters import parameter
from stallwise.tables.properties import Composition

__all__ = ["Cut", "Finish", "Span", "SpritzHabit", "Target", "WrapHabit", "read_cut"]

_SECTIONS = (
    *(
        "schema",
        "like",
        "name",
        "species",
        "aliases",
        "surface",
        "tissue",
        "number",
        "mass",
        "size",
    ),
    *("composition", "bone", "yield", "pit", "start", "wrap", "spritz", "rest", "carve"),
    *("serve", "finish"),
    *("note", "source", "grade"),
)
_DOSE = Range("dose", 0.01, 20.0, "", "tenderness over that of a probe-tender brisket")
_CORE = Range("core temperature", 0.0, 110.0, "°C", "a finish")
_KINDS = {"dose": _DOSE, "core": _CORE}


@dataclass(frozen=True)
class Target:
    """When a piece has the wanted finish.

    Attributes
    ----------
    kind : {"dose", "core"}
        By tenderness, or by core temperature.
    value : float
        Dose [-], 1 is where a probe goes into a brisket like butter; or temperature [°C].
    """

    kind: str
    value: float

    def __post_init__(self) -> None:
        if self.kind not in _KINDS:
            raise NotFoundError("kind of finish", self.kind, _KINDS)
        _KINDS[self.kind].require(self.value)


@dataclass(frozen=True)
class Finish:
    """A wanted finish in words, the target behind it, and the sign to look for."""

    words: str
    target: Target
    sign: str


@dataclass(frozen=True)
class Span:
    """What is usual and what is seen now and then, with the bounds of the possible."""

    usual: float
    low: float
    high: float
    smallest: float
    largest: float


@dataclass(frozen=True)
class WrapHabit:
    """Usual wrap, and the window [s since meat on] in which the colour is right."""

    kind: str
    earliest_s: float
    latest_s: float


@dataclass(frozen=True)
class SpritzHabit:
    """First spritz and spacing [s], how often, and water each time [kg/m2], run-off included."""

    first_s: float
    every_s: float
    visits: int
    water_kg_m2: float


@dataclass(frozen=True)
class Cut:
    """A catalogue entry.

    Attributes
    ----------
    key, name, species, imps : str
        `imps` is the number of the meat specification, or empty.
    aliases : tuple of str
        Other words for it.
    surface, tissue : str
        Kinds in the keys ``surface.…`` and ``tissue.…`` of the parameters.
    mass : Span
        Mass as it goes on [kg].
    half_m : tuple of three floats
        Half thickness, width and length at the usual mass [m].
    thin, thick : float
        Factors on the usual thickness.
    thinnest_m, thickest_m : float
        Whole thickness beyond which it is unusual [m].
    ruler : bool
        A ruler's sizes can be used; not where they belong to a stand-in body, as of a bird with
        its cavity.
    composition : Composition
    bone_fraction, edible_fraction : float
        Share of the raw mass that is bone, and that is eaten when cooked by the book.
    pit : tuple of three floats
        Usual, low and high pit [°C].
    start_core_c : float
        Core when it goes on [°C].
    wrap : WrapHabit
    spritz : SpritzHabit
    rest_s, carve_s : float
        Usual rest, and carving of one piece by one person [s].
    finishes : tuple of Finish
        In order of tenderness.
    usual_finish : str
        Words of the finish taken when none is given.
    serve_core_c : mapping of finish words to float
        Core at which practice cuts it, once it has come down [°C].
    note : str
        What else a cook should know of it, or empty.
    """

    key: str
    name: str
    species: str
    imps: str
    aliases: tuple[str, ...]
    surface: str
    tissue: str
    mass: Span
    half_m: tuple[float, float, float]
    thin: float
    thick: float
    thinnest_m: float
    thickest_m: float
    ruler: bool
    composition: Composition
    bone_fraction: float
    edible_fraction: float
    pit: tuple[float, float, float]
    start_core_c: float
    wrap: WrapHabit
    spritz: SpritzHabit
    rest_s: float
    carve_s: float
    finishes: tuple[Finish, ...]
    usual_finish: str
    serve_core_c: Mapping[str, float] = field(default_factory=dict)
    note: str = ""

    @property
    def usual_mass_kg(self) -> float:
        """Mass taken when none is given [kg]."""
        return self.mass.usual

    @property
    def pit_c(self) -> float:
        """Usual pit [°C]."""
        return self.pit[0]

    @property
    def finish_words(self) -> tuple[str, ...]:
        """Words of the finishes, in order of tenderness."""
        return tuple(finish.words for finish in self.finishes)

    def finish(self, words: str | None = None) -> Finish:
        """Look a finish up.

        Parameters
        ----------
        words : str or None
            As in `finish_words`, whatever the case; None for the usual one.

        Raises
        ------
        NotFoundError
            This cut has no such finish; the nearest are offered.
        """
        wanted = (words or self.usual_finish).casefold().strip()
        for finish in self.finishes:
            if finish.words.casefold() == wanted:
                return finish
        raise NotFoundError(f"finish of {self.name}", str(words), self.finish_words)


def read_cut(key: str, table: Mapping[str, Any], *, where: str) -> Cut:
    """Read one cut from a table as in ``data/cuts``.

    Parameters
    ----------
    key : str
        Its name in the catalogue.
    table : mapping
        The file's contents; a value stands by itself or as ``{value = …}`` beside its source.
    where : str
        File, for messages.

    Raises
    ------
    InputError
        A section or value is missing, misspelt or of the wrong kind.
    """
    refuse_slips(table, _SECTIONS, where)
    get = _Reader(table, where)
    surface, tissue = get.text("surface"), get.text("tissue")
    finishes, usual = _finishes(table.get("finish", ()), where)
    parameter(f"surface.{surface}.wetness")
    parameter(f"tissue.{tissue}.rate")
    return Cut(
        key=key,
        name=get.text("name"),
        species=get.text("species"),
        imps=str(get.raw("number", "imps", default="")),
        aliases=tuple(str(name) for name in table.get("aliases", ())),
        surface=surface,
        tissue=tissue,
        mass=_span(get),
        half_m=(
            get.quantity("length", "size", "half_thickness"),
            get.quantity("length", "size", "half_width"),
            get.quantity("length", "size", "half_length"),
        ),
        thin=get.number("size", "thin"),
        thick=get.number("size", "thick"),
        thinnest_m=get.quantity("length", "size", "thinnest"),
        thickest_m=get.quantity("length", "size", "thickest"),
        ruler=get.flag("size", "ruler", default=True),
        composition=Composition(
            **{part: get.number("composition", part) for part in ("water", "protein", "fat", "ash")}
        ),
        bone_fraction=get.number("bone", "share"),
        edible_fraction=get.number("yield", "edible"),
        pit=(
            get.quantity("temperature", "pit", "usual"),
            get.quantity("temperature", "pit", "low"),
            get.quantity("temperature", "pit", "high"),
        ),
        start_core_c=get.quantity("temperature", "start", "core"),
        wrap=WrapHabit(
            str(get.raw("wrap", "kind")),
            get.quantity("duration", "wrap", "earliest"),
            get.quantity("duration", "wrap", "latest"),
        ),
        spritz=SpritzHabit(
            get.quantity("duration", "spritz", "first"),
            get.quantity("duration", "spritz", "every"),
            int(get.number("spritz", "visits")),
            get.number("spritz", "water"),
        ),
        rest_s=get.quantity("duration", "rest", "usual"),
        carve_s=get.quantity("duration", "carve", "usual"),
        finishes=finishes,
        usual_finish=usual,
        serve_core_c=_serve_core(get, table),
        note=str(table.get("note", "")),
    )


class _Reader:
    """Values of a cut's table by section and name."""

    def __init__(self, table: Mapping[str, Any], where: str) -> None:
        self.table = table
        self.where = where

    def raw(self, section: str, name: str, *, default: object = None) -> Any:
        part = self.table.get(section, {})
        found = part.get(name, default) if isinstance(part, Mapping) else default
        if isinstance(found, Mapping):
            found = found.get("value")
        if found is None:
            raise InputError(
                f"no {section}.{name}", "a value, or like = the cut it resembles", where=self.where
            )
        return found

    def text(self, name: str) -> str:
        found = self.table.get(name)
        if found is None:
            raise InputError(f"no {name}", "text, or like = the cut it resembles", where=self.where)
        if not isinstance(found, str) or not found:
            raise InputError(f"{name} = {found!r}", "text", where=self.where)
        return found

    def flag(self, section: str, name: str, *, default: bool) -> bool:
        found = self.raw(section, name, default=default)
        if not isinstance(found, bool):
            raise InputError(f"{section}.{name} = {found!r}", "true or false", where=self.where)
        return found

    def number(self, section: str, name: str) -> float:
        found = self.raw(section, name)
        if isinstance(found, bool) or not isinstance(found, (int, float)):
            raise InputError(f"{section}.{name} = {found!r}", "a number", where=self.where)
        return float(found)

    def quantity(self, kind: str, section: str, name: str) -> float:
        try:
            return units.parse(kind, self.raw(section, name), key=f"{section}.{name}")
        except InputError as error:
            raise InputError(error.came, error.allowed, error.todo, where=self.where) from error


def _serve_core(get: _Reader, table: Mapping[str, Any]) -> dict[str, float]:
    if "serve" not in table:
        return {}
    return {str(get.raw("serve", "finish")): get.quantity("temperature", "serve", "core")}


def _span(get: _Reader) -> Span:
    names = ("usual", "low", "high", "smallest", "largest")
    span = Span(*(get.quantity("mass", "mass", name) for name in names))
    if not span.smallest <= span.low <= span.usual <= span.high <= span.largest:
        raise InputError(
            "masses out of order", "smallest, low, usual, high, largest", where=get.where
        )
    return span


def _finishes(rows: Sequence[Mapping[str, Any]], where: str) -> tuple[tuple[Finish, ...], str]:
    found = []
    usual = ""
    for row in rows:
        words = str(row.get("words", ""))
        kinds = [kind for kind in _KINDS if kind in row]
        if not words or len(kinds) != 1:
            raise InputError(
                f"finish {words!r}", "words, and a dose or a core temperature", where=where
            )
        found.append(
            Finish(words, _target(kinds[0], row[kinds[0]], where), str(row.get("sign", "")))
        )
        if row.get("usual") or not usual:
            usual = words
    if not found:
        raise InputError("no finish", "at least one", where=where)
    return tuple(found), usual


def _target(kind: str, given: object, where: str) -> Target:
    if kind == "core":
        return Target(kind, units.parse("temperature", str(given), key="core"))
    if isinstance(given, str):
        return Target(kind, parameter(given).value)
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        return Target(kind, float(given))
    raise InputError(f"dose = {given!r}", "a number or the key of a parameter", where=where)
