"""One forecast of one piece against its outcome, and the figures over many of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

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
    weights = [1.0 / each[one.cook] for one in scored]
    pairs = list(zip(scored, weights, strict=True))
    late = [(late_h, weight / len(one.late_h)) for one, weight in pairs for late_h in one.late_h]
    half, window, nine = (
        _mean([(one.inside[i], weight) for one, weight in pairs]) for i in range(len(LEVELS))
    )
    return Figures(
        forecasts=len(scored),
        cooks=len(each),
        coverage50=half,
        coverage80=window,
        coverage90=nine,
        median_abs_error_h=_median([(abs(late_h), weight) for late_h, weight in late]),
        median_late_h=_median(late),
        median_width80_h=_median(
            [(one.window_h[2] - one.window_h[0], weight) for one, weight in pairs]
        ),
        crps_h=_mean([(one.crps_h, weight) for one, weight in pairs if one.crps_h is not None]),
    )


def _mean(pairs: Sequence[tuple[float, float]]) -> float | None:
    total = sum(weight for _, weight in pairs)
    return sum(value * weight for value, weight in pairs) / total if pairs else None


def _median(pairs: Sequence[tuple[float, float]]) -> float | None:
    if not pairs:
        return None
    values, weights = (np.array(column) for column in zip(*pairs, strict=True))
    middle = float(quantiles(values, (0.5,), weights)[0])
    return middle if np.isfinite(middle) else None


def _drawn_out(hours: Sequence[float], probabilities: Sequence[float]) -> list[float]:
    return [max(time_at(level, hours, probabilities), 0.0) for level in _SEVEN]
