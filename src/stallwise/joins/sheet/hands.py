"""Hands and places: who is free when, so that nobody is in two places at once."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from stallwise.ground import assets
from stallwise.joins.sheet.stepdraft import after

__all__ = ["Bench", "hands_s"]

Span = tuple[dt.datetime, dt.datetime]

#: Work that can be moved is tried at every five minutes, this long back.
_STEP_S, _BACK_S = 300.0, 4 * 86_400.0


@cache
def _rows() -> Mapping[str, tuple[float, bool]]:
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "hands.csv")))
    return {row["key"]: (float(row["usual"]) * 60.0, row["unit"].endswith("each")) for row in rows}


def hands_s(kind: str, count: int = 1) -> float:
    """How long a kind of step binds somebody [s]; 0 for one that nobody stands at.

    Parameters
    ----------
    kind : str
        Key of ``data/steps.csv``.
    count : int, optional
        Alike pieces that it is done to.
    """
    usual_s, each = _rows().get(kind, (0.0, False))
    return usual_s * (count if each else 1)


@dataclass
class Bench:
    """Who and what is taken when; it fills up as work is laid on it.

    Attributes
    ----------
    people : int or None
        How many have their hands free; None where nobody counted.
    places : mapping of str to int
        How many jobs a place takes at once; one where it is not said.
    """

    people: int | None
    places: Mapping[str, int]
    _busy: dict[str, list[Span]] = field(default_factory=lambda: defaultdict(list))

    def free(self, begin: dt.datetime, length_s: float) -> str | None:
        """Person who is free all that time; empty where nobody counted, None where nobody is."""
        if self.people is None or length_s <= 0.0:
            return ""
        names = (str(number) for number in range(1, self.people + 1))
        return next((name for name in names if self._open(name, begin, length_s)), None)

    def book(self, who: str, begin: dt.datetime, length_s: float) -> None:
        """Take a person, or a place, from `begin` on."""
        if who:
            self._busy[who].append((begin, after(begin, length_s)))

    def latest(
        self,
        by: dt.datetime,
        length_s: float,
        bound_s: float,
        place: str = "",
        *,
        since: dt.datetime | None = None,
    ) -> tuple[dt.datetime, str] | None:
        """Latest begin of work that is over at `by`, with somebody's hands and the place free.

        Parameters
        ----------
        by : datetime
        length_s, bound_s : float
            How long it takes, and how long from its begin somebody is bound [s].
        place : str, optional
            Where it stands meanwhile.
        since : datetime, optional
            It cannot begin before; the default is four days back.

        Returns
        -------
        (datetime, str) or None
            None where nobody is free.
        """
        begin = after(by, -length_s)
        first = after(by, -length_s - _BACK_S) if since is None else since
        while begin >= first:
            if (who := self._taken(begin, length_s, bound_s, place)) is not None:
                return begin, who
            begin = after(begin, -_STEP_S)
        return None

    def earliest(
        self, since: dt.datetime, length_s: float, bound_s: float, place: str = ""
    ) -> tuple[dt.datetime, str] | None:
        """Earliest begin of work from `since` on; see `latest`."""
        for tried in range(int(_BACK_S / _STEP_S)):
            begin = after(since, tried * _STEP_S)
            if (who := self._taken(begin, length_s, bound_s, place)) is not None:
                return begin, who
        return None

    def _taken(self, begin: dt.datetime, length_s: float, bound_s: float, place: str) -> str | None:
        """Book work there; None where somebody or the place is not free."""
        where, who = self._room(place, begin, length_s), self.free(begin, bound_s)
        if who is None or where is None:
            return None
        self.book(who, begin, bound_s)
        self.book(where, begin, length_s)
        return who

    def _room(self, place: str, begin: dt.datetime, length_s: float) -> str | None:
        if not place:
            return ""
        names = (f"{place} {number}" for number in range(1, self.places.get(place, 1) + 1))
        return next((name for name in names if self._open(name, begin, length_s)), None)

    def _open(self, name: str, begin: dt.datetime, length_s: float) -> bool:
        end = after(begin, length_s)
        return all(end <= low or high <= begin for low, high in self._busy[name])
