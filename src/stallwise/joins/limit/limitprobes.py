"""Probes of a piece for the limits: by what they measure, with what their checks allow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stallwise.joins.fire.pitseen import pit_probes
from stallwise.joins.learn.probed import NOT_CORE
from stallwise.joins.limit.limitfacts import CookFacts, seconds
from stallwise.models.limitcurve import Probe
from stallwise.models.probecheck import boiling_at_c, probe_tolerance_k
from stallwise.models.standing import Moments
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece
from stallwise.tables.limits import figure

__all__ = [
    "PieceProbes",
    "judged_checks",
    "merged",
    "off_k",
    "piece_probes",
    "pit_probe",
    "probe_checks",
    "true_c",
]


@dataclass(frozen=True)
class PieceProbes:
    """Probes by ``core``, ``surface``, ``stuffing``; `impossible` names those not believed.

    ``looks`` are readings by hand while every probe was silent: they can speak against a limit,
    and carry none but that off the heat a single spot was still hot.
    """

    of: Mapping[str, tuple[Probe, ...]]
    impossible: tuple[str, ...]


def piece_probes(facts: CookFacts, piece: Piece, at: Moments) -> PieceProbes:
    """Take the probes of a piece up to now, or until it went into the cold.

    Parameters
    ----------
    facts : CookFacts
        The cook.
    piece : Piece
        Whose probes.
    at : Moments
        What happened to it when.

    Notes
    -----
    A probe that reads more than any core can, or frozen through over a fire, is read in another
    unit, or sits elsewhere: nothing it says is believed.
    """
    found: dict[str, list[Probe]] = {}
    mine = [one for one in facts.readings if one.piece == piece.letter]
    for one in mine:
        times, values = (np.asarray(part) for part in one.elapsed(facts.zero, facts.until))
        kind = NOT_CORE.get(one.place.casefold(), "core")
        found.setdefault(kind, []).append(Probe(one.place or one.channel, times, values))
    core = found.setdefault("core", [])
    channels, by_hand = tuple(core), False
    for spot, points in _by_hand(facts, piece).items():
        apart, silent = _sorted_out([one for one in points if not _late(one, at)], channels)
        # Once it is cut a reading is of a slice, and of nothing that was cooked.
        silent += [one for one in points if _late(one, at)]
        for kind, some in (("core", apart), ("looks", silent)):
            if some:
                # A look can only speak against a limit, so it needs no check of its own.
                by_hand = by_hand or kind == "core"
                times, values = (np.array(part, dtype=float) for part in zip(*some, strict=True))
                found.setdefault(kind, []).append(Probe(spot, times, values))
    # Looks are by a thermometer more, which takes a check more.
    tolerance, by_look = (_tolerance_k(facts, piece, len(mine) + by_hand + n) for n in (0, 1))
    found = {
        kind: [
            _warm(replace(one, tolerance_k=by_look if kind == "looks" else tolerance), at)
            for one in some
        ]
        for kind, some in found.items()
    }
    wrong = [one.name for one in found.get("core", ()) if _is_impossible(one, at)]
    believed = {
        kind: tuple(_silenced(one) if kind == "core" and one.name in wrong else one for one in some)
        for kind, some in found.items()
    }
    return PieceProbes(believed, tuple(wrong))


def _late(point: tuple[float, float], at: Moments) -> bool:
    return at.cut_s is not None and point[0] > at.cut_s


def merged(one: Probe, looks: Sequence[Probe]) -> Probe:
    """Lay looks by hand into a probe, by time; unchecked where one of them is."""
    every = (one, *(look for look in looks if len(look.time_s)))
    if len(every) == 1:
        return one
    times = np.concatenate([each.time_s for each in every])
    order = np.argsort(times, kind="stable")
    values = np.concatenate([each.temperature_c for each in every])
    allowed = [each.tolerance_k for each in every if each.tolerance_k is not None]
    tolerance = max(allowed) if len(allowed) == len(every) else None
    return replace(one, time_s=times[order], temperature_c=values[order], tolerance_k=tolerance)


def _sorted_out(
    points: list[tuple[float, float]], probes: Sequence[Probe]
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Sort readings by hand: those of another spot than the probes', and those while all are silent.

    What is near a probe that speaks is that probe, read from its display.
    """
    spoke = [one for one in probes if len(one.time_s)]
    if not spoke:
        return points, []
    apart, silent = [], []
    gap, near = figure("gap").si, figure("same-spot").si
    for when, value in points:
        said = [
            float(np.interp(when, one.time_s, one.temperature_c))
            for one in spoke
            if np.abs(one.time_s - when).min() <= gap
        ]
        if not said:
            silent.append((when, value))
        elif min(abs(value - each) for each in said) > near:
            apart.append((when, value))
    return apart, silent


def _warm(one: Probe, at: Moments) -> Probe:
    """Take the readings until it went into the cold: cooling is counted apart."""
    return one if at.chilled_s is None else one.between(None, at.chilled_s)


def _is_impossible(one: Probe, at: Moments) -> bool:
    inside = one.between(at.on_s, at.off_s if at.off_s is not None else at.cut_s).temperature_c
    return bool(((inside > figure("core-most").si) | (inside < figure("core-least").si)).any())


def _silenced(one: Probe) -> Probe:
    nothing: NDArray[np.float64] = np.empty(0)
    return replace(one, time_s=nothing, temperature_c=nothing)


def _by_hand(facts: CookFacts, piece: Piece) -> dict[str, list[tuple[float, float]]]:
    """Gather readings written down, by spot."""
    spots: dict[str, list[tuple[float, float]]] = {}
    for line in facts.lines:
        if line.what == "core_reading" and line.piece in {"", piece.letter}:
            value = line.data.get("temperature_c")
            if value is not None and (line.piece or len(facts.cook.pieces) == 1):
                spot = str(line.data.get("spot") or "by hand")
                spots.setdefault(spot, []).append((seconds(facts, line.at), float(value)))
    return spots


def _tolerance_k(facts: CookFacts, piece: Piece, probes: int) -> float | None:
    """Say what the checks of a piece's probes allow; None unless each of them was checked.

    One check in one bath speaks for one probe. A check without a letter counts only where there are
    no more probes in the cook than such checks.
    """
    checks = judged_checks(facts)
    own = [line for line in checks if line.piece == piece.letter]
    open_ = [line for line in checks if not line.piece and not line.pit]
    letters = [one.letter for one in facts.cook.pieces]
    hands = any(line.what == "core_reading" for line in facts.lines)
    everywhere = sum(1 for one in facts.readings if one.piece in letters) + hands
    counted = own + (open_ if everywhere <= _probes_in(open_) else [])
    if _probes_in(counted) < max(probes, 1):
        return None
    return probe_tolerance_k([off_k(facts, line) for line in counted])


def _probes_in(checks: Sequence[LogLine]) -> int:
    """As many probes as stood in one bath: one that stood in both is one probe still."""
    baths = [str(line.data.get("bath", "ice")) for line in checks]
    return max(map(baths.count, baths), default=0)


def judged_checks(facts: CookFacts) -> list[LogLine]:
    """Take the checks that can be judged: boiling water says nothing where nobody knows how high."""
    known = facts.elevation_m is not None
    return [line for line in probe_checks(facts) if known or line.data.get("bath") != "boiling"]


def probe_checks(facts: CookFacts) -> list[LogLine]:
    """Take the checks of probes in ice or boiling water that say what was read."""
    return [
        line
        for line in facts.lines
        if line.what == "probe_check" and line.data.get("temperature_c") is not None
    ]


def true_c(facts: CookFacts, bath: str) -> float:
    """Tell what a probe has to read in ice water, or boiling water at the cook's elevation [°C]."""
    return figure("ice-point").si if bath == "ice" else boiling_at_c(facts.elevation_m or 0.0)


def off_k(facts: CookFacts, line: LogLine) -> float:
    """By how much a probe was off in ice or boiling water [K]."""
    return float(line.data["temperature_c"]) - true_c(facts, str(line.data.get("bath", "ice")))


def pit_probe(facts: CookFacts, piece: Piece, at: Moments) -> Probe | None:
    """Take what was read of the pit of a piece from on to off, probe and gauge together.

    Parameters
    ----------
    facts, piece, at
        As for `piece_probes`.

    Returns
    -------
    Probe or None
        With the tolerance that the code allows a thermometer for air, or what its check said where
        that is more; without one where it was never checked. None where nothing was read, where
        nobody said when it went on, or where it stood in more than one pit.
    """
    letter = piece.pit or (facts.cook.pits[0].letter if facts.cook.pits else "P")
    moved = piece.moves or any(
        line.what == "moved" and line.piece in {"", piece.letter} for line in facts.lines
    )
    if at.on_s is None or moved:
        return None
    points: list[tuple[float, float]] = []
    for one in pit_probes(facts.readings, letter)[:1]:
        points += zip(*one.elapsed(facts.zero, facts.until), strict=True)
    for line in facts.lines:
        value = line.data.get("temperature_c")
        if value is not None and line.what == "pit_reading" and line.pit in {"", letter}:
            points.append((seconds(facts, line.at), float(value)))
    if not points:
        return None
    times, values = (np.array(part, dtype=float) for part in zip(*sorted(points), strict=True))
    ends = at.off_s if at.off_s is not None else at.until_s
    off = [abs(off_k(facts, line)) for line in judged_checks(facts) if line.pit == letter]
    tolerance = max(figure("probe-air-f").si, *off) if off else None
    return Probe("pit", times, values, tolerance).between(at.on_s, ends)
