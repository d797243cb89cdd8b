"""Time that is left of a cook once readings were compared: what the moved draws do not show of it.

The draws of a piece agree with its readings so far; the rest of the day still goes its own way. It
comes later than they say more often than sooner, and it spreads further.
"""

from __future__ import annotations

import math
from dataclasses import replace

from stallwise.ground.ensemble import lognormal_factor, normals
from stallwise.models.draws import Draws
from stallwise.models.plan import Knowledge, PiecePlan
from stallwise.tables.parameters import parameter

__all__ = ["with_time_left"]


def with_time_left(
    piece: PiecePlan, drawn: Draws, looks: int, *, seed: int, knowledge: Knowledge
) -> Draws:
    """Draw the time left of a piece whose readings were compared.

    Parameters
    ----------
    piece : PiecePlan
        With facts until now.
    drawn : Draws
        Moved by the readings.
    looks : int
        Moments at which readings were compared, 1 or more.
    seed : int
        Seed of the cook.
    knowledge : Knowledge
        What was known before it.

    Returns
    -------
    Draws
        The same days with another pace from now on.
    """
    spread = parameter("update.pace_wrapped" if _is_wrapped(piece) else "update.pace_bare").value
    if looks < parameter("update.few").value:
        spread = max(spread, parameter("update.pace_few").value)
    unlearned = _unlearned("tender.t95", piece, knowledge)
    late = parameter("update.late").value ** unlearned
    spread = math.hypot(spread, math.sqrt(1.0 - unlearned) * parameter("update.pace_known").value)
    table = drawn.members.copy()
    scores = normals(seed, len(table), "piece", piece.key, "time left")
    table["pace_after"] = table["pace_after"] * late * lognormal_factor(spread, scores)
    return replace(drawn, members=table)


def _is_wrapped(piece: PiecePlan) -> bool:
    facts = piece.facts
    return facts is not None and facts.wrapped_s is not None and facts.unwrapped_s is None


def _unlearned(key: str, piece: PiecePlan, knowledge: Knowledge) -> float:
    """Share of a cut's habit that no logged cook has told yet, by variance.

    A finished cook tells how tender comes after its own readings, so what is learned of the cut
    takes the lateness with it; a finish by the core is never learned of.
    """
    learned = knowledge.cuts.get(piece.cut, {}).get(key)
    if learned is None or piece.target.kind == "core":
        return 1.0
    day = parameter("learn.within." + key.rsplit(".", maxsplit=1)[-1]).value ** 2
    left = (learned.spread**2 - day) / (parameter(key).spread ** 2 - day)
    return min(max(left, 0.0), 1.0)
