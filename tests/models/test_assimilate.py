"""Readings move the forecast: the right way, no further than they tell, and only what they tell of."""

from dataclasses import replace

import numpy as np
import pytest

from stallwise.ground.ensemble import quantiles
from stallwise.models.assimilate import assimilate, observed_at
from stallwise.models.forecast import forecast_pieces
from stallwise.models.plan import Body, Facts, PiecePlan, PitCurve, ProbeTrace
from stallwise.tables.catalogue import cut, dimensions
from stallwise.tables.parameters import parameter

HOUR = 3600.0


def shoulder(letter="A", pit="first", mass_kg=3.6, facts=None):
    entry = cut("pork-shoulder-bone-in")
    half = dimensions(entry, mass_kg).half_m
    body = Body(mass_kg, *half, entry.composition, entry.surface, entry.tissue)
    return PiecePlan(
        letter,
        entry.key,
        body,
        entry.finish().target,
        PitCurve.steady(115.0),
        pit_name=pit,
        facts=facts,
    )


def foreseen(*pieces, members=200):
    return forecast_pieces(pieces, seed=1, members=members).pieces


def window(piece):
    low, middle, high = quantiles(piece.stages["tender"], [0.1, 0.5, 0.9], piece.weights) / HOUR
    return low, middle, high


def read_like(prior, member, until_h):
    """Trace of a day that one member has."""
    seen = (prior.time_s > 0.0) & (prior.time_s <= until_h * HOUR)
    return ProbeTrace(tuple(prior.time_s[seen]), tuple(prior.probe_c[member][seen]))


def seen_until(trace, as_of_h):
    return Facts(as_of_h * HOUR, probes=(trace,))


@pytest.mark.parametrize(("as_of_h", "nearer", "narrower"), [(3.0, 0.9, 1.0), (7.0, 0.6, 0.8)])
def test_it_goes_towards_the_days_that_were_read_and_narrows(as_of_h, nearer, narrower):
    prior = foreseen(shoulder())["A"]
    order = np.argsort(prior.stages["tender"])
    was_low, before, was_high = window(prior)
    off, off_before, width = [], [], []
    for place in (0.05, 0.2, 0.35, 0.65, 0.8, 0.95):
        member = int(order[int(place * len(order))])
        # from now on the day is as late as days are found to be
        left = prior.stages["tender"][member] / HOUR - as_of_h
        truth = as_of_h + parameter("update.late").value * left
        facts = seen_until(read_like(prior, member, as_of_h), as_of_h)
        low, middle, high = window(foreseen(shoulder(facts=facts))["A"])
        off.append(abs(middle - truth))
        off_before.append(abs(before - truth))
        width.append((high - low) / middle)
    assert np.mean(off) < nearer * np.mean(off_before)
    assert np.mean(width) < narrower * (was_high - was_low) / before


def test_what_pieces_share_is_learned_for_all_and_nothing_else():
    prior = foreseen(shoulder(), shoulder("B"), shoulder("C", pit="second"))
    member = int(np.argmin(prior["A"].stages["tender"]))
    facts = seen_until(read_like(prior["A"], member, 5.0), 5.0)
    plans = [shoulder(facts=facts), shoulder("B"), shoulder("C", pit="second")]
    found = assimilate(plans, seed=1, members=200)
    own = [name for name in found.scores["B"] if ": " not in name]
    assert own
    alone = assimilate(plans[1:2], seed=1, members=200)  # nothing read: nothing to say
    assert alone.scores == {"B": {}}
    after = forecast_pieces(plans, seed=1).pieces
    assert np.median(after["B"].stages["tender"]) < np.median(prior["B"].stages["tender"])
    assert after["C"].stages["tender"] == pytest.approx(prior["C"].stages["tender"])


def test_a_later_reading_changes_no_forecast_made_before_it():
    prior = foreseen(shoulder())["A"]
    early = read_like(prior, 7, 4.0)
    late = read_like(prior, 90, 9.0)
    both = ProbeTrace(
        early.time_s + tuple(t for t in late.time_s if t > 4.0 * HOUR),
        early.core_c
        + tuple(c for t, c in zip(late.time_s, late.core_c, strict=True) if t > 4.0 * HOUR),
    )
    first = foreseen(shoulder(facts=seen_until(early, 4.0)))["A"]
    second = foreseen(shoulder(facts=seen_until(both, 4.0)))["A"]
    assert np.array_equal(first.stages["tender"], second.stages["tender"])


def test_a_gap_is_no_reading():
    times = np.concatenate([np.arange(0.0, 2.0, 1 / 12), np.arange(4.0, 6.0, 1 / 12)]) * HOUR
    at, read = observed_at(
        ProbeTrace(tuple(times), tuple(np.linspace(20.0, 60.0, len(times)))), 6 * HOUR
    )
    assert not np.any((at > 2.0 * HOUR) & (at < 3.9 * HOUR))
    assert np.all(np.diff(at) > 1500.0)
    assert len(at) == len(read) == 8


def test_a_stray_value_moves_nothing():
    times = tuple(np.arange(60.0, 4 * HOUR, 60.0))
    steady = tuple(20.0 + t / 600.0 for t in times)
    struck = tuple(150.0 if i % 60 == 30 else c for i, c in enumerate(steady))
    plain, spiked = (observed_at(ProbeTrace(times, one), 4 * HOUR)[1] for one in (steady, struck))
    assert spiked == pytest.approx(plain, abs=0.2)


def test_readings_that_cannot_be_are_called_suspect():
    prior = foreseen(shoulder())["A"]
    trace = read_like(prior, 3, 5.0)
    hot = replace(trace, core_c=tuple(c + 35.0 for c in trace.core_c))
    keys = {w.key for w in foreseen(shoulder(facts=seen_until(hot, 5.0)))["A"].warnings}
    assert "readings-suspect" in keys
    assert "readings-suspect" not in {
        w.key for w in foreseen(shoulder(facts=seen_until(trace, 5.0)))["A"].warnings
    }


def test_two_probes_tell_more_than_one_and_less_than_two():
    prior = foreseen(shoulder())["A"]
    trace = read_like(prior, 11, 6.0)
    one = window(foreseen(shoulder(facts=seen_until(trace, 6.0)))["A"])
    two = window(foreseen(shoulder(facts=Facts(6.0 * HOUR, probes=(trace, trace))))["A"])
    assert two[2] - two[0] < 1.15 * (one[2] - one[0])
    assert two[2] - two[0] > 0.6 * (one[2] - one[0])
