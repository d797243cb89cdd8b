"""Whose sheet it is: the same plan by pit, by person, and for the night watch."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from stallwise.ground.errors import NotFoundError
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.sheetwords import at_the_pit, kind_of
from stallwise.joins.sheet.steptable import caution, step_rows
from stallwise.joins.words import joined

__all__ = [
    "READERS",
    "Sheet",
    "people_words",
    "person_name",
    "sheets_for",
    "steps_for",
    "with_cautions",
]

#: The night watch begins and ends at these times of day.
_DUSK, _BREAKFAST = dt.time(21), dt.time(7)
#: What is done days before is no affair of the watch.
_DAYS_BEFORE = frozenset({"thaw", "thaw_cold", "gear", "soak"})
#: Somebody at board and table wants to know of these.
_TOLD = frozenset({"meat_on", "tender"})


def _at_board_and_table(step: Step) -> bool:
    return not at_the_pit(step) or kind_of(step) in _TOLD


def _by_night(step: Step) -> bool:
    return kind_of(step) not in _DAYS_BEFORE and _at_night(step)


def _at_night(step: Step) -> bool:
    return step.at.time() >= _DUSK or step.at.time() < _BREAKFAST


#: Which steps are on the sheet of each reader.
READERS: Mapping[str, Callable[[Step], bool]] = {
    "": lambda _: True,
    "pit": at_the_pit,
    "person": _at_board_and_table,
    "night": _by_night,
}


@dataclass(frozen=True)
class Sheet:
    """One sheet: what it is for beside the cook (``""`` for all of it), its steps, whose it is."""

    name: str
    steps: tuple[Step, ...]
    person: str = ""
    pit: str = ""


def steps_for(reader: str, steps: Iterable[Step]) -> tuple[Step, ...]:
    """Choose the steps of one reader.

    Parameters
    ----------
    reader : {"", "pit", "person", "night"}
        Everybody, whoever is at the pit, at board and table, the night watch.
    steps : iterable of Step
        All steps.
    """
    if reader not in READERS:
        raise NotFoundError("reader of a day sheet", reader, filter(None, READERS))
    steps = tuple(steps)
    return with_cautions(steps, [step for step in steps if READERS[reader](step)])


def sheets_for(reader: str, result: Result) -> tuple[Sheet, ...]:
    """Lay the plan out by who reads it: a sheet a pit, or a sheet a person where people are counted.

    Parameters
    ----------
    reader : str
        As for `steps_for`.
    result : Result
        The cook as answered.
    """
    steps = steps_for(reader, result.steps)
    if reader == "pit":
        return _by_pit(result, steps)
    if reader == "person" and any(step.person for step in result.steps):
        return _by_person(result)
    names = {"person": "at board and table", "night": "by night"}
    return (Sheet(names.get(reader, ""), steps),)


def _by_pit(result: Result, steps: tuple[Step, ...]) -> tuple[Sheet, ...]:
    letters = list(dict.fromkeys(step.pit for step in steps if step.pit))
    if len(letters) < 2:
        return (Sheet("at the pit", steps, pit="".join(letters)),)
    return tuple(
        Sheet(
            f"pit {letter}: {result.pit_names.get(letter, letter)}",
            with_cautions(result.steps, [s for s in steps if s.pit in {letter, ""}]),
            pit=letter,
        )
        for letter in letters
    )


def _by_person(result: Result) -> tuple[Sheet, ...]:
    """Give each person's own steps; what binds nobody's hands is told to everybody."""
    numbers = sorted({int(number) for step in result.steps for number in step.person.split()})
    return tuple(
        Sheet(
            f"for {person_name(str(number), result)}",
            with_cautions(
                result.steps,
                [s for s in result.steps if str(number) in (s.person or str(number)).split()],
            ),
            str(number),
        )
        for number in numbers
    )


def person_name(number: str, result: Result) -> str:
    """Give the name of one of the people: what the cook chose, or a pair of hands."""
    index = int(number) - 1
    return result.roles[index] if index < len(result.roles) else f"hands {number}"


def people_words(numbers: Iterable[str], result: Result) -> str:
    """Name several of the people; three or more who are all of them are everybody."""
    found = sorted(set(numbers), key=int)
    if len(found) > 2 and len(found) == len(result.roles):
        return "everybody"
    return joined([person_name(number, result) for number in found])


def with_cautions(steps: Iterable[Step], kept: Iterable[Step]) -> tuple[Step, ...]:
    """Hand the cautions of steps that are left out on to the next kept step that has them too.

    Parameters
    ----------
    steps : iterable of Step
        All of them, each caution at the first where it is due.
    kept : iterable of Step
        Those that are shown, in order of time.
    """
    kept = tuple(kept)
    shown = {step.id for step in kept}
    lost = {
        key: step
        for step in steps
        if step.id not in shown
        for key in _cautions_of(step)
        if caution(key).full in step.caution
    }
    found = []
    for step in kept:
        due = [
            key
            for key in _cautions_of(step)
            if key in lost
            and step.at >= lost[key].at
            and (not lost[key].piece or step.piece in {"", lost[key].piece})
        ]
        said = " ".join([step.caution, *(caution(key).full for key in due)]).strip()
        lost = {key: one for key, one in lost.items() if key not in due}
        found.append(replace(step, caution=said) if due else step)
    return tuple(found)


def _cautions_of(step: Step) -> tuple[str, ...]:
    row = step_rows().get(kind_of(step))
    return row.cautions if row else ()
