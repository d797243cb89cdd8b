"""Eight tasters and 24 bites are read within 0.3 s of the processor, whatever was asked."""

from __future__ import annotations

import datetime as dt
import random
import time

import pytest

from stallwise.joins.taste.tasteresult import trial_result
from stallwise.joins.taste.tasteserve import served_sets
from stallwise.record.trial import Answer, KeyRow, Trial, TrialRecord
from stallwise.tables import tastings

pytestmark = pytest.mark.benchmark

MOST_S = 0.3
TASTERS, BITES = 8, 24


def record(method: str) -> TrialRecord:
    """A closed trial of that way of asking, 24 bites a taster, answers by chance."""
    one = tastings.method(method)
    arms = [
        f"arm {n}" for n in range(max(2, min(one.arms_to, 5 if one.plates == 0 else one.arms_from)))
    ]
    sets = BITES // (one.plates or len(arms))
    trial = Trial.model_validate(
        {
            "question": "?", "asks": one.asks, "factor": "glaze", "arms": arms, "method": method,
            "attribute": "smoky" if one.asks == "more" else "sweet" if one.reads == "right" else "liking",
            "tasters": TASTERS, "sets": sets, "expect": arms[-1],
            "closed": {"at": dt.datetime(2026, 7, 18, tzinfo=dt.UTC)},
        }
    )  # fmt: skip
    draw = random.Random(1)
    key, answers = [], []
    for taster, of in enumerate(served_sets(trial), 1):
        for number, row in enumerate(of, 1):
            codes = [f"{100 + len(key) + n}" for n in range(len(row))]
            key += [
                KeyRow("c", f"T{taster}", number, place, code, arms[arm])
                for place, (code, arm) in enumerate(zip(codes, row, strict=True), 1)
            ]
            answers += [
                Answer(0, "c", "t", f"T{taster}", tuple(named), "", said)
                for named, said in _said(one, codes, draw)
            ]
    return TrialRecord("t", trial, tuple(key), tuple(answers))


def _said(one: tastings.Method, codes: list[str], draw: random.Random):
    if one.reads in {"rank", "trend"}:
        yield from (([code], str(n)) for n, code in enumerate(draw.sample(codes, len(codes)), 1))
    elif one.reads in {"score", "right"}:
        top = 2 if one.reads == "right" else 9
        yield from (([code], str(draw.randint(-top if top == 2 else 1, top))) for code in codes)
    elif one.reads == "sameness":
        yield codes, draw.choice(["same", "different"])
    elif one.reads == "single":
        yield codes, draw.choice(["yes", "no"])
    elif one.key == "two-pairs":
        yield draw.sample(codes, 2), ""
    else:
        yield [draw.choice(codes)], ""


@pytest.mark.parametrize("method", tastings.methods())
def test_a_tasting_is_read_at_once(method):
    made = record(method)
    trial_result(made)  # what is loaded late is loaded now
    start = time.process_time()
    result = trial_result(made)
    took = time.process_time() - start
    assert not result.doubts
    assert result.figures
    assert took < MOST_S
