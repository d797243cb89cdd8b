"""Mid-cook update: draws that agree with what the probes have read so far.

An ensemble smoother with multiple data assimilation: the possible days are marched up to now,
compared with the readings, and moved towards those that would have given them, in a few gentle
passes [emerick-reynolds-2013]_. The model is known to be wrong in its own way, so what it misses is
taken as an error that lasts for hours; a thousand readings of one probe count for hardly more than
a reading every half an hour.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import stream
from stallwise.models.draws import Draws, draw
from stallwise.models.marching import march_piece
from stallwise.models.plan import Knowledge, PiecePlan, ProbeTrace
from stallwise.models.probe import reading_c
from stallwise.tables.parameters import parameter

__all__ = ["Assimilated", "assimilate", "observed_at"]

Scores = Mapping[str, NDArray[np.float64]]

_NORMAL = NormalDist()
_EDGE = 1e-6  # probabilities keep off 0 and 1 by this
_RECORD_S = 300.0
#: What temperatures say nothing about: these draws stay as they are.
_UNTOUCHED = ("tender.", "rest.", "hold.", "surface.spritz_stays")


@dataclass(frozen=True, eq=False)
class Assimilated:
    """What the readings of a cook have taught of its pieces.

    Attributes
    ----------
    scores : mapping of letter to (mapping of draw to array (members,))
        Probabilities to draw with, for `draws.draw`.
    looks : mapping of letter to int
        Moments at which readings were compared, of the probes of a piece together.
    misfit : mapping of letter to float
        How far the readings lie from what was thought possible before, in standard deviations
        (root mean square over the looks); 1 is usual, above 2.5 the probe or the pit is suspect.
    """

    scores: Mapping[str, Scores]
    looks: Mapping[str, int]
    misfit: Mapping[str, float]


@dataclass(frozen=True)
class _Looks:
    """Readings of one probe at the moments that are compared."""

    letter: str
    probe: int
    time_s: NDArray[np.float64]
    read_c: NDArray[np.float64]
    noise_k: float


def assimilate(
    pieces: Sequence[PiecePlan],
    *,
    seed: int,
    members: int,
    knowledge: Knowledge | None = None,
    step_s: float | None = None,
) -> Assimilated:
    """Update the draws of a cook's pieces with their readings until now.

    Parameters
    ----------
    pieces : sequence of PiecePlan
        All pieces of the cook; readings are in `Facts.probes`. Pieces on one pit share what is
        learned of the pit.
    seed : int
        Seed of the cook.
    members : int
        Possible days.
    knowledge : Knowledge, optional
        What was known before.
    step_s : float, optional
        Step of the time march [s].

    Returns
    -------
    Assimilated

    References
    ----------
    [emerick-reynolds-2013]_
    """
    known = knowledge or Knowledge()
    prior = {one.key: draw(one, seed=seed, members=members, knowledge=known) for one in pieces}
    looks = [look for one in pieces for look in _looks(one)]
    if not looks:
        return Assimilated({one.key: {} for one in pieces}, {}, {})
    state = _State.of(prior, looks, seed, members)
    read = np.concatenate([look.read_c for look in looks])
    error = _covariance(looks)
    owners = np.array([look.letter for look in looks for _ in look.time_s])
    reach = {one.key: _reach(one) for one in pieces}
    allowed = state.allowed(owners, reach)
    passes = int(parameter("update.passes").value)
    root = np.linalg.cholesky(error * passes)
    step = parameter("forecast.step").value if step_s is None else step_s
    by_key = {one.key: one for one in pieces}
    first: NDArray[np.float64] | None = None
    for number in range(passes):
        seen = _predicted(by_key, looks, state, seed, members, known, step)
        first = seen if first is None else first
        noise = root @ stream(seed, "update", str(number)).standard_normal((len(read), members))
        state = state.moved(seen, read[:, None] + noise - seen, error * passes, allowed)
    assert first is not None  # noqa: S101 - there is at least one pass
    return Assimilated(
        {one.key: state.probabilities(one.key, prior[one.key]) for one in pieces},
        {key: int(np.sum(owners == key)) for key in dict.fromkeys(owners.tolist())},
        _misfit(owners, read, first, error),
    )


def observed_at(
    trace: ProbeTrace, as_of_s: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Moments at which a trace is compared, every half an hour back from its last reading.

    Parameters
    ----------
    trace : ProbeTrace
        Readings of one probe.
    as_of_s : float
        Now [s since meat on].

    Returns
    -------
    time_s, read_c : arrays (looks,)
        Moments [s] and medians of the readings round them [°C]; none in a gap.
    """
    times, values = np.asarray(trace.time_s), np.asarray(trace.core_c)
    kept = (times >= parameter("update.from").value) & (times <= as_of_s)
    times, values = times[kept], values[kept]
    if not len(times):
        return times, values
    every, near = parameter("update.every").value, parameter("update.near").value
    wanted = np.arange(times[-1], 0.0, -every)[::-1]
    at, read = [], []
    for moment in wanted:
        close = np.abs(times - moment) <= near
        if np.any(close):
            at.append(float(np.median(times[close])))
            read.append(float(np.median(values[close])))
    return np.array(at), np.array(read)


def _looks(piece: PiecePlan) -> list[_Looks]:
    found: list[_Looks] = []
    facts = piece.facts
    if facts is None:
        return found
    for probe, trace in enumerate(facts.probes):
        time, read = observed_at(trace, facts.as_of_s)
        noise = parameter("update.noise_hand" if trace.by_hand else "update.noise").value
        if len(time):
            found.append(_Looks(piece.key, probe, time, read, noise))
    return found


def _covariance(looks: Sequence[_Looks]) -> NDArray[np.float64]:
    """Errors of the readings: what the model misses lasts, and is shared by a piece's probes."""
    times = np.concatenate([look.time_s for look in looks])
    owners = np.concatenate([np.full(len(look.time_s), look.letter) for look in looks])
    lasting = parameter("update.lasting").value
    alike = np.exp(-np.abs(times[:, None] - times) / lasting) * (owners[:, None] == owners)
    noise = np.concatenate([np.full(len(look.time_s), look.noise_k) for look in looks])
    found: NDArray[np.float64] = parameter("update.structural").value ** 2 * alike
    return found + np.diag(noise**2)


def _reach(piece: PiecePlan) -> frozenset[str]:
    """Pits, and places in them, that a piece has stood in by now: its readings tell of these."""
    until = piece.facts.as_of_s if piece.facts is not None else 0.0
    return piece.pit_owners(until)


@dataclass(frozen=True)
class _State:
    """Normal scores of everything that is updated, one row each.

    Attributes
    ----------
    names : tuple of (owner, draw)
        Owner is a piece's letter, or a pit's name for what pieces share.
    scores : array (names, members)
    """

    names: tuple[tuple[str, str], ...]
    scores: NDArray[np.float64]

    @classmethod
    def of(
        cls, prior: Mapping[str, Draws], looks: Sequence[_Looks], seed: int, members: int
    ) -> _State:
        rows: dict[tuple[str, str], NDArray[np.float64]] = {}
        for letter, drawn in prior.items():
            for name, probability in drawn.scores.items():
                pit, colon, key = name.partition(": ")
                if (key if colon else name).startswith(_UNTOUCHED):
                    continue
                rows[pit if colon else letter, name] = _normal_scores(probability)
        for look in looks:
            if look.probe:  # each further probe sits where it sits
                off = parameter("probe.off").scores(
                    seed, members, "piece", look.letter, f"probe {look.probe}"
                )
                rows[look.letter, f"probe {look.probe}"] = _normal_scores(off)
        return cls(tuple(rows), np.array(list(rows.values())))

    def allowed(
        self, owners: NDArray[np.str_], reach: Mapping[str, frozenset[str]]
    ) -> NDArray[np.bool_]:
        """Which reading may move which draw: a piece's own, or those of its pits."""
        found = np.zeros((len(self.names), len(owners)), dtype=bool)
        for row, (owner, name) in enumerate(self.names):
            for column, letter in enumerate(owners):
                found[row, column] = owner in reach[letter] if ": " in name else owner == letter
        return found

    def moved(
        self,
        seen: NDArray[np.float64],
        gap: NDArray[np.float64],
        error: NDArray[np.float64],
        allowed: NDArray[np.bool_],
    ) -> _State:
        """One pass of the smoother."""
        apart = self.scores - self.scores.mean(axis=1, keepdims=True)
        spread = seen - seen.mean(axis=1, keepdims=True)
        count = seen.shape[1] - 1
        joint = np.where(allowed, apart @ spread.T / count, 0.0)
        own = spread @ spread.T / count + error
        step: NDArray[np.float64] = joint @ np.linalg.solve(own, gap)
        return replace(self, scores=self.scores + step)

    def probabilities(self, letter: str, prior: Draws) -> dict[str, NDArray[np.float64]]:
        """Probabilities of one piece's draws, its pits' among them."""
        found = {}
        for (owner, name), row in zip(self.names, self.scores, strict=True):
            if owner == letter or (": " in name and name in prior.scores):
                found[name] = _probabilities(row)
        return found

    def probe_share(self, letter: str, probe: int, drawn: Draws) -> NDArray[np.float64]:
        """Place of a piece's probe, of the way from the core to the surface."""
        if probe == 0:
            return drawn.probe_share
        row = self.scores[self.names.index((letter, f"probe {probe}"))]
        off = parameter("probe.off").quantile(_probabilities(row))
        share: NDArray[np.float64] = np.minimum(off / drawn.members["radius_m"], 1.0)
        return share


def _predicted(
    pieces: Mapping[str, PiecePlan],
    looks: Sequence[_Looks],
    state: _State,
    seed: int,
    members: int,
    known: Knowledge,
    step_s: float,
) -> NDArray[np.float64]:
    """Work out what each possible day's probes would have read at the looks."""
    rows: list[NDArray[np.float64]] = []
    for letter in dict.fromkeys(look.letter for look in looks):
        piece = pieces[letter]
        mine = [look for look in looks if look.letter == letter]
        until = max(float(look.time_s[-1]) for look in mine)
        prior = draw(piece, seed=seed, members=members, knowledge=known)
        drawn = draw(
            piece,
            seed=seed,
            members=members,
            knowledge=known,
            scores=state.probabilities(letter, prior),
        )
        table = drawn.members.copy()
        table["finish_dose"] = table["finish_core_c"] = table["finish_forced_s"] = np.inf
        made = march_piece(
            piece,
            replace(drawn, members=table),
            horizon_s=until + _RECORD_S,
            step_s=min(step_s, until),
            record_s=_RECORD_S,
        )
        grid = np.arange(made.core_c.shape[1], dtype=np.float64) * _RECORD_S
        for look in mine:
            share = state.probe_share(letter, look.probe, drawn)[:, None]
            read = np.asarray(
                reading_c(made.core_c, made.mid_c, made.surface_c, share), dtype=np.float64
            )
            rows.extend(_between(grid, read, moment) for moment in look.time_s)
    return np.array(rows)


def _between(
    grid: NDArray[np.float64], curves: NDArray[np.float64], moment: float
) -> NDArray[np.float64]:
    at = min(int(moment // _RECORD_S), len(grid) - 2)
    part = (moment - grid[at]) / _RECORD_S
    between: NDArray[np.float64] = curves[:, at] + part * (curves[:, at + 1] - curves[:, at])
    return between


def _misfit(
    owners: NDArray[np.str_],
    read: NDArray[np.float64],
    seen: NDArray[np.float64],
    error: NDArray[np.float64],
) -> dict[str, float]:
    spread = np.sqrt(np.var(seen, axis=1) + np.diag(error))
    off = (read - seen.mean(axis=1)) / spread
    return {
        letter: math.sqrt(float(np.mean(off[owners == letter] ** 2)))
        for letter in dict.fromkeys(owners.tolist())
    }


def _normal_scores(probability: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.array([_NORMAL.inv_cdf(p) for p in probability.tolist()])


def _probabilities(scores: NDArray[np.float64]) -> NDArray[np.float64]:
    found: NDArray[np.float64] = np.array([_NORMAL.cdf(z) for z in scores.tolist()])
    return np.clip(found, _EDGE, 1.0 - _EDGE)
