"""Limits for people: what was missed, runs or asks in full, the rest in one line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from stallwise.joins import words
from stallwise.joins.limit.limitresult import EstimateResult, LimitResult
from stallwise.joins.tables import Table

__all__ = [
    "APART",
    "DEFERS",
    "Limited",
    "Of",
    "Told",
    "estimate_lines",
    "folded",
    "headline",
    "limit_table",
    "open_limits",
    "questions",
    "told",
]

#: What stands with every rule that is shown.
DEFERS = "Your local code and the label come first. What was not measured is not known."
#: What stands with every estimate.
APART = "Estimates by models; they meet no limit"

_STATES = {
    "running": "running",
    "met": "met by the readings",
    "missed": "missed",
    "unknown": "not known",
}
_ORDER = ("missed", "running", "unknown", "met")
_ANSWER = " To answer, "


class Limited(Protocol):
    """What limits are told from: a Result, or the limits of a cook alone."""

    @property
    def date(self) -> dt.date:
        """Date of the cook."""

    @property
    def pieces(self) -> Sequence[object]:
        """Its pieces."""

    @property
    def limits(self) -> Sequence[LimitResult]:
        """Its limits."""

    @property
    def estimates(self) -> Sequence[EstimateResult]:
        """What stands beside them."""


@dataclass(frozen=True)
class Of:
    """One limit of one piece: until when it runs, what was seen, what is asked."""

    letter: str
    until: str
    seen: str
    asked: tuple[str, ...]

    @property
    def text(self) -> str:
        """What was seen, then until when it runs, then what is asked."""
        runs = f"Runs until {self.until}." if self.until else ""
        return " ".join(filter(None, [self.seen, runs, *self.asked]))


@dataclass(frozen=True)
class Told:
    """A rule as it is told: its state, and every piece that is in it."""

    limit: LimitResult
    of: tuple[Of, ...]

    @property
    def letters(self) -> tuple[str, ...]:
        """Letters of its pieces."""
        return tuple(filter(None, dict.fromkeys(one.letter for one in self.of)))

    @property
    def said(self) -> tuple[str, ...]:
        """What is said of its pieces, once where it is the same of several."""
        alike: dict[str, list[str]] = {}
        for one in self.of:
            if one.text:
                alike.setdefault(one.text, []).append(one.letter)
        whose = {text: words.joined([*filter(None, some)]) for text, some in alike.items()}
        return tuple(f"{some}: {text}" if some else text for text, some in whose.items())

    @property
    def head(self) -> str:
        """What it is, its state, and whose."""
        whose = f" ({', '.join(self.letters)})" if self.letters else ""
        name = self.limit.name
        return f"{name[:1].upper()}{name[1:]}: {_STATES[self.limit.state]}{whose}"

    @property
    def rule(self) -> str:
        """Where the rule stands, whom it was written for, and how it was read."""
        return f"{self.limit.rule}; for {self.limit.applies}; {self.limit.grade}."


def open_limits(result: Limited) -> tuple[LimitResult, ...]:
    """Limits that were missed, run or ask, the most pressing first."""
    found = [one for one in result.limits if one.state != "met"]
    return tuple(sorted(found, key=lambda one: _ORDER.index(one.state)))


def told(result: Limited, limits: Iterable[LimitResult]) -> tuple[Told, ...]:
    """Tell limits, pieces that stand in the same state of the same rule together.

    Parameters
    ----------
    result : Result or Limited
        The cook.
    limits : iterable of LimitResult
        In the order in which they are told.
    """
    found: dict[tuple[str, ...], list[LimitResult]] = {}
    for one in limits:
        found.setdefault((one.limit, one.state, one.says, one.rule), []).append(one)
    return tuple(Told(some[0], tuple(_of(one, result) for one in some)) for some in found.values())


def _of(one: LimitResult, result: Limited) -> Of:
    until = "" if one.until is None else words.day_clock(one.until, result.date)
    asked = tuple(need.partition(_ANSWER)[0] for need in one.needs)
    return Of(one.piece, until, " ".join(one.facts), asked)


def headline(result: Limited) -> str:
    """Count limits by state in one sentence."""
    if not result.limits:
        return "No limit runs or asks yet."
    counts = [
        f"{sum(one.state == state for one in result.limits)} {_STATES[state]}"
        for state in _ORDER
        if any(one.state == state for one in result.limits)
    ]
    many = len(result.limits)
    return f"{many} limit{'s' if many > 1 else ''}: {words.joined(counts)}."


def folded(result: Limited) -> str:
    """Say the limits that were met in one line; empty where there are none."""
    met: dict[str, list[str]] = {}
    for one in result.limits:
        if one.state == "met":
            met.setdefault(one.name, []).append(one.piece)
    whose = {name: ", ".join(filter(None, dict.fromkeys(of))) for name, of in met.items()}
    parts = [f"{name} ({letters})" if letters else name for name, letters in whose.items()]
    return f"Met by the readings: {words.joined(parts)}." if parts else ""


def questions(limits: Iterable[LimitResult]) -> tuple[str, ...]:
    """Every open question once, with how to answer, in the order of the limits."""
    return tuple(dict.fromkeys(need for one in limits for need in one.needs))


def limit_table(result: Limited, limits: Sequence[LimitResult] | None = None) -> Table:
    """Lay limits out, the open ones when none are given.

    Parameters
    ----------
    result : Result or Limited
        The cook.
    limits : sequence of LimitResult, optional
        Which ones.
    """
    shown = told(result, open_limits(result) if limits is None else limits)
    rows = tuple(
        (
            one.letter,
            each.limit.name,
            _STATES[each.limit.state],
            one.until,
            " ".join([one.seen, *one.asked]).strip(),
            f"{each.limit.says} {each.rule}" if number == 0 else "as above",
        )
        for each in shown
        for number, one in enumerate(each.of)
    )
    return Table(
        "Limits that run or ask", ("of", "limit", "state", "until", "seen", "rule"), rows, "limits"
    )


def estimate_lines(result: Limited) -> tuple[str, ...]:
    """Estimates, each with its letter where there are several pieces."""
    many = len(result.pieces) > 1
    return tuple(
        f"{one.piece}: {one.text}" if many and one.piece else one.text for one in result.estimates
    )
