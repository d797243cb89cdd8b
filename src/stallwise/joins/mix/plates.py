"""Guests against what is cooked, and what the meat of a cook costs as bought and as eaten."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.money import parse_price
from stallwise.joins.mix.mixresult import CostResult, CrowdResult
from stallwise.joins.mix.packlabel import pack_age_days
from stallwise.joins.mix.prices import Prices
from stallwise.joins.mix.yields import OwnYield, cut_yield
from stallwise.joins.plan import Planned
from stallwise.joins.serving import spread
from stallwise.models.buying import cost_per_eaten_kg, cost_per_serving
from stallwise.models.crowd import Guests, need_of_all
from stallwise.record.schema import Cook
from stallwise.record.trimming import board

__all__ = ["costs", "plates"]


def plates(
    cook: Cook, eaten_kg: Sequence[NDArray[np.float64]], weights: NDArray[np.float64]
) -> CrowdResult | None:
    """Hold what a cook's pieces leave to eat against its guests; None where none are named.

    Parameters
    ----------
    cook : Cook
    eaten_kg : sequence of array
        Cooked meat of each piece with all its alike ones [kg], by possible day.
    weights : array
        Of the days.
    """
    if not cook.guests:
        return None
    said = cook.quote.no_shows if cook.quote else None
    away = units.parse("fraction", said, key="no_shows") if said else 0.0
    guests = Guests(cook.guests, cook.children, cook.hungry, cook.light, cook.no_meat, away)
    need = need_of_all(guests, len({piece.cut for piece in cook.pieces}))
    total: NDArray[np.float64] = np.sum(np.stack(eaten_kg), axis=0)
    return CrowdResult(
        guests.heads,
        need.plates,
        (need.low_kg, need.usual_kg, need.high_kg),
        spread(total, weights),
        spread(total - need.usual_kg, weights),
    )


def costs(
    cook: Cook,
    planned: Sequence[Planned],
    eaten_kg: Mapping[str, float],
    prices: Prices,
    own: Mapping[str, OwnYield],
) -> tuple[tuple[CostResult, ...], tuple[CookWarning, ...]]:
    """Work out what each line of pieces with a price costs.

    Parameters
    ----------
    cook : Cook
    planned : sequence of Planned
    eaten_kg : mapping of letter to float
        What is eaten of all alike ones [kg].
    prices : Prices
        Of cuts, for pieces that say none.
    own : mapping of str to OwnYield
        What past cooks weighed, for what was bought of a piece that nobody weighed as bought.

    Returns
    -------
    tuple of CostResult, tuple of CookWarning
        And what has to be asked about a price.
    """
    found, asked = [], []
    heads = (cook.guests or 0) - cook.no_meat
    for one in planned:
        piece = one.piece
        try:
            price = parse_price(piece.price) if piece.price else prices.by_key.get(one.cut.key)
        except InputError as error:
            # An old cook may hold a bare number: it is asked, and the rest goes on.
            asked.append(CookWarning("price-asked", f"No cost is counted: {error}", piece.letter))
            continue
        if price is None:
            continue
        weighed_kg = board(piece).mass_bought_kg
        each_kg = weighed_kg or one.mass_kg / cut_yield(one.cut, own.get(one.cut.key)).kept
        bought_kg = each_kg * piece.count
        paid = price.paid(bought_kg, piece.count)
        eaten = min(eaten_kg[piece.letter], bought_kg)
        said = piece.label_solution
        solution = units.parse("fraction", said, key="label_solution") if said else 0.0
        found.append(
            CostResult(
                piece=piece.letter,
                money=price.money,
                paid=paid,
                bought_kg=bought_kg,
                eaten_kg=eaten,
                per_eaten_kg=cost_per_eaten_kg(paid / bought_kg, eaten / bought_kg),
                per_serving=cost_per_serving(paid, heads) if heads > 0 else None,
                # "Contains up to 12 % of a solution" is 12 parts in 112 of what is sold.
                solution_kg=bought_kg * solution / (1.0 + solution),
                bought_weighed=weighed_kg is not None,
                pack_age_days=pack_age_days(cook, piece),
            )
        )
    return tuple(found), tuple(asked)
