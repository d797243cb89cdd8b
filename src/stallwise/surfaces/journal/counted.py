"""What a tally takes of a cook, kept between two publishings: numbers and names, read back with care."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from typing import Any

from stallwise.joins.learn.keptresult import CookTally, TallyRow
from stallwise.joins.learn.scored import Scored

__all__ = ["counted", "uncounted"]

#: Hours are kept to a few seconds: a page tells them to five minutes.
_PLACES = 3


def counted(tallied: CookTally | None) -> dict[str, Any] | None:
    """Turn into what JSON holds; None where no forecast was kept."""
    if tallied is None or not (
        tallied.forecasts or tallied.hindcasts or tallied.open_forecasts or tallied.left_out
    ):
        return None
    return {
        "cook": tallied.cook,
        "date": tallied.date.isoformat(),
        "sample": tallied.sample,
        "forecasts": [_row(row) for row in tallied.forecasts],
        "hindcasts": [_row(row) for row in tallied.hindcasts],
        "left_out": dict(tallied.left_out),
        "open": tallied.open_forecasts,
    }


def uncounted(held: Any) -> CookTally | None:
    """Read what `counted` gave.

    Raises
    ------
    KeyError, TypeError, ValueError
        It has another shape.
    """
    if held is None:
        return None
    return CookTally(
        cook=_text(held["cook"]),
        date=dt.date.fromisoformat(held["date"]),
        sample=bool(held["sample"]),
        forecasts=tuple(_read(row, _text(held["cook"])) for row in held["forecasts"]),
        hindcasts=tuple(_read(row, _text(held["cook"])) for row in held["hindcasts"]),
        left_out={_text(reason): int(many) for reason, many in held["left_out"].items()},
        open_forecasts=int(held["open"]),
    )


def _row(row: TallyRow) -> dict[str, Any]:
    return {
        "piece": row.piece,
        "cut": row.cut,
        "wrap": row.wrap,
        "version": row.model_version,
        "made_at": row.made_at.isoformat(),
        "as_of": row.as_of.isoformat(),
        "between": [_number(row.low_h), _number(row.high_h)],
        "by_core": row.by_core,
        "scored": _scored(row.scored),
        "rule": None if row.rule is None else _scored(row.rule),
    }


def _scored(one: Scored) -> dict[str, Any]:
    # Without its misses: a page widens nothing.
    return {
        "as_of_h": _number(one.as_of_h),
        "share": _number(one.elapsed_share),
        "window_h": [_number(end) for end in one.window_h],
        "inside": [_number(share) for share in one.inside],
        "late_h": [_number(late) for late in one.late_h],
        "score_h": None if one.crps_h is None else _number(one.crps_h),
    }


def _read(held: Mapping[str, Any], cook: str) -> TallyRow:
    low_h, high_h = map(_value, held["between"])
    return TallyRow(
        piece=_text(held["piece"]),
        cut=_text(held["cut"]),
        wrap=_text(held["wrap"]),
        model_version=_text(held["version"]),
        made_at=dt.datetime.fromisoformat(held["made_at"]),
        as_of=dt.datetime.fromisoformat(held["as_of"]),
        low_h=low_h,
        high_h=high_h,
        by_core=bool(held["by_core"]),
        scored=_read_scored(held["scored"], cook),
        rule=None if held["rule"] is None else _read_scored(held["rule"], cook),
    )


def _read_scored(held: Mapping[str, Any], cook: str) -> Scored:
    early, middle, late = _values(held["window_h"])
    return Scored(
        cook=cook,
        as_of_h=_value(held["as_of_h"]),
        elapsed_share=_value(held["share"]),
        window_h=(early, middle, late),
        inside=_values(held["inside"]),
        late_h=_values(held["late_h"]),
        crps_h=None if held["score_h"] is None else _value(held["score_h"]),
        misses=(),
    )


def _number(value: float) -> float | None:
    """To a few places; null for what was not reached."""
    return round(value, _PLACES) if math.isfinite(value) else None


def _value(held: float | None) -> float:
    return math.inf if held is None else float(held)


def _values(held: Sequence[float | None]) -> tuple[float, ...]:
    return tuple(map(_value, held))


def _text(held: Any) -> str:
    if not isinstance(held, str):
        raise TypeError(held)
    return held
