"""A contest day as planned: what goes on when for each hand-in, how sure it is, and the nearest that works."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import units
from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.answer import answer
from stallwise.joins.chances import start_up_s
from stallwise.joins.contest.fitness import fit_span, is_softest
from stallwise.joins.crowd.helpers import enough_people
from stallwise.joins.foresight import Asked, Foreseen, foresee, pit_start_s, question
from stallwise.joins.result import Result
from stallwise.joins.words import ODDS, joined, odds_text
from stallwise.models.showing import best_starts
from stallwise.record import clocks
from stallwise.record.cook import CookRecord
from stallwise.record.handins import Contest, HandIn

__all__ = ["ContestPlan", "HandInPiece", "HandInPlan", "contest_plan"]

_HOUR_S, _FIVE_S = 3600.0, 300.0


@dataclass(frozen=True)
class HandInPiece:
    """One piece of a hand-in.

    Attributes
    ----------
    letter, name : str
    count : int
    on_at : datetime
    share : float
        Share of days on which it is fit to be handed in.
    ready : float
        Share of days on which it is ready by then at all.
    wait_h : float or None
        From tender to the knife on the middle day [h].
    softness : str
        How it will be for that wait, in a cook's words; empty where nothing is too soft.
    """

    letter: str
    name: str
    count: int
    on_at: dt.datetime
    share: float
    ready: float
    wait_h: float | None
    softness: str


@dataclass(frozen=True)
class HandInPlan:
    """One hand-in.

    Attributes
    ----------
    name : str
    at : datetime
    wanted, cooked : int
        How many are handed in, and how many are cooked for it.
    pieces : tuple of HandInPiece
    shares : tuple of float
        Share of days on which enough are fit, with the first piece alone, with the first two, and so on.
    picked : tuple of str
    why, photo : str
    comments : tuple of str
    number : str
        Afterwards, as the cook wrote it.
    """

    name: str
    at: dt.datetime
    wanted: int
    cooked: int
    pieces: tuple[HandInPiece, ...]
    shares: tuple[float, ...]
    picked: tuple[str, ...]
    why: str
    photo: str
    comments: tuple[str, ...]
    number: str

    @property
    def share(self) -> float:
        """Share of days on which enough are fit."""
        return self.shares[-1]


@dataclass(frozen=True)
class ContestPlan:
    """A contest day.

    Attributes
    ----------
    cook, title, date
    opens : datetime or None
        No fire is lit before.
    hand_ins : tuple of HandInPlan
        In order.
    all_share : float
        Share of days on which every hand-in has enough that is fit.
    starts : mapping of str to str
        Meat on as found, as settings; empty once they stand in ``cook.toml``.
    warnings : tuple of CookWarning
    """

    cook: str
    title: str
    date: dt.date
    opens: dt.datetime | None
    hand_ins: tuple[HandInPlan, ...]
    all_share: float
    starts: Mapping[str, str]
    warnings: tuple[CookWarning, ...]


def contest_plan(record: CookRecord, *, made_at: dt.datetime) -> tuple[ContestPlan, Result]:
    """Plan a contest day.

    Pieces without a start of their own go on so that on as many days as can be one of those of a
    hand-in is fit at its minute: apart from each other, so that there is something to pick.

    Parameters
    ----------
    record : CookRecord
        With ``[contest]`` in its ``cook.toml``.
    made_at : datetime
        Moment of the asking, aware.

    Raises
    ------
    InputError
        It is no contest.
    """
    contest = record.cook.contest
    if contest is None:
        raise InputError(
            f"{record.name} is no contest day",
            "[contest] in its cook.toml, with [[contest.hand_ins]]: name, at and pieces",
        )
    asked = question(record, made_at=made_at)
    seen = foresee(asked)
    opens = _at(asked, contest.opens) if contest.opens else None
    starts = _starts(asked, seen, contest, opens)
    if starts:
        asked = question(record, made_at=made_at, changes=starts)
        seen = foresee(asked)
    result = answer(record, made_at=made_at, changes=starts)
    hand_ins = tuple(
        sorted(
            (_planned(asked, seen, one, result) for one in contest.hand_ins), key=lambda one: one.at
        )
    )
    early = tuple(_too_soon(asked, seen, contest, opens, hand_ins))
    named = {
        one.name
        for one in hand_ins
        if any(said.text.startswith(f"{one.name} at") for said in early)
    }
    warnings = (
        *early,
        *_unsure(hand_ins, record.cook.odds, named),
        *(one for one in result.warnings if one.key != "at-risk"),
        *enough_people(record, result, made_at=made_at, changes=starts),
    )
    plan = ContestPlan(
        record.name,
        record.cook.title,
        record.cook.date,
        opens,
        hand_ins,
        _all_share(asked, seen, contest),
        starts,
        warnings,
    )
    return plan, result


def _at(asked: Asked, clock: str) -> dt.datetime:
    return clocks.moment(clock, asked.cook.date, asked.zone).astimezone(asked.zone)


def _earliest_on(asked: Asked, seen: Foreseen, letter: str, opens: dt.datetime) -> dt.datetime:
    """When a piece can go on at the earliest: its fire is lit when the day opens."""
    planned = next(one for one in seen.planned if one.piece.letter == letter)
    pit = seen.pits[planned.piece.pit] if planned.piece.pit else next(iter(seen.pits.values()))
    names = {each.letter: each.name for each in seen.pits.values()}
    start_s = start_up_s(pit.letter, pit_start_s(asked, seen.pits), names)
    return opens + dt.timedelta(seconds=np.ceil(start_s / _FIVE_S) * _FIVE_S)


def _starts(
    asked: Asked, seen: Foreseen, contest: Contest, opens: dt.datetime | None
) -> dict[str, str]:
    """Meat on of every piece that is handed in and has no start of its own, as settings."""
    free = {piece.letter for piece in asked.cook.pieces if not piece.on}
    found = {}
    for one in contest.hand_ins:
        letters = [letter for letter in one.pieces if letter in free]
        if not letters:
            continue
        at = _at(asked, one.at)
        longest_s = np.inf
        if opens is not None:
            earliest = max(_earliest_on(asked, seen, letter, opens) for letter in letters)
            longest_s = max((at - earliest).total_seconds(), 0.0)
        weights = seen.forecast.pieces[letters[0]].weights
        best = best_starts(
            [fit_span(seen, letter) for letter in letters], weights, longest_s=longest_s
        )
        for letter, before_s in zip(letters, best.before_s, strict=True):
            on = (at - dt.timedelta(seconds=before_s)).astimezone(asked.zone)
            found[f"on__{letter}"] = f"{on:%Y-%m-%d %H:%M}"
    return found


def _planned(asked: Asked, seen: Foreseen, one: HandIn, result: Result) -> HandInPlan:
    at = _at(asked, one.at)
    spans = {letter: fit_span(seen, letter) for letter in one.pieces}
    counts = {piece.letter: piece.count for piece in asked.cook.pieces}
    weights = seen.forecast.pieces[one.pieces[0]].weights
    ahead = {letter: (at - seen.on[letter]).total_seconds() for letter in one.pieces}
    fit = _fit(asked, seen, one)
    shares = [
        float(np.sum(weights[sum(fit[letter] for letter in one.pieces[:many]) >= one.wanted]))
        for many in range(1, len(one.pieces) + 1)
    ]
    told = {piece.piece: piece for piece in result.pieces}
    softest = {planned.piece.letter for planned in seen.planned if is_softest(planned)}
    pieces = tuple(
        HandInPiece(
            letter,
            told[letter].name,
            counts[letter],
            seen.on[letter].astimezone(asked.zone),
            float(np.sum(weights[fit[letter] > 0])),
            float(np.sum(weights[spans[letter].since_s <= ahead[letter]])),
            held.wait_h.p50 if (held := told[letter].serving) else None,
            held.past_words if held and letter not in softest else "",
        )
        for letter in one.pieces
    )
    number = f"{one.number.name}: {one.number.value:g}" if one.number else ""
    if one.number and one.number.out_of:
        number += f" of {one.number.out_of:g}"
    return HandInPlan(
        one.name, at, one.wanted, sum(counts[letter] for letter in one.pieces), pieces, tuple(shares),
        tuple(one.picked), one.why or "", one.photo or "", tuple(one.comments), number,
    )  # fmt: skip


def _fit(asked: Asked, seen: Foreseen, one: HandIn) -> dict[str, NDArray[np.int64]]:
    """How many of each piece of a hand-in are fit at its minute, by possible day."""
    at = _at(asked, one.at)
    counts = {piece.letter: piece.count for piece in asked.cook.pieces}
    found = {}
    for letter in one.pieces:
        span, ahead_s = fit_span(seen, letter), (at - seen.on[letter]).total_seconds()
        there = (span.since_s <= ahead_s) & (ahead_s < span.until_s)
        found[letter] = there.astype(np.int64) * counts[letter]
    return found


def _all_share(asked: Asked, seen: Foreseen, contest: Contest) -> float:
    """Share of days on which every hand-in has enough."""
    enough = [
        np.sum(list(_fit(asked, seen, one).values()), axis=0) >= one.wanted
        for one in contest.hand_ins
    ]
    weights = seen.forecast.pieces[contest.hand_ins[0].pieces[0]].weights
    return float(np.sum(weights[np.logical_and.reduce(enough)]))


def _too_soon(
    asked: Asked,
    seen: Foreseen,
    contest: Contest,
    opens: dt.datetime | None,
    hand_ins: tuple[HandInPlan, ...],
) -> Iterator[CookWarning]:
    """Say which hand-in comes before its pieces can be ready, and the earliest that they can."""
    grace = units.parse("duration", contest.grace, key="grace") if contest.grace else 0.0
    wanted, odds = ODDS[asked.cook.odds], asked.cook.odds
    if opens is None:
        return
    for one in hand_ins:
        soonest = [_soonest(asked, seen, piece.letter, opens, wanted) for piece in one.pieces]
        first = min((at for at in soonest if at is not None), default=None)
        if one.share >= wanted or (first is not None and first <= one.at):
            continue
        told = (
            f"{one.name} at {one.at:%H:%M} comes before the cook can finish: with no fire before {opens:%H:%M} "
            f"it is ready {odds_text(max(piece.ready for piece in one.pieces))}."
        )
        smaller = "a smaller or thinner piece, a hotter pit, or foil earlier"
        if first is None:
            way = f"No time that day works: {smaller}."
        elif (first - one.at).total_seconds() <= grace:
            way = f"{first:%H:%M} works ({odds}), within what is still taken late."
        else:
            way = f"The earliest that works ({odds}) is {first:%H:%M}; for {one.at:%H:%M} take {smaller}."
        yield CookWarning("hand-in-early", f"{told} {way}")


def _soonest(
    asked: Asked, seen: Foreseen, letter: str, opens: dt.datetime, wanted: float
) -> dt.datetime | None:
    """When a piece is ready at these odds if it goes on as early as can be; None where it is not that day."""
    weights = seen.forecast.pieces[letter].weights
    need_s = float(quantiles(fit_span(seen, letter).since_s, (wanted,), weights)[0])
    if not np.isfinite(need_s):
        return None
    after = dt.timedelta(seconds=float(np.ceil(need_s / _FIVE_S)) * _FIVE_S)
    return (_earliest_on(asked, seen, letter, opens) + after).astimezone(asked.zone)


def _unsure(hand_ins: tuple[HandInPlan, ...], odds: str, early: set[str]) -> Iterator[CookWarning]:
    """Say which hand-in is less sure than was asked for though its pieces can be ready."""
    for one in hand_ins:
        if one.share >= ODDS[odds] or one.name in early:
            continue
        many = joined([piece.letter for piece in one.pieces], "and")
        yield CookWarning(
            "hand-in-unsure",
            f"{one.name} at {one.at:%H:%M} from {many} is as wanted {odds_text(one.share)}, and you asked for "
            f"{odds_text(ODDS[odds])} ({odds}): one more piece on another start, or a place to hold it that "
            "keeps it hot without cooking on.",
        )
