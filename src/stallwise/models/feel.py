"""Feel checks in a forecast: what a "not yet" makes of the possible days."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import CookWarning
from stallwise.models.draws import Draws
from stallwise.models.marching import march_piece
from stallwise.models.plan import PiecePlan
from stallwise.tables.parameters import parameter

__all__ = ["by_core", "by_dose"]

_LEAST_SPREAD = 1e-6


def by_dose(
    piece: PiecePlan, draws: Draws, horizon_s: float, step_s: float
) -> tuple[Draws, NDArray[np.float64], tuple[CookWarning, ...]]:
    """Weigh the members by a "not yet", with thresholds drawn anew above the dose so far.

    A member's threshold has a known spread, so how likely it is to lie above the dose at the check
    can be written down, and the threshold is drawn anew from what is left. No member is lost.

    Parameters
    ----------
    piece : PiecePlan
        Without a "not yet", or with a finish by the core, nothing is changed.
    draws : Draws
        Its possible days.
    horizon_s, step_s : float
        As for `forecast.simulate` [s].

    Returns
    -------
    (Draws, array (members,), tuple of CookWarning)
        The days with their new thresholds, how likely each is, and what a cook should know.
    """
    facts = piece.facts
    even = np.ones(len(draws.members))
    if facts is None or facts.not_tender_s is None or facts.not_tender_s <= 0.0:
        return draws, even, ()
    if facts.tender_s is not None or piece.target.kind == "core":
        return draws, even, ()
    table = draws.members.copy()
    table["finish_dose"] = np.inf
    until = min(facts.not_tender_s, horizon_s)
    days = replace(draws, members=table)
    dose = march_piece(piece, days, horizon_s=until, step_s=step_s, record_s=until).dose[:, -1]
    log_thresholds = np.log(draws.members["finish_dose"])
    middle = float(np.mean(log_thresholds))
    spread = max(float(np.std(log_thresholds)), _LEAST_SPREAD)  # as drawn: learning narrows it
    normal = NormalDist()
    kept = parameter("feel.kept").value / len(even)
    with np.errstate(divide="ignore"):
        reached = (np.log(dose) - middle) / spread
    below = np.array([normal.cdf(x) for x in reached])
    place = np.array([normal.cdf(x) for x in (log_thresholds - middle) / spread])
    left = np.maximum(1.0 - below, kept)
    anew = np.clip(1.0 - left * (1.0 - place), None, 1.0 - 1e-9)
    scores = np.array([normal.inv_cdf(p) for p in anew])
    table["finish_dose"] = np.maximum(np.exp(middle + spread * scores), dose * (1.0 + 1e-9))
    return replace(draws, members=table), left, _thin(piece, left, float(np.mean(left)))


def by_core(
    piece: PiecePlan, finish: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[CookWarning, ...]]:
    """Drop members whose core was there before a "not yet", but never nearly all of them.

    Parameters
    ----------
    piece : PiecePlan
        With a finish by the core; without a "not yet" nothing is changed.
    finish, weights : arrays (members,)
        When each is finished [s], and how likely it is.

    Returns
    -------
    (array, array, tuple of CookWarning)
        Both anew, and what a cook should know.
    """
    facts = piece.facts
    if facts is None or facts.not_tender_s is None or facts.tender_s is not None:
        return finish, weights, ()
    agrees = finish > facts.not_tender_s
    least = max(1, int(np.ceil(parameter("feel.kept").value * len(finish))))
    slowest = np.argsort(-finish, kind="stable")[:least]
    kept = agrees.copy()
    kept[slowest] = True
    left = np.where(kept, weights, 0.0)
    warned = _thin(piece, left, float(np.mean(agrees)))
    return np.maximum(finish, facts.not_tender_s), left, warned


def _thin(piece: PiecePlan, weights: NDArray[np.float64], share: float) -> tuple[CookWarning, ...]:
    count = float(np.sum(weights) ** 2 / np.sum(weights**2))
    enough = parameter("feel.enough").value
    if count >= enough and share * len(weights) >= enough:
        return ()
    words = (
        "The last feel check said 'not yet' when most of the possible days were tender: this piece "
        "is tougher, colder or thicker than it was taken for. Trust your hands before the forecast."
    )
    return (CookWarning("feel-contradicts", words, piece.key),)
