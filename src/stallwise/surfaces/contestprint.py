"""A contest day on paper: each hand-in with room for what was picked and why."""

from __future__ import annotations

from stallwise.joins.contest.contestplan import ContestPlan
from stallwise.joins.contest.contestwords import more_words
from stallwise.joins.result import Result
from stallwise.joins.words import day_clock, odds_text
from stallwise.surfaces.paper import long_day, paper_named, template

__all__ = ["handins_html"]


def handins_html(plan: ContestPlan, result: Result, *, paper: str = "a4") -> str:
    """Make the page of the hand-ins.

    Parameters
    ----------
    plan : ContestPlan
    result : Result
        The same day as answered.
    paper : {"a4", "letter"}

    Returns
    -------
    str
        HTML that fetches nothing.
    """
    return template("handins.html").render(
        title=plan.title,
        day=long_day(plan.date),
        hand_ins=[
            {
                "at": f"{one.at:%H:%M}",
                "name": one.name,
                "wanted": one.wanted,
                "cooked": one.cooked,
                "share": odds_text(one.share),
                "pieces": [
                    (piece.letter, piece.count, day_clock(piece.on_at, plan.date), piece.softness)
                    for piece in one.pieces
                ],
                "why": one.why,
            }
            for one in plan.hand_ins
        ],
        lines=list(more_words(plan)),
        warnings=[one.text for one in plan.warnings if one.key in _TOLD],
        sample=result.sample,
        paper=paper_named(paper),
    )


#: What has to be settled before the day.
_TOLD = frozenset({"hand-in-early", "hand-in-unsure", "hands", "people", "pit-full", "box-full"})
