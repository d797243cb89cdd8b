"""Coverage of forecasts on simulated cooks: ``python report.py 1000-1399 --series 1000-1099``.

Seeds 0 to 199 are for tuning; 1000 to 1399 are for the report and for nothing else.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
from concurrent.futures import ProcessPoolExecutor
from itertools import chain
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
import harness

from stallwise.models.scores import inside_share

WORKERS = 2


def seeds(text):
    first, _, last = text.partition("-")
    return list(range(int(first), int(last or first) + 1))


def shared(work, of):
    """Rows of `work` over seeds, dealt to the workers."""
    hands = [of[start::WORKERS] for start in range(WORKERS)]
    with ProcessPoolExecutor(WORKERS, multiprocessing.get_context("spawn")) as pool:
        return list(pool.map(work, hands))


def by_share(rows):
    """Figures under ``share wrap``."""
    return {
        f"{share:g} {wrap}": harness.figures(some)
        for share in sorted({row.share for row in rows})
        for wrap in ("all", "none", "foil")
        if (some := [r for r in rows if r.share == share and wrap in ("all", r.wrap)])
    }


def bracketed(rows):
    """Coverage of the four-in-five window by the truth and by the brackets of the feel checks.

    The share of a bracket inside a window is what the tally counts.
    """
    kept = [row for row in rows if row.bracket_h]
    truth = [row.at_h[1] <= row.truth_h <= row.at_h[5] for row in kept]
    inside = [inside_share(row.at_h, harness.PROBABILITIES, row.bracket_h, 0.8) for row in kept]
    return {"n": len(kept), "truth": sum(truth) / len(kept), "bracket": sum(inside) / len(kept)}


def say(*lines):
    sys.stderr.write("\n".join(lines) + "\n")


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("seeds", type=seeds)
    asked.add_argument("--series", type=seeds, default=[])
    given = asked.parse_args()
    rows = list(chain.from_iterable(shared(harness.run, given.seeds)))
    told = {"forecasts": by_share(rows), "bracket": bracketed(rows)}
    say(*harness.table(rows))
    if given.series:
        parts = shared(harness.run_series, given.series)
        for number, name in enumerate(("without", "after")):
            some = list(chain.from_iterable(part[number] for part in parts))
            told[name] = by_share(some)
            say(name, *harness.table(some))
    sys.stdout.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main()
