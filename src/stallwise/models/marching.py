"""One piece marched through its possible days."""

from __future__ import annotations

from stallwise.models.draws import Draws
from stallwise.models.kernel import Marched, march
from stallwise.models.plan import PiecePlan
from stallwise.models.schedule import schedule

__all__ = ["march_piece"]


def march_piece(
    piece: PiecePlan, draws: Draws, *, horizon_s: float, step_s: float, record_s: float
) -> Marched:
    """March a piece through the days that were drawn for it.

    Parameters
    ----------
    piece : PiecePlan
        The plan.
    draws : Draws
        From `draws.draw`, or changed.
    horizon_s, step_s, record_s : float
        End, longest step (the end at most) and spacing of the curves [s].

    Returns
    -------
    Marched
    """
    steps = schedule(
        piece,
        horizon_s=horizon_s,
        step_s=min(step_s, horizon_s),
        record_s=record_s,
        spritz_stays=draws.spritz_stays,
    )
    return march(draws.members, draws.pits, steps, pressure_pa=piece.pressure_pa)
