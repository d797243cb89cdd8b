"""When the lines of a block happened: clocks without am and pm by order and the cook's span."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from stallwise.joins.log.cookhours import AFTER, BEFORE_MEAT, LATE, cook_hours
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.sequence import SLACK_S, settle
from stallwise.joins.log.timestamp import LocalTime, Stamp, is_skipped, local_times
from stallwise.joins.log.vocabulary import words

__all__ = ["Line", "date_lines"]

_HOUR = dt.timedelta(hours=1)
_MINUTE = dt.timedelta(minutes=1)


@dataclass
class Line:
    """A line while it is being dated.

    Attributes
    ----------
    stamp : Stamp
        Its time as written.
    what : tuple of str
        Keys of what happened.
    pieces : tuple of str
        Letters, empty for all.
    section : int
        Lines of one section run forward in time.
    at : mapping
        Letter ("" for all) to the instant, once it is known.
    question : str
        What is asked instead.
    """

    stamp: Stamp
    what: tuple[str, ...]
    pieces: tuple[str, ...] = ()
    section: int = 0
    at: dict[str, dt.datetime] = field(default_factory=dict)
    question: str = ""


def date_lines(lines: Sequence[Line], context: PaperContext) -> None:
    """Date lines in place: `at` or `question` of each is set.

    Parameters
    ----------
    lines : sequence of Line
        In the order of the sheet.
    context : PaperContext
        What is known of the cook; meat that goes on in the block is taken from there.
    """
    on: dict[str, dt.datetime] = {}
    for _ in range(4):  # each round knows more pieces on; three pieces hang together at most
        _date_all(lines, context.with_on(on), context)
        found = dict(_went_on(lines, context))
        if found == on:
            break
        on = found
    else:  # what hangs on a meat-on that will not settle is asked
        _date_all(lines, context, context)
    _ask_twice_on(lines, context)


def _date_all(lines: Sequence[Line], context: PaperContext, logged: PaperContext) -> None:
    for line in lines:
        line.at, line.question = {}, ""
    for section in sorted({line.section for line in lines}):
        _date_section([line for line in lines if line.section == section], context, logged)


def _went_on(lines: Iterable[Line], context: PaperContext) -> Iterable[tuple[str, dt.datetime]]:
    first: dict[str, dt.datetime] = {}
    for line in lines:
        if "meat_on" in line.what and not line.question:
            for letter, at in line.at.items():
                for piece in [letter] if letter else context.pieces:
                    first[piece] = min(at, first.get(piece, at))
    return first.items()


def _ask_twice_on(lines: Iterable[Line], context: PaperContext) -> None:
    """Meat goes on once; a second time is asked, for its clock starts there."""
    first: dict[str, dt.datetime] = {
        piece: at.replace(second=0, microsecond=0) for piece, at in context.on.items()
    }
    for line in lines:
        if "meat_on" not in line.what or line.question:
            continue
        for letter, at in line.at.items():
            for piece in [letter] if letter else context.pieces:
                if first.setdefault(piece, at) != at:
                    was = first[piece].astimezone(context.zone)
                    line.question = (
                        f"{piece} is on since {was:%H:%M} already. "
                        + (
                            f"If that is wrong, take it back first: {context.take_back('meat_on', piece)}"
                            if piece in context.on
                            else "If that is wrong, correct the line that says so"
                        )
                        + "; if it was moved, write 'moved to oven', or the other pit's letter."
                    )


def _date_section(lines: Sequence[Line], context: PaperContext, logged: PaperContext) -> None:
    readings: list[list[LocalTime]] = []
    for line in lines:
        found = _elapsed(line, context) if line.stamp.elapsed_s is not None else None
        if found is None and not line.question:
            # Meat on is dated by what is logged alone, never by itself.
            found = _readings(line, logged if "meat_on" in line.what else context)
        readings.append(found or [])
    # A line that says its day stands for itself and may stand anywhere; under a heading with
    # the day it is as clear, and the lines around it still run on from it.
    dated = [i for i, found in enumerate(readings) if len(found) == 1 and lines[i].stamp.date]
    for i in dated:
        _decide(lines[i], readings[i], context, literal=False)
    headed = [i for i in dated if lines[i].stamp.headed]
    placed = [i for i, found in enumerate(readings) if found and (i not in dated or i in headed)]
    literal = _literal_style([lines[i] for i in placed], [readings[i] for i in placed])
    as_written = [
        _as_written(*each) if literal else each[1] for each in zip(lines, readings, strict=True)
    ]
    orderly = _orderly(lines, as_written, placed, context)
    if not all(orderly.values()):
        orderly = _orderly(lines, readings, placed, context)
    for index in (i for i in placed if i not in headed):
        left = [each for each in readings[index] if each.at.timestamp() in orderly[index]]
        _decide(lines[index], left, context, literal=literal)
        if not left:
            lines[index].question += _odd_one(index, lines, readings, placed)


def _orderly(
    lines: Sequence[Line],
    readings: Sequence[Sequence[LocalTime]],
    placed: Sequence[int],
    context: PaperContext,
) -> dict[int, set[float]]:
    """Keep readings in order: the lines of each piece, with those of all, run forward in time.

    On a sheet of steps the lines of two pieces stand between each other.
    """
    could = {index: {each.at.timestamp() for each in readings[index]} for index in placed}
    for piece in context.pieces:
        chain = [i for i in placed if not lines[i].pieces or piece in lines[i].pieces]
        fits = settle([[each.at.timestamp() for each in readings[i]] for i in chain])
        for index, times in zip(chain, fits, strict=True):
            could[index] &= set(times)
    return could


def _odd_one(
    index: int,
    lines: Sequence[Line],
    readings: Sequence[Sequence[LocalTime]],
    placed: Sequence[int],
) -> str:
    """Say which line it stands against, the nearest one first."""
    mine = lines[index]
    times = [each.at.timestamp() for each in readings[index]]
    for other in sorted(placed, key=lambda i: abs(i - index)):
        theirs = [each.at.timestamp() for each in readings[other]]
        shared = (
            not mine.pieces
            or not lines[other].pieces
            or set(mine.pieces) & set(lines[other].pieces)
        )
        wrong = (
            max(times) + SLACK_S < min(theirs)
            if other < index
            else min(times) > max(theirs) + SLACK_S
        )
        if other != index and shared and wrong:
            where = "below" if other < index else "above"
            return f" It stands {where} {lines[other].stamp.said}."
    return ""


def _elapsed(line: Line, context: PaperContext) -> list[LocalTime] | None:
    """Since that piece's own meat on, or since the first piece's."""
    since = [context.on.get(piece) for piece in line.pieces] or [context.hour_zero]
    if any(start is None for start in since):
        whose = f"{', '.join(line.pieces)} on" if line.pieces else "meat on"
        line.question = (
            f"{line.stamp.said} counts from {whose}, which is not written down. "
            "Give the clock time, or first a line such as '0900 meat on'."
        )
        return None
    ahead = dt.timedelta(seconds=line.stamp.elapsed_s or 0.0)
    line.at = {
        letter: start + ahead
        for letter, start in zip(line.pieces or ("",), since, strict=True)
        if start is not None
    }
    high = min(cook_hours(what, line.pieces, context)[1] for what in line.what) + LATE - AFTER
    if max(line.at.values()) > high:
        line.at = {}
        line.question = (
            f"{line.stamp.said} after meat on is past the end of this cook. Hours and minutes "
            "are written +2:40."
        )
        return None
    return [LocalTime(min(line.at.values()), literal=True)]


def _readings(line: Line, context: PaperContext) -> list[LocalTime] | None:
    stamp = line.stamp
    spans = [cook_hours(what, line.pieces, context) for what in line.what]
    low = max(span[0] for span in spans)
    high = min(span[1] for span in spans)
    sure = len(stamp.hours()) == 1
    if stamp.date and sure:
        low, high = low - 72 * _HOUR, high + 72 * _HOUR
    may_be_late = sure and all(words()[what].when not in BEFORE_MEAT for what in line.what)
    later = high + LATE - AFTER if may_be_late else high
    if context.now and context.now >= low:
        high, later = (min(end, context.now + 10 * _MINUTE) for end in (high, later))
    days = _days(stamp, low, later, context)
    there = [each for day in days for each in local_times(stamp, day, context.zone)]
    if stamp.zone_name:  # it is only written in the hour that comes twice
        there = [each for each in there if each.twice] or there
    for end in (high, later):  # what is sure may be later, where nothing sooner fits
        fit = [each for each in there if low <= each.at <= end]
        if fit:
            return fit if sure else _or_before(fit, there, line, context)
    skipped = [day for day in days if is_skipped(stamp, day, context.zone)]
    if skipped:
        line.question = (
            f"{stamp.said} is no time of {skipped[0]}: the clocks went forward over it. "
            "Give the time that the clock showed."
        )
    else:
        line.question = _no_reading(line, there, (low, high), context)
    return None


def _or_before(
    fit: list[LocalTime], there: Sequence[LocalTime], line: Line, context: PaperContext
) -> list[LocalTime]:
    """Add the reading before meat on, where the one after serving is as far from the cook.

    "8:00" beside meat on at 10:05 and serving at 16:00 is not surely eight in the evening.
    """
    ons = [context.on[p] for p in line.pieces or context.pieces if p in context.on]
    start, end = min(ons, default=None), context.served
    soonest = min(each.at for each in fit)
    if start is None or end is None or soonest <= end:
        return fit
    before = [each.at for each in there if each.at < start]
    if before and (start - max(before)) <= 1.5 * (soonest - end):
        early = next(each for each in there if each.at == max(before))
        return [replace(early, doubt="before meat on"), *fit]
    return fit


def _days(
    stamp: Stamp, low: dt.datetime, high: dt.datetime, context: PaperContext
) -> list[dt.date]:
    if stamp.date:
        return [stamp.date]
    first = low.astimezone(context.zone).date() - dt.timedelta(days=1)
    days = [first + dt.timedelta(days=n) for n in range(max((high - low).days + 4, 1))]
    return [day for day in days if stamp.weekday is None or day.weekday() == stamp.weekday]


def _no_reading(
    line: Line,
    there: Sequence[LocalTime],
    span: tuple[dt.datetime, dt.datetime],
    context: PaperContext,
) -> str:
    stamp = line.stamp
    low, high = (each.astimezone(context.zone) for each in span)
    if there and context.now and all(each.at > context.now for each in there):
        return (
            f"{stamp.said} has not come yet. Give the time it happened, with its date if need be."
        )
    what = " and ".join(words()[key].said.partition(" {")[0] for key in line.what)
    return (
        f"{stamp.said} is outside the hours of this cook for '{what}' "
        f"({low:%a %H:%M} to {high:%a %H:%M}). Correct it, or put the date before it: "
        f"'{context.date} {_as_clock(stamp)}'."
    )


def _literal_style(lines: Sequence[Line], readings: Sequence[Sequence[LocalTime]]) -> bool:
    """Whether the block keeps a 24-hour clock: some times prove it and none speaks against."""
    clocks = [(line.stamp, found) for line, found in zip(lines, readings, strict=True)
              if line.stamp.elapsed_s is None and not line.stamp.named]  # fmt: skip
    proof = any(stamp.whole_day for stamp, _ in clocks)
    against = any(stamp.half or not any(each.literal for each in found) for stamp, found in clocks)
    return proof and not against


def _as_written(line: Line, found: Sequence[LocalTime]) -> Sequence[LocalTime]:
    """Keep the readings on a 24-hour clock, where there are any."""
    # Half past twelve at night is written 12:30 even by people who write 13:30.
    # "about 3" is three in the afternoon to them as well.
    stamp = line.stamp
    bare = "".join(filter(str.isdigit, stamp.said)) == str(stamp.hour)
    if len(found) < 2 or stamp.hour == 12 or bare:
        return found
    return [each for each in found if each.literal] or found


def _decide(
    line: Line,
    left: Sequence[LocalTime],
    context: PaperContext,
    *,
    literal: bool,
) -> None:
    if literal:
        left = _as_written(line, left)
    if len(left) == 1 and not left[0].doubt:
        if line.stamp.elapsed_s is None:
            line.at = dict.fromkeys(line.pieces or ("",), left[0].at)
        return
    line.at = {}
    if not left:
        line.question = (
            f"{line.stamp.said} does not run on from the lines around it. Times go forward "
            "down the sheet: correct one, move the line, or put the date before the time."
        )
        return
    said, zone = line.stamp.said, context.zone
    if len(left) > 1 and len({f"{each.at.astimezone(zone):%Y-%m-%d %H:%M}" for each in left}) == 1:
        ways = " or ".join(f"'{said} {each.at.astimezone(zone).tzname()}'" for each in left)
        line.question = f"{said} came twice that night. Which: {ways}?"
        return
    if len(left) == 1:
        line.question = f"{said} would be {left[0].doubt}. Correct it, or put the date before it."
        return
    ways = " or ".join(
        f"'{each.at.astimezone(zone):%Y-%m-%d %H:%M}"
        + (f" {each.at.astimezone(zone).tzname()}" if each.twice else "")
        + "'"
        + (f" ({each.doubt})" if each.doubt else "")
        for each in left[:3]
    )
    line.question = f"{said} can be read in {len(left)} ways: {ways}?"


def _as_clock(stamp: Stamp) -> str:
    hour = stamp.hours()[0] % 24
    return f"{hour:02d}:{stamp.minute:02d}"
