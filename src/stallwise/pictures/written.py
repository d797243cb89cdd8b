"""What was written down, under the curves: a mark for each thing that happened, with its word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from stallwise.joins.result import Observation, PieceResult, Result
from stallwise.pictures import ink
from stallwise.pictures.bark import BARK
from stallwise.pictures.findings import event_words, hour_of, is_about
from stallwise.pictures.labels import Item, has_room, pack
from stallwise.pictures.scene import SIZE, Scene

__all__ = ["CAPTION", "GUTTER", "ON_CURVE", "ROW", "SMALL", "written"]

#: Room for degrees at the left, height of a row and of the line over the rows, small type [px].
GUTTER = 38
ROW = 20.0
CAPTION = 19.0
SMALL = 11.5

#: Happen again and again: one row of ticks and one word.
_REPEATED = frozenset({"spritz", "turned", "lid_open", "wood", "glazed", "weighed"})
#: Drawn among the curves, where their temperature is.
ON_CURVE = frozenset({"core_reading", "pit_reading"})
#: Said elsewhere in the picture, or for the cook alone.
_LEFT_OUT = frozenset({"note", "spritz_count", "left_over", *ON_CURVE})

#: Shape and inside of a feel check's marker; the word stands beside it.
_VERDICTS = {
    "not yet": ("circle", ink.PAPER),
    "nearly": ("diamond", ink.PAPER),
    "tender": ("circle", ink.INK),
    "past it": ("square", ink.INK),
}

_Events = list[Observation]
_Group = tuple[_Events, str]


def written(
    scene: Scene, piece: PieceResult, result: Result, y: float, walls: Sequence[float]
) -> float:
    """Draw feel checks and events as marks with their words.

    Parameters
    ----------
    scene : Scene
        The picture so far.
    piece, result : PieceResult, Result
        Whose events.
    y : float
        Where the rows begin [px].
    walls : sequence of float
        Upright lines that words keep clear of [px].

    Returns
    -------
    float
        Where the rows end [px].
    """
    groups = _grouped(scene, result, piece)
    if not groups:
        return y
    scene.word(GUTTER, y + 9, "as written down", colour=ink.SOFT, size=SMALL)
    px = scene.hours.px
    items = [_item(scene, result, events, text) for events, text in groups]
    placed = pack(items, 2, scene.width, walls=walls)
    for (events, _), item in zip(groups, placed, strict=True):
        middle_y = y + CAPTION + ROW * item.row + 8
        for event in events:
            at = px(hour_of(event.at, result))
            if event.what == "feel_check":
                shape, fill = _VERDICTS.get(event.verdict, ("circle", ink.PAPER))
                scene.mark(at, middle_y, shape, fill=fill)
            elif event.what == "bark":
                scene.mark(at, middle_y, "square", fill=BARK.get(event.verdict, ink.PAPER))
            else:
                scene.rule((at, middle_y - 5, at, middle_y + 5), colour=ink.INK, width=2)
        tender = events[0].what == "feel_check" and events[0].verdict == "tender"
        scene.word(item.text_x, middle_y, item.text, align=item.align, bold=tender)
    return y + CAPTION + ROW * (1 + max(item.row for item in placed))


def _item(scene: Scene, result: Result, events: _Events, text: str) -> Item:
    places = tuple(scene.hours.px(hour_of(event.at, result)) for event in events)
    return Item(places[0] - 4, places[-1] + 4, text, SIZE, marks=places)


def _told(scene: Scene, result: Result, events: _Events, text: str) -> Iterator[_Group]:
    """Give a group its word; told in two parts where the word would cover one of its marks."""
    said = f"{text}, {len(events)} times" if len(events) > 1 else text
    if len(events) == 1 or has_room(_item(scene, result, events, said), 2, scene.width):
        yield events, said
        return
    gaps = [later.at - sooner.at for sooner, later in pairwise(events)]
    # Of gaps alike the one in the middle: eighty ticks are two rows and not forty.
    middle = len(gaps) / 2
    cut = 1 + max(range(len(gaps)), key=lambda i: (gaps[i], -abs(i + 0.5 - middle)))
    yield from _told(scene, result, events[:cut], text)
    yield from _told(scene, result, events[cut:], text)


def _grouped(scene: Scene, result: Result, piece: PieceResult) -> list[_Group]:
    """Events of a piece and its pit in order of time; what repeats is one group."""
    mine = sorted(
        (
            event
            for event in result.events
            if event.what not in _LEFT_OUT
            and scene.hours.low <= hour_of(event.at, result) <= scene.hours.high
            and is_about(event, piece)
        ),
        key=lambda event: event.at,
    )
    groups: list[_Group] = []
    for event in mine:
        text = event_words(event, result)
        same = next((g for g in groups if g[1] == text and event.what in _REPEATED), None)
        if same:
            same[0].append(event)
        else:
            groups.append(([event], text))
    return [told for events, text in groups for told in _told(scene, result, events, text)]
