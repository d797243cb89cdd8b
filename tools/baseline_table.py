"""Published cooks: what they took, what the forecast says, what hours per pound would say.

``python tools/baseline_table.py`` prints the table that DEVELOPERS.md quotes. The cooks and their
sources stand in ``tests/models/test_literature.py``; nothing here is fitted.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from stallwise.models.plan import PiecePlan, PitCurve, Target, Wrap
from stallwise.models.rules import RuleHours, piece_rule
from stallwise.tables.catalogue import cut

MODELS = Path(__file__).resolve().parents[1] / "tests" / "models"
HOUR_S = 3600.0


def beside(name: str) -> Any:
    """Load a test module by its file."""
    spec = importlib.util.spec_from_file_location(name, MODELS / f"{name}.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError(name)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def cooks(literature: Any) -> Iterator[tuple[str, PiecePlan, float]]:
    """Name, plan and published hours of each cook; of a chart's span the middle."""
    for key, mass_kg, pit_c, core_c, low, high in literature.CHART:
        plan = literature.piece(
            key, mass_kg, target=Target("core", core_c), pit=PitCurve.steady(pit_c),
            start_core_c=cut(key).start_core_c, **literature.OVEN,
        )  # fmt: skip
        yield f"{key}, {mass_kg:g} kg, {pit_c:g} °C", plan, (low + high) / 2.0
    target = Target("core", 90.6)
    yield "brisket to 90.6 °C, bare", literature.whole_brisket(target=target), 13.2
    wrap = Wrap("foil", at_s=4.0 * HOUR_S)
    yield "brisket to 90.6 °C, foil", literature.whole_brisket(target=target, wrap=wrap), 9.0
    plan = literature.piece("beef-brisket-whole", 5.5, pit=PitCurve.steady(114.0))
    yield "brisket to tender, bare", plan, 11.0


def compared() -> Iterator[tuple[str, float, tuple[float, float, float], RuleHours | None]]:
    """Name, published hours, early end, middle and late end of the forecast, and the rule of thumb."""
    literature = beside("test_literature")
    for name, plan, took in cooks(literature):
        yield name, took, literature.hours(literature.made(plan)), piece_rule(plan)


def main() -> None:
    """Print a line a cook, how far off the middles are on average, and how many windows held it."""
    print(f"{'cook':38} {'took':>5}  {'forecast':>16}  {'hours per pound':>16}  grade of the rule")
    errors: list[tuple[float, float]] = []
    inside: list[tuple[bool, bool]] = []
    for name, took, (low, middle, high), rule in compared():
        said = f"{name:38} {took:5.1f}  {low:4.1f} {middle:5.1f} {high:5.1f}"
        if rule is None:
            print(f"{said}  {'none':>16}")
            continue
        by = f"{rule.low_h:4.1f} {rule.middle_h:5.1f} {rule.high_h:5.1f}"
        print(f"{said}  {by}  {rule.rule.grade}")
        errors.append((abs(middle / took - 1.0), abs(rule.middle_h / took - 1.0)))
        inside.append((low <= took <= high, rule.low_h <= took <= rule.high_h))
    ours, theirs = np.mean(errors, axis=0)
    held = np.sum(inside, axis=0)
    print(f"middle off by {ours:.0%} against {theirs:.0%} on average;", end=" ")
    print(f"took inside {held[0]} against {held[1]} of {len(inside)} windows")


if __name__ == "__main__":
    main()
