"""Plating card, bone map and slips of a trial on paper: one HTML page, any browser prints it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.joins.taste.tasteplan import laid
from stallwise.record.trial import KeyRow, Trial, TrialRecord
from stallwise.surfaces.paper import paper_named, template
from stallwise.tables import tastings
from stallwise.tables.tastings import Attribute

__all__ = ["cards_html"]


@dataclass(frozen=True)
class Bone:
    """One bone of the map: its number, its arm and the arm's mark, and whose plate it goes to."""

    number: int
    arm: int
    mark: str
    goes: str


@dataclass(frozen=True)
class Question:
    """One question of a slip: its words, and how each plate is answered."""

    text: str
    kind: str
    choices: tuple[str, ...]
    low: str
    high: str


def cards_html(record: TrialRecord, cook: str, *, title: str, paper: str = "a4") -> str:
    """Make the cards of one cook of a trial.

    Parameters
    ----------
    record : TrialRecord
        Locked, so that its key is drawn.
    cook : str
        Name of the cook's folder.
    title : str
        Of the cook.
    paper : {"a4", "letter"}

    Returns
    -------
    str
        HTML that fetches nothing. The first page is for whoever plates and for nobody else.

    Raises
    ------
    InputError
        The trial is not locked yet.
    """
    key = [row for row in record.key if row.cook == cook]
    if not key:
        raise InputError(
            f"trial {record.name!r} has no plates for {cook}", "a trial that is locked",
            f"Lock it first: stallwise taste {cook} lock {record.name}",
        )  # fmt: skip
    trial = record.trial
    letters = dict(zip(trial.arms, _MARKS, strict=False))
    return template("plates.html").render(
        title=title,
        day=trial.question,
        arms=[(letter, arm) for arm, letter in letters.items()],
        plates=[
            (taster, [(n, list(rows)) for n, rows in itertools.groupby(of, lambda row: row.set)])
            for taster, of in _by_taster(key)
        ],
        letters=letters,
        maps=list(_maps(trial, key, cook, letters)),
        layout=tastings.layouts()[trial.layout].words if trial.layout else "",
        slips=[
            (
                taster,
                [[row.code for row in rows] for _, rows in itertools.groupby(of, lambda r: r.set)],
            )
            for taster, of in _by_taster(key)
        ],
        questions=_questions(trial),
        by_plate=tastings.method(trial.method).reads in _BY_PLATE,
        way=tastings.method(trial.method),
        cleanser=trial.cleanser,
        warm_up=trial.warm_up,
        paper=paper_named(paper),
    )


#: Marks of the arms: letters are the pieces' names.
_MARKS = "●▲■◆★✚▼◐◧"

#: Ways of asking in which each plate gets an answer of its own.
_BY_PLATE = frozenset({"score", "rank", "trend", "right", "single"})


def _by_taster(key: Sequence[KeyRow]) -> list[tuple[str, list[KeyRow]]]:
    rows = sorted(key, key=lambda row: (int(row.taster[1:]), row.set, row.place))
    return [(taster, list(of)) for taster, of in itertools.groupby(rows, lambda row: row.taster)]


def _maps(
    trial: Trial, key: Sequence[KeyRow], cook: str, letters: Mapping[str, str]
) -> list[tuple[str, list[Bone]]]:
    goes = {(row.piece, row.bone): f"{row.taster} {row.code}" for row in key}
    marks = list(letters.values())
    return [
        (
            rack.piece,
            [
                Bone(number, arm, marks[arm], goes.get((rack.piece, number), ""))
                for number, arm in enumerate(arms, 1)
            ],
        )
        for rack, arms in zip(trial.racks, laid(trial), strict=False)
        if rack.cook == cook
    ]


def _questions(trial: Trial) -> list[Question]:
    own = [one.model_dump() for one in trial.own]
    main = tastings.attribute(trial.attribute, own)
    way = tastings.method(trial.method)
    first = _question(main)
    if way.reads not in {"score", "right"}:
        text = way.question.format(attribute=main.name)
        first = Question(text, _KINDS.get(way.reads, "choice"), (), "", "")
    return [first, *(_question(tastings.attribute(name, own)) for name in trial.also)]


#: How an answer is given where it is no scale.
_KINDS = {"rank": "place", "trend": "place", "sameness": "same or different", "single": "yes or no"}


def _question(one: Attribute) -> Question:
    return Question(
        one.question, one.kind, tuple(tastings.scale(one.kind).values()), one.low, one.high
    )
