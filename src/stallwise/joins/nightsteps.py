"""Steps of the day sheet that fall into the night, on the card that hangs beside the bed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stallwise.joins.nightresult import Look, NightCard
from stallwise.joins.result import Step
from stallwise.joins.sheetwords import kind_of

__all__ = ["with_steps"]

#: What somebody has to get up for; fuel stands on the card as it is, and an alarm rings for feel checks.
_GET_UP = frozenset({"meat_on", "turn", "climb", "wrap", "unwrap", "glaze", "move"})
#: What comes so near together is one line.
_TOGETHER = dt.timedelta(minutes=20)


def with_steps(card: NightCard | None, steps: Sequence[Step]) -> NightCard | None:
    """Lay the steps of a night among the times at which somebody gets up.

    Parameters
    ----------
    card : NightCard or None
    steps : sequence of Step
        Of the day sheet, in order of time.
    """
    if card is None:
        return None
    inside = [
        step
        for step in steps
        if kind_of(step) in _GET_UP and step.done_at is None and card.begins <= step.at < card.ends
    ]
    looks = sorted([*card.looks, *_looks(inside, card)], key=lambda look: look.at.timestamp())
    return replace(card, looks=tuple(looks))


def _looks(steps: Sequence[Step], card: NightCard) -> Iterator[Look]:
    groups: list[list[Step]] = []
    for step in steps:
        alike = (g for g in groups if g[0].what == step.what and step.at - g[0].at <= _TOGETHER)
        group = next(alike, None)
        if group is None:
            groups.append([step])
        else:
            group.append(step)
    for group in groups:
        first = group[0]
        letters = " ".join(sorted(step.piece for step in group if step.piece))
        who = next((name for name, begin, end in card.shifts if begin <= first.at < end), "")
        yield Look(first.at, f"{letters}: {first.what}" if letters else first.what, who)
