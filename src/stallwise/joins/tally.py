"""The tally: every forecast that was kept, held against what happened."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stallwise.ground.errors import CookWarning, InputError, StallwiseError
from stallwise.joins import timing
from stallwise.joins.keptforecast import KeptForecast, kept_forecasts
from stallwise.joins.outcome import Outcome, outcome
from stallwise.joins.plan import piece_cut
from stallwise.joins.ruleofthumb import rules_of_cook
from stallwise.joins.scoring import Figures, Scored, figures, score, score_window
from stallwise.models.conformal import Widening, widening
from stallwise.models.rules import RuleHours
from stallwise.record.cook import CookRecord
from stallwise.record.folder import Cookbook
from stallwise.record.schema import Piece
from stallwise.tables.tallying import tally_rules

__all__ = ["ELAPSED", "Baseline", "PieceTally", "TallyResult", "tally", "tally_book"]

#: Elapsed shares that are told apart: name, and the share up to which.
ELAPSED = (("0", 0.0), ("0-30", 0.3), ("30-50", 0.5), ("50-70", 0.7), ("70+", float("inf")))
_RULE_LEVELS = (0.1, 0.5, 0.9)
#: Outcomes of which at least half lies inside a window are told as inside.
_INSIDE = 0.5


@dataclass(frozen=True)
class PieceTally:
    """One piece that had its finish: what was expected of it at first, and what happened.

    Attributes
    ----------
    cook, date, piece, cut, wrap : str, date, str, str, str
        Which piece.
    sample : bool
        It is made up.
    window_h : (float, float, float)
        Early end, middle, late end [h] of the last forecast kept before meat on, or the first one.
    as_of_h : float
        Moment of that forecast [h since meat on].
    low_h, high_h : float or None
        Between which it had its finish [h]; None where nobody looked.
    inside80 : bool
        At least half of that lies inside the window.
    rule_h : (float, float, float) or None
        Low, middle and high by hours per pound.
    """

    cook: str
    date: dt.date
    piece: str
    cut: str
    wrap: str
    sample: bool
    window_h: tuple[float, float, float]
    as_of_h: float
    low_h: float | None
    high_h: float | None
    inside80: bool
    rule_h: tuple[float, float, float] | None


@dataclass(frozen=True)
class Baseline:
    """Hours per pound, and the forecasts of the same pieces as they stood before meat on."""

    rule: Figures = field(default_factory=Figures)
    forecast: Figures = field(default_factory=Figures)


@dataclass(frozen=True)
class TallyResult:
    """How often the forecasts were right.

    Attributes
    ----------
    overall, hindcasts : Figures
        Forecasts made before the outcome was known, and those made after it.
    by_elapsed, by_cut, by_wrap : mapping of name to Figures
        The forecasts apart; elapsed as percent of the time that it took.
    baseline : Baseline
        Against hours per pound, at meat on.
    recent, recent_rule : Figures
        The last pieces, by their first forecast, and hours per pound of the same.
    recent_inside : int
        How many of them were inside.
    pieces : tuple of PieceTally
        By date.
    widening : Widening
        What past misses ask of the windows.
    open_forecasts : int
        Of pieces whose outcome is not known.
    left_out : mapping of reason to int
        Forecasts that were not held against anything.
    warnings : tuple of CookWarning
        What could not be read.
    """

    overall: Figures
    hindcasts: Figures
    by_elapsed: Mapping[str, Figures]
    by_cut: Mapping[str, Figures]
    by_wrap: Mapping[str, Figures]
    baseline: Baseline
    recent: Figures
    recent_rule: Figures
    recent_inside: int
    pieces: tuple[PieceTally, ...]
    widening: Widening
    open_forecasts: int
    left_out: Mapping[str, int]
    warnings: tuple[CookWarning, ...] = ()


@dataclass(frozen=True)
class _Row:
    """A forecast that was scored, with what it is sorted by."""

    record: CookRecord
    piece: Piece
    kept: KeptForecast
    happened: Outcome
    scored: Scored
    wrap: str


@dataclass
class _Sorted:
    forecasts: list[_Row] = field(default_factory=list)
    hindcasts: list[_Row] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    open_forecasts: int = 0


def tally(records: Iterable[CookRecord]) -> TallyResult:
    """Hold every forecast kept against what happened.

    Parameters
    ----------
    records : iterable of CookRecord
        Cooks, in any order. One whose ``teaches`` is false is counted and widens nothing.

    Returns
    -------
    TallyResult

    Notes
    -----
    A forecast made after the outcome was known is a hindcast and counted apart; one whose as-of lies
    after the outcome, or that was of another cut or finish than was cooked, is left out. Only
    elapsed hours count: a start later than planned is no error of the forecast.
    """
    known = sorted(records, key=lambda record: (record.cook.date, record.name))
    found = _Sorted()
    for record in known:
        _sort(record, found)
    rows = found.forecasts
    firsts = _firsts(rows)
    rules = {record.name: rules_of_cook(record) for record in _records(firsts)}
    ruled = [
        (row, rule) for row in firsts if (rule := rules[row.record.name].get(row.piece.letter))
    ]
    recent = firsts[-tally_rules().recent :]
    latest = {id(row) for row in recent}
    pieces = tuple(_piece(row, rules[row.record.name].get(row.piece.letter)) for row in firsts)
    return TallyResult(
        overall=_figures(rows),
        hindcasts=_figures(found.hindcasts),
        by_elapsed=_apart(rows, _elapsed, [name for name, _ in ELAPSED]),
        by_cut=_apart(rows, lambda row: row.piece.cut),
        by_wrap=_apart(rows, lambda row: row.wrap),
        baseline=Baseline(
            figures([_rule_scored(row, rule) for row, rule in ruled]),
            _figures([row for row, _ in ruled]),
        ),
        recent=_figures(recent),
        recent_rule=figures([_rule_scored(*pair) for pair in ruled if id(pair[0]) in latest]),
        recent_inside=sum(piece.inside80 for piece in pieces[-len(recent) :]) if recent else 0,
        pieces=pieces,
        widening=_widening(rows),
        open_forecasts=found.open_forecasts,
        left_out=dict(found.left_out),
        warnings=tuple(
            CookWarning(warning.key, f"{record.name}: {warning.text}", warning.piece)
            for record in known
            for warning in record.warnings
            if warning.key == "torn-line"
        ),
    )


def tally_book(book: Cookbook) -> TallyResult:
    """Tally a cookbook; only cooks of which a forecast is kept are read whole.

    Parameters
    ----------
    book : Cookbook
        A cook in it that cannot be read is told among the warnings and hides no other.
    """
    records, unread = [], []
    for folder in book.cooks():
        try:
            if folder.forecasts():
                records.append(folder.load())
        except InputError as error:
            unread.append(CookWarning("unreadable", f"{folder.name} cannot be read: {error}"))
    result = tally(records)
    return replace(result, warnings=(*unread, *result.warnings))


def _sort(record: CookRecord, found: _Sorted) -> None:
    """Score the forecasts of one cook, each into its heap."""
    kept, unusable = kept_forecasts(record)
    if unusable:
        found.left_out["cannot be used"] += unusable
    pieces = {piece.letter: piece for piece in record.cook.pieces}
    happened = {letter: _outcome(record, piece) for letter, piece in pieces.items()}
    for one in kept:
        piece = pieces.get(one.piece)
        if piece is None or not _same(record, piece, one):
            found.left_out["of another piece, cut or finish than was cooked"] += 1
            continue
        end = happened[one.piece]
        if end is None:
            found.open_forecasts += 1
        elif one.as_of >= end.seen_at:
            found.left_out["as of a moment when the outcome was known"] += 1
        else:
            row = _Row(record, piece, one, end, score(record.name, one, end), _wrap(record, one))
            late = one.made_at > end.seen_at
            (found.hindcasts if late else found.forecasts).append(row)


def _outcome(record: CookRecord, piece: Piece) -> Outcome | None:
    try:
        return outcome(record, piece)
    except StallwiseError:
        # A cut that is no longer in the cookbook: nobody knows which finish was meant.
        return None


def _same(record: CookRecord, piece: Piece, kept: KeptForecast) -> bool:
    """Whether a forecast was of what was cooked; older lines do not say of what they were."""
    if kept.cut and kept.cut != piece.cut:
        return False
    try:
        finish = piece_cut(record, piece).finish(piece.finish).words
    except StallwiseError:
        return False
    return not kept.finish or kept.finish == finish


def _wrap(record: CookRecord, kept: KeptForecast) -> str:
    """Wrap as logged, or else as planned."""
    piece = next(piece for piece in record.cook.pieces if piece.letter == kept.piece)
    logged = [
        str(line.data.get("kind") or "")
        for line in timing.seen(record, None)
        if line.what == "wrapped" and timing.concerns(line, piece)
    ]
    return next((kind for kind in reversed(logged) if kind), kept.wrap or "none")


def _firsts(rows: Sequence[_Row]) -> list[_Row]:
    """One forecast a piece: the last one before meat on, or else the first."""
    by_piece: dict[tuple[str, str], list[_Row]] = {}
    for row in rows:
        by_piece.setdefault((row.record.name, row.piece.letter), []).append(row)
    found = []
    for each in by_piece.values():
        before = [row for row in each if row.scored.as_of_h <= 0.0]
        found.append(
            max(before, key=lambda row: (row.kept.as_of, row.kept.made_at))
            if before
            else min(each, key=lambda row: (row.kept.as_of, row.kept.made_at))
        )
    return found


def _records(rows: Iterable[_Row]) -> list[CookRecord]:
    return list({row.record.name: row.record for row in rows}.values())


def _rule_scored(row: _Row, rule: RuleHours) -> Scored:
    hours = (rule.low_h, rule.middle_h, rule.high_h)
    return score_window(row.record.name, hours, _RULE_LEVELS, row.happened)


def _elapsed(row: _Row) -> str:
    return next(name for name, end in ELAPSED if row.scored.elapsed_share <= end)


def _figures(rows: Iterable[_Row]) -> Figures:
    return figures([row.scored for row in rows])


def _apart(
    rows: Sequence[_Row], key: Callable[[_Row], str], names: Sequence[str] = ()
) -> dict[str, Figures]:
    there = list(names) or sorted({key(row) for row in rows})
    return {name: _figures(row for row in rows if key(row) == name) for name in there}


def _piece(row: _Row, rule: RuleHours | None) -> PieceTally:
    low_h, high_h = row.happened.low_h, row.happened.high_h
    return PieceTally(
        cook=row.record.name,
        date=row.record.cook.date,
        piece=row.piece.letter,
        cut=row.piece.cut,
        wrap=row.wrap,
        sample=row.record.cook.sample,
        window_h=row.scored.window_h,
        as_of_h=row.scored.as_of_h,
        low_h=low_h or None,
        high_h=None if high_h == float("inf") else high_h,
        inside80=row.scored.inside[1] >= _INSIDE,
        rule_h=None if rule is None else (rule.low_h, rule.middle_h, rule.high_h),
    )


def _widening(rows: Iterable[_Row]) -> Widening:
    rules = tally_rules()
    misses: dict[str, list[float]] = {}
    for row in rows:
        if row.record.cook.teaches:
            misses.setdefault(row.record.name, []).extend(row.scored.misses)
    return widening(
        list(misses.values()),
        level=rules.window,
        least=rules.widening_cooks,
        widest=rules.widest,
    )
