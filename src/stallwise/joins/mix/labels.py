"""What is written on a jar or a box of leftovers: what, from when, and until when by which rule."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from stallwise.joins.limit.limitresult import Label
from stallwise.joins.limit.limitsaid import degrees
from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.result import PieceResult
from stallwise.tables.ingredient import allergen_list, with_check_label
from stallwise.tables.limits import clock, rule

__all__ = ["labels"]

#: Kinds of mixes that are kept in a jar, and the rule that says how long: no rule, no date.
_JARS: Mapping[str, str] = {
    "stock": "leftovers-fridge", "sauce": "", "table sauce": "", "glaze": "", "butter": "", "fat": "", "rub": "",
}  # fmt: skip
_NO_RULE = "no rule of ours says how long: your own"


def labels(
    pieces: Sequence[PieceResult],
    mixes: Sequence[MixResult],
    date: dt.date,
    system: str,
) -> tuple[Label, ...]:
    """Write labels: a jar for each mix that is kept, and a box for what is left of each piece.

    Parameters
    ----------
    pieces, mixes : sequence of PieceResult, of MixResult
        Of the cook.
    date : date
        The cook's.
    system : {"us", "metric"}
        Whose allergen law and which degrees.

    Returns
    -------
    tuple of Label
        A day to use it by only from a published rule, named beside it; else room to write.
    """
    return (*_jars(mixes, date, system), *_boxes(pieces, mixes, date, system))


def _jars(mixes: Sequence[MixResult], date: dt.date, system: str) -> Iterator[Label]:
    for mix in mixes:
        if mix.kind in _JARS:
            said = _allergens(mix, system)
            yield _label(mix.name, "made", date, _JARS[mix.kind], said, system)


def _boxes(
    pieces: Sequence[PieceResult], mixes: Sequence[MixResult], date: dt.date, system: str
) -> Iterator[Label]:
    for piece in pieces:
        on = [mix for mix in mixes if not mix.on or piece.piece in mix.on]
        found = dict.fromkeys(word for mix in on for word in allergen_list(_allergens(mix, system)))
        listed = with_check_label("; ".join(found))
        name = f"{piece.name} ({piece.piece})" if len(pieces) > 1 else piece.name
        # Leftovers go away after they were served, which may be the day after.
        day = piece.serve_at.date() if piece.serve_at else date
        yield _label(name, "into the cold", day, "leftovers-fridge", listed, system)


def _label(what: str, of: str, date: dt.date, key: str, allergens: str, system: str) -> Label:
    if not key:
        return Label(what, of, _day(date), "", _NO_RULE, allergens)
    row, said = clock(key), rule(clock(key).rule)
    last = _day(date + dt.timedelta(seconds=row.limit_s))
    cold = "" if row.to_c is None else f", at {degrees(row.to_c, system=system)} or colder"
    until = f"{last} at the latest{cold}"
    return Label(what, of, _day(date), until, f"{said.says} ({said.words})", allergens)


def _allergens(mix: MixResult, system: str) -> str:
    return mix.allergens_us if system == "us" else mix.allergens_eu


def _day(date: dt.date) -> str:
    return f"{date:%a} {date.day} {date:%B %Y}"
