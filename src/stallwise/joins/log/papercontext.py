"""What must be known of a cook to read its short lines."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from stallwise.joins.log.lineidentity import known_lines, withdrawn_ids
from stallwise.joins.log.logbook import numbered
from stallwise.joins.timing import logged_on, planned_on, serve_at
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine, effective

_QUICK = ("rib", "chicken", "turkey", "duck", "goose")

__all__ = ["PaperContext", "paper_context"]


@dataclass(frozen=True)
class PaperContext:
    """What must be known of a cook to read its short lines.

    Attributes
    ----------
    date : date
        The cook's date.
    zone : ZoneInfo
        Its zone.
    pieces, pits : tuple of str
        Letters.
    on : mapping
        When pieces went on, as logged.
    planned_on : mapping
        When they were meant to go on; helps to tell morning from evening, dates nothing.
    served : datetime, optional
        The last serving time.
    reheated : frozenset of str
        Letters of pieces that are chilled before they are served.
    units : {"us", "metric"}
        For a temperature without a unit.
    pit_place : str
        Where the pit's number is read.
    cuts : mapping
        Letter of a piece to its cut, ``pork-spare-ribs``.
    wraps : mapping
        Letter of a piece to the wrap that is planned.
    piece_pits : mapping
        Letter of a piece to that of its pit.
    pit_kinds : mapping
        Letter of a pit to its kind, ``oven``.
    now : datetime, optional
        Nothing happens later than that.
    known : mapping
        Minute, letter, words and ordinal of what is logged, to its id.
    source : str
        What `LogLine.source` becomes.
    log : tuple of LogLine
        What is logged, withdrawals too.
    cook : str
        Name of its folder, for what a command line would say.
    """

    date: dt.date
    zone: ZoneInfo
    pieces: tuple[str, ...]
    pits: tuple[str, ...] = ("P",)
    on: Mapping[str, dt.datetime] = field(default_factory=dict)
    planned_on: Mapping[str, dt.datetime] = field(default_factory=dict)
    served: dt.datetime | None = None
    reheated: frozenset[str] = frozenset()
    units: str = "us"
    pit_place: str = "grate"
    cuts: Mapping[str, str] = field(default_factory=dict)
    wraps: Mapping[str, str] = field(default_factory=dict)
    piece_pits: Mapping[str, str] = field(default_factory=dict)
    pit_kinds: Mapping[str, str] = field(default_factory=dict)
    now: dt.datetime | None = None
    known: Mapping[tuple[str, str, str, int], str] = field(default_factory=dict)
    source: str = "paper"
    log: tuple[LogLine, ...] = ()
    cook: str = "COOK"

    def __post_init__(self) -> None:
        # Sums of clock times are only right in UTC.
        for name in ("on", "planned_on"):
            times = {letter: at.astimezone(dt.UTC) for letter, at in getattr(self, name).items()}
            object.__setattr__(self, name, times)
        for name in ("served", "now"):
            at = getattr(self, name)
            object.__setattr__(self, name, at and at.astimezone(dt.UTC))

    @property
    def hour_zero(self) -> dt.datetime | None:
        """When the first piece went on, as logged."""
        return min(self.on.values()) if self.on else None

    @property
    def letters(self) -> frozenset[str]:
        """Letters of pieces and pits."""
        return frozenset(self.pieces) | frozenset(self.pits)

    @property
    def alike(self) -> bool:
        """Whether all pieces are of one cut, so that one check can speak for all."""
        return len(self.pieces) == 1 or len({self.cuts.get(p) for p in self.pieces}) == 1

    @property
    def logged(self) -> tuple[LogLine, ...]:
        """Log lines that hold."""
        return effective(self.log)

    @property
    def withdrawn(self) -> frozenset[str]:
        """Ids of log lines that were taken back."""
        return withdrawn_ids(self.log)

    def take_back(self, what: str, piece: str) -> str:
        """Command that takes such a line of a piece back."""
        lines = (each for each in numbered(self.log) if each.state == "holds")
        of_it = [e for e in lines if e.line.what == what and e.line.piece in {"", piece}]
        number = str(of_it[0].number) if of_it else "N"
        return f"stallwise log {self.cook} --take-back {number}"

    def longest(self, pieces: Sequence[str] = ()) -> dt.timedelta:
        """Longest that pieces are on before they are eaten: ribs and birds are a day's work."""
        cuts = [self.cuts.get(piece, "") for piece in pieces or self.pieces]
        quick = all(any(name in cut for name in _QUICK) for cut in cuts)
        return dt.timedelta(hours=12 if quick and cuts else 24)

    def with_on(self, on: Mapping[str, dt.datetime]) -> PaperContext:
        """Context in which these pieces went on; what is logged stays."""
        return replace(self, on={**on, **self.on})

    def zone_names(self) -> frozenset[str]:
        """Abbreviations of the zone around the cook's date."""
        noon = dt.datetime.combine(self.date, dt.time(12), self.zone)
        days = (noon + dt.timedelta(days=shift) for shift in (-2, -1, 0, 1, 2))
        return frozenset(name for day in days if (name := day.tzname()))


def paper_context(
    record: CookRecord,
    *,
    now: dt.datetime | None = None,
    source: str = "paper",
    log: Sequence[LogLine] | None = None,
) -> PaperContext:
    """Gather what must be known of a cook to read its short lines.

    Parameters
    ----------
    record : CookRecord
        The cook with its log.
    now : datetime, optional
        Wall clock of the reading, aware.
    source : str
        ``paper``, ``command`` or ``notebook``.
    log : sequence of LogLine, optional
        The whole log with its withdrawals; `record` holds only what is in force.
    """
    cook, zone = record.cook, record.zone
    lines = effective(record.log)
    on, planned, served = {}, _forecast_on(record), []
    for piece in cook.pieces:
        went_on = logged_on(lines, piece)
        if went_on:
            on[piece.letter] = went_on
        plan = planned_on(cook, piece, zone)
        if plan:
            planned[piece.letter] = plan
        serve = serve_at(cook, piece, zone)
        if serve:
            served.append(serve)
    pits = tuple(use.letter for use in cook.pits) or ("P",)
    kinds = {use.letter: record.pits[use.pit].kind for use in cook.pits if use.pit in record.pits}
    return PaperContext(
        date=cook.date, zone=zone, pieces=tuple(p.letter for p in cook.pieces), pits=pits,
        on=on, planned_on=planned, served=max(served) if served else None,
        reheated=frozenset(piece.letter for piece in record.cook.pieces if piece.reheat),
        units=record.book.units,
        pit_place=cook.pits[0].number_at if cook.pits else "grate",
        cuts={p.letter: p.cut for p in cook.pieces},
        wraps={p.letter: p.wrap for p in cook.pieces if p.wrap},
        piece_pits={p.letter: p.pit or pits[0] for p in cook.pieces},
        pit_kinds=kinds, now=now, known=known_lines(lines), source=source,
        log=record.log if log is None else tuple(log), cook=record.name,
    )  # fmt: skip


def _forecast_on(record: CookRecord) -> dict[str, dt.datetime]:
    """When the last kept forecast put the pieces on."""
    if not record.forecasts:
        return {}
    pieces = record.forecasts[-1].get("pieces", {})
    found = {}
    for letter, piece in pieces.items() if isinstance(pieces, Mapping) else ():
        try:
            found[letter] = dt.datetime.fromisoformat(piece["on_at"])
        except (KeyError, TypeError, ValueError):
            continue
    return {letter: at for letter, at in found.items() if at.tzinfo}
