"""Readings as a cook reads them: one table of what was understood, and what is asked with its answers."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from stallwise.joins.tables import Table
from stallwise.record.readings import Channel, Readings
from stallwise.record.readingsreport import ReadingsReport, channel_of, left_out_words

__all__ = ["LABELS", "Asked", "Offer", "asked", "in_boxes", "there_table", "understood_table"]

_HEADER = ("column", "measures", "unit", "readings", "first", "last", "gaps", "left out")


@dataclass(frozen=True)
class Offer:
    """One answer that a question offers.

    Attributes
    ----------
    key : str
        Which text of `stallwise.joins.log.readinganswers.Said` it is.
    value : str
        What it says; of a column, ``name=what``.
    words : str
        For a button.
    """

    key: str
    value: str
    words: str


@dataclass(frozen=True)
class Asked:
    """A question in the words of boxes, and the answers it offers."""

    words: str
    offers: tuple[Offer, ...]


def understood_table(report: ReadingsReport) -> Table:
    """Lay out what was understood of a file, a row a column: what a dry run says."""
    rows = tuple(_row(channel, report.shown_in) for channel in report.channels)
    return Table(f"What was understood of {report.file}", _HEADER, rows)


def there_table(readings: Iterable[Readings], where: ZoneInfo) -> Table:
    """Lay out the readings that a cook has, each with the file it came in.

    Parameters
    ----------
    readings : iterable of Readings
    where : ZoneInfo
        In which times are shown.
    """
    rows = tuple(
        (*_row(channel_of(one, "C"), where)[:2], *_row(channel_of(one, "C"), where)[3:], _file(one))
        for one in readings
    )
    return Table("Readings of this cook", (*_HEADER[:2], *_HEADER[3:], "kept in"), rows)


def asked(question: str) -> Asked:
    """Put a question of an import in the words of boxes: what is an option there is a button here.

    Examples
    --------
    >>> asked("Is 'pit' (225) in C or F? Say --unit C or --unit F").words
    "Is 'pit' (225) in C or F? Say “°C” or “°F”"
    """
    offers: dict[tuple[str, str], Offer] = {}
    for match in _OPTION.finditer(question):
        offer = _offer(match)
        if offer:
            offers.setdefault((offer.key, offer.value), offer)
    return Asked(in_boxes(question), tuple(offers.values()))


def in_boxes(text: str) -> str:
    """Put words that name options of the command line in the words of boxes."""
    return _OPTION.sub(_spoken, text)


_OPTION = re.compile(
    r"--(?P<name>[a-z][a-z-]+[a-z])(?:[ ](?P<value>'[^']*(?:'(?=[^\s,.;:?)])[^']*)*'|[A-Z0-9][\w/+:-]*|skip|merge|replace))?"
)
#: Texts that stand for any value: they name the box and are no answer.
_ANY = re.compile(r"TIME|NAME|VALUE|YYYY|^$")

#: By option: the key of the answer, its words with a value, and the label of its box.
_SPOKEN: Mapping[str, tuple[str, str]] = {
    "unit": ("unit", "°{}"),
    "zone": ("zone", "time zone {}"),
    "clock": ("clock", "a clock of {} h"),
    "start": ("start", "first reading at {}"),
    "shift": ("shift", "all times {}"),
    "every": ("every", "rows {} apart"),
    "overlap": ("overlap", "{}"),
    "column": ("column", "{}"),
    "rows": ("rows", "rows {}"),
}
#: Labels of the boxes, by the key of what is said in them.
LABELS: Mapping[str, str] = {
    "unit": "Unit, where the file names none",
    "zone": "Time zone of the file",
    "dates": "Dates are written",
    "clock": "Clock times are of",
    "start": "First reading at",
    "shift": "Move all times",
    "every": "From row to row",
    "overlap": "Over earlier readings",
    "rows": "Only rows with",
    "column": "what it measures",
}
_FLAGS: Mapping[str, tuple[str, str, str]] = {
    "day-first": ("dates", "day first", "day first"),
    "month-first": ("dates", "month first", "month first"),
}
_WORDS: Mapping[tuple[str, str], str] = {("shift", "0"): "the clock was right"}


def _offer(match: re.Match[str]) -> Offer | None:
    name, value = match["name"], (match["value"] or "").strip("'")
    if name in _FLAGS:
        return Offer(*_FLAGS[name])
    if name not in _SPOKEN or _ANY.search(value):
        return None
    return Offer(_SPOKEN[name][0], value, _with(name, value))


def _spoken(match: re.Match[str]) -> str:
    name, value = match["name"], (match["value"] or "").strip("'")
    if name in _FLAGS:
        return f"“{_FLAGS[name][2]}”"
    if name not in _SPOKEN:
        return f"`stallwise readings --{name}`"
    if _ANY.search(value):
        box = f"“{LABELS[_SPOKEN[name][0]]}”"
        return f"in the box {box}" if value else box
    return f"“{_with(name, value)}”"


def _with(name: str, value: str) -> str:
    if (name, value) in _WORDS:
        return _WORDS[name, value]
    if name == "column":
        column, _, what = value.rpartition("=")
        return f"{column} is {_WHAT.get(what, what)}"
    return _SPOKEN[name][1].format(value)


_WHAT: Mapping[str, str] = {
    "skip": "not read", "time": "the time", "minutes": "minutes", "hours": "hours",
    "seconds": "seconds",
}  # fmt: skip


def _row(channel: Channel, where: ZoneInfo) -> tuple[str, ...]:
    first, last = (
        (_clock(channel.at[0], where), _clock(channel.at[-1], where)) if channel.at else ("", "")
    )
    gaps = [
        f"{(end - start).total_seconds() / 60:.0f} min from {start.astimezone(where):%H:%M}"
        for start, end in channel.gaps
    ]
    return (
        channel.name,
        _measures(channel),
        _unit(channel),
        str(len(channel.at)),
        first,
        last,
        "; ".join(_some(gaps)),
        "; ".join(left_out_words(channel.dropped, where)),
    )


def _some(words: Sequence[str], most: int = 4) -> list[str]:
    return [*words[:most], *([f"and {len(words) - most} more"] if len(words) > most else [])]


def _clock(when: dt.datetime, where: ZoneInfo) -> str:
    local = when.astimezone(where)
    return f"{local.day} {local:%b %H:%M}".replace(" ", "\N{NO-BREAK SPACE}")


def _measures(channel: Channel) -> str:
    said = (
        f"piece {channel.piece}"
        if channel.piece
        else f"pit {channel.pit}" if channel.pit else "asked"
    )  # fmt: skip
    return f"{said}, {channel.place}" if channel.place else said


def _unit(channel: Channel) -> str:
    if channel.unit:
        return f"°{channel.unit}"
    return f"asked, like\N{NO-BREAK SPACE}°{channel.guess}" if channel.guess else "asked"


def _file(one: Readings) -> str:
    return one.file.rpartition("/")[2]
