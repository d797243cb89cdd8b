"""How the answers of each way of asking are read: one function a kind, in one registry."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from stallwise.joins.taste import tastechoices, tastescores
from stallwise.joins.taste.tasteread import Gathered
from stallwise.joins.taste.trialresult import Reading
from stallwise.record.trial import TrialRecord
from stallwise.tables import tastings
from stallwise.tables.tastings import Method

__all__ = ["read_answers"]


def read_answers(record: TrialRecord, found: Gathered) -> Reading:
    """Read the answers of a trial by its way of asking."""
    method = tastings.method(record.trial.method)
    if len(record.trial.arms) < 2:
        return Reading("one arm", 0, "taster")
    if not found.answered:
        return Reading("nothing yet", 0, "taster")
    return _READ[method.reads](record, found, method)


_READ: Mapping[str, Callable[[TrialRecord, Gathered, Method], Reading]] = {
    "choice": tastechoices.read_choice,
    "correct": tastechoices.read_correct,
    "neither": tastechoices.read_neither,
    "sequential": tastechoices.read_sequential,
    "sameness": tastechoices.read_sameness,
    "single": tastechoices.read_single,
    "score": tastescores.read_score,
    "rank": tastescores.read_rank,
    "trend": tastescores.read_trend,
    "right": tastescores.read_right,
    "strengths": tastescores.read_strengths,
}
