"""One batch of a mix as written: exact grams, salt, sugar and volume through every nesting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.amounts import Amount
from stallwise.ground.errors import InputError, placed_at
from stallwise.models.reduction import BOIL_C, BoilingDown, boiling_down, concentration
from stallwise.models.shares import share_grams
from stallwise.tables.ingredient import (
    Ingredient,
    allergen_list,
    grams_of,
    volume_of_m3,
    with_check_label,
)
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.mix import Line, Mix, Pantry

__all__ = ["Batch", "BatchLine", "batch_of"]

#: A cook nests two or three; a file from a stranger may not keep the machine busy.
_DEEPEST, _MOST_INSIDE = 40, 2000


@dataclass(frozen=True)
class BatchLine:
    """One line in grams: an ingredient (`item`) or another mix (`sub`)."""

    line: Line
    key: str
    grams: float
    volume_m3: float | None
    sodium_mg: float
    sugar_g: float
    water_g: float | None
    item: Ingredient | None = None
    sub: Batch | None = None


@dataclass(frozen=True)
class Batch:
    """One batch as written.

    Attributes
    ----------
    mix : Mix
        The mix.
    lines : tuple of BatchLine
        In the order of the file.
    total_g, volume_m3 : float
        What it makes, after straining and reducing; the volume is None where not known.
    sodium_mg, sugar_g : float
        In all of it. What is strained out leaves its salt and sugar behind: the most it can be.
    water_g : float or None
        Water left in it, None where a line's water is not known.
    leaves_g : mapping
        Every ingredient down to the last mix inside, in grams.
    before_m3, before_g : float or None
        Volume and mass at the moment of reducing.
    reduced_m3 : float or None
        Volume just reduced, before anything is added.
    inside : int
        Mixes in it at any depth, itself counted.
    """

    mix: Mix
    lines: tuple[BatchLine, ...]
    total_g: float
    volume_m3: float | None
    sodium_mg: float
    sugar_g: float
    water_g: float | None
    leaves_g: Mapping[str, float]
    before_m3: float | None = None
    before_g: float = 0.0
    reduced_m3: float | None = None
    inside: int = 1

    def grams_of(self, amount: Amount) -> float:
        """Mass [g] of an amount of this mix: by weight, by batch, or by volume."""
        if amount.kind == "mass":
            return amount.si * 1e3
        if amount.kind == "batch":
            return amount.si * self.total_g
        if amount.kind == "volume" and self.volume_m3:
            return amount.si / self.volume_m3 * self.total_g
        raise InputError(
            f"{amount.text!r} of {self.mix.name}"
            + (": its volume is not known" if amount.kind == "volume" else ""),
            "a weight, or '1 batch'",
        )

    def boiling(self, times: float, boil_c: float = BOIL_C) -> BoilingDown | None:
        """How so many batches are boiled down, or None when it is not reduced.

        `boil_c` is where water boils at this elevation [°C].
        """
        how = self.mix.reduce
        if how is None or self.before_m3 is None or self.reduced_m3 is None:
            return None
        return boiling_down(
            self.before_m3 * times,
            self.reduced_m3 * times,
            self.before_g * times * 1e-3,
            power_w=how.power_w,
            ring=how.ring,
            pan_m=how.pan_m,
            at_c=how.at_c,
            boil_c=boil_c,
        )

    def allergens(self, scheme: str, pantry: Pantry) -> str:
        """Allergen words of every ingredient, once each, closed by the reminder of the label."""
        said = (getattr(pantry.ingredient(key), f"allergens_{scheme}") for key in self.leaves_g)
        found = dict.fromkeys(word for words in said for word in allergen_list(words))
        return with_check_label("; ".join(found))


def batch_of(mix: Mix, pantry: Pantry, path: tuple[str, ...] = ()) -> Batch:
    """Weigh one batch of a mix, and of every mix inside it.

    Parameters
    ----------
    mix : Mix
        The mix.
    pantry : Pantry
        Ingredients and mixes to build from.
    path : tuple of str, optional
        Mixes that are being built, outermost first.

    Raises
    ------
    InputError
        A mix that uses itself, an amount that cannot be weighed, more boiled away than there is,
        or a mix that weighs nothing.
    NotFoundError
        An ingredient or mix that is not in the pantry.
    """
    with placed_at(mix.where):
        return _batch_of(mix, pantry, path)


def _batch_of(mix: Mix, pantry: Pantry, path: tuple[str, ...]) -> Batch:
    if mix.key in path:
        loop = " → ".join((*path[path.index(mix.key) :], mix.key))
        raise InputError(
            f"a mix uses itself: {loop}", "mixes that end in ingredients", "Take one of them out"
        )
    if len(path) >= _DEEPEST:
        raise InputError(
            f"{mix.name} lies inside {len(path)} other mixes", f"up to {_DEEPEST} in one another"
        )
    lines = _weighed(mix, pantry, (*path, mix.key))
    inside = 1 + sum(line.sub.inside for line in lines if line.sub is not None)
    if inside > _MOST_INSIDE:
        raise InputError(
            f"{mix.name} holds more than {_MOST_INSIDE} mixes in one another",
            "fewer",
            "Put what is used often into one mix",
        )
    leaves: dict[str, float] = {}
    for line in lines:
        for key, grams in _leaves(line):
            leaves[key] = leaves.get(key, 0.0) + grams
    pot = _reduced(mix, _simmered(mix, [line for line in lines if not line.line.after]))
    late = [line for line in lines if line.line.after]
    total_g = pot.grams + sum(line.grams for line in late)
    if total_g <= 0.0:
        raise InputError(f"{mix.name} weighs nothing", "at least one amount over zero")
    return Batch(
        mix=mix,
        lines=lines,
        total_g=total_g,
        volume_m3=_sum([pot.volume_m3, *(line.volume_m3 for line in late)]),
        sodium_mg=sum(line.sodium_mg for line in lines),
        sugar_g=sum(line.sugar_g for line in lines),
        water_g=_sum([pot.water_g, *(line.water_g for line in late)]),
        leaves_g=leaves,
        before_m3=pot.before_m3,
        before_g=pot.before_g,
        reduced_m3=pot.volume_m3 if mix.reduce else None,
        inside=inside,
    )


@dataclass(frozen=True)
class _Pot:
    """What is in the pot: mass, volume and water, and what they were before reducing."""

    grams: float
    volume_m3: float | None
    water_g: float | None
    before_m3: float | None = None
    before_g: float = 0.0


def _simmered(mix: Mix, early: list[BatchLine]) -> _Pot:
    kept = [line for line in early if not line.line.strained]
    grams = sum(line.grams for line in kept)
    water_g = _sum([line.water_g for line in kept])
    if mix.simmer is None:
        return _Pot(grams, _sum([line.volume_m3 for line in kept]), water_g)
    makes = mix.simmer.makes
    made_g = makes.si * (1e3 if makes.kind == "mass" else 1e3 * _water_kg_m3())
    put_in_g = sum(line.grams for line in early)
    if made_g > put_in_g * 1.001:
        raise InputError(
            f"{mix.name} makes {makes.text} ({made_g:.0f} g) out of {put_in_g:.0f} g",
            "no more than went in",
            "Measure what is left once it is strained",
        )
    # Rendered fat: its volume is not water's, and there is none left to boil away.
    if mix.kind == "fat":
        return _Pot(made_g, None if makes.kind == "mass" else makes.si, None)
    # Clear stock is nearly water: what it holds beside water is under a twentieth of it.
    return _Pot(made_g, made_g / _water_kg_m3() * 1e-3, made_g)


def _reduced(mix: Mix, pot: _Pot) -> _Pot:
    how = mix.reduce
    if how is None:
        return pot
    if pot.volume_m3 is None:
        raise InputError(
            f"{mix.name} is reduced, and its volume is not known",
            "ingredients with a known density, or simmer.makes",
        )
    if how.by is not None:
        left_m3 = pot.volume_m3 / how.by
    elif how.to is not None and how.to.kind == "volume":
        left_m3 = how.to.si
    else:
        left_kg = how.to.si if how.to is not None else 0.0
        left_m3 = pot.volume_m3 - (pot.grams * 1e-3 - left_kg) / _water_kg_m3()
    try:
        concentration(pot.volume_m3, left_m3)
    except InputError as error:
        raise InputError(f"{mix.name}: {error.came}", error.allowed) from error
    gone_g = (pot.volume_m3 - left_m3) * _water_kg_m3() * 1e3
    if pot.water_g is not None and gone_g >= pot.water_g:
        raise InputError(
            f"{mix.name} boils away {gone_g:.0f} g and holds {pot.water_g:.0f} g of water",
            "less than the water that is in it",
            "Reduce it less, or add water",
        )
    water_g = None if pot.water_g is None else pot.water_g - gone_g
    return _Pot(pot.grams - gone_g, left_m3, water_g, pot.volume_m3, pot.grams)


def _weigh(
    place: int, mix: Mix, pantry: Pantry, path: tuple[str, ...], known_g: float | None = None
) -> BatchLine:
    """Weigh one line, by its place; what is wrong with it says file and line."""
    line = mix.lines[place]
    name = line.ingredient or line.mix
    with placed_at(f"{mix.where or mix.name}: line {place + 1} ({name})"):
        return _weigh_line(line, mix, pantry, path, known_g)


def _weigh_line(
    line: Line, mix: Mix, pantry: Pantry, path: tuple[str, ...], known_g: float | None
) -> BatchLine:
    if line.mix:
        sub = batch_of(pantry.mix(line.mix), pantry, path)
        grams = sub.grams_of(line.amount) if known_g is None else known_g
        share = grams / sub.total_g
        return BatchLine(
            line,
            line.mix,
            grams,
            None if sub.volume_m3 is None else sub.volume_m3 * share,
            sub.sodium_mg * share,
            sub.sugar_g * share,
            None if sub.water_g is None else sub.water_g * share,
            sub=sub,
        )
    item = pantry.ingredient(line.ingredient)
    if item.weigh_only and line.strength is None:
        raise InputError(
            f"{item.name} in {mix.name} without its strength",
            'what its label states, such as strength = "6.25 %", beside its weight',
            "It is never taken for granted",
        )
    grams = grams_of(item, line.amount, region=mix.region) if known_g is None else known_g
    water = 0.0 if item.is_salt else item.water_g_per_100g
    return BatchLine(
        line,
        item.key,
        grams,
        # What was measured by volume takes up that volume, whatever its printed density.
        line.amount.si if line.amount.kind == "volume" else volume_of_m3(item, grams),
        grams * (item.sodium_mg_per_100g or 0.0) / 100.0,
        grams * (item.sugar_g_per_100g or 0.0) / 100.0,
        None if water is None else grams * water / 100.0,
        item=item,
    )


def _weighed(mix: Mix, pantry: Pantry, path: tuple[str, ...]) -> tuple[BatchLine, ...]:
    """Weigh every line; shares last, for they are of the others."""
    plain = {
        place: _weigh(place, mix, pantry, path)
        for place, line in enumerate(mix.lines)
        if line.amount.kind not in {"share", "fill"}
    }
    if len(plain) == len(mix.lines):
        return tuple(plain.values())
    meat_g = mix.per.count * 1e3 if mix.per.kind in {"meat", "edible"} else None
    shares = share_grams(mix, sum(line.grams for line in plain.values()), meat_g)
    return tuple(
        plain[place] if place in plain else _weigh(place, mix, pantry, path, shares[place])
        for place in range(len(mix.lines))
    )


def _leaves(line: BatchLine) -> Iterator[tuple[str, float]]:
    if line.sub is None:
        yield line.key, line.grams
        return
    share = line.grams / line.sub.total_g
    for key, grams in line.sub.leaves_g.items():
        yield key, grams * share


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None


def _water_kg_m3() -> float:
    return kitchen_value("water_density").value
