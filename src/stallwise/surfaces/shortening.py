"""What a day sheet can spare, least dear first, until it fits one side of paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from stallwise.joins.instants import apart
from stallwise.joins.sheet.sheetwords import SheetRow
from stallwise.joins.words import joined

__all__ = ["shortened"]

#: Kinds whose sign a cook knows after the first of them.
_ONCE = frozenset(
    {"check", "tender", "look", "spritz", "rub", "trim", "rest", "hold", "measure"}
    | {"carve", "pan", "carry", "serve"}
)
#: What comes later than this is not told in the row of the first: nobody would find it [s].
_SOON_S = 3600.0

Rows = Sequence[SheetRow]
Fits = Callable[[Rows, str], bool]

#: How dear a sign, a span and a detail is on paper, by kind of step; what is not named is 1.
#: From `_DECISION` on a cook decides by it, and pieces are put into one row first.
_WORTH: Mapping[str, Mapping[str, int]] = {
    "until": {
        "wrap": 10, "check": 10, "tender": 3, "glaze": 9, "rub": 8, "pit_steady": 6,
        "meat_on": 8, "spritz": 5, "look": 5, "unwrap": 4, "rest": 4, "fire_lit": 3, "climb": 2,
        "thaw": 0, "trim": 0, "trim_brisket": 0, "carve": 0, "serve": 0, "hold": 0,
    },
    "span": {"wrap": 9, "tender": 9, "spritz": 5, "look": 5, "check": 3},
    "detail": {"hold": 6, "rest": 6, "fire_lit": 6, "check": 5, "meat_on": 5, "rub": 4},
}  # fmt: skip
_DECISION = 7
_NAMES = {"detail": "details", "span": "spans", "until": "signs"}
#: Before the letter and time of a piece whose turn comes later in the same row.
_THEN = "; then"


def shortened(rows: Rows, fits: Fits) -> tuple[list[SheetRow], str, bool]:
    """Take out what can be spared until the rows fit.

    Parameters
    ----------
    rows : sequence of SheetRow
        All rows in full.
    fits : callable
        Whether rows fit one side, beside a sentence on what was left out.

    Returns
    -------
    tuple of list of SheetRow, str, bool
        The rows, what to say of it (empty when nothing dear was left out), and whether it is
        one side.
    """
    full = _said_once(rows)
    for shape in (full, _rest_with_tender(full), _side_by_side(_rest_with_tender(full))):
        gone = {"span"} if len(_spans(shape)) < len(_spans(full)) else set()
        kept = _spared(shape, _DECISION, fits, gone)
        if kept is not None:
            return kept, _left_out(shape, kept, gone), True
    return full, "", False


def _spans(rows: Rows) -> list[str]:
    """Spans of what a cook decides by: to put pieces into one row takes them out."""
    return [row.span for row in rows if _WORTH["span"].get(row.kind, 0) >= _DECISION and row.span]


def _spared(rows: Rows, limit: int, fits: Fits, merged: set[str]) -> list[SheetRow] | None:
    kept = list(rows)
    spare = sorted(_parts(rows, limit))
    bare = list(rows)
    for _, index, name in spare:
        bare[index] = _with(bare[index], name, "")
    if not fits(bare, _left_out(rows, bare, merged)):
        return None
    for _, index, name in spare:
        if fits(kept, _left_out(rows, kept, merged)):
            break
        kept[index] = _with(kept[index], name, "")
    # What takes no line of its own comes back, the dearest first.
    for _, index, name in reversed(spare):
        back = list(kept)
        back[index] = _with(back[index], name, getattr(rows[index], name))
        if fits(back, _left_out(rows, back, merged)):
            kept = back
    return kept


def _with(row: SheetRow, name: str, text: str) -> SheetRow:
    parts = {part: getattr(row, part) for part in _WORTH} | {name: text}
    return replace(row, until=parts["until"], span=parts["span"], detail=parts["detail"])


def _parts(rows: Rows, limit: int) -> Iterator[tuple[int, int, str]]:
    for index, row in enumerate(rows):
        for name, worth in _WORTH.items():
            value = worth.get(row.kind, 1)
            if getattr(row, name) and value < limit:
                yield value, index, name


def _left_out(rows: Rows, kept: Rows, merged: set[str]) -> str:
    gone = [
        words
        for name, words in _NAMES.items()
        if name in merged
        or any(
            getattr(old, name) and not getattr(new, name) and _WORTH[name].get(old.kind, 1)
            for old, new in zip(rows, kept, strict=True)
        )
    ]
    if not gone:
        return ""
    listed = joined(gone)
    return f"Some {listed} left out to fit one side."


def _said_once(rows: Rows) -> list[SheetRow]:
    """Say a sign once, and the first of several; how to check is said once too."""
    found: list[SheetRow] = []
    signs: set[str] = set()
    for row in rows:
        sign = row.until.partition(";")[0]
        repeated = sign in signs and row.kind in _ONCE
        known = row.kind == "check" and row.detail in signs
        found.append(
            replace(row, until="" if repeated else sign, detail="" if known else row.detail)
        )
        signs |= {sign, row.detail}
    return found


def _rest_with_tender(rows: Rows) -> list[SheetRow]:
    """Put tender and rest in one row where they begin together."""
    found: list[SheetRow] = []
    for row in rows:
        tender = next(
            (
                index
                for index, other in enumerate(found)
                if (other.kind, other.who, other.clock) == ("tender", row.who, row.clock)
            ),
            None,
        )
        if row.kind == "rest" and tender is not None and not row.done:
            old = found[tender]
            cautions = (*old.cautions, *row.cautions)
            what = f"{old.what}. {row.what}"
            found[tender] = replace(old, what=what, detail=row.detail, cautions=cautions)
        else:
            found.append(row)
    return found


def _side_by_side(rows: Rows) -> list[SheetRow]:
    """Put the same step of another piece into the row of the first, with its time."""
    found: list[SheetRow] = []
    for row in rows:
        first = next((i for i, other in enumerate(found) if _alike(other, row)), None)
        if first is None:
            found.append(row)
            continue
        old = found[first]
        changes: dict[str, Any] = {"cautions": (*old.cautions, *row.cautions), "span": ""}
        same = row.detail == old.detail or (row.kind == "check" and not row.detail)
        changes["detail"] = old.detail if same else ""
        if row.clock == old.clock:
            changes["who"] = " ".join(sorted({*old.who.split(), *row.who.split()}))
        else:
            mark = "," if _THEN in old.what else _THEN
            changes["what"] = f"{old.what}{mark} {row.who} {row.clock}"
        found[first] = replace(old, **changes)
    return found


def _alike(first: SheetRow, row: SheetRow) -> bool:
    return (
        row.kind not in {"climb", "fire_lit", "switch_on", "pit_steady"}
        and bool(row.who)
        and (first.kind, first.day) == (row.kind, row.day)
        and first.what.partition(_THEN)[0] == row.what
        and row.until in {"", first.until}
        and not (row.done or first.done)
        and apart(row.at, first.at).total_seconds() <= _SOON_S
        and row.who not in first.who.split()
    )
