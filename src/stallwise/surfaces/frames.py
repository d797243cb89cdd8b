"""A cook's data as pandas frames, for a cell of one's own: the only door to pandas.

Columns are in SI with the unit in the name; times are aware, in the cook's zone. Nothing
is computed here: rows come from the record or from a Result.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from stallwise.joins.ask import ask
from stallwise.joins.learn.outcome import finish_seen
from stallwise.joins.result import Result, Spread

if TYPE_CHECKING:
    import datetime as dt

    import pandas as pd

    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import Cookbook

__all__ = ["cooks", "forecasts", "log", "readings", "salt", "stages"]

_COOKS = (
    *("cook", "date", "piece", "cut", "mass_kg", "wrap", "finish"),
    *("tender_p10_h", "tender_p50_h", "tender_p90_h", "tender_h"),
)


def cooks(book: Cookbook, *, made_at: dt.datetime) -> pd.DataFrame:
    """One row a piece of every cook: what it was, what was foreseen, what happened.

    Parameters
    ----------
    book : Cookbook
        An open cookbook.
    made_at : datetime
        Moment of the asking, aware.

    Returns
    -------
    DataFrame
        cook, date, piece, cut, mass_kg, wrap, finish, tender_p10_h, tender_p50_h,
        tender_p90_h (as it stood before meat on), tender_h (when it was seen to have
        its finish, by feel or by its core; or missing).
    """
    rows = []
    for folder in book.cooks():
        record = folder.load()
        result = ask(record, made_at=made_at)
        cook = {piece.letter: piece for piece in record.cook.pieces}
        for piece in result.pieces:
            expected = piece.stages["tender"].elapsed_h
            seen = finish_seen(record, cook[piece.piece])
            rows.append(
                {
                    "cook": record.name,
                    "date": record.cook.date,
                    "piece": piece.piece,
                    "cut": piece.cut,
                    "mass_kg": piece.mass_kg,
                    "wrap": piece.wrap,
                    "finish": piece.finish,
                    "tender_p10_h": expected.p10,
                    "tender_p50_h": expected.p50,
                    "tender_p90_h": expected.p90,
                    "tender_h": None if seen is None else seen.elapsed_h,
                }
            )
    return _frame(rows, _COOKS)


def stages(result: Result) -> pd.DataFrame:
    """One row a piece and stage, quantiles in elapsed hours."""
    names = [field.name for field in dataclasses.fields(Spread)]
    rows = [
        {"piece": piece.piece, "stage": stage.stage}
        | {name: getattr(stage.elapsed_h, name) for name in names}
        for piece in result.pieces
        for stage in piece.stages.values()
    ]
    return _frame(rows, ("piece", "stage", *names))


def log(record: CookRecord) -> pd.DataFrame:
    """Log lines in force, in order of time."""
    rows = [
        {
            "at": line.at.astimezone(record.zone),
            "what": line.what,
            "piece": line.piece,
            "pit": line.pit,
            "about": line.about,
            "text": line.text,
            "note": line.note,
        }
        for line in sorted(record.log, key=lambda line: line.at)
    ]
    return _frame(rows, ("at", "what", "piece", "pit", "about", "text", "note"))


def readings(record: CookRecord) -> pd.DataFrame:
    """Probe readings, long: one row a reading; what was left out on import stays missing."""
    rows = [
        {
            "at": at.astimezone(record.zone),
            "piece": probe.piece,
            "pit": probe.pit,
            "place": probe.place,
            "temperature_c": value,
        }
        for probe in record.readings
        for at, value in zip(probe.at, probe.temperature_c, strict=True)
    ]
    return _frame(rows, ("at", "piece", "pit", "place", "temperature_c"))


def salt(result: Result) -> pd.DataFrame:
    """Salt of each piece by where it comes from [g]."""
    rows = [
        {"piece": each.piece, "from": name, "salt_g": grams}
        for each in result.salt
        for name, grams in each.parts_g.items()
    ]
    return _frame(rows, ("piece", "from", "salt_g"))


def forecasts(record: CookRecord) -> pd.DataFrame:
    """Forecasts kept: when each was made, as of when, and its tender window [h]."""
    rows = [
        {
            "made_at": kept["made_at"],
            "as_of": kept["as_of"],
            "hindcast": kept["hindcast"],
            "piece": letter,
            **{
                f"tender_{name}_h": piece["stages"]["tender"][name]
                for name in ("p10", "p50", "p90")
            },
        }
        for kept in record.forecasts
        for letter, piece in kept["pieces"].items()
    ]
    return _frame(
        rows,
        ("made_at", "as_of", "hindcast", "piece", "tender_p10_h", "tender_p50_h", "tender_p90_h"),
    )


def _frame(rows: Sequence[Mapping[str, Any]], columns: Sequence[str]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(list(rows), columns=list(columns))
