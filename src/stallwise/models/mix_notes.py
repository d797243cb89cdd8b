"""What a cook is told beside a scaled mix: its steps in order, and its cautions."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.ground.scales import REGIONS
from stallwise.ground.units import format_duration, format_mass, format_volume
from stallwise.models.batch import Batch
from stallwise.models.reduction import BoilingDown
from stallwise.tables.kitchen import kitchen_value

__all__ = ["notes_of"]

_REGION_WORDS = {
    "us": "US customary",
    "metric": "metric",
    "metric-20": "metric with the large tablespoon",
    "imperial": "imperial",
}
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
        *_reduce(made, reduction, system),
        *_late(made),
        *_salt(made),
        *_unknown(made),
        _spoons(region),
    )


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
    loss = kitchen_value("pan_loss")
    low, high = (_minutes(value) for value in (reduction.boil_low_s, reduction.boil_high_s))
    span = f"{_minutes(reduction.boil_s)} min" if reduction.power_known else f"{low} to {high} min"
    heat = (
        f"at {reduction.power_w / 1e3:.3g} kW into the liquid"
        if reduction.power_known
        else "on a home ring at a lively boil"
    )
    yield (
        f"Reduce from {format_volume(reduction.from_m3, system)} "
        f"to {format_volume(reduction.to_m3, system)}: about {span} {heat}, after "
        f"{_minutes(reduction.heat_up_s)} min to the boil; the pan's own losses add "
        f"{loss.low * 100:.0f} to {loss.high * 100:.0f} %. "
        f"Salt and sugar get {reduction.ratio:.3g} times as strong: season after reducing."
    )
    early = [
        line.item.name
        for line in made.lines
        if line.item and not line.line.after and line.item.salt_share > _SALTY
    ]
    if early:
        yield (
            f"{', '.join(early)} goes in before reducing and ends {reduction.ratio:.3g} times as "
            f'strong. To season at the end, write when = "after reducing" beside it.'
        )


def _late(made: Batch) -> Iterator[str]:
    late = [line.item.name if line.item else line.key for line in made.lines if line.line.after]
    if late and made.mix.reduce:
        yield f"After reducing, stir in: {', '.join(late)}."


def _salt(made: Batch) -> Iterator[str]:
    for line in made.lines:
        item = line.item
        if item is None:
            continue
        if item.weigh_only:
            yield f"{item.name}: by weight only, to 0.1 g, as its label says; never as salt."
        elif item.is_salt and item.low_grams_per_tsp and item.high_grams_per_tsp:
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
