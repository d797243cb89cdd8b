"""From cook to cook: what a finished cook tells of its pits and cuts, folded in order of date.

A draw of a cook is the habit of its pit (or cut) and what was peculiar to that day. Only the habit is
learned; the peculiar part stays as it is, so that a known pit is never taken for a certain one. Both
are normal, in the logarithm where the table draws lognormally, so that a fold is one Kalman step.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.models.assimilate import assimilate
from stallwise.models.draws import Draws, draw
from stallwise.models.marching import march_piece
from stallwise.models.plan import Knowledge, Learned, PiecePlan
from stallwise.tables.parameters import Parameter, parameter, parameters

__all__ = ["CookLesson", "Habits", "Key", "Told", "fold", "knowledge_of", "lesson"]

_NORMAL = NormalDist()
_RECORD_S = 300.0
#: Posteriors are no narrower than this share of the prior: a cook is one day.
_LEAST = 1e-4
#: Weights are evened out until so many members carry them.
_ENOUGH = 40.0

Key = tuple[str, str]


@dataclass(frozen=True)
class Told:
    """What one cook tells of one draw: a reading of its value with a variance.

    Attributes
    ----------
    value, variance : float
        In the table's unit, or its logarithm where that is drawn lognormally; an infinite
        variance tells nothing.
    """

    value: float
    variance: float


@dataclass(frozen=True)
class CookLesson:
    """What one cook tells, or why it does not teach.

    Attributes
    ----------
    pits, cuts : mapping of (name, parameter) to tuple of Told
    misfit : mapping of letter to float
        As `assimilate.Assimilated.misfit`.
    refused : str
        Why nothing is learned of it; empty when it teaches.
    """

    pits: Mapping[Key, tuple[Told, ...]] = field(default_factory=dict)
    cuts: Mapping[Key, tuple[Told, ...]] = field(default_factory=dict)
    misfit: Mapping[str, float] = field(default_factory=dict)
    refused: str = ""


@dataclass(frozen=True)
class Habits:
    """Habits of pits and cuts so far: mean and variance, in the space of `Told`."""

    pits: Mapping[Key, tuple[float, float]] = field(default_factory=dict)
    cuts: Mapping[Key, tuple[float, float]] = field(default_factory=dict)


def lesson(
    pieces: Sequence[PiecePlan],
    *,
    seed: int,
    members: int,
    knowledge: Knowledge | None = None,
    even_if_odd: bool = False,
) -> CookLesson:
    """Learn from a finished cook.

    Parameters
    ----------
    pieces : sequence of PiecePlan
        With facts until the end: pit as read, probes, wraps, and the feel checks that bracket
        the finish.
    seed, members : int
        As for a forecast.
    knowledge : Knowledge, optional
        What was known before this cook.
    even_if_odd : bool, optional
        Learn of it although its readings cannot be.

    Returns
    -------
    CookLesson
    """
    known = knowledge or Knowledge()
    smoothed = assimilate(pieces, seed=seed, members=members, knowledge=known)
    odd = [key for key, off in smoothed.misfit.items() if off > parameter("update.suspect").value]
    if odd and not even_if_odd:
        words = f"readings of piece {', '.join(odd)} are what hardly any possible day gives"
        return CookLesson(misfit=smoothed.misfit, refused=words)
    pits: dict[Key, tuple[Told, ...]] = {}
    cuts: dict[Key, tuple[Told, ...]] = {}
    weights: dict[str, NDArray[np.float64]] = {}
    drawn: dict[str, Draws] = {}
    for piece in pieces:
        after = draw(
            piece,
            seed=seed,
            members=members,
            knowledge=known,
            scores=smoothed.scores.get(piece.key),
        )
        drawn[piece.key] = after
        weights[piece.key], threshold = _bracketed(piece, after)
        if not smoothed.looks.get(piece.key) and threshold is None:
            continue
        for key in _learned_of_cut(after):
            before = _taught(key, known.cuts.get(piece.cut, {}))
            told = (
                threshold
                if key == "tender.t95"
                else _moments(before, after.drawn[key], weights[piece.key])
            )
            if told is not None:
                cuts[piece.cut, key] = (*cuts.get((piece.cut, key), ()), _likelihood(before, told))
    for piece in pieces:
        for name, values in drawn[piece.key].drawn.items():
            pit, colon, key = name.partition(": ")
            if not colon or (pit, key) in pits or not _within(key):
                continue
            those = [one for one in pieces if name in drawn[one.key].drawn]
            joint = _even(np.prod([weights[one.key] for one in those], axis=0))
            before = _taught(key, known.pits.get(pit, {}))
            pits[pit, key] = (_likelihood(before, _moments(before, values, joint)),)
    return CookLesson({**pits, **_measured(pieces)}, cuts, smoothed.misfit)


def fold(habits: Habits, told: CookLesson) -> Habits:
    """Habits after one more cook.

    Parameters
    ----------
    habits : Habits
        Before it.
    told : CookLesson
        What it tells; nothing when it was refused.

    Returns
    -------
    Habits
    """
    if told.refused:
        return habits
    return Habits(_folded(habits.pits, told.pits), _folded(habits.cuts, told.cuts))


def knowledge_of(habits: Habits, name: str) -> Knowledge:
    """Knowledge to forecast with: habits, and the part of each day that is never known before."""

    def nested(part: Mapping[Key, tuple[float, float]]) -> dict[str, dict[str, Learned]]:
        found: dict[str, dict[str, Learned]] = {}
        for (owner, key), (mean, variance) in part.items():
            spread = math.sqrt(variance + _within(key) ** 2)
            value = math.exp(mean) if parameter(key).distribution == "lognormal" else mean
            found.setdefault(owner, {})[key] = Learned(value, spread)
        return found

    return Knowledge(name, nested(habits.pits), nested(habits.cuts))


def _folded(
    part: Mapping[Key, tuple[float, float]], told: Mapping[Key, tuple[Told, ...]]
) -> dict[Key, tuple[float, float]]:
    found = dict(part)
    for name, readings in told.items():
        one = parameter(name[1])
        within = _within(name[1]) ** 2
        mean, variance = found.get(
            name, (_centre(one), max(one.spread**2 - within, _LEAST * one.spread**2))
        )
        for reading in readings:
            if math.isfinite(reading.variance):
                gain = variance / (variance + within + reading.variance)
                mean += gain * (reading.value - mean)
                variance *= 1.0 - gain
        found[name] = (mean, variance)
    return found


def _learned_of_cut(drawn: Draws) -> list[str]:
    return [
        name
        for name in drawn.drawn
        if ": " not in name and parameter(name).scope == "cut" and _within(name)
    ]


def _within(key: str) -> float:
    """Spread from day to day that no cook takes away; 0 for what is not learned."""
    if parameter(key).distribution not in {"normal", "lognormal"}:
        return 0.0
    group = (
        ".".join(key.split(".")[:2]) if key.startswith("pit.") else key.rsplit(".", maxsplit=1)[-1]
    )
    row = parameters().get(f"learn.within.{group}")
    return 0.0 if row is None else row.value


def _taught(key: str, lessons: Mapping[str, Learned]) -> Parameter:
    one, learned = parameter(key), lessons.get(key)
    return one if learned is None else replace(one, value=learned.value, spread=learned.spread)


def _centre(one: Parameter) -> float:
    return math.log(one.value) if one.distribution == "lognormal" else one.value


def _moments(
    one: Parameter, values: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[float, float]:
    """Mean and variance of the drawn values, weighted."""
    latent = np.log(values) if one.distribution == "lognormal" else values
    mean = float(np.average(latent, weights=weights))
    return mean, float(np.average((latent - mean) ** 2, weights=weights))


def _likelihood(before: Parameter, after: tuple[float, float]) -> Told:
    """Work out the reading that would have moved what was known before to what is known after."""
    mean, variance = after
    prior = before.spread**2
    variance = max(variance, _LEAST * prior)
    if variance >= prior * (1.0 - 1e-9):
        return Told(mean, math.inf)
    told = 1.0 / (1.0 / variance - 1.0 / prior)
    return Told(told * (mean / variance - _centre(before) / prior), told)


def _measured(pieces: Sequence[PiecePlan]) -> dict[Key, tuple[Told, ...]]:
    """Tell what second numbers of a pit have measured."""
    doubt = parameter("learn.gap").value ** 2
    return {
        (other.owner, other.key): (Told(other.value_k, doubt),)
        for piece in pieces
        for other in (piece.facts.others if piece.facts is not None else ())
    }


def _bracketed(
    piece: PiecePlan, drawn: Draws
) -> tuple[NDArray[np.float64], tuple[float, float] | None]:
    """Weigh the members by the feel checks; mean and variance of log t95 given them."""
    even = np.ones(len(drawn.members))
    facts = piece.facts
    if facts is None or piece.target.kind == "core":
        return even, None
    early, late = facts.not_tender_s, facts.tender_s
    if early is None and late is None:
        return even, None
    table = drawn.members.copy()
    table["finish_dose"] = table["finish_core_c"] = table["finish_forced_s"] = np.inf
    until = max(late or 0.0, early or 0.0, _RECORD_S)
    dose = march_piece(
        piece,
        replace(drawn, members=table),
        horizon_s=until + _RECORD_S,
        step_s=parameter("forecast.step").value,
        record_s=_RECORD_S,
    ).dose
    grid = np.arange(dose.shape[1]) * _RECORD_S

    def at(moment: float) -> NDArray[np.float64]:
        return np.array([np.interp(moment, grid, row) for row in dose])

    t95 = drawn.drawn["tender.t95"]
    log_t95 = np.log(t95)
    spread = max(float(np.std(log_t95)), 1e-6)
    middle = float(np.mean(log_t95))
    # threshold = its value at t95's median times t95 over that median
    scale = np.log(drawn.members["finish_dose"] / t95)
    with np.errstate(divide="ignore"):
        low = (np.log(at(early)) - scale - middle) / spread if early else np.full(len(t95), -9.0)
        high = (np.log(at(late)) - scale - middle) / spread if late else np.full(len(t95), 9.0)
    low, high = np.clip(low, -9.0, 9.0), np.clip(high, -9.0, 9.0)
    mass, mean, second = _truncated(low, np.maximum(high, low + 1e-6))
    weights = _even(np.maximum(mass, 1e-12))
    centre = float(np.average(mean, weights=weights))
    square = float(np.average(second, weights=weights))
    return weights, (middle + spread * centre, spread**2 * max(square - centre**2, _LEAST))


def _truncated(
    low: NDArray[np.float64], high: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Mass, mean and second moment of a standard normal between two bounds."""
    below = np.array([_NORMAL.cdf(x) for x in low.tolist()])
    above = np.array([_NORMAL.cdf(x) for x in high.tolist()])
    mass = above - below
    thin = mass < 1e-9  # far out, or as good as a point
    safe = np.where(thin, 1.0, mass)
    at_low, at_high = (np.exp(-0.5 * x**2) / math.sqrt(2.0 * math.pi) for x in (low, high))
    mean = np.where(thin, 0.5 * (low + high), (at_low - at_high) / safe)
    second = np.where(thin, mean**2, 1.0 + (low * at_low - high * at_high) / safe)
    return mass, mean, np.maximum(second, mean**2)


def _even(weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Even weights out until enough members carry them."""
    weights = weights / np.sum(weights)
    enough = min(_ENOUGH, 0.5 * len(weights))
    while 1.0 / np.sum(weights**2) < enough:
        weights = weights**0.75
        weights = weights / np.sum(weights)
    return weights
