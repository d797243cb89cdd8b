"""What the tasters said, laid on the key: which arm, and whatever does not fit, said in words."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.record.trial import Answer, KeyRow, TrialRecord
from stallwise.tables import tastings
from stallwise.tables.tastings import LINE, Attribute

__all__ = ["SERVED_AT", "Choice", "Gathered", "Said", "answer_value", "gather", "taster_name"]

#: How warm a plate was served, written down like an answer.
SERVED_AT = "served-at"
NEITHER = "neither"
_WORDS = frozenset({NEITHER, "same", "different", "yes", "no", "right", "wrong"})

SetId = tuple[str, str, int]


@dataclass(frozen=True)
class Choice:
    """One answer about a set.

    Attributes
    ----------
    taster : str
    set : tuple
        Cook, taster and number.
    arms : tuple of str
        Of the set's plates in their order; empty where there was no key.
    chosen : tuple of str
        Arms of the plates that were named; empty for an answer in words.
    places : tuple of int
        Where these stood in the set.
    word : str
        ``neither``, ``same``, ``different``, ``yes``, ``no``, ``right``, ``wrong``; else empty.
    order : tuple
        Cook and line: answers as they came.
    """

    taster: str
    set: SetId
    arms: tuple[str, ...]
    chosen: tuple[str, ...]
    places: tuple[int, ...]
    word: str
    order: tuple[str, int]


@dataclass(frozen=True)
class Said:
    """One number about one plate."""

    taster: str
    set: SetId
    code: str
    arm: str
    asked: str
    value: float


@dataclass
class Gathered:
    """Answers of one trial.

    Attributes
    ----------
    choices : list of Choice
        About the main thing.
    said : list of Said
        Numbers, of everything that was asked.
    served, answered : int
        Sets that were served, and that have an answer.
    doubts : list of str
        What does not fit, and what was done about it.
    words : list of (str, str)
        Taster and what was said in words (off flavours).
    """

    choices: list[Choice] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    served: int = 0
    answered: int = 0
    doubts: list[str] = field(default_factory=list)
    words: list[tuple[str, str]] = field(default_factory=list)

    def of(self, asked: str) -> list[Said]:
        """Numbers of one thing."""
        return [one for one in self.said if one.asked == asked]


def taster_name(text: str) -> str:
    """Read ``t3`` or ``3`` as ``T3``.

    Raises
    ------
    InputError
        No such name: people stand here as T1, T2 …, never by their own.
    """
    plain = text.strip().upper().removeprefix("T")
    if not plain.isdecimal() or not 0 < int(plain) <= 200:
        raise InputError(f"taster {text!r}", "T1, T2, T3 …")
    return f"T{int(plain)}"


def gather(record: TrialRecord) -> Gathered:
    """Lay a trial's answers on its key.

    Nothing is guessed: a code that was not that taster's, a value out of scale, or one set answered
    twice in different ways is left out and said.
    """
    found = Gathered()
    gone = sorted({row.arm for row in record.key} - set(record.trial.arms))
    if gone:
        found.doubts.append(
            f"The key names {', '.join(map(repr, gone))}, which is no arm of this trial any more: sets "
            "with such a plate are left out. Call the arms as they were when it was locked."
        )
    dropped = {(row.cook, row.taster, row.set) for row in record.key if row.arm in gone}
    key = [row for row in record.key if (row.cook, row.taster, row.set) not in dropped]
    plates = {(row.cook, row.taster, row.code): row for row in key}
    sets: dict[SetId, list[KeyRow]] = defaultdict(list)
    for row in sorted(key, key=lambda row: row.place):
        sets[row.cook, row.taster, row.set].append(row)
    method = tastings.method(record.trial.method)
    by_plate = method.reads in {"score", "rank", "trend", "right"}
    for answer in record.answers:
        try:
            _take(answer, record, plates, sets, found, by_plate=by_plate)
        except InputError as error:
            where = f"tastings.csv of {answer.cook}, line {answer.line}"
            found.doubts.append(f"{where} is left out: {error}")
    _once_each(found, record.trial.attribute)
    _count(found, sets, record)
    return found


def _take(
    answer: Answer,
    record: TrialRecord,
    plates: Mapping[tuple[str, str, str], KeyRow],
    sets: Mapping[SetId, Sequence[KeyRow]],
    found: Gathered,
    *,
    by_plate: bool,
) -> None:
    trial = record.trial
    taster = taster_name(answer.taster)
    rows = [_plate(answer, taster, code, plates, record) for code in answer.codes if code]
    asked = answer.asked or trial.attribute
    main = asked == trial.attribute
    if main and not by_plate:
        number = rows[0].set if rows else _next_set(found, answer.cook, taster)
        where = (answer.cook, taster, number)
        if any((row.cook, row.taster, row.set) != where for row in rows):
            raise InputError("plates of different sets", "plates that were asked about together")
        word = answer.said.casefold()
        if word and word not in _WORDS:
            raise InputError(f"{answer.said!r}", ", ".join(sorted(_WORDS)))
        served = tuple(row.arm for row in sets.get(where, ()))
        named = not word or word in {"yes", "no"}
        found.choices.append(
            Choice(
                taster, where, served,
                tuple(row.arm for row in rows) if named else (),
                tuple(row.place for row in rows), word, (answer.cook, answer.line),
            )
        )  # fmt: skip
        return
    if len(rows) != 1:
        raise InputError(f"{len(rows)} plates for one value", "one plate")
    row = rows[0]
    value = answer_value(asked, answer.said, record)
    if value is None:
        found.words.append((taster, answer.said))
        return
    found.said.append(
        Said(taster, (row.cook, row.taster, row.set), row.code, row.arm, asked, value)
    )


def _next_set(found: Gathered, cook: str, taster: str) -> int:
    return 1 + sum(one.taster == taster and one.set[0] == cook for one in found.choices)


def _plate(
    answer: Answer,
    taster: str,
    code: str,
    plates: Mapping[tuple[str, str, str], KeyRow],
    record: TrialRecord,
) -> KeyRow:
    row = plates.get((answer.cook, taster, code))
    if row is not None:
        return row
    if not record.key:
        # Noticed without codes: the arm itself was written down.
        named = [arm for arm in record.trial.arms if arm.casefold() == code.casefold()]
        if named:
            return KeyRow(
                answer.cook, taster, 1, 1 + record.trial.arms.index(named[0]), code, named[0]
            )
        raise InputError(f"{code!r} is no arm of this trial", " or ".join(record.trial.arms))
    others = sorted({key[1] for key in plates if key[0] == answer.cook and key[2] == code})
    todo = (
        f"It was on a plate of {', '.join(others)}" if others else "Nobody had a plate of that code"
    )
    raise InputError(f"code {code} of {taster}", f"a code that {taster} had", todo)


def answer_value(asked: str, text: str, record: TrialRecord) -> float | None:
    """Read the number of an answer; None for one in words.

    Raises
    ------
    InputError
        Out of its scale.
    """
    if asked == SERVED_AT:
        return units.parse("temperature", text)
    own = [one.model_dump() for one in record.trial.own]
    thing = tastings.attribute(asked, own)
    reads = tastings.method(record.trial.method).reads
    if asked == record.trial.attribute and reads in {"rank", "trend"}:
        return _whole(text, 1, record.trial.each or len(record.trial.arms))
    if asked == record.trial.attribute and reads == "right":
        return _on_scale(text, "right")
    return _READ.get(thing.kind, _line)(thing, text)


def _on_scale(text: str, kind: str) -> float:
    words = {word: number for number, word in tastings.scale(kind).items()}
    if text.casefold() in words:
        return float(words[text.casefold()])
    try:
        value = int(text)
    except ValueError:
        value = None
    if value not in words.values():
        ends = f"{min(words.values())} to {max(words.values())}"
        raise InputError(f"{text!r} is out of the scale", f"{ends}, or: {', '.join(words)}")
    return float(value)  # type: ignore[arg-type]


def _line(thing: Attribute, text: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = -1.0
    if not LINE[0] <= value <= LINE[1]:
        ends = f" ({thing.low} to {thing.high})" if thing.low else ""
        raise InputError(f"{text!r} is out of the scale", f"{LINE[0]:g} to {LINE[1]:g}{ends}")
    return value


def _whole(text: str, low: int, high: int) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = -1.0
    # A tie shares its middle place, so halves are places too.
    if not low <= value <= high or value * 2 != int(value * 2):
        raise InputError(f"place {text!r}", f"{low} to {high}")
    return value


def _yes(thing: Attribute, text: str) -> float | None:
    del thing
    word = text.casefold()
    return {"yes": 1.0, "no": 0.0}.get(word)


def _counted(thing: Attribute, text: str) -> float:
    del thing
    return _whole(text, 0, 200)


_READ = {
    "like": lambda thing, text: _on_scale(text, thing.kind),
    "right": lambda thing, text: _on_scale(text, thing.kind),
    "yes or no": _yes,
    "count": _counted,
    "millimetres": _counted,
}


def _once_each(found: Gathered, attribute: str) -> None:
    """Leave out what one taster said of one set, or plate, in two ways."""
    by_set: dict[SetId, set[tuple[object, ...]]] = defaultdict(set)
    for choice in found.choices:
        by_set[choice.set].add((choice.chosen, choice.places, choice.word))
    twice = {where for where, ways in by_set.items() if len(ways) > 1}
    for cook, taster, number in sorted(twice):
        found.doubts.append(
            f"{taster} answered set {number} of {cook} twice in different ways; which one is meant "
            "cannot be told, so both are left out."
        )
    seen: set[SetId] = set()
    kept = []
    for choice in found.choices:
        if choice.set not in twice and choice.set not in seen:
            seen.add(choice.set)
            kept.append(choice)
    found.choices = kept
    values: dict[tuple[SetId, str, str], set[float]] = defaultdict(set)
    for one in found.said:
        values[one.set, one.code, one.asked].add(one.value)
    doubled = {place for place, of in values.items() if len(of) > 1}
    for (_, taster, _), code, asked in sorted(doubled):
        what = "" if asked == attribute else f" for {asked}"
        found.doubts.append(f"{taster} gave plate {code} two values{what}; both are left out.")
    once = {
        (one.set, one.code, one.asked): one
        for one in found.said
        if (one.set, one.code, one.asked) not in doubled
    }
    found.said = list(once.values())


def _count(found: Gathered, sets: Mapping[SetId, Sequence[KeyRow]], record: TrialRecord) -> None:
    attribute = record.trial.attribute
    said = {one.set for one in found.said if one.asked == attribute}
    answered = {one.set for one in found.choices} | said
    found.answered = len(answered)
    found.served = len(sets) if sets else found.answered
    missing = Counter(
        taster for cook, taster, number in sets if (cook, taster, number) not in answered
    )
    if missing and record.answers:
        who = ", ".join(
            taster if count == 1 else f"{taster} ({count} sets)"
            for taster, count in sorted(missing.items(), key=lambda one: int(one[0][1:]))
        )
        found.doubts.append(
            f"No answer from {who}: {found.answered} of {found.served} sets are answered, and only "
            "these count."
        )
    short = [
        where
        for where in sorted(said)
        if 0
        < len({one.code for one in found.of(attribute) if one.set == where})
        < len(sets.get(where, ()))
    ]
    if short:
        who = ", ".join(dict.fromkeys(taster for _, taster, _ in short))
        found.doubts.append(f"Not every plate has an answer from {who}.")
