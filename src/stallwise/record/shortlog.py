"""Short lines with a time and names before the numbers: ``13:05 pit 250 meat 145 spritzed``."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["ShortLog", "read"]

_START = re.compile(
    r"\s*(?P<date>\d{4}-\d{2}-\d{2}[ T]|\d{1,2}[/.]\d{1,2}[/.]\d{2,4},?\s+)?"
    r"(?:(?P<clock>\+?\d{1,2}[:.]\d{2}(?::\d{2})?|[0-2]\d[0-5]\d(?=\s)|\d{1,2}(?=\s*[AaPp]\.?[Mm]))"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?(?![A-Za-z]))?)[\s,;:-]+(?=\D)",
)
_PAIR = re.compile(
    r"(?P<name>[^\W\d_][^\d,;:=|\t]{0,40}?) *(?:[:=]| |\bat\b|\bis\b) *"
    r"(?P<value>[-+\u2212]?\d+(?:[.,]\d+)?)(?![\d:/])\s*(?P<unit>(?:°|º|deg)?\s*[CF]\b)?",
    re.IGNORECASE,
)
#: Share of the lines in which a name must come to be a probe's.
_OFTEN = 0.2


@dataclass(frozen=True)
class ShortLog:
    """Columns of such lines; the first is the times."""

    names: tuple[str, ...]
    columns: tuple[tuple[str, ...], ...]
    decimal_comma: bool
    notes: tuple[str, ...]


def read(lines: Sequence[str]) -> ShortLog | None:
    """Read short lines, or nothing when the lines are a table.

    Parameters
    ----------
    lines : sequence of str
        Not empty. Each starts with its time; numbers have their probe's name before them.
    """
    sample = lines[:200]
    if not sample:
        return None
    if sum(1 for line in sample if _is_short(line)) * 5 < len(sample) * 3:
        return _without_times(lines)
    rows, others = [], 0
    for line in lines:
        start = _START.match(line)
        pairs = list(_PAIR.finditer(line, start.end())) if start else []
        rows += [(_time(start), pairs)] if start else []
        others += not start
    counts = Counter(_name(pair) for _, pairs in rows for pair in pairs)
    least = max(2.0, _OFTEN * len(rows)) if len(rows) > 1 else 1.0
    names = tuple(name for name, count in counts.items() if count >= least)
    if not names:
        return None
    cells = [{_name(pair): _value(pair) for pair in pairs} for _, pairs in rows]
    columns = tuple(tuple(row.get(name, "") for row in cells) for name in names)
    times = tuple(time for time, _ in rows)
    elapsed = all(time.startswith("+") for time in times)
    notes = ["Read as short lines: a time, then names with their numbers"]
    rare = [name for name in counts if name not in names]
    if rare:
        shown = ", ".join(map(repr, rare[:5]))
        notes.append(f"Numbers after {shown} come too seldom to be a probe's and are not read")
    if others:
        notes.append(f"{others} of {len(lines)} lines do not start with a time and are not read")
    comma = any("," in cell for column in columns for cell in column)
    header = "elapsed" if elapsed else "time"
    return ShortLog((header, *names), (times, *columns), comma, tuple(notes))


def _without_times(lines: Sequence[str]) -> ShortLog | None:
    """Read lines of names and numbers only, each of the same names."""
    rows = [list(_PAIR.finditer(line)) for line in lines[:50]]
    names = tuple(_name(pair) for pair in rows[0])
    if len(lines) < 3 or not names or len(set(names)) < len(names):
        return None
    if any(tuple(map(_name, row)) != names or row[0].start() for row in rows):
        return None
    rows = [list(_PAIR.finditer(line)) for line in lines]
    even = [[_value(pair) for pair in row] for row in rows if tuple(map(_name, row)) == names]
    notes = ["Read as lines of names with their numbers"]
    if len(even) < len(rows):
        notes.append(
            f"{len(rows) - len(even)} of {len(rows)} lines are of another form and not read"
        )
    columns = tuple(zip(*even, strict=True))
    return ShortLog(names, columns, any("," in cell for cell in columns[0]), tuple(notes))


def _is_short(line: str) -> bool:
    start = _START.match(line)
    return bool(start and _PAIR.search(line, start.end()))


def _time(start: re.Match[str]) -> str:
    clock = start["clock"].replace(".", ":")
    if clock.isdigit() and len(clock) == 4:
        clock = f"{clock[:2]}:{clock[2:]}"
    date = (start["date"] or "").strip(" ,T")
    return " ".join(part for part in (date, clock, start["half"] or "") if part)


def _name(pair: re.Match[str]) -> str:
    words = re.sub(r"\b(at|is|was|now|and)\b", " ", pair["name"]).split()
    return " ".join(words[-2:]) or pair["name"].strip()


def _value(pair: re.Match[str]) -> str:
    return pair["value"] + (pair["unit"] or "").strip()
