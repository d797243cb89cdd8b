"""Plain tables of a Result, one set of strings for terminal, notebook and page."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stallwise.joins import words
from stallwise.joins.mix.mixresult import MixLine, MixResult
from stallwise.joins.result import (
    Chance,
    Lever,
    PieceResult,
    Result,
    ServingResult,
    Spread,
    StageResult,
)
from stallwise.joins.sheet.readers import people_words, steps_for
from stallwise.joins.sheet.sheetwords import SheetRow, sheet_rows
from stallwise.joins.ways.remedy import Touched

__all__ = [
    "Table",
    "as_text",
    "bowl_words",
    "chance_table",
    "ledger_table",
    "lever_table",
    "mix_table",
    "mix_tables",
    "remedy_table",
    "serving_table",
    "sheet_table",
    "stage_table",
    "trouble_table",
]

#: A stage that fewer days than this have is shown with its odds.
_NOT_ALWAYS = 0.9
#: Spoons off by more than this are no measure at all.
_USELESS_ERROR = 0.4
#: Spoons off by less than this are as good as the grams.
_SMALL_ERROR = 0.05

_SHOWN = ("bark_set", "stall_start", "wrapped", "stall_end", "glazed", "tender", "rested")


@dataclass(frozen=True)
class Table:
    """Caption, header and rows of text; `source` is the key behind its numbers.

    Without a word in its header it is lines of text and no table.
    """

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    source: str = ""


def stage_table(result: Result) -> Table:
    """When each stage comes: earliest, middle and latest of four days in five."""
    rows = []
    for piece in result.pieces:
        for key in _SHOWN:
            stage = piece.stages.get(key)
            if stage is None or (stage.elapsed_h.reached < 0.05 and key != "tender"):
                continue
            name = words.stage_name(key, piece.finish)
            if key != "tender" and stage.elapsed_h.reached < _NOT_ALWAYS:
                odds = words.odds_text(stage.elapsed_h.reached)
                name += f" ({odds.replace(' times', '').replace(' time', '')})"
            rows.append(
                (
                    piece.piece,
                    name,
                    _moment(stage, "p10", result, "down"),
                    _moment(stage, "p50", result, "near"),
                    _moment(stage, "p90", result, "up"),
                    "" if stage.elapsed_h.p50 is None else words.hours(stage.elapsed_h.p50),
                )
            )
    return Table(
        "When, four days in five",
        ("piece", "stage", "from", "middle", "to", "elapsed"),
        tuple(rows),
        "forecast",
    )


def _moment(stage: StageResult, quantile: str, result: Result, mode: str) -> str:
    """Clock time of a quantile; a stage that some days do not have stays open there."""
    at = stage.clock[quantile]
    if at is None and stage.stage != "tender":
        return "–"
    return words.day_clock(at, result.date, None if stage.known else result.as_of, mode=mode)


def serving_table(result: Result) -> Table:
    """From the finish to the knife: how hot, how long it stays so, and how soft it grows."""
    rows = [
        (piece.piece, *row)
        for piece in result.pieces
        if piece.serving is not None
        for row in _served(piece, piece.serving, result.units)
    ]
    return Table(
        "Rest and hold, four days in five",
        ("piece", "after it comes off", "from", "middle", "to"),
        tuple(rows),
        "serving",
    )


def _served(piece: PieceResult, held: ServingResult, system: str) -> Iterator[tuple[str, ...]]:
    def cores(found: Spread) -> tuple[str, ...]:
        ends = (found.p10, found.p50, found.p90)
        return tuple("–" if end is None else words.temperature(end, system) for end in ends)

    def times(found: Spread) -> tuple[str, ...]:
        return tuple(words.hours(end) for end in (found.p10, found.p50, found.p90))

    place = words.hold_place(held, system)
    yield f"waits {place}", *times(held.wait_h)
    yield "highest core", *cores(held.peak_c)
    cut = "when rested" if piece.serve_at is None else f"to serve at {piece.serve_at:%H:%M}"
    yield f"core {cut}", *cores(held.core_c)
    yield f"below {words.temperature(held.line_c, system)} after", *times(held.below_line_h)
    if held.serve_core_c is not None and held.serve_core_h is not None:
        at = words.temperature(held.serve_core_c, system)
        yield f"down to {at}, to {piece.finish}, after", *times(held.serve_core_h)
    if held.past_words:
        yield "tenderness then", "", held.past_words, ""


def chance_table(result: Result) -> Table:
    """Odds in words with the start each asks for and the hold it costs."""
    alight = {piece.pit for piece in result.pieces if piece.is_on}
    rows = [
        (
            piece.piece,
            f"{chance.words}, {words.percent(chance.probability)}"
            + (" (chosen)" if chance.chosen else ""),
            "alight" if piece.pit in alight else words.day_clock(chance.light_at, result.date),
            words.day_clock(chance.on_at, result.date),
            _hold(chance),
            "" if chance.colder_share is None else words.percent(chance.colder_share),
        )
        for piece in result.pieces
        if not piece.is_on
        for chance in piece.chances
    ]
    return Table(
        "How sure, and what it costs",
        (
            "piece",
            "how sure",
            "light the fire",
            "meat on",
            "hold: usual, long",
            "cold by then",
        ),
        tuple(rows),
        "odds",
    )


def _hold(chance: Chance) -> str:
    """Usual hold and a long one that one day in ten is longer than."""
    usual, long = (words.hours(hold, minutes=15) for hold in (chance.hold_p50_h, chance.hold_p90_h))
    return usual if usual == long else f"{usual}, {long}"


def lever_table(levers: Sequence[Lever], result: Result) -> Table:
    """Lay out what would change it: a row a lever below the plan itself, piece by piece.

    Parameters
    ----------
    levers : sequence of Lever
        From `whatif.what_if`.
    result : Result
        The answer that they change.
    """
    rows: list[tuple[str, ...]] = []
    for piece in result.pieces:
        mine = [lever for lever in levers if lever.piece == piece.piece]
        if mine:
            rows.append(_as_planned(piece, result))
        rows += [
            (
                piece.piece,
                lever.words,
                words.shift(lever.shift_h, span=False),
                words.shift_range(lever.shift_h),
                "" if lever.odds_in_time is None else words.odds_text(lever.odds_in_time),
            )
            for lever in mine
        ]
    return Table(
        "What would change it, put on at the same time",
        ("piece", "what if", "tender", "four days in five", "ready in time"),
        tuple(rows),
        "what_if",
    )


def _as_planned(piece: PieceResult, result: Result) -> tuple[str, ...]:
    tender = piece.stages["tender"]
    return (
        piece.piece,
        "as planned",
        _moment(tender, "p50", result, "near"),
        words.window(tender, result),
        "" if piece.odds_in_time is None else words.odds_text(piece.odds_in_time),
    )


def remedy_table(result: Result) -> Table:
    """Lay out what can still be done now: a row each below the piece as it goes."""
    rows: list[tuple[str, ...]] = []
    for piece in result.pieces:
        mine = [one for one in result.remedies if one.own.piece == piece.piece]
        if mine:
            tender = words.window(piece.stages["tender"], result)
            rows.append(
                (piece.piece, "as it goes", tender, words.odds_text(piece.odds_in_time), "")
            )
        rows += [
            (
                piece.piece,
                one.words,
                words.window(one.own.tender, result),
                words.odds_text(one.own.odds_in_time),
                "; ".join(filter(None, [one.note, *(_other(each, result) for each in one.others)])),
            )
            for one in mine
        ]
    return Table(
        "What can still be done now",
        ("piece", "do", "tender, four days in five", "ready in time", "mind"),
        tuple(rows),
        "remedies",
    )


def trouble_table(result: Result) -> Table:
    """Lay out what went wrong with its ways on, each with the times it gives."""
    rows: list[tuple[str, ...]] = []
    for trouble in result.troubles:
        piece = next(one for one in result.pieces if one.piece == trouble.pieces[0])
        tender = words.window(piece.stages["tender"], result)
        rows.append((piece.piece, trouble.words, tender, words.odds_text(piece.odds_in_time), ""))
        rows += [
            (
                piece.piece,
                one.words,
                words.window(one.own.tender, result),
                words.odds_text(one.own.odds_in_time),
                "; ".join(filter(None, [one.note, *(_other(each, result) for each in one.others)])),
            )
            for one in trouble.ways
        ]
    return Table(
        "What went wrong, and ways on",
        ("piece", "what", "tender, four days in five", "ready in time", "mind"),
        tuple(rows),
        "troubles",
    )


def _other(each: Touched, result: Result) -> str:
    """Say what becomes of a piece that is moved too."""
    said = []
    if not _stays(each):
        said.append(words.shift(each.shift_h, span=False))
    was = next(piece for piece in result.pieces if piece.piece == each.piece)
    if each.serve_at is not None and each.serve_at != was.serve_at:
        said.append(f"served at {words.day_clock(each.serve_at, result.date)}")
    if each.odds_in_time is not None:
        said.append(f"in time {words.odds_text(each.odds_in_time)}")
    return f"{each.piece} {', '.join(said)}"


def _stays(each: Touched) -> bool:
    return not each.shift_h.p10 and not each.shift_h.p90


def sheet_table(result: Result, reader: str = "") -> Table:
    """Lay out the day sheet: planned, until which sign, and what was logged."""
    rows = sheet_rows(
        steps_for(reader, result.steps),
        date=result.date,
        as_of=result.as_of,
        many_pits=len({step.pit for step in result.steps if step.pit}) > 1,
    )
    columns = {
        "at": [f"{row.day} {row.clock}".strip() for row in rows],
        "for": [row.who for row in rows],
        "do": [row.what for row in rows],
        "until": [row.until for row in rows],
        "most likely": [_likely(row, result) for row in rows],
        "logged": [row.done for row in rows],
        "by": [people_words(row.by, result) for row in rows],
        "since the print": [row.news for row in rows],
    }
    # Columns that say nothing are left out.
    often = {"by", "since the print"}
    kept = {name: cells for name, cells in columns.items() if name not in often or any(cells)}
    return Table("Day sheet", tuple(kept), tuple(zip(*kept.values(), strict=True)), "sheet")


def _likely(row: SheetRow, result: Result) -> str:
    """Span of a step; of a cook that is under way also by when it must be, and how likely that is."""
    odds = row.odds if result.state == "running" else ""
    return "; ".join(filter(None, (row.span, odds)))


def mix_table(mix: MixResult) -> Table:
    """One mix as scaled: grams first, spoons beside."""
    lines = [(line.name, grams(line.grams), spoons(line)) for line in mix.lines]
    return Table(
        f"{mix.name}, {mix.for_text}",
        ("ingredient", "grams", "spoons (off by)"),
        (*lines, ("makes", grams(mix.total_g), "")),
        "mixes",
    )


def bowl_words(fits: float, mix: MixResult, bowl: str) -> str:
    """Say how many bowls a mix takes, and how much of it goes into one."""
    count = math.ceil(fits - 1e-9)
    if count <= 1:
        return f"It fits a bowl of {bowl} with room to stir."
    return (
        f"A bowl of {bowl} takes it in {count} goes of {grams(mix.total_g / count)} g, "
        "with room to stir."
    )


def spoons(line: MixLine) -> str:
    """Nearest kitchen measure, with what rounding to it cost where that is worth knowing."""
    error = line.spoon_error
    if not line.spoons or error is None or abs(error) < _SMALL_ERROR:
        return line.spoons
    if abs(error) > _USELESS_ERROR:
        return "weigh it"
    return f"{line.spoons} ({error:+.0%})".replace("%", " %")


def mix_tables(result: Result) -> tuple[Table, ...]:
    """Every mix of a cook as scaled, each with what else is to be known of it: pan, minutes, allergens."""
    return tuple(
        part for mix in result.mixes for part in (mix_table(mix), _mix_notes(mix)) if part.rows
    )


def _mix_notes(mix: MixResult) -> Table:
    rows = tuple((note,) for note in (*mix.own, *mix.notes))
    return Table("", ("",), rows, "mixes")


def ledger_table(result: Result) -> Table:
    """Lay out what was made and where it goes."""
    rows = []
    for line in result.ledger:
        used = "; ".join(f"{name} {grams(value)} g" for name, value in line.used.items())
        rows.append((line.what, grams(line.made_g), used, grams(line.left_g), line.short_text))
    return Table(
        "Made, used, left", ("what", "made g", "used", "left g", ""), tuple(rows), "ledger"
    )


def grams(value: float) -> str:
    """Grams whole; under 10 g one decimal, for a quarter teaspoon matters there."""
    return f"{value:.1f}" if 0.0 < value < 9.95 else f"{value:.0f}"


def as_text(table: Table) -> str:
    """Columns of text for a terminal or a plain notebook."""
    if not table.rows:
        return ""
    if not any(table.header):
        return "\n".join(_line(row, [0] * len(row)) for row in table.rows)
    columns = list(zip(table.header, *table.rows, strict=True))
    keep = [i for i, column in enumerate(columns) if any(column[1:])]
    widths = {i: max(len(cell) for cell in columns[i]) for i in keep}
    lines = [_line([table.header[i] for i in keep], [widths[i] for i in keep])]
    lines += [_line([row[i] for i in keep], [widths[i] for i in keep]) for row in table.rows]
    return "\n".join([table.caption, *lines])


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "  " + "  ".join(c.ljust(w) for c, w in zip(cells, widths, strict=True)).rstrip()
