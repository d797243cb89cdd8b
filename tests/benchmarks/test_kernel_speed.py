"""The compiled march against plain NumPy, both in the same run on the same machine."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from figures import keep, timed

from stallwise.models.kernel import march

MODELS = Path(__file__).resolve().parents[1] / "models"


def beside(name):
    spec = importlib.util.spec_from_file_location(f"speed_{name}", MODELS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.benchmark
def test_two_hundred_members_over_twelve_hours_are_three_times_faster_than_numpy():
    kitchen, twin = beside("kitchen"), beside("numpy_twin")
    members, pits = kitchen.many(kitchen.SHOULDER, 200, seed=1)
    steps = kitchen.steps(12.0)
    ours = march(members, pits, steps, pressure_pa=kitchen.SEA)  # compiled here, at the latest
    assert np.all(np.isfinite(ours.core_c))
    ours = timed(lambda: march(members, pits, steps, pressure_pa=kitchen.SEA), 5)
    theirs = timed(lambda: twin.march(members, pits, steps, pressure_pa=kitchen.SEA), 1)
    keep(
        "Two hundred possible days, compiled", ours, against="the same step in NumPy",
        theirs=theirs, asked="at least 3 times",
    )  # fmt: skip
    compiled, numpy = min(ours), min(theirs)
    assert numpy > 3.0 * compiled, f"{compiled * 1e3:.0f} ms against {numpy * 1e3:.0f} ms"
