"""Readings taken by hand, as marks among the curves; of very many those that stand apart."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.joins.result import Observation, Result
from stallwise.pictures.findings import hour_of
from stallwise.pictures.scene import Rows, Scene

__all__ = ["by_hand"]

#: So many marks are shown wherever they stand; of more those that do not run into one another [px].
_FEW = 24
_APART = 12.0


def by_hand(scene: Scene, result: Result, events: Sequence[Observation]) -> Rows:
    """Give the marks of readings.

    Parameters
    ----------
    scene : Scene
        With its hours.
    result : Result
        The day.
    events : sequence of Observation
        Readings by hand of one piece and its pit.
    """
    rows: Rows = [
        {"h": hour_of(event.at, result), "p50": event.value_c, "of": event.what.split("_")[0]}
        for event in events
        if event.value_c is not None
    ]
    if len(rows) <= _FEW:
        return rows
    kept: Rows = []
    last: dict[str, float] = {}
    for row in sorted(rows, key=lambda row: float(row["h"])):
        px = scene.hours.px(row["h"])
        if px - last.get(row["of"], -_APART) >= _APART:
            last[row["of"]] = px
            kept.append(row)
    return kept
