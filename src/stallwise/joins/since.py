"""What is different from the cook that a plan came from, and how that one came out."""

from __future__ import annotations

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins import words
from stallwise.joins.draft import PIECE_FACTS
from stallwise.joins.learn.outcome import outcome
from stallwise.joins.parameters import PARAMETERS, Parameter
from stallwise.joins.tables import Table
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, Piece, PitUse

__all__ = ["came_out", "since"]

#: Numbers nearer than this are the same weight or temperature, typed in other units.
_SAME = 0.005
_UNSAID = "as usual"


def since(before: Cook, now: Cook, letter: str) -> Table | None:
    """List the plan parameters in which a piece differs from one of an earlier cook.

    Parameters
    ----------
    before : Cook
        The earlier cook.
    now : Cook
        The plan, with changes laid over it.
    letter : str
        Of the piece in `now`; it is compared with the one of the same letter and cut, or else the
        first of the cut.

    Returns
    -------
    Table or None
        None where the earlier cook had no such cut.
    """
    piece = next(one for one in now.pieces if one.letter == letter)
    alike = [one for one in before.pieces if one.cut == piece.cut]
    if not alike:
        return None
    old = next((one for one in alike if one.letter == letter), alike[0])
    rows = []
    for parameter in PARAMETERS.values():
        if parameter.level == "run" or parameter.kind == "date":
            continue
        then, today = _value(parameter, before, old), _value(parameter, now, piece)
        if today is None and (parameter.level == "weather" or parameter.key in PIECE_FACTS):
            continue  # a fact of that day, which nobody plans
        if not _same(parameter, then, today):
            rows.append((parameter.help, _said(then), _said(today)))
    return Table("What is different since", ("what", "then", "now"), tuple(rows))


def came_out(record: CookRecord, cut: str) -> str:
    """Say when the pieces of a cut had their finish in an earlier cook; empty where nobody saw."""
    said = []
    for piece in record.cook.pieces:
        found = outcome(record, piece) if piece.cut == cut else None
        if found is None or found.high_h == float("inf"):
            continue
        low, high = words.hours(found.low_h), words.hours(found.high_h)
        when = f"by {high}" if not found.low_h else high if low == high else f"{low} to {high}"
        how = "off the pit" if found.how == "off" else piece.finish or "tender"
        said.append(f"{piece.letter} {how} {when} after meat on")
    return f"{'; '.join(said)}." if said else ""


def _value(parameter: Parameter, cook: Cook, piece: Piece) -> object:
    if parameter.level == "piece":
        value = getattr(piece, parameter.key)
        return getattr(cook, parameter.key) if parameter.shared and value is None else value
    if parameter.level == "pit":
        pits = cook.pits or [PitUse()]
        return getattr(next((p for p in pits if p.letter == piece.pit), pits[0]), parameter.key)
    return getattr(cook.weather if parameter.level == "weather" else cook, parameter.key)


def _same(parameter: Parameter, then: object, now: object) -> bool:
    if then == now:
        return True
    if parameter.kind == "clock" and then and now:
        # The day differs anyway; what is asked is the time on the clock.
        return str(then).split()[-1] == str(now).split()[-1]
    if parameter.kind not in units.KINDS or then is None or now is None:
        return False
    try:
        old, new = (units.parse(parameter.kind, str(value)) for value in (then, now))
    except InputError:
        return False
    return abs(float(old) - float(new)) <= _SAME * max(abs(float(new)), 1e-9)


def _said(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _UNSAID if value is None else str(value)
