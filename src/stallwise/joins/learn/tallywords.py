"""The tally in words: one sentence, what cannot be concluded, and tables for those who ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from math import comb
from typing import Any

from stallwise import __version__
from stallwise.joins.learn.scored import Figures
from stallwise.joins.learn.tally import UNSAID, PieceTally, TallyResult
from stallwise.joins.result import to_plain
from stallwise.joins.tables import Table
from stallwise.joins.words import hours, joined, percent
from stallwise.models.conformal import Widening
from stallwise.tables.tallying import TallyRules, tally_rules

__all__ = ["cannot_say", "headline", "pieces_table", "plain", "tables", "widening_text"]

_RULE = "hours per pound"
#: A right forecast has as many inside, or more or fewer, in nine of ten such rows of cooks.
_MIDDLE = 0.9
_HEADER = ("", "forecasts", "cooks", "inside", "of 50 %", "of 90 %", "off by", "wide", "score h")


def headline(result: TallyResult) -> str:
    """Say in one sentence how the last pieces went."""
    many = len(result.pieces[-tally_rules().recent :])
    if not many:
        return _nothing(result)
    recent, rule = result.recent, result.recent_rule
    which = "the last piece was" if many == 1 else f"the last {many} pieces were"
    parts = [
        f"{result.recent_inside} of {which} inside the window"
        if many > 1
        else f"{which} {'inside' if result.recent_inside else 'outside'} the window"
    ]
    if recent.median_width80_h is not None:
        parts.append(f"it was {hours(recent.median_width80_h)} wide")
    if recent.median_abs_error_h is not None:
        parts.append(f"its middle was off by {hours(recent.median_abs_error_h)}")
    if rule.median_abs_error_h is not None:
        parts.append(f"{_RULE} was off by {hours(rule.median_abs_error_h)}")
    said = "; ".join(parts)
    return f"{said[0].upper()}{said[1:]}."


def _nothing(result: TallyResult) -> str:
    if result.open_forecasts:
        return (
            f"{_count(result.open_forecasts, 'forecast is', 'forecasts are')} kept and none can be "
            "held against what happened yet: log when a piece was not yet tender and when it was."
        )
    if result.hindcasts.forecasts:
        return (
            f"{_count(result.hindcasts.forecasts, 'forecast was', 'forecasts were')} made after the "
            "outcome was known and none before: keep one before the cook."
        )
    return (
        "No forecast is kept of a finished cook yet. Keep one with: stallwise forecast COOK --keep"
    )


def cannot_say(result: TallyResult) -> tuple[str, ...]:
    """Say what so few cooks cannot show; empty where there are enough."""
    cooks, least = result.overall.cooks, tally_rules().conclude_cooks
    said = []
    if many := result.samples_left_out:
        said.append(
            f"{_count(many, 'sample cook is', 'sample cooks are')} left out: the book holds cooks of "
            "your own."
        )
    if not cooks:
        return tuple(said)
    if cooks < least:
        low, high = _by_chance(cooks, tally_rules().window)
        span = str(high) if low == high else f"{low} to {high}"
        said.append(
            f"{_count(cooks, 'cook says', 'cooks say')} little: with windows that are right, {span} "
            f"of {cooks} would be inside by chance alone. From {least} on it begins to tell."
        )
        said.append(
            f"Whether {_RULE} does better or worse, and whether the windows should be wider, cannot "
            "be concluded yet."
        )
    few = [name for name, each in _groups(result).items() if 0 < each.cooks < least]
    if few and cooks >= least:
        said.append(f"Too few cooks to tell anything of {joined(few)} alone.")
    if other := sum(
        each.forecasts
        for name, each in result.by_version.items()
        if name not in {__version__, UNSAID}
    ):
        said.append(
            f"{_count(other, 'forecast was', 'forecasts were')} made by another version of the "
            f"model than this one ({__version__}); this one may be better or worse."
        )
    if any(piece.sample for piece in result.pieces):
        said.append("Sample cooks are among them; nobody cooked those.")
    return tuple(said)


def widening_text(result: TallyResult) -> str:
    """Say what past misses ask of the windows, and what the next cook is answered with."""
    found, rules = result.widening, tally_rules()
    said = _asked(found, rules)
    if result.applied.factor != found.factor:
        now = result.applied.factor
        said += (
            f" The next cook is answered with {'windows as they are' if now == 1.0 else f'{now:.1f}'}"
            f"{'' if now == 1.0 else ' times'} until you run: stallwise learn"
        )
    return said


def _asked(found: Widening, rules: TallyRules) -> str:
    if not found.enough:
        return (
            f"Past misses widen nothing yet: {_count(found.cooks, 'cook', 'cooks')} of the "
            f"{rules.widening_cooks} that it takes."
        )
    if found.factor == 1.0:
        return "Past misses ask for no wider windows."
    most = " (and more, which is not done)" if (found.asked or 0.0) > rules.widest else ""
    return (
        f"To hold {percent(rules.window)} of cooks to come, windows are drawn out "
        f"{found.factor:.1f} times{most}, learned from {found.cooks} cooks."
    )


def tables(result: TallyResult) -> tuple[Table, ...]:
    """All figures, for those who unfold them."""
    rule, forecast = result.baseline.rule, result.baseline.forecast
    against = {"forecast before meat on": forecast, _RULE: rule}
    shown = (
        _table("All forecasts", {"made before it was known": result.overall}),
        _table("By how much of the time had passed, %", result.by_elapsed),
        _table("By cut", result.by_cut),
        _table("By wrap", result.by_wrap),
        _table("By version of the model", result.by_version if len(result.by_version) > 1 else {}),
        _table("Against hours per pound, the same pieces", against),
        _table("Made after the outcome was known, counted apart", {"hindcasts": result.hindcasts}),
        pieces_table(result),
    )
    return tuple(table for table in shown if table.rows)


def plain(result: TallyResult) -> dict[str, Any]:
    """Turn into what JSON holds, unrounded; `forecasts` and so on are those of `overall`."""

    def of(groups: Mapping[str, Figures]) -> dict[str, Any]:
        return {name: asdict(each) for name, each in groups.items()}

    rule, forecast = result.baseline.rule, result.baseline.forecast
    widening, applied = _finite(asdict(result.widening)), _finite(asdict(result.applied))
    return {
        **asdict(result.overall),
        "headline": headline(result),
        "cannot_say": list(cannot_say(result)),
        "by_elapsed": of(result.by_elapsed),
        "by_cut": of(result.by_cut),
        "by_wrap": of(result.by_wrap),
        "by_version": of(result.by_version),
        "baseline": {"name": _RULE, **asdict(rule), "forecast_same_pieces": asdict(forecast)},
        "hindcasts": asdict(result.hindcasts),
        "recent": {
            "pieces": len(result.pieces[-tally_rules().recent :]),
            "inside": result.recent_inside,
            **{f"median_{name}_h": getattr(result.recent, f"median_{name}_h") for name in _RECENT},
            "baseline_median_abs_error_h": result.recent_rule.median_abs_error_h,
        },
        "widening": {**widening, "applied": applied["factor"], "said": widening_text(result)},
        "pieces": [_finite(to_plain(piece)) for piece in result.pieces],
        "open": result.open_forecasts,
        "samples_left_out": result.samples_left_out,
        "left_out": dict(result.left_out),
        "source": "tally",
    }


_RECENT = ("abs_error", "width80")


def _finite(value: Any) -> Any:
    """Put null for a late end that was not reached."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_finite(item) for item in value]
    return None if value == float("inf") else value


def _groups(result: TallyResult) -> dict[str, Figures]:
    elapsed = {f"{name} % passed": each for name, each in result.by_elapsed.items()}
    return {**elapsed, **result.by_cut, **result.by_wrap}


def _table(caption: str, groups: Mapping[str, Figures]) -> Table:
    least = tally_rules().conclude_cooks
    rows = tuple(
        (
            name,
            str(each.forecasts),
            str(each.cooks) + (" (few)" if each.cooks < least else ""),
            percent(each.coverage80),
            percent(each.coverage50),
            percent(each.coverage90),
            _hours(each.median_abs_error_h),
            _hours(each.median_width80_h),
            "–" if each.crps_h is None else f"{each.crps_h:.2f}",
        )
        for name, each in groups.items()
        if each.forecasts
    )
    return Table(caption, _HEADER, rows, "tally")


def pieces_table(result: TallyResult) -> Table:
    """Lay out piece by piece what was told at first, and what happened; a row a piece."""
    rows = tuple(
        (
            one.date.isoformat(),
            one.cook,
            one.piece,
            f"{_hours(one.window_h[0])} to {_hours(one.window_h[2])}",
            _between(one),
            "inside" if one.inside80 else "outside",
            "" if one.rule_h is None else f"{_hours(one.rule_h[0])} to {_hours(one.rule_h[2])}",
        )
        for one in result.pieces
    )
    header = ("date", "cook", "piece", "window", "tender", "", _RULE)
    return Table("Piece by piece, hours after meat on", header, rows, "tally")


def _between(one: PieceTally) -> str:
    if one.high_h is None:
        return f"after {_hours(one.low_h)}"
    if one.low_h is None:
        return f"by {_hours(one.high_h)}"
    ends = dict.fromkeys((hours(one.low_h, minutes=1), hours(one.high_h, minutes=1)))
    return " to ".join(ends)


def _hours(value_h: float | None) -> str:
    return "–" if value_h is None else hours(value_h)


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _by_chance(cooks: int, share: float) -> tuple[int, int]:
    """Fewest and most inside in nine of ten such rows of cooks, with windows that hold `share`."""
    odds = [comb(cooks, k) * share**k * (1.0 - share) ** (cooks - k) for k in range(cooks + 1)]
    tail = (1.0 - _MIDDLE) / 2.0
    low = next(k for k in range(cooks + 1) if sum(odds[: k + 1]) > tail)
    high = next(k for k in range(cooks, -1, -1) if sum(odds[k:]) > tail)
    return low, high
