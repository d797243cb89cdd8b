"""Limits for people: what runs, asks or was missed in full, the rest in one line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stallwise.joins import words
from stallwise.joins.limitresult import LimitResult
from stallwise.joins.result import Result
from stallwise.joins.tables import Table

__all__ = [
    "DEFERS",
    "estimate_lines",
    "folded",
    "limit_table",
    "open_limits",
    "questions",
    "state_words",
]

#: What goes before every rule that is shown.
DEFERS = "Your local code and the label come first. What was not measured is not known."

_STATES = {
    "running": "running",
    "met": "met by the readings",
    "missed": "missed",
    "unknown": "not known",
}
_ORDER = ("missed", "running", "unknown", "met")


def state_words(state: str) -> str:
    """State of a limit in a cook's words."""
    return _STATES[state]


def open_limits(result: Result) -> tuple[LimitResult, ...]:
    """Limits that were missed, run or ask, the most pressing first."""
    found = [one for one in result.limits if one.state != "met"]
    return tuple(sorted(found, key=lambda one: (_ORDER.index(one.state), one.piece)))


def folded(result: Result) -> str:
    """Say the limits that were met in one line; empty where there are none."""
    met: dict[str, list[str]] = {}
    for one in result.limits:
        if one.state == "met":
            met.setdefault(one.name, []).append(one.piece)
    parts = [
        f"{name} ({', '.join(dict.fromkeys(letters))})" if any(letters) else name
        for name, letters in met.items()
    ]
    return f"Met by the readings: {words.joined(parts)}." if parts else ""


def questions(limits: Iterable[LimitResult]) -> tuple[str, ...]:
    """Every open question once, in the order of the limits."""
    return tuple(dict.fromkeys(need for one in limits for need in one.needs))


def limit_table(result: Result, limits: Sequence[LimitResult] | None = None) -> Table:
    """Lay limits out, the open ones when none are given.

    Parameters
    ----------
    result : Result
        The cook.
    limits : sequence of LimitResult, optional
        Which ones.
    """
    shown = open_limits(result) if limits is None else limits
    rows = tuple(
        (
            one.piece,
            one.name,
            state_words(one.state),
            "" if one.until is None else words.day_clock(one.until, result.date),
            " ".join(one.facts),
            f"{one.says} {one.rule}{f' ({one.grade})' if one.grade else ''}",
        )
        for one in shown
    )
    return Table(
        "Limits that run or ask", ("of", "limit", "state", "until", "seen", "rule"), rows, "limits"
    )


def estimate_lines(result: Result) -> tuple[str, ...]:
    """Estimates, each with its letter where there are several pieces."""
    many = len(result.pieces) > 1
    return tuple(
        f"{one.piece}: {one.text}" if many and one.piece else one.text for one in result.estimates
    )
