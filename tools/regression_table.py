"""Make the table of whole cooks that a change of the model must be weighed against.

Run from the checkout: ``python tools/regression_table.py`` writes ``tests/models/regression_table.csv``.
Each row is the middle day of one cook: every parameter at its middle, the numbers of
``data/parameters.csv`` as they stand. The figures are our own model's, good for noticing a change and
for nothing else; ``tests/models/test_regression.py`` holds the model to them.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from stallwise.models.draws import draw
from stallwise.models.kernel import march
from stallwise.models.plan import Body, PiecePlan, PitCurve, Target, Wrap
from stallwise.models.schedule import schedule
from stallwise.tables.properties import Composition

OUT = Path(__file__).resolve().parents[1] / "tests" / "models" / "regression_table.csv"
HOUR = 3600.0
CORES_C = (60, 65, 70, 75, 80, 90)
COLUMNS = (
    "piece", "pit_c", "wrap", "wrap_core_c",
    *(f"hours_to_{core}" for core in CORES_C),
    "hours_to_tender", "core_at_tender_c", "loss_at_tender",
)  # fmt: skip
BODIES = {
    # 8.6 by 22 by 29 cm and 13.6 by 18 by 23 cm
    "brisket": Body(
        5.8, 0.043, 0.11, 0.145, Composition(water=0.611, protein=0.184, fat=0.191, ash=0.01),
        "lean", "beef",
    ),
    "shoulder": Body(
        5.9, 0.068, 0.09, 0.115, Composition(water=0.65, protein=0.17, fat=0.17, ash=0.01),
        "lean", "pork-shoulder",
    ),
}  # fmt: skip
WRAPS = (("none", None), ("foil", 66.0), ("foil", 71.0), ("paper", 71.0))


def middle_day(piece: str, pit_c: float, wrap: str, wrap_core_c: float | None) -> dict[str, float]:
    """Hours to each core, hours, core and loss when tender, for one cook's middle day."""
    plan = PiecePlan(
        "A",
        piece,
        BODIES[piece],
        Target("dose", 1.0),
        PitCurve.steady(pit_c),
        start_core_c=5.0,
        wrap=Wrap() if wrap == "none" else Wrap(wrap, core_c=wrap_core_c),
    )
    drawn = draw(plan, seed=1, members=1)  # one member stands in the middle of every slice
    steps = schedule(plan, horizon_s=40.0 * HOUR, step_s=120.0, record_s=120.0)
    made = march(drawn.members, drawn.pits, steps, pressure_pa=plan.pressure_pa)
    endless = drawn.members.copy()
    endless["finish_dose"] = np.inf
    core = march(endless, drawn.pits, steps, pressure_pa=plan.pressure_pa).core_c[0]
    hours = np.arange(len(core)) * 120.0 / HOUR
    found = {}
    for goal in CORES_C:
        at = int(np.argmax(core >= goal))
        found[f"hours_to_{goal}"] = float(
            np.interp(goal, core[at - 1 : at + 1], hours[at - 1 : at + 1])
        )
    tender = float(made.finish_s[0]) / HOUR
    found["hours_to_tender"] = tender
    found["core_at_tender_c"] = float(np.interp(tender, hours, core))
    found["loss_at_tender"] = float(made.loss_at_finish[0])
    return found


def rows() -> list[dict[str, str]]:
    """Every cook of the table."""
    made = []
    for piece in BODIES:
        for pit_c in (107.0, 114.0, 121.0):
            for wrap, core_c in WRAPS:
                row = {"piece": piece, "pit_c": f"{pit_c:g}", "wrap": wrap}
                row["wrap_core_c"] = "" if core_c is None else f"{core_c:g}"
                for name, value in middle_day(piece, pit_c, wrap, core_c).items():
                    row[name] = f"{value:.3f}" if name == "loss_at_tender" else f"{value:.2f}"
                made.append(row)
    return made


if __name__ == "__main__":
    with OUT.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows())
