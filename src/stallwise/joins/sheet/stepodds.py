"""By when a step must be for serving to be kept, and the chance of that, over the possible days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from stallwise.joins.chances import SheetPiece, odds_in_time
from stallwise.joins.sheet.dayresult import Step
from stallwise.joins.sheet.stepdraft import after, utc

__all__ = ["with_odds"]

#: How long before serving a step must be [s], by its kind.
_BEFORE: Mapping[str, Callable[[SheetPiece], float]] = {
    "tender": lambda one: one.to_plate_s,
    "rest": lambda one: one.to_plate_s,
    "carve": lambda one: one.carve_s + one.after_s,
    "pan": lambda one: one.after_s,
    "serve": lambda one: 0.0,  # noqa: ARG005  # all of these take a piece
}


def with_odds(steps: Sequence[Step], pieces: Sequence[SheetPiece]) -> list[Step]:
    """Tell of every step that serving hangs on by when it must be, and its odds.

    A wrap must be within its window. What is served together is ready together or late.

    Parameters
    ----------
    steps : sequence of Step
    pieces : sequence of SheetPiece

    Returns
    -------
    list of Step
        What is done has no odds any more.
    """
    by_letter = {one.letter: one for one in pieces}
    return [
        step if step.done_at or step.piece not in by_letter else _told(step, by_letter, pieces)
        for step in steps
    ]


def _told(step: Step, by_letter: Mapping[str, SheetPiece], pieces: Sequence[SheetPiece]) -> Step:
    one, kind = by_letter[step.piece], step.id.partition("-")[0]
    if kind == "wrap" and one.wrap_window_s is not None:
        late_s = one.wrap_window_s[1]
        share = float(np.sum(one.weights * (one.wrapped_s <= late_s)) / np.sum(one.weights))
        return replace(step, due_at=after(utc(one.on_at), late_s), odds=share)
    if one.serve_at is None or kind not in {*_BEFORE, "carry"}:
        return step
    together = [each for each in pieces if each.serve_at == one.serve_at]
    due = _due(step, one, kind)
    return replace(step, due_at=due, odds=odds_in_time(together if kind == "serve" else [one]))


def _due(step: Step, one: SheetPiece, kind: str) -> dt.datetime | None:
    if one.serve_at is None:
        return None
    before_s = step.hands_s if kind == "carry" else _BEFORE[kind](one)
    return after(utc(one.serve_at), -before_s)
