"""The frozen simulator: the same cook again, books that balance, plausible hours, and really frozen."""

from __future__ import annotations

import hashlib
import importlib.util
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

FOLDER = Path(__file__).parent / "mismatch"
#: What the published coverage figures were measured with. A change makes them worthless: measure anew
#: (``make audit``), and say so in the notes for developers.
FROZEN = {"simulator.py": "f5903bd713780d02", "parameters.csv": "e48e55ca43621fdf"}

#: Where the windows miss what was asked of them, and how far: foil seen from before the cook is too
#: narrow, at 70 % of the cook all are a little too wide.
SHORT = {"0 foil": (0.65, 0.9), "0.7 all": (0.75, 0.87)}

spec = importlib.util.spec_from_file_location("mismatch_harness", FOLDER / "harness.py")
harness = importlib.util.module_from_spec(spec)
sys.modules[spec.name] = harness
spec.loader.exec_module(harness)
simulator = harness.simulator


@pytest.fixture(scope="module")
def some():
    return simulator.cooks(range(24))


def test_it_is_frozen():
    found = {name: hashlib.sha256((FOLDER / name).read_bytes()).hexdigest()[:16] for name in FROZEN}
    assert found == FROZEN


def test_a_seed_is_a_cook(some):
    again = simulator.cook(5)
    assert again.tender_s == some[5].tender_s
    assert np.array_equal(again.probe_c[:50], some[5].probe_c[:50])
    assert len({one.tender_s for one in some}) == len(some)


def test_heat_that_goes_in_is_heat_that_is_there(some):
    assert max(one.heat_error for one in some) < 1e-9
    assert all(0.15 < one.loss < 0.6 for one in some)


def test_hours_are_such_as_cooks_have(some):
    hours = np.array([one.tender_s for one in some]) / 3600.0
    assert 8.0 < np.median(hours) < 15.0
    assert hours.min() > 5.0
    assert hours.max() < 26.0


def test_feel_checks_bracket_the_truth(some):
    for one in some:
        verdicts = [verdict for _, verdict in one.checks]
        assert verdicts[-1] == "tender"
        assert set(verdicts[:-1]) <= {"not yet"}
        bracket = harness.bracket(one)
        if bracket:
            assert bracket[0] < one.tender_s / 3600.0 <= bracket[1] <= bracket[0] + 0.51


def test_a_hotter_pit_is_never_later():
    cold, hot = (simulator.facts(3) | {"pit.set": t} for t in (107.0, 125.0))
    given, simulator.facts = simulator.facts, lambda *_: cold
    try:
        slow = simulator.cook(3).tender_s
        simulator.facts = lambda *_: hot
        assert simulator.cook(3).tender_s < slow
    finally:
        simulator.facts = given


@pytest.mark.slow
def test_a_few_cooks_are_covered_and_readings_help():
    # a smoke test with wide limits; the 400 cooks of `make audit` are the measure
    rows = harness.run(range(200, 214), (0.0, 0.5), members=60)
    before, during = (
        harness.figures([r for r in rows if r.share == share]) for share in (0.0, 0.5)
    )
    for one in (before, during):
        assert 0.5 <= one["in80"] <= 1.0
    assert during["score_h"] < 0.85 * before["score_h"]


@pytest.mark.audit
def test_windows_hold_what_they_say_on_cooks_never_seen_before():
    script = [sys.executable, str(FOLDER / "report.py"), "1000-1399", "--series", "1100-1199"]
    made = subprocess.run(script, capture_output=True, text=True, check=True, timeout=2400)
    told = json.loads(made.stdout)
    sys.stdout.write(made.stderr)
    at = told["forecasts"]
    for share in ("0", "0.3", "0.5", "0.7"):
        for kind, (low, high) in {
            "all": (0.75, 0.85),
            "none": (0.7, 0.9),
            "foil": (0.7, 0.9),
        }.items():
            less, more = SHORT.get(f"{share} {kind}", (low, high))
            assert less <= at[f"{share} {kind}"]["in80"] <= more, f"{share} {kind}"
    for share, gain in (("0.3", 0.10), ("0.5", 0.25), ("0.7", 0.40)):
        assert at[f"{share} all"]["score_h"] <= (1.0 - gain) * at["0 all"]["score_h"]
    assert abs(told["bracket"]["bracket"] - told["bracket"]["truth"]) <= 0.03
    before, after = (told[name]["0.3 all"]["score_h"] for name in ("without", "after"))
    assert after < before
