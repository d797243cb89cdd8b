"""One column of a log: its numbers, its unit and what it measures, to a channel in °C."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from stallwise.ground.units import celsius_of_fahrenheit, fahrenheit_of_celsius
from stallwise.record import cleaning
from stallwise.record.cells import numbers
from stallwise.record.channels import Place
from stallwise.record.cleaning import Series
from stallwise.record.frame import Answers, Frame
from stallwise.record.readings import Channel, Dropped
from stallwise.record.sheet import Sheet, bare, unit_of

__all__ = ["Column", "Moved", "fill", "guessed", "read_column", "twins"]

#: Above this [°F] or below that, a file is in Fahrenheit or Celsius: a pit of 105 °C is 220 °F, and
#: nothing that thaws is under 33 °F.
_HOT_F, _COLD_F, _HOTTEST_CORE_C, _NOTHING = 220.0, 33.0, 105.0, 3.0
#: How near [K] a pit's readings must lie to what it was set to.
_SET_NEAR_K = 60.0
#: How far two columns of one probe may differ [°F]: both are rounded to whole degrees.
_TWIN_F = 1.5


@dataclass(frozen=True)
class Column:
    """One column of temperatures as read.

    Attributes
    ----------
    name : str
    cells : tuple of str
        As in the file.
    number : dict of str to float or None
        Of each text that is not blank; None where it is no number.
    place : Place
    own_unit, unit, guess : str
        Named by the file or for this column; with what was said of the whole file; what all
        probes together look like. Empty where not known.
    fine : bool
        Some values have decimals, or are in Celsius.
    questions : tuple of str
    """

    name: str
    cells: tuple[str, ...]
    number: dict[str, float | None]
    place: Place
    own_unit: str
    unit: str
    guess: str = ""
    fine: bool = True
    questions: tuple[str, ...] = ()

    @property
    def values(self) -> list[float | None]:
        """Numbers of the rows, in the order of the file."""
        return [self.number.get(cell) for cell in self.cells]

    @property
    def counts_rows(self) -> bool:
        """Whether it is a running number."""
        known = [value for value in self.values if value is not None]
        return len(known) > 10 and all(b - a == 1.0 for a, b in pairwise(known))

    @property
    def shown(self) -> str:
        """First text that is a number."""
        return next((cell for cell in self.cells if self.number.get(cell) is not None), "")


@dataclass(frozen=True)
class Moved:
    """A leap that meat cannot make, with both sides possible: from [°C], to [°C], when."""

    column: Column
    when: dt.datetime
    before_c: float
    after_c: float

    def said(self, where: dt.tzinfo) -> str:
        """Words for it, in the column's own unit."""
        unit = self.column.unit or self.column.guess
        shown: Callable[[float], float] = fahrenheit_of_celsius if unit == "F" else float
        return (
            f"{self.column.name!r} leaps from {shown(self.before_c):.0f} to "
            f"{shown(self.after_c):.0f} °{unit} at {self.when.astimezone(where):%H:%M}"
        )


def read_column(name: str, sheet: Sheet, place: Place, answers: Answers) -> Column | None:
    """Read one column, or nothing when most of it are no numbers."""
    cells = sheet.columns[name]
    found = numbers(cells, decimal_comma=sheet.decimal_comma)
    counts = Counter(cells)
    filled = sum(counts[text] for text in found)
    good = sum(counts[text] for text, (number, _) in found.items() if number is not None)
    if not filled or good * 2 < filled:
        return None
    units = {unit for _, unit in found.values() if unit}
    own = place.unit or unit_of(name) or (units.pop() if len(units) == 1 else "")
    questions = []
    if units:
        questions.append(
            f"{name!r} has readings in C and in F: which are right? Say --column "
            f"'{name}={place.piece or place.pit or 'pit'} F', or import the parts one by one"
        )
    grouped = _thousand(found) if sheet.decimal_comma else ""
    if grouped:
        questions.append(
            f"Is {grouped!r} in {name!r} a thousand and more, or has it decimals? "
            "Write it another way, or take it out"
        )
    unit = own or answers.unit or ""
    fine = unit == "C" or any(re.search(r"\d[.,]\d", text) for text in found)
    number = {text: value for text, (value, _) in found.items()}
    return Column(name, cells, number, place, own, unit, "", fine, tuple(questions))


def _thousand(texts: Collection[str]) -> str:
    """Find a text that may be a thousand: 1.155 where decimals have a comma, 1,155 where none do."""
    plain = [text for text in texts if re.match(r"[-+]?\d+\b(?![.,])", text)]
    for text in texts:
        if re.fullmatch(r"\d{1,3}\.\d{3}", text) or (
            len(plain) * 2 >= len(texts) and re.fullmatch(r"[1-9]\d{0,2},\d{3}", text)
        ):
            return text
    return ""


# --- one probe in two columns, and units nobody named ---------------------------------


def twins(columns: Sequence[Column]) -> tuple[list[Column], list[str]]:
    """Leave out the second of two columns that hold one probe in °C and in °F."""
    gone: set[str] = set()
    notes = []
    units: dict[str, str] = {}
    for one, other in combinations(columns, 2):
        if gone & {one.name, other.name} or (one.place.sure and other.place.sure):
            continue
        for c, f in ((one, other), (other, one)):
            if c.unit in {"", "C"} and f.unit in {"", "F"} and _same_probe(c, f):
                few, many = sorted((c, f), key=lambda each: _worth(each, columns))
                gone.add(few.name)
                units |= {many.name: "C" if many is c else "F"}
                notes.append(
                    f"{c.name!r} and {f.name!r} are one probe in °C and in °F; {many.name!r} is read"
                )
                break
    kept = [
        replace(column, own_unit=units[column.name], unit=units[column.name])
        if column.name in units and not column.unit
        else column
        for column in columns
        if column.name not in gone
    ]
    return kept, notes


def _worth(column: Column, columns: Sequence[Column]) -> tuple[bool, int, int]:
    """Tell what is rather kept: said by the cook, more different values, first."""
    return column.place.sure, len(column.number), -columns.index(column)


def _same_probe(c: Column, f: Column) -> bool:
    step = max(1, len(c.cells) // 300)
    pairs = [
        (x, y)
        for a, b in zip(c.cells[::step], f.cells[::step], strict=True)
        if (x := c.number.get(a)) is not None and (y := f.number.get(b)) is not None
    ]
    named = bool(c.unit and f.unit) and bare(c.name).casefold() == bare(f.name).casefold()
    near = sum(1 for x, y in pairs if abs(fahrenheit_of_celsius(x) - y) <= _TWIN_F)
    return len(pairs) >= (1 if named else 3) and near * 20 >= len(pairs) * 19


def guessed(columns: Sequence[Column], frame: Frame) -> list[Column]:
    """Say what unit the columns without one look like, all together; it is asked all the same."""
    open_ones = [column for column in columns if not column.unit]
    if not open_ones:
        return list(columns)
    low, high, core = 1e9, -1e9, -1e9
    votes = set()
    for column in open_ones:
        values = sorted(value for value in column.values if value is not None and abs(value) < 990)
        if not values:
            continue
        cut = len(values) // 50
        # From nothing on it may be a difference or a count.
        low = min(low, values[cut]) if values[cut] > _NOTHING else low
        high = max(high, values[-1 - cut])
        if column.place.piece:
            core = max(core, values[-1 - cut])
        votes |= _by_setting(values[len(values) // 2], column.place.pit, frame)
    if not votes and (high > _HOT_F or core > _HOTTEST_CORE_C):
        votes = {"F"}
    elif not votes and low < _COLD_F:
        votes = {"C"}
    guess = votes.pop() if len(votes) == 1 else ""
    return [column if column.unit else replace(column, guess=guess) for column in columns]


def _by_setting(middle: float, pit: str, frame: Frame) -> set[str]:
    """Units in which a pit's readings fit what it was set to."""
    if pit not in frame.set_c:
        return set()
    low, high = frame.set_c[pit]
    fits = {
        unit
        for unit, value in (("C", middle), ("F", celsius_of_fahrenheit(middle)))
        if low - _SET_NEAR_K <= value <= high + _SET_NEAR_K
    }
    return fits if len(fits) == 1 else set()


# --- to channels ----------------------------------------------------------------------


def fill(
    columns: Sequence[Column],
    at: Sequence[dt.datetime],
    order: Sequence[int],
    unset: Collection[int] = (),
) -> tuple[list[Channel], list[Moved]]:
    """Make channels in °C, with what was left out and why.

    Parameters
    ----------
    columns : sequence of Column
    at : sequence of datetime
        Instants of the rows, in `order`.
    order : sequence of int
        Rows of the file by time.
    unset : collection of int
        Rows from before the probe's clock was set.

    Returns
    -------
    (list of Channel, list of Moved)
        In the order of the columns; and leaps that may be a probe moved.
    """
    pits: list[Channel] = []
    done: dict[int, Channel] = {}
    leaps: list[Moved] = []
    second = [when.timestamp() for when in at]
    for number, column in sorted(enumerate(columns), key=lambda each: not each[1].place.pit):
        pit = next((one for one in pits if len(pits) == 1 or one.place == "grate"), None)
        channel, moved = _filled(column, at, second, order, unset, pit)
        leaps += [Moved(column, when, *step) for when, step in moved]
        done[number] = channel
        pits += [channel] if channel.pit and channel.at else []
    return [done[number] for number in range(len(columns))], leaps


def series(channel: Channel, most: int = 4000) -> Series:
    """Kept readings of a channel as seconds and °C, evenly thinned to about `most`."""
    step = max(1, len(channel.at) // most)
    seconds = [when.timestamp() for when in channel.at[::step]]
    return Series(seconds, channel.temperature_c[::step])


def _filled(
    column: Column,
    at: Sequence[dt.datetime],
    second: Sequence[float],
    order: Sequence[int],
    unset: Collection[int],
    pit: Channel | None,
) -> tuple[Channel, list[tuple[dt.datetime, tuple[float, float]]]]:
    unit = column.unit or column.guess
    convert: Callable[[float], float] = celsius_of_fahrenheit if unit == "F" else float
    celsius = {
        text: None if value is None else convert(value) for text, value in column.number.items()
    }
    cells = list(map(column.cells.__getitem__, order))
    rows = [row for row, cell in enumerate(cells) if cell in celsius]
    words = {text for text, value in celsius.items() if value is None}
    reasons = {row: "not a number" for row in rows if cells[row] in words} if words else {}
    if unset:
        late = {row for row, came in enumerate(order) if came in unset}
        reasons |= {row: "the probe's clock was not set yet" for row in rows if row in late}
    numeric = [row for row in rows if row not in reasons] if reasons else rows
    values = [celsius[cells[row]] or 0.0 for row in numeric]
    moved: list[tuple[dt.datetime, tuple[float, float]]] = []
    if unit:
        seconds = second if len(numeric) == len(at) else [second[row] for row in numeric]
        kind = "piece" if column.place.piece else "pit" if column.place.pit else ""
        around = series(pit) if pit and kind == "piece" else None
        found = cleaning.clean(Series(seconds, values), kind, fine=column.fine, pit=around)
        reasons |= {numeric[row]: why for row, why in found.reasons.items()}
        moved = [(at[numeric[row]], (before, after)) for row, before, after in found.moved]
    channel = Channel(
        column.name,
        column.unit or None,
        column.place.piece,
        column.place.pit,
        column.place.place,
        guess=column.guess or None,
    )
    kept = [row for row in numeric if row not in reasons] if reasons else numeric
    whole = len(kept) == len(at)
    return (
        replace(
            channel,
            at=tuple(at) if whole else tuple([at[row] for row in kept]),
            temperature_c=tuple([celsius[cells[row]] or 0.0 for row in kept]),
            dropped=tuple(
                Dropped(at[row], cells[row], reasons[row], celsius[cells[row]])
                for row in sorted(reasons)
            ),
        ),
        moved,
    )
