"""Coverage of forecasts and updates over simulated cooks, and the table of it."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
import simulator

from stallwise.ground.ensemble import quantiles
from stallwise.models.forecast import forecast_pieces
from stallwise.models.learning import Habits, fold, knowledge_of, lesson
from stallwise.models.plan import Body, Facts, PiecePlan, PitCurve, ProbeTrace, Wrap
from stallwise.models.scores import crps_from_quantiles
from stallwise.tables.catalogue import cut, dimensions

PROBABILITIES = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)
SHARES = (0.0, 0.3, 0.5, 0.7)
HOUR, TOGETHER_S = 3600.0, 300.0


@dataclass(frozen=True)
class Row:
    """One forecast against the truth [h]."""

    seed: int
    share: float
    wrap: str
    truth_h: float
    at_h: tuple[float, ...]
    bracket_h: tuple[float, float] | None


def plan(sim, facts=None):
    """What the cook of a simulated cook entered: cut, mass, pit, wrap."""
    entry = cut(sim.cut)
    body = Body(
        sim.mass_kg,
        *dimensions(entry, sim.mass_kg).half_m,
        entry.composition,
        entry.surface,
        entry.tissue,
    )
    wrap = Wrap("foil", core_c=simulator.value("wrap.core")) if sim.wrap == "foil" else Wrap()
    finish = "pull" if "shoulder" in sim.cut else None
    return PiecePlan(
        "A", entry.key, body, entry.finish(finish).target, PitCurve.steady(sim.set_c),
        pit_name="simulated", wrap=wrap, facts=facts,
    )  # fmt: skip


def seen(sim, as_of_s, until_end=False):
    """Facts of a simulated cook until an instant."""

    def together(times, values):
        kept = times <= as_of_s
        which = (times[kept] // TOGETHER_S).astype(int)
        return tuple(
            (float(np.median(times[kept][which == k])), float(np.median(values[kept][which == k])))
            for k in np.unique(which)
        )

    pit = together(sim.pit_time_s, sim.pit_c)
    probe = together(sim.probe_time_s, sim.probe_c)
    wrapped = sim.wrapped_s if sim.wrapped_s is not None and sim.wrapped_s <= as_of_s else None
    not_yet = [at for at, verdict in sim.checks if verdict == "not yet" and at <= as_of_s]
    tender = [at for at, verdict in sim.checks if verdict == "tender" and at <= as_of_s]
    return Facts(
        as_of_s,
        pit=PitCurve(*zip(*pit, strict=True)),
        wrapped_s=wrapped,
        not_tender_s=(max(not_yet) if not_yet else None) if until_end else as_of_s,
        tender_s=min(tender) if until_end and tender else None,
        probes=(ProbeTrace(*zip(*probe, strict=True)),),
    )


def forecast_of(sim, share, *, knowledge=None, members=200):
    """Quantiles [h] of tender, at a share of the true duration."""
    as_of = share * sim.tender_s
    facts = seen(sim, as_of) if share > 0.0 else None
    made = forecast_pieces([plan(sim, facts)], seed=sim.seed, members=members, knowledge=knowledge)
    piece = made.pieces["A"]
    return tuple(
        float(q) / HOUR for q in quantiles(piece.stages["tender"], PROBABILITIES, piece.weights)
    )


def bracket(sim):
    """Last look that said not yet, first that said tender [h]."""
    early = [at for at, verdict in sim.checks if verdict == "not yet"]
    late = [at for at, verdict in sim.checks if verdict == "tender"]
    return (max(early) / HOUR, min(late) / HOUR) if early and late else None


def run(seeds, shares=SHARES, *, members=200):
    """Rows of every cook at every share."""
    return [
        Row(
            sim.seed,
            share,
            sim.wrap,
            sim.tender_s / HOUR,
            forecast_of(sim, share, members=members),
            bracket(sim),
        )
        for sim in simulator.cooks(list(seeds))
        if np.isfinite(sim.tender_s)
        for share in shares
    ]


def run_series(seeds, *, count=5, shares=(0.0, 0.3), members=200):
    """Rows of the sixth cook on a pit, before and after five were learned of."""
    without, after = [], []
    for seed in seeds:
        *before, last = simulator.series(seed, count + 1)
        habits = Habits()
        for number, sim in enumerate(before):
            if not np.isfinite(sim.tender_s):
                continue
            end = sim.checks[-1][0] if sim.checks else sim.tender_s
            told = lesson(
                [plan(sim, seen(sim, end, until_end=True))],
                seed=sim.seed, members=members, knowledge=knowledge_of(habits, str(number)),
            )  # fmt: skip
            habits = fold(habits, told)
        if not np.isfinite(last.tender_s):
            continue
        known = knowledge_of(habits, "taught")
        for share in shares:
            for rows, knowledge in ((without, None), (after, known)):
                at = forecast_of(last, share, knowledge=knowledge, members=members)
                rows.append(
                    Row(last.seed, share, last.wrap, last.tender_s / HOUR, at, bracket(last))
                )
    return without, after


def figures(rows):
    """Coverage, error, width and scores of some rows."""
    truth = np.array([row.truth_h for row in rows])
    at = np.minimum(np.array([row.at_h for row in rows]), 60.0)
    low, middle, high = at[:, 1], at[:, 3], at[:, 5]
    inside = lambda a, b: float(np.mean((at[:, a] <= truth) & (truth <= at[:, b])))  # noqa: E731
    score = (high - low) + 10.0 * (np.maximum(low - truth, 0.0) + np.maximum(truth - high, 0.0))
    return {
        "n": len(rows),
        "in50": inside(2, 4),
        "in80": inside(1, 5),
        "in90": inside(0, 6),
        "error_h": float(np.median(np.abs(middle - truth))),
        "bias": float(np.median((middle - truth) / truth)),
        "width_h": float(np.median(high - low)),
        "score_h": float(np.mean(score)),
        "crps_h": float(
            np.mean(
                [crps_from_quantiles(t, a, PROBABILITIES) for t, a in zip(truth, at, strict=True)]
            )
        ),
    }


def table(rows):
    """Figures by share and wrap, as lines of text."""
    lines = ["share  wrap   n   in50  in80  in90  error  bias   width  score  crps"]
    for share in sorted({row.share for row in rows}):
        for wrap in ("all", "none", "foil"):
            some = [row for row in rows if row.share == share and wrap in ("all", row.wrap)]
            if some:
                f = figures(some)
                lines.append(
                    f"{share:4.1f}   {wrap:5s}{f['n']:4d}  {f['in50']:.2f}  {f['in80']:.2f}  {f['in90']:.2f}  "
                    f"{f['error_h']:4.2f}  {f['bias']:+.2f}  {f['width_h']:5.2f}  {f['score_h']:5.2f}  {f['crps_h']:5.2f}"
                )
    return lines
