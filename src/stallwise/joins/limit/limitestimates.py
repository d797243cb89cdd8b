"""Estimates beside the limits: what models make of the readings. They change no state."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from stallwise.joins.limit.limitchilling import cooling_probes
from stallwise.joins.limit.limitfacts import CookFacts
from stallwise.joins.limit.limitpiece import PieceFacts
from stallwise.joins.limit.limitresult import EstimateResult
from stallwise.joins.limit.limitsaid import degrees
from stallwise.models.growth import growth_span_log10
from stallwise.models.lethality import credited_log10
from stallwise.models.limitcurve import coldest
from stallwise.tables.bacteria import growth_model, organisms_in
from stallwise.tables.limits import figure

__all__ = ["estimates"]

#: Fewer are told as such.
_FEW = 0.1


def estimates(facts: CookFacts, pieces: Sequence[PieceFacts]) -> tuple[EstimateResult, ...]:
    """Work out every estimate that the readings allow.

    Parameters
    ----------
    facts, pieces : CookFacts, sequence of PieceFacts
        The cook and its pieces.
    """
    return (*_lethality(facts, pieces), *_growth(facts, pieces))


def _lethality(facts: CookFacts, pieces: Sequence[PieceFacts]) -> Iterator[EstimateResult]:
    gap = figure("gap").si
    start = degrees(figure("lethal-from").si, system=facts.record.book.units)
    for one in pieces:
        said = [probe for probe in one.core if len(probe.time_s)]
        if not said or len(said) < len(one.core):
            continue
        low = coldest([probe.between(None, one.at.until_s) for probe in said], gap)
        food = "ground" if one.worked and "ground" in one.worked else one.food or "whole"
        bacteria = organisms_in(food)
        found = [credited_log10(low.time_s, low.low_c, low.known, each) for each in bacteria]
        least, most = min(low for low, _ in found), max(high for _, high in found)
        if most <= 0.0:
            continue
        behind = "; ".join(f"{each.name} in {each.matrix}: {each.says}" for each in bacteria)
        text = (
            f"Estimate: models credit {_tenfold(least, most)} for what was read from {start} "
            f"up ({behind}). Slow heat, salt, fat and a dry surface make bacteria tougher than the "
            "models know. No limit is met by it."
        )
        sources = (*dict.fromkeys(each.source for each in bacteria), "fsis-appendix-a")
        yield EstimateResult(
            "lethality", one.piece.letter, least, most, warns=False, text=text, sources=sources
        )


def _tenfold(low: float, high: float) -> str:
    """Span of tenfold steps in words: figures that round to nothing are no figures."""
    most = figure("most-told").value
    if low > most:
        return f"more than {most:g} tenfold steps"
    if high < _FEW:
        return "less than a tenth of one tenfold step"
    if low < _FEW:
        return f"up to {high:.1f} tenfold steps"
    first, last = f"{low:.1f}", f"{high:.1f}"
    return f"{first} to {last} tenfold steps" if first != last else f"about {last} tenfold steps"


def _growth(facts: CookFacts, pieces: Sequence[PieceFacts]) -> Iterator[EstimateResult]:
    most_growth = figure("growth-most").value
    models = {one.piece.letter: one.growth for one in pieces}
    for (letter, food), probe in cooling_probes(facts).items():
        model = models.get(letter) or next(filter(None, models.values()), "")
        if not model or len(probe.time_s) < 2:
            continue
        low, high = growth_span_log10(model, tuple(probe.time_s), tuple(np.asarray(probe.more_c)))
        words = growth_model(model).food.removeprefix("cooked uncured ")
        text = (
            f"Estimate: two models give {_tenfold(low, high)} of growth of "
            f"C. perfringens in {food} while it cooled, as in {words} that is not cured. "
            "Trials differ by a tenfold. No limit is met by it."
        )
        if high > most_growth:
            text += (
                " The performance standard for plants names one tenfold step at most. "
                "When in doubt, throw it out."
            )
        yield EstimateResult(
            "growth", letter, low, high, warns=high > most_growth, text=text,
            sources=("juneja-2011", "lemarc-2008", "cfr-9-318"),
        )  # fmt: skip
