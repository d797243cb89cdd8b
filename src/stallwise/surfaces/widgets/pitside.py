"""For those who carry the laptop: a button for what is next, for what is felt, seen and counted.

A press is a line of the log, stamped now or with the time typed beside it; it is undone by a line
that takes it back. What is odd is asked first, and a press in haste writes nothing twice.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Sequence
from functools import partial

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.log.logbook import numbered
from stallwise.joins.log.paper import Understood, entry_words, read_one
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.result import Result
from stallwise.joins.sheet.stepline import is_of_pit, next_lines
from stallwise.pictures.bark import BARK
from stallwise.record.log import LogLine
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.logbook import Logbook

__all__ = ["PitSide"]

#: So many steps have a button.
_SHOWN = 8
#: A press so soon after a button got another meaning was meant for the old one [s].
_HASTE_S = 1.0
#: The same line again within this time is the same press.
_SAME = dt.timedelta(seconds=60)

_AGAIN = {
    "Spritzed": "spritzed", "Fire fed": "wood on", "Lid opened": "lid open",
    "Turned": "turned", "Glazed": "glazed",
}  # fmt: skip
_CHECKS = ("probe", "poke", "bend", "twist")
_VERDICTS = ("not yet", "nearly", "tender", "past it")
#: What is counted, with the words that the log takes for it.
_COUNTS = {
    "times spritzed in all": "spritzed {} times",
    "splits put on": "{} splits",
    "chimneys put on": "{} chimneys",
    "scoops put on": "{} scoops",
    "splits left": "{} splits left",
    "scoops left": "{} scoops left",
    "fuel left, weighed": "fuel left {}",
    "left over, how many": "{} left over",
    "left over, weighed": "left over {}",
}


class PitSide:
    """The buttons.

    Parameters
    ----------
    book : Logbook
        Where lines are written.
    raises : bool
        For tests, see `Guard`.
    ticks : callable
        Seconds of a clock that is never put back.
    """

    def __init__(
        self, book: Logbook, *, raises: bool = False, ticks: Callable[[], float] = time.monotonic
    ) -> None:
        self.book = book
        self.guard = Guard(raises=raises)
        self._ticks = ticks
        self._changed = ticks() - _HASTE_S
        self._asked: tuple[str, str, str] | None = None
        self._steps: tuple[tuple[str, str], ...] = ()
        self.when = ui.Text(description="When it was (empty: now)", placeholder="13:10 or +2:40")
        letters = [piece.letter for piece in book.desk.record.cook.pieces]
        self.whose = ui.Dropdown(
            description="Which piece", options=[("all pieces", ""), *((x, x) for x in letters)]
        )
        self.whose.layout.display = "" if len(letters) > 1 else "none"
        self.next = [
            self.guard.button("", "sw-next-step", partial(self._next, n)) for n in range(_SHOWN)
        ]
        self.again = [self._says(words, phrase) for words, phrase in _AGAIN.items()]
        self.check = ui.Dropdown(description="Felt how", options=_CHECKS)
        self.felt = [
            self._button(verdict, partial("{0.value} {1}".format, self.check, verdict))
            for verdict in _VERDICTS
        ]
        self.bark = [self._says(word, f"bark {word}") for word in BARK]
        self.number = ui.Text(description="Counted or weighed", placeholder="3, or 2 lb 4 oz")
        self.counted = ui.Dropdown(description="of what", options=list(_COUNTS))
        self.count = self.guard.button("Write it", "sw-count-write", self._count)
        self.gone = self._says("Nothing is left over", "all gone")
        self.undo = self.guard.button("", "sw-undo-line", self._undo)
        self.fold = ui.Accordion(
            [self._laid_out()], titles=["With the laptop at the pit: buttons"], selected_index=None
        )
        self.fold.add_class("sw-fold")
        self.fold.add_class("sw-pit-side")

    def _laid_out(self) -> ui.VBox:
        def row(name: str, words: str, *parts: ui.Widget) -> ui.VBox:
            buttons = ui.HBox(parts)
            buttons.add_class("sw-row")
            whole = ui.VBox([html.show(html.element("h3", words)), buttons])
            whole.add_class("sw-press")
            whole.add_class(name)
            return whole

        slices = []
        for button, word in zip(self.bark, BARK, strict=True):
            one = ui.VBox([html.show(html.bark(word)), button])
            one.add_class("sw-bark-step")
            slices.append(one)
        for part, name in (
            (self.when, "sw-when"), (self.whose, "sw-whose"), (self.check, "sw-check"),
            (self.number, "sw-counted-number"), (self.counted, "sw-counted-what"),
        ):  # fmt: skip
            part.add_class(name)
        top = ui.HBox([self.when, self.whose])
        top.add_class("sw-row")
        return ui.VBox(
            [
                top,
                row("sw-steps", "Next on the sheet", *self.next),
                self.undo,
                self.guard.box,
                row("sw-agains", "Again and again", *self.again),
                row("sw-feels", "By feel", self.check, *self.felt),
                row("sw-barks", "How dark the bark is", *slices),
                row("sw-counts", "Counts and leftovers", self.number, self.counted, self.count,
                    self.gone),
            ]
        )  # fmt: skip

    # ---- what is shown

    def show(self, result: Result) -> None:
        """Show what is next by an answer, and what can be undone."""
        lines = next_lines(result, self.book.desk.record)[:_SHOWN]
        steps = tuple((line.phrase, line.letter) for line in lines)
        if steps != self._steps:
            self._changed = self._ticks() if self._steps else self._changed
            self._steps = steps
        for button, line in zip(self.next, (*lines, *[None] * _SHOWN), strict=False):
            button.layout.display = "" if line else "none"
            button.description = line.label if line else ""
        self._offer()

    def _offer(self) -> None:
        line = self._last()
        self.undo.layout.display = "" if line else "none"
        if line:
            self.undo.description = f"Take back: {entry_words(line, self.book.context())}"

    def _last(self) -> LogLine | None:
        """Line written last by hand in a notebook that holds, also of a kernel that is gone."""
        log = self.book.context().log
        mine = [e for e in numbered(log) if e.state == "holds" and e.line.source == "notebook"]
        last = max(mine, key=lambda each: each.number, default=None)
        return last.line if last else None

    # ---- what is pressed

    def _button(self, words: str, phrase: Callable[[], str]) -> ui.Button:
        return self.guard.button(words, "sw-says", lambda _: self._press(phrase(), self._who))

    def _says(self, words: str, phrase: str) -> ui.Button:
        return self._button(words, lambda: phrase)

    @property
    def _who(self) -> str:
        return str(self.whose.value)

    def _next(self, number: int, _button: object) -> None:
        if self._ticks() - self._changed < _HASTE_S:
            self.guard.say(
                "Nothing was written: the buttons had only just changed. Look, and press once more.",
                kind="asked",
            )
            return
        self._press(*self._steps[number])

    def _count(self, _button: object) -> None:
        said = self.number.value.strip()
        if not said:
            raise InputError("nothing is counted", "a number such as 3, or a weight such as 2 lb")
        self._press(_COUNTS[str(self.counted.value)].format(said), self._who)

    def _undo(self, _button: object) -> None:
        line = self._last()
        if line:
            self.guard.say(f"Taken back: {self.book.withdraw_line(line.id)}.")

    def _press(self, phrase: str, letter: str) -> None:
        context, when = self.book.context(), self.when.value.strip()
        line = read_one(phrase, at=when or None, piece=_fitting(phrase, letter, context),
                        context=context)  # fmt: skip
        asked = (phrase, letter, when)
        odd = [*line.doubts, *([] if when else _clock_doubts(context))]
        if odd and self._asked != asked:
            self._asked = asked
            self.guard.say(
                f"{line.as_text}: not written yet. {'; '.join(odd)}.\nPress it again to write it "
                "all the same.",
                kind="asked",
            )
            return
        self._asked = None
        written = 0 if _just_now(line, context) else self.book.write(line.entries)[0]
        self.guard.say(f"Written: {line.as_text}." if written else f"{line.as_text}: in the log already.")  # fmt: skip
        self.when.value = self.number.value = ""


def _fitting(phrase: str, letter: str, context: PaperContext) -> str:
    """Letter for a press: what is done to a pit is done to that of the piece chosen."""
    return context.piece_pits.get(letter, letter) if is_of_pit(phrase) else letter


def _clock_doubts(context: PaperContext) -> list[str]:
    """Say that the computer's clock stands before what it wrote itself: it was put back."""
    newest = max((line.made for line in context.log), default=None)
    now = context.now
    if now is None or newest is None or newest - now < _SAME:
        return []
    zone = context.zone
    said = (
        f"this computer's clock says {now.astimezone(zone):%H:%M}, and it wrote a line at "
        f"{newest.astimezone(zone):%H:%M} already: type the time beside it"
    )
    return [said]


def _just_now(line: Understood, context: PaperContext) -> bool:
    """Whether the same was written within the last minute: a finger that pressed twice."""
    held = context.logged
    return all(_is_there(entry, held) for entry in line.entries)


def _is_there(entry: LogLine, held: Sequence[LogLine]) -> bool:
    return any(
        (each.what, each.piece, each.pit, each.data)
        == (entry.what, entry.piece, entry.pit, entry.data)
        and abs(each.at - entry.at) < _SAME
        for each in held
    )
