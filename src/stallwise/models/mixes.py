"""Scaling mixes: grams first, spoons beside, salt and sugar carried through every nesting.

All sums are exact and in grams; spoons are rounded once, from the exact grams, by the published
kitchen steps [cfr-21-101-9]_, and nothing is ever read back from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.spoons import spoon_measure
from stallwise.models.batch import Batch, BatchLine, batch_of
from stallwise.models.mix_notes import general_notes, notes_of, own_notes
from stallwise.models.reduction import BOIL_C, BoilingDown
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT, grams_of, spoons_of
from stallwise.tables.ingredients import named_alike
from stallwise.tables.mix import Mix, Pantry
from stallwise.tables.serves import Serves

__all__ = ["ScaledLine", "ScaledMix", "in_order", "leaves", "scale", "target_for"]


@dataclass(frozen=True)
class ScaledLine:
    """One line of a scaled mix.

    Attributes
    ----------
    ingredient : str
        Key of the ingredient, or of the mix when `is_mix`.
    name : str
        Name on screens.
    grams : float
        Exact mass [g].
    spoons : str
        Nearest kitchen measure, empty where it is only weighed.
    spoon_error_fraction : float or None
        (spoons - exact) / exact.
    source : str
        Citation keys of the weight of the spoon and the composition.
    is_mix, after, strained : bool
        It is another mix; it goes in after reducing; it is taken out again.
    salt_g : float
        Salt in it, counted from sodium [g].
    """

    ingredient: str
    name: str
    grams: float
    spoons: str
    spoon_error_fraction: float | None
    source: str
    is_mix: bool = False
    after: bool = False
    strained: bool = False
    salt_g: float = 0.0


@dataclass(frozen=True)
class ScaledMix:
    """A mix scaled to what it is for.

    Attributes
    ----------
    key, name, kind, for_text : str
        Of the mix, and what it was scaled for.
    lines : tuple of ScaledLine
        As they are weighed out.
    total_g : float
        What it makes [g], after straining and reducing.
    volume_m3 : float or None
        What it makes [m3], where every density is known.
    salt_g, sodium_mg, sugar_g : float
        In all of it; sugar counts known ingredients only.
    leaves_g : mapping
        Every ingredient down to the last mix inside, in grams: the shopping list.
    parts : tuple of ScaledMix
        The mixes inside, scaled to what is needed of them.
    reduction : BoilingDown or None
        How it is boiled down.
    allergens_us, allergens_eu : str
        Words that end with "check the label".
    sticks : float or None
        Share that stays on what is eaten, where the mix says so.
    order : int
        First comes first on the meat.
    notes : tuple of str
        Steps and cautions, in order.
    general : tuple of str
        Those of them that say nothing of this mix alone: a list of mixes says them once.
    own : tuple of str
        What its writer says of it and of its lines.
    simmer_s : float or None
        How long it simmers before it is strained [s].
    soak_s : float or None
        How long meat lies in it [s].
    factor : float
        How many batches as written.
    """

    key: str
    name: str
    kind: str
    for_text: str
    lines: tuple[ScaledLine, ...]
    total_g: float
    volume_m3: float | None
    salt_g: float
    sodium_mg: float
    sugar_g: float
    leaves_g: Mapping[str, float]
    parts: tuple[ScaledMix, ...] = ()
    reduction: BoilingDown | None = None
    allergens_us: str = ""
    allergens_eu: str = ""
    sticks: float | None = None
    order: int = 0
    notes: tuple[str, ...] = ()
    general: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    simmer_s: float | None = None
    soak_s: float | None = None
    factor: float = field(default=1.0)


def scale(
    mix: str | Mix,
    target: Serves,
    pantry: Pantry,
    *,
    region: str = "us",
    system: str = "us",
    boil_c: float = BOIL_C,
) -> ScaledMix:
    """Scale a mix to a target.

    Parameters
    ----------
    mix : str or Mix
        The mix or its key.
    target : Serves
        What it is for, see `stallwise.tables.serves.parse_target`.
    pantry : Pantry
        Ingredients and mixes to build from.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Spoons to show, and those in which the target was read; the grams of a mix do not depend on it.
    system : {"us", "metric"}, default "us"
        Units of the notes.
    boil_c : float, default 100
        Where water boils at this elevation [°C].

    Raises
    ------
    InputError
        The mix does not say how much goes on such a target, a mix uses itself, or a line cannot
        be weighed.
    """
    found = pantry.mix(mix) if isinstance(mix, str) else mix
    made = batch_of(found, pantry)
    times = _times(found, made, target, pantry, region)
    shown = _Shown(region, system, boil_c)
    return _scaled(made, times, target.text, pantry, shown)


def target_for(
    mix: Mix,
    *,
    meat_kg: float,
    pieces: int,
    guests: int | None = None,
    edible_kg: float | None = None,
    area_m2: float | None = None,
    text: str = "",
) -> Serves:
    """Choose what a mix is scaled to: meat, pieces, guests or a batch, as it asks.

    A batch that does not say how much of it is used is made once.

    Raises
    ------
    InputError
        It is per guest and nobody said how many come.
    """
    kind = (mix.use.per if mix.use else mix.per).kind
    if kind == "area" and area_m2 is None:
        raise InputError(f"{mix.name} goes by surface", "the piece's dimensions")
    if kind == "guest" and guests is None:
        raise InputError(f"{mix.name} is per guest", "how many guests", "Say guests in cook.toml")
    raw_edible_kg = meat_kg if edible_kg is None else edible_kg
    counts = {
        "meat": meat_kg,
        "edible": raw_edible_kg,
        "area": area_m2 or 0.0,
        "piece": float(pieces),
        "guest": float(guests or 0),
        "batch": 1.0,
    }
    words = {
        "meat": f"{meat_kg:.3g} kg of meat",
        "edible": f"{raw_edible_kg:.3g} kg of edible meat",
        "area": f"{(area_m2 or 0.0) * 1e4:.0f} cm2 of surface",
        "piece": f"{pieces} piece" + "s" * (pieces != 1),
        "guest": f"{guests} guests",
        "batch": "1 batch",
    }
    return Serves(kind, counts[kind], text or words[kind])


def in_order(mixes: list[ScaledMix]) -> list[ScaledMix]:
    """Order mixes as they go on: by their own number, else as given."""
    return sorted(mixes, key=lambda mix: mix.order)


def leaves(mixes: list[ScaledMix]) -> dict[str, float]:
    """Every ingredient of several mixes in grams, each counted once: the shopping list."""
    total: dict[str, float] = {}
    for mix in mixes:
        for key, grams in mix.leaves_g.items():
            total[key] = total.get(key, 0.0) + grams
    return total


def _times(mix: Mix, made: Batch, target: Serves, pantry: Pantry, region: str) -> float:
    """How many batches as written a target asks for."""
    if target.kind == "of":
        return _times_of(made, target, pantry, region)
    if target.kind == "batch":
        return target.count
    if target.kind == "batch mass":
        return target.count * 1e3 / made.total_g
    if target.kind == "batch volume":
        if made.volume_m3 is None:
            raise InputError(f"{target.text!r} of {mix.name}: its volume is not known", "a weight")
        return target.count / made.volume_m3
    if target.kind == mix.per.kind:
        return target.count / mix.per.count
    if mix.use and mix.use.per.kind == target.kind:
        grams = made.grams_of(mix.use.amount)
        return grams * target.count / mix.use.per.count / made.total_g
    raise InputError(
        f"{mix.name} does not say how much goes on {target.text!r}",
        f"{_offer(mix)}, batches, or the size of the batch",
        f"Or write per = … in the mix ({target.kind})",
    )


def _times_of(made: Batch, target: Serves, pantry: Pantry, region: str) -> float:
    """How many batches what is there of one line is enough for."""
    wanted = target.ingredient
    keys = {line.key: line for line in made.lines}
    if wanted in keys and keys[wanted].sub is not None:
        line = keys[wanted]
    else:
        inside = {key: pantry.ingredient(key) for key, one in keys.items() if one.sub is None}
        named = [row.key for row in named_alike(wanted, inside)]
        item = wanted if wanted in keys else named[0] if len(named) == 1 else ""
        if not item:
            there = ", ".join(named or keys)
            raise NotFoundError(f"line of {made.mix.name}", wanted, keys, f"There are: {there}")
        line = keys[item]
    if target.amount is None or line.grams <= 0.0:
        raise InputError(f"{target.text!r}", "an amount of something that the mix takes")
    there_g = (
        line.sub.grams_of(target.amount)
        if line.sub is not None
        else grams_of(pantry.ingredient(line.key), target.amount, region=region)
    )
    return there_g / line.grams


def _offer(mix: Mix) -> str:
    serves = mix.use.per if mix.use else mix.per
    return {
        "meat": "'4 kg' of meat",
        "edible": "'4 kg of edible meat'",
        "area": "'0.2 m2' of surface",
        "piece": "pieces",
        "guest": "guests",
    }.get(serves.kind, "'1 batch'")


@dataclass(frozen=True)
class _Shown:
    """Spoons and units of words, and where water boils."""

    region: str
    system: str
    boil_c: float


def _scaled(made: Batch, times: float, for_text: str, pantry: Pantry, shown: _Shown) -> ScaledMix:
    parts = tuple(
        _scaled(
            line.sub,
            line.grams * times / line.sub.total_g,
            f"{made.mix.name}, {for_text}",
            pantry,
            shown,
        )
        for line in made.lines
        if line.sub is not None
    )
    reduction = made.boiling(times, shown.boil_c)
    scaled = ScaledMix(
        key=made.mix.key,
        name=made.mix.name,
        kind=made.mix.kind,
        for_text=for_text,
        lines=tuple(_line(line, times, shown.region) for line in made.lines),
        total_g=made.total_g * times,
        volume_m3=None if made.volume_m3 is None else made.volume_m3 * times,
        salt_g=made.sodium_mg * times / SODIUM_MG_PER_G_SALT,
        sodium_mg=made.sodium_mg * times,
        sugar_g=made.sugar_g * times,
        leaves_g={key: grams * times for key, grams in made.leaves_g.items()},
        parts=parts,
        reduction=reduction,
        allergens_us=made.allergens("us", pantry),
        allergens_eu=made.allergens("eu", pantry),
        sticks=made.mix.sticks,
        order=made.mix.order,
        simmer_s=made.mix.simmer.time_s if made.mix.simmer else None,
        soak_s=made.mix.soak_s,
        factor=times,
    )
    notes = notes_of(made, times, reduction, region=shown.region, system=shown.system)
    general = general_notes(made, region=shown.region)
    return replace(scaled, notes=notes, general=general, own=own_notes(made))


def _line(line: BatchLine, times: float, region: str) -> ScaledLine:
    grams = line.grams * times
    measure, name, source = None, line.key, ""
    if line.sub is not None:
        volume_m3 = line.sub.volume_m3
        share = grams / line.sub.total_g
        if volume_m3 is not None:
            measure = spoon_measure(volume_m3 * share, region)
        name, source = line.sub.mix.name, line.sub.mix.source
    elif line.item is not None:
        measure = spoons_of(line.item, grams, region=region)
        name, source = line.item.name, line.item.source
    return ScaledLine(
        ingredient=line.key,
        name=name,
        grams=grams,
        spoons=measure.text if measure else "",
        spoon_error_fraction=measure.error_fraction if measure else None,
        source=source,
        is_mix=line.sub is not None,
        after=line.line.after,
        strained=line.line.strained,
        salt_g=line.sodium_mg * times / SODIUM_MG_PER_G_SALT,
    )
