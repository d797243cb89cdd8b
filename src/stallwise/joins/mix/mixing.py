"""Mixes of a cook: scaled to its pieces, salt summed once per piece, what was made accounted."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError, placed_at
from stallwise.ground.same import Same
from stallwise.ground.scales import REGION_WORDS
from stallwise.joins.mix.mixanswer import enough_for, mix_result
from stallwise.joins.mix.mixresult import LedgerLine, MixResult, NutritionResult, SaltResult
from stallwise.joins.mix.nourishing import nourishing
from stallwise.joins.mix.portions import Portion
from stallwise.joins.mix.salting import (
    Used,
    brine_words,
    salt_of,
    salt_warnings,
    serving_kg,
    soaked,
)
from stallwise.joins.mix.trimmings import draws, source_name, trimmings_at_hand, with_trimmings
from stallwise.models.ledger import ledger, ledgers
from stallwise.models.mixes import in_order, scale, target_for
from stallwise.models.needs import needs
from stallwise.models.reduction import BOIL_C
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Book, Cook, MixUse
from stallwise.tables.humid_air import boiling_point_c, pressure_at_elevation_pa
from stallwise.tables.mix import MADE_AHEAD, Mix, Pantry
from stallwise.tables.mixbook import pantry
from stallwise.tables.serves import Serves, parse_target

__all__ = [
    "Mixed",
    "kitchen_region",
    "mix_cook",
    "mix_shelf",
    "scaled_mixes",
]


@dataclass(frozen=True)
class Mixed:
    """Everything the mixes of a cook come to."""

    mixes: tuple[MixResult, ...]
    salt: tuple[SaltResult, ...]
    ledger: tuple[LedgerLine, ...]
    nutrition: tuple[NutritionResult, ...]
    warnings: tuple[CookWarning, ...]
    #: Ingredients that are taken and did not come off a piece [g].
    takes_g: Mapping[str, float]


def kitchen_region(book: Book) -> str:
    """Which spoons and cups a cookbook has: its own word, or those of its units."""
    said = book.spoons or book.units
    return REGION_WORDS.get(said, said)


def mix_shelf(record: CookRecord) -> Pantry:
    """Ingredients and mixes of a cook: as used in it, over the book's, over the shipped ones."""
    book = record.book
    own = (Same(record.mixes), Same(record.ingredients), Same(book.measures))
    return _shelf(*own, kitchen_region(book))


@lru_cache(maxsize=8)
def _shelf(
    mixes: Same[Mapping[str, Mapping[str, object]]],
    ingredients: Same[Mapping[str, Mapping[str, object]]],
    measures: Same[Mapping[str, str]],
    region: str,
) -> Pantry:
    # A cook's mixes are asked for from many sides.
    return pantry(mixes.held, ingredients.held, measures.held, region=region)


def scaled_mixes(
    record: CookRecord, cook: Cook, portions: Sequence[Portion], shelf: Pantry
) -> tuple[Used, ...]:
    """Scale every mix of a cook to its pieces, in the order in which they go on.

    Parameters
    ----------
    record : CookRecord
    cook : Cook
        With changes laid over it.
    portions : sequence of Portion
        Its pieces.
    shelf : Pantry
    """
    by_letter = {portion.piece.letter: portion for portion in portions}
    if cook.guests is None and record.book.usual_guests:
        cook = cook.model_copy(update={"guests": record.book.usual_guests})
    used = []
    for use in cook.mixes:
        with placed_at(f"cooks/{record.name}/cook.toml, mixes ({use.mix})"):
            used.append(_scaled(use, record, cook, by_letter, shelf))
    order = {id(mix): place for place, mix in enumerate(in_order([one.mix for one in used]))}
    return tuple(sorted(used, key=lambda one: order[id(one.mix)]))


def mix_cook(record: CookRecord, cook: Cook, portions: Sequence[Portion]) -> Mixed:
    """Scale every mix of a cook; sum the salt; balance what is made ahead.

    Parameters
    ----------
    record : CookRecord
    cook : Cook
        With changes laid over it.
    portions : sequence of Portion
        Its pieces.
    """
    shelf = mix_shelf(record)
    region = kitchen_region(record.book)
    used = scaled_mixes(record, cook, portions, shelf)
    by_letter = {portion.piece.letter: portion for portion in portions}
    ahead = [one.mix for one in used if one.mix.kind in MADE_AHEAD]
    on_meat = [one for one in used if one.mix.kind not in MADE_AHEAD]
    salts = [
        found
        for portion in portions
        if (found := salt_of(portion, on_meat, by_letter, cook, shelf)) is not None
    ]
    lines = [
        *ledgers([one.mix for one in on_meat], ahead, region=region),
        *(
            ledger(name, drawn.there_kg * 1e3, drawn.uses_g, name=source_name(name, record.name))
            for name, drawn in draws(record, cook, used).items()
        ),
    ]
    short = [
        CookWarning(f"short-{line.what}", f"{line.name}: {line.short_text}.")
        for line in lines
        if line.short_text
    ]
    home_g = trimmings_at_hand(record, cook, used)
    results = [mix_result(one.mix, one.on, _sides(one, by_letter)) for one in used]
    return Mixed(
        _said_once(results, {text for one in used for text in one.mix.general}),
        tuple(salts),
        tuple(
            LedgerLine(line.name, line.made_g, line.used, line.left_g, line.short_text)
            for line in lines
        ),
        _nourishing(portions, on_meat, shelf, cook),
        (*short, *(warning for found in salts for warning in salt_warnings(found, record.book))),
        {
            key: grams - home_g.get(key, 0.0)
            for key, grams in needs([one.mix for one in on_meat], ahead).grams.items()
        },
    )


def _nourishing(
    portions: Sequence[Portion],
    on_meat: Sequence[Used],
    shelf: Pantry,
    cook: Cook,
) -> tuple[NutritionResult, ...]:
    """Nutrients of a serving of each piece, where its meat was ever measured."""
    by_letter = {portion.piece.letter: portion for portion in portions}
    size_kg = serving_kg(cook, portions)
    found = [
        nourishing(portion, on_meat, by_letter, shelf, serving_kg=size_kg) for portion in portions
    ]
    return tuple(one for one in found if one is not None)


def _scaled(
    use: MixUse, record: CookRecord, cook: Cook, portions: Mapping[str, Portion], shelf: Pantry
) -> Used:
    on = tuple(use.on) or tuple(portions)
    region, system = kitchen_region(record.book), record.book.units
    mix = _with_pan(shelf.mix(use.mix), use)
    if use.amount:
        target = parse_target(use.amount, batch=True, region=region, measures=record.book.measures)
    elif use.from_:
        target = with_trimmings(use, mix, record, cook, shelf)
    else:
        target = _target(mix, on, portions, cook, system)
    scaled = scale(mix, target, shelf, region=region, system=system, boil_c=_boil_c(record, cook))
    return Used(scaled, on, use.sticks)


def _boil_c(record: CookRecord, cook: Cook) -> float:
    """Where water boils, at the elevation of the cook."""
    height_m = units.parse("elevation", cook.elevation or record.book.elevation, key="elevation")
    # Its own scale puts the boil at sea level at 99.97 °C; the kitchen's numbers are for 100.
    sea_c, here_c = (
        float(boiling_point_c(pressure_at_elevation_pa(each))) for each in (0.0, height_m)
    )
    return BOIL_C + here_c - sea_c


def _with_pan(mix: Mix, use: MixUse) -> Mix:
    """Reduce in the pan that this cook names."""
    if not use.pan:
        return mix
    if mix.reduce is None:
        raise InputError(
            f"{mix.name} has a pan and is not reduced", "pan beside a mix with [reduce]"
        )
    return replace(mix, reduce=replace(mix.reduce, pan_m=units.parse("length", use.pan, key="pan")))


def _target(
    mix: Mix, on: Sequence[str], portions: Mapping[str, Portion], cook: Cook, system: str
) -> Serves:
    pieces = [portions[letter] for letter in on]
    counts = {
        "meat": sum(one.mass_kg for one in pieces),
        "edible": sum(one.raw_edible_kg for one in pieces),
        "area": sum(one.area_m2 for one in pieces),
        "piece": sum(one.piece.count for one in pieces),
        "guest": cook.guests or 0,
    }
    kind = (mix.use.per if mix.use else mix.per).kind
    said = enough_for(kind, counts.get(kind, 0), system)
    return target_for(
        mix,
        meat_kg=counts["meat"],
        edible_kg=counts["edible"],
        area_m2=counts["area"],
        pieces=int(counts["piece"]),
        guests=cook.guests,
        text=f"for {said}" if said else "one batch",
    )


def _sides(one: Used, portions: Mapping[str, Portion]) -> tuple[str, ...]:
    """Both readings of what a brine leaves in the meat, side by side; an injection's strength."""
    pieces = [portions[letter] for letter in one.on]
    meat_kg = sum(piece.mass_kg for piece in pieces)
    if one.mix.kind not in {"brine", "injection"} or meat_kg <= 0.0:
        return ()
    water = sum(piece.mass_kg * piece.water_share for piece in pieces) / meat_kg
    return brine_words(one.mix, meat_kg, water, soaked(one, pieces))


def _said_once(mixes: Iterable[MixResult], general: Collection[str]) -> tuple[MixResult, ...]:
    """Leave a general remark, such as which spoons are meant, to the first mix that makes it."""
    seen: set[str] = set()
    found = []
    for mix in mixes:
        notes = tuple(n for n in mix.notes if n not in general or n not in seen)
        seen.update(mix.notes)
        found.append(replace(mix, notes=notes))
    return tuple(found)
