"""Rest and hold: what cooks see in boxes, on counters and in ovens, and exact conduction."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models import forecast as forecasting
from stallwise.models import schedule as scheduling
from stallwise.models.conduction import relaxation
from stallwise.models.hold import Held
from stallwise.models.kernel import march, members_like
from stallwise.models.plan import Hold, Wrap

HERE = Path(__file__).resolve().parent
HOUR, POUND = 3600.0, 0.45359237


def beside(name):
    spec = importlib.util.spec_from_file_location(f"hold_{name}", HERE / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


forecasts, kitchen = beside("test_forecast"), beside("kitchen")
BOX, COUNTER, OVEN = Hold("box"), Hold("counter"), Hold("oven", 66.0)


def brisket(hold, **changes):
    plan = forecasts.piece(
        "beef-brisket-whole", 13.0 * POUND, wrap=Wrap("foil", core_c=71.0), hold=hold
    )
    return replace(plan, **changes)


def held(plan, members=60):
    made = forecasts.made(plan, members=members)
    return made.held, np.isfinite(made.stages["tender"])


def carry_over_f(plan):
    rest, reached = held(plan)
    return float(np.median((rest.peak_c() - rest.core_c[:, 0])[reached])) * 1.8


def test_a_box_with_towels_falls_as_cooks_say():
    """Common practice, no source: 10 °F an hour for two hours (5 to 18), then 7 (3 to 11)."""
    rest, reached = held(brisket(BOX), members=100)
    core = {hour: rest.core_at_c(hour * HOUR)[reached] for hour in (0, 2, 8)}
    early, later = (core[0] - core[2]) / 2 * 1.8, (core[2] - core[8]) / 6 * 1.8
    assert np.median(early) == pytest.approx(10.0, abs=2.0)
    assert np.median(later) == pytest.approx(7.0, abs=1.5)
    for fall, low, high in ((early, 5.0, 18.0), (later, 3.0, 11.0)):
        assert np.mean((fall > low) & (fall < high)) > 0.85


def test_a_box_keeps_longer_than_the_counter_and_a_warm_oven_longest():
    fell = {place.place: held(brisket(place))[0].core_below_s(60.0) for place in (BOX, COUNTER)}
    assert np.all(fell["box"] > fell["counter"])
    assert np.all(np.isinf(held(brisket(OVEN))[0].core_below_s(60.0)))


def test_bare_it_cools_faster_than_in_its_wrap():
    plan = brisket(COUNTER)
    foil, bare = held(plan)[0], held(replace(plan, wrap=Wrap()))[0]
    assert np.all(foil.core_below_s(60.0) > bare.core_below_s(60.0))


def test_a_roast_from_a_hotter_pit_carries_over_further():
    roasts = [
        carry_over_f(forecasts.piece("beef-rib-roast", 3.5, pit=forecasts.pit_f(pit)))
        for pit in (225, 275, 325)
    ]
    assert np.all(np.diff(roasts) > 1.0)


def test_a_box_is_exact_conduction_with_a_lump_round_it():
    """Heat that only conducts: the eigenvectors of the same network, without time steps."""
    plain = kitchen.PLAIN | {
        "start_c": 80.0, "radius_m": 0.05, "shape_n": 1.8, "finish_forced_s": 0.0, "rest_s": np.inf,
        "rest_share": 1.0, "rest_h": 5.0, "rest_c": 20.0, "rest_box_heat": 2e4,
        "rest_box_loss": 2.0, "rest_vapour_pa": 1600.0,
    }  # fmt: skip
    grid = replace(kitchen.steps(1.0), after_s=scheduling.hold_times_s())
    pits = kitchen.one_pit(1, evaporates=False)
    made = march(members_like(1, **plain), pits, grid, pressure_pa=kitchen.SEA)
    body = relaxation(1.8, 0.05, 0.46, 3.4e6, 5.0, box_heat_j_m2_k=2e4, box_loss_w_m2_k=2.0)
    exact = body.core_c(body.start(80.0, 80.0, 20.0), 20.0, grid.after_s)
    assert made.held[0, :, 0] == pytest.approx(exact[0], abs=0.1)


def test_the_moments_looked_at_are_close_enough(monkeypatch):
    usual, _ = held(brisket(BOX), members=20)
    fine = np.arange(0.0, usual.time_s[-1] + 1.0, 60.0)
    for module in (scheduling, forecasting):
        monkeypatch.setattr(module, "hold_times_s", lambda: fine)
    forecasting.forget()
    close, _ = held(brisket(BOX), members=20)
    forecasting.forget()
    for since in (HOUR, 4.0 * HOUR, 12.0 * HOUR):
        assert usual.core_at_c(since) == pytest.approx(close.core_at_c(since), abs=0.25)
        assert usual.past_it_at(since) == pytest.approx(close.past_it_at(since), rel=0.02)


@settings(max_examples=25, deadline=None)
@given(
    low=st.floats(0.0, 16.0), more=st.floats(0.0, 16.0), kept=st.sampled_from([BOX, COUNTER, OVEN])
)
def test_a_longer_hold_is_never_less_past_it(low, more, kept):
    rest, reached = held(brisket(kept))
    first, second = rest.past_it_at(low * HOUR), rest.past_it_at((low + more) * HOUR)
    assert np.all((second >= first)[reached])
    assert np.all(first[reached] >= 1.0)


@settings(max_examples=10, deadline=None)
@given(cold=st.sampled_from([50.0, 60.0, 66.0]), warmer=st.sampled_from([0.0, 5.0, 20.0]))
def test_a_warmer_place_never_leaves_a_colder_core(cold, warmer):
    for place in ("oven", "box", "counter"):
        cool, reached = held(brisket(Hold(place, cold)), members=20)
        warm, _ = held(brisket(Hold(place, cold + warmer)), members=20)
        assert np.all((warm.core_c >= cool.core_c - 0.05)[reached])  # what the steps bring


def test_crossings_and_moments_are_read_off_the_curve():
    core = np.array([[50.0, 62.0, 61.0, 59.0], [50.0, 51.0, 50.0, 49.0], [70.0, 69.0, 68.0, 67.0]])
    curve = Held(np.array([0.0, 60.0, 120.0, 180.0]), core, None)
    assert curve.core_below_s(60.0) == pytest.approx([150.0, 0.0, np.inf])
    assert curve.core_at_c(90.0) == pytest.approx([61.5, 50.5, 68.5])
    assert curve.core_at_c([0.0, 30.0, 1e9]) == pytest.approx([50.0, 50.5, 67.0])
    assert curve.past_it_at(0.0) is None
