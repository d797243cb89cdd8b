"""What stands above a sheet: the pieces, the odds, what is new, the clocks that change."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.joins import words
from stallwise.joins.instants import clock_change
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.sheet.daytables import load_lines
from stallwise.joins.sheet.readers import Sheet

__all__ = ["examples", "head"]


def head(result: Result, sheet: Sheet, *, mark: str) -> tuple[str, ...]:
    """Write the lines above a sheet; the first goes on with what was left out.

    Parameters
    ----------
    result : Result
        The cook as answered.
    sheet : Sheet
        The steps below.
    mark : str
        What stands before a step that is new since the last print.
    """
    told = [*_pieces(result, sheet), *_pits(sheet, result)]
    if result.odds is not None:
        told.append(f"{result.odds_words.capitalize()}: {words.odds_text(result.odds)} in time.")
    told += [_stands(result), "A made-up sample." if result.sample else ""]
    told.append(clock_change([step.at for step in sheet.steps]))
    told += _news(result, mark)
    lines = [" ".join(filter(None, told))]
    if sheet.pit:
        lines += filter(None, [" ".join(load_lines(result, sheet.pit))])
    if result.text.get("carried"):
        lines.append(f"Last time you said: {result.text['carried']}")
    return tuple(lines)


def _pieces(result: Result, sheet: Sheet) -> Iterator[str]:
    """Write a sentence for pieces alike; the time to eat once where it is the same for all."""
    there = {step.piece for step in sheet.steps if step.piece}
    pieces = [piece for piece in result.pieces if not there or piece.piece in there]
    eaten = {piece.serve_at for piece in pieces}
    alike: dict[tuple[str, ...], list[PieceResult]] = {}
    for piece in pieces:
        served = f"eat at {piece.serve_at:%H:%M}" if piece.serve_at else ""
        own = served if len(eaten) > 1 else ""
        alike.setdefault((piece.name, piece.finish, own), []).append(piece)
    once = len(eaten) == 1 and None not in eaten
    for (name, finish, served), each in alike.items():
        letters = words.joined([piece.piece for piece in each])
        count = sum(piece.count for piece in each)
        many = f"{count} × " if count > len(each) else ""
        weight = words.mass(sum(p.mass_kg * p.count for p in each), result.units)
        eat = f"eat at {next(iter(eaten)):%H:%M}" if once and len(alike) == 1 else served
        yield f"{letters}: {', '.join(filter(None, [f'{many}{name}', weight, finish, eat]))}."
    if once and len(alike) > 1:
        yield f"Eat at {next(iter(eaten)):%H:%M}."


def _pits(sheet: Sheet, result: Result) -> Iterator[str]:
    letters = dict.fromkeys(step.pit for step in sheet.steps if step.pit)
    if len(letters) > 1:
        named = [f"{letter} {result.pit_names.get(letter, '')}".strip() for letter in letters]
        yield f"Pits: {', '.join(named)}."


def _stands(result: Result) -> str:
    """Which moment the plan stands at, once the cook has begun."""
    if result.state == "planned":
        return ""
    if result.as_of <= result.hour_zero:
        return "The plan as it stood before meat on."
    return f"The plan as of {words.day_clock(result.as_of, result.date)}."


def _news(result: Result, mark: str) -> Iterator[str]:
    if result.printed_at is None:
        return
    yield f"{mark} changed since the sheet printed {words.day_clock(result.printed_at, result.date)}."
    if result.gone:
        gone = [
            f"{' '.join(filter(None, [one.piece or one.pit, one.what]))} "
            f"({words.day_clock(one.was_at, result.date)})"
            for one in result.gone
        ]
        yield f"No longer: {', '.join(gone)}."


def examples(result: Result) -> tuple[str, ...]:
    """Give short lines as they are typed in that night."""
    letter = result.pieces[-1].piece if result.pieces else "A"
    return ("1310 wrapped foil", "+2:40 spritz", f"{letter} 1350 probe nearly")
