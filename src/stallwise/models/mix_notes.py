"""What a cook is told beside a scaled mix: its steps in order, and its cautions."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.ground.formats import format_depth
from stallwise.ground.scales import INCH_M, REGIONS
from stallwise.ground.units import format_duration, format_mass, format_temperature, format_volume
from stallwise.models.batch import Batch
from stallwise.models.curing import cure_words
from stallwise.models.reduction import BOIL_C, BoilingDown, brix_after, strength_after
from stallwise.tables.ingredient import SPOON_M3
from stallwise.tables.ingredients import spoons_for
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.sieves import opening_mm

__all__ = ["general_notes", "notes_of", "own_notes"]

_REGION_WORDS = {
    "us": "US customary",
    "metric": "metric",
    "metric-20": "metric with the large tablespoon",
    "imperial": "imperial",
}
#: Elevation shows once the boil is this much under 100 °C [K].
_HIGH_K = 1.0
#: Less sugar than this makes no glaze [%].
_SOME_SUGAR = 8.0
#: Salts that kitchens have, by the names that a cook knows them by.
_CRYSTALS = {
    "salt_fine_table": "fine table",
    "salt_kosher_rolled": "rolled kosher",
    "salt_kosher_flaked": "flaked kosher",
}
_WHOLE_G = 10.0  # from here on grams are whole
_SALTY = 0.05  # share of salt from which an ingredient counts as one that salts


def notes_of(
    made: Batch, times: float, reduction: BoilingDown | None, *, region: str, system: str
) -> tuple[str, ...]:
    """List steps and cautions of a scaled mix, in the order in which a cook meets them.

    Parameters
    ----------
    made : Batch
        One batch as written.
    times : float
        How many of it.
    reduction : BoilingDown or None
        How it is boiled down, already scaled.
    region, system : str
        Spoons that are shown, and units of the words.
    """
    return (
        *_simmer(made, times, system),
        *_ratio(made),
        *_reduce(made, reduction, system),
        *_jelly(made, reduction),
        *_sugar(made, reduction, system),
        *_late(made),
        *_crystals(made, times),
        *_grind(made),
        *_cure(made, times, system),
        *_unknown(made),
        *general_notes(made, region=region),
    )


def general_notes(made: Batch, *, region: str) -> tuple[str, ...]:
    """List remarks that hold for any mix with the same salt and spoons: said once is enough.

    Parameters
    ----------
    made : Batch
        One batch as written.
    region : str
        Spoons that are shown.
    """
    return (*_salt(made), _spoons(region))


def own_notes(made: Batch) -> tuple[str, ...]:
    """List what its writer says of a mix and of its lines.

    Parameters
    ----------
    made : Batch
        One batch as written.
    """
    of_lines = (
        f"{line.item.name if line.item else line.key}: {line.line.note}"
        for line in made.lines
        if line.line.note
    )
    return tuple(note for note in (made.mix.note, *of_lines) if note)


def _ratio(made: Batch) -> Iterator[str]:
    if made.mix.ratio:
        salt_g = sum(line.grams for line in made.lines if line.item and line.item.is_salt)
        by_weight = (
            f" By weight {salt_g / made.total_g * 100:.0f} % of it is salt." if salt_g else ""
        )
        yield f"It is a ratio, {made.mix.ratio}, and stays one at any size.{by_weight}"


def _simmer(made: Batch, times: float, system: str) -> Iterator[str]:
    simmer = made.mix.simmer
    if simmer is None:
        return
    makes = simmer.makes.si * times
    much = (
        format_volume(makes, system)
        if simmer.makes.kind == "volume"
        else format_mass(makes, system)
    )
    long = f" {format_duration(simmer.time_s)}" if simmer.time_s else ""
    yield f"Simmer{long}, strain: about {much}. What is strained out leaves its salt behind."


def _reduce(made: Batch, reduction: BoilingDown | None, system: str) -> Iterator[str]:
    if reduction is None:
        return
    yield _boiled(reduction, system)
    early = [
        line.item.name
        for line in made.lines
        if line.item and not line.line.after and line.item.salt_share > _SALTY
    ]
    if early:
        yield (
            f"{', '.join(early)} goes in before reducing and ends {reduction.ratio:.2g} times as "
            f'strong. To season at the end, write when = "after reducing" beside it.'
        )


def _boiled(down: BoilingDown, system: str) -> str:
    """From where to where, how long, and what it does to the salt."""
    volumes = f"{format_volume(down.from_m3, system)} to {format_volume(down.to_m3, system)}"
    deep = ""
    if down.depth_from_m is not None and down.depth_to_m is not None and down.pan_m is not None:
        depths = " down to ".join(
            format_depth(each, system) for each in (down.depth_from_m, down.depth_to_m)
        )
        deep = f" ({depths} deep in the {_width(down.pan_m, system)} pan)"
    strong = f"Salt and sugar get {down.ratio:.2g} times as strong: season after reducing."
    if down.below_boil:
        low, high = (_hours(each) for each in (down.boil_low_s, down.boil_high_s))
        at = format_temperature(down.at_c, system)
        return (
            f"Reduce from {volumes}{deep}: {low} to {high} in an open pan at {at}, without boiling; "
            f"weigh the pan after half an hour and you know it. {strong}"
        )
    loss = kitchen_value("pan_loss")
    low, high = (_minutes(each) for each in (down.boil_low_s, down.boil_high_s))
    span = f"{_minutes(down.boil_s)} min" if down.power_known else f"{low} to {high} min"
    heat = (
        f"at {down.power_w / 1e3:.3g} kW into the liquid"
        if down.power_known
        else "on a home ring at a lively boil"
    )
    if down.at_c < BOIL_C - _HIGH_K:
        heat += f" (water boils at {format_temperature(down.at_c, system)} up there)"
    return (
        f"Reduce from {volumes}{deep}: about {span} {heat}, after {_minutes(down.heat_up_s)} min to the "
        f"boil; the pan's own losses add {loss.low * 100:.0f} to {loss.high * 100:.0f} %. {strong}"
    )


def _width(width_m: float, system: str) -> str:
    return f"{width_m * 1e2:.0f} cm" if system == "metric" else f"{width_m / INCH_M:.3g} in"


def _hours(time_s: float) -> str:
    return format_duration(round(time_s / 600.0) * 600.0 if time_s > 3600 else time_s)


def _sugar(made: Batch, reduction: BoilingDown | None, system: str) -> Iterator[str]:
    """How sticky a glaze is, and where it scorches."""
    if made.mix.kind != "glaze" or made.total_g <= 0.0:
        return
    brix = 100.0 * made.sugar_g / made.total_g
    sticky, thin = kitchen_value("brix_sticky"), kitchen_value("brix_thin")
    if brix < _SOME_SUGAR:
        return
    if brix < thin.low:
        word = "it runs, and sets only with cooking"
    elif brix < sticky.low:
        word = f"tacky from about {sticky.low:g} %"
    else:
        word = "it sets tacky"
    scorch, fruit = kitchen_value("glaze_scorch"), kitchen_value("caramel_fructose")
    low, high, honey = (
        format_temperature(each, system) for each in (scorch.low, scorch.high, fruit.value)
    )
    yield (
        f"About {brix:.0f} % of it is sugar{_pot_brix(made, reduction)}: {word}. It scorches on metal of {low} to {high} "
        f"(honey and fruit brown from {honey})."
    )


def _pot_brix(made: Batch, reduction: BoilingDown | None) -> str:
    """How the sugar in the pot rises while it is reduced, before anything is stirred in."""
    if reduction is None or made.before_g <= 0.0:
        return ""
    early_g = sum(line.sugar_g for line in made.lines if not line.line.after)
    late_g = sum(line.grams for line in made.lines if line.line.after)
    start = 100.0 * early_g / made.before_g
    end = brix_after(start, made.before_g, made.total_g - late_g)
    return f" (in the pot from {start:.0f} to {end:.0f} % as it reduces)"


def _jelly(made: Batch, reduction: BoilingDown | None) -> Iterator[str]:
    """Whether a reduced stock sets when it is cold."""
    if made.mix.kind != "stock" or reduction is None:
        return
    jelly, plain = kitchen_value("stock_to_jelly"), kitchen_value("gelatin_stock")
    after = strength_after(plain.value, reduction.from_m3, reduction.to_m3)
    gelatin = f"gelatin from about {plain.value:g} to {after:.2g} %"
    if reduction.ratio >= jelly.value:
        yield f"Cold, it sets to jelly ({gelatin})."
    elif reduction.ratio >= jelly.low:
        yield f"Cold, it may set to jelly ({gelatin})."


def _late(made: Batch) -> Iterator[str]:
    late = [line.item.name if line.item else line.key for line in made.lines if line.line.after]
    if late and made.mix.reduce:
        yield f"After reducing, stir in: {', '.join(late)}."


def _crystals(made: Batch, times: float) -> Iterator[str]:
    """Spoons of the same grams in other crystals, where a salt is measured by the spoon."""
    for line in made.lines:
        item, unit = line.item, line.line.amount.unit
        if item is None or item.key not in _CRYSTALS or unit not in SPOON_M3:
            continue
        grams = line.grams * times
        spoons = [
            f"{_quarters(spoons_for(key, grams, 'tbsp'))} of {words}"
            for key, words in _CRYSTALS.items()
            if key != item.key
        ]
        weight = f"{grams:.0f}" if grams >= _WHOLE_G else f"{grams:.1f}"
        yield f"In another crystal the same {weight} g of salt is {' or '.join(spoons)}."


def _quarters(tablespoons: float) -> str:
    """Tablespoons to a quarter; teaspoons under one."""
    count, unit = (tablespoons, "tbsp") if tablespoons >= 1.0 else (3.0 * tablespoons, "tsp")
    whole, rest = divmod(max(round(count * 4.0), 1), 4)
    words = (str(whole) if whole else "", ("", "1/4", "1/2", "3/4")[rest], unit)
    return " ".join(word for word in words if word)


def _grind(made: Batch) -> Iterator[str]:
    """Tell what the number of a pepper means."""
    for line in made.lines:
        size = opening_mm(line.item.mesh) if line.item and line.item.mesh else None
        if line.item and size:
            yield f"{line.item.name}: the openings of that sieve are {size:.3g} mm."


def _cure(made: Batch, times: float, system: str) -> Iterator[str]:
    """Nitrite of a curing salt: by weight only, beside the limits that are quoted."""
    per = made.mix.per
    meat_kg = per.count * times if per.kind in {"meat", "edible"} else None
    for line in made.lines:
        if line.item is not None and line.item.weigh_only and line.line.strength is not None:
            grams = line.grams * times
            yield from cure_words(
                line.item.name,
                grams,
                line.line.strength,
                meat_kg,
                wet=made.mix.kind in {"brine", "injection"},
                system=system,
            )


def _salt(made: Batch) -> Iterator[str]:
    for line in made.lines:
        item = line.item
        if item is None or item.weigh_only:
            continue
        if item.is_salt and item.low_grams_per_tsp and item.high_grams_per_tsp:
            if item.high_grams_per_tsp - item.low_grams_per_tsp > 0.1:
                yield (
                    f"{item.name}: a teaspoon weighs {item.low_grams_per_tsp:g} to "
                    f"{item.high_grams_per_tsp:g} g by label; go by the grams."
                )
        elif item.not_table_salt:
            yield f"{item.name}: its sodium is counted as salt, though it is not table salt."


def _unknown(made: Batch) -> Iterator[str]:
    unknown = [
        line.item.name for line in made.lines if line.item and line.item.sodium_mg_per_100g is None
    ]
    if unknown:
        yield f"The salt in {', '.join(unknown)} is not known and is counted as none."


def _spoons(region: str) -> str:
    sizes = REGIONS[region]
    tsp, tbsp, cup = (f"{sizes[name] * 1e6:.3g}" for name in ("tsp", "tbsp", "cup"))
    return f"Spoons and cup are {_REGION_WORDS[region]}: {tsp}, {tbsp} and {cup} ml."


def _minutes(time_s: float) -> str:
    minutes = time_s / 60.0
    return f"{minutes:.1f}" if minutes < 10 else f"{minutes:.0f}"
