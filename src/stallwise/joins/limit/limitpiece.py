"""What a log, its readings and a cook's own words say of one piece, for the limits; no verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.limit.limitfacts import CookFacts, seconds
from stallwise.joins.limit.limitprobes import piece_probes, pit_probe
from stallwise.joins.mix.mixing import mix_shelf
from stallwise.joins.plan import piece_cut
from stallwise.models.limitcurve import Probe
from stallwise.models.standing import Moments
from stallwise.record.schema import Piece
from stallwise.tables.cut import Cut
from stallwise.tables.limits import Minimum, minimum
from stallwise.tables.rows import rows

__all__ = ["PieceFacts", "is_poultry", "least_row", "piece_facts"]

_CUT = frozenset({"sliced", "pulled", "served"})
_OFF = ("off", "rest_start")


@dataclass(frozen=True)
class PieceFacts:
    """One piece: what it is, what was done to it, when, and what its probes read.

    Attributes
    ----------
    piece : Piece
        As planned.
    name, species : str
        Of the cut.
    food : str or None
        Row of least temperatures that its animal belongs to; None where it is not known.
    growth : str
        Model of growth for it, or empty.
    worked : frozenset of str or None
        What was done to it; None where nobody has said.
    at : Moments
        When things happened.
    start_c : float or None
        Its core as it went on [°C].
    core, looks, surface, stuffing : tuple of Probe
        Probes by what they measure; looks by hand while the probes in the core were silent.
    mass_kg : float or None
        As it goes on.
    pit : Probe or None
        What its pit was read at from on to off.
    gone : bool
        Nothing is left.
    chilled : bool
        Something went into the cold.
    impossible : tuple of str
        Probes that read what no core can: their unit or their place is another.
    """

    piece: Piece
    name: str
    species: str
    food: str | None
    growth: str
    worked: frozenset[str] | None
    at: Moments
    start_c: float | None
    core: tuple[Probe, ...]
    looks: tuple[Probe, ...]
    surface: tuple[Probe, ...]
    stuffing: tuple[Probe, ...]
    mass_kg: float | None
    pit: Probe | None
    gone: bool
    chilled: bool
    impossible: tuple[str, ...] = ()

    @property
    def looked(self) -> tuple[Probe, ...]:
        """Looks by hand until it was cut."""
        before = (look.between(self.at.on_s, self.at.until_s) for look in self.looks)
        return tuple(look for look in before if len(look.time_s))


def piece_facts(facts: CookFacts, piece: Piece) -> PieceFacts:
    """Gather what is known of one piece.

    Parameters
    ----------
    facts : CookFacts
        Its cook.
    piece : Piece
        Which one.
    """
    cut = piece_cut(facts.record, piece)
    row = _row(cut)
    at = _moments(facts, piece)
    probes = piece_probes(facts, piece, at)
    gone = any(
        line.what in {"all_gone", "thrown_away"}
        and line.data.get("food") in {None, "leftovers"}
        and timing.concerns(line, piece)
        for line in facts.lines
    )
    return PieceFacts(
        piece=piece,
        name=cut.name,
        species=cut.species,
        food=row["minimum"] if row else None,
        growth=row["growth"] if row else "",
        worked=_worked(facts, piece, row),
        at=at,
        start_c=_start_c(facts, piece, at),
        core=probes.of.get("core", ()),
        looks=probes.of.get("looks", ()),
        surface=probes.of.get("surface", ()),
        stuffing=probes.of.get("stuffing", ()),
        mass_kg=None if piece.mass is None else units.parse("mass", piece.mass),
        pit=pit_probe(facts, piece, at),
        gone=gone,
        chilled=at.chilled_s is not None,
        impossible=probes.impossible,
    )


def least_row(one: PieceFacts) -> Minimum | None:
    """Row of least temperatures for a piece and what was done to it; None where the chart has none."""
    worked = one.worked or frozenset()
    if one.food is None:
        return None
    if one.food == "whole" and "ground" in worked:
        return minimum("ground")
    if one.food == "whole" and one.species == "beef" and worked & {"injected", "tenderised"}:
        return minimum("tenderised")
    return minimum(one.food)


def is_poultry(cut: Cut) -> bool:
    """Whether a cut is of a bird, by the row that its animal goes by."""
    row = _row(cut)
    return bool(row and row["minimum"] == "poultry")


def _row(cut: Cut) -> Mapping[str, str] | None:
    species = rows("limits_species.csv")
    return species.get(cut.key) or species.get(cut.species.casefold())


def _worked(facts: CookFacts, piece: Piece, row: Mapping[str, str] | None) -> frozenset[str] | None:
    """Tell what was done to it: as written, and what its mixes and its cut say anyway."""
    known = set(piece.worked or ())
    book = mix_shelf(facts.record).mixes
    for use in facts.cook.mixes:
        put_on = not use.on or piece.letter in use.on
        if put_on and use.mix in book and book[use.mix].kind == "injection":
            known.add("injected")
    if row and row["minimum"] == "ground":
        known.add("ground")
    if len(known) > 1:
        known.discard("intact")
    return frozenset(known) if known else None


def _moments(facts: CookFacts, piece: Piece) -> Moments:
    mine = [line for line in facts.lines if timing.concerns(line, piece)]

    def first(*what: str, after: float | None = None) -> float | None:
        times = [seconds(facts, line.at) for line in mine if line.what in what]
        return min((when for when in times if after is None or when >= after), default=None)

    on_s = first("meat_on")
    # Rest may be all that was written; off the heat it was by then.
    off_s = next((when for when in (first(what) for what in _OFF) if when is not None), None)
    cut_s = first(*_CUT)
    # Stock and sauces have a cold of their own.
    mine = [line for line in mine if line.data.get("food") in {None, "leftovers"}]
    chilled_s = first("chilled", after=off_s)
    return Moments(facts.now_s, on_s, off_s, cut_s, chilled_s, ended=facts.ended)


def _start_c(facts: CookFacts, piece: Piece, at: Moments) -> float | None:
    """Core as it went on: as written, or the last one logged before."""
    if piece.start_core is not None:
        return units.parse("temperature", piece.start_core)
    before = [
        float(line.data["temperature_c"])
        for line in facts.lines
        if line.what == "core_reading"
        and line.piece == piece.letter
        and line.data.get("temperature_c") is not None
        and (at.on_s is not None and seconds(facts, line.at) <= at.on_s)
    ]
    return before[-1] if before else None
