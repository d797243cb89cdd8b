"""Salt on each piece of a cook, counted once: every mix's share, brines, enhanced meat; and advice."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError, placed_at
from stallwise.joins.mix.mixresult import LandingResult, SaltResult
from stallwise.joins.mix.portions import Portion
from stallwise.joins.words import percent
from stallwise.models.brines import brine_strength, brine_uptake_g, brine_uptake_water_g
from stallwise.models.landing import landing
from stallwise.models.mixes import ScaledMix
from stallwise.models.openpan import Span
from stallwise.models.salt import SaltUse, enhanced_salt_g, salt, sticks_of
from stallwise.models.soaking import soaked_share
from stallwise.record.schema import Book, Cook
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.mix import Pantry
from stallwise.tables.portions import portion as plate

__all__ = ["Used", "brine_words", "salt_of", "salt_warnings", "serving_kg", "soaked", "stays_of"]

_LABEL = re.compile(r"(?:sodium\s+)?(?P<mg>[\d.,]+)\s*mg\s+per\s+(?P<mass>.+)", re.IGNORECASE)
#: Of meat, near enough to tell how thick a piece is.
_DENSITY_KG_M3 = 1050.0
_ENHANCED = "added before it was sold"


@dataclass(frozen=True)
class Used:
    """A scaled mix, the letters of the pieces it goes on, and the share that stays, if said."""

    mix: ScaledMix
    on: tuple[str, ...]
    sticks: float | None = None


def salt_of(
    portion: Portion,
    used: Sequence[Used],
    portions: Mapping[str, Portion],
    cook: Cook,
    shelf: Pantry,
) -> SaltResult | None:
    """Sum salt on one piece: its share by mass of every mix that goes on it; None for none.

    A brine counts by mass, the upper of its two readings.
    """
    letter = portion.piece.letter
    uses, shares, of_mix = [], {}, {}
    for one in used:
        if letter not in one.on:
            continue
        whole_kg = sum(portions[other].mass_kg for other in one.on)
        name = one.mix.name if one.mix.name not in shares else f"{one.mix.name}, again"
        shares[name] = portion.mass_kg / whole_kg
        of_mix[name] = one
        pieces = [portions[other] for other in one.on]
        uses.append(SaltUse(one.mix, _stays(one, pieces), name))
    others = {}
    if portion.piece.label_sodium:
        with placed_at(f"cook.toml, pieces.{letter}.label_sodium"):
            label = _per_100g(portion.piece.label_sodium)
            others[_ENHANCED] = enhanced_salt_g(portion.mass_kg, label)
    if not uses and not others:
        return None
    # Whole mixes are summed by the model; each piece carries its share of them.
    whole = salt(uses, portion.edible_kg)
    parts = {name: grams * shares[name] for name, grams in whole.parts_g.items()} | others
    total = sum(parts.values())
    size_kg = serving_kg(cook, portions.values())
    per_kg = total / portion.edible_kg
    return SaltResult(
        letter,
        total,
        portion.edible_kg,
        per_kg,
        parts,
        sodium_mg=total * SODIUM_MG_PER_G_SALT,
        serving_kg=size_kg,
        sodium_mg_per_serving=per_kg * size_kg * SODIUM_MG_PER_G_SALT,
        landing=_landing(cook, portion, parts, shares, of_mix, shelf),
    )


def _stays(one: Used, pieces: Sequence[Portion]) -> float | None:
    """Share of a mix that ends in the meat; of a brine by mass and time, unless said otherwise.

    Of a brine that is left for some hours the fast end counts: the most it can be.
    """
    if one.mix.kind != "brine" or one.sticks is not None or one.mix.sticks is not None:
        return one.sticks
    meat_kg = sum(piece.mass_kg for piece in pieces)
    return brine_uptake_g(1.0, meat_kg, _water_kg(one.mix)) * soaked(one, pieces).high


def stays_of(one: Used, pieces: Sequence[Portion]) -> float:
    """Share of a mix that ends in what is eaten of these pieces, said or usual."""
    return sticks_of(one.mix, _stays(one, pieces))


def soaked(one: Used, pieces: Sequence[Portion]) -> Span:
    """Share of its resting salt that meat has after the time it is left in a brine."""
    thick_m = max(piece.mass_kg / _DENSITY_KG_M3 / piece.area_m2 for piece in pieces)
    return soaked_share(one.mix.soak_s, thick_m)


def _water_kg(brine: ScaledMix) -> float:
    """All of a brine but its salt [kg], as the home form of an equilibrium brine counts it."""
    return (brine.total_g - brine.salt_g) * 1e-3


def serving_kg(cook: Cook, portions: Collection[Portion]) -> float:
    """Share the meat among the guests, no more than a large plate each; a usual plate without."""
    usual = plate("cooked_usual")
    eaten = sum(one.edible_kg for one in portions)
    guests = (cook.guests or 0) - cook.no_meat
    return (
        min(eaten / guests, plate("cooked_hungry").high * 1e-3)
        if guests > 0
        else usual.value * 1e-3
    )


def _landing(
    cook: Cook,
    portion: Portion,
    parts: Mapping[str, float],
    shares: Mapping[str, float],
    used: Mapping[str, Used],
    shelf: Pantry,
) -> LandingResult | None:
    """Salt of the first rub that has any, so that this piece lands on the cook's wish."""
    if not cook.salt_target:
        return None
    target = units.parse("fraction", cook.salt_target, key="salt_target")
    for name, one in used.items():
        if one.mix.kind not in {"rub", "dry brine"}:
            continue
        crystal_g = sum(
            line.salt_g
            for line in one.mix.lines
            if not line.is_mix and shelf.ingredient(line.ingredient).is_salt
        )
        if crystal_g <= 0.0:
            continue
        stays = sticks_of(one.mix, one.sticks)
        if stays <= 0.0:
            continue
        now_g = crystal_g * shares[name]
        others_g = sum(parts.values()) - now_g * stays
        found = landing(now_g, others_g, portion.edible_kg, target, stays)
        return LandingResult(
            mix=name,
            target=found.target,
            lands=found.lands,
            from_g=found.from_g,
            to_g=found.to_g,
            batch_from_g=crystal_g,
            batch_to_g=crystal_g * found.to_g / now_g,
            possible=found.possible,
        )
    return None


def salt_warnings(found: SaltResult, book: Book) -> list[CookWarning]:
    """Say when more salt may reach the plate than the cook's own limit, or than most like."""
    said = []
    usual = kitchen_value("salt_pleasant")
    share = found.per_kg_edible_g * 1e-3
    if book.salt_limit:
        limit = units.parse("fraction", book.salt_limit, key="salt_limit")
        if share > limit:
            said.append(
                CookWarning(
                    "salt-limit",
                    f"If all of it stays on, {share * 100:.1f} % of what is eaten is salt; your own "
                    f"limit is {limit * 100:.1f} %.",
                    found.piece,
                )
            )
    elif found.per_kg_edible_g > usual.high:
        text = (
            f"If all of it stays on, {found.per_kg_edible_g / 10:.1f} % of what is eaten is salt; "
            f"most like {usual.low / 10:g} to {usual.high / 10:g} % (common practice)."
        )
        said.append(CookWarning("salt-high", text, found.piece))
    return said


def _per_100g(text: str) -> float:
    match = _LABEL.fullmatch(text.strip())
    if not match:
        raise InputError(f"{text!r} came", 'sodium and an amount, for example "320 mg per 112 g"')
    mass_kg = units.parse("mass", match["mass"])
    if mass_kg <= 0.0:
        raise InputError(f"{text!r} is of nothing", 'a serving of more than nothing: "112 g"')
    return float(match["mg"].replace(",", ".")) / (mass_kg * 10.0)


def brine_words(
    mix: ScaledMix, meat_kg: float, water_share: float, soak: Span | None = None
) -> tuple[str, ...]:
    """Say how strong a brine or injection is, and what the meat holds by both readings.

    Parameters
    ----------
    mix : ScaledMix
    meat_kg, water_share : float
        Meat that it is for [kg], and water in a kilogram of it.
    soak : Span, optional
        Share of its resting salt that the meat takes up in the time that the mix says.
    """
    strongest = kitchen_value("brine_strongest").value
    if mix.kind in {"brine", "injection"} and mix.salt_g > strongest * mix.total_g:
        raise InputError(
            f"{mix.name} is {percent(mix.salt_g / mix.total_g)} salt",
            f"up to {percent(strongest)}: water takes up no more",
        )
    strength = f"{brine_strength(mix.salt_g, _water_kg(mix)) * 100:.1f} %"
    if mix.kind == "injection":
        pump = mix.total_g / (meat_kg * 10.0)
        after = mix.salt_g / (meat_kg * 1e3 + mix.total_g) * 100.0
        told = (
            f"The injection is {strength} salt; with {pump:.0f} % of the meat's weight put in, pumped meat "
            f"holds {after:.2f} % salt before any runs out."
        )
        return (told,)
    if mix.kind != "brine":
        return ()
    water_kg = _water_kg(mix)
    sides = (
        brine_uptake_g(mix.salt_g, meat_kg, water_kg),
        brine_uptake_water_g(mix.salt_g, meat_kg, water_kg, water_share),
    )
    by_mass, by_water = (f"{side / (meat_kg * 10.0):.2f} %" for side in sides)
    note = (
        f"The brine is {strength} salt. Left until nothing moves any more, the meat holds {by_mass} "
        f"salt if it spreads by weight, {by_water} if it follows the water; the first is counted."
    )
    if soak is None or mix.soak_s is None:
        return (note,)
    after_words = units.format_duration(mix.soak_s)
    ends = f"{percent(soak.low)} to {percent(soak.high)}"
    timed = f"After {after_words} it has taken up {ends} of that, more at the outside; the most is counted."
    return note, timed
