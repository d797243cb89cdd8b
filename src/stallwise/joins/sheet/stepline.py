"""What to write down when a step of the sheet is done: the short words that the log takes for it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from stallwise.joins.log.vocabulary import events, tokens, words
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.donesteps import done_at
from stallwise.record.cook import CookRecord

__all__ = ["NextLine", "is_of_pit", "next_lines"]

_DEGREES = re.compile(r"\d+ °[CF]")

Phrase = Callable[[Step, Result], str]


@dataclass(frozen=True)
class NextLine:
    """A step that is still to do, and the line that says it is done.

    Attributes
    ----------
    id : str
        Of the step.
    label : str
        What a button says: ``Wrap: foil, A``.
    phrase : str
        Short words without a time: ``wrapped foil``.
    letter : str
        Of the piece or pit; empty for the whole cook.
    at : datetime
        When it is planned.
    """

    id: str
    label: str
    phrase: str
    letter: str
    at: dt.datetime


def _plain(phrase: str) -> Phrase:
    return lambda _step, _result: phrase


def _wrapped(step: Step, result: Result) -> str:
    kind = next((piece.wrap for piece in result.pieces if piece.piece == step.piece), "")
    return f"wrapped {kind}".strip()


def _climbed(step: Step, _result: Result) -> str:
    wanted = _DEGREES.search(step.what)
    return f"pit to {wanted[0]}" if wanted else ""


def _cut(step: Step, _result: Result) -> str:
    return "pulled apart" if step.what.startswith("Pull") else "sliced"


#: What is looked at or felt has its own words, and what goes on (a fire, a hold) has no one line.
_PHRASES: Mapping[str, Phrase] = {
    "trim": _plain("trimmed"),
    "trim_brisket": _plain("trimmed"),
    "rub": _plain("rub on"),
    "fire_lit": _plain("fire lit"),
    "switch_on": _plain("switched on"),
    "pit_steady": _plain("pit steady"),
    "meat_on": _plain("meat on"),
    "turn": _plain("turned"),
    "climb": _climbed,
    "wrap": _wrapped,
    "unwrap": _plain("unwrapped"),
    "glaze": _plain("glazed"),
    "move": lambda step, _result: f"moved to {step.pit}",
    "rest": _plain("to rest"),
    "carve": _cut,
    "serve": _plain("served"),
    "cool": _plain("into fridge"),
    "chill": _plain("chilled"),
    "reheat": _plain("reheating"),
    "job": lambda step, _result: f"note: {step.what} done",
}


def next_lines(result: Result, record: CookRecord) -> tuple[NextLine, ...]:
    """List what is still to do and can be written in one line, in the order of the plan.

    A step that nobody wrote down and that a later one of its piece has overtaken is no longer next.

    Parameters
    ----------
    result : Result
        An answer; of a finished cook it knows nothing of what came after meat on.
    record : CookRecord
        The cook, with all that is logged.
    """
    many = len(result.pieces) > 1 or len(result.pit_names) > 1
    found = []
    steps = _done(result, record)
    for step in steps:
        phrase = _PHRASES.get(step.id.partition("-")[0], _plain(""))(step, result)
        if step.done_at is None and phrase and not _overtaken(step, steps):
            letter = _letter(phrase, step)
            label = f"{step.what}, {letter}" if many and letter else step.what
            found.append(NextLine(step.id, label, phrase, letter, step.at))
    return tuple(found)


def _done(result: Result, record: CookRecord) -> list[Step]:
    """Tell of each step when it was done, by the whole log."""
    pieces = {piece.letter: piece for piece in record.cook.pieces}
    pits = record.cook.pits
    only = pits[0].letter if len(pits) == 1 else ""
    return [
        replace(step, done_at=done_at(step, pieces.get(step.piece), record.log, only_pit=only))
        for step in result.steps
    ]


def _overtaken(step: Step, steps: Sequence[Step]) -> bool:
    return step.id.partition("-")[0] != "job" and any(
        later.done_at is not None
        and later.at > step.at
        and (not step.piece or later.piece == step.piece)
        for later in steps
    )


def _letter(phrase: str, step: Step) -> str:
    return step.pit if is_of_pit(phrase) else step.piece


def is_of_pit(phrase: str) -> bool:
    """Whether short words are about a pit, so that a letter beside them is a pit's."""
    found = events(tokens(phrase))
    return bool(found) and words()[found[0].what].whose == "pit"
