"""Scores over many cooks: who is lenient, what shrinks, what a look at many things invents."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError

__all__ = ["Noticed", "Pooled", "discoveries", "leniency", "noticed", "pooled"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pooled:
    """Several results of one question, each pulled towards what they have in common.

    Attributes
    ----------
    means, errors : tuple of float
        Each after pulling, and its standard deviation.
    mean, error : float
        What they have in common.
    better : float
        Chance that what they have in common is above zero [-].
    """

    means: tuple[float, ...]
    errors: tuple[float, ...]
    mean: float
    error: float
    better: float


@dataclass(frozen=True)
class Noticed:
    """One thing that differed between cooks, beside their scores.

    Attributes
    ----------
    name : str
    correlation : float
        As it stands in the log [-].
    effect, error : float
        Points for one spread of it, all things together and pulled towards none, and its doubt.
    sign_right : float
        Chance that it goes the way it seems to [-].
    by_chance : float
        How often the best of as many things with nothing to them looks at least so strong [-].
    mixed_up : float
        How many times wider its doubt is for having changed together with the others (VIF) [-].
    """

    name: str
    correlation: float
    effect: float
    error: float
    sign_right: float
    by_chance: float
    mixed_up: float


def pooled(values: Sequence[float], errors: Sequence[float], *, same: bool = False) -> Pooled:
    """Pull several results towards their common mean, as far as they are alike.

    How much they really differ is unknown and averaged over, each size as likely as the next.

    Parameters
    ----------
    values, errors : sequence of float
        Results and their standard errors, above zero.
    same : bool, default False
        They are taken for one and the same (no spread of their own).

    References
    ----------
    [gelman-2013]_
    """
    y, s = np.asarray(values, dtype=float), np.asarray(errors, dtype=float)
    if len(y) != len(s) or not len(y) or np.any(s <= 0.0):
        raise InputError(f"{len(y)} results, {len(s)} errors", "one error above zero a result")
    reach = 4.0 * (float(np.ptp(y)) + float(s.mean()))
    alone = same or len(y) == 1
    tau = np.zeros(1) if alone else np.linspace(reach / 2000, reach, 1000)
    total = s[None, :] ** 2 + tau[:, None] ** 2
    weight = 1.0 / total
    centre = (weight * y).sum(axis=1) / weight.sum(axis=1)
    wide = 1.0 / weight.sum(axis=1)
    log = 0.5 * np.log(wide) - 0.5 * np.sum(
        np.log(total) + (y - centre[:, None]) ** 2 / total, axis=1
    )
    share = np.exp(log - log.max())
    share /= share.sum()
    mean = float(share @ centre)
    error = math.sqrt(float(share @ (wide + (centre - mean) ** 2)))
    pull = s[None, :] ** 2 / total
    each = pull * centre[:, None] + (1.0 - pull) * y
    spread = pull * tau[:, None] ** 2 + pull**2 * wide[:, None]
    means = share @ each
    errors_now = np.sqrt(share @ (spread + (each - means) ** 2))
    better = float(share @ _cdf(centre / np.sqrt(wide)))
    return Pooled(tuple(means.tolist()), tuple(errors_now.tolist()), mean, error, better)


def _cdf(z: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(z), dtype=float)


def leniency(
    tasters: Sequence[str], cooks: Sequence[str], scores: Sequence[float], *, prior_spread: float
) -> tuple[dict[str, float], dict[str, tuple[float, float]]]:
    """Tell harsh tasters from poor cooks.

    Parameters
    ----------
    tasters, cooks : sequence of str
        Who scored what, one entry a score.
    scores : sequence of float
        Points.
    prior_spread : float
        How far tasters usually lie apart [points]; one who scored little is taken for usual.

    Returns
    -------
    dict, dict
        Points that each taster gives above the others; score of each cook without that, and its
        standard error.
    """
    if not len(tasters) == len(cooks) == len(scores) or not len(scores):
        raise InputError(f"{len(scores)} scores", "one taster and one cook a score")
    who, what = sorted(set(tasters)), sorted(set(cooks))
    y = np.asarray(scores, dtype=float)
    design = np.zeros((len(y), len(who) + len(what)))
    for n, (taster, cook) in enumerate(zip(tasters, cooks, strict=True)):
        design[n, who.index(taster)] = design[n, len(who) + what.index(cook)] = 1.0
    free = max(1, len(y) - design.shape[1] + 1)
    noise = prior_spread**2
    found, curve = _held(design, y, len(who), 1.0)
    for _ in range(3):
        noise = max(float(np.sum((y - design @ found) ** 2)) / free, 1e-6)
        found, curve = _held(design, y, len(who), noise / prior_spread**2)
    lenient = found[: len(who)] - found[: len(who)].mean()
    level = found[len(who) :] + found[: len(who)].mean()
    errors = np.sqrt(noise * np.diag(curve)[len(who) :])
    cooks_now = {one: (float(level[n]), float(errors[n])) for n, one in enumerate(what)}
    return dict(zip(who, map(float, lenient), strict=True)), cooks_now


def _held(design: Floats, y: Floats, tasters: int, ridge: float) -> tuple[Floats, Floats]:
    """Least squares with the tasters held to nothing by so much."""
    hold = np.zeros(design.shape[1])
    hold[:tasters] = ridge
    curve = np.linalg.inv(design.T @ design + np.diag(hold))
    return np.asarray(curve @ design.T @ y, dtype=float), np.asarray(curve, dtype=float)


def noticed(
    names: Sequence[str],
    inputs: Sequence[Sequence[float]],
    scores: Sequence[float],
    *,
    prior: float,
) -> tuple[Noticed, ...]:
    """Lay what differed between cooks beside their scores.

    Parameters
    ----------
    names : sequence of str
        What differed.
    inputs : sequence of sequences
        One row a cook, one number a name.
    scores : sequence of float
        One score a cook, four cooks or more.
    prior : float
        Usual size of an effect before looking, in spreads of the score [-].

    Returns
    -------
    tuple of Noticed
        In the order of the names; one that never changed is left out.
    """
    x, y = np.asarray(inputs, dtype=float), np.asarray(scores, dtype=float)
    if x.shape != (len(y), len(names)) or len(y) < 4:
        raise InputError(f"{len(y)} cooks", "four cooks or more, one number a cook for each thing")
    kept = [n for n in range(len(names)) if np.ptp(x[:, n]) > 0.0]
    if not kept or np.ptp(y) == 0.0:
        return ()
    z = (x[:, kept] - x[:, kept].mean(axis=0)) / x[:, kept].std(axis=0, ddof=1)
    spread = float(y.std(ddof=1))
    target = (y - y.mean()) / spread
    curve = np.linalg.inv(z.T @ z + np.eye(len(kept)) / prior**2)
    effect, error = curve @ z.T @ target, np.sqrt(np.diag(curve))
    found = []
    for n, column in enumerate(kept):
        r = float(np.corrcoef(z[:, n], target)[0, 1])
        alone = _correlation_p(r, len(y))
        found.append(
            Noticed(
                name=names[column],
                correlation=r,
                effect=float(effect[n]) * spread,
                error=float(error[n]) * spread,
                sign_right=NormalDist().cdf(abs(float(effect[n])) / float(error[n])),
                by_chance=1.0 - (1.0 - alone) ** len(kept),
                mixed_up=_inflation(z, n),
            )
        )
    return tuple(found)


def _correlation_p(r: float, cooks: int) -> float:
    from scipy.special import stdtr

    if abs(r) >= 1.0 - 1e-12:
        return 0.0
    t = r * math.sqrt((cooks - 2) / (1.0 - r * r))
    return 2.0 * float(stdtr(cooks - 2, -abs(t)))


def _inflation(z: Floats, column: int) -> float:
    others = np.delete(z, column, axis=1)
    if not others.shape[1]:
        return 1.0
    one = z[:, column]
    fitted = others @ np.linalg.lstsq(others, one, rcond=None)[0]
    rest = float(np.sum((one - fitted) ** 2)) / float(np.sum(one**2))
    return math.inf if rest < 1e-9 else 1.0 / rest


def discoveries(p_values: Sequence[float], level: float = 0.05) -> int:
    """How many of the smallest p-values stand when so many were looked at (Benjamini, Hochberg).

    Parameters
    ----------
    p_values : sequence of float
        All of one look [-].
    level : float, default 0.05
        Share of false ones among those that stand [-].

    References
    ----------
    [benjamini-hochberg-1995]_
    """
    ordered = sorted(p_values)
    stand = [n for n, p in enumerate(ordered, 1) if p <= level * n / len(ordered)]
    return max(stand, default=0)
