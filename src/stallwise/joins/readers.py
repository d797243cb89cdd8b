"""Whose sheet it is: the same plan by pit, by person, and for the night watch."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from stallwise.ground.errors import NotFoundError
from stallwise.joins.result import Result, Step
from stallwise.joins.sheetwords import at_the_pit, kind_of
from stallwise.joins.steptable import caution, caution_keys, step_row

__all__ = ["READERS", "Sheet", "sheets_for", "steps_for"]

#: The night watch begins and ends at these times of day.
_DUSK, _BREAKFAST = dt.time(21), dt.time(7)
#: Somebody at board and table wants to know of these.
_TOLD = frozenset({"meat_on", "tender"})


def _at_board_and_table(step: Step) -> bool:
    return not at_the_pit(step) or kind_of(step) in _TOLD


def _by_night(step: Step) -> bool:
    return step.at.time() >= _DUSK or step.at.time() < _BREAKFAST


#: Cautions that hold wherever their step is done; others hang on the piece.
_EVERYWHERE = frozenset(
    {
        "carbon_monoxide",
        "clearance",
        "wood",
        "bristles",
        "weak_fire",
        "raw_meat",
        "hot_hold",
        "cooling",
    }
)

#: Which steps are on the sheet of each reader.
READERS: Mapping[str, Callable[[Step], bool]] = {
    "": lambda _: True,
    "pit": at_the_pit,
    "person": _at_board_and_table,
    "night": _by_night,
}


@dataclass(frozen=True)
class Sheet:
    """One sheet: what it is for beside the cook (``""`` for all of it), and its steps."""

    name: str
    steps: tuple[Step, ...]


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
    return tuple(step for step in steps if READERS[reader](step))


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
        letters = dict.fromkeys(step.pit for step in steps if step.pit)
        if len(letters) > 1:
            return tuple(
                Sheet(
                    f"pit {letter}: {result.pit_names.get(letter, letter)}",
                    _cautioned(step for step in steps if step.pit in {letter, ""}),
                )
                for letter in letters
            )
        return (Sheet("at the pit", steps),)
    if reader == "person" and any(step.person for step in result.steps):
        return _by_person(result)
    names = {"person": "at board and table", "night": "by night"}
    return (Sheet(names.get(reader, ""), steps),)


def _by_person(result: Result) -> tuple[Sheet, ...]:
    """Give each person's own steps; what binds nobody's hands is told to everybody."""
    count = max(int(step.person) for step in result.steps if step.person)
    numbers = [str(number) for number in range(1, max(count, len(result.roles)) + 1)]
    names = dict(zip(numbers, result.roles, strict=False))
    return tuple(
        Sheet(
            f"for {names.get(number, f'hands {number}')}",
            _cautioned(step for step in result.steps if step.person in {number, ""}),
        )
        for number in numbers
    )


def _cautioned(steps: Iterable[Step]) -> tuple[Step, ...]:
    """Say on a sheet of its own what the whole plan says once, at some other pit or person."""
    said: set[str] = set()
    found = []
    for step in steps:
        own = caution_keys(step.caution)
        due = [key for key in step_row(kind_of(step)).cautions if key in _EVERYWHERE]
        missing = [key for key in due if key not in said | set(own)]
        said |= {*own, *due}
        more = " ".join(caution(key).full for key in missing)
        found.append(replace(step, caution=" ".join(filter(None, [step.caution, more]))))
    return tuple(found)
