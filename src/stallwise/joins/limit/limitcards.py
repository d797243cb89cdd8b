"""What stands on the temperature sheet and on the allergen card: rows of words, nothing decided."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stallwise.joins.limit.limitfacts import CookFacts
from stallwise.joins.limit.limitpiece import PieceFacts, least_row
from stallwise.joins.limit.limitresult import AllergenRow, Cards, TemperatureRow
from stallwise.joins.limit.limitsaid import beside, degrees, lasting, rest_text, rule_text
from stallwise.joins.mix.mixresult import MixResult
from stallwise.models.probecheck import boiling_at_c
from stallwise.record.schema import Cook
from stallwise.tables.limits import allergens, clock, figure, minimum, rule

__all__ = ["cards", "temperature_rows"]


def cards(
    temperatures: tuple[TemperatureRow, ...], mixes: Iterable[MixResult], cook: Cook
) -> Cards:
    """Gather what is printed of a cook's limits and mixes.

    Parameters
    ----------
    temperatures : tuple of TemperatureRow
        As of `temperature_rows`.
    mixes : iterable of MixResult
        As scaled for the cook.
    cook : Cook
        With its pits.
    """
    of = {mix.mix: AllergenRow(mix.name, mix.allergens_us, mix.allergens_eu) for mix in mixes}
    return Cards(temperatures, tuple(of.values()), _left_open(cook))


def temperature_rows(facts: CookFacts, pieces: Sequence[PieceFacts]) -> tuple[TemperatureRow, ...]:
    """Lines of the temperature sheet: pieces, then what holds for all of them.

    Parameters
    ----------
    facts, pieces : CookFacts, sequence of PieceFacts
        The cook and its pieces.
    """
    system = facts.record.book.units
    rows = [row for one in pieces for row in _of_piece(one, system)]
    ice = _both(figure("ice-point").si, system)
    boiling = _both(boiling_at_c(facts.elevation_m or 0.0), system)
    if facts.elevation_m is None:
        drop = figure("boiling-drop")
        boiling += f" at sea level, 1 °F lower for every {drop.value:g} ft"
    leftovers = minimum("leftovers")
    first, total = clock("cool-first"), clock("cool-total")
    cooled = (
        f"{degrees(first.from_c, first.to_c, system=system)} in {lasting(first.limit_s, up=False)}, "
        f"to {degrees(total.to_c, system=system)} in {lasting(total.limit_s, up=False)} in all"
    )
    usual, hot = (
        lasting(clock(key).limit_s, up=False) for key in ("two-hours", "one-hour-hot-day")
    )
    out = f"within {usual}, {hot} above {degrees(figure('hot-day').si, system=system)}"
    probe = rule("food_code_probe")
    rows += [
        TemperatureRow("", "Probe in ice, in boiling water", f"{ice}, {boiling}", f"{rule_text(probe.says, system)} {probe.words}"),
        TemperatureRow("", "Held hot", f"{_both(figure('hot-hold-home').si, system)} or above", rule("two_hours").words),
        TemperatureRow("", "Into the cold", out, rule("two_hours").words),
        TemperatureRow("", "Cooling, licensed kitchens", cooled, rule("food_code_cooling").words),
        TemperatureRow("", "Leftovers, reheated", _both(leftovers.temperature_c, system), rule(leftovers.rule).words),
    ]  # fmt: skip
    return tuple(rows)


def _of_piece(one: PieceFacts, system: str) -> list[TemperatureRow]:
    letter, worked = one.piece.letter, one.worked or frozenset()
    least = least_row(one)
    if least is None:
        words = "ask your local authority: the chart does not name this animal"
        return [TemperatureRow(letter, one.name, words, "")]
    found = [("", least)]
    if one.worked is None and one.food == "whole":
        found.append(("if ground: ", minimum("ground")))
    if "stuffed" in worked or one.worked is None:
        found.append(
            (
                "if stuffed, its middle: " if one.worked is None else "its stuffing: ",
                minimum("stuffing"),
            )
        )
    reach = "; ".join(
        f"{lead}{_both(row.temperature_c, system)}{rest_text(row)}" for lead, row in found
    )
    return [TemperatureRow(letter, one.name, reach, rule(found[0][1].rule).words)]


def _both(value_c: float, system: str) -> str:
    """Show a temperature in both scales, the cook's own first."""
    us, metric = (
        beside(value_c, value_c, each).replace(".0 °C", " °C") for each in ("us", "metric")
    )
    return f"{us} ({metric})" if system == "us" else f"{metric} ({us})"


def _left_open(cook: Cook) -> tuple[str, ...]:
    """Say what the allergen card leaves open, and what is looked for."""
    fuels = dict.fromkeys(pit.fuel for pit in cook.pits if pit.fuel)
    smoke = (f"Smoked over {', '.join(fuels)}.",) if fuels else ()
    caveat = (
        "From tables of ingredients and from labels as they were typed in; nothing was analysed. "
        "Makers change what is in a jar: check every label, and ask."
    )
    return (
        caveat,
        *smoke,
        f"United States: {', '.join(allergens('us'))} ({rule('allergens_us').words}).",
        f"European Union: {', '.join(allergens('eu'))} ({rule('allergens_eu').words}).",
    )
