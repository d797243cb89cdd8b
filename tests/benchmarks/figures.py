"""What a benchmark measured, as one plain record: `tools/benchmarks.py` makes a table of them.

A benchmark asserts what it has to, as any test, and then keeps what it saw; without the table nobody
listens, and keeping costs nothing.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

__all__ = ["LISTENER", "in_turn", "keep", "rounds", "timed"]

#: Names the file that figures are added to.
LISTENER = "STALLWISE_FIGURES"


def keep(
    name: str,
    ours: Sequence[float],
    *,
    unit: str = "s",
    against: str = "",
    theirs: Sequence[float] = (),
    asked: str = "",
) -> None:
    """Keep what was measured.

    Parameters
    ----------
    name : str
        What was done, as the table says it.
    ours : sequence of float
        One figure a run.
    unit : str, default "s"
        Of both; ``s`` and ``B`` are shown as it suits their size.
    against : str, optional
        What the same was done with to compare; then there is a ratio.
    theirs : sequence of float, optional
        Its figures, at best taken in turn with ours.
    asked : str, optional
        What is asked for: ``at most 0.25 s``, ``at least 1.8 times``.
    """
    listener = os.environ.get(LISTENER)
    if listener:
        row = {"name": name, "unit": unit, "ours": list(map(float, ours)), "against": against,
               "theirs": list(map(float, theirs)), "asked": asked}  # fmt: skip
        with Path(listener).open("a", encoding="utf-8") as file:
            file.write(json.dumps(row) + "\n")


def rounds(many: int) -> int:
    """So many runs for the table; three where only the limit is held, as in `make test`."""
    return many if os.environ.get(LISTENER) else min(many, 3)


def timed(
    function: Callable[[], Any], rounds: int, clock: Callable[[], float] = time.perf_counter
) -> list[float]:
    """Seconds of so many runs."""
    seconds = []
    for _ in range(rounds):
        start = clock()
        function()
        seconds.append(clock() - start)
    return seconds


def in_turn(
    ours: Callable[[], Any], theirs: Callable[[], Any], rounds: int
) -> tuple[list[float], list[float]]:
    """Seconds of two ways, A B A B: what else the machine does falls on both."""
    pairs = [(timed(ours, 1)[0], timed(theirs, 1)[0]) for _ in range(rounds)]
    return [one for one, _ in pairs], [other for _, other in pairs]
