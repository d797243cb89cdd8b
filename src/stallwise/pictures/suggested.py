"""What the readings suggest, under the curves: faint and dashed, for nobody has written it down."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from stallwise.joins import words
from stallwise.joins.learn.inferredwords import own, said
from stallwise.joins.result import Inferred, PieceResult, Result
from stallwise.pictures import ink
from stallwise.pictures.findings import hour_of, traces
from stallwise.pictures.labels import Item, pack
from stallwise.pictures.scene import SIZE, Scene
from stallwise.pictures.written import CAPTION, GUTTER, ROW, SMALL

__all__ = ["suggested"]

#: A picture shows so many at most, these kinds first; the table has them all.
_MOST = 6
_FIRST = (
    "stall",
    "pit_sag",
    "probe_moved",
    "probe_suspect",
    "wrapped",
    "off",
    "lid_open",
    "feel_check",
    "meat_on",
)

_Group = list[Inferred]


def suggested(
    scene: Scene, piece: PieceResult, result: Result, y: float, walls: Sequence[float]
) -> float:
    """Draw what the probes of a piece and its pit suggest, each with how sure it is.

    Parameters
    ----------
    scene : Scene
        The picture so far.
    piece, result : PieceResult, Result
        Whose readings. A pit's are drawn under the first piece that stands in it.
    y : float
        Where the rows begin [px].
    walls : sequence of float
        Upright lines that words keep clear of [px].

    Returns
    -------
    float
        Where the rows end [px].
    """
    groups = _groups(scene, piece, result)
    if not groups:
        return y
    scene.word(GUTTER, y + 9, "as the readings look", colour=ink.SOFT, size=SMALL)
    items = [_item(scene, result, group) for group in groups]
    placed = pack(items, 2, scene.width, walls=walls)
    for group, item in zip(groups, placed, strict=True):
        middle = y + CAPTION + ROW * item.row + 8
        for one in group:
            start, end = _ends(scene, result, one)
            if end > start:
                scene.rule((start, middle, end, middle), colour=ink.SOFT, width=2, dash="_dashes")
            else:
                scene.rule((start, middle - 6, start, middle + 6), colour=ink.SOFT, dash="_dots")
        scene.word(item.text_x, middle, item.text, align=item.align, colour=ink.SOFT)
    return y + CAPTION + ROW * (1 + max(item.row for item in placed))


def _groups(scene: Scene, piece: PieceResult, result: Result) -> list[_Group]:
    first = next(one for one in result.pieces if one.pit == piece.pit)
    with_pit = first is piece
    mine = [
        item
        for item in own(result)
        if (item.piece == piece.piece or (with_pit and item.pit and piece.pit in {"", item.pit}))
        and scene.hours.low <= hour_of(item.at, result) <= scene.hours.high
    ]
    mine.sort(key=lambda item: (_FIRST.index(item.kind), item.words, item.at))
    groups: list[_Group] = []
    for (kind, _), items in groupby(mine, key=lambda item: (item.kind, item.words)):
        alike = list(items)
        groups += [alike] if kind == "lid_open" else [[item] for item in alike]
    return sorted(groups[:_MOST], key=lambda group: group[0].at)


def _item(scene: Scene, result: Result, group: _Group) -> Item:
    start, _ = _ends(scene, result, group[0])
    _, end = _ends(scene, result, group[-1])
    text, short = said(group[0], times=len(group)), said(group[0])
    if group[0].kind == "stall" and group[0].temperature_c is not None:
        text = f"{short} {words.temperature(group[0].temperature_c, result.units)}"
    marks = tuple(_ends(scene, result, one)[0] for one in group) if len(group) > 1 else ()
    return Item(start - 2, end + 2, text, SIZE, short=short, marks=marks)


def _ends(scene: Scene, result: Result, one: Inferred) -> tuple[float, float]:
    """Where it begins and ends [px]; a moment ends where it begins."""
    start = hour_of(one.at, result)
    end = start
    if one.kind in {"stall", "pit_sag", "probe_suspect"}:
        end = hour_of(one.until, result) if one.until else _last_read(result, one)
    return scene.hours.px(start), scene.hours.px(min(max(end, start), scene.hours.high))


def _last_read(result: Result, one: Inferred) -> float:
    """Last reading of what it is about [h]: so long it lasts for certain."""
    return max((trace.elapsed_h[-1] for trace in traces(result, one.piece or one.pit)), default=0.0)
