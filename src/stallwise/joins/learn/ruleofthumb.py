"""Hours per pound for the pieces of a cook: what its forecasts are held against."""

from __future__ import annotations

from stallwise.ground.errors import StallwiseError
from stallwise.joins import timing
from stallwise.joins.foresight import plan_pieces, question
from stallwise.models.plan import Knowledge
from stallwise.models.rules import RuleHours, piece_rule
from stallwise.record.cook import CookRecord

__all__ = ["rules_of_cook"]


def rules_of_cook(record: CookRecord) -> dict[str, RuleHours]:
    """Hours to the finish by the rule of thumb, for each piece that was on, as planned at meat on.

    Parameters
    ----------
    record : CookRecord
        A cook whose meat was on.

    Returns
    -------
    dict of letter to RuleHours
        Without pieces for whose cut, wrap or size cooks have no such rule.
    """
    zero = timing.hour_zero_logged(record)
    if zero is None:
        return {}
    lines = timing.seen(record, None)
    on = {piece.letter: timing.logged_on(lines, piece) or zero for piece in record.cook.pieces}
    try:
        asked = question(record, made_at=zero, as_of=zero, knowledge=Knowledge())
        planned, _ = plan_pieces(asked, on)
    except StallwiseError:
        # What cannot be planned any more has no rule either; its forecasts stand as kept.
        return {}
    found = {each.piece.letter: piece_rule(each.plan) for each in planned}
    return {letter: rule for letter, rule in found.items() if rule is not None}
