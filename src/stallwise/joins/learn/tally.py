"""The tally: every forecast that was kept, held against what happened."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.learn.keptresult import CookTally, TallyRow
from stallwise.joins.learn.knowledge import learned_entries
from stallwise.joins.learn.scored import Figures
from stallwise.joins.learn.scoredcook import CookScores, score_cook
from stallwise.joins.learn.scoring import figures
from stallwise.joins.learn.talliedcook import cook_tally
from stallwise.joins.learn.widening import missed, widening_learned, widening_of
from stallwise.models.conformal import Widening
from stallwise.record.cook import CookRecord
from stallwise.record.folder import Cookbook
from stallwise.tables.tallying import tally_rules

__all__ = [
    "ELAPSED",
    "UNSAID",
    "Baseline",
    "PieceTally",
    "TallyResult",
    "summed",
    "tally",
    "tally_book",
]

#: Elapsed shares that are told apart: name, and the share up to which.
ELAPSED = (("0", 0.0), ("0-30", 0.3), ("30-50", 0.5), ("50-70", 0.7), ("70+", float("inf")))
#: Outcomes of which at least half lies inside a window are told as inside.
_INSIDE = 0.5
#: A kept line that does not say which version made it.
UNSAID = "unknown"


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
    by_elapsed, by_cut, by_wrap, by_version : mapping of name to Figures
        The forecasts apart; elapsed as percent of the time that it took, version of the model that
        made them.
    baseline : Baseline
        Against hours per pound, at meat on.
    recent, recent_rule : Figures
        The last pieces, by their first forecast, and hours per pound of the same.
    recent_inside : int
        How many of them were inside.
    pieces : tuple of PieceTally
        By date.
    widening, applied : Widening
        What past misses ask of the windows, and what the next cook is answered with.
    samples_left_out : int
        Sample cooks that are not counted, for the book holds others.
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
    by_version: Mapping[str, Figures]
    baseline: Baseline
    recent: Figures
    recent_rule: Figures
    recent_inside: int
    pieces: tuple[PieceTally, ...]
    widening: Widening
    applied: Widening
    open_forecasts: int
    left_out: Mapping[str, int]
    warnings: tuple[CookWarning, ...] = ()
    samples_left_out: int = 0


def tally(
    records: Iterable[CookRecord],
    *,
    learned: Mapping[str, Any] | None = None,
    own: bool = False,
) -> TallyResult:
    """Hold every forecast kept against what happened.

    Parameters
    ----------
    records : iterable of CookRecord
        Cooks, in any order. One whose ``teaches`` is false is counted and widens nothing.
    learned : mapping, optional
        The book's ``learned.json``: what the next cook is answered with, and which cooks it says
        do not teach.
    own : bool, optional
        The book holds cooks that are no samples, also where none is among `records`; samples are
        left out then.

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
    own = own or any(not record.cook.sample for record in known)
    counted = [record for record in known if not (own and record.cook.sample)]
    scored = [score_cook(record) for record in counted]
    result = summed(
        [cook_tally(record, one) for record, one in zip(counted, scored, strict=True)], own=own
    )
    return replace(
        result,
        widening=_widening(counted, scored, learned),
        applied=widening_learned(learned),
        samples_left_out=len(known) - len(counted),
        warnings=tuple(
            CookWarning(warning.key, f"{record.name}: {warning.text}", warning.piece)
            for record in counted
            for warning in record.warnings
            if warning.key == "torn-line"
        ),
    )


def summed(cooks: Iterable[CookTally], *, own: bool = False) -> TallyResult:
    """Add up the forecasts of cooks that were held against what happened.

    Parameters
    ----------
    cooks : iterable of CookTally
        In any order.
    own : bool, optional
        As for `tally`.

    Returns
    -------
    TallyResult
        Without what past misses ask of the windows.
    """
    held = sorted(cooks, key=lambda one: (one.date, one.cook))
    own = own or any(not one.sample for one in held)
    counted = [one for one in held if not (own and one.sample)]
    rows = [row for one in counted for row in one.forecasts]
    firsts = [(one, row) for one in counted for row in _firsts(one.forecasts)]
    ruled = [(row, row.rule) for _, row in firsts if row.rule is not None]
    recent = [row for _, row in firsts[-tally_rules().recent :]]
    latest = {id(row) for row in recent}
    pieces = tuple(_piece(one, row) for one, row in firsts)
    return TallyResult(
        overall=_figures(rows),
        hindcasts=_figures(row for one in counted for row in one.hindcasts),
        by_elapsed=_apart(rows, _elapsed, [name for name, _ in ELAPSED]),
        by_cut=_apart(rows, lambda row: row.cut),
        by_wrap=_apart(rows, lambda row: row.wrap),
        by_version=_apart(rows, lambda row: row.model_version or UNSAID),
        baseline=Baseline(
            figures([rule for _, rule in ruled]), _figures([row for row, _ in ruled])
        ),
        recent=_figures(recent),
        recent_rule=figures([rule for row, rule in ruled if id(row) in latest]),
        recent_inside=sum(piece.inside80 for piece in pieces[-len(recent) :]) if recent else 0,
        pieces=pieces,
        widening=widening_of([]),
        applied=widening_of([]),
        samples_left_out=len(held) - len(counted),
        open_forecasts=sum(one.open_forecasts for one in counted),
        left_out=dict(sum((Counter(one.left_out) for one in counted), Counter())),
    )


def tally_book(
    book: Cookbook,
    only: Collection[str] | None = None,
    *,
    beside: Mapping[str, dict[str, Any]] | None = None,
) -> TallyResult:
    """Tally a cookbook; only cooks of which a forecast is kept are read whole.

    Parameters
    ----------
    book : Cookbook
        A cook in it that cannot be read is told among the warnings and hides no other.
    only : collection of str, optional
        Names of the cooks that count; all of them by default.
    beside : mapping of str to dict, optional
        Forecasts that are not kept, a line by the name of its cook: hindcasts made for this tally.
    """
    more = beside or {}
    records, unread, own = [], [], False
    for folder in book.cooks():
        try:
            own = own or not folder.read().sample
            if only is not None and folder.name not in only:
                continue
            if folder.name in more or folder.forecasts():
                record = folder.load(learned=False)
                extra = (more[folder.name],) if folder.name in more else ()
                records.append(replace(record, forecasts=(*record.forecasts, *extra)))
        except InputError as error:
            unread.append(CookWarning("unreadable", f"{folder.name} cannot be read: {error}"))
    try:
        learned = book.learned()
        learned_entries(learned)
    except InputError as error:
        learned = None
        unread.append(CookWarning("unreadable", str(error)))
    result = tally(records, learned=learned, own=own)
    return replace(result, warnings=(*unread, *result.warnings))


def _firsts(rows: Sequence[TallyRow]) -> list[TallyRow]:
    """One forecast a piece: the last one before meat on, or else the first."""
    by_piece: dict[str, list[TallyRow]] = {}
    for row in rows:
        by_piece.setdefault(row.piece, []).append(row)
    found = []
    for each in by_piece.values():
        before = [row for row in each if row.scored.as_of_h <= 0.0]
        found.append(
            max(before, key=lambda row: (row.as_of, row.made_at))
            if before
            else min(each, key=lambda row: (row.as_of, row.made_at))
        )
    return found


def _elapsed(row: TallyRow) -> str:
    return next(name for name, end in ELAPSED if row.scored.elapsed_share <= end)


def _figures(rows: Iterable[TallyRow]) -> Figures:
    return figures([row.scored for row in rows])


def _apart(
    rows: Sequence[TallyRow], key: Callable[[TallyRow], str], names: Sequence[str] = ()
) -> dict[str, Figures]:
    there = list(names) or sorted({key(row) for row in rows})
    return {name: _figures(row for row in rows if key(row) == name) for name in there}


def _piece(one: CookTally, row: TallyRow) -> PieceTally:
    return PieceTally(
        cook=one.cook,
        date=one.date,
        piece=row.piece,
        cut=row.cut,
        wrap=row.wrap,
        sample=one.sample,
        window_h=row.scored.window_h,
        as_of_h=row.scored.as_of_h,
        low_h=row.low_h or None,
        high_h=None if row.high_h == float("inf") else row.high_h,
        inside80=row.scored.inside[1] >= _INSIDE,
        rule_h=None if row.rule is None else row.rule.window_h,
    )


def _widening(
    records: Sequence[CookRecord],
    scored: Sequence[CookScores],
    learned: Mapping[str, Any] | None,
) -> Widening:
    """Learn what `learn` would: a cook that taught it nothing widens nothing."""
    refused = {
        entry["cook"] for entry in (learned or {}).get("cooks", ()) if not entry.get("taught", True)
    }
    found = (
        missed(record, one.forecasts)
        for record, one in zip(records, scored, strict=True)
        if record.name not in refused
    )
    return widening_of(one.misses for one in found if one is not None)
