"""Mixes of a cook: scaled to its pieces, salt summed once per piece, what was made accounted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.result import LedgerLine, MixLine, MixResult, SaltResult
from stallwise.models.ledger import ledgers
from stallwise.models.mixes import ScaledMix, in_order, scale, target_for
from stallwise.models.salt import SaltUse, enhanced_salt_g, salt
from stallwise.record.schema import Cook, MixUse, Piece
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.mix import Mix, Pantry
from stallwise.tables.mixbook import mixbook, pantry
from stallwise.tables.serves import parse_target

__all__ = ["Mixed", "Portion", "mix_book", "mix_cook", "scale_for"]

_ALLERGENS = "Allergens:"
_LABEL = re.compile(r"(?:sodium\s+)?(?P<mg>[\d.,]+)\s*mg\s+per\s+(?P<mass>.+)", re.IGNORECASE)


@dataclass(frozen=True)
class Portion:
    """A piece as mixes see it: raw mass of all its alike ones and what of it is eaten [kg]."""

    piece: Piece
    mass_kg: float
    edible_kg: float


@dataclass(frozen=True)
class Mixed:
    """Everything the mixes of a cook come to."""

    mixes: tuple[MixResult, ...]
    salt: tuple[SaltResult, ...]
    ledger: tuple[LedgerLine, ...]
    warnings: tuple[CookWarning, ...]


def mix_book(overlay: Mapping[str, Mapping[str, Any]]) -> Mapping[str, Mix]:
    """Every mix by key, the cook's own laid over the shipped ones."""
    return dict(sorted(mixbook(overlay).items()))


def scale_for(
    name: str,
    target: str,
    *,
    batch: bool,
    mixes: Mapping[str, Mapping[str, Any]],
    ingredients: Mapping[str, Mapping[str, Any]],
    measures: Mapping[str, str] | None = None,
    system: str = "us",
) -> MixResult:
    """Scale one mix to an amount as a person writes it.

    Parameters
    ----------
    name, target : str
        Key of the mix; ``"4 kg"`` of meat, ``"5 pieces"``, ``"28 guests"``, ``"2 batches"``.
    batch : bool
        The amount is that of the mix itself.
    mixes, ingredients, measures : mapping
        The cook's own, laid over the shipped tables.
    system : {"us", "metric"}
        Units of notes.
    """
    shelf = pantry(mixes, ingredients, measures)
    scaled = scale(name, parse_target(target, batch=batch), shelf, region=system, system=system)
    return _result(scaled, ())


def mix_cook(
    cook: Cook,
    portions: Sequence[Portion],
    *,
    mixes: Mapping[str, Mapping[str, Any]],
    ingredients: Mapping[str, Mapping[str, Any]],
    measures: Mapping[str, str],
    system: str,
) -> Mixed:
    """Scale every mix of a cook; sum the salt; balance what is made ahead.

    Parameters
    ----------
    cook : Cook
        With changes laid over it.
    portions : sequence of Portion
        Its pieces.
    mixes, ingredients, measures : mapping
        The cook's own tables.
    system : {"us", "metric"}
        Spoons and units shown.
    """
    shelf = pantry(mixes, ingredients, measures)
    by_letter = {portion.piece.letter: portion for portion in portions}
    used = [_scaled(use, cook, by_letter, shelf, system) for use in cook.mixes]
    ordered = in_order([mix for mix, _ in used])
    letters = {id(mix): on for mix, on in used}
    sticks = {id(mix): use.sticks for (mix, _), use in zip(used, cook.mixes, strict=True)}
    ahead = [mix for mix in ordered if mix.kind == "stock"]
    on_meat = [mix for mix in ordered if mix.kind != "stock"]
    salts = [
        found
        for portion in portions
        if (found := _salt(portion, on_meat, letters, sticks, by_letter)) is not None
    ]
    lines = ledgers(on_meat, ahead, region=system)
    short = [
        CookWarning(f"short-{line.what}", f"{line.name}: {line.short_text}.")
        for line in lines
        if line.short_text
    ]
    return Mixed(
        _said_once(_result(mix, letters[id(mix)]) for mix in ordered),
        tuple(salts),
        tuple(
            LedgerLine(line.name, line.made_g, line.used, line.left_g, line.short_text)
            for line in lines
        ),
        (*short, *filter(None, map(_too_salty, salts))),
    )


def _scaled(
    use: MixUse, cook: Cook, portions: Mapping[str, Portion], shelf: Pantry, system: str
) -> tuple[ScaledMix, tuple[str, ...]]:
    on = tuple(use.on) or tuple(portions)
    mix = shelf.mix(use.mix)
    if use.amount:
        target = parse_target(use.amount, batch=True)
    else:
        target = target_for(
            mix,
            meat_kg=sum(portions[letter].mass_kg for letter in on),
            pieces=sum(portions[letter].piece.count for letter in on),
            guests=cook.guests,
            text=_for_text(mix, on, portions, cook, system),
        )
    return scale(mix, target, shelf, region=system, system=system), on


def _for_text(
    mix: Mix, on: Sequence[str], portions: Mapping[str, Portion], cook: Cook, system: str
) -> str:
    kind = (mix.use.per if mix.use else mix.per).kind
    if kind == "meat":
        mass = sum(portions[letter].mass_kg for letter in on)
        return f"for {units.format_mass(mass, system)} of meat"
    if kind == "piece":
        count = sum(portions[letter].piece.count for letter in on)
        return f"for {count} piece" + "s" * (count != 1)
    return f"for {cook.guests} guests" if kind == "guest" else "one batch"


def _salt(
    portion: Portion,
    mixes: Sequence[ScaledMix],
    letters: Mapping[int, tuple[str, ...]],
    sticks: Mapping[int, float | None],
    portions: Mapping[str, Portion],
) -> SaltResult | None:
    """Salt on one piece: its share by mass of every mix that goes on it."""
    letter = portion.piece.letter
    uses, shares = [], {}
    for mix in mixes:
        on = letters[id(mix)]
        if letter not in on:
            continue
        whole_kg = sum(portions[other].mass_kg for other in on)
        name = mix.name if mix.name not in shares else f"{mix.name}, again"
        shares[name] = portion.mass_kg / whole_kg
        uses.append(SaltUse(mix, sticks[id(mix)], name))
    others = {}
    if portion.piece.label_sodium:
        others["added before it was sold"] = enhanced_salt_g(
            portion.mass_kg, _per_100g(portion.piece.label_sodium)
        )
    if not uses and not others:
        return None
    # Whole mixes are summed by the model; each piece carries its share of them.
    whole = salt(uses, portion.edible_kg)
    parts = {name: grams * shares[name] for name, grams in whole.parts_g.items()} | others
    total = sum(parts.values())
    return SaltResult(letter, total, portion.edible_kg, total / portion.edible_kg, parts)


def _too_salty(found: SaltResult) -> CookWarning | None:
    """Say when more salt may reach the plate than most like; never when it is less."""
    usual = kitchen_value("salt_pleasant")
    if found.per_kg_edible_g <= usual.high:
        return None
    text = (
        f"If all of it stays on, {found.per_kg_edible_g / 10:.1f} % of what is eaten is salt; "
        f"most like {usual.low / 10:g} to {usual.high / 10:g} % (common practice)."
    )
    return CookWarning("salt-high", text, found.piece)


def _said_once(mixes: Iterable[MixResult]) -> tuple[MixResult, ...]:
    """Leave a general remark, such as which spoons are meant, to the first mix that makes it."""
    seen: set[str] = set()
    found = []
    for mix in mixes:
        notes = tuple(n for n in mix.notes if n not in seen or n.startswith(_ALLERGENS))
        seen.update(mix.notes)
        found.append(replace(mix, notes=notes))
    return tuple(found)


def _per_100g(text: str) -> float:
    match = _LABEL.fullmatch(text.strip())
    if not match:
        raise InputError(
            f"label_sodium = {text!r}", 'sodium and an amount, for example "320 mg per 112 g"'
        )
    mass_kg = units.parse("mass", match["mass"], key="label_sodium")
    return float(match["mg"].replace(",", ".")) / (mass_kg * 10.0)


def _result(mix: ScaledMix, on: tuple[str, ...]) -> MixResult:
    return MixResult(
        mix=mix.key,
        name=mix.name,
        kind=mix.kind,
        on=on,
        for_text=mix.for_text,
        lines=tuple(
            MixLine(
                line.ingredient,
                line.name,
                line.grams,
                line.spoons,
                line.spoon_error_fraction,
                line.source,
            )
            for line in mix.lines
        ),
        total_g=mix.total_g,
        salt_g=mix.salt_g,
        notes=(*mix.notes, f"{_ALLERGENS} {mix.allergens_us}."),
    )
