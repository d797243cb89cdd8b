"""Slips typed in: one short line a taster and plate, read against the key into rows to keep.

`T1 471` names a plate, `T1 471 7` or `T1 471 like very much` scores it, `T1 471 sweetness too much`
answers something else on the slip, `T1 471 140 F` is how warm it was, `T1 208 471 355` is an order,
`T1 471 208 neither` an answer about a pair.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.taste.tasteread import SERVED_AT, answer_value, taster_name
from stallwise.record.trial import Answer, TrialRecord
from stallwise.tables import tastings

__all__ = ["Typed", "read_scores", "read_slips"]

_SPLIT = re.compile(r"[\s,;:/=]+")


@dataclass(frozen=True)
class Typed:
    """Slips as understood.

    Attributes
    ----------
    answers : tuple of Answer
    questions : tuple of str
        Lines that cannot be read, each with what is allowed.
    """

    answers: tuple[Answer, ...]
    questions: tuple[str, ...]


def read_slips(lines: Sequence[str], record: TrialRecord, cook: str) -> Typed:
    """Read typed slips; what is doubtful becomes a question and not an answer.

    Parameters
    ----------
    lines : sequence of str
        Blank lines and those that begin with ``#`` are passed over.
    record : TrialRecord
        The trial with its key.
    cook : str
        Name of the cook's folder.
    """
    answers: list[Answer] = []
    questions = []
    for line in lines:
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        try:
            answers += _line(text, record, cook)
        except InputError as error:
            questions.append(f"{text!r}: {error}")
    return Typed(tuple(answers), tuple(questions))


def read_scores(lines: Sequence[str], cook: str) -> Typed:
    """Read how a whole cook was liked: ``T1 7`` or ``T1 like very much``, one a taster."""
    words = {word: str(number) for number, word in tastings.scale("like").items()}
    answers, questions = [], []
    for line in lines:
        taster, _, said = line.strip().partition(" ")
        value = words.get(said.strip().casefold(), said.strip())
        try:
            if value not in words.values():
                raise InputError(f"{said!r}", f"1 to {len(words)}, or: {', '.join(words)}")  # noqa: TRY301 - collected below
            answers.append(Answer(0, cook, "", taster_name(taster), (), "liking", value))
        except InputError as error:
            questions.append(f"{line!r}: {error}")
    return Typed(tuple(answers), tuple(questions))


def _line(text: str, record: TrialRecord, cook: str) -> list[Answer]:
    words = [word for word in _SPLIT.split(text) if word]
    taster = taster_name(words[0])
    codes, rest = _plates(words[1:], record, cook, taster)
    if not codes:
        raise InputError("no plate is named", "the taster, the code on the plate, the answer")
    trial = record.trial
    reads = tastings.method(trial.method).reads

    def row(plates: Sequence[str], said: str, asked: str = trial.attribute) -> Answer:
        return Answer(0, cook, record.name, taster, tuple(plates), asked, said)

    said = " ".join(rest)
    if not said and reads in {"rank", "trend"}:
        return [
            row([code], str(place))
            for place, code in enumerate(_whole(codes, record, cook, taster), 1)
        ]
    if said and len(codes) == 1 and _is_warmth(said):
        return [row(codes, said, SERVED_AT)]
    asked, said = _asked(said, record)
    if asked != trial.attribute:
        answer_value(asked, said, record)
        return [row(codes, said, asked)]
    if reads in {"score", "right", "rank", "trend"} and (len(codes) != 1 or not said):
        raise InputError(f"{len(codes)} plates and {said!r}", "one plate and its number or words")
    if reads in {"score", "right", "rank", "trend"}:
        answer_value(asked, said, record)
    return [row(codes, said)]


def _plates(
    words: Sequence[str], record: TrialRecord, cook: str, taster: str
) -> tuple[list[str], list[str]]:
    """Codes at the front, checked against the key, and the words behind; without a key, an arm."""
    if not record.key:
        text = " ".join(words)
        for arm in sorted(record.trial.arms, key=len, reverse=True):
            if text.casefold().startswith(arm.casefold()):
                return [arm], text[len(arm) :].split()
        raise InputError(f"{text!r}", f"one of {', '.join(record.trial.arms)}, then the answer")
    own = {row.code for row in record.key if row.cook == cook and row.taster == taster}
    codes: list[str] = []
    for at, word in enumerate(words):
        # "140 F" behind a code is how warm the plate was.
        if not re.fullmatch(r"\d{3}", word) or (codes and _is_warmth(" ".join(words[at:]))):
            break
        if word not in own:
            had = sorted(
                {row.taster for row in record.key if row.cook == cook and row.code == word}
            )
            todo = (
                f"It was on a plate of {', '.join(had)}"
                if had
                else "Nobody had a plate of that code"
            )
            raise InputError(
                f"code {word} of {taster}", f"{', '.join(sorted(own)) or 'none'}", todo
            )
        codes.append(word)
    return codes, list(words[len(codes) :])


def _whole(codes: Sequence[str], record: TrialRecord, cook: str, taster: str) -> Sequence[str]:
    sets = {row.code: row.set for row in record.key if row.cook == cook and row.taster == taster}
    wanted = {code for code, number in sets.items() if number == sets[codes[0]]}
    if set(codes) != wanted or len(codes) != len(wanted):
        raise InputError(
            f"an order of {', '.join(codes)}", f"each of {', '.join(sorted(wanted))} once"
        )
    return codes


def _is_warmth(text: str) -> bool:
    try:
        units.parse("temperature", text)
    except InputError:
        return False
    return not text.replace(".", "").isdigit()


def _asked(text: str, record: TrialRecord) -> tuple[str, str]:
    """Split what was asked from what was said; the main thing needs no name."""
    own = [one.model_dump() for one in record.trial.own]
    words = text.split()
    for length in range(len(words) - 1, 0, -1):
        name = " ".join(words[:length])
        try:
            return tastings.attribute(name, own).key, " ".join(words[length:])
        except NotFoundError:
            continue
    return record.trial.attribute, text
