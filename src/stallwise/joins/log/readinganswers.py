"""What a cook says of a file of readings, as text from an option or a box, and who asks about its clock."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, cast

from stallwise.ground.errors import InputError
from stallwise.ground.units import parse_duration_s
from stallwise.joins.timing import seen
from stallwise.record.clocks import moment
from stallwise.record.following import Follow, followed
from stallwise.record.frame import Answers
from stallwise.record.overlap import WAYS, Way

if TYPE_CHECKING:
    from pathlib import Path

    from stallwise.record.cookfolder import CookFolder
    from stallwise.record.readings import Channel

__all__ = ["Said", "clock_asker", "said_before", "shift_s"]


@dataclass(frozen=True)
class Said:
    """What was said of a file, as typed; empty where nothing was.

    Attributes
    ----------
    unit : str
        ``C`` or ``F``, of the columns that name none.
    zone : str
        IANA name of the zone that the file's clock kept.
    dates : str
        ``day first`` or ``month first``.
    clock : str
        ``12`` or ``24``.
    start : str
        Clock time of the first reading.
    shift : str
        How far all times move: ``1 h earlier``, ``35 min later``, ``0``.
    every : str
        How far apart the rows are, in a file without times.
    overlap : str
        ``skip``, ``merge`` or ``replace``.
    columns, rows : mapping of str to str
        As `stallwise.record.frame.Answers` takes them.
    """

    unit: str = ""
    zone: str = ""
    dates: str = ""
    clock: str = ""
    start: str = ""
    shift: str = ""
    every: str = ""
    overlap: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    rows: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, plain: Mapping[str, Any]) -> Said:
        """Take what was kept with readings that were followed; what is not known is passed over."""
        known = {key: value for key, value in plain.items() if key in cls.__dataclass_fields__}
        return cls(**known)

    @property
    def plain(self) -> dict[str, Any]:
        """What was said, to be kept; nothing of what was not."""
        found = {key: getattr(self, key) for key in self.__dataclass_fields__}
        return {
            key: dict(value) if isinstance(value, Mapping) else value
            for key, value in found.items()
            if value
        }

    @property
    def over(self) -> Way | None:
        """What to do with readings that lie over earlier ones."""
        return cast("Way | None", _one_of("overlap", self.overlap, WAYS))

    def answers(self, folder: CookFolder) -> Answers:
        """Read the texts for a cook, whose day and zone clock times are of.

        Raises
        ------
        InputError
            A text that says nothing of the kind.
        """
        dates = _one_of("dates", self.dates, ("day first", "month first"))
        cook = folder.read()
        start = moment(self.start, cook.date, folder.home.zone_of(cook)) if self.start else None
        clock = _one_of("clock", self.clock, ("12", "24"))
        return Answers(
            unit=_one_of("unit", self.unit, ("C", "F")),
            day_first=None if dates is None else dates == "day first",
            hours=cast("Literal[12, 24] | None", clock and int(clock)),
            start=start,
            shift_s=shift_s(self.shift) if self.shift else None,
            every_s=parse_duration_s(self.every, key="--every") if self.every else None,
            columns=self.columns,
            rows=self.rows,
        )

    def follow(self, folder: CookFolder, path: Path) -> Follow:
        """Follow a file that was answered for so."""
        return Follow(
            folder, path, self.answers(folder), zone=self.zone or None, over=self.over,
            ask=self.asks(folder), said=self.plain,
        )  # fmt: skip

    def asks(self, folder: CookFolder) -> Callable[[Sequence[Channel]], Sequence[str]] | None:
        """Who asks about the file's clock; nobody where the cook has answered for it."""
        return None if self.shift or self.start else clock_asker(folder)


def said_before(folder: CookFolder, file: str) -> Said:
    """Take what was said of a file when it was followed last; nothing where it was not."""
    before = followed(folder, file)
    return Said.of(before[-1][1].get("said", {})) if before else Said()


def shift_s(text: str) -> float:
    """How far all times move [s]: ``1 h earlier``, ``-1 h``, ``35 min later``, ``0``.

    Raises
    ------
    InputError
        It does not say which way.

    Examples
    --------
    >>> shift_s("1 h earlier")
    -3600.0
    """
    match = re.fullmatch(
        r"\s*(?P<sign>[-+\u2212]?)\s*(?P<span>.*?)\s*(?P<way>earlier|later)?\s*", text
    )
    span, sign, way = (match["span"], match["sign"], match["way"]) if match else ("", "", None)
    if span == "0":
        return 0.0
    if not span or not (sign or way) or (sign and way):
        raise InputError(
            f"--shift {text!r} does not say which way", "'1 h earlier', '35 min later', or 0"
        )
    back = way == "earlier" or sign in {"-", "\u2212"}
    return parse_duration_s(span, key="--shift") * (-1.0 if back else 1.0)


def clock_asker(folder: CookFolder) -> Callable[[Sequence[Channel]], Sequence[str]]:
    """Who asks about a clock that does not go with the cook's log, or with another file."""

    def ask(channels: Sequence[Channel]) -> Sequence[str]:
        from stallwise.joins.learn.probeclock import clock_questions

        record = folder.load()
        lines = seen(record, None)
        return clock_questions(record.cook, lines, channels, record.readings, zone=record.zone)

    return ask


def _one_of(what: str, said: str, allowed: Sequence[str]) -> Any:
    if said and said not in allowed:
        raise InputError(f"{what} {said!r}", ", ".join(allowed))
    return said or None
