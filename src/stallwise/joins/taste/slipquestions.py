"""A slip, question by question: what is asked of which plates, what may be answered, and the line it makes.

It names plates by their codes and never an arm, so that whoever types stays as blind as who tastes. An
answer becomes the same line that would be typed (`stallwise.joins.taste.tasteentry`), which reads it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from stallwise.record.trial import Answer, TrialRecord
from stallwise.tables import tastings
from stallwise.tables.tastings import Attribute, Method

__all__ = ["SlipQuestion", "slip_questions", "tasters_of"]


@dataclass(frozen=True)
class SlipQuestion:
    """One question to one taster.

    Attributes
    ----------
    taster : str
    codes : tuple of str
        Plates it is about, in the order of eating.
    asked : str
        Key of what is asked.
    text : str
        As it stands on the slip.
    choices : tuple of (str, str)
        What may be answered: words, and what it puts behind the taster in a line; none for a number.
    order : bool
        The answer is an order of all plates.
    ends : str
        Of a number: from what to what.
    answers : tuple of Answer
        What is written down already.
    """

    taster: str
    codes: tuple[str, ...]
    asked: str
    text: str
    choices: tuple[tuple[str, str], ...] = ()
    order: bool = False
    ends: str = ""
    answers: tuple[Answer, ...] = ()

    @property
    def open(self) -> bool:
        """Whether nothing is written down yet."""
        return not self.answers

    def line(self, said: str) -> str:
        """Slip as it would be typed: what was chosen, or a number or words for the plate."""
        if self.choices and said in {value for _, value in self.choices}:
            return f"{self.taster} {said}"
        if self.order:
            return f"{self.taster} {said}"
        return f"{self.taster} {self.codes[0]} {self.asked} {said}"


def tasters_of(record: TrialRecord, cook: str) -> list[str]:
    """Tasters who have plates at a cook, in their order."""
    found = {row.taster for row in record.key if row.cook == cook}
    return sorted(found, key=lambda name: int(name[1:]))


def slip_questions(record: TrialRecord, cook: str, taster: str) -> tuple[SlipQuestion, ...]:
    """List what one taster is asked, in the order in which it is tasted.

    Parameters
    ----------
    record : TrialRecord
        With its key; without one there is nothing to ask.
    cook, taster : str
    """
    rows = sorted(
        (row for row in record.key if (row.cook, row.taster) == (cook, taster)),
        key=lambda row: (row.set, row.place),
    )
    sets = [
        tuple(row.code for row in of) for _, of in itertools.groupby(rows, key=lambda row: row.set)
    ]
    return tuple(question for codes in sets for question in _of_set(record, cook, taster, codes))


def _of_set(
    record: TrialRecord, cook: str, taster: str, codes: tuple[str, ...]
) -> Iterator[SlipQuestion]:
    trial = record.trial
    own = [one.model_dump() for one in trial.own]
    way, main = tastings.method(trial.method), tastings.attribute(trial.attribute, own)
    mine = [
        one
        for one in record.answers
        if (one.cook, one.taster) == (cook, taster) and set(one.codes) <= set(codes)
    ]

    def made(about: tuple[str, ...], thing: Attribute, text: str, **more: object) -> SlipQuestion:
        there = [
            one
            for one in mine
            if (one.asked or trial.attribute) == thing.key and set(one.codes) & set(about)
        ]
        return SlipQuestion(taster, about, thing.key, text, answers=tuple(there), **more)  # type: ignore[arg-type]

    if way.reads in _BY_SET:
        text = way.question.format(attribute=main.name)
        yield made(codes, main, text, choices=tuple(_BY_SET[way.reads](way, codes)))
    elif way.reads in {"rank", "trend"}:
        yield made(codes, main, way.question.format(attribute=main.name), order=True)
    else:
        kind = "right" if way.reads == "right" else main.kind
        for code in codes:
            yield made((code,), main, main.question, **_answer(kind, main, code, main=True))
    for name in trial.also:
        thing = tastings.attribute(name, own)
        for code in codes:
            yield made((code,), thing, thing.question, **_answer(thing.kind, thing, code))


def _answer(kind: str, thing: Attribute, code: str, *, main: bool = False) -> dict[str, object]:
    """Say how one plate is answered about one thing."""
    about = code if main else f"{code} {thing.key}"
    words = list(tastings.scale(kind).values()) or (["yes", "no"] if kind == "yes or no" else [])
    if words:
        return {"choices": tuple((word, f"{about} {word}") for word in words)}
    if kind == "line":
        return {"ends": f"0, {thing.low or 'none'}, to 10, {thing.high or 'very much'}"}
    return {"ends": "in mm" if kind == "millimetres" else "a whole number"}


_Choices = Sequence[tuple[str, str]]


def _one_plate(way: Method, codes: Sequence[str]) -> _Choices:
    del way
    return [(code, code) for code in codes]


def _or_neither(way: Method, codes: Sequence[str]) -> _Choices:
    return [*_one_plate(way, codes), ("neither", f"{' '.join(codes)} neither")]


def _right_one(way: Method, codes: Sequence[str]) -> _Choices:
    first, *rest = codes
    if way.protocol == "two pairs":
        return [(f"{first} goes with {code}", f"{first} {code}") for code in rest]
    # The first plate is what the others are held against.
    return _one_plate(way, rest if way.protocol == "match the first" else codes)


def _alike(way: Method, codes: Sequence[str]) -> _Choices:
    del way
    return [("the same", f"{' '.join(codes)} same"), ("different", f"{' '.join(codes)} different")]


def _it_or_not(way: Method, codes: Sequence[str]) -> _Choices:
    del way
    return [(word, f"{codes[0]} {word}") for word in ("yes", "no")]


#: By how answers are read: what may be chosen of a set. Others are answered plate by plate.
_BY_SET: Mapping[str, Callable[[Method, Sequence[str]], _Choices]] = {
    "choice": _one_plate,
    "strengths": _one_plate,
    "sequential": _one_plate,
    "neither": _or_neither,
    "correct": _right_one,
    "sameness": _alike,
    "single": _it_or_not,
}
