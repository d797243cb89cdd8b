"""What this cook's own scales say of a cut: the weigh-ins of past cooks, folded by cut."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.joins.explain import explain
from stallwise.joins.words import percent
from stallwise.models.buying import most_barbecued_kg
from stallwise.models.weighed import ENOUGH, Band, learned_band
from stallwise.record.cook import CookRecord
from stallwise.record.weighins import WeighIn
from stallwise.tables.cut import Cut
from stallwise.tables.yields import BOUGHT, EDIBLE, yields_of

__all__ = ["CutYield", "OwnYield", "cut_yield", "own_yields", "yield_words", "yields_before"]


@dataclass(frozen=True)
class OwnYield:
    """Shares over past cooks of one cut, each None before three cooks weighed it.

    Attributes
    ----------
    kept : Band or None
        What goes on of what was bought.
    eaten : Band or None
        What is eaten of what was bought.
    eaten_of_on : Band or None
        What is eaten of what went on.
    cooks : int
        Cooks that weighed anything of it.
    """

    kept: Band | None
    eaten: Band | None
    eaten_of_on: Band | None
    cooks: int

    @property
    def of_on(self) -> Band | None:
        """What is eaten of what goes on, by the weigh-ins of it or of what was bought."""
        if self.eaten_of_on or not (self.eaten and self.kept):
            return self.eaten_of_on
        band, kept = self.eaten, self.kept.middle
        low, middle, high = (min(x / kept, 1.0) for x in (band.low, band.middle, band.high))
        return Band(low, middle, high, band.count)


@dataclass(frozen=True)
class CutYield:
    """Share that is eaten of what is bought, as best known, and where from.

    Attributes
    ----------
    eaten : Band
        Of what is bought; `count` is the number of own cooks, 0 for the table.
    lowest : float
        The lowest end of anything known of it.
    kept : float
        What goes on of what is bought, middle.
    words : str
        Where it is from, in words.
    source, grade : str
        Key for `explain`.
    """

    eaten: Band
    lowest: float
    kept: float
    words: str
    source: str
    grade: str


def yields_before(record: CookRecord) -> Mapping[str, OwnYield]:
    """Fold what the scales had said before a cook, by cut; samples say nothing of a cook's own."""
    sample = record.cook.sample
    return own_yields(one for one in record.weighed if sample or not one.sample)


def own_yields(found: Iterable[WeighIn]) -> Mapping[str, OwnYield]:
    """Fold weigh-ins by cut; a cook counts once for a cut, whatever its pieces.

    One that does not teach is left out, and so are samples beside cooks of one's own.
    """
    teach = [one for one in found if one.teaches]
    those = [one for one in teach if not one.sample] or teach
    kept: dict[str, list[float]] = {}
    eaten: dict[str, list[float]] = {}
    of_on: dict[str, list[float]] = {}
    seen: dict[str, int] = {}
    for one in those:
        for cut, weighed in one.by_cut.items():
            shares = [
                (kept, weighed.on, weighed.bought),
                (eaten, weighed.edible, weighed.bought),
                (of_on, weighed.edible, weighed.on),
            ]
            known = False
            for into, part, whole in shares:
                if part and whole and part <= whole:
                    into.setdefault(cut, []).append(part / whole)
                    known = True
            seen[cut] = seen.get(cut, 0) + known
    return {
        cut: OwnYield(
            learned_band(kept.get(cut, [])),
            learned_band(eaten.get(cut, [])),
            learned_band(of_on.get(cut, [])),
            count,
        )
        for cut, count in seen.items()
        if count
    }


def cut_yield(cut: Cut, own: OwnYield | None = None) -> CutYield:
    """Share of a cut that is eaten: own weigh-ins first, then the food table; practice sets the low end.

    Parameters
    ----------
    cut : Cut
    own : OwnYield, optional
        What past cooks weighed.
    """
    practice = [row for row in yields_of(cut.key, EDIBLE) if row.grade.startswith("common")]
    trims = yields_of(cut.key, BOUGHT)
    kept = trims[0].share if trims else 1.0
    if own and own.kept:
        kept = own.kept.middle
    eaten = own.eaten if own else None
    if own and eaten is None and own.eaten_of_on:
        part = own.eaten_of_on
        eaten = Band(part.low * kept, part.middle * kept, part.high * kept, part.count)
    if eaten is not None:
        words = f"your own {eaten.count} cooks of it"
        return CutYield(eaten, eaten.low, kept, words, "own-measurement", "own measurement")
    table = cut.edible_fraction
    lows = [row.low for row in practice]
    low = min([table, *lows])
    key, grade = f"cuts.{cut.key}.yield.edible", _grade_of(cut.key)
    words = "food table" if grade in {"published", "derived"} else grade.split(",")[0]
    if practice:
        words += f", down to {percent(low)} as pits leave it"
    most = most_barbecued_kg(1.0)
    if low > most:
        words += f"; barbecued meat for sale may keep no more than {percent(most)}, 9 CFR 319.80"
    if own and own.cooks:
        left = ENOUGH - own.cooks
        words += (
            f"; weigh {left} more cook{'s' * (left != 1)} of it for your own" if left > 0 else ""
        )
    return CutYield(Band(low, table, table, 0), low, kept, words, key, grade)


def _grade_of(cut: str) -> str:
    """Tell what kind of knowledge a cut's own yield is; the cook's own cut is their measurement."""
    try:
        (row,) = explain(f"cuts.{cut}.yield.edible")
    except (NotFoundError, ValueError):
        return "own measurement"
    return row.grade


def yield_words(found: CutYield) -> str:
    """Say what goes on and what is eaten of what is bought, and by whose scales."""
    eaten, kept = percent(found.eaten.middle), percent(found.kept)
    ends = ""
    if found.eaten.count:
        ends = f", {percent(found.eaten.low)} to {percent(found.eaten.high)} the next time"
    trimmed = f"{kept} of it goes on; " if found.kept < 1.0 else ""
    return f"Of what is bought: {trimmed}{eaten} is eaten{ends} ({found.words})."
