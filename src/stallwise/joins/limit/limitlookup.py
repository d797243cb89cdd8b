"""Every published rule with its rows, for a cook to look up; what a temperature counts as in them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.joins.limit.limitsaid import beside, lasting, rest_text, rule_text
from stallwise.tables.freezing import freezing_rows, freezing_time_s
from stallwise.tables.limits import (
    Rule,
    allergens,
    clocks,
    figures,
    hold,
    hold_tables,
    minima,
    rules,
)

__all__ = ["Looked", "look_up", "rule_names"]

_DAY_S = 86_400.0
_COPY = "; read in a secondary copy"


@dataclass(frozen=True)
class Looked:
    """One rule as it is looked up.

    Attributes
    ----------
    key, rule, says : str
        Name of its row, where it stands, and what it says in our words.
    applies, grade : str
        Whom it was written for, and the kind of knowledge.
    rows : tuple of str
        Its rows as printed, in the cook's units.
    counts : tuple of str
        What the temperature that was asked about counts as.
    """

    key: str
    rule: str
    says: str
    applies: str
    grade: str
    rows: tuple[str, ...]
    counts: tuple[str, ...] = ()


def rule_names() -> tuple[tuple[str, str], ...]:
    """List every rule: where it stands, and its key."""
    return tuple((one.words, key) for key, one in rules().items() if one.agency)


def look_up(
    word: str,
    system: str,
    *,
    at_c: float | None = None,
    thickness_m: float | None = None,
) -> tuple[Looked, ...]:
    """Find rules by a word, each with its rows.

    Parameters
    ----------
    word : str
        Part of a rule's key, agency, title, section or words.
    system : {"us", "metric"}
        The cook's units.
    at_c : float, optional
        A temperature to be found in the tables [°C].
    thickness_m : float, optional
        Thickness of a piece in the freezer [m]; without it the temperature is that inside.

    Raises
    ------
    NotFoundError
        No rule holds the word.
    """
    wanted = word.strip().casefold()
    found = [one for one in rules().values() if wanted in _all_words(one)]
    exact = [one for one in found if one.key == wanted]
    if not found or not wanted:
        raise NotFoundError("rule", word, rules())
    return tuple(
        Looked(
            one.key,
            one.words,
            rule_text(one.says, system),
            one.applies or "every cook",
            one.grade_words,
            tuple(_rows(one.key, system)),
            () if at_c is None else tuple(_counts(one.key, at_c, thickness_m, system)),
        )
        for one in exact or found
    )


def _all_words(one: Rule) -> str:
    parts = (one.key, one.agency, one.title, one.year, one.section, one.says, one.applies)
    return " ".join(parts).casefold()


def _rows(key: str, system: str) -> Iterator[str]:
    for kind in (_minima, _holds, _clocks, _figures, _frozen):
        # The rule itself says once how it was read.
        yield from (said.removesuffix(_COPY) for said in kind(key, system))
    if key.startswith("allergens_"):
        yield from allergens(key.removeprefix("allergens_"))


def _minima(key: str, system: str) -> Iterator[str]:
    for least in minima().values():
        if least.rule == key:
            line = beside(least.temperature_c, least.temperature_c, system)
            yield f"{least.food}: {line}{rest_text(least)}"


def _holds(key: str, system: str) -> Iterator[str]:
    for name, some in hold_tables().items():
        for row in some:
            if row.rule == key:
                line = beside(row.temperature_c, row.temperature_c, system)
                yield f"{_named(name, key)}{line}, {row.note}"


def _clocks(key: str, system: str) -> Iterator[str]:
    for one in clocks().values():
        if one.rule == key:
            yield _told(_long(one.limit_s), rule_text(one.note, system))


def _figures(key: str, system: str) -> Iterator[str]:
    for one in figures().values():
        if one.rule == key:
            value = f"{one.value:g} {one.unit.removesuffix(' difference')}"
            # A difference has no twin on the other scale.
            said = value if one.unit.endswith("difference") else rule_text(value, system)
            yield _told(said, rule_text(one.note, system))


def _frozen(key: str, system: str) -> Iterator[str]:
    for one in freezing_rows():
        if one.rule == key:
            line = beside(one.temperature_c, one.temperature_c, system)
            yield f"{line} or colder for {_long(one.hold_s)}: {one.note}"


def _told(value: str, note: str) -> str:
    return f"{value}: {note}" if note else value


def _counts(key: str, at_c: float, thickness_m: float | None, system: str) -> Iterator[str]:
    said = beside(at_c, at_c, system)
    for name, some in hold_tables().items():
        if some[0].rule == key:
            row = hold(name, at_c)
            if row is None:
                first = beside(at_c, some[0].temperature_c, system)
                yield f"{_named(name, key)}{first} is below its first row, which says nothing of it"
            else:
                line = beside(row.temperature_c, row.temperature_c, system)
                yield f"{_named(name, key)}{said} counts as {line}, {row.note.removesuffix(_COPY)}"
    frozen = {"trichinae_freeze": thickness_m, "trichinae_freeze_inside": None}
    if key in frozen and (key != "trichinae_freeze" or thickness_m is not None):
        asked_s = freezing_time_s(at_c, frozen[key])
        where = "inside" if frozen[key] is None else "for that thickness"
        if asked_s is None:
            yield f"{said} {where} is warmer than its first row, or the piece is thicker"
        else:
            yield f"{said} {where}: {_long(asked_s)}"


def _named(table: str, key: str) -> str:
    """Name a table where its rule has several."""
    several = sum(some[0].rule == key for some in hold_tables().values()) > 1
    return f"{table.replace('-', ' ')}: " if several else ""


def _long(time_s: float) -> str:
    days = time_s / _DAY_S
    return f"{days:.0f} days" if days >= 5 and days == round(days) else lasting(time_s, up=False)
