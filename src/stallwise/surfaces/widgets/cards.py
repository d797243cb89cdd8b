"""Pieces as cards: one is open with its fields, each can be copied or taken out, one can be added."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ipywidgets as ui

from stallwise.ground.errors import StallwiseError
from stallwise.joins import words
from stallwise.joins.result import PieceResult, Result
from stallwise.record.schema import Piece
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.effect import cut_name
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.piecefields import CutField

__all__ = ["Cards"]


class Cards:
    """The pieces of a cook.

    Parameters
    ----------
    desk : Desk
        The cook.
    inside : widget
        Fields of a piece; they stand in the card that is open.
    moved : callable
        Told the letter to look at after a piece was opened, added, copied or taken out.
    guard : Guard
        Where words about a failure go.
    """

    def __init__(
        self, desk: Desk, inside: ui.Widget, moved: Callable[[str], None], guard: Guard
    ) -> None:
        self._desk = desk
        self._inside = inside
        self._moved = moved
        self._guard = guard
        self._cards: dict[str, _Card] = {}
        self._open = ""
        self.add = CutField(
            "add", "One more piece, by any word for its cut", desk, guard(self._add)
        )
        self.list = ui.VBox([])
        self.list.add_class("sw-cards")
        self.widget = ui.VBox([self.list, self.add.widget])

    def card(self, letter: str) -> _Card:
        """Card of one piece."""
        return self._cards[letter]

    def show(self, pieces: Sequence[Piece], letter: str) -> None:
        """Show these pieces, one of them open."""
        letters = [piece.letter for piece in pieces]
        if list(self._cards) != letters:
            self._cards = {one: self._cards.get(one) or self._made(one) for one in letters}
            self._open = ""
        for piece in pieces:
            many = f"{piece.count} × " if piece.count > 1 else ""
            name = f"{piece.letter} · {many}{cut_name(self._desk.record, piece.cut)}"
            self._cards[piece.letter].called(name, alone=len(pieces) == 1)
        if letter != self._open:
            for each, card in self._cards.items():
                card.opened(self._inside if each == letter else None)
            self._open = letter
        shown = tuple(card.widget for card in self._cards.values())
        if self.list.children != shown:
            self.list.children = shown

    def say(self, result: Result) -> None:
        """Say on each card when it is ready."""
        for piece in result.pieces:
            if piece.piece in self._cards:
                self._cards[piece.piece].say(_in_short(piece, result))

    def _made(self, letter: str) -> _Card:
        button = self._guard.button
        return _Card(
            button("", "sw-card-name", lambda _: self._moved(letter)),
            button("Copy", "sw-copy", lambda _: self._moved(self._desk.copy(letter)),
                   tooltip=f"One more piece like {letter}"),
            button("Take out", "sw-take-out", lambda _: self._take_out(letter),
                   tooltip=f"Take piece {letter} out of the plan"),
        )  # fmt: skip

    def _take_out(self, letter: str) -> None:
        self._desk.remove(letter)
        left = [piece.letter for piece in self._desk.cook.pieces]
        self._moved(self._open if self._open in left else left[0])

    def _add(self, _name: str, text: str | None) -> None:
        if text is None:
            return
        try:
            letter = self._desk.add(str(self.add.read(text)))
        except StallwiseError as error:
            self.add.show(refused=text)
            self._guard.refuse(error, self.add.label)
            return
        self.add.show()
        self._moved(letter)


class _Card:
    def __init__(self, name: ui.Button, copy: ui.Button, out: ui.Button) -> None:
        self.name, self.copy, self.out = name, copy, out
        self.said = html.show(html.text(""), "sw-card-said")
        buttons = ui.HBox([copy, out])
        buttons.add_class("sw-card-buttons")
        self._always = (name, self.said)
        self._buttons = buttons
        self.widget = ui.VBox([*self._always, buttons])
        self.widget.add_class("sw-card")

    def called(self, name: str, *, alone: bool) -> None:
        if self.name.description != name:
            self.name.description = name
        self.out.layout.display = "none" if alone else None

    def opened(self, inside: ui.Widget | None) -> None:
        (self.widget.add_class if inside else self.widget.remove_class)("sw-open")
        parts = (inside, self._buttons) if inside else ()
        self.widget.children = (*self._always, *parts)

    def say(self, text: str) -> None:
        html.put(self.said, html.element("p", html.unbroken(text), class_="sw-soft"))


def _in_short(piece: PieceResult, result: Result) -> str:
    wrap = "not wrapped" if piece.wrap == "none" else f"in {piece.wrap}"
    when = words.window(piece.stages["tender"], result)
    return f"{words.mass(piece.mass_kg, result.units)}, {wrap}; {piece.finish} {when}"
