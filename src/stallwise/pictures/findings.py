"""What a picture shows, in one sentence and as a table: for ears, for paper, for checking."""

from __future__ import annotations

import bisect
import datetime as dt
import re
from collections.abc import Iterator
from zoneinfo import ZoneInfo

from stallwise.joins import words
from stallwise.joins.result import Observation, PieceResult, Result, Trace

__all__ = [
    "at_hour",
    "day_table",
    "event_words",
    "finding",
    "hour_of",
    "is_about",
    "offset_h",
    "traces",
]

#: Words for what is logged, where the log's own word is not yet a cook's.
_EVENTS = {
    "fire_lit": "fire lit",
    "pit_steady": "pit steady",
    "meat_on": "meat on",
    "rub_on": "rub on",
    "rest_start": "rest",
    "lid_open": "lid open",
    "pit_set": "pit set",
    "pit_reading": "pit",
    "core_reading": "core",
    "feel_check": "by feel",
}

#: The only words of a log line's text that are shown: what it was wrapped in.
_WRAPS = re.compile(r"\b(paper|foil|boat|pan)\b", re.IGNORECASE)

#: More events than this are told together where they are alike.
_MANY = 80

#: Nearest reading that still counts for a line of the table [h].
_NEAR_H = 10 / 60


def hour_of(when: dt.datetime, result: Result) -> float:
    """Elapsed time of an instant since the first meat went on [h].

    Both go to UTC first: two times of one zone are subtracted as clocks, not as instants.
    """
    return (when.astimezone(dt.UTC) - result.hour_zero.astimezone(dt.UTC)).total_seconds() / 3600


def at_hour(hour: float, result: Result) -> dt.datetime:
    """Wall clock of an elapsed hour; counted on instants, so a clock change moves nothing."""
    instant = result.hour_zero.astimezone(dt.UTC) + dt.timedelta(hours=hour)
    return instant.astimezone(ZoneInfo(result.time_zone))


def offset_h(piece: PieceResult, result: Result) -> float:
    """How long after the first piece this one went on [h]."""
    return hour_of(piece.on_at, result)


def event_words(event: Observation, result: Result) -> str:
    """Short words for a logged event; free text of the log is not among them."""
    if event.what == "feel_check":
        return event.verdict
    if event.what == "bark":
        return f"bark {event.verdict}"
    name = _EVENTS.get(event.what, event.what.replace("_", " "))
    if event.what == "wrapped" and (kind := _WRAPS.search(event.text)):
        name = f"{name}, {kind[1].lower()}"
    if event.value_c is None:
        return name
    joint = " to " if event.what == "pit_set" else " "
    return f"{name.removesuffix(' set')}{joint}{words.temperature(event.value_c, result.units)}"


def finding(result: Result) -> str:
    """One sentence a piece: the window, the odds, and what came of it."""
    many = len(result.pieces) > 1
    sentences = []
    for piece in result.pieces:
        sentence = _piece_finding(piece, result)
        sentences.append(f"{piece.piece}: {sentence}" if many else sentence)
    return " ".join(sentences)


def _piece_finding(piece: PieceResult, result: Result) -> str:
    name = piece.finish[:1].upper() + piece.finish[1:]
    stage = piece.stages.get("tender")
    seen = piece.finish_seen
    if stage is None or stage.known:
        moment = seen.at if seen else (stage and stage.clock["p50"])
        if moment:
            return f"{name} at {words.day_clock(moment, result.date)}, as logged."
        return "No forecast of when it is tender."
    window = words.window(stage, result)
    between = f"between {window.replace(' to ', ' and ')}" if " to " in window else window
    sentence = f"{name} {between}, four times in five"
    if seen:
        return f"{sentence}; {words.finish_seen(piece, result)}."
    if piece.serve_at and piece.odds_in_time is not None:
        odds = words.odds_text(piece.odds_in_time)
        return f"{sentence}; ready by {words.day_clock(piece.serve_at, result.date)} {odds}."
    return f"{sentence}."


def is_about(event: Observation, piece: PieceResult) -> bool:
    """Whether an event is about this piece: by its letter, its pit's, or being about all."""
    if event.piece:
        return event.piece == piece.piece
    return event.pit in {"", piece.pit}


def traces(result: Result, letter: str) -> list[Trace]:
    """Find the readings of one piece or pit; a key may carry a place after the letter (``"A point"``)."""
    return [trace for key, trace in result.readings.items() if key.split()[0].strip(":") == letter]


def day_table(
    result: Result, *, last_h: float
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Tell the same day as rows: each hour's forecast and reading, and what was logged.

    Parameters
    ----------
    result : Result
        The day.
    last_h : float
        Where the picture ends [h].
    """
    header = ("after meat on", "clock", "of", "what", "forecast", "logged")
    step = 1 if last_h <= 12 else 2
    rows = [
        (float(hour), row)
        for hour in range(0, int(last_h) + 1, step)
        for row in _hour(result, hour)
    ]
    for events in _told_together(result, step):
        first, last = events[0], events[-1]
        kind = "by feel" if first.what == "feel_check" else event_words(first, result)
        said = first.verdict or ("about then" if first.about else "yes")
        if len(events) > 1:
            said = f"{len(events)} times, to {words.day_clock(last.at, result.date)}"
        rows.append((hour_of(first.at, result), (first.piece or first.pit, kind, "", said)))
    rows.sort(key=lambda row: row[0])
    return header, tuple(
        (
            words.hours(hour) if hour else "0 h",
            words.day_clock(at_hour(hour, result), result.date),
            *rest,
        )
        for hour, rest in rows
    )


def _told_together(result: Result, step: int) -> Iterator[list[Observation]]:
    """Events by themselves; of a day of very many those alike within an hour or two in one row."""
    shown = [event for event in result.events if event.what != "note"]
    if len(shown) <= _MANY:
        yield from ([event] for event in shown)
        return
    groups: dict[tuple[object, ...], list[Observation]] = {}
    for event in sorted(shown, key=lambda event: event.at):
        span = int(hour_of(event.at, result) // step)
        # What was read is told with its number, and a feel check with its verdict: they are alike by those.
        alike = (span, event.piece, event.pit, event.what, event_words(event, result))
        groups.setdefault(alike, []).append(event)
    yield from groups.values()


def _hour(result: Result, hour: float) -> Iterator[tuple[str, str, str, str]]:
    told = set()
    for piece in result.pieces:
        own = hour - offset_h(piece, result)
        yield from _row(result, piece.piece, "core", piece.core_c, own, hour)
        if piece.pit not in told:
            told.add(piece.pit)
            yield from _row(result, piece.pit, "pit", piece.pit_c, own, hour)


def _row(
    result: Result, letter: str, what: str, trace: Trace, own: float, hour: float
) -> Iterator[tuple[str, str, str, str]]:
    band = ""
    if trace.elapsed_h and trace.elapsed_h[0] <= own <= trace.elapsed_h[-1]:
        i = _nearest(trace.elapsed_h, own)
        low, high = (words.temperature(v[i], result.units) for v in (trace.p10, trace.p90))
        band = low if low == high else f"{low.split()[0]} to {high}"
    read = ""
    for readings in traces(result, letter):
        if readings.elapsed_h:
            i = _nearest(readings.elapsed_h, hour)
            if abs(readings.elapsed_h[i] - hour) <= _NEAR_H:
                read = words.temperature(readings.p50[i], result.units)
    if band or read:
        yield letter, what, band, read


def _nearest(hours: tuple[float, ...], hour: float) -> int:
    i = bisect.bisect_left(hours, hour)
    near = [j for j in (i - 1, i) if 0 <= j < len(hours)]
    return min(near, key=lambda j: abs(hours[j] - hour))
