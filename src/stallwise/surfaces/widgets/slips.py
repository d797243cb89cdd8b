"""Slips of a side-by-side: one question at a time, kept before it is said to be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.taste.slipquestions import SlipQuestion, slip_questions, tasters_of
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.record.trial import Answer, TrialRecord
from stallwise.record.trials import add_answers, read_trial, take_back_answers
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard

__all__ = ["Slips"]


class Slips:
    """Answers of one locked trial.

    Parameters
    ----------
    desk : Desk
        The cook.
    name : str
        Of the trial.
    guard : Guard
        Where words go.
    """

    def __init__(self, desk: Desk, name: str, guard: Guard) -> None:
        self.desk, self.name, self.guard = desk, name, guard
        self._showing = False
        self._passed: set[tuple[str, ...]] = set()
        self.question: SlipQuestion | None = None
        self.taster = ui.Dropdown(description="Whose slip")
        self.taster.add_class("sw-taster")
        self.taster.observe(self.guard(self._turned), "value")
        self.asked = html.show(html.text(""), "sw-slip")
        self.choice = ui.ToggleButtons(description="Answer", options=[])
        self.number = ui.Text(description="Answer")
        self.places = ui.HBox([])
        for part, class_ in {
            self.choice: "sw-choice", self.number: "sw-figure", self.places: "sw-places"
        }.items():  # fmt: skip
            part.add_class(class_)
        button = guard.button
        self.write = button("Write it down", "sw-answer-it", self._write, button_style="primary")
        self.skip = button("Leave it open", "sw-skip", self._skip)
        self.wrong = ui.Dropdown(description="An answer that was typed wrong")
        self.back = button("Take it back", "sw-take-back", self._take_back)
        self.lines = ui.Textarea(
            description="Slips as lines: the taster, the code, the answer", rows=5
        )
        self.read = button("Write these lines", "sw-write-slips", self._write_lines)
        self.widget = self._laid_out()
        self.show()

    def _laid_out(self) -> ui.VBox:
        buttons = ui.HBox([self.write, self.skip])
        buttons.add_class("sw-buttons")
        wrong = ui.HBox([self.wrong, self.back])
        wrong.add_class("sw-row")
        fold = ui.Accordion([ui.VBox([self.lines, self.read, wrong])], selected_index=None)
        fold.set_title(0, "Slips typed as lines, and answers taken back")
        fold.add_class("sw-fold")
        whole = ui.VBox(
            [self.taster, self.asked, self.choice, self.number, self.places, buttons, fold]
        )
        whole.add_class("sw-slips")
        return whole

    @property
    def record(self) -> TrialRecord:
        """The trial as it is on the disk."""
        return read_trial(self.desk.folder.home, self.name)

    # ---- what is shown

    def show(self, taster: str | None = None) -> None:
        """Show the next question of a taster, or of the next one who has any open."""
        record, cook = self.record, self.desk.folder.name
        asked = {who: slip_questions(record, cook, who) for who in tasters_of(record, cook)}
        left = {who: [each for each in of if each.open] for who, of in asked.items()}
        who = taster or self.taster.value
        if who not in asked or not (left[who] or taster):
            who = next((each for each, of in left.items() if of), who or next(iter(asked), None))
        self._showing = True
        self.taster.options = [
            (f"{each}: {len(of) - len(left[each])} of {len(of)}", each)
            for each, of in asked.items()
        ]
        self.taster.value = who
        self._showing = False
        mine = left.get(who or "", [])
        ahead = [one for one in mine if (*one.codes, one.asked) not in self._passed]
        self.question = next(iter(ahead or mine), None)
        self._ask(self.question, asked.get(who or "", ()))
        here = [one for one in record.answers if one.cook == cook]
        self.wrong.options = [("", ""), *((_said(one), str(one.line)) for one in reversed(here))]

    def _ask(self, one: SlipQuestion | None, of: Sequence[SlipQuestion]) -> None:
        for part in (self.choice, self.number, self.places, self.write, self.skip):
            part.layout.display = "none"
        if one is None:
            again = f"stallwise taste {self.desk.folder.name} again {self.name} draws them"
            none = f"Nobody has a plate at this cook yet: {again}."
            done = "This slip is whole; no other is open." if of else none
            html.put(self.asked, html.element("p", done))
            return
        for part in (self.write, self.skip):
            part.layout.display = None
        codes = html.element("p", " then ".join(one.codes), class_="sw-codes")
        plates = "Plate" if len(one.codes) == 1 else "Plates, in the order of eating"
        words = [html.element("p", f"{one.taster}. {plates}", class_="sw-soft"), codes]
        html.put(
            self.asked, html.joined([*words, html.element("p", one.text, class_="sw-question")])
        )
        if one.choices:
            self.choice.layout.display = None
            self.choice.options = list(one.choices)
            self.choice.value = None
        elif one.order:
            self.places.layout.display = None
            options = [("", ""), *((code, code) for code in one.codes)]
            self.places.children = tuple(
                ui.Dropdown(description=f"Place {n}", options=options)
                for n in range(1, len(one.codes) + 1)
            )
        else:
            self.number.layout.display = None
            self.number.value = ""
            self.number.description = f"Answer ({one.ends})"

    # ---- what happens

    def _turned(self, change: Mapping[str, Any]) -> None:
        if not self._showing and change["new"]:
            self.guard.clear()
            self.show(change["new"])

    def _write(self, _button: object) -> None:
        one = self.question
        if one is None:
            return
        said = self._answer(one)
        if not said:
            raise InputError(
                "nothing is answered yet", "one of the answers", "Choose it, then press again"
            )
        if self._keep([one.line(said)]):
            self.guard.say(f"Written down: {one.taster}, {_short(one, said)}.")
            self._after()

    def _answer(self, one: SlipQuestion) -> str:
        if one.choices:
            return str(self.choice.value or "")
        if one.order:
            placed = [box.value for box in self.places.children]
            if not all(placed) or len(set(placed)) < len(placed):
                raise InputError(
                    "an order that is not whole",
                    "each plate at one place",
                    "Give each plate its place",
                )
            return " ".join(placed)
        return str(self.number.value).strip()

    def _keep(self, lines: Sequence[str]) -> int:
        """Write slips that are clear; what is not is said. How many came to be written."""
        self.desk.present()
        cook = self.desk.folder.name
        typed = read_slips(lines, self.record, cook)
        if typed.questions:
            self.guard.say("\n".join(typed.questions), kind="asked")
        return len(add_answers(self.desk.folder.home, cook, typed.answers))

    def _write_lines(self, _button: object) -> None:
        self.guard.clear()
        lines = self.lines.value.splitlines()
        asked = read_slips(lines, self.record, self.desk.folder.name).questions
        written = self._keep(lines)
        if not asked:
            self.guard.say(f"{written} written down.")
            self.lines.value = ""
        self._after()

    def _skip(self, _button: object) -> None:
        self.guard.clear()
        if self.question:
            self._passed.add((*self.question.codes, self.question.asked))
        self.show(self.taster.value)

    def _take_back(self, _button: object) -> None:
        gone = [one for one in self.record.answers if str(one.line) == self.wrong.value]
        gone = [one for one in gone if one.cook == self.desk.folder.name]
        if gone:
            self.desk.present()
            take_back_answers(self.desk.folder.home, self.desk.folder.name, gone)
            self.guard.say(f"Taken back: {_said(gone[0])}.")
            self._after()

    def _after(self) -> None:
        self.desk.reload()
        self.show()
        self.desk.tell()


def _said(one: Answer) -> str:
    return " ".join(part for part in (one.taster, *one.codes, one.asked, one.said) if part)


def _short(one: SlipQuestion, said: str) -> str:
    words = next((words for words, value in one.choices if value == said), said)
    return words if words in one.codes else f"{' '.join(one.codes)}: {words}"
