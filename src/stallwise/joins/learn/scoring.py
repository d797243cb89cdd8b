"""One forecast of one piece against its outcome, and the figures over many of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.joins.learn.keptforecast import KeptForecast
from stallwise.joins.learn.outcome import Outcome
from stallwise.joins.learn.scored import LEVELS, Figures, Scored
from stallwise.models.conformal import miss_widths
from stallwise.models.scores import crps_from_quantiles, inside_share, likely_times, time_at

__all__ = ["figures", "score", "score_window"]

#: Quantiles that a forecast given by three is drawn out to, so that scores compare.
_SEVEN = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)


def score(cook: str, forecast: KeptForecast, happened: Outcome) -> Scored:
    """Hold a forecast against what happened.

    Parameters
    ----------
    cook : str
        Name of its folder.
    forecast : KeptForecast
        Of the same piece.
    happened : Outcome
        When it had its finish.
    """
    as_of_h = (forecast.as_of - happened.on_at).total_seconds() / 3600.0
    return score_window(
        cook,
        forecast.hours,
        forecast.probabilities,
        happened,
        as_of_h=as_of_h,
        widening=forecast.widening,
    )


def score_window(
    cook: str,
    hours: Sequence[float],
    probabilities: Sequence[float],
    happened: Outcome,
    *,
    as_of_h: float = 0.0,
    widening: float = 1.0,
) -> Scored:
    """Hold quantiles against what happened.

    Parameters
    ----------
    cook : str
        Name of its folder.
    hours, probabilities
        Quantiles [h] and their probabilities [-]; 0.1, 0.5 and 0.9 among them.
    happened : Outcome
        When the piece had its finish.
    as_of_h : float
        Moment of the forecast [h since meat on].
    widening : float
        Factor that the windows were drawn out by already; misses are told without it.
    """
    bracket = (happened.low_h, happened.high_h)
    times = likely_times(hours, probabilities, bracket)
    known = [happened.low_h, happened.high_h]
    took_h = float(np.mean([end for end in known if np.isfinite(end) and end > 0.0]))
    levels = list(probabilities)
    early, middle, late = (hours[levels.index(level)] for level in (0.1, 0.5, 0.9))
    seven = hours if tuple(levels) == _SEVEN else _drawn_out(hours, probabilities)
    whole = happened.two_sided and all(np.isfinite(seven))
    misses = miss_widths(times, (early, middle, late), as_of_h) * widening
    return Scored(
        cook=cook,
        as_of_h=as_of_h,
        elapsed_share=as_of_h / took_h,
        window_h=(early, middle, late),
        inside=tuple(inside_share(hours, probabilities, bracket, level) for level in LEVELS),
        late_h=tuple((times - middle).tolist()) if happened.two_sided else (),
        crps_h=float(np.mean([crps_from_quantiles(at, seven, _SEVEN) for at in times]))
        if whole
        else None,
        misses=tuple(misses.tolist()),
    )


def figures(scored: Sequence[Scored]) -> Figures:
    """Sum up; each cook counts once, shared out equally among its forecasts.

    Parameters
    ----------
    scored : sequence of Scored
        May be empty.
    """
    if not scored:
        return Figures()
    each = Counter(one.cook for one in scored)
    weights = np.array([1.0 / each[one.cook] for one in scored])
    inside = np.array([one.inside for one in scored])
    counts = np.array([len(one.late_h) for one in scored])
    late = np.concatenate([np.asarray(one.late_h, dtype=np.float64) for one in scored])
    late_weights = np.repeat(weights / np.maximum(counts, 1), counts)
    windows = np.array([one.window_h[2] - one.window_h[0] for one in scored])
    known = np.array([one.crps_h is not None for one in scored])
    scores = np.array([0.0 if one.crps_h is None else one.crps_h for one in scored])
    half, window, nine = (_mean(inside[:, i], weights) for i in range(len(LEVELS)))
    return Figures(
        forecasts=len(scored),
        cooks=len(each),
        coverage50=half,
        coverage80=window,
        coverage90=nine,
        median_abs_error_h=_median(np.abs(late), late_weights),
        median_late_h=_median(late, late_weights),
        median_width80_h=_median(windows, weights),
        crps_h=_mean(scores[known], weights[known]),
    )


_Floats = NDArray[np.float64]


def _mean(values: _Floats, weights: _Floats) -> float | None:
    return float(np.average(values, weights=weights)) if len(values) else None


def _median(values: _Floats, weights: _Floats) -> float | None:
    if not len(values):
        return None
    middle = float(quantiles(values, (0.5,), weights)[0])
    return middle if np.isfinite(middle) else None


def _drawn_out(hours: Sequence[float], probabilities: Sequence[float]) -> list[float]:
    return [max(time_at(level, hours, probabilities), 0.0) for level in _SEVEN]
