"""The plan of a day as one picture: a band a piece on one time axis, its uncertain end drawn as one.

A band is filled as long as its piece is on the fire on any likely day, and hatched open from the
earliest to the latest end of four days in five, with the middle one marked; below it runs the wait
until it is served. Above stand the pits, below whose hands are bound when. What differs by shape and
place needs no colour: it reads in grey.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stallwise.joins import words
from stallwise.joins.result import PieceResult, Result, Step
from stallwise.joins.sheet.readers import person_name
from stallwise.joins.sheet.sheetwords import kind_of, step_clock
from stallwise.pictures import ink
from stallwise.pictures.axis import hours_axis
from stallwise.pictures.findings import hour_of, offset_h
from stallwise.pictures.labels import Item, fitted, pack, text_width
from stallwise.pictures.scene import SIZE, Scene, Span

__all__ = ["plan_scene", "plan_words"]

_EDGE = 10
_SMALL = 11.5
#: Height of a name, of a band, of a row of words, of a lane of hands [px].
_NAME, _BAND, _ROW, _LANE = 20, 14, 17, 9
#: So long before the first fire, and after the last plate, nothing is shown [h].
_BEFORE_H, _AFTER_H = 0.5, 0.75
_LIT = frozenset({"fire_lit", "switch_on"})
_DAYS_BEFORE = frozenset({"thaw", "thaw_cold", "gear", "soak", "simmer"})


def plan_words(result: Result) -> str:
    """Say how to read it, and what it shows of each piece, a sentence a piece."""
    said = [_piece_words(piece, result) for piece in result.pieces]
    return " ".join(["Bands: on the fire; open ends: four days in five.", *said])


def _piece_words(piece: PieceResult, result: Result) -> str:
    stage = piece.stages.get("tender")
    on = words.day_clock(piece.on_at, result.date, result.as_of if not piece.is_on else None)
    parts = [f"on at {on}"]
    if stage is not None:
        parts.append(f"{piece.finish} {words.window(stage, result)}")
    if piece.serve_at:
        parts.append(f"eaten at {words.day_clock(piece.serve_at, result.date)}")
    return f"{piece.piece}: {', '.join(parts)}."


def plan_scene(result: Result, width: int) -> Scene:
    """Lay the plan out.

    Parameters
    ----------
    result : Result
        Answer to the cook.
    width : int
        Width [px]; 344 for a phone, 720 for a page.
    """
    scene = Scene(width, 0.0, _span(result, width))
    serves = {piece.serve_at for piece in result.pieces if piece.serve_at}
    together = len(serves) == 1 and all(piece.serve_at for piece in result.pieces)
    top = y = 24.0 if together else 6.0
    for letter in dict.fromkeys(piece.pit for piece in result.pieces):
        y = _pit(scene, result, letter, y)
    for piece in result.pieces:
        y = _piece(scene, result, piece, y, own_wall=not together)
    if together:
        _wall(scene, result, result.pieces[0], top, y)
        _legend(scene, result)
    y = _hands(scene, result, y + 4)
    if result.state == "running":
        px = scene.hours.px(hour_of(result.as_of, result))
        if _EDGE < px < width - _EDGE:
            scene.rule((px, top, px, y), colour=ink.INK, width=1.5, dash="_dots")
    # Behind it all run the lines of the hours.
    scene.panels.append(Span(0.0, 1.0, y, top))
    scene.height = math.ceil(hours_axis(scene, result, y + 2))
    return scene


def _legend(scene: Scene, result: Result) -> None:
    """Say what an open end is, where the time to eat leaves room."""
    said = "open end: four days in five"
    eat = _eat(result.pieces[0], result)
    wall = scene.hours.px(max(hour_of(p.serve_at, result) for p in result.pieces if p.serve_at))
    left = min(wall, scene.width - text_width(eat, SIZE) / 2 - 2) - text_width(eat, SIZE) / 2
    if _EDGE + text_width(said, _SMALL) < left - 8:
        scene.word(_EDGE, 12, said, colour=ink.SOFT, size=_SMALL)


def _span(result: Result, width: int) -> Span:
    """Hours from the first fire to the last plate, or the latest likely end."""
    starts = [hour_of(step.at, result) for step in result.steps if kind_of(step) in _LIT]
    ends = [hour_of(piece.serve_at, result) for piece in result.pieces if piece.serve_at]
    for piece in result.pieces:
        low, middle, high = _tender(piece, result) or (None, None, None)
        ends += [value for value in (high, middle, low) if value is not None][:1]
    first = min([0.0, *starts]) - _BEFORE_H
    last = max([1.0, *ends]) + _AFTER_H
    return Span(first, last, _EDGE, width - _EDGE)


def _tender(piece: PieceResult, result: Result) -> tuple[float, float, float] | None:
    """Early, middle and late end on the picture's axis [h]; a late one beyond the horizon is none."""
    stage = piece.stages.get("tender")
    if stage is None or stage.elapsed_h.p50 is None or not math.isfinite(stage.elapsed_h.p50):
        return None
    shift, middle = offset_h(piece, result), stage.elapsed_h.p50
    low, high = stage.elapsed_h.p10, stage.elapsed_h.p90
    if stage.known:
        low = high = middle
    late = middle if high is None or not math.isfinite(high) else high
    return (middle if low is None else low) + shift, middle + shift, late + shift


def _first(result: Result, kinds: frozenset[str] | set[str], whose: str) -> Step | None:
    found = (s for s in result.steps if kind_of(s) in kinds and whose in {s.piece, s.pit})
    return next(found, None)


def _clock(step: Step, result: Result) -> str:
    at = step.done_at or step_clock(step, result.as_of)
    return words.day_clock(at, result.date)


def _pit(scene: Scene, result: Result, letter: str, y: float) -> float:
    """Name a pit, with a thin band from its lighting to the last piece's end."""
    lit, steady = _first(result, _LIT, letter), _first(result, {"pit_steady"}, letter)
    if lit is None:
        return y
    many = len({piece.pit for piece in result.pieces}) > 1
    name = result.pit_names.get(letter, "pit") if letter else "pit"
    begun = "lit" if kind_of(lit) == "fire_lit" else "on"
    told = [f"{letter} · {name}" if many else name, f"{begun} {_clock(lit, result)}"]
    if steady is not None:
        told.append(f"steady {step_clock(steady, result.as_of):%H:%M}")
    ends = [_tender(piece, result) for piece in result.pieces if piece.pit == letter]
    last = max([end[2] for end in ends if end] or [0.0])
    room = scene.width - 2 * _EDGE
    while len(told) > 1 and text_width(", ".join(told), SIZE) > room:
        told.pop()  # a time is told whole or not at all
    scene.word(_EDGE, y + 8, fitted(", ".join(told), SIZE, room), colour=ink.SOFT)
    start, middle = hour_of(lit.done_at or lit.at, result), y + _NAME + 3
    if steady is not None:
        # Until it is steady it is only a line.
        steady_h = hour_of(steady.done_at or steady.at, result)
        px = scene.hours.px
        scene.rule((px(start), middle, px(steady_h), middle), colour=ink.SOFT, width=1.5)
        start = steady_h
    scene.bar((start, last), (middle - 3, middle + 3), ink.SOFT)
    return y + _NAME + 14


def _piece(scene: Scene, result: Result, piece: PieceResult, y: float, *, own_wall: bool) -> float:
    """Lay out a piece: its name, its band with the open end, the wait below, and words for all three."""
    px, ends, on = scene.hours.px, _tender(piece, result), offset_h(piece, result)
    name = fitted(words.piece_name(piece), SIZE, scene.width - 2 * _EDGE)
    scene.word(_EDGE, y + 8, name, bold=True)
    if own_wall and piece.serve_at:
        # The time to eat stands in the same line if it does not run into the name.
        eat = px(hour_of(piece.serve_at, result)) - 5 - text_width(_eat(piece, result), SIZE)
        y += 0 if _EDGE + text_width(name, SIZE) + 12 < eat else _ROW
    top = y + _NAME
    middle, bottom = top + _BAND / 2, top + _BAND
    if ends is None:
        scene.bar((on, scene.hours.high), (top, bottom), ink.BAND)
        items = []
    else:
        low, mid, high = ends
        scene.bar((on, low), (top, bottom), ink.BAND)
        _open_end(scene, (px(low), px(mid), px(high)), top, bottom)
        if piece.serve_at:
            serve = px(hour_of(piece.serve_at, result))
            if serve > px(mid):
                scene.rule((px(mid), bottom + 3, serve, bottom + 3), colour=ink.INK, width=2.5)
        stage = piece.stages["tender"]
        said = f"{piece.finish} {words.window(stage, result)}"
        items = [Item(px(mid), px(mid), said, SIZE, short=piece.finish)]
    scene.rule((px(on), top - 2, px(on), bottom + 2), colour=ink.ACCENT, width=2)
    items = [Item(px(on), px(on), _on_words(piece, result), SIZE, short="on"), *items]
    items += _wrapped(scene, result, piece, middle)
    # The words of a band stand below it, in rows of their own.
    walls = [px(hour_of(piece.serve_at, result))] if piece.serve_at else []
    ordered = sorted(items, key=lambda item: item.left)
    placed = pack(ordered, 2, scene.width - 2, walls=walls)
    y = bottom + 8
    for item in placed:
        scene.word(
            item.text_x,
            y + _ROW * item.row + 7,
            item.text,
            align=item.align,
            colour=ink.ACCENT if item.text.startswith(piece.finish) else ink.INK,
        )
    y += _ROW * (1 + max(item.row for item in placed)) + 8
    if own_wall and piece.serve_at:
        _wall(scene, result, piece, top - 4, bottom + 6, below=False)
    return y


def _on_words(piece: PieceResult, result: Result) -> str:
    step = _first(result, {"meat_on"}, piece.piece)
    at = _clock(step, result) if step else words.day_clock(piece.on_at, result.date)
    return f"on {at}"


def _open_end(scene: Scene, ends: tuple[float, float, float], top: float, bottom: float) -> None:
    """Draw an end that is not known: hatched from early to late, the middle one marked [px]."""
    low, mid, high = ends
    if high - low > 1.0:
        for y in (top + 0.5, bottom - 0.5):
            scene.rule((low, y, high, y), colour=ink.ACCENT, width=1, dash="_dashes")
        at = low + 4.0
        while at < high - 1.0:
            scene.rule((at, top + 2, at, bottom - 2), colour=ink.ACCENT, width=0.6)
            at += 5.0
        for at in (low, high):
            scene.rule((at, top, at, bottom), colour=ink.ACCENT, width=1)
    scene.rule((mid, top - 3, mid, bottom + 3), colour=ink.ACCENT, width=2.5)


def _wrapped(scene: Scene, result: Result, piece: PieceResult, y: float) -> list[Item]:
    """Mark the wrap on the band."""
    step = _first(result, {"wrap"}, piece.piece)
    if step is None:
        return []
    px = scene.hours.px(hour_of(step.done_at or step.at, result))
    filled = ink.INK if step.done_at else ink.PAPER
    scene.mark(px, y, "diamond", fill=filled, size=60)
    return [Item(px, px, f"wrap {_clock(step, result)}", SIZE, short="wrap")]


def _eat(piece: PieceResult, result: Result) -> str:
    return f"eat {words.day_clock(piece.serve_at, result.date)}"


def _wall(
    scene: Scene,
    result: Result,
    piece: PieceResult,
    top: float,
    bottom: float,
    *,
    below: bool = True,
) -> None:
    """Draw the time to eat as a line, its word on top."""
    if piece.serve_at is None:
        return
    px = scene.hours.px(hour_of(piece.serve_at, result))
    said = _eat(piece, result)
    scene.rule((px, top, px, bottom), colour=ink.INK, width=2)
    if below:
        half = text_width(said, SIZE) / 2
        scene.word(min(px, scene.width - half - 2), top - 12, said, align="center", bold=True)
    else:
        scene.word(px - 5, top - 12, said, align="right", bold=True)


def _hands(scene: Scene, result: Result, y: float) -> float:
    """Draw whose hands are bound when, a lane a person."""
    steps = [
        step for step in result.steps if step.hands_s > 0 and kind_of(step) not in _DAYS_BEFORE
    ]
    seen = scene.hours
    steps = [step for step in steps if seen.low <= hour_of(step.at, result) < seen.high]
    numbers = sorted({int(one) for step in steps for one in step.person.split()})
    for number in numbers:
        mine = [step for step in steps if str(number) in step.person.split()]
        name = f"hands: {person_name(str(number), result)}"
        scene.word(_EDGE, y + 8, name, colour=ink.SOFT, size=_SMALL)
        y += 17
        _lane(scene, result, mine, y)
        y += _LANE + 6
    return y


def _lane(scene: Scene, result: Result, steps: Sequence[Step], y: float) -> None:
    scene.rule((scene.hours.start_px, y + _LANE, scene.hours.end_px, y + _LANE), colour=ink.SOFT)
    for step in steps:
        start = hour_of(step.done_at or step.at, result)
        # Minutes on an axis of a day: never so thin that they are not seen.
        least = scene.hours.value(scene.hours.px(start) + 2.5) - start
        end = min(start + max(step.hands_s / 3600.0, least), scene.hours.high)
        scene.bar((start, end), (y, y + _LANE), ink.INK)
